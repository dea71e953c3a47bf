//! The lower envelope of all gaps of a channel over the travel.

use super::least::{self, children, wanted};
use super::partial;
use super::tree::Node;
use super::window::Window;
use super::{Ask, Channel, ChannelSweep, Nearest, Sides, SolidId};

/// Working memory kept from sweep to sweep.
#[derive(Clone, Debug, Default)]
pub(super) struct Scratch {
    pub(super) stack: Vec<(u32, u32, Boxes)>,
    pub(super) apart: Vec<(u32, u32, f64)>,
    actives: Vec<Active>,
    envelope: Vec<(f64, usize)>,
}

/// A pair that may be the nearest somewhere between two positions: its gap and slope at both.
#[derive(Clone, Copy, Debug)]
struct Active {
    kernel: usize,
    places: (u32, u32),
    gap: [f64; 2],
    slope: [f64; 2],
}

/// Positions are handled in blocks: long ones where one pair leads, short ones where many pass.
const SHORTEST: usize = 4;
const LONGEST: usize = 128;
/// A block in which more pairs than this may lead somewhere is cut.
const CROWD: usize = 9;

/// The distance of two boxes at both ends of a block, the second sliding along x: squared, with the part of it along
/// x (signed: positive while the second is ahead) and the constant part across.
#[derive(Clone, Copy, Debug)]
pub(super) struct Boxes {
    squared: [f64; 2],
    along: [f64; 2],
    across_squared: f64,
}

impl Boxes {
    fn new(a: &Node, b: &Node, windows: &[(f64, f64); 2]) -> Self {
        let y = (b.low.y - a.high.y).max(a.low.y - b.high.y).max(0.0);
        let z = (b.low.z - a.high.z).max(a.low.z - b.high.z).max(0.0);
        let across_squared = y * y + z * z;
        let (ahead, behind) = (b.low.x - a.high.x, a.low.x - b.high.x);
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

    fn sum(&self) -> f64 {
        self.squared[0] + self.squared[1]
    }
}

/// The pairs taken up that promise most: lowest at the start, at the end, and lowest at the worse end.
#[derive(Default)]
struct Rivals {
    best: [Option<Active>; 3],
}

impl Rivals {
    fn add(&mut self, active: Active) {
        let [f0, f1] = active.gap;
        let keys = [|g: [f64; 2]| g[0], |g: [f64; 2]| g[1], |g: [f64; 2]| g[0].max(g[1])];
        for (slot, key) in self.best.iter_mut().zip(keys) {
            if slot.is_none_or(|old| key([f0, f1]) < key(old.gap)) {
                *slot = Some(active);
            }
        }
    }

