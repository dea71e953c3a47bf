//! What can touch what over the whole stroke, how near it comes, and why.

mod against_reach;
mod band;
mod cache;
mod depth;
mod face_chain;
mod kinship;
mod outcome;
mod pairs;
mod passing_scene;
mod profile;
mod scan;
mod sensitivity;
mod stretches;

pub use against_reach::gap_against_reach;
pub use band::{Band, BandPoint};
pub use cache::InterferenceCache;
pub use kinship::Kinship;
pub use outcome::{GAP_TOLERANCE, Outcome, Passage, falls_short, overlaps, touches};
pub use pairs::{DepthBounds, LoadedGap, PairResult};
pub use passing_scene::{PassingScene, Watched};

use glam::DVec3;

use crate::loads::Motion;
use crate::{Assembly, Fixture, RiderResults};

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
    /// How many more pairs pass within reach than the [`Interference::MOST_PAIRS`] nearest, which are listed.
    pub left_out: usize,
}

impl Interference {
    /// Pairs that stay further apart than this are of no interest (mm).
    pub const REACH: f64 = 10.0;
    /// So many passing pairs are listed at most: a crowd of riders in each other's place makes a million.
    pub const MOST_PAIRS: usize = 20_000;

    /// Works out all pairs over the stroke, the band at the given stations (evenly spaced travels from one end
    /// of the stroke to the other, mm): as drawn, then with every rider standing as its load makes it stand.
    ///
    /// Each rider is taken in the pose of the station where it tilts most; where its pose changes along the
    /// stroke, the gap is corrected for the difference by its nearest points.
    pub fn new(fixture: &Fixture, assembly: &Assembly, stations: &[f64], riders: &[RiderResults]) -> Self {
        InterferenceCache::default().update(fixture, assembly, stations, riders)
    }

    /// The least of some figure of all pairs that pass, end stops apart, such as [`PairResult::left`] (mm); `None`
    /// where nothing passes.
    pub fn least(&self, of: fn(&PairResult) -> f64) -> Option<f64> {
        self.passing.iter().filter(|pair| !pair.meets_stop).map(of).reduce(f64::min)
    }

    /// The pair that comes nearest while passing.
    pub fn tightest(&self) -> Option<&PairResult> {
        self.passing.iter().find(|pair| !pair.meets_stop)
    }

    /// All pairs that are listed: those that pass, then those that stay as they are to each other.
    pub fn pairs(&self) -> impl Iterator<Item = &PairResult> {
        self.passing.iter().chain(&self.steady)
    }
}

/// The pose in which riders were checked.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Checked {
    /// As drawn.
    Level,
    /// As they stand where each tilts most.
    Tilted,
}

/// How the riders stand under load, for looking at gaps.
struct Stance {
    /// The pose each is checked in.
    references: Vec<Motion>,
    /// Its pose at each station.
    poses: Vec<Vec<Motion>>,
    /// How much further it can rattle.
    plays: Vec<crate::loads::Play>,
}

impl Stance {
    fn new(riders: &[RiderResults]) -> Self {
        Self {
            references: riders.iter().map(RiderResults::reference).collect(),
            poses: riders
                .iter()
                .map(|rider| (0..rider.poses.len()).map(|i| rider.pose(i)).collect())
                .collect(),
            plays: riders.iter().map(|rider| rider.play.clone()).collect(),
        }
    }

    /// How far a point of a rider stands towards `direction` at a station, beyond where it stands in the pose that
    /// was checked (mm).
    fn change(
        &self,
        checked: Checked,
        owner: crate::Owner,
        station: usize,
        point: DVec3,
        direction: DVec3,
    ) -> f64 {
        let crate::Owner::Rider(number) = owner else { return 0.0 };
        let pose = self.poses.get(number).and_then(|poses| poses.get(station));
        let (Some(pose), Some(reference)) = (pose, self.references.get(number)) else { return 0.0 };
        let change = match checked {
            Checked::Level => *pose,
            Checked::Tilted => *pose - *reference,
        };
        change.of_point(point).dot(direction)
    }

    /// How much nearer two bodies stand at a station than as drawn, and how much nearer they come by play (mm), to first
    /// order: given where they face each other, each point in its owner's frame, towards the other by its share.
    fn shifts(&mut self, sides: &[(crate::Owner, DVec3, DVec3)], station: usize) -> (f64, f64) {
        let mut nearer = (0.0, 0.0);
        for &(owner, point, towards) in sides {
            nearer.0 += self.change(Checked::Level, owner, station, point, towards);
            nearer.1 += self.rattle(owner, station, point, towards);
        }
        nearer
    }

    /// How much further a point of a rider can move towards `direction` by the rider's play (mm).
    fn rattle(&mut self, owner: crate::Owner, station: usize, point: DVec3, direction: DVec3) -> f64 {
        let crate::Owner::Rider(number) = owner else { return 0.0 };
        let pose = self.poses.get(number).and_then(|poses| poses.get(station)).copied().unwrap_or_default();
        self.plays.get_mut(number).map_or(0.0, |play| play.beyond(&pose, point, direction))
    }
}
