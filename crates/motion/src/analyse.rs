//! The whole analysis: a fixture in, results out.

use std::sync::Arc;

use crate::checks::{self, Known};
use crate::resistance::coefficients;
use crate::stations::stations;
use crate::{
    Assembly, AssemblyOrder, Binding, Calibration, Detail, DriveFigures, Finding, Fixture, HoldBand,
    Interference, InterferenceCache, LineFigures, NamedCoefficient, ReachCurves, RiderResults, Severity,
    TravelCurves, assembly_orders, calibrate, hold_bands,
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
    /// The same curves against reach, for every load that slides.
    pub reach: Vec<ReachCurves>,
    /// Lengths, teeth, wraps and sag of the belt or cord.
    pub line: Option<LineFigures>,
    /// What a motor must give.
    pub drive: Option<DriveFigures>,
    /// How near each rider is to jamming where it is pushed; riders nothing takes hold of are left out.
    pub binding: Vec<Binding>,
    /// The coefficients all this hangs on, with where they come from.
    pub coefficients: Vec<NamedCoefficient>,
    /// What measured pulls say about them.
    pub calibration: Option<Calibration>,
    /// In which order each rider's screws can be tightened; nothing of it in a quick analysis.
    pub orders: Vec<AssemblyOrder>,
    /// The findings, worst first.
    pub findings: Vec<Finding>,
}

/// Works out everything about a fixture.
pub fn analyse(fixture: &Fixture) -> Results {
    analyse_with(fixture, &mut InterferenceCache::for_one())
}

/// The same, with the scenes of an earlier analysis at hand: of what has not changed, gaps are not worked out again.
pub fn analyse_with(fixture: &Fixture, kept: &mut InterferenceCache) -> Results {
    let assembly = Assembly::with_parts(fixture, kept.parts());
    let calibration = calibrate(fixture, &assembly);
    analyse_in(fixture, kept, Detail::Whole, (assembly, calibration))
}

/// The same, to follow a hand ([`Detail::Quick`]): scenes are best kept apart from those of full analyses. What takes
/// longest, what measured pulls say and how bodies move with their sizes, is as it was in the full one `before`.
pub fn analyse_quickly(fixture: &Fixture, kept: &mut InterferenceCache, before: Option<&Results>) -> Results {
    let movements = before.map(|before| Arc::clone(&before.assembly.movements)).unwrap_or_default();
    let assembly = Assembly::moved_as(fixture, kept.parts(), movements);
    let calibration = before.and_then(|before| before.calibration.clone());
    analyse_in(fixture, kept, Detail::Quick, (assembly, calibration))
}

fn analyse_in(
    fixture: &Fixture,
    kept: &mut InterferenceCache,
    detail: Detail,
    (assembly, calibration): (Assembly, Option<Calibration>),
) -> Results {
    let stations = stations(fixture.stroke.from, fixture.stroke.to, detail.stations());
    let curves = TravelCurves::new(fixture, &assembly, &stations);
    let riders: Vec<_> = (0..fixture.riders.len())
        .map(|number| RiderResults::new(fixture, &assembly, number, &curves))
        .collect();
    let interference = kept.update_in(fixture, &assembly, &stations, &riders, detail);
    let hold_bands = hold_bands(fixture, &assembly, &curves);
    let mut results = Results {
        reach: ReachCurves::all(fixture, &assembly, &curves, detail.reaches()),
        line: LineFigures::new(fixture, &curves),
        drive: DriveFigures::new(fixture, &curves),
        binding: Binding::all(fixture, &assembly),
        coefficients: coefficients(fixture),
        calibration,
        orders: match detail {
            Detail::Whole => assembly_orders(fixture, &assembly),
            Detail::Quick => Vec::new(),
        },
        assembly,
        interference,
        curves,
        riders,
        hold_bands,
        findings: Vec::new(),
    };
    results.findings = checks::run(
        &Known {
            fixture,
            assembly: &results.assembly,
            interference: &results.interference,
            curves: &results.curves,
            riders: &results.riders,
            hold_bands: &results.hold_bands,
            reach: &results.reach,
            line: results.line.as_ref(),
            drive: results.drive.as_ref(),
            binding: &results.binding,
            coefficients: &results.coefficients,
            calibration: results.calibration.as_ref(),
            orders: &results.orders,
            boxes: &kept.boxes(&results.assembly),
        },
        detail,
    );
    results
}

impl Results {
    /// The worst severity found.
    pub fn worst(&self) -> Option<Severity> {
        self.findings.iter().map(|finding| finding.severity).max()
    }
}
