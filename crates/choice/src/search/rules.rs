//! What is known of gaps and findings: what changes do to each.

use std::collections::{HashMap, HashSet};

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
    /// How far its figure lies beyond its limit there.
    pub over: Option<f64>,
    /// Screws in lengths with which it has been seen: stack, offer and length in µm.
    pub screws: HashSet<(usize, u8, i64)>,
    /// By place and offer: it has been seen to stay, and by how much its figure moved, as far as it has one.
    pub stays: Alone<f64>,
    pub is_off: bool,
}

impl Cause {
    /// Learns from a combination in which it is still there, with its figure so far beyond its limit.
    pub fn learn(&mut self, chosen: &[(usize, u8)], over: Option<f64>) {
        /// What several changes do together is shared among them where it is no more than this share (own choice).
        const LITTLE: f64 = 0.2;
        let others = || chosen.iter().copied().filter(|(place, _)| *place != self.place);
        let known =
            |(place, offer): (usize, u8)| self.stays.get(place)?.get(usize::from(offer)).copied().flatten();
        let open: Vec<(usize, u8)> = others().filter(|change| known(*change).is_none()).collect();
        let by = match (self.over, over) {
            (Some(before), Some(after)) => {
                let left = after - before - others().filter_map(known).sum::<f64>();
                // Against each other changes may do more than is seen.
                if open.len() > 1 && left.abs() > LITTLE * before.abs() {
                    return;
                }
                left / open.len().max(1) as f64
            }
            (None, None) => 0.0,
            _ => return,
        };
        for (place, offer) in open {
            if let Some(slot) =
                self.stays.get_mut(place).and_then(|offers| offers.get_mut(usize::from(offer)))
            {
                *slot = Some(by);
            }
        }
    }

    /// Whether it is sure to be there in a combination of which `known` places are decided; `share` of how far its figure
    /// lies beyond its limit must be left by all that is changed besides.
    pub fn is_there(&self, pick: &[u8], known: &[bool], share: f64) -> bool {
        let mut by = 0.0;
        for (place, offer) in pick.iter().enumerate().filter(|(place, _)| *place != self.place) {
            let offers = self.stays.get(place).map(Vec::as_slice).unwrap_or_default();
            let moves = match (known.get(place), offer) {
                (Some(true), 0) => Some(0.0),
                (Some(true), offer) => offers.get(usize::from(*offer)).copied().flatten(),
                _ => {
                    let toward = |by: f64| -by * self.over.unwrap_or(0.0).signum();
                    let all = offers.iter().skip(1).copied().collect::<Option<Vec<f64>>>();
                    all.map(|all| all.into_iter().fold(0.0, |a, b| if toward(b) > toward(a) { b } else { a }))
                }
            };
            let Some(moves) = moves else { return false };
            by += moves;
        }
        self.over.is_none_or(|over| over != 0.0 && (over + by) / over > share)
    }
}
