//! What is known of gaps and findings: what changes do to each.

use std::collections::HashMap;

use glidewright_motion::Severity;

use super::found::GapFigure;
use super::space::{Pick, Reach};

/// A finding as it is followed: its code, and one of the riders it names.
pub(super) type Name = (&'static str, Option<usize>);

/// By place and offer, what is known of each alone.
pub(super) type Alone<T> = Vec<Vec<Option<T>>>;

/// A finding as it stands: its name, how bad it is, and how far its figure lies beyond its limit.
pub(super) type Standing = (Name, Severity, Option<f64>);

/// What changes at each place do to a gap.
#[derive(Clone, Debug)]
pub(super) struct GapRule {
    pub now: GapFigure,
    /// Stacks whose reach makes it, by side: number of the stack and what of it.
    pub levers: [Option<(usize, Lever)>; 2],
    /// Riders whose screws are not reckoned with as sums: whatever changes there leaves the gap open.
    pub open: Vec<usize>,
    /// By place and offer: gap and spare alone with it.
    pub alone: Alone<(f64, f64)>,
    pub fouls: usize,
    pub marginal: usize,
    pub is_off: bool,
    /// Places that do anything to it but by reach, and the most each can do; nothing where one of its offers is not known.
    pub touching: Vec<(usize, Option<(f64, f64)>)>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lever {
    Nut,
    End,
    Head,
}

impl Lever {
    pub fn of(self, reach: &Reach) -> f64 {
        match self {
            Self::Nut => reach.nut,
            Self::End => reach.end,
            Self::Head => reach.head,
        }
    }
}

/// What changes at each place do to a finding.
#[derive(Clone, Debug)]
pub(super) struct MatterRule {
    pub code: usize,
    pub key: Name,
    pub severity: Severity,
    pub over: Option<f64>,
    /// By place and offer: whether it stays, and how far its figure lies beyond its limit then.
    pub alone: Alone<(bool, Option<f64>)>,
    /// The same of a screw in a length, by stack, offer and length in µm.
    pub screws: HashMap<(usize, u8, i64), bool>,
    /// Combinations in which it is still there, with how far its figure lies beyond its limit there.
    pub seen: Vec<(Pick, Option<f64>)>,
    pub is_off: bool,
    /// Places that do anything to it, and what of its figure the best of each leaves; nothing where one may cure it.
    pub touching: Vec<(usize, Option<Option<f64>>)>,
}

/// A finding that something brings, and what is known not to cure it.
#[derive(Clone, Debug)]
pub(super) struct Cause {
    pub key: Name,
    pub severity: Severity,
    pub code: usize,
    pub place: usize,
    pub offer: u8,
    /// By place and offer: it has been seen to stay.
    pub stays: Vec<Vec<bool>>,
    pub is_off: bool,
}
