//! Bodies on an outline, drawn and exported whole.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_motion::{Body, BodyId, Fixture, Results, analyse};
use glidewright_project::{parse, resolve};
use glidewright_samples::COPY_STAND;
use glidewright_sheet::views::{Pick, VIEWS, ViewState, view_named};
use glidewright_sheet::{DVec2, InkKind, Path, body_meshes};

/// A channel: 30 × 30 with a groove of 10 × 20 and a hole of 6 across, 40 thick.
const CHANNEL: &str = "M0 0 h30 v-30 h-10 v20 h-10 v-20 h-10 z M12 -5 a3 3 0 1 0 6 0 a3 3 0 1 0 -6 0 z";
const AREA: f64 = 900.0 - 200.0 - 9.0 * std::f64::consts::PI;

/// The demo with a channel beside its rail.
fn with_channel(along: &str, turned: &str) -> (Fixture, Results) {
    let text = COPY_STAND.replacen(
        "obstacles: [",
        &format!(
            "obstacles: [(name: \"channel\", bodies: [outline(shape: path(d: \"{CHANNEL}\", at: (60, 60)), \
                along: {along}, from: 60, to: 100{turned})]),"
        ),
        1,
    );
    let document = parse(&text).unwrap_or_else(|problems| panic!("{problems:#?}"));
    let fixture = resolve(&document, None).fixture.unwrap();
    let results = analyse(&fixture);
    (fixture, results)
}

fn channel(results: &Results) -> (BodyId, &Body) {
    let number = results.assembly.bodies.iter().position(|body| body.label == "channel").unwrap();
    (BodyId(number as u32), &results.assembly.bodies[number])
}

/// Area within a path by the surveyor's formula, holes counting against it.
fn area(path: &Path) -> f64 {
    let ring = |points: &[DVec2]| {
        let next = points.iter().cycle().skip(1);
        0.5 * points.iter().zip(next).map(|(a, b)| a.perp_dot(*b)).sum::<f64>()
    };
    let rings: Vec<f64> = path.flatten(1e-3).iter().map(|contour| ring(&contour.points)).collect();
    let largest = rings.iter().fold(0.0, |most: f64, ring| most.max(ring.abs()));
    2.0 * largest - rings.iter().map(|ring| ring.abs()).sum::<f64>()
}

/// The areas drawn for the channel in a view, in mm² of the panel they are on.
fn drawn(view: &str, along: &str, turned: &str) -> Vec<f64> {
    let (fixture, results) = with_channel(along, turned);
    let part = Pick::Body(channel(&results).0).part();
    let drawing = view_named(view).unwrap().drawing(&fixture, &results, &ViewState::default());
    let mut areas = Vec::new();
    for panel in &drawing.panels {
        for item in panel.items.iter().filter(|item| item.part == Some(part)) {
            if let glidewright_sheet::ItemKind::Shape(shape) = &item.kind {
                areas.push(area(&shape.path));
            }
        }
    }
    areas
}

#[test]
fn seen_along_its_thickness_it_has_its_outline_and_its_hole() {
    let [seen] = drawn("end", "x", "")[..] else { panic!("one outline is expected") };
    assert!((seen - AREA).abs() < 0.01, "{seen} {AREA}");
}

#[test]
fn seen_from_the_side_it_is_a_bar() {
    for along in ["y", "z"] {
        let [seen] = drawn("end", along, "")[..] else { panic!("one outline is expected") };
        assert!((seen - 30.0 * 40.0).abs() < 0.01, "{along}: {seen}");
    }
}

/// Seen aslant: turned by an angle t about the way across the paper that its floor runs along, the shadow is that of
/// its outline, cos t times as high, drawn out by 40·sin t; the groove lies above its floor as deep as before.
#[test]
fn seen_aslant_it_is_one_shadow() {
    let (sin, cos) = 20_f64.to_radians().sin_cos();
    let [seen] = drawn("end", "x", ", turned: (about: (0, 1, 0), by: 20)")[..] else {
        panic!("one outline is expected")
    };
    let drawn_out = 40.0 * sin;
    // The hole, 6 cos t high, is covered.
    let expected = 30.0 * (30.0 * cos + drawn_out) - 10.0 * 20.0 * cos;
    assert!((seen - expected).abs() < 0.5, "{seen} {expected}");
}

#[test]
fn its_mesh_is_one_closed_body() {
    for turned in ["", ", turned: (about: (1, 2, 3), by: 25)"] {
        let (fixture, results) = with_channel("y", turned);
        let meshes = body_meshes(&fixture, channel(&results).1, 0.01).unwrap();
        let [mesh] = &meshes[..] else { panic!("{} meshes", meshes.len()) };
        assert!(mesh.is_closed());
        assert!((mesh.volume() - 40.0 * AREA).abs() < 40.0 * 0.3, "{} {}", mesh.volume(), 40.0 * AREA);
    }
}

#[test]
fn every_view_draws_it() {
    for along in ["x", "y", "z"] {
        for turned in ["", ", turned: (about: (1, 2, 3), by: 25)"] {
            let (fixture, results) = with_channel(along, turned);
            for view in VIEWS {
                let page = view.drawing(&fixture, &results, &ViewState::default()).page();
                assert_eq!(page.skipped, 0, "{}", view.name);
            }
        }
    }
}

#[test]
fn the_view_along_the_rail_numbers_the_tracks() {
    let (fixture, results) = with_channel("x", "");
    let page = view_named("end").unwrap().drawing(&fixture, &results, &ViewState::default()).page();
    let named = |name: &str| {
        let inks = page.inks.iter().filter(|ink| ink.name.as_deref() == Some(name));
        inks.into_iter().find_map(|ink| match &ink.kind {
            InkKind::Text(text) => Some((text.text.clone(), ink.bounds.middle())),
            _ => None,
        })
    };
    for across in glidewright_motion::ACROSS {
        for (track, number) in fixture.rail.numbered(across) {
            let name = &fixture.rail.tracks[track].name;
            let (text, _) = named(&format!("track {number}: {name}")).unwrap_or_else(|| panic!("{name}"));
            assert_eq!(text, number.to_string());
        }
    }
    // Left is at the left, front above.
    let at = |name: &str| named(name).unwrap().1;
    assert!(at("track 1: left front").x < at("track 1: right front").x);
    assert!(at("track 1: left front").y < at("track 2: left rear").y);
}
