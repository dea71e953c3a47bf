//! The pairs of a channel that pass each other near, in the order of how near.

use super::tree::Node;
use crate::Bounds;

/// Pairs whose boxes stay farther apart than this across the travel are left out (mm).
const REACH: f64 = 12.0;

/// More pairs than this are sought faster in the trees.
const MOST: usize = 512;

/// No kernel yet.
pub(super) const NONE: usize = usize::MAX;

/// A pair that may be the nearest somewhere on a stretch, with its boxes: how far the second is ahead of and behind the
/// first at shift 0, and how far beside it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Candidate {
    pub kernel: usize,
    pub places: (u32, u32),
    pub ahead: f64,
    pub behind: f64,
    pub across_squared: f64,
    /// How far the boxes are apart across the travel along the axis that says most; negative by the lesser of their
    /// overlaps.
    pub aside: f64,
}

impl Candidate {
    pub(super) fn new(a: &Node, b: &Node) -> Self {
        let around = |node: &Node| Bounds { low: node.low, high: node.high };
        Self::between((a.index, b.index), around(a), around(b))
    }

    /// Of two places with their boxes (mm).
    pub(super) fn between(places: (u32, u32), a: Bounds, b: Bounds) -> Self {
        let beside = (b.low - a.high).max(a.low - b.high);
        let (y, z) = (beside.y.max(0.0), beside.z.max(0.0));
        Self {
            kernel: NONE,
            places,
            ahead: b.low.x - a.high.x,
            behind: a.low.x - b.high.x,
            across_squared: y * y + z * z,
            aside: beside.y.max(beside.z),
        }
    }

    /// Whether the pair cannot hold a gap below the limit, with the second shifted by anything in a window: the boxes are
    /// that far apart, or overlap by so little along some axis. What two boxes hold parts where the boxes do.
    pub(super) fn is_above(&self, (low, high): (f64, f64), limit: f64) -> bool {
        beyond(self.apart_squared((low, high)), limit)
            || (limit < 0.0 && self.aside.max(self.ahead + low).max(self.behind - high) >= limit)
    }

    /// The shifts at which the boxes come within a distance along the travel; elsewhere no gap is less (mm).
    pub(super) fn within(&self, distance: f64) -> (f64, f64) {
        (self.behind - distance, distance - self.ahead)
    }

    /// The square of the boxes' distance with the second shifted by anything in a window (mm²).
    pub(super) fn apart_squared(&self, (low, high): (f64, f64)) -> f64 {
        let x = (self.ahead + low).max(self.behind - high).max(0.0);
        x * x + self.across_squared
    }
}

/// True if boxes that far apart (squared) cannot hold a gap below the limit. Boxes that overlap say nothing here; see
/// [`Candidate::is_above`].
pub(super) fn beyond(apart_squared: f64, limit: f64) -> bool {
    apart_squared > 0.0 && (limit < 0.0 || apart_squared > limit * limit)
}

/// The wanted pairs of a channel that pass within reach, whatever the travel: those nearest across it first. What slides
/// along a rail stays near it all the way, and a question about a small gap is about few pairs.
#[derive(Clone, Debug, Default)]
pub(super) struct Sieve {
    pairs: Vec<Candidate>,
    /// The versions of the groups it is for.
    seen: (u64, u64),
}

impl Sieve {
    /// Brings it up to date with the groups; `all` lists the wanted pairs within reach across the travel.
    pub(super) fn update(&mut self, seen: (u64, u64), all: impl FnOnce(f64, &mut Vec<Candidate>)) {
        if self.seen == seen {
            return;
        }
        self.seen = seen;
        self.pairs.clear();
        all(REACH, &mut self.pairs);
        let order = |p: &Candidate, q: &Candidate| {
            p.across_squared.total_cmp(&q.across_squared).then(p.places.cmp(&q.places))
        };
        // One more than are ever gone through shows where the list ends.
        if self.pairs.len() > MOST + 1 {
            self.pairs.select_nth_unstable_by(MOST, order);
            self.pairs.truncate(MOST + 1);
        }
        self.pairs.sort_unstable_by(order);
        self.pairs.shrink_to(MOST + 1);
    }

    /// The pairs that can hold a gap below the limit, and perhaps some more; `None` where there may be others, or where
    /// these are so many that the trees are quicker.
    pub(super) fn below(&self, limit: f64) -> Option<&[Candidate]> {
        if !(limit <= REACH) {
            return None;
        }
        let count = self.pairs.partition_point(|pair| !beyond(pair.across_squared, limit));
        (count <= MOST).then(|| &self.pairs[..count])
    }
}
