//! The document through the whole program: a fixture written by hand, readings, trials, shared sizes.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

use glidewright::cli::Outcome;
use glidewright_project::{parse, resolve};
use glidewright_samples::COPY_STAND;
use glidewright_tests::{figures, program, scratch};
use serde_json::Value;

/// A fixture written by hand from the handbook page on the project file.
const BY_HAND: &str = include_str!("../../demo-projects/inclined-feeder.ron");

#[test]
fn a_fixture_written_by_hand_checks() {
    let file = scratch("by-hand").join("feeder.ron");
    std::fs::write(&file, BY_HAND).unwrap();
    let file = file.to_string_lossy();
    for trial in [None, Some("steeper"), Some("steeper, more weight"), Some("without the stop")] {
        let mut arguments = vec!["check", &*file, "--json"];
        if let Some(trial) = trial {
            arguments.extend(["--trial", trial]);
        }
        let said = program(&arguments);
        assert!(matches!(said.outcome, Outcome::Good | Outcome::Fails), "{trial:?}: {}", said.error);
        let json: Value = serde_json::from_str(&said.out).unwrap();
        assert_eq!(json["warnings"].as_array().unwrap().len(), 0, "{trial:?}: {:#}", json["warnings"]);
        assert!(json["key_figures"]["tightest_gap_mm"].is_number(), "{trial:?}");
    }
}

/// The tightest gap over travel and how far it may lie from its nominal in the worst case (mm).
fn band(name: &str, text: &str) -> (f64, f64) {
    let figures = figures(name, text).unwrap();
    let numbers = |curve: &str| -> Vec<f64> {
        let curve = figures["clearance"][curve].as_array().unwrap();
        curve.iter().map(|value| value.as_f64().unwrap_or(f64::INFINITY)).collect()
    };
    let gaps = numbers("gap_mm");
    let tightest = (0..gaps.len()).min_by(|&a, &b| gaps[a].total_cmp(&gaps[b])).unwrap();
    (gaps[tightest], numbers("gap_worst_case_half_width_mm")[tightest])
}

fn with_readings(readings: &str) -> String {
    let field = format!(
        "    measured: [(part: \"ISO 7040 M6\", size: \"height\", readings: [{readings}], resolution: 0.01)],\n    trials: ["
    );
    COPY_STAND.replace("    trials: [", &field)
}

#[test]
fn readings_of_a_nut_move_the_clearance_band_and_narrow_it() {
    let (gap, width) = band("stated", COPY_STAND);
    // Both riders carry the nut: a nut lower by a tenth opens the gap by two tenths. The table says 7.42 to 8 mm,
    // its middle 7.71 is calculated with.
    let (measured, narrower) = band("measured", &with_readings("7.60, 7.61, 7.62, 7.61"));
    assert!((measured - gap - 2.0 * (7.71 - 7.61)).abs() < 1e-6, "{gap} → {measured}");
    // The limits' half-width of 0.29 mm gives way to t(0.95; 3)·s·√(1 + 1/4) and half a step: 0.0296 mm.
    let scatter = 3.182_446 * (0.0002_f64 / 3.0).sqrt() * 1.25_f64.sqrt();
    let expected = scatter.hypot(0.005);
    assert!((width - narrower - 2.0 * (0.29 - expected)).abs() < 1e-4, "{width} → {narrower}");
    // One reading says nothing of the spread.
    let (_, one) = band("one", &with_readings("7.61"));
    assert!((width - one).abs() < 1e-9, "{one}");
    // Readings that scatter widen the band again.
    let (_, wide) = band("scattered", &with_readings("7.4, 7.9, 7.5"));
    assert!(wide > width, "{wide} {width}");
}

#[test]
fn a_trial_that_no_longer_applies_is_told_with_its_place() {
    let file = scratch("trial").join("stand.ron");
    std::fs::write(&file, COPY_STAND.replace(r#"(nut: "ISO 7040 M6")"#, r#"(nut: "ISO 10511 M6")"#)).unwrap();
    let said = program(&["check", &file.to_string_lossy(), "--trial", "thin lock nuts"]);
    let told = format!("{}{}", said.out, said.error);
    assert!(told.contains("trials/thin lock nuts/changes/1"), "{told}");
    assert!(told.contains("no longer applies") && told.contains("'ISO 7040 M6'"), "{told}");
    assert_eq!(said.outcome, Outcome::Unusable, "{told}");
    // As drawn it is as good as ever.
    let said = program(&["check", &file.to_string_lossy()]);
    assert!(matches!(said.outcome, Outcome::Good | Outcome::Fails), "{}", said.error);
}

#[test]
fn a_formula_of_the_wrong_kind_is_told_at_its_character() {
    let file = scratch("formula").join("stand.ron");
    std::fs::write(&file, COPY_STAND.replace("length: 700", "length: \"700 mm + 6 kg\"")).unwrap();
    let said = program(&["check", &file.to_string_lossy()]);
    assert_eq!(said.outcome, Outcome::Unusable);
    assert!(said.error.contains("rail/length, character 8"), "{}", said.error);
    assert!(said.error.contains("cannot add a length and a mass"), "{}", said.error);
}

#[test]
fn a_thicker_plate_moves_everything_that_stands_on_it() {
    let centre = |text: &str| {
        let fixture = resolve(&parse(text).unwrap(), None).fixture.unwrap();
        (fixture.riders[0].loads[1].centre.z, fixture.riders[1].loads[0].centre.z)
    };
    let thicker = COPY_STAND.replace("\"plate\": (value: 6", "\"plate\": (value: 9");
    let (before, after) = (centre(COPY_STAND), centre(&thicker));
    assert!((after.0 - before.0 - 3.0).abs() < 1e-9 && (before.1 - after.1 - 3.0).abs() < 1e-9);
}

#[test]
fn an_older_file_is_carried_over_with_a_report() {
    let file = scratch("older").join("draft.ron");
    std::fs::write(&file, include_str!("../../crates/project/tests/data/version-0.ron")).unwrap();
    let said = program(&["check", &file.to_string_lossy()]);
    assert!(matches!(said.outcome, Outcome::Good | Outcome::Fails), "{}", said.error);
    for told in ["the file has format 0", "3 shared sizes became a map", "the size plate was given twice"] {
        assert!(said.error.contains(told), "{told:?} is missing in\n{}", said.error);
    }
}
