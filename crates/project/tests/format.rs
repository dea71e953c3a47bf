//! The file format: old versions, and reading what was printed.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_project::document::{Change, Facing};
use glidewright_project::size::Formula;
use glidewright_project::{Resolved, Severity, parse, print, read, read_parts, resolve};

#[test]
fn a_draft_is_carried_over_with_a_report() {
    let text = include_str!("data/version-0.ron");
    let old = read(text).unwrap();
    let told: Vec<String> = old.notes.iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        [
            "note: format: the file has format 0, the draft; it was carried over to format 2 (save it to keep the new format)",
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

/// The feeder in the first version's words, and what this program ships: the same fixture.
const FIRST: &str = include_str!("data/version-1.ron");
const FEEDER: &str = include_str!("../../../demo-projects/inclined-feeder.ron");

#[test]
fn left_and_right_change_over_and_nothing_moves() {
    let old = read(FIRST).unwrap();
    let told: Vec<String> = old.notes.iter().map(ToString::to_string).collect();
    assert_eq!(told.len(), 3, "{told:#?}");
    assert!(told[0].contains("the file has format 1; it was carried over to format 2"), "{told:#?}");
    assert!(
        told[1].starts_with("note: riders/shuttle: left and right changed over in the tracks it runs on")
    );
    assert!(told[2].contains("'left shoe', 'right shoe'"), "{told:#?}");
    // The tables' wheels had other names then; they are still known by them.
    let renamed = read(&FIRST.replace("V24-5", "vee wheel 24, bore 5")).unwrap();
    let now = parse(FEEDER).unwrap();
    let [before, after] = [resolve(&renamed.document, None), resolve(&now, None)];
    assert!(resolve(&old.document, None).fixture.is_some());
    assert_eq!(before.fixture, after.fixture);
    // The eccentric and its comment go with the wheel they belong to.
    let printed = print(&old.document);
    let wheel = printed.split("name: \"lower left\"").nth(1).unwrap();
    assert!(wheel.contains("track: \"left front\"") && wheel.contains("turn: 45), // to take up play"));
    let again = read(&printed).unwrap();
    assert!(again.notes.is_empty());
    assert_eq!(again.document, old.document);
}

#[test]
fn paths_of_trials_follow_the_names() {
    let document = read(FIRST).unwrap().document;
    let trial = document.trials.iter().find(|trial| trial.name == "one wheel alone").unwrap();
    let said = format!("{:?}", trial.changes);
    for path in [
        "riders/shuttle/wheels/upper left",
        "riders/shuttle/wheels/lower left/press",
        "riders/weight/shoes/right shoe/along",
    ] {
        assert!(said.contains(path), "{path} in {said}");
    }
    let faces = Change::Set { path: "riders/weight/faces".into(), to: Formula::typed("right") };
    assert!(trial.changes.contains(&faces), "{said}");
    let resolved = resolve(&document, Some("one wheel alone"));
    let fixture = resolved.fixture.unwrap();
    let nut = |name: &str| {
        let wheel = fixture.riders[0].wheels.iter().find(|wheel| wheel.name == name).unwrap();
        wheel.stack.pieces.last().unwrap().name.clone()
    };
    assert_eq!([nut("upper left"), nut("upper right")], ["ISO 7040 M5", "DIN 985 M5"]);
    // At −y, as it was: what was called left there is right now.
    let shoe = fixture.riders[1].shoes.iter().find(|shoe| shoe.along == 2.0).unwrap();
    assert!(shoe.name == "right shoe" && fixture.rail.tracks[shoe.track].normal.x < 0.0);
}

/// A section with a notch at one corner and two riders with drawn plates, in the words of a version; `d` draws the
/// section, `sides` names −y and +y, `plate` draws the plate of the rider that faces +y.
fn notched(format: u32, d: &str, sides: [&str; 2], track: [&str; 2], plates: [&str; 2]) -> String {
    let [low, high] = sides;
    let [low_track, high_track] = track;
    let rider = |name: &str, faces: &str, moves: &str, tracks: [&str; 2], at: u32, plate: &str| {
        let [a, b] = tracks;
        format!(
            r#"(
            name: "{name}", faces: {faces}, at: {at}, {moves}
            shoes: [
                (name: "{a} shoe", track: "{a}", along: 10, length: 30, material: "POM"),
                (name: "{b} shoe", track: "{b}", along: -10, length: 30, material: "POM"),
            ],
            plates: [(
                name: "plate", outline: path("{plate}"), thickness: 4, material: "PETG", level: 30,
                features: [
                    rib(name: "fin", shape: path(d: "{plate}", at: (1, 2)), height: 3),
                    cut(name: "hole", shape: circle(at: (-12, 5), diameter: 4)),
                ],
            )],
        )"#
        )
    };
    let [outer, inner] = plates;
    format!(
        r#"(
        format: {format}, name: "notched",
        rail: (section: "own", length: 700, stand: inclined(incline: 20, roll: 30)),
        riders: [
            {},
            {},
            {},
        ],
        stroke: (to: 50),
        parts: [(name: "own", form: rail(outline(d: "{d}", tracks: [
            (name: "{low}", at: {low_track}, profile: flat(width: 16)),
            (name: "{high}", at: {high_track}, profile: flat(width: 16)),
            (name: "front", at: (0, 20), faces: 90, profile: flat(width: 16)),
            (name: "rear", at: (0, -20), faces: 270, profile: flat(width: 16)),
        ])), material: "Al 6063-T5")],
        measured: [(part: "own", size: "tracks/{high}/profile/width", readings: [16.2], resolution: 0)],
    )"#,
        rider("above", "front", "", [low, high], 100, outer),
        rider("below", "rear", "moves: linked(1),", [low, high], 300, inner),
        rider("aside", high, "moves: linked(1),", ["front", "rear"], 500, inner),
    )
}