    /// Whether one of them is proved nearer than anything in the boxes all along the block. `span` is the block's
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

/// How many positions are computed: at least one, and no more than anything could draw.
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
    actives: Vec<Active>,
}

const NONE: usize = usize::MAX;

/// Brings a channel's result up to date.
pub(super) fn sweep(channel: &mut Channel, sides: &Sides<'_>, ask: &Ask, scratch: &mut Scratch) {
    let window = Window::of(sides.a, sides.b, sides.same);
    let seen = (sides.a.version, sides.b.version);
    let kept = channel.kernels.begin(sides.a.members.len(), sides.b.members.len());
    let same_question = channel.asked == Some((*ask, window));
    if same_question && channel.seen == seen {
        return;
    }
    if kept
        && same_question
        && window.is_sound(ask.from, ask.to)
        && partial::sweep(channel, sides, ask, &window, scratch)
    {
        channel.seen = seen;
        return;
    }
    channel.asked = Some((*ask, window));
    channel.seen = seen;
    channel.near.clear();
    channel.least = None;
    channel.result = ChannelSweep { envelope: Vec::new(), least: None, near: Vec::new() };
    if !window.is_sound(ask.from, ask.to) {
        return;
    }
    let mut seed = None;
    if window.slope != 0.0 {
        channel.result.envelope = vec![NOTHING; positions(ask)];
        seed = range(channel, sides, ask, &window, (0, positions(ask) - 1), scratch);
    }
    channel.least = least::least(channel, sides, ask, &window, &mut scratch.apart, seed);
    least::near(channel, sides, ask, &window, &mut scratch.apart);
    finish(channel, sides, ask, &window);
}

/// States the results from the least gap and the near pairs.
pub(super) fn finish(channel: &mut Channel, sides: &Sides<'_>, ask: &Ask, window: &Window) {
    channel.result.least =
        channel.least.map(|(kernel, found)| least::described(channel, kernel, &found, ask, window));
    if window.slope == 0.0 {
        // Nothing changes with the travel: the least gap is the envelope.
        let nearest = channel.result.least.map_or(NOTHING, |l| Nearest { gap: l.gap, a: l.a, b: l.b });
        channel.result.envelope.clear();
        channel.result.envelope.resize(positions(ask), nearest);
    }
    channel.result.near = least::gather(channel, sides, ask, window);
}

/// What is said where there is no pair.
const NOTHING: Nearest = Nearest { gap: f64::INFINITY, a: SolidId(u32::MAX), b: SolidId(u32::MAX) };

/// Computes the envelope between two positions, both included; returns the places of the pair with the least gap there.
pub(super) fn range(
    channel: &mut Channel,
    sides: &Sides<'_>,
    ask: &Ask,
    window: &Window,
    (first, last): (usize, usize),
    scratch: &mut Scratch,
) -> Option<(u32, u32)> {
    let actives = std::mem::take(&mut scratch.actives);
    let envelope = std::mem::take(&mut scratch.envelope);
    let whole = window.over(ask.from, ask.to);
    let mut run = Run { channel, sides, window: *window, whole, ask: *ask, first, envelope, actives };
    let seed = run.envelope(last, scratch);
    let Run { channel, actives, envelope, .. } = run;
    for (slot, &(gap, kernel)) in channel.result.envelope[first..=last].iter_mut().zip(&envelope) {
        *slot = if kernel == NONE {
            Nearest { gap, ..NOTHING }
        } else {
            let [a, b] = channel.kernels.solids(kernel);
            Nearest { gap, a: SolidId(a), b: SolidId(b) }
        };
    }
    (scratch.actives, scratch.envelope) = (actives, envelope);
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
        let mut seed: Option<(u32, u32)> = None;
        let mut best: (f64, Option<(u32, u32)>) = (f64::INFINITY, None);
        let mut length = 16;
        let mut k0 = 0;
        loop {
            let k1 = (k0 + length).min(count - 1);
            let crowd = if k1 - k0 > SHORTEST { CROWD } else { usize::MAX };
            let Some(followed) = self.block(k0, k1, crowd, &mut seed, scratch) else {
                length = ((k1 - k0) / 4).max(SHORTEST);
                continue;
            };
            if followed <= CROWD / 3 {
                length = (2 * length).min(LONGEST);
            }
            for &(gap, kernel) in &self.envelope[k0..=k1] {
                if gap < best.0 {
                    best = (gap, self.channel.kernels.places(kernel));
                }
            }
            if k1 == count - 1 {
                return best.1;
            }
            k0 = k1;
        }
    }

    /// One block of positions, ends included; returns how many pairs had to be followed, `None` (and nothing done) if
    /// more than `crowd`. `seed` is a pair that is probably near; it becomes the nearest pair at the end.
    fn block(
        &mut self,
        k0: usize,
        k1: usize,
        crowd: usize,
        seed: &mut Option<(u32, u32)>,
        scratch: &mut Scratch,
    ) -> Option<usize> {
        let (s0, s1) = (self.travel(k0), self.travel(k1));
        self.actives.clear();
        let mut rivals = Rivals::default();
        if let Some(places) = *seed {
            rivals.add(self.activate(places, s0, s1));
        }
        self.collect((s0, s1), crowd, *seed, &mut rivals, &mut scratch.stack)?;
        for (end, k) in [(0, k0), (1, k1)] {
            for active in &self.actives {
                if active.gap[end] < self.envelope[k].0 {
                    self.envelope[k] = (active.gap[end], active.kernel);
                    if end == 1 {
                        *seed = Some(active.places);
                    }
                }
            }
        }
        let count = self.actives.len();
        self.fill(k0, k1, 0, count);
        Some(count)
    }

    /// Walks the pairs of boxes, nearest first, and takes up every pair of solids that no pair taken up so far
    /// is proved to beat all along the block. `None` if they are more than `crowd`.
    fn collect(
        &mut self,
        (s0, s1): (f64, f64),
        crowd: usize,
        seed: Option<(u32, u32)>,
        rivals: &mut Rivals,
        stack: &mut Vec<(u32, u32, Boxes)>,
    ) -> Option<()> {
        let sides = self.sides;
        let (ta, tb) = (&sides.a.tree.nodes, &sides.b.tree.nodes);
        let (Some(ra), Some(rb)) = (ta.first(), tb.first()) else { return Some(()) };
        let windows = [self.window.at(s0), self.window.at(s1)];
        let span = (s1 - s0, self.window.slope);
        stack.clear();
        stack.push((0, 0, Boxes::new(ra, rb, &windows)));
        while let Some((ia, ib, boxes)) = stack.pop() {
            if rivals.beat(&boxes, span) {
                continue;
            }
            let (a, b) = (&ta[ia as usize], &tb[ib as usize]);
            if a.count == 1 && b.count == 1 {
                let places = (a.index, b.index);
                let twice = sides.same && a.index >= b.index;
                if !twice && Some(places) != seed && wanted(self.channel, sides, a.index, b.index) {
                    if self.actives.len() >= crowd {
                        return None;
                    }
                    rivals.add(self.activate(places, s0, s1));
                }
                continue;
            }
            let mut children = children(a, b, ia, ib)
                .map(|(i, j)| (i, j, Boxes::new(&ta[i as usize], &tb[j as usize], &windows)));
            // The nearer child is looked at first.
            if children[0].2.sum() < children[1].2.sum() {
                children.swap(0, 1);
            }
            for child in children {
                if !rivals.beat(&child.2, span) {
                    stack.push(child);
                }
            }
        }
        Some(())
    }

