//! Plates as parameters: outlines that follow the axles, features, printed parts and their masses.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glam::DVec2;
use glidewright_geometry::{Edge, Region};
use glidewright_project::{PrintedPart, Problem, Resolved, Severity, demo_text, parse, resolve};

const OUTLINE: &str = "outline: around(margin: \"margin\", corner: \"corner\"),\n                    thickness: \"plate\",\n                    material: \"PETG\",\n                    fill: 0.5,";

/// The demo with another outline and features for both plates.
fn with_plates(outline: &str, features: &str) -> Resolved {
    let plate = format!(
        "outline: {outline}, thickness: \"plate\", material: \"PETG\", fill: 0.5, features: [{features}],"
    );
    let text = demo_text().replace(OUTLINE, &plate);
    assert_ne!(text, demo_text());
    let document = parse(&text).unwrap_or_else(|problems| panic!("{problems:?}"));
    resolve(&document, None)
}

fn sound(outline: &str, features: &str) -> Resolved {
    let resolved = with_plates(outline, features);
    let errors: Vec<&Problem> = resolved.problems.iter().filter(|p| p.severity == Severity::Error).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    resolved
}

fn part(resolved: &Resolved) -> &PrintedPart {
    &resolved.printed[0]
}

fn region(resolved: &Resolved) -> &Region {
    &part(resolved).slabs[0].region
}

/// Area by counting points of a grid, a second route to it (mm²).
fn counted(inside: impl Fn(DVec2) -> bool) -> f64 {
    const STEP: f64 = 0.1;
    let mut count = 0_u32;
    for i in -1000..1000 {
        for j in -1000..1000 {
            let p = DVec2::new((f64::from(i) + 0.5) * STEP, (f64::from(j) + 0.5) * STEP);
            count += u32::from(inside(p));
        }
    }
    f64::from(count) * STEP * STEP
}

fn distance_to_segment(p: DVec2, a: DVec2, b: DVec2) -> f64 {
    let t = ((p - a).dot(b - a) / (b - a).length_squared()).clamp(0.0, 1.0);
    p.distance(a.lerp(b, t))
}

const HOLE: f64 = 6.6;

/// The demo's axles: 45 mm along, 36 across.
fn axles() -> [DVec2; 4] {
    [DVec2::new(-45.0, -36.0), DVec2::new(45.0, -36.0), DVec2::new(45.0, 36.0), DVec2::new(-45.0, 36.0)]
}

#[test]
fn pads_and_webs_cover_what_they_say() {
    let axles = axles();
    let near_pad = |p: DVec2| axles.iter().any(|a| p.distance(*a) <= 12.0);
    let hole = |p: DVec2| axles.iter().any(|a| p.distance(*a) < 0.5 * HOLE);
    let web = |p: DVec2, a: DVec2, b: DVec2| distance_to_segment(p, a, b) <= 5.0;
    let ring = |p: DVec2| (0..4).any(|i| web(p, axles[i], axles[(i + 1) % 4]));
    let all = |p: DVec2| (0..4).any(|i| (0..i).any(|j| web(p, axles[i], axles[j])));
    let star = |p: DVec2| axles.iter().any(|a| web(p, *a, DVec2::ZERO));
    for (webs, covered) in [("ring", &ring as &dyn Fn(DVec2) -> bool), ("all", &all), ("star", &star)] {
        let resolved = sound(&format!("pads(pad: 24, web: 10, webs: {webs})"), "");
        let expected = counted(|p| (near_pad(p) || covered(p)) && !hole(p));
        let got = region(&resolved).area();
        assert!((got - expected).abs() < 2e-3 * expected, "{webs}: {got}, not {expected}");
    }
}

#[test]
fn fillets_fill_the_inner_corners_only() {
    let plain = region(&sound("pads(pad: 24, web: 10)", "")).area();
    let resolved = sound("pads(pad: 24, web: 10, fillet: 4)", "");
    let area = region(&resolved).area();
    assert!(area > plain + 1.0 && area < plain + 16.0 * 4.0 * 4.0, "{plain} {area}");
    let bounds = region(&resolved).bounds();
    assert!((bounds.high - DVec2::new(57.0, 48.0)).abs().max_element() < 0.01, "{bounds:?}");
    // Outside arcs of the pads and fillets are arcs, not chords.
    let arcs = region(&resolved).outer.edges.iter().filter(|e| matches!(e, Edge::Arc { .. })).count();
    assert!(arcs >= 8, "{arcs}");
}

#[test]
fn pads_follow_the_wheels() {
    let size = |resolved: &Resolved| region(resolved).bounds().size();
    let large = size(&sound("pads(pad: 24, web: 10)", ""));
    let text = demo_text()
        .replace(OUTLINE, "outline: pads(pad: 24, web: 10), thickness: \"plate\", material: \"PETG\",");
    let small = resolve(&parse(&text.replace("\"V48\"", "\"V40\"")).unwrap(), None);
    // 4 mm less radius on either side.
    assert!((large - size(&small) - DVec2::new(0.0, 8.0)).abs().max_element() < 0.01);
}

