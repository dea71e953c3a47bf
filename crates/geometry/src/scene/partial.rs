//! Bringing a channel up to date after few of its solids have changed: only their pairs are computed.

use super::answer::Nearest;
use super::channel::Channel;
use super::envelope::{self, positions, travel};
use super::group::Group;
use super::item::Item;
use super::least::{self, add_near, wanted};
use super::question::{Ask, SolidId};
use super::scratch::{Scratch, Stretch};
use super::sides::Sides;
use super::sieve::Candidate;
use super::tree::{Node, apart_squared};
use super::window::Window;

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
    if channel.has_envelope && channel.result.envelope.len() != positions(ask) {
        return false;
    }
    let (Some(in_a), Some(in_b)) =
        (changed(sides.items, sides.a, channel.seen.0), changed(sides.items, sides.b, channel.seen.1))
    else {
        return false;
    };
    let range = window.over(ask.from, ask.to);
    let follows = window.slope != 0.0 && channel.has_envelope;
    // Of two bodies only those solids are listed that say something: with one of them changed, that may be others.
    let whole_bodies = (with_their_bodies(sides, sides.a, &in_a), with_their_bodies(sides, sides.b, &in_b));
    let is_of_changed = |(a, b): (u32, u32)| whole_bodies.0.contains(&a) || whole_bodies.1.contains(&b);
    channel.near.retain(|near| !is_of_changed(near.places));
    let lost =
        channel.least.is_none_or(|(kernel, _)| channel.kernels.places(kernel).is_none_or(is_of_changed));
    let mut best = if lost { None } else { channel.least };
    let of_bodies = changed_pairs(channel, sides, (&whole_bodies.0, &whole_bodies.1), (range, ask.horizon));
    let candidates =
        of_bodies.iter().filter_map(|&places| leaf_boxes(sides, places).map(|(a, b)| Candidate::new(&a, &b)));
    add_near(channel, sides, ask, window, candidates.collect());
    best = least::least_of_near(channel, best, ask);
    channel.least = best.or_else(|| least::sought(channel, sides, ask, window, &mut scratch.apart, None));
    if follows {
        recompute_lost(channel, sides, ask, window, (&in_a, &in_b), scratch);
        roof(channel, ask, window, &mut scratch.roof);
        let reach = (range, ask.horizon.max(ask.ceiling));
        for places in changed_pairs(channel, sides, (&in_a, &in_b), reach) {
            lower(channel, sides, ask, window, (places, &scratch.roof));
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

/// The places of all solids of the bodies that some places belong to.
fn with_their_bodies(sides: &Sides<'_>, group: &Group, places: &[u32]) -> Vec<u32> {
    let body = |id: u32| sides.items.get(id as usize).map(|item| item.body);
    let of: Vec<Option<u32>> =
        places.iter().map(|&place| group.members.get(place as usize).and_then(|&id| body(id))).collect();
    (0u32..).zip(&group.members).filter(|&(_, &id)| of.contains(&body(id))).map(|(place, _)| place).collect()
}

/// Every wanted pair with a changed solid whose boxes come within reach for shifts in a range, once.
fn changed_pairs(
    channel: &Channel,
    sides: &Sides<'_>,
    (in_a, in_b): (&[u32], &[u32]),
    (range, reach): ((f64, f64), f64),
) -> Vec<(u32, u32)> {
    let count = |group: &Group| 0..group.members.len() as u32;
    let mut pairs: Vec<(u32, u32)> = Vec::new();
    let mut add = |p: u32, q: u32| {
        let boxes = leaf_boxes(sides, (p, q));
        let comes_near = |(a, b)| within(apart_squared(&a, &b, range.0, range.1), reach);
        if boxes.is_some_and(comes_near) && wanted(channel, sides, p, q) {
            pairs.push((p, q));
        }
    };
    if sides.same {
        for &p in in_a {
            let others = count(sides.a).filter(|q| *q > p || (*q < p && !in_a.contains(q)));
            others.for_each(|q| add(p.min(q), p.max(q)));
        }
    } else {
        in_a.iter().for_each(|&p| count(sides.b).for_each(|q| add(p, q)));
        in_b.iter().for_each(|&q| count(sides.a).filter(|p| !in_a.contains(p)).for_each(|p| add(p, q)));
    }
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

/// True if boxes that far apart (squared) may hold a gap below the limit.
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
    let lost = |n: &Nearest| ids_a.contains(&n.a) || ids_b.contains(&n.b);
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

/// So many positions make one stretch of the roof.
const STRETCH: usize = 16;

/// The gaps that the envelope stays below, stretch by stretch.
fn roof(channel: &Channel, ask: &Ask, window: &Window, roof: &mut Vec<Stretch>) {
    roof.clear();
    let mut first = 0;
    for stretch in channel.result.envelope.chunks(STRETCH) {
        let last = first + stretch.len() - 1;
        roof.push(Stretch {
            shifts: window.over(travel(ask, first), travel(ask, last)),
            highest: stretch
                .iter()
                .map(|nearest| nearest.gap)
                .fold(f64::NEG_INFINITY, f64::max)
                .min(ask.ceiling),
        });
        first = last + 1;
    }
}

/// Lowers the envelope wherever a pair is nearer.
fn lower(
    channel: &mut Channel,
    sides: &Sides<'_>,
    ask: &Ask,
    window: &Window,
    (places, roof): ((u32, u32), &[Stretch]),
) {
    let Some((a, b)) = leaf_boxes(sides, places) else { return };
    let whole = window.over(ask.from, ask.to);
    let mut kernel = None;
    for (i, &Stretch { shifts: (low, high), highest }) in roof.iter().enumerate() {
        if !within(apart_squared(&a, &b, low, high), highest) {
            continue;
        }
        let first = STRETCH * i;
        for k in first..(first + STRETCH).min(channel.result.envelope.len()) {
            let s = travel(ask, k);
            let (low, high) = window.at(s);
            let known = channel.result.envelope[k].gap.min(ask.ceiling);
            if !within(apart_squared(&a, &b, low, high), known) {
                continue;
            }
            let kernel = *kernel.get_or_insert_with(|| channel.kernels.find(sides, places.0, places.1));
            if channel.kernels.is_above(kernel, window, s, known) {
                continue;
            }
            let gap = channel.kernels.gap_kept(sides, kernel, window, whole, s).gap;
            if gap < known {
                let [a, b] = channel.kernels.solids(kernel);
                channel.result.envelope[k] = Nearest { gap, a: SolidId(a), b: SolidId(b) };
            }
        }
    }
}
