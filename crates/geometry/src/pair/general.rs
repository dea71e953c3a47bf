//! Any two convex solids, from their support functions.
//!
//! Apart: the point of the Minkowski difference nearest to the origin, approached from within by simplices
//! (Gilbert, Johnson & Keerthi, IEEE J. Robotics and Automation 4 (1988) 193). Every step gives a separating
//! slab, so the gap is known between two bounds. Overlapping: see [`super::penetration`].

use glam::DVec3;

use super::penetration;
use super::simplex::{Simplex, Vertex};
use super::support::Body;
use crate::separation::{CERTIFIED, Ending, Separation};

/// The bounds are driven this close together (mm) where rounding allows.
const AIM: f64 = 1e-11;
/// Steps after which the search stops with the bounds it has.
const MOST_STEPS: usize = 200;

/// A travel of B: every shift `u·direction` with `u` between two values.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Travel {
    pub direction: DVec3,
    pub from: f64,
    pub to: f64,
}

/// Signed distance of A and B, B shifted by `shift`. `start` is a guess of the direction from A to B, of any
/// length.
pub(crate) fn separation(a: &Body, b: &Body, shift: DVec3, start: DVec3) -> Separation {
    let at = Travel { direction: DVec3::ZERO, from: 0.0, to: 0.0 };
    swept(a, b, shift, at, start).0
}

/// Signed distance of A and everything B passes through while it travels, and the travel at the witness
/// point. While the two stay apart this is the least gap over the travel.
pub(crate) fn swept(a: &Body, b: &Body, shift: DVec3, travel: Travel, start: DVec3) -> (Separation, f64) {
    // Relative coordinates keep digits when both stand far from the frame's origin.
    let apart = b.centre + shift - a.centre;
    let moves = travel.from != travel.to;
    let support = |d: DVec3| {
        let pa = a.core_support(d);
        let mut pb = b.core_support(-d) + apart;
        let mut u = travel.from;
        if moves {
            if travel.direction.dot(d) * (travel.to - travel.from) < 0.0 {
                u = travel.to;
            }
            pb += u * travel.direction;
        }
        Vertex { w: pa - pb, a: pa, b: pb, u }
    };
    let margin = a.margin + b.margin;
    let size = a.reach + b.reach + (travel.to - travel.from).abs();
    let first = if start == DVec3::ZERO { -apart } else { -start };
    let (core, inside) = distance(support, first, size);
    let mut found = if inside {
        let d = penetration::depth(support, size, AIM);
        Core { gap: -d.low, lower: -d.high, normal: d.normal, at: d.at }
    } else {
        core
    };
    found.gap -= margin;
    found.lower -= margin;
    let on_a = found.at.a + found.normal * a.margin;
    let on_b = found.at.b - found.normal * b.margin;
    let ending = if !(found.gap.is_finite() && found.lower.is_finite()) {
        Ending::Invalid
    } else if found.gap - found.lower <= CERTIFIED {
        Ending::Converged
    } else {
        Ending::LimitReached
    };
    let separation = Separation {
        gap: found.gap,
        lower: found.lower,
        on_a: on_a + a.centre,
        on_b: on_b + a.centre,
        normal: found.normal,
        ending,
    };
    (separation, found.at.u)
}

/// Bounds, normal and witnesses of two cores, relative to A's centre.
struct Core {
    gap: f64,
    lower: f64,
    normal: DVec3,
    at: Vertex,
}

/// Distance of the origin from the set with the given support function; the flag says that it lies inside (or so
/// near that rounding cannot tell).
fn distance(support: impl Fn(DVec3) -> Vertex, first: DVec3, size: f64) -> (Core, bool) {
    let first = support(if first == DVec3::ZERO { DVec3::X } else { first });
    let mut simplex = Simplex::new(first);
    let mut v = first.w;
    let mut core = Core { gap: f64::NAN, lower: f64::NEG_INFINITY, normal: DVec3::X, at: first };
    let tiny = 1e-14 * size;
    for _ in 0..MOST_STEPS {
        let length = v.length();
        if !(length > tiny) {
            return (core, true);
        }
        core.gap = length;
        let next = support(-v);
        let lower = next.w.dot(v) / length;
        if lower > core.lower {
            core.lower = lower;
            core.normal = -v / length;
        }
        if length - core.lower <= AIM || simplex.has(next.w) {
            break;
        }
        let before = simplex;
        simplex.push(next);
        match simplex.reduce() {
            None => return (core, true),
            Some(nearer) => {
                if !(nearer.length_squared() < v.length_squared()) {
                    simplex = before;
                    break;
                }
                v = nearer;
            }
        }
    }
    core.at = simplex.nearest();
    (core, false)
}

/// Distance (mm) and the unit direction from A to B of a Minkowski difference given by its support function;
/// `None` if it holds the origin.
pub(crate) fn nearest_to_origin(
    support: impl Fn(DVec3) -> Vertex,
    first: DVec3,
    size: f64,
) -> Option<(f64, DVec3)> {
    let (core, inside) = distance(support, first, size);
    (!inside).then_some((core.gap, core.normal))
}
