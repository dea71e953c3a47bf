//! Stacks as resolved: threads, plain shanks, eccentrics and their holes, numbers as they are written.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glam::DVec2;
use glidewright_motion::{Fixture, analyse};
use glidewright_project::document::Trial;
use glidewright_project::{Problem, Severity, edit, parse, resolve};
use glidewright_samples::COPY_STAND;

fn problems(text: &str) -> (Option<Fixture>, Vec<Problem>) {
    assert_ne!(text, COPY_STAND);
    let document = parse(text).unwrap_or_else(|problems| panic!("{problems:?}"));
    let resolved = resolve(&document, None);
    (resolved.fixture, resolved.problems)
}

fn sound(text: &str) -> Fixture {
    let (fixture, problems) = problems(text);
    assert!(problems.iter().all(|p| p.severity != Severity::Error), "{problems:#?}");
    fixture.unwrap()
}

const SCREW: &str = "screw: \"ISO 4762 M6\",\n                length: 45,";

fn with_screw(screw: &str, length: f64) -> String {
    COPY_STAND.replacen(SCREW, &format!("screw: \"{screw}\",\n                length: {length},"), 1)
}

/// An ISO 4762 M6 × 45 has 24 mm of thread and up to 21 mm of plain shank (b = 2d + 12, read); up to M6 × 30 it is
/// threaded to the head (from memory); DIN 7991 b = 2d + 6, ISO 4017 has no shank.
#[test]
fn the_thread_leaves_a_plain_shank() {
    for (screw, length, shank) in [
        ("ISO 4762 M6", 50.0, 26.0),
        ("ISO 4762 M6", 35.0, 11.0),
        ("ISO 4762 M6", 30.0, 0.0),
        ("ISO 4762 M6", 20.0, 0.0),
        ("DIN 7991 M6", 45.0, 27.0),
        ("ISO 4014 M6", 45.0, 27.0),
        ("ISO 4017 M6", 45.0, 0.0),
    ] {
        let fixture = sound(&with_screw(screw, length));
        let got = &fixture.riders[0].wheels[0].stack.screw;
        assert!((got.shank - shank).abs() < 1e-9, "{screw} × {length}: {}", got.shank);
    }
    // The rider that was left alone: M6 × 45.
    let fixture = sound(&with_screw("ISO 4017 M6", 45.0));
    assert!((fixture.riders[1].wheels[0].stack.screw.shank - 21.0).abs() < 1e-9);
    // Its thread is weighed at the pitch diameter, its shank at its own: 0.6495 mm off the diameter over 21 mm.
    let (plain, threaded) = (&fixture.riders[1].wheels[0].stack.screw, std::f64::consts::PI / 4.0);
    let lighter = threaded * (36.0 - (6.0f64 - 0.6495).powi(2)) * 21.0 * 7850e-9;
    let (other, _) = problems(&COPY_STAND.replace(
        "    trials: [",
        "    parts: [(name: \"own\", form: screw(diameter: 6, pitch: 1, head: socket, head_size: 10.22, head_height: (value: 5.85, tolerance: between(5.7, 6))), material: \"steel, plain carbon\")],\n    trials: [",
    ).replace("screw: \"ISO 4762 M6\"", "screw: \"own\""));
    let other = &other.unwrap().riders[1].wheels[0].stack.screw;
    assert!((plain.mass - other.mass - lighter).abs() < 1e-9, "{} {}", plain.mass, other.mass);
    assert!(other.shank == 0.0);
}

/// A long screw with the plate on a short grip: the nut would run onto the shank. Every way out is gone.
#[test]
fn a_nut_on_the_shank_can_be_cured() {
    let text = COPY_STAND
        .replace("length: 45,", "length: 60,")
        .replace("\"spacer\": (value: 15", "\"spacer\": (value: 10");
    let document = parse(&text.replace("(spacer: \"tube M6\", length: \"spacer\"),\n", "")).unwrap();
    let fixture = resolve(&document, None).fixture.unwrap();
    let results = analyse(&fixture);
    let find = |results: &glidewright_motion::Results| {
        results.findings.iter().find(|finding| finding.code == "screw.shank").cloned()
    };
    let finding = find(&results).expect("36 mm of shank in less to clamp");
    let mut cured = 0;
    for remedy in &finding.remedies {
        for way in edit::ways(&document, &results, &finding, remedy) {
            let mut trial = document.clone();
            let changes = way.changes.clone();
            trial.trials.push(Trial { name: "cure".into(), note: String::new(), over: Vec::new(), changes });
            let results = analyse(&resolve(&trial, Some("cure")).fixture.unwrap());
            let left = find(&results);
            assert!(left.is_none_or(|left| left.paths != finding.paths), "{}", way.words);
            cured += 1;
        }
    }
    assert!(cured >= 2, "{:?}", finding.remedies);
}

