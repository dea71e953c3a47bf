//! The one description of a wheel's profile: seating, solids, drawings and masses are made from it.

use std::f64::consts::{FRAC_PI_2, PI};

use glam::DVec2;
use glidewright_geometry::Edge;

use crate::{Running, Wheel};

/// A part of a wheel's profile.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surface {
    /// The flat at a vee's tip.
    Tip,
    /// A flank of a vee.
    Flank,
    /// The cylinder beside a vee's flanks, where they end at the bearing.
    Shoulder,
    /// The cylinder of a flat wheel, or beside a round groove.
    Rim,
    /// The arc of a crowned wheel.
    Crown,
    /// The hollow of a round groove.
    Groove,
}

/// Half the section of a wheel in a plane through its axle: what lies towards the rail.
///
/// x runs along the axle from the mid-plane, y away from the rail; the origin is the middle of the axle, so that a
/// point at radius r has y = −r (mm). The sides, straight from the ends to the axle, are not listed: pushed square to
/// a face they only follow their own ends.
#[derive(Clone, Debug, PartialEq)]
pub struct WheelProfile {
    /// From one side of the wheel to the other, x growing.
    pub edges: Vec<(Surface, Edge)>,
    /// Half the width of the tyre (mm).
    pub half_width: f64,
    /// Outer radius (mm).
    pub outer: f64,
}

impl WheelProfile {
    /// The profile of a wheel with its nominal sizes; `None` when a size is not a positive finite number, an angle is
    /// not between 0 and a right angle, or a groove reaches the axle.
    pub fn new(wheel: &Wheel) -> Option<Self> {
        let outer = wheel.outer_radius.nominal;
        let half = 0.5 * wheel.width;
        let positive = |size: f64| size > 0.0 && size.is_finite();
        if !(positive(outer) && positive(half)) {
            return None;
        }
        let line = |from: (f64, f64), to: (f64, f64)| {
            Edge::line(DVec2::new(from.0, -from.1), DVec2::new(to.0, -to.1))
        };
        let mut edges = Vec::with_capacity(5);
        match wheel.running {
            Running::Flat => edges.push((Surface::Rim, line((-half, outer), (half, outer)))),
            Running::Vee { tip, half_angle } => {
                if !(tip >= 0.0 && tip.is_finite() && half_angle > 0.0 && half_angle < FRAC_PI_2) {
                    return None;
                }
                let half_tip = (0.5 * tip).min(half);
                // The flanks run to the tyre's sides, but no deeper than the bearing they hold.
                let deepest = (outer - 0.5 * wheel.bearing.outer).max(0.0);
                let flank = (deepest * half_angle.tan()).min(half - half_tip);
                let end = half_tip + flank;
                let foot = outer - flank / half_angle.tan();
                if end < half {
                    edges.push((Surface::Shoulder, line((-half, foot), (-end, foot))));
                }
                if flank > 0.0 {
                    edges.push((Surface::Flank, line((-end, foot), (-half_tip, outer))));
                }
                if half_tip > 0.0 {
                    edges.push((Surface::Tip, line((-half_tip, outer), (half_tip, outer))));
                }
                if flank > 0.0 {
                    edges.push((Surface::Flank, line((half_tip, outer), (end, foot))));
                }
                if end < half {
                    edges.push((Surface::Shoulder, line((end, foot), (half, foot))));
                }
            }
            Running::Crowned { radius } => {
                if !positive(radius) {
                    return None;
                }
                let crown = radius.max(half);
                let reach = (half / crown).min(1.0).asin();
                let centre = DVec2::new(0.0, crown - outer);
                edges.push((Surface::Crown, Edge::arc(centre, crown, 1.5 * PI - reach, 2.0 * reach)));
            }
            Running::Grooved { radius } => {
                if !positive(radius) {
                    return None;
                }
                // The groove is as deep as half its width allows, at most its own radius.
                let reach = if half < radius { (half / radius).asin() } else { FRAC_PI_2 };
                let depth = radius - (radius * radius - half.min(radius).powi(2)).sqrt();
                if depth >= outer {
                    return None;
                }
                let centre = DVec2::new(0.0, depth - outer - radius);
                if half > radius {
                    edges.push((Surface::Rim, line((-half, outer), (-radius, outer))));
                }
                edges.push((Surface::Groove, Edge::arc(centre, radius, FRAC_PI_2 + reach, -2.0 * reach)));
                if half > radius {
                    edges.push((Surface::Rim, line((radius, outer), (half, outer))));
                }
            }
        }
        Some(Self { edges, half_width: half, outer })
    }

    /// Corners of a chain of straight lines along the profile, as (along the axle, radius) (mm): its ends and corners,
    /// and on arcs points so close that the chords leave them by `sagitta` at most.
    ///
    /// A crown's chords lie within the wheel, a groove's within its hollow.
    pub fn corners(&self, sagitta: f64) -> Vec<DVec2> {
        const MOST: f64 = 256.0;
        let mut corners: Vec<DVec2> = Vec::new();
        let mut add = |p: DVec2| {
            let p = DVec2::new(p.x, -p.y);
            if corners.last().is_none_or(|last| last.distance(p) > 1e-12) {
                corners.push(p);
            }
        };
        for (_, edge) in &self.edges {
            add(edge.from());
            if let Edge::Arc { radius, sweep, .. } = edge {
                let step = 2.0 * (1.0 - sagitta / radius).clamp(-1.0, 1.0).acos();
                let bands = (sweep.abs() / step).ceil().clamp(1.0, MOST);
                for i in 1..bands as usize {
                    add(edge.at(i as f64 / bands));
                }
            }
            add(edge.to());
        }
        corners
    }

    /// Volume of the solid of revolution the profile encloses with the axle (mm³): frustums of a fine chain.
    pub fn volume(&self) -> f64 {
        let frustum = |a: f64, b: f64| (a * a + a * b + b * b) / 3.0;
        PI * self.frustums(frustum)
    }

    /// Its polar moment ½π∫R⁴dx about the axle (mm⁵): times density, the moment of inertia of the solid of revolution.
    ///
    /// Of a frustum with end radii a and b it is π/10·h·(a⁴ + a³b + a²b² + ab³ + b⁴).
    pub fn polar_moment(&self) -> f64 {
        let frustum =
            |a: f64, b: f64| (a.powi(4) + a.powi(3) * b + a * a * b * b + a * b.powi(3) + b.powi(4)) / 5.0;
        0.5 * PI * self.frustums(frustum)
    }

    /// Sums, over frustums of a fine chain along the profile, height times what `mean` gives for the radii at its ends.
    fn frustums(&self, mean: impl Fn(f64, f64) -> f64) -> f64 {
        const SAGITTA: f64 = 1e-3;
        self.corners(SAGITTA)
            .windows(2)
            .map(|pair| (pair[1].x - pair[0].x) * mean(pair[0].y, pair[1].y))
            .sum()
    }
}
