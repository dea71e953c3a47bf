//! A project file from anywhere, all the way from bytes to findings: what is said of it is finite.
#![no_main]

use glidewright_motion::{Severity, analyse};
use glidewright_project::{read_bytes, resolve};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(read) = read_bytes(bytes) else { return };
    let resolved = resolve(&read.document, None);
    let unusable = resolved.has_errors();
    let Some(fixture) = resolved.fixture.filter(|_| !unusable) else { return };
    let results = analyse(&fixture);
    for finding in &results.findings {
        for value in [finding.value, finding.limit, finding.at_travel].into_iter().flatten() {
            assert!(value.is_finite(), "{finding:#?}");
        }
        for text in [&finding.title, &finding.reason] {
            let text = text.to_string();
            assert!(!text.contains("NaN") && !text.contains(" inf"), "{finding:#?}");
        }
    }
    let curves = &results.curves;
    let is_finite = |curve: &[f64]| curve.iter().all(|value| value.is_finite());
    let all = is_finite(&curves.imbalance) && is_finite(&curves.effort_up) && is_finite(&curves.effort_down);
    assert!(all || results.worst() == Some(Severity::Fails), "what is not finite is not told");
});
