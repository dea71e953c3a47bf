//! Any two convex solids, from their support functions.
//!
//! Apart: the point of the Minkowski difference nearest to the origin, approached from within by simplices
//! (Gilbert, Johnson & Keerthi, IEEE J. Robotics and Automation 4 (1988) 193). Every step gives a separating
//! slab, so the gap is known between two bounds. Overlapping: see [`super::penetration`].

use glam::DVec3;

use super::penetration::Depth;
use super::polish::{self, Facing};
use super::simplex::{Simplex, Step, Vertex};
use super::support::Body;
use super::travel::Travel;
use super::{face, penetration, revolved};
use crate::search;
use crate::separation::{CERTIFIED, Ending, Separation};

/// The bounds are driven this close together (mm) where rounding allows.
const AIM: f64 = 1e-11;
/// The depth of the deepest place of a travel is searched as near as this (mm).
const AIM_DEEP: f64 = 1e-7;
/// Faces of the polytope that proves the depth of most overlaps, and the most it may have where nothing else does.
const FACES: usize = 128;
const MOST_FACES: usize = 1_000;
/// A distance below this share of the solids' size is none: rounding cannot tell.
const TOUCHING: f64 = 1e-14;
/// Steps after which the search stops with the bounds it has.
const MOST_STEPS: usize = 200;

/// What is kept of a search for the next one on the same pair at a nearby shift.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Warm {
    /// The last gap's direction, if its asker keeps it.
    pub normal: Option<DVec3>,
    simplex: Simplex,
    /// How the two faced each other last, with the shift; and the time before, if by the same parts.
    facing: Option<(Facing, DVec3)>,
    before: Option<(Facing, DVec3)>,
}

impl Warm {
    /// How they may face each other at a shift: as last, or further along the same way.
    fn guess(&self, shift: DVec3) -> Option<Facing> {
        let (last, at) = self.facing?;
        if let Some((before, from)) = &self.before {
            let way = at - *from;
            let share = (shift - at).dot(way) / way.length_squared();
            if share.abs() <= 2.5 {
                return Some(last.beyond(before, share));
            }
        }
        Some(last)
    }

    fn keep(&mut self, facing: Option<Facing>, shift: DVec3) {
        let next = facing.map(|facing| (facing, shift));
        self.before = match (&self.facing, &next) {
            (Some(last), Some(next)) if last.0.is_like(&next.0) && last.1 != next.1 => Some(*last),
            _ => None,
        };
        self.facing = next;
    }
}

/// Bounds, normal and witnesses of two cores.
struct Found {
    gap: f64,
    lower: f64,
    normal: DVec3,
    at: Vertex,
}

/// Signed distance of A and B, B shifted by `shift`.
pub(crate) fn separation(a: &Body, b: &Body, shift: DVec3, warm: &mut Warm) -> Separation {
    let found = solved(a, b, shift, None, warm);
    finished(a, b, shift, &found)
}

/// Signed gap and the unit direction from A to B; of an overlap all there is to say, for finding its depth takes long.
pub(crate) fn gap(a: &Body, b: &Body, shift: DVec3, warm: &mut Warm) -> (f64, DVec3, Option<Separation>) {
    let margin = a.margin + b.margin;
    if let Some((gap, normal)) = apart(a, b, shift, warm) {
        return (gap - margin, normal, None);
    }
    let found = solved(a, b, shift, None, warm);
    let overlap = (found.gap <= 0.0).then(|| finished(a, b, shift, &found));
    (found.gap - margin, found.normal, overlap)
}

/// As [`gap`] while the cores are apart; `None` where they touch or overlap, whatever their depth.
pub(crate) fn gap_apart(a: &Body, b: &Body, shift: DVec3, warm: &mut Warm) -> Option<(f64, DVec3)> {
    let margin = a.margin + b.margin;
    if let Some((gap, normal)) = apart(a, b, shift, warm) {
        return (gap > 0.0).then_some((gap - margin, normal));
    }
    let (found, facing) = Difference::new(a, b, shift, None).distance(&mut warm.simplex);
    match found {
        // Rounding stops a search that has found no slab between them only where they all but touch.
        Some(found) if found.lower > 0.0 => {
            warm.keep(facing, shift);
            Some((found.gap - margin, found.normal))
        }
        _ => {
            warm.simplex = Simplex::default();
            None
        }
    }
}

/// Distance of the cores and the unit direction from A to B, where it needs no search.
fn apart(a: &Body, b: &Body, shift: DVec3, warm: &mut Warm) -> Option<(f64, DVec3)> {
    // Solids that faced each other by rims and edges mostly still do.
    if let Some(found) = guessed(a, b, shift, warm) {
        return Some((found.gap, found.normal));
    }
    let apart = b.centre + shift - a.centre;
    face::gap(a, b, apart).or_else(|| face::gap(b, a, -apart).map(|(gap, normal)| (gap, -normal)))
}

