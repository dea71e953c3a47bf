//! The lower envelope of all gaps of a channel over the travel.

use super::answer::Nearest;
use super::channel::Channel;
use super::kernel::Tangent;
use super::least::{self, children, wanted};
use super::question::{Ask, SolidId};
use super::scratch::Scratch;
use super::sides::Sides;
use super::sieve::{Candidate, NONE};
use super::tree::Node;
use super::window::Window;

/// A pair followed over a stretch of travel: its gap and slope at both ends.
#[derive(Clone, Copy, Debug)]
struct Active {
    kernel: usize,
    gap: [f64; 2],
    slope: [f64; 2],
}

/// The nearest pair at a position.
#[derive(Clone, Copy, Debug)]
struct Leader {
    kernel: usize,
    places: (u32, u32),
    at: Tangent,
}

/// The nearest pair is sought at every so manieth position (where few solids pass, and where many do), and in blocks of
/// so many of these what else can lead.
const STRIDES: (usize, usize) = (8, 6);
const POSTS: usize = 12;
/// So many solids are many.
const MANY: usize = 160;
/// A block ends where its nearest gaps differ by more than this (mm).
const UNEVEN: f64 = 2.0;

/// The distance of two boxes at both ends of a block, the second sliding along x: squared, with the part of it along
/// x (signed: positive while the second is ahead) and the constant part across.
#[derive(Clone, Copy, Debug)]
pub(super) struct Boxes {
    squared: [f64; 2],
    along: [f64; 2],
    across_squared: f64,
}

impl Boxes {
    fn of(pair: &Candidate, windows: &[(f64, f64); 2]) -> Self {
        let &Candidate { ahead, behind, across_squared, .. } = pair;
        let along = windows.map(|(low, high)| {
            let (ahead, behind) = (ahead + low, behind - high);
            if ahead > 0.0 {
                ahead
            } else if behind > 0.0 {
                -behind
            } else {
                0.0
            }
        });
        Self { squared: along.map(|x| x * x + across_squared), along, across_squared }
    }
}

/// The nearest pairs at the two ends of a stretch.
struct Rivals {
    best: [Option<Active>; 2],
}

impl Rivals {
    /// An upper bound of the gap of the nearer all along.
    fn limit(&self) -> f64 {
        self.best.iter().flatten().map(|r| r.gap[0].max(r.gap[1])).fold(f64::INFINITY, f64::min)
    }

    /// True if one of them is proved nearer than anything in the boxes all along the block. `span` is the block's
    /// length in travel and the shift per travel.
    fn beat(&self, boxes: &Boxes, (length, rate): (f64, f64)) -> bool {
        self.best.iter().flatten().any(|rival| {
            let [c0, c1] = rival.gap;
            let exceeds = |squared: f64, c: f64| squared > 0.0 && (c <= 0.0 || squared >= c * c);
            if !exceeds(boxes.squared[0], c0) || !exceeds(boxes.squared[1], c1) {
                return false;
            }
            if exceeds(boxes.across_squared, c0.max(c1)) {
                return true;
            }
            // The boxes' distance as if it were a pair's gap: its tangents against the rival's chord.
            let gap = boxes.squared.map(f64::sqrt);
            let slope = [0, 1].map(|i| rate * boxes.along[i] / gap[i]);
            beats_chord(&rival.gap, &gap, &slope, length)
        })
    }
}

/// The travel at a position.
pub(super) fn travel(ask: &Ask, k: usize) -> f64 {
    let last = positions(ask) - 1;
    if k == last { ask.to } else { ask.from + (ask.to - ask.from) * (k as f64 / last as f64) }
}

/// Number of positions computed: at least one, and no more than anything could draw.
pub(super) fn positions(ask: &Ask) -> usize {
    ask.positions.clamp(1, 1 << 20)
}