#[test]
fn a_tab_and_cuts_change_the_area_by_their_own() {
    let base = region(&sound("rectangle(from: (-60, -50), to: (60, 50), corner: 6)", "")).area();
    let check = |features: &str, change: f64, tolerance: f64| {
        let resolved = sound("rectangle(from: (-60, -50), to: (60, 50), corner: 6)", features);
        let got = region(&resolved).area() - base;
        assert!((got - change).abs() <= tolerance, "{features}: {got}, not {change}");
        let plate = &resolved.fixture.as_ref().unwrap().riders[0].plates[0];
        let motion = plate.outline.area() - plate.holes.iter().map(|hole| hole.area()).sum::<f64>();
        assert!((motion - region(&resolved).area()).abs() < 1e-9);
    };
    let pi = std::f64::consts::PI;
    // Inside and apart: exact.
    check("cut(name: \"a\", shape: circle(at: (0, 0), diameter: 20))", -100.0 * pi, 1e-9);
    check("cut(name: \"a\", shape: slot(from: (-10, 0), to: (10, 0), width: 6))", -120.0 - 9.0 * pi, 1e-9);
    check("cut(name: \"a\", shape: rectangle(from: (-10, -5), to: (10, 5)))", -200.0, 1e-9);
    check("cut(name: \"a\", shape: path(d: \"M0 0h10v10h-10z\"))", -100.0, 1e-9);
    // Over the edge, overlapping, joined: within the error of broken arcs.
    check("cut(name: \"a\", shape: circle(at: (60, 0), diameter: 20))", -50.0 * pi, 0.2);
    check(
        "cut(name: \"a\", shape: rectangle(from: (-10, -5), to: (10, 5))), cut(name: \"b\", shape: rectangle(from: (0, 0), to: (20, 10)))",
        -350.0,
        0.01,
    );
    check("tab(name: \"a\", shape: rectangle(from: (50, -10), to: (80, 10)))", 400.0, 0.01);
    // An island in a cut falls out.
    check("cut(name: \"a\", shape: path(d: \"M-10 -10h20v20h-20z M-5 -5h10v10h-10z\"))", -400.0, 1e-9);
}

#[test]
fn features_that_cannot_be_are_refused() {
    let refused = |features: &str, says: &str| {
        let resolved = with_plates("rectangle(from: (-60, -50), to: (60, 50), corner: 6)", features);
        let found =
            resolved.problems.iter().any(|p| p.severity == Severity::Error && p.message.contains(says));
        assert!(found, "{features}: {:#?}", resolved.problems);
    };
    refused("cut(name: \"a\", shape: rectangle(from: (-1, -60), to: (1, 60)))", "split the plate");
    refused("tab(name: \"a\", shape: circle(at: (200, 0), diameter: 5))", "does not touch");
    refused("cut(name: \"a\", shape: rectangle(from: (-99, -99), to: (99, 99)))", "nothing is left");
    refused("cut(name: \"a\", shape: circle(at: (0, 0), diameter: -5))", "must be above 0");
    refused("cut(name: \"a\", shape: path(d: \"M0 0h10\"))", "not closed");
    refused("pocket(name: \"a\", shape: circle(at: (0, 0), diameter: 20), depth: 6)", "deep");
    refused("pocket(name: \"a\", shape: circle(at: (60, 0), diameter: 20), depth: 3)", "reaches beyond");
    refused("pocket(name: \"a\", shape: circle(at: (45, 36), diameter: 20), depth: 3)", "one of its holes");
    refused(
        "pocket(name: \"a\", shape: circle(at: (0, 0), diameter: 20), depth: 3, fill: (material: \"led\"))",
        "no material",
    );
    refused("rib(name: \"a\", shape: circle(at: (0, 0), diameter: 20), height: 0)", "must be above 0");
    refused(
        "clamp(name: \"a\", at: (0, 0), length: 20, width: 8, height: 6, groove: 9, depth: 2)",
        "does not fit",
    );
    refused(
        "cut(name: \"a\", shape: circle(at: (0, 0), diameter: 5)), rib(name: \"a\", shape: circle(at: (0, 0), diameter: 5), height: 2)",
        "more than once",
    );
}

