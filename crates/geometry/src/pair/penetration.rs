//! How deep a convex set holds the origin: the least of its support function over all directions.
//!
//! An inner polytope is grown where its nearest face is (van den Bergen, Proximity Queries and Penetration Depth
//! Computation on 3D Game Objects, 2001): the face gives a bound from below, the support in its direction one
//! from above.

use glam::{DMat3, DVec3};

use super::polytope::Polytope;
use super::simplex::Vertex;

/// The depth (mm), between two bounds.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Depth {
    /// Proved from below (by the inner polytope).
    pub low: f64,
    /// Proved from above (support in `normal`).
    pub high: f64,
    /// Unit direction of least support.
    pub normal: DVec3,
    /// The nearest point of the boundary.
    pub at: Vertex,
}

impl Depth {
    /// How near its bounds have to come (mm): as near as may matter for its size.
    pub(crate) fn tolerance(high: f64) -> f64 {
        (1e-6 * high).clamp(1e-8, 9e-7)
    }

    /// What both together prove, with the direction and points of the one that knows more.
    pub(crate) fn with(self, other: &Self) -> Self {
        let better = if other.high - other.low < self.high - self.low { *other } else { self };
        Self { low: self.low.max(other.low).min(better.high), ..better }
    }

    /// Whether its bounds are that near.
    pub(crate) fn is_proved(&self) -> bool {
        self.high - self.low <= Self::tolerance(self.high)
    }
}

/// Depth of the origin in the set with the given support function, with at most so many faces; `size` is a length of
/// the set's order. Where rounding has spoilt a polytope another is begun from other directions; what each has proved
/// holds.
pub(crate) fn depth(mut support: impl FnMut(DVec3) -> Vertex, size: f64, most: usize) -> Depth {
    let (mut best, mut spoilt) = attempt(&mut support, size, most, &DMat3::IDENTITY);
    for angle in [0.7, 1.9, 2.6] {
        if !spoilt || best.is_proved() {
            break;
        }
        let turn = DMat3::from_axis_angle(DVec3::new(2.0, 3.0, 6.0) / 7.0, angle);
        let (next, again) = attempt(&mut support, size, most, &turn);
        let low = best.low.max(next.low);
        if next.high - next.low < best.high - best.low {
            best = next;
        }
        best.low = low.min(best.high);
        spoilt = again;
    }
    best
}

/// One polytope, begun from the axes of `turn`; says whether rounding has spoilt it.
fn attempt(support: &mut impl FnMut(DVec3) -> Vertex, size: f64, most: usize, turn: &DMat3) -> (Depth, bool) {
    let mut hull = Polytope::new();
    let rounding = 1e-15 * size;
    if let Some(flat) = hull.start(support, 1e-12 * size, turn) {
        let v = support(flat);
        let back = support(-flat);
        let (h, g) = (v.w.dot(flat), -back.w.dot(flat));
        let (normal, v, high) = if h <= g { (flat, v, h) } else { (-flat, back, g) };
        return (Depth { low: high.min(0.0), high, normal, at: v }, false);
    }
    let mut best =
        Depth { low: f64::NEG_INFINITY, high: f64::INFINITY, normal: DVec3::X, at: Vertex::default() };
    let mut spoilt = false;
    while let Some((face, offset)) = hull.nearest() {
        let normal = hull.normal(face);
        best.low = best.low.max(offset);
        let v = support(normal);
        let high = v.w.dot(normal);
        if high < best.high {
            (best.high, best.normal, best.at) = (high, normal, v);
        }
        // Only the nearest face itself gives points that go with its direction. A direction with the origin
        // outside says all the caller needs.
        let exact = high - offset <= Depth::tolerance(high) + rounding;
        if exact || high <= 0.0 || hull.count() > most {
            if exact {
                best = Depth { low: offset, high, normal, at: hull.on_face(face, normal * offset) };
            }
            break;
        }
        if !hull.add(face, v, rounding) {
            spoilt = true;
            break;
        }
    }
    best.low = best.low.min(best.high);
    (best, spoilt)
}
