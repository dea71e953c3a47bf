//! A pair of solids that comes near.

use crate::search::Least;

/// A pair of solids within the horizon.
#[derive(Clone, Copy, Debug)]
pub(super) struct Near {
    pub(super) places: (u32, u32),
    pub(super) kernel: usize,
    pub(super) least: Least,
    /// The shifts at which it touches, and at which its gap is at most what was asked.
    pub(super) touching: Option<(f64, f64)>,
    pub(super) below: Option<(f64, f64)>,
}
