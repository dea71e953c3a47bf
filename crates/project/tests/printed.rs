//! Plates as parameters: outlines that follow the axles, features, printed parts and their masses.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glam::DVec2;
use glidewright_geometry::{Edge, Region};
use glidewright_motion::{Assembly, Body, Plate, Role};
use glidewright_project::{Problem, Resolved, Severity, parse, resolve};
use glidewright_samples::COPY_STAND;

const OUTLINE: &str = "outline: around(margin: \"margin\", corner: \"corner\"),\n                    thickness: \"plate\",\n                    material: \"PETG\",\n                    fill: 0.5,";

/// The demo with another outline and features for both plates.
fn with_plates(outline: &str, features: &str) -> Resolved {
    let plate = format!(
        "outline: {outline}, thickness: \"plate\", material: \"PETG\", fill: 0.5, features: [{features}],"
    );
    let text = COPY_STAND.replace(OUTLINE, &plate);
    assert_ne!(text, COPY_STAND);
    let document = parse(&text).unwrap_or_else(|problems| panic!("{problems:?}"));
    resolve(&document, None)
}

fn sound(outline: &str, features: &str) -> Resolved {
    let resolved = with_plates(outline, features);
    let errors: Vec<&Problem> = resolved.problems.iter().filter(|p| p.severity == Severity::Error).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    resolved
}

fn part(resolved: &Resolved) -> &Plate {
    &resolved.fixture.as_ref().unwrap().riders[0].plates[0]
}

fn region(resolved: &Resolved) -> Region {
    part(resolved).sheet()
}

/// Volume (mm³) and centre (along, across, level above the inner face) by counting points of a grid, and what is solid
/// by `inside`: a second route to them.
fn counted_solid(inside: impl Fn(DVec2, f64) -> bool, levels: (f64, f64)) -> (f64, [f64; 3]) {
    const STEP: f64 = 0.5;
    let (mut count, mut sum) = (0.0, [0.0; 3]);
    let high = ((levels.1 - levels.0) / STEP).round() as i32;
    for i in -140..140 {
        for j in -140..140 {
            let p = DVec2::new((f64::from(i) + 0.5) * STEP, (f64::from(j) + 0.5) * STEP);
            for k in 0..high {
                let level = levels.0 + (f64::from(k) + 0.5) * STEP;
                if inside(p, level) {
                    count += 1.0;
                    for (sum, x) in sum.iter_mut().zip([p.x, p.y, level]) {
                        *sum += x;
                    }
                }
            }
        }
    }
    (count * STEP.powi(3), sum.map(|sum| sum / count))
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
    let text = COPY_STAND
        .replace(OUTLINE, "outline: pads(pad: 24, web: 10), thickness: \"plate\", material: \"PETG\",");
    let small =
        resolve(&parse(&text.replace("\"vee wheel 48, bore 6\"", "\"vee wheel 40, bore 6\"")).unwrap(), None);
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
    let fixture = resolved.fixture.as_ref().unwrap();
    // They are the plate's, not what it carries.
    assert!(fixture.riders[0].loads.iter().all(|load| load.name != "edge"));
    let assembly = Assembly::new(fixture);
    let named = |rider: &str, name: &str| -> Vec<Body> {
        let bodies =
            assembly.bodies.iter().filter(|body| body.label.starts_with(&format!("{rider}: {name}")));
        bodies.cloned().collect()
    };
    // The plate's inner face stands 37.5 mm out; the rib on its outside from 43.5 to 51.5.
    let bounds = named("camera head", "edge")[0].solids[0].bounds();
    assert!((bounds.low.z - 43.5).abs() < 1e-9 && (bounds.high.z - 51.5).abs() < 1e-9);
    // On the rider at the rear everything is the other way round.
    let bounds = named("counterweight", "edge")[0].solids[0].bounds();
    assert!((bounds.low.z + 51.5).abs() < 1e-9 && (bounds.high.z + 43.5).abs() < 1e-9);
    assert_eq!(named("counterweight", "belt clamp").len(), 3);
    let item = assembly.riders[0].mass.items.iter().find(|item| item.path == part.path).unwrap();
    assert!((item.mass - part.mass()).abs() < 1e-12 && !item.is_load);
}

