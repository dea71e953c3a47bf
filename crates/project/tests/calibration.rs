//! Measured pulls, from the document to the coefficients they tell.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test that cannot go on may stop")]

use glidewright_motion::{Basis, Calibration, FitOutcome, Fittable, Results, Way, analyse};
use glidewright_project::{parse, resolve, sample_shuttle_text};

fn results(text: &str) -> Results {
    let resolved = resolve(&parse(text).unwrap(), None);
    assert!(resolved.problems.is_empty(), "{:#?}", resolved.problems);
    analyse(&resolved.fixture.unwrap())
}

fn fitted(calibration: &Calibration, which: Fittable) -> (f64, &FitOutcome) {
    let found = calibration.coefficients.iter().find(|coefficient| coefficient.which == which).unwrap();
    (found.value, &found.outcome)
}

/// The shuttle's pulls with its belt off tell grease and slip apart by payload; hysteresis is lost in what a scale
/// reads. What they say is a proposal: the coefficients stay assumed until it is written into the document.
#[test]
fn the_shuttles_pulls_tell_grease_and_slip() {
    let results = results(sample_shuttle_text());
    let calibration = results.calibration.as_ref().unwrap();
    assert_eq!(calibration.pulls.len(), 6);
    assert_eq!(fitted(calibration, Fittable::Flank).1, &FitOutcome::Fitted);
    assert_eq!(fitted(calibration, Fittable::NoLoadTorque).1, &FitOutcome::Fitted);
    assert_eq!(fitted(calibration, Fittable::Hysteresis).1, &FitOutcome::NoInfluence);
    let deviation = calibration.deviation.unwrap();
    for pull in &calibration.pulls {
        let (before, fitted) = (pull.before.unwrap(), pull.fitted.unwrap());
        assert!((fitted - pull.measured).abs() < 3.0 * deviation);
        assert!((fitted - pull.measured).abs() <= (before - pull.measured).abs() + deviation);
    }
    let flank =
        results.coefficients.iter().find(|named| named.coefficient.path == "resistance/flank").unwrap();
    assert!(flank.is_assumed());
    assert!(results.findings.iter().any(|finding| finding.code == "calibration.fit"));
}

/// A fitted value is written with its spread, three standard errors either way: then it is no longer assumed, and the
/// pulls, which do not count twice, ask for no change.
#[test]
fn a_fitted_value_is_written_into_the_document() {
    let calibration = results(sample_shuttle_text()).calibration.unwrap();
    let (flank, no_load) =
        (fitted(&calibration, Fittable::Flank).0, fitted(&calibration, Fittable::NoLoadTorque).0);
    let field = format!(
        "    resistance: (flank: (value: {flank:?}, tolerance: normal(0.03)), no_load_torque: (value: {no_load:?}, tolerance: normal(0.3))),\n    pulls: ["
    );
    let written = results(&sample_shuttle_text().replace("    pulls: [", &field));
    let named =
        |path: &str| written.coefficients.iter().find(|named| named.coefficient.path == path).unwrap();
    assert_eq!(named("resistance/flank").coefficient.basis, Basis::Fitted { standard_error: 0.01 });
    let error = 0.3 / 3.0;
    assert_eq!(named("resistance/no_load_torque").coefficient.basis, Basis::Fitted { standard_error: error });
    assert!(named("resistance/hysteresis").is_assumed());
    let again = written.calibration.as_ref().unwrap();
    assert!((fitted(again, Fittable::Flank).0 - flank).abs() < 1e-6);
    assert!((fitted(again, Fittable::NoLoadTorque).0 - no_load).abs() < 1e-6);
    for pull in &again.pulls {
        assert!((pull.before.unwrap() - pull.fitted.unwrap()).abs() < 1e-6);
    }
}

/// Rider, way, payload, place and whether the line was off come through the document; grams become kilograms.
#[test]
fn pulls_come_through_the_document() {
    let fixture = resolve(&parse(sample_shuttle_text()).unwrap(), None).fixture.unwrap();
    let pull = &fixture.pulls[3];
    assert_eq!((pull.rider, pull.towards, pull.line_off), (0, Way::Falling, true));
    assert!((pull.payload - 1.0).abs() < 1e-12 && (pull.at_travel - 200.0).abs() < 1e-12);
    let unknown = sample_shuttle_text().replacen("(rider: \"tray\", towards", "(rider: \"trey\", towards", 1);
    let problems = resolve(&parse(&unknown).unwrap(), None).problems;
    assert!(problems.iter().any(|problem| problem.to_string().contains("pulls/1/rider")), "{problems:?}");
}
