//! Bringing a channel up to date after few of its solids have changed: only their pairs are computed.

use super::envelope::{self, Scratch, positions, travel};
use super::least::{self, take_up, wanted};
use super::tree::{Node, apart_squared};
use super::window::Window;
use super::{Ask, Channel, Group, Item, Nearest, Sides, SolidId};

/// With more than this share of a group changed, all is computed afresh.
const FEW: usize = 4;

/// Brings envelope, least gap and near pairs up to date; false (and nothing done) if too much has changed.
pub(super) fn sweep(
    channel: &mut Channel,
    sides: &Sides<'_>,
    ask: &Ask,
    window: &Window,
    scratch: &mut Scratch,
) -> bool {
    if channel.result.envelope.len() != positions(ask) {
        return false;
    }
    let (Some(in_a), Some(in_b)) =
        (changed(sides.items, sides.a, channel.seen.0), changed(sides.items, sides.b, channel.seen.1))
    else {
        return false;
    };
    let is_changed = |(a, b): (u32, u32)| in_a.contains(&a) || in_b.contains(&b);
    let pairs = changed_pairs(channel, sides, &in_a, &in_b);
    let range = window.over(ask.from, ask.to);

    channel.near.retain(|near| !is_changed(near.places));
    let lost = channel.least.is_none_or(|(kernel, _)| channel.kernels.places(kernel).is_none_or(is_changed));
    let mut best = if lost { None } else { channel.least };
    for &places in &pairs {
        let boxes = leaf_boxes(sides, places);
        if boxes.is_some_and(|(a, b)| within(apart_squared(&a, &b, range.0, range.1), ask.horizon)) {
            let found = take_up(channel, sides, ask, range, places);
            if let Some(near) = found {
                channel.near.push(near);
            }
        }
    }
    for near in &channel.near {
        if best.is_none_or(|(_, old)| near.least.value < old.value) {
            best = Some((near.kernel, near.least));
        }
    }
    // Beyond the horizon nothing is listed.
    if best.is_none_or(|(_, found)| found.value > ask.horizon) {
        best = least::least(channel, sides, ask, window, &mut scratch.apart, None);
    }
    channel.least = best;
    if window.slope != 0.0 {
        recompute_lost(channel, sides, ask, window, (&in_a, &in_b), scratch);
        let highest = channel.result.envelope.iter().map(|n| n.gap).fold(f64::NEG_INFINITY, f64::max);
        for &places in &pairs {
            lower(channel, sides, ask, window, (places, highest));
        }
    }
    envelope::finish(channel, sides, ask, window);
    true
}

/// The places in a group that have changed since a version; `None` if they are many.
fn changed(items: &[Item], group: &Group, since: u64) -> Option<Vec<u32>> {
    if group.version == since {
        return Some(Vec::new());
    }
    let is_changed = |id: u32| items.get(id as usize).is_some_and(|item| item.changed > since);
    let places: Vec<u32> =
        (0u32..).zip(&group.members).filter(|&(_, &id)| is_changed(id)).map(|(place, _)| place).collect();
    (places.len() * FEW <= group.members.len().max(FEW)).then_some(places)
}

/// Every wanted pair with a changed solid, once.
fn changed_pairs(channel: &Channel, sides: &Sides<'_>, in_a: &[u32], in_b: &[u32]) -> Vec<(u32, u32)> {
    let count = |group: &Group| 0..group.members.len() as u32;
    let mut pairs: Vec<(u32, u32)> = Vec::new();
    if sides.same {
        for &p in in_a {
            pairs.extend(count(sides.a).filter(|&q| q != p).map(|q| (p.min(q), p.max(q))));
        }
    } else {
        in_a.iter().for_each(|&p| pairs.extend(count(sides.b).map(|q| (p, q))));
        in_b.iter().for_each(|&q| pairs.extend(count(sides.a).map(|p| (p, q))));
    }
    pairs.sort_unstable();
    pairs.dedup();
    pairs.retain(|&(p, q)| wanted(channel, sides, p, q));
    pairs
}

/// The boxes of a pair; `None` if one of the two is not sound.
fn leaf_boxes(sides: &Sides<'_>, places: (u32, u32)) -> Option<(Node, Node)> {
    let leaf = |members: &[u32], place: u32| {
        let bounds = sides.items.get(*members.get(place as usize)? as usize)?.ready.as_ref()?.bounds;
        Some(Node { low: bounds.low, high: bounds.high, index: place, count: 1 })
    };
    Some((leaf(&sides.a.members, places.0)?, leaf(&sides.b.members, places.1)?))
}

/// Whether boxes that far apart (squared) may hold a gap below the limit.
fn within(apart_squared: f64, limit: f64) -> bool {
    apart_squared == 0.0 || (limit >= 0.0 && apart_squared <= limit * limit)
}

/// Computes the envelope anew wherever a changed solid was the nearest.
fn recompute_lost(
    channel: &mut Channel,
    sides: &Sides<'_>,
    ask: &Ask,
    window: &Window,
    (in_a, in_b): (&[u32], &[u32]),
    scratch: &mut Scratch,
) {
    let ids = |group: &Group, places: &[u32]| -> Vec<SolidId> {
        places.iter().filter_map(|&p| group.members.get(p as usize)).map(|&id| SolidId(id)).collect()
    };
    let (ids_a, ids_b) = (ids(sides.a, in_a), ids(sides.b, in_b));
    // Where there was no pair at all there may be one now.
    let lost = |n: &Nearest| ids_a.contains(&n.a) || ids_b.contains(&n.b) || n.a == SolidId(u32::MAX);
    let count = channel.result.envelope.len();
    let mut k = 0;
    while k < count {
        if !lost(&channel.result.envelope[k]) {
            k += 1;
            continue;
        }
        let first = k;
        while k < count && lost(&channel.result.envelope[k]) {
            k += 1;
        }
        envelope::range(channel, sides, ask, window, (first, k - 1), scratch);
    }
}

/// Lowers the envelope wherever a pair is nearer; `highest` is a bound of the envelope.
fn lower(
    channel: &mut Channel,
    sides: &Sides<'_>,
    ask: &Ask,
    window: &Window,
    (places, highest): ((u32, u32), f64),
) {
    let Some((a, b)) = leaf_boxes(sides, places) else { return };
    // The shifts at which the boxes come that near along the travel.
    let near = highest.max(0.0);
    let shifts = (a.low.x - b.high.x - near, a.high.x - b.low.x + near);
    let Some((from, to)) = window.travels(shifts, ask.from, ask.to) else { return };
    let last = positions(ask) - 1;
    let step = (ask.to - ask.from) / last.max(1) as f64;
    let place = |s: f64| ((s - ask.from) / step).clamp(0.0, last as f64);
    let (p, q) = (place(from), place(to));
    let (first, end) = if step == 0.0 { (0.0, last as f64) } else { (p.min(q).floor(), p.max(q).ceil()) };
    let mut kernel = None;
    for k in first as usize..=end as usize {
        let s = travel(ask, k);
        let (low, high) = window.at(s);
        let known = channel.result.envelope[k].gap;
        if !within(apart_squared(&a, &b, low, high), known) {
            continue;
        }
        let kernel = *kernel.get_or_insert_with(|| channel.kernels.find(sides, places.0, places.1));
        let whole = window.over(ask.from, ask.to);
        let (gap, _) = channel.kernels.gap_at(sides, kernel, window, whole, s);
        if gap < known {
            let [a, b] = channel.kernels.solids(kernel);
            channel.result.envelope[k] = Nearest { gap, a: SolidId(a), b: SolidId(b) };
        }
    }
}
