//! A table of caliper readings from anywhere, taken into a document.
#![no_main]

use std::sync::OnceLock;

use glidewright_project::{Document, demo, edit, measured_sizes, parse, print, read_readings, resolve};
use libfuzzer_sys::fuzz_target;

fn stand() -> &'static Document {
    static STAND: OnceLock<Document> = OnceLock::new();
    STAND.get_or_init(|| demo().unwrap())
}

fuzz_target!(|bytes: &[u8]| {
    let readings = match read_readings(bytes) {
        Ok(readings) => readings,
        Err(problems) => {
            assert!(!problems.is_empty());
            assert!(problems.iter().all(|problem| problem.to_string().chars().count() < 500));
            return;
        }
    };
    assert!(!readings.is_empty());
    let Ok(edited) = edit::take_readings(stand(), readings.clone()) else { return };
    assert_eq!(edited.document.measured, readings);
    assert_eq!(parse(&print(&edited.document)).unwrap(), edited.document);
    for size in measured_sizes(&edited.document) {
        assert!(size.measured.nominal.is_finite() && size.measured.half_width() >= 0.0, "{size:?}");
    }
    let _ = resolve(&edited.document, None);
});
