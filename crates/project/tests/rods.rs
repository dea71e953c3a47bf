//! Two rods as one rail: what the two ways of writing them come to, what rides on them, and what cannot be.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "tests fail by panicking")]

use std::f64::consts::PI;

use glidewright_geometry::Outline;
use glidewright_motion::{Fixture, Kinship, Role, analyse};
use glidewright_project::{Severity, parse, resolve};
use glidewright_samples::COPY_STAND;

const RODS: &str =
    "(name: \"pair of rods\", form: rail(rods(diameter: 8, apart: 60)), material: \"Al 6063-T5\")";

/// A tray on four grooved wheels on a lying rail of two rods.
fn text(rail: &str, pair: &str, load: &str) -> String {
    let stack = "stack: (screw: \"ISO 4762 M5\", pieces: [(washer: \"ISO 7089 M5\"), (plate: \"deck\"), \
        (spacer: \"tube M5\", length: 12), (shim: \"ring M5\"), (wheel: \"R30\"), (shim: \"ring M5\", name: \"outer\"), \
        (nut: \"DIN 985 M5\")])";
    format!(
        "(format: 2, name: \"rods\", rail: (section: \"pair of rods\", length: 500),
        riders: [(name: \"tray\", faces: front, at: 80, {stack}, wheels: [
            (name: \"a\", pair: \"{pair}\", along: 40), (name: \"b\", pair: \"{pair}\", along: -40)],
            plates: [(name: \"deck\", outline: around(margin: 12), thickness: 6, material: \"PETG\")],
            loads: [(name: \"cup\", mass: \"1 kg\", on: \"deck\", centre: {load})])],
        stroke: (to: 300),
        parts: [{rail}, (name: \"R30\", form: wheel(running: grooved(radius: 4.1), outer: 30, width: 10, hub: 11,
            bearing: \"625\", bearings: 2), material: \"POM\", mass: 16)])"
    )
}

fn fixture(text: &str) -> Fixture {
    let resolved = resolve(&parse(text).unwrap_or_else(|problems| panic!("{problems:#?}")), None);
    let errors: Vec<_> = resolved.problems.iter().filter(|p| p.severity == Severity::Error).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    resolved.fixture.unwrap()
}

fn outline(tracks: &str) -> String {
    let circle = |x: f64| format!("M{} 0 A4 4 0 1 0 {} 0 A4 4 0 1 0 {} 0 Z", x - 4.0, x + 4.0, x - 4.0);
    format!(
        "(name: \"pair of rods\", form: rail(outline(d: \"{} {}\", tracks: [{tracks}])), material: \"Al 6063-T5\")",
        circle(-30.0),
        circle(30.0)
    )
}

#[test]
fn the_bars_and_tracks_of_two_rods() {
    let rail = fixture(&text(RODS, "outer", "(0, 0, 40)")).rail;
    assert_eq!(rail.bars.len(), 2);
    // Two circles of 8 mm.
    assert!((rail.section_area() - 32.0 * PI).abs() < 1e-9);
    let bounds = rail.bounds();
    assert!((bounds.size() - glam::DVec2::new(68.0, 8.0)).length() < 1e-9);
    let middle = |name: &str| rail.tracks.iter().find(|track| track.name == name).unwrap().middle;
    // Left is +y: the left rod's axis is at y = 30.
    for (name, y, z) in [
        ("left outer", 34.0, 0.0),
        ("right inner", 26.0, 0.0),
        ("left inner", -26.0, 0.0),
        ("right outer", -34.0, 0.0),
        ("front left", 30.0, 4.0),
        ("rear right", -30.0, -4.0),
    ] {
        assert!((middle(name) - glam::DVec2::new(y, z)).length() < 1e-9, "{name}");
    }
}

/// Textbook second moments of area: b h³/12 of a bar, π d⁴/64 of each of two rods; of a hollow extrusion, against
/// a sum over a fine grid of points.
#[test]
fn sections_in_bending() {
    let rods = fixture(&text(RODS, "outer", "(0, 0, 40)")).rail;
    for way in rods.bending() {
        assert!((way.second_moment - 2.0 * PI * 8f64.powi(4) / 64.0).abs() < 1e-9, "{way:?}");
    }
    assert_eq!(rods.bending().map(|way| way.edge), [34.0, 4.0]);
    let mut bar = rods;
    bar.bars = vec![Outline::rectangle(glam::DVec2::new(-10.0, -20.0), glam::DVec2::new(10.0, 20.0)).into()];
    let [sideways, frontwards] = bar.bending();
    assert!((sideways.second_moment - 40.0 * 20f64.powi(3) / 12.0).abs() < 1e-9, "{sideways:?}");
    assert!((frontwards.second_moment - 20.0 * 40f64.powi(3) / 12.0).abs() < 1e-9, "{frontwards:?}");
    assert_eq!((sideways.edge, frontwards.edge), (10.0, 20.0));
    let hollow = fixture(COPY_STAND).rail;
    let (mut across, mut upright, step) = (0.0, 0.0, 0.03);
    for i in 0..1000 {
        for k in 0..2000 {
            let at =
                glam::DVec2::new(-15.0 + step * (f64::from(i) + 0.5), -30.0 + step * (f64::from(k) + 0.5));
            if hollow.bars[0].contains(at) {
                across += at.x * at.x * step * step;
                upright += at.y * at.y * step * step;
            }
        }
    }
    let [sideways, frontwards] = hollow.bending();
    assert!((sideways.second_moment / across - 1.0).abs() < 2e-3, "{sideways:?}, not {across}");
    assert!((frontwards.second_moment / upright - 1.0).abs() < 2e-3, "{frontwards:?}, not {upright}");
}

/// Drawn as two circles they are the same rail: the same gaps, loads and findings.
#[test]
fn two_circles_in_an_outline_are_two_rods() {
    let tracks = "(name: \"left outer\", at: (-34, 0), faces: 180, profile: round(radius: 4)),
        (name: \"right outer\", at: (34, 0), faces: 0, profile: round(radius: 4))";
    let rods = fixture(&text(RODS, "outer", "(3, 5, 40)"));
    let drawn = fixture(&text(&outline(tracks), "outer", "(3, 5, 40)"));
    assert_eq!(drawn.rail.bars.len(), 2);
    let (a, b) = (analyse(&rods), analyse(&drawn));
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-6 * (1.0 + a.abs());
    assert_eq!(a.findings.len(), b.findings.len());
    for (a, b) in a.curves.loads[0].iter().zip(&b.curves.loads[0]) {
        assert!(a.wheels.iter().zip(&b.wheels).all(|(a, b)| near(a.normal, b.normal)));
    }
    assert_eq!(a.interference.steady.len(), b.interference.steady.len());
    for (a, b) in a.interference.steady.iter().zip(&b.interference.steady) {
        assert!(near(a.gap, b.gap) && a.bodies == b.bodies, "{} {}", a.gap, b.gap);
    }
}

/// A weight off the middle between the rods turns the rider about the rail: what the left wheels carry and the right
/// ones make its moment. The sums of forces and moments are the check.
#[test]
fn rods_carry_the_moment_of_a_load_beside_the_middle() {
    for pair in ["outer", "inner"] {
        let fixture = fixture(&text(RODS, pair, "(0, 20, 40)"));
        let results = analyse(&fixture);
        let loads = &results.curves.loads[0][0];
        assert!(loads.is_held(), "{pair}");
        let mass = &results.assembly.riders[0].mass;
        let (weight, moment) = mass.items.iter().fold((0.0, 0.0), |(weight, moment), item| {
            (weight + 9.80665 * item.mass, moment + 9.80665 * item.mass * item.centre.y)
        });
        let contacts = &results.riders[0].contacts;
        let forces = contacts.iter().zip(&loads.equilibrium.forces);
        let (lift, turn) = forces.fold((0.0, 0.0), |(lift, turn), (contact, force)| {
            let push = contact.spring.normal * *force;
            (lift + push.z, turn + contact.spring.point.y * push.z - contact.spring.point.z * push.y)
        });
        assert!((lift - weight).abs() < 1e-6 * weight, "{pair}: {lift} {weight}");
        assert!((turn - moment).abs() < 1e-5 * moment.abs(), "{pair}: {turn} {moment}");
    }
}

/// What hangs down between the rods is not in the rail: its section is open there, 26 mm to either side.
#[test]
fn what_hangs_between_the_rods_is_clear_of_them() {
    let text = text(RODS, "outer", "(0, 0, 40)").replace(
        "centre: (0, 0, 40)",
        "centre: (0, 0, 0), bodies: [box(from: (-5, -20, -80), to: (5, 20, 0))]",
    );
    let results = analyse(&fixture(&text));
    assert!(results.assembly.faults.is_empty());
    let body = |id: glidewright_motion::BodyId| &results.assembly.bodies[id.0 as usize];
    let rail = results.interference.steady.iter().find(|pair| {
        pair.kinship == Kinship::RiderAndRail
            && [pair.bodies.0, pair.bodies.1].into_iter().any(|id| body(id).role == Role::Load)
    });
    assert!((rail.unwrap().gap - 6.0).abs() < 1e-9);
}

#[test]
fn what_cannot_be_says_where() {
    let problems = |rail: &str| match parse(&text(rail, "outer", "(0, 0, 40)")) {
        Ok(document) => resolve(&document, None).problems,
        Err(problems) => problems,
    };
    let touching = RODS.replace("apart: 60", "apart: 8");
    let found = problems(&touching);
    assert!(
        found
            .iter()
            .any(|p| p.message.contains("touch") && p.place.path() == Some("parts/pair of rods/apart"))
    );
    // Two circles that cross.
    let crossing = outline("(name: \"left outer\", at: (-34, 0), faces: 180, profile: round(radius: 4))")
        .replace("M26 0 A4 4 0 1 0 34 0 A4 4 0 1 0 26 0", "M-28 0 A4 4 0 1 0 -20 0 A4 4 0 1 0 -28 0");
    let found = problems(&crossing);
    assert!(found.iter().any(|p| p.place.path() == Some("parts/pair of rods/d")), "{found:#?}");
    // A plate is one piece.
    let plate = text(RODS, "outer", "(0, 0, 40)")
        .replace("around(margin: 12)", "path(\"M-60 -50 H60 V50 H-60 Z M100 0 H120 V20 H100 Z\")");
    let found = resolve(&parse(&plate).unwrap(), None).problems;
    assert!(found.iter().any(|p| p.message.contains("several areas")), "{found:#?}");
}