#[test]
fn drawings_are_turned_round_and_nothing_moves() {
    // First version: sections from the upper end, plates with y or z up. Now: from the lower end, from outside.
    let first = notched(
        1,
        "M-20 -20 H12 V-12 H20 V20 H-20 Z M5 0 A5 5 0 0 1 -5 0 A5 5 0 0 1 5 0 Z",
        ["left", "right"],
        ["(-20, 1), faces: 180", "(20, 1), faces: 0"],
        ["M-20 20 H20 V0 H0 V-20 H-20 Z", "M-20 20 H20 V0 H0 V-20 H-20 Z"],
    );
    let now = notched(
        2,
        "M20 -20 H-12 V-12 H-20 V20 H20 Z M-5 0 A5 5 0 0 0 5 0 A5 5 0 0 0 -5 0 Z",
        ["right", "left"],
        ["(20, 1), faces: 0", "(-20, 1), faces: 180"],
        ["M-20 20 H20 V0 H0 V-20 H-20 Z", "M-20 -20 H20 V0 H0 V20 H-20 Z"],
    );
    let sound = |text: &str| -> Resolved {
        let read = read(text).unwrap_or_else(|problems| panic!("{problems:#?}"));
        let resolved = resolve(&read.document, None);
        let errors = resolved.problems.iter().filter(|p| p.severity == Severity::Error);
        assert_eq!(errors.count(), 0, "{:#?}", resolved.problems);
        resolved
    };
    let [first_made, now_made] = [sound(&first), sound(&now)];
    let [a, b] = [first_made.fixture.unwrap(), now_made.fixture.unwrap()];
    assert_eq!(a, b);
    // Where things are, in numbers: the notch at +y and front, left at +y.
    let section = &a.rail.bars[0];
    assert!(
        !section.contains(glam::DVec2::new(16.0, 16.0)) && section.contains(glam::DVec2::new(-16.0, 16.0))
    );
    let track = |name: &str| a.rail.tracks.iter().find(|track| track.name == name).unwrap();
    assert_eq!(track("left").middle, glam::DVec2::new(20.0, 1.0));
    assert_eq!(track("right").normal, glam::DVec2::new(-1.0, 0.0));
    // The first version's L lacked +x with +y or +z, whichever way the rider faced.
    for rider in &a.riders {
        let plate = &rider.plates[0];
        assert!(!plate.outline.contains(glam::DVec2::new(10.0, 10.0)), "{}", rider.name);
        assert!(plate.outline.contains(glam::DVec2::new(10.0, -10.0)), "{}", rider.name);
    }
    let document = read(&first).unwrap().document;
    assert_eq!(document.riders[2].faces, Facing::Left);
    assert_eq!(document.measured[0].size, "tracks/left/profile/width");
    assert_eq!(read(&print(&document)).unwrap().document, document);
}

#[test]
fn a_library_of_the_first_version_is_turned_round() {
    let part = "parts: [(name: \"own\", form: rail(outline(d: \"M-20 -20 H12 V20 H-20 Z\", tracks: [(name: \"left\", at: (-20, \"a\"), faces: \"2*b\", profile: flat(width: 9))])))]";
    let [first, now] = [1, 2].map(|format| read_parts(&format!("(format: {format}, {part})")).unwrap());
    assert_eq!((first.format, now.format), (2, 2));
    let said = format!("{:?}", first.parts);
    assert!(said.contains("M20 -20 H-12 V20 H20 Z"), "{said}");
    assert!(
        said.contains("\"right\"") && said.contains("Number(20.0)") && said.contains("180 - (2*b)"),
        "{said}"
    );
    assert!(format!("{:?}", now.parts).contains("M-20 -20 H12 V20 H-20 Z"));
}