#[test]
fn mass_and_centre_are_those_of_what_is_printed() {
    // A rib that stands over another, a boss over the edge, a pocket on each side.
    let features = "pocket(name: \"a\", shape: rectangle(from: (-40, -30), to: (0, 10)), depth: 4), \
        pocket(name: \"b\", shape: rectangle(from: (10, -20), to: (40, -10)), depth: 2.5, side: inside), \
        rib(name: \"c\", shape: rectangle(from: (-50, 40), to: (50, 44)), height: 8), \
        rib(name: \"d\", shape: rectangle(from: (30, 20), to: (50, 60)), height: 5)";
    let resolved = sound("rectangle(from: (-60, -50), to: (60, 50))", features);
    let part = part(&resolved);
    let within = |p: DVec2, x: (f64, f64), y: (f64, f64)| p.x > x.0 && p.x < x.1 && p.y > y.0 && p.y < y.1;
    let (volume, centre) = counted_solid(
        |p, level| {
            let hole = part.holes.iter().any(|hole| hole.bounds().centre().distance(p) < 0.5 * HOLE);
            let sheet = level > 0.0 && level < 6.0 && within(p, (-60.0, 60.0), (-50.0, 50.0)) && !hole;
            let hollow = within(p, (-40.0, 0.0), (-30.0, 10.0)) && level > 2.0
                || within(p, (10.0, 40.0), (-20.0, -10.0)) && level < 2.5;
            let raised = level > 6.0
                && (within(p, (-50.0, 50.0), (40.0, 44.0)) && level < 14.0
                    || within(p, (30.0, 50.0), (20.0, 60.0)) && level < 11.0);
            sheet && !hollow || raised
        },
        (0.0, 14.0),
    );
    assert!((part.volume() - volume).abs() < 1e-3 * volume, "{} {volume}", part.volume());
    let (at, level) = part.centroid();
    for (got, counted) in [at.x, at.y, level].into_iter().zip(centre) {
        assert!((got - counted).abs() < 0.02, "{got} {counted}");
    }
    // The rider's mass has it there, as far out as its plate stands.
    let fixture = resolved.fixture.as_ref().unwrap();
    let assembly = Assembly::new(fixture);
    let item = assembly.riders[0].mass.items.iter().find(|item| item.path == part.path).unwrap();
    assert!((item.centre - glam::DVec3::new(at.x, at.y, 37.5 + level)).length() < 1e-9, "{:?}", item.centre);
    // The body that is compared has the hollows: its prisms fill what the sheet's layers fill.
    let body =
        assembly.bodies.iter().find(|body| body.role == Role::Plate && body.path == part.path).unwrap();
    let sheet: f64 = part.sheet_layers().iter().map(|layer| layer.volume()).sum();
    assert!(
        (sheet - (volume - 100.0 * 4.0 * 8.0 - 20.0 * 40.0 * 5.0 + 20.0 * 4.0 * 5.0)).abs() < 1e-3 * volume
    );
    let inside = |p: glam::DVec3| {
        body.solids.iter().any(|solid| {
            let dot = glidewright_geometry::Solid {
                shape: glidewright_geometry::Shape::Sphere { radius: 1e-6 },
                pose: glidewright_geometry::Pose::from_shift(p),
            };
            glidewright_geometry::separation(solid, &dot).gap < 0.0
        })
    };
    assert!(inside(glam::DVec3::new(-20.0, 0.0, 38.0)) && !inside(glam::DVec3::new(-20.0, 0.0, 42.0)));
    assert!(!inside(glam::DVec3::new(20.0, -15.0, 38.0)) && inside(glam::DVec3::new(20.0, -15.0, 42.0)));
}

/// Stacks that ask different standoffs hold their plate between them; what stands on it follows it.
#[test]
fn loads_stand_on_a_skew_plate() {
    let text = COPY_STAND.replacen(
        "(name: \"upper\", pair: \"front\", along: \"wheelbase/2\")",
        "(name: \"upper\", pair: \"front\", along: \"wheelbase/2\", stack: (screw: \"ISO 4762 M6\", length: 45, pieces: [(washer: \"ISO 7089 M6\"), (plate: \"head plate\"), (spacer: \"tube M6\", length: 17), (shim: \"ring M6\"), (wheel: \"vee wheel 48, bore 6\"), (nut: \"DIN 985 M6\")]))",
        1,
    );
    assert_ne!(text, COPY_STAND);
    let resolved = resolve(&parse(&text).unwrap(), None);
    let fixture = resolved.fixture.unwrap();
    let assembly = Assembly::new(&fixture);
    let plate = &assembly.riders[0].plates[0];
    assert!((plate.disagreement - 2.0).abs() < 1e-9, "{plate:?}");
    let arm = assembly.bodies.iter().find(|body| body.path.ends_with("loads/arm")).unwrap();
    assert!((arm.solids[0].bounds().low.z - plate.outer).abs() < 1e-9);
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
    let mass = (plate_area * 6.0 - 8000.0) * plate.fill * plate.material.density * 1e-9;
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
    let text = COPY_STAND
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
    assert!((fixture.rail.section_area() - (900.0 - 2.0 * 16.0 - 196.0)).abs() < 1e-9);
    // Tip 5 in a mouth of 8: 1.5 mm deep, the axle at 15 + 24 − 1.5.
    assert_eq!(fixture.riders[0].wheels.len(), 4);
    let plate = &fixture.riders[0].plates[0];
    assert_eq!(plate.holes.len(), 4);
    assert!((plate.holes[0].bounds().centre().y.abs() - 37.5).abs() < 1e-9);
}
