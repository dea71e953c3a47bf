//! A watched pair of groups.

use std::sync::Arc;

use super::answer::ChannelSweep;
use super::kernel::Kernels;
use super::near::Near;
use super::question::Ask;
use super::sieve::Sieve;
use super::window::Window;
use crate::search;

/// Says yes to the pairs of bodies that count (the first group's body first).
pub(crate) type Filter = Arc<dyn Fn(u32, u32) -> bool + Send + Sync>;

/// A watched pair of groups with everything kept of it from sweep to sweep.
#[derive(Clone)]
pub(super) struct Channel {
    pub(super) a: u32,
    pub(super) b: u32,
    pub(super) wanted: Option<Filter>,
    pub(super) is_watched: bool,
    /// The nearest pair at each position is asked for.
    pub(super) has_envelope: bool,
    /// The least gap is asked for however great it is.
    pub(super) has_least: bool,
    /// How deep solids overlap is asked for where that takes a search.
    pub(super) has_depths: bool,
    pub(super) sieve: Sieve,
    pub(super) kernels: Kernels,
    /// The pair with the least gap, and all within the horizon.
    pub(super) least: Option<(usize, search::Least)>,
    pub(super) near: Vec<Near>,
    /// The last result, what it was asked, and which versions of the groups it is for.
    pub(super) result: ChannelSweep,
    pub(super) asked: Option<(Ask, Window)>,
    pub(super) seen: (u64, u64),
}

impl Channel {
    pub(super) fn new((a, b): (u32, u32), wanted: Option<Filter>) -> Self {
        Self {
            a,
            b,
            wanted,
            is_watched: true,
            has_envelope: true,
            has_least: true,
            has_depths: true,
            sieve: Sieve::default(),
            kernels: Kernels::default(),
            least: None,
            near: Vec::new(),
            result: ChannelSweep::NOTHING,
            asked: None,
            seen: (0, 0),
        }
    }

    /// The same with nothing worked out.
    pub(super) fn afresh(&self) -> Self {
        Self {
            is_watched: self.is_watched,
            has_envelope: self.has_envelope,
            has_least: self.has_least,
            has_depths: self.has_depths,
            ..Self::new((self.a, self.b), self.wanted.clone())
        }
    }

    /// Lets go of all that was worked out but the result.
    pub(super) fn forget(&mut self) {
        let result = std::mem::replace(&mut self.result, ChannelSweep::NOTHING);
        *self = Self { result, ..self.afresh() };
    }

    /// A ceiling for the envelope that is not below what other channels stay below: the last, if it is not much higher,
    /// for then all may stay as it is.
    pub(super) fn roof(&self, highest: f64) -> f64 {
        const STEP: f64 = 16.0;
        let above = STEP * (highest / STEP).ceil();
        let last = self.asked.map_or(f64::NAN, |(ask, _)| ask.ceiling);
        if highest <= last && last <= above + STEP { last } else { above }
    }
}
