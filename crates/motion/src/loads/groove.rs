//! A round groove on a rod, as springs round the rod.
//!
//! In the direction θ from the groove's bottom the surfaces stand c(1 − cos θ) apart, c groove less rod radius; if the
//! wheel then shifts, by what it shifts along that direction less. (Seen as support functions of a circle in a circle
//! this is exact: the normal to both at a contact is the direction of the centres.) So a wheel pushed sideways climbs
//! the rod as a ball climbs a bowl, until its groove's wall stands against it: the groove holds sideways.
//!
//! Each strip of the groove is a spring whose stiffness per length of arc is that at which a push straight down gives
//! what Hertz's ellipse gives: an even foundation κ with the parabolic gap By² yields F = 4/3·κδ√(δ/B), the same power
//! of δ as Hertz. As c vanishes Hertz's ellipse becomes endlessly long; then each strip is taken as its part of a line
//! contact round the whole arc, which is stiffer. Own derivation; the tests check it against Hertz (H8's formula), by
//! sums over a thousand strips and by the geometry of two circles.

use std::f64::consts::FRAC_PI_2;

use glam::DVec2;

use super::bearing::Bearing;
use crate::contact::{Elastic, EllipticShape, Form, Pairing, contact_modulus};

/// A round groove and its rod.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Hollow {
    /// Radius of the groove (mm).
    pub(super) groove: f64,
    /// Radius of the rod (mm).
    pub(super) rod: f64,
    /// How far round the groove reaches to either side (rad).
    pub(super) reach: f64,
    /// Radius of the wheel at the groove's bottom (mm).
    pub(super) bottom: f64,
}

/// Where the strips on one side end, as shares of a right angle: narrow where it usually bears.
const ENDS: [f64; 7] = [0.135, 0.225, 0.315, 0.43, 0.58, 0.74, 0.90];

/// Half the middle strip, as a share of a right angle.
const MIDDLE: f64 = 0.045;

/// Load under which line and ellipse are compared (N).
const REFERENCE: f64 = 10.0;

/// The springs of a wheel whose groove rests on its rod with a gap at its bottom (mm).
pub(super) fn bearings(hollow: &Hollow, gap: f64, tyre: Elastic, rail: Elastic) -> Vec<Bearing> {
    let Hollow { groove, rod, reach, bottom } = *hollow;
    let play = (groove - rod).max(0.0);
    let curvature = (1.0 / rod - 1.0 / groove).max(0.0);
    let whole = EllipticShape::new([bottom, 1.0 / curvature]);
    let foundation = Foundation::new(hollow, whole, curvature, tyre, rail);
    // Where a narrow ellipse bears, strips would be too coarse: each direction then stands for the whole of it.
    let half_angle = |shape: &EllipticShape| shape.under(REFERENCE, contact_modulus(tyre, rail)).second / rod;
    let narrow = whole.filter(|shape| half_angle(shape) < 1.5 * MIDDLE * FRAC_PI_2);
    let mut bearings = Vec::with_capacity(2 * ENDS.len() + 1);
    let mut add = |middle: f64, from: f64, to: f64| {
        let radius = |angle: f64| bottom + groove * (1.0 - angle.cos());
        let (sin, cos) = middle.sin_cos();
        let form = match narrow {
            Some(shape) => Form::Point(shape),
            None => Form::Strip {
                length: groove * (to - from),
                radius: radius(middle) / cos,
                foundation: foundation.stiffness,
                peak: foundation.peak,
            },
        };
        let (low, high) = (from.abs().min(to.abs()), from.abs().max(to.abs()));
        let low = if from < 0.0 && to > 0.0 { 0.0 } else { low };
        let at = DVec2::new(groove * sin, radius(middle));
        bearings.push(Bearing {
            at,
            // The rod pushes the groove away from the rod's middle.
            normal: DVec2::new(sin, cos),
            radii: if narrow.is_some() { [at.y; 2] } else { [radius(low), radius(high)] },
            form,
            gap: gap * cos + play * (1.0 - cos),
            least_radius: rod,
            whole,
        });
    };
    let middle = (MIDDLE * FRAC_PI_2).min(reach);
    add(0.0, -middle, middle);
    let mut from = middle;
    for end in ENDS {
        let to = (end * FRAC_PI_2).min(reach);
        if to <= from {
            break;
        }
        let at = 0.5 * (from + to);
        add(at, from, to);
        add(-at, -to, -from);
        from = to;
    }
    bearings
}

/// The even foundation that stands for tyre and rod.
struct Foundation {
    /// Stiffness per length of arc (N/mm²).
    stiffness: f64,
    /// By how much the greatest load per length under Hertz's ellipse exceeds the foundation's.
    peak: f64,
}

impl Foundation {
    fn new(
        hollow: &Hollow,
        whole: Option<EllipticShape>,
        curvature: f64,
        tyre: Elastic,
        rail: Elastic,
    ) -> Self {
        let Hollow { groove, reach, bottom, .. } = *hollow;
        let length = 2.0 * groove * reach.min(ENDS[ENDS.len() - 1] * FRAC_PI_2);
        let line = Pairing { form: Form::Line { length, radius: bottom }, runner: tyre, rail };
        let as_line = REFERENCE / (line.approach(REFERENCE) * length);
        let modulus = contact_modulus(tyre, rail);
        let as_ellipse = whole.map(|shape| {
            let ellipse = shape.under(1.0, modulus);
            let half = (2.0 * ellipse.approach / curvature).sqrt();
            (0.75 / (ellipse.approach * half), (half / ellipse.second).max(1.0))
        });
        match as_ellipse {
            Some((stiffness, peak)) if stiffness > as_line => Self { stiffness, peak },
            _ => Self { stiffness: as_line, peak: 1.0 },
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::panic, reason = "a broken test may stop")]
mod tests {
    use super::*;

