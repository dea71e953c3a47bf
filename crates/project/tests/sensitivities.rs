//! What a size does to a gap, from the document on: sensitivities against rebuilding everything with the size changed.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test that cannot go on may stop")]

use glidewright_motion::{PairResult, Results, analyse};
use glidewright_project::{parse, resolve};
use glidewright_samples::COPY_STAND;

fn results(text: &str, trial: Option<&str>) -> Results {
    let resolved = resolve(&parse(text).unwrap(), trial);
    assert!(resolved.problems.is_empty(), "{:#?}", resolved.problems);
    analyse(&resolved.fixture.unwrap())
}

/// The tightest pair of two riders, and the same pair in other results.
fn tightest(results: &Results) -> &PairResult {
    results.interference.tightest().expect("two riders pass")
}

fn gap_of(results: &Results, pair: &PairResult) -> f64 {
    results.interference.passing.iter().find(|other| other.bodies == pair.bodies).unwrap().gap
}

/// Shared sizes of the copy stand moved by a hundredth either way, in the text itself: formulas, parts, stacks and
/// places all follow. The change of the tightest gap is what its contributors' sensitivities add up to.
#[test]
fn sensitivities_agree_with_rebuilding_from_the_text() {
    const STEP: f64 = 0.01;
    let sizes = [
        ("\"spacer\": (value: 15", 15.0, "tube M6"),
        ("\"shim\": (value: 1", 1.0, "ring M6"),
        ("\"plate\": (value: 6", 6.0, " plate"),
    ];
    let mut felt = 0;
    for trial in [None, Some("thin lock nuts"), Some("spacers regrouped")] {
        let base = results(COPY_STAND, trial);
        let pair = tightest(&base);
        for (written, nominal, word) in sizes {
            // The trial sets spacer and nut-side shim itself.
            if trial == Some("spacers regrouped") && word != " plate" {
                continue;
            }
            let moved = [-STEP, STEP].map(|by| {
                let (name, _) = written.split_once("value: ").unwrap();
                let text = COPY_STAND.replacen(written, &format!("{name}value: {}", nominal + by), 1);
                gap_of(&results(&text, trial), pair)
            });
            let slope = (moved[1] - moved[0]) / (2.0 * STEP);
            let own: f64 = pair
                .tolerance
                .contributors
                .iter()
                .filter(|contributor| contributor.label.contains(word))
                .map(|contributor| contributor.sensitivity)
                .sum();
            assert!((slope - own).abs() < 1e-6, "{trial:?} {word}: {slope} by rebuilding, {own} here");
            felt += usize::from(slope != 0.0);
        }
    }
    assert!(felt >= 4, "{felt}");
}
