//! The lower envelope of all gaps of a channel over the travel.

use super::least::{self, walk, wanted};
use super::window::Window;
use super::{Ask, Channel, ChannelSweep, Nearest, Sides, SolidId};

/// Working memory kept from sweep to sweep.
#[derive(Clone, Debug, Default)]
pub(super) struct Scratch {
    stack: Vec<(u32, u32, f64)>,
    candidates: Vec<(u32, u32, f64)>,
    actives: Vec<Active>,
}

/// A pair that may be the nearest somewhere between two positions: its gap and slope at both.
#[derive(Clone, Copy, Debug)]
struct Active {
    kernel: usize,
    places: (u32, u32),
    gap: [f64; 2],
    slope: [f64; 2],
}

/// Positions are handled in blocks of this many: long enough that walking the trees is shared, short enough that
/// few pairs can be the nearest in one.
const BLOCK: usize = 12;

/// How many positions are computed: at least one, and no more than anything could draw.
fn positions(ask: &Ask) -> usize {
    ask.positions.clamp(1, 1 << 20)
}

/// An envelope under construction.
struct Run<'a, 'b> {
    channel: &'a mut Channel,
    sides: &'a Sides<'b>,
    window: Window,
    ask: Ask,
    envelope: Vec<(f64, usize)>,
    actives: Vec<Active>,
}

const NONE: usize = usize::MAX;

/// Brings a channel's result up to date.
pub(super) fn sweep(channel: &mut Channel, sides: &Sides<'_>, ask: &Ask, scratch: &mut Scratch) {
    let window = Window::of(sides.a, sides.b, sides.same);
    let seen = (sides.a.version, sides.b.version);
    channel.kernels.begin(sides.a.members.len(), sides.b.members.len());
    if channel.asked == Some((*ask, window)) && channel.seen == seen {
        return;
    }
    channel.asked = Some((*ask, window));
    channel.seen = seen;
    channel.result = ChannelSweep { envelope: Vec::new(), least: None, near: Vec::new() };
    if !window.is_sound(ask.from, ask.to) {
        return;
    }
    if window.slope == 0.0 {
        // Nothing changes with the travel: the least gap is the envelope.
        let found = least::least(channel, sides, ask, &window, &mut scratch.stack, None);
        let nearest = found
            .map_or(Nearest { gap: f64::INFINITY, a: SolidId(u32::MAX), b: SolidId(u32::MAX) }, |l| {
                Nearest { gap: l.gap, a: l.a, b: l.b }
            });
        channel.result.envelope = vec![nearest; positions(ask)];
        channel.result.least = found;
    } else {
        let actives = std::mem::take(&mut scratch.actives);
        let mut run = Run { channel, sides, window, ask: *ask, envelope: Vec::new(), actives };
        let seed = run.envelope(scratch);
        scratch.actives = run.actives;
        let envelope = run.envelope;
        channel.result.envelope = envelope
            .iter()
            .map(|&(gap, kernel)| {
                if kernel == NONE {
                    return Nearest { gap, a: SolidId(u32::MAX), b: SolidId(u32::MAX) };
                }
                let [a, b] = channel.kernels.solids(kernel);
                Nearest { gap, a: SolidId(a), b: SolidId(b) }
            })
            .collect();
        channel.result.least = least::least(channel, sides, ask, &window, &mut scratch.stack, seed);
    }
    channel.result.near = least::near(channel, sides, ask, &window, &mut scratch.stack);
}

impl Run<'_, '_> {
    /// The travel at a position.
    fn travel(&self, k: usize) -> f64 {
        let last = positions(&self.ask) - 1;
        if k == last {
            self.ask.to
        } else {
            self.ask.from + (self.ask.to - self.ask.from) * (k as f64 / last as f64)
        }
    }