    const TYRE: Elastic = Elastic { youngs: 2900.0, poisson: 0.35 };
    const STEEL: Elastic = Elastic { youngs: 210e3, poisson: 0.3 };

    fn hollow(groove: f64, rod: f64) -> Hollow {
        Hollow { groove, rod, reach: FRAC_PI_2, bottom: 15.0 - groove }
    }

    /// Push of the springs on the wheel when it moves down and aside (mm).
    fn push(bearings: &[Bearing], down: f64, aside: f64) -> DVec2 {
        let one = |b: &Bearing| {
            let closed = b.normal.y * down - b.normal.x * aside - b.gap;
            let form = Pairing { form: b.form, runner: TYRE, rail: STEEL };
            // Approach grows with force; halve until it fits.
            let (mut low, mut high) = (0.0, 1e5);
            for _ in 0..80 {
                let force = 0.5 * (low + high);
                if form.approach(force) < closed { low = force } else { high = force }
            }
            b.normal * low
        };
        bearings.iter().filter(|b| b.normal.y * down - b.normal.x * aside > b.gap).map(one).sum()
    }

    /// The same by a thousand strips of an even foundation on two circles.
    fn finely(hollow: &Hollow, stiffness: f64, down: f64, aside: f64) -> DVec2 {
        let most = ENDS[ENDS.len() - 1] * FRAC_PI_2;
        let strips = 4000;
        (0..strips)
            .map(|i| most * (2.0 * (f64::from(i) + 0.5) / f64::from(strips) - 1.0))
            .map(|angle| {
                let u = DVec2::new(angle.sin(), angle.cos());
                // The rod's middle seen from the groove's, after the wheel moved.
                let apart = DVec2::new(-aside, hollow.groove - hollow.rod + down);
                let open = hollow.groove - hollow.rod - apart.dot(u);
                u * (stiffness * (-open).max(0.0) * hollow.groove * 2.0 * most / f64::from(strips))
            })
            .sum()
    }

    /// Pushed straight down, a groove a tenth larger than its rod gives as Hertz's ellipse does: Johnson §4.2, with
    /// complete elliptic integrals (H8 of the published values checks that).
    #[test]
    fn pushed_down_it_gives_as_hertz() {
        for (groove, rod) in [(4.1, 4.0), (3.1, 3.0), (6.1, 6.0), (4.3, 4.0), (9.0, 5.0)] {
            let hollow = hollow(groove, rod);
            let bearings = bearings(&hollow, 0.0, TYRE, STEEL);
            let shape = EllipticShape::new([hollow.bottom, 1.0 / (1.0 / rod - 1.0 / groove)]).unwrap();
            for force in [5.0, 20.0, 60.0] {
                let hertz = shape.under(force, contact_modulus(TYRE, STEEL)).approach;
                let found = push(&bearings, hertz, 0.0);
                assert!(found.x.abs() < 1e-9 * force);
                let off = (found.y / force - 1.0).abs();
                assert!(off < 0.12, "{groove} on {rod}: {} for {force} N", found.y);
            }
        }
    }

    /// Fifteen strips against thousands, straight down and aside; and a groove as large as its rod, all of which bears.
    #[test]
    fn strips_are_fine_enough() {
        for (groove, rod) in [(4.1, 4.0), (6.1, 6.0), (4.0, 4.0), (3.02, 3.0)] {
            let hollow = hollow(groove, rod);
            let bearings = bearings(&hollow, 0.0, TYRE, STEEL);
            let Form::Strip { foundation, .. } = bearings[0].form else { panic!("{:?}", bearings[0]) };
            let play = groove - rod;
            for down in [0.01, 0.02] {
                for lean in [0.0, 0.2, 0.5, 0.9] {
                    // Leaning that far, the rod's middle would stand so far aside of the groove's.
                    let (sin, cos) = f64::sin_cos(lean);
                    let (down, aside) = (down * cos - play * (1.0 - cos), (down + play) * sin);
                    let (coarse, fine) =
                        (push(&bearings, down, aside), finely(&hollow, foundation, down, aside));
                    let off = (coarse - fine).length();
                    assert!(off < 0.12 * fine.length(), "{groove} on {rod}, {lean}: {coarse} {fine}");
                }
            }
        }
    }

    /// Geometry of two circles: shifted aside by s without load, the wheel climbs by c − √(c² − s²), and it presses along
    /// the line of the middles: it is held sideways.
    #[test]
    fn a_wheel_aside_is_pushed_back() {
        let hollow = hollow(4.1, 4.0);
        let bearings = bearings(&hollow, 0.0, TYRE, STEEL);
        for share in [0.3, 0.6, 0.85] {
            let aside: f64 = share * 0.1;
            let climbed = 0.1 - (0.01 - aside * aside).sqrt();
            let found = push(&bearings, 0.01 - climbed, aside);
            // Pressed on by a hundredth, the middles' line stands a little steeper.
            let expected = aside.atan2(0.1 - climbed + 0.01);
            let lean = (-found.x).atan2(found.y);
            assert!((lean - expected).abs() < 0.03, "{share}: {lean} {expected}");
        }
    }
}
