//! Beyond the reach of the models a finding fails, and says that what follows is not to be believed.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

mod common;

use common::{Recipe, fixture};
use glidewright_motion::*;

fn found<'r>(results: &'r Results, code: &str) -> Vec<&'r Finding> {
    results.findings.iter().filter(|finding| finding.code == code).collect()
}

#[test]
fn a_tilt_beyond_the_model_fails_without_a_figure() {
    // Ten times and a thousand times the load the wheels can hold upright.
    for mass in [100.0, 1e4, 1e6] {
        let mut fixture = fixture(&Recipe::default());
        let load = fixture.riders[0].loads.first_mut().unwrap();
        load.mass = mass;
        load.centre.z += 2000.0;
        let results = analyse(&fixture);
        let tilts =
            results.riders[0].tilt.iter().copied().filter(|tilt| tilt.is_finite()).fold(0.0, f64::max);
        let findings = found(&results, "rider.tilt");
        assert_eq!(results.worst(), Some(Severity::Fails), "{mass} kg tilts by {}°", tilts.to_degrees());
        // So heavy a load may bend its axles until nothing holds it: then that is told instead.
        if let Some(finding) = found(&results, "rider.unrestrained").first() {
            assert_eq!((finding.severity, finding.value), (Severity::Fails, None));
            assert!(found(&results, "effort.high").is_empty());
        } else if tilts.to_degrees() > 3.0 {
            let finding = findings.iter().find(|finding| finding.severity == Severity::Fails).unwrap();
            assert!(finding.title.to_string().contains("more than 3°"), "{}", finding.title);
            assert!(finding.reason.to_string().contains("not to be believed"), "{}", finding.reason);
            assert!(finding.value.unwrap() <= 3.01);
        }
    }
}

#[test]
fn a_press_through_the_groove_or_out_of_it_fails() {
    for (press, fails) in
        [(0.02, false), (0.2, false), (100.0, true), (5.0, true), (-100.0, true), (-0.05, false)]
    {
        let mut fixture = fixture(&Recipe::default());
        fixture.riders[0].wheels[0].press = press;
        let results = analyse(&fixture);
        let findings = found(&results, "wheel.press");
        assert_eq!(!findings.is_empty(), fails, "press {press}: {findings:#?}");
        for finding in findings {
            assert_eq!(finding.severity, Severity::Fails);
            assert!(finding.reason.to_string().contains("not to be believed"), "{}", finding.reason);
        }
    }
}

#[test]
fn figures_that_are_no_numbers_fail() {
    let sound = analyse(&fixture(&Recipe::default()));
    assert!(found(&sound, "figures.not_finite").is_empty());
    for mass in [f64::NAN, f64::INFINITY, 1e308] {
        let mut fixture = fixture(&Recipe::default());
        let load = fixture.riders[0].loads.first_mut().unwrap();
        load.mass = mass;
        let results = analyse(&fixture);
        assert_eq!(results.worst(), Some(Severity::Fails), "{mass}");
        assert!(!found(&results, "figures.not_finite").is_empty(), "{mass}: {:#?}", results.findings);
    }
}