#[test]
fn ribs_and_clamps_stand_out_and_weigh() {
    let rib = "rib(name: \"edge\", shape: rectangle(from: (-50, 40), to: (50, 44)), height: 8)";
    let clamp = "clamp(name: \"belt clamp\", at: (30, 0), length: 20, width: 12, height: 5, groove: 6.2, depth: 1.6, side: inside)";
    let resolved = sound("rectangle(from: (-60, -50), to: (60, 50), corner: 6)", &format!("{rib}, {clamp}"));
    let part = part(&resolved);
    let base = region(&resolved).area() * 6.0;
    let rib_volume = 100.0 * 4.0 * 8.0;
    let clamp_volume = 20.0 * 12.0 * 5.0 - 20.0 * 6.2 * 1.6;
    assert!((part.volume() - base - rib_volume - clamp_volume).abs() < 1e-6);
    // PETG 1270 kg/m³, half filled.
    assert!((part.mass() - part.volume() * 0.5 * 1270e-9).abs() < 1e-12);
    let rider = &resolved.fixture.as_ref().unwrap().riders[0];
    let load = rider.loads.iter().find(|load| load.name == "edge").unwrap();
    assert!((load.mass - rib_volume * 0.5 * 1270e-9).abs() < 1e-12);
    // The plate's inner face stands 37.5 mm out; the rib on its outside from 43.5 to 51.5.
    assert!((load.centre.z - 47.5).abs() < 1e-9 && (load.centre.y - 42.0).abs() < 1e-9);
    let bounds = load.solids[0].bounds();
    assert!((bounds.low.z - 43.5).abs() < 1e-9 && (bounds.high.z - 51.5).abs() < 1e-9);
    // On the rider at the rear everything is the other way round.
    let rider = &resolved.fixture.as_ref().unwrap().riders[1];
    let load = rider.loads.iter().find(|load| load.name == "edge").unwrap();
    assert!((load.centre.z + 47.5).abs() < 1e-9 && (load.centre.y - 42.0).abs() < 1e-9);
    let clamp: Vec<_> = rider.loads.iter().filter(|load| load.name.starts_with("belt clamp")).collect();
    assert_eq!(clamp.len(), 3);
    let mass: f64 = clamp.iter().map(|load| load.mass).sum();
    assert!((mass - clamp_volume * 0.5 * 1270e-9).abs() < 1e-12);
}

#[test]
fn a_pocket_takes_ballast() {
    let pocket = "pocket(name: \"shot\", shape: rectangle(from: (-25, -20), to: (25, 20)), depth: 4, fill: (material: \"lead (element)\", packing: 0.64))";
    let resolved = sound("rectangle(from: (-60, -50), to: (60, 50), corner: 6)", pocket);
    let plate_area = region(&resolved).area();
    let part = part(&resolved);
    assert!((part.volume() - (plate_area * 6.0 - 50.0 * 40.0 * 4.0)).abs() < 1e-6);
    let rider = &resolved.fixture.as_ref().unwrap().riders[0];
    let ballast = rider.loads.iter().find(|load| load.is_ballast).unwrap();
    // Lead shot at random packing 0.64 (Jodrey & Tory 1985); 11 350 kg/m³ in the table.
    assert!((ballast.mass - 8000.0 * 0.64 * 11_350e-9).abs() < 1e-9);
    let plate = &rider.plates[0];
    let mass = plate_area * 6.0 * plate.fill * plate.material.density * 1e-9;
    assert!((mass - part.mass()).abs() < 1e-9);
}

#[test]
fn a_rail_and_a_plate_from_path_data() {
    // A square tube with a vee groove right and left, drawn as on screen.
    let part = r#"parts: [
        (
            name: "my rail",
            form: rail(outline(
                d: "M-15 -15 H15 V-4 L11 0 L15 4 V15 H-15 V4 L-11 0 L-15 -4 Z M-7 -7 H7 V7 H-7 Z",
                tracks: [
                    (name: "left", at: (-15, 0), faces: 180, profile: vee(mouth: 8, half_angle: 45, lip: 4)),
                    (name: "right", at: (15, 0), faces: 0, profile: vee(mouth: 8, half_angle: 45, lip: 4)),
                ],
            )),
            material: "Al 6063-T5",
        ),
    ],
    trials: ["#;
    let text = demo_text()
        .replace("grooved 30x60", "my rail")
        .replace("pair: \"front\"", "pair: \"middle\"")
        .replace("pair: \"rear\"", "pair: \"middle\"")
        .replace("    trials: [", part)
        .replace(OUTLINE, "outline: path(\"M-60 -50 h120 v100 h-120 z\"), thickness: 6, material: \"PETG\",");
    let document = parse(&text).unwrap_or_else(|problems| panic!("{problems:?}"));
    let resolved = resolve(&document, None);
    let errors: Vec<&Problem> = resolved.problems.iter().filter(|p| p.severity == Severity::Error).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    let fixture = resolved.fixture.unwrap();
    assert!((fixture.rail.section.area() - (900.0 - 2.0 * 16.0 - 196.0)).abs() < 1e-9);
    // Tip 5 in a mouth of 8: 1.5 mm deep, the axle at 15 + 24 − 1.5.
    assert_eq!(fixture.riders[0].wheels.len(), 4);
    let plate = &fixture.riders[0].plates[0];
    assert_eq!(plate.holes.len(), 4);
    assert!((plate.holes[0].bounds().centre().y.abs() - 37.5).abs() < 1e-9);
}