/// An envelope under construction.
struct Run<'a, 'b> {
    channel: &'a mut Channel,
    sides: &'a Sides<'b>,
    window: Window,
    /// All shifts of the sweep.
    whole: (f64, f64),
    ask: Ask,
    /// The position at which `envelope` begins.
    first: usize,
    envelope: Vec<(f64, usize)>,
    list: Vec<Candidate>,
}

/// States the results from the least gap and the near pairs.
pub(super) fn finish(channel: &mut Channel, sides: &Sides<'_>, ask: &Ask, window: &Window) {
    channel.result.least =
        channel.least.map(|(kernel, found)| least::described(channel, kernel, &found, ask, window));
    if window.slope == 0.0 && channel.has_envelope {
        // Nothing changes with the travel: the least gap is the envelope.
        let least = channel.result.least.filter(|least| !(least.gap > ask.ceiling));
        let nearest = least.map_or(NOTHING, |l| Nearest { gap: l.gap, a: l.a, b: l.b });
        channel.result.envelope.clear();
        channel.result.envelope.resize(positions(ask), nearest);
    }
    channel.result.near = least::gather(channel, sides, ask, window);
}

/// The place, and the number, of no solid.
const NOBODY: u32 = u32::MAX;

/// The answer where there is no pair, or none below the ceiling.
pub(super) const NOTHING: Nearest = Nearest { gap: f64::INFINITY, a: SolidId(NOBODY), b: SolidId(NOBODY) };

/// Computes the envelope between two positions, both included; returns the places of the pair with the least gap there.
pub(super) fn range(
    channel: &mut Channel,
    sides: &Sides<'_>,
    ask: &Ask,
    window: &Window,
    (first, last): (usize, usize),
    scratch: &mut Scratch,
) -> Option<(u32, u32)> {
    let list = std::mem::take(&mut scratch.list);
    let envelope = std::mem::take(&mut scratch.envelope);
    let whole = window.over(ask.from, ask.to);
    let mut run = Run { channel, sides, window: *window, whole, ask: *ask, first, envelope, list };
    let seed = run.envelope(last, scratch);
    let Run { channel, list, envelope, .. } = run;
    for (slot, &(gap, kernel)) in channel.result.envelope[first..=last].iter_mut().zip(&envelope) {
        *slot = if kernel == NONE {
            NOTHING
        } else {
            let [a, b] = channel.kernels.solids(kernel);
            Nearest { gap, a: SolidId(a), b: SolidId(b) }
        };
    }
    (scratch.list, scratch.envelope) = (list, envelope);
    seed
}

impl Run<'_, '_> {
    /// The travel at a position counted from the first.
    fn travel(&self, k: usize) -> f64 {
        travel(&self.ask, self.first + k)
    }

    /// Fills the envelope up to a position; returns the places of the pair with the least sampled gap.
    fn envelope(&mut self, last: usize, scratch: &mut Scratch) -> Option<(u32, u32)> {
        let count = last + 1 - self.first;
        self.envelope.clear();
        self.envelope.resize(count, (f64::INFINITY, NONE));
        let many = self.sides.a.members.len() + self.sides.b.members.len() > MANY;
        let stride = if many { STRIDES.1 } else { STRIDES.0 };
        let mut start = self.nearest(0, None, scratch)?;
        let mut k0 = 0;
        while k0 + 1 < count {
            // The leaders at some places of a block bound what can be the nearest anywhere in it.
            let mut posts = [(k0, start); POSTS + 1];
            let mut used = 1;
            let (mut limit, mut lowest) = (f64::NEG_INFINITY, start.at.gap);
            while used <= POSTS && k0 + 1 < count && limit < lowest + UNEVEN {
                let k1 = (k0 + stride).min(count - 1);
                let end = self.nearest(k1, Some(start), scratch)?;
                limit = limit.max(self.rivals((&start, &end)).limit());
                lowest = lowest.min(end.at.gap);
                posts[used] = (k1, end);
                used += 1;
                (k0, start) = (k1, end);
            }
            if used == 2 {
                let rivals = self.rivals((&posts[0].1, &start));
                self.collect_beside((posts[0].1.at.s, start.at.s), &rivals, scratch);
            } else {
                self.collect((posts[0].1.at.s, start.at.s), limit, scratch);
            }
            let count = self.list.len();
            for j in 1..used {
                let ((from, start), (to, end)) = (posts[j - 1], posts[j]);
                self.split((from, to), (start, end), (0, count));
            }
        }
        let least = self.envelope.iter().min_by(|p, q| p.0.total_cmp(&q.0))?;
        self.channel.kernels.places(least.1)
    }

