//! Working memory of a sweep.

use super::sieve::Candidate;

/// Working memory kept from sweep to sweep.
#[derive(Clone, Debug, Default)]
pub(super) struct Scratch {
    pub(super) apart: Vec<(u32, u32, f64)>,
    pub(super) pairs: Vec<(u32, u32)>,
    pub(super) list: Vec<Candidate>,
    pub(super) envelope: Vec<(f64, usize)>,
    pub(super) roof: Vec<Stretch>,
}

/// A stretch of positions: the shifts of its travels, and the most the envelope comes to there (mm).
#[derive(Clone, Copy, Debug)]
pub(super) struct Stretch {
    pub(super) shifts: (f64, f64),
    pub(super) highest: f64,
}