/// A lower bound of the signed gap at every shift `u·direction`, from the slab between A and B square to a unit vector:
/// its value at `u = 0` and its slope.
pub(crate) fn slab(a: &Body, b: &Body, direction: DVec3, n: DVec3) -> (f64, f64) {
    let set = Difference::new(a, b, DVec3::ZERO, None);
    (-set.support(n).w.dot(n) - a.margin - b.margin, n.dot(direction))
}

/// Distance of A and everything B passes through while it travels, and the travel at the witness point. While the
/// two stay apart this is the least gap over the travel; a gap of 0 or less says that they meet, no more.
pub(crate) fn swept(a: &Body, b: &Body, shift: DVec3, travel: Travel, warm: &mut Warm) -> (Separation, f64) {
    let Travel { direction, from, to } = travel;
    if from == to {
        return (separation(a, b, shift + from * direction, warm), from);
    }
    let found = solved(a, b, shift, Some((direction, from.min(to), from.max(to))), warm);
    let u = found.at.u;
    (finished(a, b, shift + u * direction, &found), u)
}

/// The least signed gap over a travel; with all there is to say of it, B at its shifted place, where the search came
/// by that. An overlap that is proved to be no less than `enough` is sought no further; without it no depth is sought and
/// overlaps are gaps of 0.
pub(crate) fn least(
    a: &Body,
    b: &Body,
    travel: Travel,
    enough: Option<f64>,
    warm: &mut Warm,
) -> (search::Least, Option<Separation>) {
    let Travel { direction, from, to } = travel;
    let apart = b.centre - a.centre;
    // Seen from B it is A that travels, the other way.
    let faced = face::least(a, b, apart, travel).or_else(|| {
        let back = Travel { direction: -direction, from, to };
        face::least(b, a, -apart, back)
    });
    if let Some((gap, u)) = faced {
        let value = gap - a.margin - b.margin;
        return (search::Least { from: u, to: u, value, lower: value }, None);
    }
    let (s, u) = swept(a, b, DVec3::ZERO, travel, warm);
    if s.gap > 0.0 || !s.is_valid() || (from == to && enough.is_some()) {
        return (search::Least { from: u, to: u, value: s.gap, lower: s.lower }, Some(s));
    }
    let Some(enough) = enough else {
        return (search::Least { from: u, to: u, value: 0.0, lower: 0.0 }, None);
    };
    let mut deepest: Option<(f64, Separation)> = None;
    let eval = |u: f64| {
        let (gap, normal, overlap) = gap(a, b, u * direction, warm);
        if let Some(overlap) = overlap
            && deepest.is_none_or(|(_, known)| gap < known.gap)
        {
            deepest = Some((u, overlap));
        }
        (gap, normal.dot(direction))
    };
    let least = search::least(eval, (from, to), AIM_DEEP, enough);
    let there = deepest.filter(|(u, _)| *u == least.from && *u == least.to);
    (least, there.map(|(_, overlap)| overlap))
}

fn finished(a: &Body, b: &Body, shift: DVec3, found: &Found) -> Separation {
    let margin = a.margin + b.margin;
    let (gap, lower) = (found.gap - margin, found.lower - margin);
    let ending = if !(gap.is_finite() && lower.is_finite()) {
        Ending::Invalid
    } else if gap - lower <= CERTIFIED {
        Ending::Converged
    } else {
        Ending::LimitReached
    };
    Separation {
        gap,
        lower,
        on_a: found.at.a + a.centre + found.normal * a.margin,
        on_b: found.at.b + b.centre + shift - found.normal * b.margin,
        normal: found.normal,
        ending,
    }
}

/// The Minkowski difference A − B with B's centre `apart` from A's, swept along a travel if there is one.
#[derive(Clone, Copy)]
struct Difference<'a> {
    a: &'a Body,
    b: &'a Body,
    apart: DVec3,
    travel: Option<(DVec3, f64, f64)>,
    size: f64,
}

impl<'a> Difference<'a> {
    fn new(a: &'a Body, b: &'a Body, shift: DVec3, travel: Option<(DVec3, f64, f64)>) -> Self {
        let length = travel.map_or(0.0, |(_, low, high)| high - low);
        // Relative coordinates keep digits when both stand far from the frame's origin.
        Self { a, b, apart: b.centre + shift - a.centre, travel, size: a.reach + b.reach + length }
    }

    fn support(&self, d: DVec3) -> Vertex {
        let ((pa, ia), (pb, ib)) = (self.a.core_support(d), self.b.core_support(-d));
        let (way, low, high) = self.travel.unwrap_or((DVec3::ZERO, 0.0, 0.0));
        let u = if way.dot(d) < 0.0 { high } else { low };
        Vertex { w: pa - pb - self.apart - u * way, a: pa, b: pb, u, discs: [ia, ib] }
    }

    /// Distance of the cores, going on from a simplex of a shift nearby; see [`distance`].
    fn distance(&self, simplex: &mut Simplex) -> (Option<Found>, Option<Facing>) {
        if self.travel.is_some() || !simplex.moved_to(self.apart) {
            let (way, low, high) = self.travel.unwrap_or((DVec3::ZERO, 0.0, 0.0));
            let middle = self.apart + 0.5 * (low + high) * way;
            *simplex = Simplex::new(self.support(if middle == DVec3::ZERO { DVec3::X } else { -middle }));
        }
        distance(|d| self.support(d), |facing: &mut Facing| self.prove(facing), simplex, self.size)
    }

