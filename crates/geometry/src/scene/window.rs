//! The relative shifts two groups can take.

use super::group::Group;
use super::question::Motion;

/// At the travel s, the second group's shift less the first's is anything from `low + slope·s` to
/// `high + slope·s` (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Window {
    pub low: f64,
    pub high: f64,
    pub slope: f64,
}

impl Window {
    /// Equal to none.
    pub(super) const NONE: Self = Self { low: f64::NAN, high: f64::NAN, slope: f64::NAN };

    pub(super) fn of(a: &Group, b: &Group, same: bool) -> Self {
        if same {
            return Self { low: 0.0, high: 0.0, slope: 0.0 };
        }
        let ends = |m: &Motion| match *m {
            Motion::Linked { offset, ratio } => (offset, offset, ratio),
            Motion::Free { from, to } => (from.min(to), from.max(to), 0.0),
        };
        let ((a0, a1, ra), (b0, b1, rb)) = (ends(&a.motion), ends(&b.motion));
        Self { low: b0 - a1, high: b1 - a0, slope: rb - ra }
    }

    /// True if the numbers mean something for travels between two.
    pub(super) fn is_sound(&self, from: f64, to: f64) -> bool {
        let (a, b) = self.over(from, to);
        from.is_finite() && to.is_finite() && a.is_finite() && b.is_finite()
    }

    /// The shifts at one travel.
    pub(super) fn at(&self, s: f64) -> (f64, f64) {
        (self.low + self.slope * s, self.high + self.slope * s)
    }

    /// All shifts between two travels.
    pub(super) fn over(&self, from: f64, to: f64) -> (f64, f64) {
        let ((a, b), (c, d)) = (self.at(from), self.at(to));
        (a.min(c), b.max(d))
    }

    /// The travels between `from` and `to` at which a shift between `u0` and `u1` is possible.
    pub(super) fn travels(&self, (u0, u1): (f64, f64), from: f64, to: f64) -> Option<(f64, f64)> {
        let (from, to) = (from.min(to), from.max(to));
        if self.slope == 0.0 {
            return (self.low <= u1 && self.high >= u0).then_some((from, to));
        }
        let (p, q) = ((u0 - self.high) / self.slope, (u1 - self.low) / self.slope);
        let (p, q) = (p.min(q).max(from), p.max(q).min(to));
        // The ends of the travel themselves may be missed by rounding.
        let slack = 1e-12 * (1.0 + from.abs().max(to.abs()));
        (p <= q + slack).then(|| (p.min(q), q.max(p)))
    }
}
