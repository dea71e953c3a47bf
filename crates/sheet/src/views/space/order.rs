//! Which lump hides which: the order of painting.
//!
//! Two convex bodies that do not enter each other have a plane between them, and the one on the reader's side
//! of it is in front wherever their outlines overlap (Newell, Newell and Sancha, 1972, test the same for
//! faces). Bodies of a fixture stand square to the rail, so mostly the plane is a side of their boxes; for the
//! rest the surfaces are compared at one point of the overlap, which for disjoint convex bodies decides for all
//! of it. Where several hide each other in a ring, or enter each other, the farthest middle comes first.

use glam::DVec2;

use super::lump::Lump;
use crate::views::projection::Projector;

/// Overlaps of outlines (mm) and of boxes less than this are none: bodies that touch.
const TOUCH: f64 = 1e-6;
/// Cosine below which a direction runs along the paper.
const ALONG: f64 = 1e-9;

/// Numbers of the lumps, the first to be painted first.
pub(super) fn painting_order(view: &Projector, lumps: &[Lump]) -> Vec<usize> {
    let count = lumps.len();
    // For each lump those painted after it because they hide it, and how many it waits for.
    let mut after: Vec<Vec<Later>> = vec![Vec::new(); count];
    let mut waits: Vec<u32> = vec![0; count];
    for i in 0..count {
        for j in i + 1..count {
            let Some((a_hides, sure)) = hides(view, &lumps[i], &lumps[j]) else { continue };
            let (first, later) = if a_hides { (j, i) } else { (i, j) };
            after[first].push(Later { lump: later, sure });
            waits[later] += 1;
        }
    }
    let mut farthest: Vec<usize> = (0..count).collect();
    farthest.sort_by(|a, b| lumps[*a].depth.total_cmp(&lumps[*b].depth));
    let mut done = vec![false; count];
    let mut order = Vec::with_capacity(count);
    let mut ready: Vec<usize> = farthest.iter().rev().copied().filter(|i| waits[*i] == 0).collect();
    let mut made_sure = false;
    while order.len() < count {
        let chosen = match ready.pop() {
            Some(chosen) => chosen,
            // All that is left waits in rings: first let go of what does not really overlap.
            None if !made_sure => {
                made_sure = true;
                let_go(lumps, &done, &mut after, &mut waits);
                ready.extend(farthest.iter().rev().copied().filter(|i| !done[*i] && waits[*i] == 0));
                continue;
            }
            None => match farthest.iter().copied().find(|i| !done[*i]) {
                Some(chosen) => chosen,
                None => break,
            },
        };
        if done[chosen] {
            continue;
        }
        done[chosen] = true;
        order.push(chosen);
        for later in std::mem::take(&mut after[chosen]) {
            let later = later.lump;
            waits[later] = waits[later].saturating_sub(1);
            if waits[later] == 0 && !done[later] {
                ready.push(later);
            }
        }
    }
    order
}

/// A lump that is painted after another.
#[derive(Clone, Copy)]
struct Later {
    lump: usize,
    /// Whether the outlines are known to overlap; else only boxes round them do.
    sure: bool,
}

/// Lets go of the waits between lumps not yet painted whose outlines do not overlap.
fn let_go(lumps: &[Lump], done: &[bool], after: &mut [Vec<Later>], waits: &mut [u32]) {
    for (first, later) in after.iter_mut().enumerate().filter(|(first, _)| !done[*first]) {
        later.retain(|later| {
            let stays = later.sure || overlap(&lumps[first].hull, &lumps[later.lump].hull).is_some();
            if !stays {
                waits[later.lump] = waits[later.lump].saturating_sub(1);
            }
            stays
        });
    }
}

/// Whether `a` hides some of `b` (`true`), or `b` some of `a`, and whether their outlines surely overlap; `None`
/// when neither hides the other.
fn hides(view: &Projector, a: &Lump, b: &Lump) -> Option<(bool, bool)> {
    if !a.may_overlap(b, TOUCH) {
        return None;
    }
    let (mut a_before, mut b_before) = (false, false);
    for axis in 0..3 {
        let toward = view.toward[axis];
        let (a_below, b_below) = (a.high[axis] <= b.low[axis] + TOUCH, b.high[axis] <= a.low[axis] + TOUCH);
        if toward.abs() < ALONG || a_below == b_below {
            continue;
        }
        if a_below == (toward > 0.0) {
            b_before = true;
        } else {
            a_before = true;
        }
    }
    match (a_before, b_before) {
        (true, false) => Some((true, false)),
        (false, true) => Some((false, false)),
        // Two planes that disagree leave no line of sight through both.
        (true, true) => None,
        (false, false) => {
            let at = overlap(&a.hull, &b.hull)?;
            Some((a.front(view, at) > b.front(view, at), true))
        }
    }
}

/// The middle of the overlap of two convex outlines, both counter-clockwise; `None` when they share no area
/// (Sutherland and Hodgman's clipping).
fn overlap(a: &[DVec2], b: &[DVec2]) -> Option<DVec2> {
    let mut points = a.to_vec();
    let mut kept = Vec::with_capacity(points.len() + 8);
    for (from, to) in b.iter().zip(b.iter().cycle().skip(1)) {
        let side = *to - *from;
        let inside = |p: DVec2| side.perp_dot(p - *from);
        kept.clear();
        let mut before = *points.last()?;
        let mut was = inside(before);
        for &p in &points {
            let is = inside(p);
            if (was < 0.0) != (is < 0.0) {
                kept.push(before.lerp(p, was / (was - is)));
            }
            if is >= 0.0 {
                kept.push(p);
            }
            (before, was) = (p, is);
        }
        std::mem::swap(&mut points, &mut kept);
        if points.len() < 3 {
            return None;
        }
    }
    let area: f64 = points.iter().zip(points.iter().cycle().skip(1)).map(|(p, q)| p.perp_dot(*q)).sum();
    let low = points.iter().copied().fold(DVec2::INFINITY, DVec2::min);
    let high = points.iter().copied().fold(DVec2::NEG_INFINITY, DVec2::max);
    (area > TOUCH * (high - low).max_element() && (high - low).min_element() > TOUCH)
        .then(|| points.iter().sum::<DVec2>() / points.len() as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn overlaps_of_outlines() {
        let square =
            |x: f64, y: f64, s: f64| [(x, y), (x + s, y), (x + s, y + s), (x, y + s)].map(DVec2::from);
        for (a, b, middle) in [
            (square(0.0, 0.0, 2.0), square(1.0, 1.0, 2.0), Some(DVec2::splat(1.5))),
            (square(0.0, 0.0, 4.0), square(1.0, 1.0, 2.0), Some(DVec2::splat(2.0))),
            (square(0.0, 0.0, 1.0), square(1.0, 0.0, 1.0), None),
            (square(0.0, 0.0, 1.0), square(3.0, 3.0, 1.0), None),
        ] {
            match (overlap(&a, &b), middle) {
                (Some(got), Some(expected)) => assert!(got.distance(expected) < 1e-9, "{got}"),
                (got, expected) => assert_eq!(got, expected),
            }
        }
    }
}
