//! The file format: old versions, and reading what was printed.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_project::{Severity, print, read, resolve};

#[test]
fn a_draft_is_carried_over_with_a_report() {
    let text = include_str!("data/version-0.ron");
    let old = read(text).unwrap();
    let told: Vec<String> = old.notes.iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        [
            "note: format: the file has format 0, the draft; it was carried over to format 1 (save it to keep the new format)",
            "note: sizes: 3 shared sizes became a map",
            "warning: sizes/plate: the size plate was given twice; the first is kept (check its value)",
            "note: limits/gap: the least gap moved to the limits",
            "note: riders/slider: place, facing and ratio became at, faces and moves",
            "note: riders/weight: place, facing and ratio became at, faces and moves",
        ]
    );
    let resolved = resolve(&old.document, None);
    assert!(resolved.problems.iter().all(|p| p.severity < Severity::Error), "{:#?}", resolved.problems);
    let fixture = resolved.fixture.unwrap();
    assert_eq!(fixture.limits.gap, 0.8);
    assert_eq!(fixture.riders[1].coupling, glidewright_motion::Coupling::Linked { ratio: -1.0 });
    // Printed in the present format, it reads back without a report and keeps its comments.
    let printed = print(&old.document);
    assert!(
        printed.contains("// A draft from before the first version.")
            && printed.contains("// the lower pair")
    );
    let again = read(&printed).unwrap();
    assert!(again.notes.is_empty());
    assert_eq!(again.document.riders, old.document.riders);
}

#[test]
fn a_broken_draft_tells_where() {
    let text = include_str!("data/version-0.ron").replace("place: 320", "plaice: 320");
    let problems = read(&text).unwrap_err();
    assert!(
        problems[0].message.contains("'plaice'") && problems[0].remedy.contains("'place'"),
        "{problems:?}"
    );
}
