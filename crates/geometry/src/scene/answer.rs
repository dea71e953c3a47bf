//! The answer of a sweep.

use super::question::SolidId;

/// The nearest pair at one position.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest {
    /// Signed gap (mm); infinite if the channel has no pair, or none below the ceiling.
    pub gap: f64,
    /// The solid of the channel's first group.
    pub a: SolidId,
    /// The solid of the channel's second group.
    pub b: SolidId,
}

/// The least gap of a pair of solids over the travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Least {
    /// Signed gap (mm), an upper bound of the truth.
    pub gap: f64,
    /// Certified lower bound (mm).
    pub lower: f64,
    /// The solid of the channel's first group.
    pub a: SolidId,
    /// The solid of the channel's second group.
    pub b: SolidId,
    /// The second group's shift less the first's at the minimum (mm), the middle of where it is least.
    pub shift: f64,
    /// The travels at which it is least (mm): one, or a range while faces slide past each other or a free
    /// group can follow.
    pub span: (f64, f64),
}

/// A pair of bodies that come near each other.
#[derive(Clone, Debug, PartialEq)]
pub struct NearBodies {
    /// Body of the first group.
    pub body_a: u32,
    /// Body of the second group.
    pub body_b: u32,
    /// The least gap over the travel.
    pub least: Least,
    /// The travels at which the bodies touch or overlap (mm), in order, apart from each other.
    pub touching: Vec<(f64, f64)>,
    /// The travels at which the gap is at most what was asked (mm), in order, apart from each other.
    pub below: Vec<(f64, f64)>,
}

/// The results of one channel.
#[derive(Clone, Debug, PartialEq)]
pub struct ChannelSweep {
    /// The nearest pair at each position; empty where it was left out.
    pub envelope: Vec<Nearest>,
    /// The least gap of all over the travel; `None` if the channel has no pair, or where it was left out.
    pub least: Option<Least>,
    /// Pairs of bodies within the horizon, nearest first.
    pub near: Vec<NearBodies>,
}

impl ChannelSweep {
    pub(super) const NOTHING: Self = Self { envelope: Vec::new(), least: None, near: Vec::new() };
}

/// The work a sweep did, for tests and benches.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Effort {
    /// Pairs of solids made ready.
    pub pairs: usize,
    /// Gaps evaluated.
    pub gaps: usize,
}
