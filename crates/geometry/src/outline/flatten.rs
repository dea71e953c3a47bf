//! Arcs to chords, with a bound on the error and a stated side.

use std::f64::consts::FRAC_PI_4;

use glam::DVec2;

use super::{Edge, Outline};

/// On which side of an arc its straight replacement lies, seen from the enclosed material.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Within the enclosed area: bulges lose, bites grow.
    Inner,
    /// Around the enclosed area: bulges gain, bites shrink.
    Outer,
    /// Corners half outside, chords half inside: half the error of the others.
    Middle,
}

/// More corners than this on one arc help nobody; it also keeps a tolerance of 0 finite.
const MOST_CHORDS: f64 = 4096.0;

impl Outline {
    /// Corners of a polygon that differs from the outline by at most `tolerance` (mm, > 0) on the stated side,
    /// in the outline's sense of walking. The ends of arcs stay corners for `Inner` bulges and `Outer` bites.
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline, Side};
    /// let bore = Outline::circle(DVec2::ZERO, 5.0);
    /// for corner in bore.flattened(0.01, Side::Inner) {
    ///     assert!((corner.length() - 5.0).abs() < 1e-12);
    /// }
    /// assert!(bore.flattened(0.01, Side::Outer).iter().skip(1).all(|corner| corner.length() > 5.0));
    /// ```
    pub fn flattened(&self, tolerance: f64, side: Side) -> Vec<DVec2> {
        let mut corners = Vec::new();
        for edge in &self.edges {
            flatten_edge(edge, tolerance, side, &mut corners);
        }
        corners
    }
}

/// The straight replacement of an arc lies on its outer side, as tangents, not on its inner side, as chords.
fn is_outside(sweep: f64, side: Side) -> bool {
    match side {
        Side::Inner => sweep < 0.0,
        Side::Outer => sweep > 0.0,
        Side::Middle => false,
    }
}

/// The number of equal parts of an arc whose straight replacements lie within `tolerance` (mm) of it.
pub(crate) fn chord_count(radius: f64, sweep: f64, tolerance: f64, side: Side) -> f64 {
    // A chord spanning the angle 2h lies r(1 − cos h) inside the arc, its tangents meet r(1/cos h − 1) outside.
    let half = match side {
        // The first and last chord start on the arc and sag half as much again.
        Side::Middle => {
            let even = 0.6 * tolerance;
            (1.0 - 2.0 * even / (radius + even)).clamp(-1.0, 1.0).acos()
        }
        _ if is_outside(sweep, side) => (radius / (radius + tolerance)).clamp(-1.0, 1.0).acos(),
        _ => (1.0 - tolerance / radius).clamp(-1.0, 1.0).acos(),
    };
    (0.5 * sweep.abs() / half.min(FRAC_PI_4)).ceil().clamp(1.0, MOST_CHORDS)
}

/// Appends the corners of one edge, its last point left out.
fn flatten_edge(edge: &Edge, tolerance: f64, side: Side, corners: &mut Vec<DVec2>) {
    let Edge::Arc { centre, radius, start, sweep } = *edge else {
        corners.push(edge.from());
        return;
    };
    let chords = chord_count(radius, sweep, tolerance, side);
    let outside = is_outside(sweep, side);
    let step = sweep / chords;
    let count = chords as u32;
    let at = |r: f64, k: f64| centre + r * DVec2::from_angle(start + k * step);
    if outside {
        corners.push(edge.from());
        let r = radius / (0.5 * step).cos();
        corners.extend((0..count).map(|k| at(r, f64::from(k) + 0.5)));
    } else {
        // Middle: the ends stay on the arc so that neighbours still meet it.
        let r = match side {
            Side::Middle => 2.0 * radius / (1.0 + (0.5 * step).cos()),
            _ => radius,
        };
        corners.push(edge.from());
        corners.extend((1..count).map(|k| at(r, f64::from(k))));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn shapes() -> [Outline; 3] {
        [
            Outline::circle(DVec2::new(3.0, 1.0), 7.0),
            Outline::rounded_rectangle(DVec2::ZERO, DVec2::new(20.0, 11.0), 3.0),
            Outline::from_edges(vec![
                Edge::line(DVec2::new(0.0, 0.0), DVec2::new(10.0, 0.0)),
                Edge::arc(DVec2::new(10.0, 5.0), 5.0, -0.5 * PI, -PI),
                Edge::line(DVec2::new(10.0, 10.0), DVec2::new(0.0, 10.0)),
                Edge::line(DVec2::new(0.0, 10.0), DVec2::new(0.0, 0.0)),
            ]),
        ]
    }

    #[test]
    fn error_stays_within_tolerance_and_on_the_side() {
        for outline in shapes() {
            for tolerance in [1.0, 0.1, 0.01, 1e-4] {
                for side in [Side::Inner, Side::Outer, Side::Middle] {
                    let corners = outline.flattened(tolerance, side);
                    let polygon = Outline::polygon(&corners);
                    // Points along the polygon: how far are they from the true boundary, and on which side?
                    for edge in &polygon.edges {
                        for k in 0..=8 {
                            let p = edge.at(f64::from(k) / 8.0);
                            let off = outline.distance_to_boundary(p);
                            assert!(
                                off <= tolerance * (1.0 + 1e-9) + 1e-12,
                                "{off} for {tolerance} {side:?}"
                            );
                            if off > 1e-9 && side != Side::Middle {
                                assert_eq!(outline.contains(p), side == Side::Inner, "{side:?} {p}");
                            }
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn silly_tolerances_end() {
        let circle = Outline::circle(DVec2::ZERO, 10.0);
        for tolerance in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-300] {
            assert!(circle.flattened(tolerance, Side::Inner).len() <= 4097);
        }
    }
}
