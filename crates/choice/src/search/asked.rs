//! What a person asks of a search.

use std::collections::BTreeMap;

use glidewright_project::document::PartsFile;

use super::Aim;

/// Values of a size to be tried: from one number to another in steps, in the size's own unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// The first.
    pub from: f64,
    /// None beyond this.
    pub to: f64,
    /// From one to the next: what can be made.
    pub step: f64,
}

impl Range {
    /// Steps in which printed plates and cut tubes are made (mm; own choice).
    pub const STEP: f64 = 0.5;
    /// So many values a size may take at most.
    pub const MOST: usize = 200;

    /// Its values, each without the dust of sums; none where it is no range.
    pub fn values(&self) -> Vec<f64> {
        let Self { from, to, step } = *self;
        if !(from.is_finite() && to.is_finite() && step.is_finite() && step > 0.0 && from <= to) {
            return Vec::new();
        }
        let count = ((to - from) / step + 1e-9).floor();
        if count >= Self::MOST as f64 {
            return Vec::new();
        }
        (0..=count as usize).map(|n| ((from + step * n as f64) * 1e9).round() / 1e9).collect()
    }
}

/// What a person asks of a search.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// What stays as it is: a rider by its name, a part by its name, a place or size by its path (or how the path begins), or
    /// a kind of place by its word ([`PlaceKind::word`](super::PlaceKind::word)).
    pub locked: Vec<String>,
    /// What may change besides what may by itself: the stack of a bolt (`riders/tray/bolts/hinge`), a size by its path.
    pub open: Vec<String>,
    /// Values of sizes to be tried, by the path of the size.
    pub ranges: BTreeMap<String, Range>,
    /// Only parts that are there now or at hand, no more of each than there are.
    pub at_hand_only: bool,
    /// Wheels change everywhere alike or not at all.
    pub one_wheel: bool,
    /// In which order a person cares; what is left out follows as usual.
    pub order: Vec<Aim>,
    /// The person's own library: what is at hand and what it cost.
    pub library: PartsFile,
    /// So many rows are wanted in their final order.
    pub most: usize,
    /// So many combinations are analysed at most.
    pub analyses: usize,
    /// A space of no more combinations than this is analysed from end to end.
    pub whole_up_to: u128,
    /// Of so many rows at the head of the list builds are made.
    pub finalists: usize,
    /// So many builds of each.
    pub builds: u64,
    /// Begins the random numbers.
    pub seed: u64,
}

impl Default for Asked {
    fn default() -> Self {
        Self {
            locked: Vec::new(),
            open: Vec::new(),
            ranges: BTreeMap::new(),
            at_hand_only: false,
            one_wheel: false,
            order: Aim::ALL.to_vec(),
            library: PartsFile::default(),
            most: 8,
            analyses: 1500,
            whole_up_to: 256,
            finalists: 6,
            builds: 10_000,
            seed: 0,
        }
    }
}
