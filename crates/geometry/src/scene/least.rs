//! Least gaps, near bodies and intervals of a channel.

use std::collections::HashMap;

use super::answer::{Least, NearBodies};
use super::channel::Channel;
use super::near::Near;
use super::question::{Ask, SolidId};
use super::sides::Sides;
use super::sieve::{Candidate, beyond};
use super::tree::{Node, apart_squared};
use super::window::Window;
use crate::Bounds;
use crate::CERTIFIED;
use crate::search::Least as PairLeast;

/// Visits all pairs of solids whose boxes come within `limit` (which `visit` may lower) for shifts between two, and
/// perhaps such as are not wanted.
pub(super) fn walk(
    sides: &Sides<'_>,
    (u0, u1): (f64, f64),
    stack: &mut Vec<(u32, u32, f64)>,
    mut limit: f64,
    mut visit: impl FnMut(&Candidate) -> f64,
) {
    if let Some(pairs) = sides.sieve.and_then(|sieve| sieve.below(limit)) {
        for pair in pairs {
            if beyond(pair.across_squared, limit) {
                break;
            }
            if !pair.is_above((u0, u1), limit) {
                limit = visit(pair);
            }
        }
        return;
    }
    let (ta, tb) = (&sides.a.tree(sides.items).nodes, &sides.b.tree(sides.items).nodes);
    let (Some(ra), Some(rb)) = (ta.first(), tb.first()) else { return };
    // On a travel as long as the group itself what counts is where things are across it.
    let long = 2.0 * (u1 - u0) > (ra.high.x - ra.low.x).max(rb.high.x - rb.low.x);
    let (ta, tb) = if long {
        (&sides.a.across(sides.items).nodes, &sides.b.across(sides.items).nodes)
    } else {
        (ta, tb)
    };
    stack.clear();
    stack.push((0, 0, apart_squared(ra, rb, u0, u1)));
    while let Some((ia, ib, apart)) = stack.pop() {
        if beyond(apart, limit) {
            continue;
        }
        let (a, b) = (&ta[ia as usize], &tb[ib as usize]);
        if limit < 0.0 && Candidate::new(a, b).is_above((u0, u1), limit) {
            continue;
        }
        if a.count == 1 && b.count == 1 {
            if !sides.same || a.index < b.index {
                limit = visit(&Candidate::new(a, b));
            }
            continue;
        }
        let [(i, j), (k, l)] = children(a, b, ia, ib);
        let first = apart_squared(&ta[i as usize], &tb[j as usize], u0, u1);
        let second = apart_squared(&ta[k as usize], &tb[l as usize], u0, u1);
        // The nearer child is looked at first.
        let (near, far) =
            if second < first { ((k, l, second), (i, j, first)) } else { ((i, j, first), (k, l, second)) };
        for child in [far, near] {
            if !beyond(child.2, limit) {
                stack.push(child);
            }
        }
    }
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

/// True if two boxes pass within reach of each other along each direction across the travel.
fn pass_within(reach: f64, a: &Bounds, b: &Bounds) -> bool {
    let aside = (b.low - a.high).max(a.low - b.high);
    aside.y <= reach && aside.z <= reach
}

/// Lists the wanted pairs whose boxes pass within reach, whatever the travel.
pub(super) fn passing(channel: &Channel, sides: &Sides<'_>, reach: f64, list: &mut Vec<Candidate>) {
    let (in_a, in_b) = (sides.a.clusters(sides.items), sides.b.clusters(sides.items));
    for (index, a) in in_a.iter().enumerate() {
        // Within a group every pair once.
        for b in in_b.iter().skip(if sides.same { index } else { 0 }) {
            let is_wanted = || channel.wanted.as_ref().is_none_or(|wanted| wanted(a.body, b.body));
            if !pass_within(reach, &a.around, &b.around) || !is_wanted() {
                continue;
            }
            for &(place_a, box_a) in &a.solids {
                if !pass_within(reach, &box_a, &b.around) {
                    continue;
                }
                for &(place_b, box_b) in &b.solids {
                    if (sides.same && place_b <= place_a) || !pass_within(reach, &box_a, &box_b) {
                        continue;
                    }
                    let pair = Candidate::between((place_a, place_b), box_a, box_b);
                    if pair.across_squared <= reach * reach {
                        list.push(pair);
                    }
                }
            }
        }
    }
}

/// True if a pair of places is wanted.
pub(super) fn wanted(channel: &Channel, sides: &Sides<'_>, a: u32, b: u32) -> bool {
    channel.wanted.as_ref().is_none_or(|wanted| {
        let (a, b) = bodies(sides, (a, b));
        wanted(a, b)
    })
}

/// The least gap of all over the travel, starting from a known upper bound with its pair of places; `None` where nobody
/// asks for it.
pub(super) fn sought(
    channel: &mut Channel,
    sides: &Sides<'_>,
    ask: &Ask,
    window: &Window,
    stack: &mut Vec<(u32, u32, f64)>,
    seed: Option<(u32, u32)>,
) -> Option<(usize, PairLeast)> {
    // Where nothing changes with the travel it is the envelope.
    if !(channel.has_least || (channel.has_envelope && window.slope == 0.0)) {
        return None;
    }
    let range = window.over(ask.from, ask.to);
    let mut best: Option<(usize, PairLeast)> = None;
    if let Some((a, b)) = seed {
        let kernel = channel.kernels.find(sides, a, b);
        best = Some((kernel, channel.kernels.least(sides, kernel, range, f64::INFINITY)));
    }
    let start = best.map_or(f64::INFINITY, |(_, l)| l.value);
    walk(sides, range, stack, start, |&Candidate { places: (a, b), .. }| {
        let current = best.map_or(f64::INFINITY, |(_, l)| l.value);
        if seed == Some((a, b)) || !wanted(channel, sides, a, b) {
            return current;
        }
        let kernel = channel.kernels.find(sides, a, b);
        let found = channel.kernels.least(sides, kernel, range, f64::INFINITY);
        if found.value < current {
            best = Some((kernel, found));
        }
        found.value.min(current)
    });
    best.filter(|(_, found)| found.value < f64::INFINITY)
}

/// A pair's least gap in terms of the travel.
pub(super) fn described(
    channel: &Channel,
    kernel: usize,
    found: &PairLeast,
    ask: &Ask,
    window: &Window,
) -> Least {
    let [a, b] = channel.kernels.solids(kernel);
    let (from, to) = channel.kernels.span(kernel, window.over(ask.from, ask.to), found);
    let shift = 0.5 * (from + to);
    let span = window
        .travels((from, to), ask.from, ask.to)
        .or_else(|| window.travels((shift, shift), ask.from, ask.to))
        .unwrap_or((ask.from, ask.to));
    Least { gap: found.value, lower: found.lower, a: SolidId(a), b: SolidId(b), shift, span }
}

/// What is known of two bodies while their solids are gone through: the least gap so far, and a stretch of shifts in
/// which they are known to touch, and to be as near as is asked.
#[derive(Clone, Copy, Debug)]
struct Known {
    gap: f64,
    touching: Option<(f64, f64)>,
    below: Option<(f64, f64)>,
}

impl Known {
    const NOTHING: Self = Self { gap: f64::INFINITY, touching: None, below: None };

    /// Whether a pair of solids can add nothing: it holds no lesser gap, and is near within what is known alone.
    fn covers(&self, pair: &Candidate, ask: &Ask, (u0, u1): (f64, f64)) -> bool {
        let covers = |known: Option<(f64, f64)>, distance: f64| {
            let (from, to) = pair.within(distance);
            let (from, to) = (from.max(u0), to.min(u1));
            from > to || known.is_some_and(|known| known.0 <= from && to <= known.1)
        };
        pair.is_above((u0, u1), self.gap)
            && (!reports_intervals(ask)
                || (covers(self.touching, CERTIFIED) && covers(self.below, ask.below.max(0.0))))
    }

    fn add(&mut self, near: &Near) {
        self.gap = self.gap.min(near.least.value);
        for (known, found) in [(&mut self.touching, near.touching), (&mut self.below, near.below)] {
            *known = match (*known, found) {
                (Some(a), Some(b)) if a.0 <= b.1 && b.0 <= a.1 => Some((a.0.min(b.0), a.1.max(b.1))),
                // The longer, of two that lie apart.
                (Some(a), Some(b)) if b.1 - b.0 <= a.1 - a.0 => Some(a),
                (known, found) => found.or(known),
            };
        }
    }
}

/// Takes up a pair if it comes within the horizon; a gap that is no less than `enough` may be told too great.
fn take_up(
    channel: &mut Channel,
    sides: &Sides<'_>,
    ask: &Ask,
    range: (f64, f64),
    places: (u32, u32),
    enough: f64,
) -> Option<Near> {
    if !wanted(channel, sides, places.0, places.1) {
        return None;
    }
    let kernel = channel.kernels.find(sides, places.0, places.1);
    let least = channel.kernels.least(sides, kernel, range, enough);
    if !(least.value <= ask.horizon) {
        return None;
    }
    let inside = 0.5 * (least.from + least.to);
    let mut within = |level: f64| {
        (reports_intervals(ask) && least.value <= level)
            .then(|| channel.kernels.within(sides, kernel, range, inside, level))
    };
    // A gap that is none but for its certificate's width touches where it is least.
    let nothing = if least.value <= CERTIFIED { least.value.max(0.0) } else { 0.0 };
    let (touching, below) = (within(nothing), within(ask.below));
    Some(Near { places, kernel, least, touching, below })
}

/// The least gap of the near pairs and one that is known; `None` if that is beyond the horizon, where nothing is listed.
pub(super) fn least_of_near(
    channel: &Channel,
    known: Option<(usize, PairLeast)>,
    ask: &Ask,
) -> Option<(usize, PairLeast)> {
    let mut best = known;
    for near in &channel.near {
        if best.is_none_or(|(_, old)| near.least.value < old.value) {
            best = Some((near.kernel, near.least));
        }
    }
    best.filter(|(_, found)| found.value <= ask.horizon)
}

/// True if intervals of travel are asked for, to which every pair of solids of two bodies may add.
fn reports_intervals(ask: &Ask) -> bool {
    ask.below > f64::NEG_INFINITY
}

/// The bodies of a pair of places.
pub(super) fn bodies(sides: &Sides<'_>, (a, b): (u32, u32)) -> (u32, u32) {
    let body = |members: &[u32], place: u32| sides.items[members[place as usize] as usize].body;
    (body(&sides.a.members, a), body(&sides.b.members, b))
}

/// Finds pairs of solids within the horizon: at least the nearest of any two bodies, and those that make up the stretches
/// in which these are as near as is asked.
pub(super) fn near(
    channel: &mut Channel,
    sides: &Sides<'_>,
    ask: &Ask,
    window: &Window,
    stack: &mut Vec<(u32, u32, f64)>,
) {
    channel.near.clear();
    let mut pairs = Vec::new();
    walk(sides, window.over(ask.from, ask.to), stack, ask.horizon, |pair| {
        pairs.push(*pair);
        ask.horizon
    });
    add_near(channel, sides, ask, window, pairs);
}

/// Adds what is near of some pairs of solids, of two bodies all.
pub(super) fn add_near(
    channel: &mut Channel,
    sides: &Sides<'_>,
    ask: &Ask,
    window: &Window,
    mut pairs: Vec<Candidate>,
) {
    let range = window.over(ask.from, ask.to);
    // The nearest and deepest boxes first, so that the others need mostly not be looked into; in an order of their own.
    pairs.sort_unstable_by(|p, q| {
        let nearer = p.across_squared.total_cmp(&q.across_squared);
        nearer.then(p.aside.total_cmp(&q.aside)).then(p.places.cmp(&q.places))
    });
    let mut nearest: HashMap<(u32, u32), Known> = HashMap::new();
    for pair in pairs {
        // Solids that lie farther apart than others of the same bodies, and are near nowhere else, do not count.
        let known = nearest.entry(bodies(sides, pair.places)).or_insert(Known::NOTHING);
        if !known.covers(&pair, ask, range)
            && let Some(found) = take_up(channel, sides, ask, range, pair.places, known.gap)
        {
            known.add(&found);
            channel.near.push(found);
        }
    }
}

/// Gathers the pairs of solids within the horizon into pairs of bodies, nearest first.
pub(super) fn gather(channel: &Channel, sides: &Sides<'_>, ask: &Ask, window: &Window) -> Vec<NearBodies> {
    let mut pairs: Vec<((u32, u32), &Near)> =
        channel.near.iter().map(|near| (bodies(sides, near.places), near)).collect();
    // By places last: the order must not depend on how the pairs were found.
    pairs.sort_by(|(p, a), (q, b)| {
        p.cmp(q).then(a.least.value.total_cmp(&b.least.value)).then(a.places.cmp(&b.places))
    });
    let mut all = Vec::new();
    for chunk in pairs.chunk_by(|p, q| p.0 == q.0) {
        let Some(((body_a, body_b), nearest)) = chunk.first() else { continue };
        let joined = |shifts: &dyn Fn(&Near) -> Option<(f64, f64)>| {
            let travels = |near: &Near| window.travels(shifts(near)?, ask.from, ask.to);
            let mut list: Vec<(f64, f64)> = chunk.iter().filter_map(|(_, near)| travels(near)).collect();
            merge(&mut list);
            list
        };
        all.push(NearBodies {
            body_a: *body_a,
            body_b: *body_b,
            least: described(channel, nearest.kernel, &nearest.least, ask, window),
            touching: joined(&|near| near.touching),
            below: joined(&|near| near.below),
        });
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
