//! What can touch what over the whole stroke, how near it comes, and why.

mod band;
mod cache;
mod face_chain;
mod kinship;
mod outcome;
mod pairs;
mod scan;

pub use band::{Band, BandPoint};
pub use cache::InterferenceCache;
pub use kinship::Kinship;
pub use outcome::{Outcome, Passage};
pub use pairs::PairResult;

use glidewright_geometry::Pose;

use crate::{Assembly, Fixture};

/// How near everything comes to everything else.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Interference {
    /// Pairs that pass each other, by growing least gap. Pairs that never come within
    /// [`Interference::REACH`] are left out.
    pub passing: Vec<PairResult>,
    /// Pairs whose places to each other do not change along the stroke (a rider's own pieces, a rider and
    /// the rail it runs along), by growing gap.
    pub steady: Vec<PairResult>,
    /// The clearance band: tightest gap of the passing pairs against travel.
    pub band: Band,
}

impl Interference {
    /// Pairs that stay further apart than this are of no interest (mm).
    pub const REACH: f64 = 10.0;

    /// Works out all pairs over the stroke, the band at the given stations (evenly spaced travels from one end
    /// of the stroke to the other, mm), riders at their nominal places.
    pub fn new(fixture: &Fixture, assembly: &Assembly, stations: &[f64]) -> Self {
        Self::posed(fixture, assembly, stations, &[])
    }

    /// The same with riders off their nominal places: `poses` holds for each rider, in the fixture's order, where
    /// its own frame stands under load, `nominal_from_loaded`: a turn about the rider's origin and a shift (see
    /// [`crate::loads::Motion::pose`]). Riders beyond the list stand where they nominally do. The pose is the same
    /// all along the stroke. Gaps are exact at the pose; [`PairResult::level_gap`] says what they were without it.
    pub fn posed(fixture: &Fixture, assembly: &Assembly, stations: &[f64], poses: &[Pose]) -> Self {
        InterferenceCache::default().update(fixture, assembly, stations, poses)
    }

    /// The pair that comes nearest while passing.
    pub fn tightest(&self) -> Option<&PairResult> {
        self.passing.iter().find(|pair| !pair.meets_stop)
    }
}