    /// Takes up a pair: its gap at both ends of a block.
    fn activate(&mut self, places: (u32, u32), s0: f64, s1: f64) -> Active {
        let kernel = self.channel.kernels.find(self.sides, places.0, places.1);
        let (f0, g0) = self.channel.kernels.gap_at(self.sides, kernel, &self.window, self.whole, s0);
        let (f1, g1) = if s1 == s0 {
            (f0, g0)
        } else {
            self.channel.kernels.gap_at(self.sides, kernel, &self.window, self.whole, s1)
        };
        let active = Active { kernel, places, gap: [f0, f1], slope: [g0, g1] };
        self.actives.push(active);
        active
    }

    /// Fills the positions between k0 and k1 (ends are known) from the pairs `actives[first..last]`.
    fn fill(&mut self, k0: usize, k1: usize, first: usize, last: usize) {
        if k1 - k0 < 2 {
            return;
        }
        let (s0, s1) = (self.travel(k0), self.travel(k1));
        let kept = self.keep(first, last, s0, s1);
        let top = self.actives.len();
        if kept == 1 {
            let active = self.actives[top - 1];
            for k in k0 + 1..k1 {
                let s = self.travel(k);
                let (gap, _) =
                    self.channel.kernels.gap_at(self.sides, active.kernel, &self.window, self.whole, s);
                self.envelope[k] = (gap, active.kernel);
            }
            self.actives.truncate(top - kept);
            return;
        }
        let km = k0.midpoint(k1);
        let sm = self.travel(km);
        let mut nearest = (f64::INFINITY, NONE);
        let start = top - kept;
        // The right half's list goes behind the left half's.
        for i in start..top {
            let active = self.actives[i];
            let (gap, slope) =
                self.channel.kernels.gap_at(self.sides, active.kernel, &self.window, self.whole, sm);
            if gap < nearest.0 {
                nearest = (gap, active.kernel);
            }
            let mut right = active;
            (right.gap[0], right.slope[0]) = (gap, slope);
            self.actives.push(right);
            let left = &mut self.actives[i];
            (left.gap[1], left.slope[1]) = (gap, slope);
        }
        self.envelope[km] = nearest;
        self.fill(km, k1, top, top + kept);
        self.actives.truncate(top);
        self.fill(k0, km, start, top);
        self.actives.truncate(start);
    }

    /// Copies to the top those pairs that can be the nearest somewhere between; at least one. Returns how many.
    fn keep(&mut self, first: usize, last: usize, s0: f64, s1: f64) -> usize {
        // The best at either end, and the pair with the lowest chord overall, are held against all others.
        let by = |key: &dyn Fn(&Active) -> f64| {
            (first..last)
                .min_by(|&i, &j| key(&self.actives[i]).total_cmp(&key(&self.actives[j])))
                .unwrap_or(first)
        };
        let rivals = [by(&|a| a.gap[0]), by(&|a| a.gap[1]), by(&|a| a.gap[0].max(a.gap[1]))];
        let top = self.actives.len();
        for i in first..last {
            let active = self.actives[i];
            let beaten = rivals.iter().any(|&j| {
                let rival = &self.actives[j];
                // Of two that beat each other, the earlier stays.
                i != j && beats(rival, &active, s0, s1) && !(j > i && beats(&active, rival, s0, s1))
            });
            if !beaten {
                self.actives.push(active);
            }
        }
        if self.actives.len() == top && first < last {
            let best = self.actives[rivals[2]];
            self.actives.push(best);
        }
        self.actives.len() - top
    }
}

/// Whether the rival is proved nearer all along.
fn beats(rival: &Active, other: &Active, s0: f64, s1: f64) -> bool {
    other.gap[0] >= rival.gap[0]
        && other.gap[1] >= rival.gap[1]
        && beats_chord(&rival.gap, &other.gap, &other.slope, s1 - s0)
}

/// Whether the chord of `rival` (an upper bound), at or below the other's gap at both ends, stays below the tangents
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