fn with_eccentric(boss: &str) -> String {
    let part = format!(
        "    parts: [(name: \"cam\", form: eccentric(hole: 6.2, outer: 13, length: 15, offset: 0.8{boss}))],\n    trials: ["
    );
    COPY_STAND.replacen("    trials: [", &part, 1).replacen(
        "(spacer: \"tube M6\", length: \"spacer\")",
        "(eccentric: \"cam\", turn: 45)",
        1,
    )
}

/// The screw stands where its wheel asks; the hole, about which the eccentric turns, lies beside it and lets it by.
#[test]
fn an_eccentric_has_a_hole_it_can_turn_in() {
    for (boss, diameter) in [("", 6.6 + 1.6), (", boss: 9", 9.2)] {
        let fixture = sound(&with_eccentric(boss));
        let assembly = glidewright_motion::Assembly::new(&fixture);
        let (plate, stacks) = (&fixture.riders[0].plates[0], &assembly.riders[0].stacks);
        assert_eq!(plate.holes.len(), 4);
        for stack in stacks {
            let off = DVec2::from_angle(std::f64::consts::FRAC_PI_4) * 0.8;
            let hole = plate
                .holes
                .iter()
                .find(|hole| (hole.bounds().centre() - (stack.at - off)).length() < 1e-9)
                .expect("a hole the offset away from the axle");
            assert!((hole.bounds().size().x - diameter).abs() < 1e-9, "{boss}: {:?}", hole.bounds());
            if boss.is_empty() {
                // Turned any way about the hole's middle, the screw of 6 mm keeps half the clearance of 6.6.
                for turn in 0..8 {
                    let at = hole.bounds().centre() + DVec2::from_angle(f64::from(turn)) * 0.8;
                    assert!((hole.distance_to_boundary(at) - 3.3).abs() < 1e-9);
                }
            }
        }
        // The outline goes round the axles where they stand: 14 mm beyond the outermost.
        let most = stacks.iter().map(|stack| stack.at).reduce(DVec2::max).unwrap();
        assert!((plate.outline.bounds().high - most - 14.0).length() < 1e-9);
    }
}

/// 0.164 in is 4.1656 mm; a nut whose thread was written as 4.16559 mm is the same.
#[test]
fn threads_in_inches_fit_threads_in_millimetres() {
    let with = |nut: &str| {
        let parts = format!(
            "    parts: [\n        (name: \"no 8\", form: screw(diameter: \"0.164 in\", pitch: \"1/32 in\", head: socket, head_size: 6.9, head_height: 4.2)),\n        (name: \"nut 8\", form: nut(diameter: {nut}, pitch: 0.79375, flats: 8.7, height: 3.3)),\n    ],\n    trials: ["
        );
        let text = COPY_STAND
            .replacen("    trials: [", &parts, 1)
            .replacen("\"ISO 4762 M6\"", "\"no 8\"", 1)
            .replacen("\"ISO 7040 M6\"", "\"nut 8\"", 1);
        problems(&text).1.into_iter().filter(|p| p.severity == Severity::Error).collect::<Vec<_>>()
    };
    assert!(with("4.16559").is_empty(), "{:?}", with("4.16559"));
    assert!(with("\"0.164 in\"").is_empty());
    let wrong = with("4.2");
    assert!(wrong[0].message.contains("4.2 mm, the screw's 4.1656 mm"), "{wrong:?}");
}

/// A length worked out in binary is written as a person would: 83.45, not 83.44999999999999.
#[test]
fn names_of_screws_are_short() {
    let fixture = sound(&COPY_STAND.replacen("length: 45,", "length: \"0.1 + 0.2 + 45\",", 1));
    assert_eq!(fixture.riders[0].wheels[0].stack.screw.name, "ISO 4762 M6 × 45.3");
}
