//! Tracks and pairs of tracks by their names and by their numbers.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_motion::{ACROSS, Fixture, Rail};
use glidewright_project::document::Document;
use glidewright_project::edit::{self, MirrorPlane};
use glidewright_project::{Severity, parse, resolve};

/// A rider that faces one way on a grooved rail of 2 columns and 4 rows, and on the same as an outline.
fn text(section: &str, faces: &str, wheels: &str) -> String {
    let wheel = "stack: (screw: \"ISO 4762 M5\", pieces: [(washer: \"ISO 7089 M5\"), (plate: \"deck\"), \
        (spacer: \"tube M5\", length: 40), (shim: \"ring M5\"), (wheel: \"vee wheel 24, bore 5\"), (shim: \"ring M5\", name: \"outer\"), \
        (nut: \"DIN 985 M5\")])";
    // Named as a person may: words that follow no rule, the right side with one more than the left.
    let track = |name: &str, at: (f64, f64), faces: f64| {
        format!("(name: \"{name}\", at: ({}, {}), faces: {faces}, profile: flat(width: 8)),", at.0, at.1)
    };
    let tracks = [
        track("left lower", (-20.0, -25.0), 180.0),
        track("left upper", (-20.0, 25.0), 180.0),
        track("right spare", (20.0, 0.0), 0.0),
        track("right upper", (20.0, 25.0), 0.0),
        track("right lower", (20.0, -25.0), 0.0),
    ]
    .concat();
    format!(
        "(format: 2, name: \"tracks\", rail: (section: \"{section}\", length: 500),
        riders: [(name: \"tray\", faces: {faces}, at: 80, {wheel}, wheels: [{wheels}],
            plates: [(name: \"deck\", outline: around(margin: 12), thickness: 6, material: \"PETG\")])],
        stroke: (to: 300),
        parts: [
            (name: \"own\", form: rail(outline(d: \"M-20 -40 H20 V40 H-20 Z\", tracks: [{tracks}])), material: \"Al 6063-T5\"),
            (name: \"four rows\", form: rail(grooved(module: 20, columns: 2, rows: 4, mouth: 9.16, half_angle: 45, channel: 6.2,
                lip: 1.8, cavity: 11, bottom: 6, depth: 6)), material: \"Al 6063-T5\"),
        ])"
    )
}

fn read(text: &str) -> Document {
    parse(text).unwrap_or_else(|problems| panic!("{problems:#?}"))
}

fn fixture(document: &Document) -> Fixture {
    let resolved = resolve(document, None);
    let errors: Vec<_> = resolved.problems.iter().filter(|p| p.severity == Severity::Error).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    resolved.fixture.unwrap()
}

fn rail(section: &str) -> Rail {
    fixture(&read(&text(section, "front", "(name: \"a\", pair: \"1\", along: 30)"))).rail
}

/// Names of the tracks a wheel place stands for.
fn run_in(section: &str, faces: &str, place: &str) -> Vec<String> {
    let fixture = fixture(&read(&text(section, faces, &format!("(name: \"a\", {place}, along: 30)"))));
    let names = fixture.riders[0].wheels.iter().map(|wheel| fixture.rail.tracks[wheel.track].name.clone());
    let mut names: Vec<String> = names.collect();
    names.sort();
    names
}

#[test]
fn numbers_run_from_the_front_and_from_the_right() {
    let rail = rail("four rows");
    let [sides, faces] = ACROSS.map(|across| rail.numbered(across));
    for (track, number) in sides.iter().chain(&faces) {
        let track = &rail.tracks[*track];
        // By hand: rows of 20 from z = 30 down, columns of 20 from y = −10 up.
        let expected = if track.normal.y == 0.0 {
            (50.0 - track.middle.y) / 20.0
        } else {
            (30.0 + track.middle.x) / 20.0
        };
        assert!((expected - *number as f64).abs() < 1e-9, "{} {number}", track.name);
    }
    assert_eq!((sides.len(), faces.len()), (8, 4));
}

#[test]
fn a_number_serves_for_a_name() {
    for (place, tracks) in [
        ("pair: \"1\"", ["left front", "right front"]),
        ("pair: \"front\"", ["left front", "right front"]),
        ("pair: \"3\"", ["left 3", "right 3"]),
        ("pair: \"4\"", ["left rear", "right rear"]),
    ] {
        assert_eq!(run_in("four rows", "front", place), tracks, "{place}");
    }
    assert_eq!(run_in("four rows", "left", "pair: \"1\""), ["front right", "rear right"]);
    assert_eq!(run_in("four rows", "front", "track: \"right 4\""), ["right rear"]);
    // Whatever a section's tracks are called: pairs first, then what has no counterpart.
    assert_eq!(run_in("own", "front", "pair: \"1\""), ["left upper", "right upper"]);
    assert_eq!(run_in("own", "front", "pair: \"2\""), ["left lower", "right lower"]);
    assert_eq!(run_in("own", "front", "track: \"right 3\""), ["right spare"]);
    assert_eq!(run_in("own", "front", "track: \"left 2\""), ["left lower"]);
}

#[test]
fn a_number_that_is_not_there_is_told_once() {
    for place in
        ["pair: \"5\"", "pair: \"0\"", "pair: \"-1\"", "track: \"left 5\"", "track: \"up 1\"", "track: \"1\""]
    {
        let document = read(&text("four rows", "front", &format!("(name: \"a\", {place}, along: 30)")));
        let problems = resolve(&document, None).problems;
        let errors: Vec<_> = problems.iter().filter(|p| p.severity == Severity::Error).collect();
        let [only] = &errors[..] else { panic!("{place}: {errors:#?}") };
        assert!(only.message.contains("the rail has no"), "{only:?}");
    }
}

/// A mirrored rider runs in the tracks that stand where the mirror puts its own, whatever they are called.
#[test]
fn mirrored_riders_run_in_the_mirrored_tracks() {
    for (section, place) in [
        ("four rows", "pair: \"1\""),
        ("four rows", "pair: \"2\""),
        ("four rows", "pair: \"3\""),
        ("four rows", "pair: \"rear\""),
        ("four rows", "track: \"left 2\""),
        ("four rows", "track: \"left 1\""),
        ("own", "pair: \"1\""),
        ("own", "pair: \"upper\""),
        ("own", "track: \"left 2\""),
        ("own", "track: \"right spare\""),
    ] {
        let document = read(&text(section, "front", &format!("(name: \"a\", {place}, along: 30)")));
        let before = fixture(&document);
        for (plane, factor) in [(MirrorPlane::FrontRear, [1.0, -1.0]), (MirrorPlane::LeftRight, [-1.0, 1.0])]
        {
            let image = edit::mirror(&document, "riders/tray", plane).unwrap().document;
            // The spare track has no image on the left: its name has none either.
            if place.contains("spare") && plane == MirrorPlane::LeftRight {
                assert_eq!(image.riders[0].wheels[0].track.as_deref(), Some("left spare"));
                continue;
            }
            let after = fixture(&image);
            let middles = |fixture: &Fixture, factor: [f64; 2]| {
                let of = |track: usize| fixture.rail.tracks[track].middle * glam::DVec2::from(factor);
                let mut all: Vec<_> = fixture.riders[0].wheels.iter().map(|wheel| of(wheel.track)).collect();
                all.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
                all
            };
            assert_eq!(middles(&after, [1.0, 1.0]), middles(&before, factor), "{section} {place} {plane:?}");
            // What was called by its number still is.
            let named = |document: &Document| {
                let wheel = &document.riders[0].wheels[0];
                wheel.pair.clone().or(wheel.track.clone()).unwrap()
            };
            let by_number = |name: String| name.ends_with(|c: char| c.is_ascii_digit());
            assert_eq!(by_number(named(&image)), by_number(named(&document)), "{}", named(&image));
        }
    }
}