    /// A guess that proves itself ends the search.
    fn prove(&self, facing: &mut Facing) -> Option<Found> {
        let at = polish::nearest((self.a, self.b), self.apart, self.travel, facing, self.size)?;
        let n = facing.direction();
        let lower = -self.support(n).w.dot(n);
        let gap = at.w.length();
        ((gap - lower).abs() <= AIM).then_some(Found { gap, lower, normal: n, at })
    }
}

/// Distance of the cores by the parts that faced each other last, if these prove it. A guess that failed is forgotten.
fn guessed(a: &Body, b: &Body, shift: DVec3, warm: &mut Warm) -> Option<Found> {
    let mut facing = warm.guess(shift)?;
    let found = Difference::new(a, b, shift, None).prove(&mut facing);
    warm.keep(found.as_ref().map(|_| facing), shift);
    found
}

/// Signed distance of the cores.
fn solved(a: &Body, b: &Body, shift: DVec3, travel: Option<(DVec3, f64, f64)>, warm: &mut Warm) -> Found {
    if travel.is_none()
        && let Some(found) = guessed(a, b, shift, warm)
    {
        return found;
    }
    let set = Difference::new(a, b, shift, travel);
    let (apart, size) = (set.apart, set.size);
    let support = |d: DVec3| set.support(d);
    let simplex = &mut warm.simplex;
    match set.distance(simplex) {
        (Some(mut found), facing) => {
            // Where rounding stops a search that has found no slab between them, nothing proves them apart.
            if !(found.lower > 0.0) && travel.is_none() {
                let d = deep(a, b, apart, support, size);
                if d.high > 0.0 {
                    *simplex = Simplex::default();
                    return overlapping(&d, size);
                }
                if -d.high > found.lower {
                    (found.lower, found.normal) = (-d.high, d.normal);
                }
            }
            found.lower = found.lower.min(found.gap);
            warm.keep(facing.filter(|_| travel.is_none()), shift);
            found
        }
        (None, _) => {
            *simplex = Simplex::default();
            if travel.is_some() {
                return Found { gap: 0.0, lower: 0.0, normal: DVec3::X, at: Vertex::default() };
            }
            overlapping(&deep(a, b, apart, support, size), size)
        }
    }
}

/// The cores are known to touch, whatever the polytope knows.
fn overlapping(d: &Depth, size: f64) -> Found {
    let gap = (-d.low).min(TOUCHING * size);
    Found { gap, lower: (-d.high).min(gap), normal: d.normal, at: d.at }
}

/// Depth of the origin in A − B, by what proves it soonest.
fn deep(a: &Body, b: &Body, apart: DVec3, support: impl Fn(DVec3) -> Vertex, size: f64) -> Depth {
    let mut found = penetration::depth(&support, size, FACES);
    if found.is_proved() {
        return found;
    }
    if let Some(round) = revolved::depth(a, b, apart) {
        found = found.with(&round);
        if found.is_proved() {
            return found;
        }
    }
    found.with(&penetration::depth(support, size, MOST_FACES))
}

/// Distance of the origin from the set with the given support function; `None` if it lies inside (or so near that
/// rounding cannot tell). `prove` may find the answer from the parts that the search finds facing; these are
/// returned too if it did.
fn distance(
    support: impl Fn(DVec3) -> Vertex,
    prove: impl Fn(&mut Facing) -> Option<Found>,
    simplex: &mut Simplex,
    size: f64,
) -> (Option<Found>, Option<Facing>) {
    let mut v = simplex.point();
    let mut normal = DVec3::X;
    let (mut gap, mut lower) = (f64::NAN, f64::NEG_INFINITY);
    let tiny = TOUCHING * size;
    let mut next_guess = 0;
    for step in 0..MOST_STEPS {
        let length = v.length();
        if !(length > tiny) {
            return (None, None);
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
        if step >= next_guess && simplex.knows(next.discs) {
            let mut facing = Facing::of(simplex);
            if let Some(found) = facing.as_mut().and_then(&prove)
                && found.gap <= gap + AIM
            {
                return (Some(found), facing);
            }
            next_guess = step + 3;
        }
        match simplex.advance(next, v.length_squared()) {
            Step::Nearer(nearer) => v = nearer,
            Step::Stuck => break,
            Step::Inside => return (None, None),
        }
    }
    (Some(Found { gap, lower, normal, at: simplex.nearest() }), None)
}

/// Distance (mm) and the unit direction from A to B of a Minkowski difference given by its support function;
/// `None` if it holds the origin. `first` is a direction in which to begin.
pub(crate) fn nearest_to_origin(
    support: impl Fn(DVec3) -> Vertex,
    first: DVec3,
    size: f64,
) -> Option<(f64, DVec3)> {
    let mut simplex = Simplex::new(support(first));
    let (found, _) = distance(support, |_| None, &mut simplex, size);
    found.map(|found| (found.gap, found.normal))
}
