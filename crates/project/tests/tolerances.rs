//! Tolerances of sizes that move whole bodies: obstacles, loads, places, and the shared sizes they are made of.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_motion::{PairResult, Tolerance, analyse};
use glidewright_project::{Severity, parse, resolve};

/// A rider on shoes carries a block past another that stands on the ground, 100 mm out and more from the rail.
fn text(sizes: &str, block: &str, obstacle: &str, more: &str) -> String {
    let shoes = ["left", "right"]
        .map(|side| {
            format!("(name: \"{side} shoe\", track: \"{side}\", along: 0, length: 30, material: \"POM\")")
        })
        .join(", ");
    format!(
        "(format: 2, name: \"stack-up\", sizes: {{{sizes}}},
        rail: (section: \"bar\", length: 700),
        riders: [(name: \"tray\", faces: front, at: 100, shoes: [{shoes}],
            loads: [(name: \"block\", mass: 100, bodies: [{block}])] {more})],
        obstacles: [(name: \"post\", bodies: [{obstacle}])],
        stroke: (to: 200),
        parts: [(name: \"bar\", form: rail(outline(d: \"M-20 -20 H20 V20 H-20 Z\", tracks: [
            (name: \"left\", at: (-20, 0), faces: 180, profile: flat(width: 16)),
            (name: \"right\", at: (20, 0), faces: 0, profile: flat(width: 16)),
        ])), material: \"Al 6063-T5\")])"
    )
}

/// The block against the post.
fn pair(text: &str) -> PairResult {
    let document = parse(text).unwrap_or_else(|problems| panic!("{problems:#?}\n{text}"));
    let resolved = resolve(&document, None);
    let errors: Vec<_> = resolved.problems.iter().filter(|p| p.severity != Severity::Note).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    let results = analyse(&resolved.fixture.unwrap());
    let label = |id: glidewright_motion::BodyId| results.assembly.bodies[id.0 as usize].label.clone();
    let ours = |pair: &&PairResult| {
        let labels = [label(pair.bodies.0), label(pair.bodies.1)];
        ["block", "post"].iter().all(|word| labels.iter().any(|label| label.contains(word)))
    };
    results.interference.passing.iter().find(ours).unwrap().clone()
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6
}

/// What each size takes, by the end of its label.
fn taken(tolerance: &Tolerance) -> Vec<(String, f64, f64)> {
    tolerance.contributors.iter().map(|c| (c.label.clone(), c.half_width, c.sensitivity)).collect()
}

/// A shouldered screw whose groove of length a holds three rings of b, c and d: Budynas and Nisbett, Shigley's Mechanical
/// Engineering Design, example 1-7 (from memory, in inches): a = 1.750 ± 0.003, b = 0.750 ± 0.001, c = 0.120 ± 0.005,
/// d = 0.875 ± 0.001; the gap is 0.005 ± 0.010, by the root of the sum of squares ± 0.006.
#[test]
fn the_shouldered_screw_of_a_textbook() {
    const INCH: f64 = 25.4;
    let size = |name: &str, inches: f64, half: f64| {
        format!("\"{name}\": (value: \"{inches} in\", tolerance: plus_minus({})),", half * INCH)
    };
    let sizes = size("groove", 1.750, 0.003)
        + &size("first", 0.750, 0.001)
        + &size("second", 0.120, 0.005)
        + &size("third", 0.875, 0.001);
    // The groove's far face is carried, the rings stand.
    let found = pair(&text(
        &sizes,
        "box(from: (-20, -5, \"100 mm + groove\"), to: (20, 5, \"120 mm + groove\"))",
        "box(from: (180, -5, 100), to: (200, 5, \"100 mm + first + second + third\"))",
        "",
    ));
    assert!(near(found.gap, 0.005 * INCH), "{}", found.gap);
    assert!(near(found.tolerance.worst, 0.010 * INCH), "{:?}", taken(&found.tolerance));
    assert!(near(found.tolerance.rss, 0.006 * INCH), "{:?}", taken(&found.tolerance));
    let labels: Vec<_> = found.tolerance.contributors.iter().map(|c| c.label.as_str()).collect();
    assert_eq!(labels[..2], ["shared size second", "shared size groove"]);
}

/// A stack-up as textbooks have it: 40 holds 25, 2 and 10; worst case ± 0.23, root of the sum of squares ± 0.126 (read,
/// the tolerances those that give both). Here three of the four are sizes of their own, written where they are.
#[test]
fn a_stack_up_of_places() {
    let with = |value: &str, half: f64| format!("(value: {value}, tolerance: plus_minus({half}))");
    let found = pair(&text(
        &format!("\"plate\": {},", with("2", 0.03)),
        &format!("box(from: (-20, -5, {}), to: (20, 5, 160))", with("140", 0.1)),
        // The post of 25 stands on a base; a plate of 2 and a cap of 10 lie on it.
        &format!(
            "box(from: (180, -5, 100), to: (200, 5, {}))",
            with("\"100 mm + 25 mm + plate + 10 mm\"", 0.1)
        ),
        "",
    ));
    assert!(near(found.gap, 3.0), "{}", found.gap);
    // A size with a tolerance of its own is made to it, whatever it is made of.
    assert!(near(found.tolerance.worst, 0.2), "{:?}", taken(&found.tolerance));
    let found = pair(&text(
        &format!(
            "\"hold\": {}, \"post\": {}, \"plate\": {}, \"cap\": {},",
            with("40", 0.1),
            with("25", 0.05),
            with("2", 0.03),
            with("10", 0.05)
        ),
        "box(from: (-20, -5, \"100 mm + hold\"), to: (20, 5, 160))",
        "box(from: (180, -5, 100), to: (200, 5, \"100 mm + post + plate + cap\"))",
        "",
    ));
    assert!(near(found.gap, 3.0), "{}", found.gap);
    assert!(near(found.tolerance.worst, 0.23), "{:?}", taken(&found.tolerance));
    assert!((found.tolerance.rss - 0.126).abs() < 5e-4, "{:?}", taken(&found.tolerance));
}

/// What moves both sides alike takes nothing; what moves them apart takes twice.
#[test]
fn a_shared_size_is_one_size() {
    let sizes = "\"rise\": (value: 40, tolerance: plus_minus(0.4)),";
    let found = pair(&text(
        sizes,
        "box(from: (-20, -5, \"105 mm + rise\"), to: (20, 5, 160))",
        "box(from: (180, -5, 100), to: (200, 5, \"100 mm + rise\"))",
        "",
    ));
    assert!(near(found.gap, 5.0) && found.tolerance.contributors.is_empty(), "{:?}", taken(&found.tolerance));
    let found = pair(&text(
        sizes,
        "box(from: (-20, -5, \"105 mm + rise\"), to: (20, 5, 160))",
        "box(from: (180, -5, 90), to: (200, 5, \"180 mm - rise\"))",
        "",
    ));
    assert!(near(found.gap, 5.0), "{}", found.gap);
    assert_eq!(taken(&found.tolerance).len(), 1);
    assert!(near(found.tolerance.worst, 0.8), "{:?}", taken(&found.tolerance));
}

/// The place of an obstacle at ± 0.4 is in the gap as it is in the drawing; an angle by what it does there.
#[test]
fn places_and_angles() {
    let found = pair(&text(
        "",
        "box(from: (-20, -5, 110), to: (20, 5, 130))",
        "box(from: (180, (value: 8, tolerance: plus_minus(0.4)), 100), to: (200, 20, 140))",
        "",
    ));
    assert!(near(found.gap, 3.0), "{}", found.gap);
    assert_eq!(taken(&found.tolerance).len(), 1, "{:?}", taken(&found.tolerance));
    assert_eq!(found.tolerance.contributors[0].label, "from y of body 1 of post");
    assert!(near(found.tolerance.worst, 0.4), "{:?}", taken(&found.tolerance));
    // A bar 40 long about a pin at one end: its other end rises by 40·Δφ when it lies flat, and so half of ± 1° in all.
    let found = pair(&text(
        "",
        "box(from: (-20, -5, 112), to: (20, 5, 130))",
        "box(from: (160, -5, 100), to: (200, 5, 110), turned: (about: (0, 1, 0), by: (value: 0, tolerance: \
         plus_minus(1)), at: (160, 0, 100)))",
        "",
    ));
    // The gap at the far end changes by 40 mm × 1° = 0.698 mm; which end is nearest changes with the turn's sense.
    let taken = taken(&found.tolerance);
    assert_eq!(taken.len(), 1, "{taken:?}");
    assert!((found.tolerance.worst - 0.5 * 40.0_f64 * 1.0_f64.to_radians()).abs() < 0.02, "{taken:?}");
}

/// A rider's own place along the rail moves all it carries.
#[test]
fn where_a_rider_stands() {
    let text = text(
        "",
        "box(from: (-20, -5, 110), to: (20, 5, 130))",
        "box(from: (324, -5, 100), to: (340, 5, 140))",
        "",
    );
    let text = text.replace("at: 100", "at: (value: 100, tolerance: plus_minus(0.25))");
    let found = pair(&text);
    assert!(near(found.gap, 4.0), "{}", found.gap);
    assert!(near(found.tolerance.worst, 0.25), "{:?}", taken(&found.tolerance));
    assert_eq!(found.tolerance.contributors[0].label, "at of tray");
}
