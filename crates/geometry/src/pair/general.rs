//! Any two convex solids, from their support functions.
//!
//! Apart: the point of the Minkowski difference nearest to the origin, approached from within by simplices
//! (Gilbert, Johnson & Keerthi, IEEE J. Robotics and Automation 4 (1988) 193). Every step gives a separating
//! slab, so the gap is known between two bounds. Overlapping: see [`super::penetration`].

use glam::DVec3;

use super::penetration;
use super::polish;
use super::simplex::{Simplex, Step, Vertex};
use super::support::Body;
use crate::separation::{CERTIFIED, Ending, Separation};

/// The bounds are driven this close together (mm) where rounding allows.
const AIM: f64 = 1e-11;
/// The same for the depth of an overlap, whose proof needs a fine polytope.
const AIM_DEEP: f64 = 1e-9;
/// Steps after which the search stops with the bounds it has.
const MOST_STEPS: usize = 200;

/// A travel of B: every shift `u·direction` with `u` between two values.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Travel {
    pub direction: DVec3,
    pub from: f64,
    pub to: f64,
}

/// What is worth keeping of a search for the next one on the same pair at a nearby shift.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Warm {
    /// Points of A and of B, each relative to its centre.
    points: [(DVec3, DVec3, [u32; 2]); 3],
    count: usize,
}

/// Signed distance of A and B, B shifted by `shift`.
pub(crate) fn separation(a: &Body, b: &Body, shift: DVec3, warm: &mut Warm) -> Separation {
    let travel = Travel { direction: DVec3::ZERO, from: 0.0, to: 0.0 };
    swept(a, b, shift, travel, warm).0
}

/// Signed distance of A and everything B passes through while it travels, and the travel at the witness
/// point. While the two stay apart this is the least gap over the travel.
pub(crate) fn swept(a: &Body, b: &Body, shift: DVec3, travel: Travel, warm: &mut Warm) -> (Separation, f64) {
    // Relative coordinates keep digits when both stand far from the frame's origin.
    let apart = b.centre + shift - a.centre;
    let margin = a.margin + b.margin;
    let size = a.reach + b.reach + (travel.to - travel.from).abs();
    let (core, inside) = if travel.from == travel.to {
        let apart = apart + travel.from * travel.direction;
        let support = |d: DVec3| {
            let ((pa, ia), (pb, ib)) = (a.core_support(d), b.core_support(-d));
            Vertex { w: pa - pb - apart, a: pa, b: pb, u: travel.from, discs: [ia, ib] }
        };
        let finish = |simplex: &Simplex| polish::nearest(a, b, apart, None, simplex, size);
        let start = warmed(warm, apart).unwrap_or_else(|| Simplex::new(support(-apart)));
        solved(support, finish, start, size)
    } else {
        let (from, to) = (travel.from.min(travel.to), travel.from.max(travel.to));
        let support = |d: DVec3| {
            let ((pa, ia), (pb, ib)) = (a.core_support(d), b.core_support(-d));
            let u = if travel.direction.dot(d) < 0.0 { to } else { from };
            Vertex { w: pa - pb - apart - u * travel.direction, a: pa, b: pb, u, discs: [ia, ib] }
        };
        let finish = |simplex: &Simplex| {
            polish::nearest(a, b, apart, Some((travel.direction, from, to)), simplex, size)
        };
        let middle = apart + 0.5 * (from + to) * travel.direction;
        solved(support, finish, Simplex::new(support(-middle)), size)
    };
    if !inside {
        *warm = Warm::default();
        warm.count = core.simplex.count;
        for (slot, v) in warm.points.iter_mut().zip(&core.simplex.vertices) {
            *slot = (v.a, v.b, v.discs);
        }
    }
    let (gap, lower) = (core.gap - margin, core.lower - margin);
    let ending = if !(gap.is_finite() && lower.is_finite()) {
        Ending::Invalid
    } else if gap - lower <= CERTIFIED {
        Ending::Converged
    } else {
        Ending::LimitReached
    };
    let on_b = core.at.b + b.centre + shift + core.at.u * travel.direction;
    let separation = Separation {
        gap,
        lower,
        on_a: core.at.a + a.centre + core.normal * a.margin,
        on_b: on_b - core.normal * b.margin,
        normal: core.normal,
        ending,
    };
    (separation, core.at.u)
}