    /// The nearest pair at a position, given one that is probably near.
    fn nearest(&mut self, k: usize, guess: Option<Leader>, scratch: &mut Scratch) -> Option<Leader> {
        let s = self.travel(k);
        let mut best = guess.map(|g| Leader { at: self.gap(g.kernel, s), ..g });
        match &mut best {
            Some(best) => self.cap(best),
            None if self.ask.ceiling < f64::INFINITY => best = Some(self.ceiling(s)),
            None => {}
        }
        let limit = best.map_or(f64::INFINITY, |b| b.at.gap);
        let (sides, shifts) = (self.sides, self.window.at(s));
        least::walk(sides, shifts, &mut scratch.apart, limit, |&Candidate { places: (a, b), .. }| {
            let current = best.map_or(f64::INFINITY, |b| b.at.gap);
            if best.is_some_and(|best| best.places == (a, b)) || !wanted(self.channel, sides, a, b) {
                return current;
            }
            let kernel = self.channel.kernels.find(sides, a, b);
            if self.channel.kernels.is_above(kernel, &self.window, s, current) {
                return current;
            }
            let at = self.gap(kernel, s);
            if at.gap < current {
                best = Some(Leader { kernel, places: (a, b), at });
            }
            at.gap.min(current)
        });
        let best = best?;
        self.envelope[k] = (best.at.gap, best.kernel);
        Some(best)
    }

    /// The gap of a pair at a travel; of no pair the ceiling, below which one must come to count.
    fn gap(&mut self, kernel: usize, s: f64) -> Tangent {
        if kernel == NONE {
            return self.ceiling(s).at;
        }
        self.channel.kernels.gap_kept(self.sides, kernel, &self.window, self.whole, s)
    }

    /// The leader where no pair comes below the ceiling.
    fn ceiling(&self, s: f64) -> Leader {
        let at = Tangent { s, gap: self.ask.ceiling, slope: 0.0 };
        Leader { kernel: NONE, places: (NOBODY, NOBODY), at }
    }

    /// Puts the ceiling in the place of a leader above it.
    fn cap(&self, leader: &mut Leader) {
        if self.ask.ceiling < leader.at.gap {
            *leader = self.ceiling(leader.at.s);
        }
    }

    /// The two nearest pairs at the ends of a stretch, followed over it.
    fn rivals(&mut self, (start, end): (&Leader, &Leader)) -> Rivals {
        let (s0, s1) = (start.at.s, end.at.s);
        let mut follow = |kernel: usize| {
            let (p, q) = (self.gap(kernel, s0), self.gap(kernel, s1));
            Active { kernel, gap: [p.gap, q.gap], slope: [p.slope, q.slope] }
        };
        let first = follow(start.kernel);
        Rivals { best: [Some(first), (end.kernel != start.kernel).then(|| follow(end.kernel))] }
    }

    /// Lists every pair of solids whose boxes come nearer than a limit between two travels.
    fn collect(&mut self, (s0, s1): (f64, f64), limit: f64, scratch: &mut Scratch) {
        let sides = self.sides;
        self.list.clear();
        least::walk(sides, self.window.over(s0, s1), &mut scratch.apart, limit, |pair| {
            if wanted(self.channel, sides, pair.places.0, pair.places.1) {
                self.list.push(*pair);
            }
            limit
        });
    }

