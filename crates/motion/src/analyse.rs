//! The whole analysis: a fixture in, results out.

use crate::checks::{self, Known};
use crate::{
    Assembly, Finding, Fixture, HoldBand, Interference, InterferenceCache, RiderResults, Severity,
    TravelCurves, hold_bands,
};

/// Everything the engine has to say about a fixture.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Results {
    /// Every piece at its place.
    pub assembly: Assembly,
    /// What can touch what.
    pub interference: Interference,
    /// Loads, resistance, imbalance, effort and torque against travel.
    pub curves: TravelCurves,
    /// How each rider stands under its load: pose, sag, play, preload.
    pub riders: Vec<RiderResults>,
    /// Masses for which it stays where it is left.
    pub hold_bands: Vec<HoldBand>,
    /// The findings, worst first.
    pub findings: Vec<Finding>,
}

/// Stations along the stroke at which curves are worked out.
pub const STATIONS: usize = 241;

/// Works out everything about a fixture.
pub fn analyse(fixture: &Fixture) -> Results {
    analyse_with(fixture, &mut InterferenceCache::default())
}

/// The same, with the scenes of an earlier analysis at hand: of what has not changed, gaps are not worked out again.
pub fn analyse_with(fixture: &Fixture, kept: &mut InterferenceCache) -> Results {
    let assembly = Assembly::new(fixture);
    let stations = stations(fixture.stroke.from, fixture.stroke.to, STATIONS);
    let curves = TravelCurves::new(fixture, &assembly, &stations);
    let riders: Vec<_> = (0..fixture.riders.len())
        .map(|number| RiderResults::new(fixture, &assembly, number, &curves))
        .collect();
    let interference = kept.update(fixture, &assembly, &stations, &riders);
    let hold_bands = hold_bands(fixture, &assembly, &curves);
    let findings = checks::run(&Known {
        fixture,
        assembly: &assembly,
        interference: &interference,
        curves: &curves,
        riders: &riders,
        hold_bands: &hold_bands,
    });
    Results { assembly, interference, curves, riders, hold_bands, findings }
}

impl Results {
    /// The worst severity found.
    pub fn worst(&self) -> Option<Severity> {
        self.findings.iter().map(|finding| finding.severity).max()
    }
}

/// `count` evenly spaced travels from `from` to `to`, both included.
fn stations(from: f64, to: f64, count: usize) -> Vec<f64> {
    let last = count.saturating_sub(1).max(1) as f64;
    (0..count).map(|i| from + (to - from) * (i as f64 / last)).collect()
}