/// The simplex a search ended with, at another shift.
fn warmed(warm: &Warm, apart: DVec3) -> Option<Simplex> {
    if warm.count == 0 {
        return None;
    }
    let mut simplex = Simplex { count: warm.count, ..Simplex::default() };
    for (v, &(a, b, discs)) in simplex.vertices.iter_mut().zip(&warm.points) {
        *v = Vertex { w: a - b - apart, a, b, u: 0.0, discs };
    }
    simplex.reduce()?;
    Some(simplex)
}

/// Bounds, normal and witnesses of two cores.
struct Found {
    gap: f64,
    lower: f64,
    normal: DVec3,
    at: Vertex,
    simplex: Simplex,
}

/// Signed distance of the origin from the set with the given support function; the flag says that it lies inside.
fn solved(
    support: impl Fn(DVec3) -> Vertex,
    finish: impl Fn(&Simplex) -> Option<(DVec3, Vertex)>,
    start: Simplex,
    size: f64,
) -> (Found, bool) {
    let (mut found, inside) = distance(&support, finish, start, size);
    if inside {
        let d = penetration::depth(&support, size, AIM_DEEP);
        (found.gap, found.lower, found.normal, found.at) = (-d.low, -d.high, d.normal, d.at);
    }
    (found, inside)
}

/// Distance of the origin from the set with the given support function; the flag says that it lies inside (or so
/// near that rounding cannot tell). `finish` may guess the answer from the simplex reached; a guess that proves
/// itself ends the search.
fn distance(
    support: impl Fn(DVec3) -> Vertex,
    finish: impl Fn(&Simplex) -> Option<(DVec3, Vertex)>,
    start: Simplex,
    size: f64,
) -> (Found, bool) {
    let mut simplex = start;
    let mut v = simplex.nearest().w;
    let mut normal = DVec3::X;
    let (mut gap, mut lower) = (f64::NAN, f64::NEG_INFINITY);
    let tiny = 1e-14 * size;
    let mut inside = false;
    let mut next_guess = 0;
    for step in 0..MOST_STEPS {
        let length = v.length();
        if !(length > tiny) {
            inside = true;
            break;
        }
        gap = length;
        let next = support(-v);
        let slab = next.w.dot(v) / length;
        if slab > lower {
            lower = slab;
            normal = -v / length;
        }
        if length - lower <= AIM || simplex.has(next.w) {
            break;
        }
        // The search has come back to parts it knows: round ones, or it would have ended.
        let known = |which: usize| {
            simplex.vertices[..simplex.count].iter().any(|k| k.discs[which] == next.discs[which])
        };
        if step >= next_guess && known(0) && known(1) {
            if let Some((n, at)) = finish(&simplex) {
                let slab = -support(n).w.dot(n);
                let length = at.w.length();
                if (length - slab).abs() <= AIM && length <= gap + AIM {
                    return (Found { gap: length, lower: slab, normal: n, at, simplex }, false);
                }
            }
            next_guess = step + 3;
        }
        match simplex.advance(next, v.length_squared()) {
            Step::Nearer(nearer) => v = nearer,
            Step::Stuck => break,
            Step::Inside => {
                inside = true;
                break;
            }
        }
    }
    let at = if inside { Vertex::default() } else { simplex.nearest() };
    (Found { gap, lower, normal, at, simplex }, inside)
}

/// Distance (mm) and the unit direction from A to B of a Minkowski difference given by its support function;
/// `None` if it holds the origin. `first` is a direction in which to begin.
pub(crate) fn nearest_to_origin(
    support: impl Fn(DVec3) -> Vertex,
    first: DVec3,
    size: f64,
) -> Option<(f64, DVec3)> {
    let start = Simplex::new(support(first));
    let (found, inside) = distance(support, |_| None, start, size);
    (!inside).then_some((found.gap, found.normal))
}
