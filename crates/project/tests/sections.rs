//! Grooved rails of a person's own sizes: what is sound but for rounding passes, and what is not sound is told.

#![allow(clippy::unwrap_used, reason = "tests fail by panicking")]

use glidewright_project::document::{Document, GroovedPart, Part, PartForm, RailPart};
use glidewright_project::{demo_text, parse, resolve};

/// A document with a rail of these sizes (mm; degrees): module, columns, rows, mouth, half angle, channel, lip, cavity,
/// bottom, depth, corner, bore.
fn with_rail(sizes: [f64; 12]) -> Document {
    let mut document = parse(demo_text()).unwrap();
    let [module, columns, rows, mouth, half_angle, channel, lip, cavity, bottom, depth, corner, bore] = sizes;
    document.parts.push(Part {
        name: "own".into(),
        also: Vec::new(),
        form: PartForm::Rail(RailPart::Grooved(GroovedPart {
            module: module.into(),
            columns: columns.into(),
            rows: rows.into(),
            mouth: mouth.into(),
            half_angle: half_angle.into(),
            channel: channel.into(),
            lip: lip.into(),
            cavity: cavity.into(),
            bottom: bottom.into(),
            depth: depth.into(),
            corner: corner.into(),
            bore: bore.into(),
        })),
        material: "Al 6063-T5".into(),
        mass: None,
        cost: None,
        note: String::new(),
    });
    document.rail.section = "own".into();
    document
}

/// Problems told about the section.
fn told(document: &Document) -> Vec<String> {
    let about = |text: &String| text.starts_with("parts/own") || text.starts_with("rail/section");
    let problems = resolve(document, None).problems;
    problems.iter().map(|p| format!("{}: {}", p.place, p.message)).filter(about).collect()
}

#[test]
fn sizes_that_round_to_each_other_are_no_fault() {
    // Flanks 0.1 + 0.2 deep on lips of 0.3; a cavity whose taper takes all of 1.1 − 0.3.
    let third = 0.1 + 0.2;
    let sizes =
        [20.0, 1.0, 2.0, 4.0 + 2.0 * third, 45.0, 4.0, 0.3, 8.0, 8.0 - 2.0 * (1.1 - 0.3), 1.1, 1.0, 0.0];
    assert_eq!(told(&with_rail(sizes)), Vec::<String>::new());
}

#[test]
fn cavities_that_meet_round_a_corner_are_told() {
    let sizes = [20.0, 1.0, 1.0, 6.0, 45.0, 6.0, 2.0, 14.0, 14.0, 6.0, 1.0, 0.0];
    let told = told(&with_rail(sizes));
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].contains("not sound") && told[0].contains("cross or touch"), "{told:?}");
}