    /// Lists every pair of solids that no rival is proved to beat all along between two travels.
    fn collect_beside(&mut self, (s0, s1): (f64, f64), rivals: &Rivals, scratch: &mut Scratch) {
        let sides = self.sides;
        self.list.clear();
        let windows = [self.window.at(s0), self.window.at(s1)];
        let span = (s1 - s0, self.window.slope);
        let (over, limit) = (self.window.over(s0, s1), rivals.limit());
        if let Some(pairs) = sides.sieve.and_then(|sieve| sieve.below(limit)) {
            let stays = |pair: &&Candidate| {
                !pair.is_above(over, limit) && !rivals.beat(&Boxes::of(pair, &windows), span)
            };
            self.list.extend(pairs.iter().filter(stays));
            return;
        }
        let (ta, tb) = (&sides.a.tree(sides.items).nodes, &sides.b.tree(sides.items).nodes);
        if ta.is_empty() || tb.is_empty() {
            return;
        }
        let stack = &mut scratch.pairs;
        stack.clear();
        stack.push((0, 0));
        while let Some((ia, ib)) = stack.pop() {
            let (a, b) = (&ta[ia as usize], &tb[ib as usize]);
            let pair = Candidate::new(a, b);
            if pair.is_above(over, limit) || rivals.beat(&Boxes::of(&pair, &windows), span) {
                continue;
            }
            if a.count == 1 && b.count == 1 {
                let twice = sides.same && a.index >= b.index;
                if !twice && wanted(self.channel, sides, a.index, b.index) {
                    self.list.push(pair);
                }
                continue;
            }
            stack.extend(children(a, b, ia, ib));
        }
    }

    /// Fills the positions between k0 and k1, whose nearest pairs are known, from the pairs `list[first..last]`.
    fn split(
        &mut self,
        (k0, k1): (usize, usize),
        (start, end): (Leader, Leader),
        (first, last): (usize, usize),
    ) {
        if k1 - k0 < 2 {
            return;
        }
        let (s0, s1) = (start.at.s, end.at.s);
        let rivals = self.rivals((&start, &end));
        let windows = [self.window.at(s0), self.window.at(s1)];
        let span = (s1 - s0, self.window.slope);
        // Those that can be the nearest somewhere between go behind the others.
        let top = self.list.len();
        let (over, limit) = (self.window.over(s0, s1), rivals.limit());
        for i in first..last {
            let pair = self.list[i];
            if pair.is_above(over, limit) || pair.places == start.places || pair.places == end.places {
                continue;
            }
            let known = pair.kernel != NONE && {
                let (gap, slope) = self.channel.kernels.at_least(pair.kernel, &self.window, (s0, s1));
                let other = Active { kernel: pair.kernel, gap, slope };
                rivals.best.iter().flatten().any(|rival| beats(rival, &other, s0, s1))
            };
            if !known && !rivals.beat(&Boxes::of(&pair, &windows), span) {
                self.list.push(pair);
            }
        }
        if self.list.len() == top
            && let [Some(only), None] = rivals.best
        {
            self.follow((k0, k1), (s0, s1), only);
            return;
        }
        let km = k0.midpoint(k1);
        let sm = self.travel(km);
        let mut middle = Leader { at: self.gap(start.kernel, sm), ..start };
        if end.kernel != start.kernel {
            let at = self.gap(end.kernel, sm);
            if at.gap < middle.at.gap {
                middle = Leader { at, ..end };
            }
        }
        self.cap(&mut middle);
        let window = self.window.at(sm);
        for i in top..self.list.len() {
            let pair = self.list[i];
            let limit = middle.at.gap;
            if pair.is_above(window, limit) {
                continue;
            }
            if pair.kernel == NONE {
                self.list[i].kernel = self.channel.kernels.find(self.sides, pair.places.0, pair.places.1);
            }
            let kernel = self.list[i].kernel;
            if self.channel.kernels.is_above(kernel, &self.window, sm, limit) {
                continue;
            }
            let at = self.gap(kernel, sm);
            if at.gap < middle.at.gap {
                middle = Leader { kernel, places: pair.places, at };
            }
        }
        self.envelope[km] = (middle.at.gap, middle.kernel);
        // Each half has to reckon with the leaders of the other.
        let own = |leader: &Leader, list: &mut Vec<Candidate>, sides: &Sides<'_>| {
            if list[top..].iter().all(|pair| pair.places != leader.places) {
                list.extend(candidate(sides, leader));
            }
        };
        own(&start, &mut self.list, self.sides);
        own(&end, &mut self.list, self.sides);
        let bottom = self.list.len();
        self.split((k0, km), (start, middle), (top, bottom));
        self.split((km, k1), (middle, end), (top, bottom));
        self.list.truncate(top);
    }

    /// Fills the positions between two, where one pair leads all along.
    fn follow(&mut self, (k0, k1): (usize, usize), (s0, s1): (f64, f64), mut rest: Active) {
        let mut from = s0;
        let mut straight = is_straight(&rest, s1 - from);
        for k in k0 + 1..k1 {
            let s = self.travel(k);
            // A convex gap lies between its tangents and its chord: where both are one line, so is it.
            if straight {
                let share = (s - from) / (s1 - from);
                self.envelope[k] = (rest.gap[0] + share * (rest.gap[1] - rest.gap[0]), rest.kernel);
                continue;
            }
            let (gap, slope) =
                self.channel.kernels.gap_at(self.sides, rest.kernel, &self.window, self.whole, s);
            self.envelope[k] = (gap, rest.kernel);
            (from, rest.gap[0], rest.slope[0]) = (s, gap, slope);
            straight = is_straight(&rest, s1 - from);
        }
    }
}

