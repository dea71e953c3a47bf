//! Least gaps, near bodies and intervals of a channel.

use super::kernel::PairLeast;
use super::tree::{Node, apart_squared};
use super::window::Window;
use super::{Ask, Channel, Least, NearBodies, Sides, SolidId};

/// Walks all pairs of solids whose boxes come within `limit` (which `visit` may lower) for shifts between two.
/// `visit` gets the two places and the boxes' distance squared.
pub(super) fn walk(
    sides: &Sides<'_>,
    (u0, u1): (f64, f64),
    stack: &mut Vec<(u32, u32, f64)>,
    mut limit: f64,
    mut visit: impl FnMut(u32, u32, f64) -> f64,
) {
    let (Some(ra), Some(rb)) = (sides.a.tree.root(), sides.b.tree.root()) else { return };
    let (ta, tb) = (&sides.a.tree.nodes, &sides.b.tree.nodes);
    stack.clear();
    stack.push((0, 0, apart_squared(ra, rb, u0, u1)));
    while let Some((ia, ib, apart)) = stack.pop() {
        if beyond(apart, limit) {
            continue;
        }
        let (a, b) = (&ta[ia as usize], &tb[ib as usize]);
        if a.count == 1 && b.count == 1 {
            if !sides.same || a.index < b.index {
                limit = visit(a.index, b.index, apart);
            }
            continue;
        }
        let mut children = children(a, b, ia, ib)
            .map(|(i, j)| (i, j, apart_squared(&ta[i as usize], &tb[j as usize], u0, u1)));
        // The nearer child is looked at first.
        if children[0].2 < children[1].2 {
            children.swap(0, 1);
        }
        for child in children {
            if !beyond(child.2, limit) {
                stack.push(child);
            }
        }
    }
}

/// Whether boxes that far apart (squared) cannot hold a gap below the limit. Boxes that overlap say nothing.
fn beyond(apart_squared: f64, limit: f64) -> bool {
    apart_squared > 0.0 && (limit < 0.0 || apart_squared > limit * limit)
}

/// A pair of nodes split into two, the larger node opened.
pub(super) fn children(a: &Node, b: &Node, ia: u32, ib: u32) -> [(u32, u32); 2] {
    if b.count == 1 || (a.count > 1 && size(a) >= size(b)) {
        [(a.index, ib), (a.index + 1, ib)]
    } else {
        [(ia, b.index), (ia, b.index + 1)]
    }
}

fn size(n: &Node) -> f64 {
    (n.high - n.low).length_squared()
}

/// Whether a pair of places is wanted.
pub(super) fn wanted(channel: &Channel, sides: &Sides<'_>, a: u32, b: u32) -> bool {
    channel.wanted.as_ref().is_none_or(|wanted| {
        let body = |members: &[u32], place: u32| sides.items[members[place as usize] as usize].body;
        wanted(body(&sides.a.members, a), body(&sides.b.members, b))
    })
}

/// The least gap of all over the travel, starting from a known upper bound with its pair of places.
pub(super) fn least(
    channel: &mut Channel,
    sides: &Sides<'_>,
    ask: &Ask,
    window: &Window,
    stack: &mut Vec<(u32, u32, f64)>,
    seed: Option<(u32, u32)>,
) -> Option<Least> {
    let range = window.over(ask.from, ask.to);
    let mut best: Option<(usize, PairLeast)> = None;
    if let Some((a, b)) = seed {
        let kernel = channel.kernels.find(sides, a, b);
        best = Some((kernel, channel.kernels.least(sides, kernel, range.0, range.1)));
    }
    let start = best.map_or(f64::INFINITY, |(_, l)| l.gap);
    walk(sides, range, stack, start, |a, b, _| {
        let current = best.map_or(f64::INFINITY, |(_, l)| l.gap);
        if seed == Some((a, b)) || !wanted(channel, sides, a, b) {
            return current;
        }
        let kernel = channel.kernels.find(sides, a, b);
        let found = channel.kernels.least(sides, kernel, range.0, range.1);
        if found.gap < current {
            best = Some((kernel, found));
        }
        found.gap.min(current)
    });
    let (kernel, found) = best?;
    (found.gap < f64::INFINITY).then(|| described(channel, kernel, &found, ask, window))
}

/// A pair's least gap in terms of the travel.
fn described(channel: &Channel, kernel: usize, found: &PairLeast, ask: &Ask, window: &Window) -> Least {
    let [a, b] = channel.kernels.solids(kernel);
    let shift = 0.5 * (found.from + found.to);
    let span = window
        .travels((found.from, found.to), ask.from, ask.to)
        .or_else(|| window.travels((shift, shift), ask.from, ask.to))
        .unwrap_or((ask.from, ask.to));
    Least { gap: found.gap, lower: found.lower, a: SolidId(a), b: SolidId(b), shift, span }
}

/// Every pair of bodies within the horizon. With `only`, just the pairs with a solid for which it says yes.
pub(super) fn near(
    channel: &mut Channel,
    sides: &Sides<'_>,
    ask: &Ask,
    window: &Window,
    stack: &mut Vec<(u32, u32, f64)>,
) -> Vec<NearBodies> {
    let range = window.over(ask.from, ask.to);
    let mut pairs: Vec<(u32, u32, usize, PairLeast)> = Vec::new();
    walk(sides, range, stack, ask.horizon, |a, b, _| {
        if wanted(channel, sides, a, b) {
            let kernel = channel.kernels.find(sides, a, b);
            let found = channel.kernels.least(sides, kernel, range.0, range.1);
            if found.gap <= ask.horizon {
                let body = |members: &[u32], place: u32| sides.items[members[place as usize] as usize].body;
                pairs.push((body(&sides.a.members, a), body(&sides.b.members, b), kernel, found));
            }
        }
        ask.horizon
    });
    pairs.sort_by(|p, q| (p.0, p.1).cmp(&(q.0, q.1)).then(p.3.gap.total_cmp(&q.3.gap)));
    let mut all = Vec::new();
    for chunk in pairs.chunk_by(|p, q| (p.0, p.1) == (q.0, q.1)) {
        let Some(&(body_a, body_b, kernel, found)) = chunk.first() else { continue };
        let mut entry = NearBodies {
            body_a,
            body_b,
            least: described(channel, kernel, &found, ask, window),
            touching: Vec::new(),
            below: Vec::new(),
        };
        for (level, list) in [(0.0, &mut entry.touching), (ask.below, &mut entry.below)] {
            for &(_, _, kernel, found) in chunk.iter().filter(|p| p.3.gap <= level) {
                let inside = 0.5 * (found.from + found.to);
                let shifts = channel.kernels.within(sides, kernel, range, inside, level);
                list.extend(window.travels(shifts, ask.from, ask.to));
            }
            merge(list);
        }
        all.push(entry);
    }
    all.sort_by(|p, q| p.least.gap.total_cmp(&q.least.gap));
    all
}

/// Sorts intervals and joins those that overlap or touch.
fn merge(list: &mut Vec<(f64, f64)>) {
    list.sort_by(|p, q| p.0.total_cmp(&q.0));
    let mut kept = 0;
    for i in 0..list.len() {
        if kept > 0 && list[i].0 <= list[kept - 1].1 {
            list[kept - 1].1 = list[kept - 1].1.max(list[i].1);
        } else {
            list[kept] = list[i];
            kept += 1;
        }
    }
    list.truncate(kept);
}