    /// Fills the envelope; returns the places of the pair with the least sampled gap.
    fn envelope(&mut self, scratch: &mut Scratch) -> Option<(u32, u32)> {
        let count = positions(&self.ask);
        self.envelope.clear();
        self.envelope.resize(count, (f64::INFINITY, NONE));
        let mut seed: Option<(u32, u32)> = None;
        let mut best: (f64, Option<(u32, u32)>) = (f64::INFINITY, None);
        let mut k0 = 0;
        loop {
            let k1 = (k0 + BLOCK).min(count - 1);
            self.block(k0, k1, &mut seed, scratch);
            let (gap, _) = self.envelope[k1];
            if let Some(places) = seed {
                let low = self.envelope[k0..=k1].iter().map(|e| e.0).fold(gap, f64::min);
                if low < best.0 {
                    best = (low, Some(places));
                }
            }
            if k1 == count - 1 {
                break;
            }
            k0 = k1;
        }
        best.1
    }

    /// One block of positions, ends included. `seed` is a pair that is probably near; it becomes the nearest pair
    /// at the end of the block.
    fn block(&mut self, k0: usize, k1: usize, seed: &mut Option<(u32, u32)>, scratch: &mut Scratch) {
        let (s0, s1) = (self.travel(k0), self.travel(k1));
        let range = self.window.over(s0, s1);
        self.actives.clear();
        let mut limit = f64::INFINITY;
        if let Some(places) = *seed {
            limit = self.activate(places, s0, s1);
        }
        // Pairs whose boxes come near enough, nearest boxes first.
        let candidates = &mut scratch.candidates;
        candidates.clear();
        let (channel, sides) = (&*self.channel, self.sides);
        let mut first: Option<(u32, u32)> = None;
        if limit == f64::INFINITY {
            // Without a seed the first pair of boxes found gives a limit.
            walk(sides, range, &mut scratch.stack, limit, |a, b, apart| {
                if !wanted(channel, sides, a, b) {
                    return f64::INFINITY;
                }
                first = Some((a, b));
                apart.sqrt() - 1.0
            });
            if let Some(places) = first {
                limit = self.activate(places, s0, s1);
                *seed = first;
            }
        }
        let (channel, sides) = (&*self.channel, self.sides);
        walk(sides, range, &mut scratch.stack, limit, |a, b, apart| {
            if Some((a, b)) != *seed && wanted(channel, sides, a, b) {
                candidates.push((a, b, apart));
            }
            limit
        });
        candidates.sort_unstable_by(|p, q| p.2.total_cmp(&q.2));
        for &(a, b, apart) in candidates.iter() {
            if apart > 0.0 && (limit < 0.0 || apart > limit * limit) {
                break;
            }
            limit = limit.min(self.activate((a, b), s0, s1));
        }
        for (end, k) in [(0, k0), (1, k1)] {
            for i in 0..self.actives.len() {
                let active = self.actives[i];
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
    }

    /// Evaluates a pair at both ends of a block; returns an upper bound of the envelope over it.
    fn activate(&mut self, places: (u32, u32), s0: f64, s1: f64) -> f64 {
        let kernel = self.channel.kernels.find(self.sides, places.0, places.1);
        let (f0, g0) = self.channel.kernels.gap_at(self.sides, kernel, &self.window, s0);
        let (f1, g1) = if s1 == s0 {
            (f0, g0)
        } else {
            self.channel.kernels.gap_at(self.sides, kernel, &self.window, s1)
        };
        self.actives.push(Active { kernel, places, gap: [f0, f1], slope: [g0, g1] });
        f0.max(f1)
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
                let (gap, _) = self.channel.kernels.gap_at(self.sides, active.kernel, &self.window, s);
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
            let (gap, slope) = self.channel.kernels.gap_at(self.sides, active.kernel, &self.window, sm);
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

/// Whether the chord of `rival` (an upper bound) stays at or below the tangents of `other` (a lower bound)
/// everywhere between two travels. Tangents minus chord is convex with its one bend where the tangents meet.
fn beats(rival: &Active, other: &Active, s0: f64, s1: f64) -> bool {
    if other.gap[0] < rival.gap[0] || other.gap[1] < rival.gap[1] {
        return false;
    }
    let [g0, g1] = other.slope;
    let width = s1 - s0;
    // Where the tangents meet, as a share of the way.
    let share = (other.gap[1] - other.gap[0] - g1 * width) / ((g0 - g1) * width);
    if !(share > 0.0 && share < 1.0) {
        return true;
    }
    let low = other.gap[0] + g0 * share * width;
    let chord = rival.gap[0] + share * (rival.gap[1] - rival.gap[0]);
    low >= chord
}