/// A leader as a candidate; `None` for the ceiling.
fn candidate(sides: &Sides<'_>, leader: &Leader) -> Option<Candidate> {
    let bounds = |members: &[u32], place: u32| {
        let item = sides.items.get(*members.get(place as usize)? as usize)?;
        item.ready.as_ref().map(|ready| ready.bounds)
    };
    let (a, b) = (bounds(&sides.a.members, leader.places.0)?, bounds(&sides.b.members, leader.places.1)?);
    let node = |b: crate::Bounds, index: u32| Node { low: b.low, high: b.high, index, count: 1 };
    let pair = Candidate::new(&node(a, leader.places.0), &node(b, leader.places.1));
    Some(Candidate { kernel: leader.kernel, ..pair })
}

/// True if a pair's gap runs straight over a length of travel, but for rounding.
fn is_straight(active: &Active, length: f64) -> bool {
    let [f0, f1] = active.gap;
    let [g0, g1] = active.slope;
    // How far the chord lies above either tangent at its far end.
    let (above, below) = (f1 - f0 - g0 * length, f0 - f1 + g1 * length);
    above.max(below) <= 1e-12 * (1.0 + f0.abs().max(f1.abs()))
}

/// True if the rival is proved nearer all along.
fn beats(rival: &Active, other: &Active, s0: f64, s1: f64) -> bool {
    other.gap[0] >= rival.gap[0]
        && other.gap[1] >= rival.gap[1]
        && beats_chord(&rival.gap, &other.gap, &other.slope, s1 - s0)
}

/// True if the chord of `rival` (an upper bound), at or below the other's gap at both ends, stays below the tangents
/// of the other (a lower bound) in between. Tangents minus chord is convex with its one bend where the tangents
/// meet.
fn beats_chord(rival: &[f64; 2], gap: &[f64; 2], slope: &[f64; 2], length: f64) -> bool {
    let rise = gap[1] - gap[0];
    // Where the tangents meet, as a share of the way.
    let share = (rise - slope[1] * length) / ((slope[0] - slope[1]) * length);
    if !(share > 0.0 && share < 1.0) {
        return true;
    }
    gap[0] + slope[0] * share * length >= rival[0] + share * (rival[1] - rival[0])
}
