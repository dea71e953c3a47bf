//! Bodies askew and bodies on an outline: where they are, what they weigh, and their mirror images.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests fail by panicking")]

use glam::{DVec2, DVec3};
use glidewright_geometry::{Shape, Solid};
use glidewright_motion::{Extruded, Facing, Fixture, analyse};
use glidewright_project::document::Document;
use glidewright_project::edit::{self, MirrorPlane};
use glidewright_project::{Severity, parse, print, resolve};

/// A section seen from the rail's lower or left end that lacks its upper left corner.
const SECTION: &str = "M-12 -20 H20 V20 H-20 V-12 H-12 Z";
/// An L that lacks its upper right quarter, with a round hole in its foot.
const L: &str = "M-20 20 H20 V0 H0 V-20 H-20 Z M-14 10 a4 4 0 1 0 8 0 a4 4 0 1 0 -8 0 Z";
/// Its area (mm²) by hand: 40 × 40 less a quarter, less the hole.
const L_AREA: f64 = 1200.0 - 16.0 * std::f64::consts::PI;

/// A rider on shoes that faces one way, with loads, features of its plate, and things that stand about.
fn text(faces: &str, loads: &str, features: &str, obstacles: &str) -> String {
    let tracks = if matches!(faces, "front" | "rear") { ["left", "right"] } else { ["front", "rear"] };
    let shoes: String = tracks
        .iter()
        .map(|side| {
            format!("(name: \"{side} shoe\", track: \"{side}\", along: 0, length: 30, material: \"POM\"),")
        })
        .collect();
    format!(
        "(format: 2, name: \"bodies\", rail: (section: \"notched\", length: 700),
        riders: [(name: \"tray\", faces: {faces}, at: 100, shoes: [{shoes}], plates: [(name: \"deck\",
            outline: rectangle(from: (-60, -60), to: (60, 60)), thickness: 4, material: \"PETG\", level: 40,
            features: [{features}])],
            loads: [{loads}])],
        obstacles: [{obstacles}],
        stroke: (to: 50),
        parts: [(name: \"notched\", form: rail(outline(d: \"{SECTION}\", tracks: [
            (name: \"left\", at: (-20, 0), faces: 180, profile: flat(width: 16)),
            (name: \"right\", at: (20, 0), faces: 0, profile: flat(width: 16)),
            (name: \"front\", at: (0, 20), faces: 90, profile: flat(width: 16)),
            (name: \"rear\", at: (0, -20), faces: 270, profile: flat(width: 16)),
        ])), material: \"Al 6063-T5\")])"
    )
}

fn read(text: &str) -> Document {
    parse(text).unwrap_or_else(|problems| panic!("{problems:#?}\n{text}"))
}

fn fixture(document: &Document) -> Fixture {
    let resolved = resolve(document, None);
    let errors: Vec<_> = resolved.problems.iter().filter(|p| p.severity == Severity::Error).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    resolved.fixture.unwrap()
}

fn with_obstacle(bodies: &str) -> Fixture {
    fixture(&read(&text("front", "", "", &format!("(name: \"thing\", bodies: [{bodies}])"))))
}

/// Whether a point lies in one of some solids (boxes, prisms).
fn holds(solids: &[Solid], point: DVec3) -> bool {
    solids.iter().any(|solid| {
        let p = solid.pose.inverse().point(point);
        match &solid.shape {
            Shape::Cuboid { half } => p.abs().cmple(*half).all(),
            Shape::Prism { outline, half_height } => {
                p.z.abs() <= *half_height && outline.contains(p.truncate())
            }
            other => panic!("{other:?}"),
        }
    })
}

/// Points all over a cube about the origin of half this size (mm): a lattice of Halton's (1960) for bases 2, 3 and 5.
fn points(half: f64) -> impl Iterator<Item = DVec3> {
    let radical = |mut n: u32, base: u32| {
        let (mut value, mut scale) = (0.0, 1.0);
        while n > 0 {
            scale /= f64::from(base);
            value += scale * f64::from(n % base);
            n /= base;
        }
        value
    };
    (1..4000).map(move |n| (DVec3::new(radical(n, 2), radical(n, 3), radical(n, 5)) * 2.0 - 1.0) * half)
}

fn near(a: DVec3, b: DVec3) {
    assert!(a.distance(b) < 1e-9, "{a} {b}");
}

#[test]
fn a_turned_box_stands_where_trigonometry_puts_it() {
    // (about, the written axes that turn into each other: from the first towards the second)
    for (about, from, to) in [
        ("(0, 0, 1)", DVec3::X, DVec3::Y),
        ("(5, 0, 0)", DVec3::Y, DVec3::Z),
        ("(0, 0.1, 0)", DVec3::Z, DVec3::X),
        ("(0, 0, -2)", DVec3::Y, DVec3::X),
    ] {
        let body = format!("box(from: (80, -10, 30), to: (140, 20, 34), turned: (about: {about}, by: 30))");
        let thing = &with_obstacle(&body).obstacles[0];
        let middle = DVec3::new(110.0, 5.0, 32.0);
        let solid = &thing.solids[0];
        near(solid.centroid(), middle);
        assert!((solid.volume() - 60.0 * 30.0 * 4.0).abs() < 1e-9);
        assert!(solid.pose.is_rigid());
        // A point half-way to the far corner, turned by hand.
        let arm = DVec3::new(15.0, 7.5, 1.0);
        let (a, b) = (arm.dot(from), arm.dot(to));
        let (sin, cos) = 30_f64.to_radians().sin_cos();
        let turned = arm - from * a - to * b + from * (a * cos - b * sin) + to * (a * sin + b * cos);
        for share in [1.99, 2.01] {
            assert_eq!(holds(&thing.solids, middle + turned * share), share < 2.0, "{about}");
        }
    }
}

#[test]
fn a_turn_can_go_about_any_place() {
    let body =
        "box(from: (80, 0, 30), to: (120, 8, 34), turned: (about: (0, 0, 1), by: 90, at: (80, 0, 30)))";
    let bounds = with_obstacle(body).obstacles[0].solids[0].bounds();
    near(bounds.low, DVec3::new(72.0, 0.0, 30.0));
    near(bounds.high, DVec3::new(80.0, 40.0, 34.0));
    // Written without a turn it is the box it always was.
    let plain = with_obstacle("box(from: (80, 0, 30), to: (120, 8, 34))");
    assert_eq!(
        plain.obstacles[0].solids,
        [Solid::cuboid_between(DVec3::new(80.0, 0.0, 30.0), DVec3::new(120.0, 8.0, 34.0))]
    );
}

/// What stands on a plate as a rib, drawn by a path, stands there as a load on an outline: the drawing is the same one
/// seen the same way, whichever way the rider faces.
#[test]
fn an_outline_on_a_plate_is_drawn_as_the_plates_own_features_are() {
    for faces in ["front", "rear", "left", "right"] {
        let shape = format!("path(d: \"{L}\", at: (7, 11))");
        let load =
            format!("(name: \"on it\", mass: 100, on: \"deck\", bodies: [outline(shape: {shape}, to: 9)])");
        let rib = format!("rib(name: \"rib\", shape: {shape}, height: 9)");
        let fixture = fixture(&read(&text(faces, &load, &rib, "")));
        let results = analyse(&fixture);
        let rib = results.assembly.bodies.iter().find(|body| body.path.ends_with("/rib")).unwrap();
        let load = results.assembly.bodies.iter().find(|body| body.path.ends_with("/on it")).unwrap();
        let mut inside = 0;
        for p in points(70.0) {
            assert_eq!(holds(&rib.solids, p), holds(&load.solids, p), "{faces} {p}");
            inside += usize::from(holds(&rib.solids, p));
        }
        assert!(inside > 10, "{inside}");
        assert_eq!(rib.extruded.len(), 1);
        let [own] = &load.extruded[..] else { panic!("{:?}", load.extruded) };
        assert!((own.volume() - 9.0 * L_AREA).abs() < 1e-6, "{}", own.volume());
        // The load's centre is that of its outline, 4.5 above the plate's outer face.
        let centre = fixture.riders[0].loads[0].centre;
        near(centre, own.centroid());
        assert!((centre.dot(fixture.riders[0].facing.outward()) - 48.5).abs() < 1e-9);
        // By hand: three squares of 20 × 20 about (−10, ±10) and (10, −10), less the hole about (−10, −10); drawn up.
        let (right, up) = (
            (-10.0 * 400.0 - 10.0 * 400.0 + 10.0 * 400.0 + 10.0 * (1200.0 - L_AREA)) / L_AREA,
            (10.0 * 400.0 - 10.0 * 400.0 - 10.0 * 400.0 + 10.0 * (1200.0 - L_AREA)) / L_AREA,
        );
        let facing = fixture.riders[0].facing;
        let at = DVec3::X * (7.0 + right) + facing.lateral() * 11.0 + facing.drawn_up() * up;
        let flat = centre - facing.outward() * centre.dot(facing.outward());
        assert!(flat.distance(at) < 1e-9, "{faces}: {flat} {at}");
    }
}

#[test]
fn an_outline_along_x_is_drawn_as_a_section_is() {
    let body = format!("outline(shape: path(d: \"{SECTION}\"), along: x, from: 100, to: 130)");
    let fixture = with_obstacle(&body);
    let own = &fixture.obstacles[0].extruded[0];
    let along = |p: DVec3| DVec2::new(p.y, p.z);
    let mut inside = 0;
    for p in points(35.0) {
        let p = p + DVec3::X * 115.0;
        let expected = (p.x - 115.0).abs() <= 15.0 && fixture.rail.bars[0].contains(along(p));
        assert_eq!(holds(&fixture.obstacles[0].solids, p), expected, "{p}");
        inside += usize::from(expected);
    }
    assert!(inside > 50, "{inside}");
    assert!((own.volume() - 30.0 * fixture.rail.section_area()).abs() < 1e-6);
}

/// The bracket of the handbook's page on the project file: up from its foot, over to growing x.
#[test]
fn the_handbooks_bracket_is_an_angle() {
    const BRACKET: &str = "outline(shape: path(d: \"M0 0 h30 v-4 h-26 v-26 h-4 z\", at: (60, -15)), along: y, from: -20, to: 20)";
    assert!(include_str!("../../../assets/handbook/project-file.md").contains(BRACKET));
    let thing = &with_obstacle(BRACKET).obstacles[0];
    for (x, z, inside) in [(61.0, 14.0, true), (88.0, -12.0, true), (88.0, 14.0, false), (66.0, -9.0, false)]
    {
        for (y, within) in [(-19.0, true), (19.0, true), (21.0, false), (-21.0, false)] {
            assert_eq!(holds(&thing.solids, DVec3::new(x, y, z)), inside && within, "{x} {y} {z}");
        }
    }
    assert!((thing.extruded[0].volume() - 40.0 * (30.0 * 4.0 + 26.0 * 4.0)).abs() < 1e-9);
}

#[test]
fn shoes_weigh_what_their_outlines_do() {
    let document = text("front", "", "", "").replace(
        "material: \"POM\"),",
        "material: \"POM\", bodies: [box(from: (0, 60, 0), to: (10, 70, 10)), \
            outline(shape: circle(at: (0, 80), diameter: 20), along: z, to: 5, turned: (about: (1, 0, 0), by: 90))]),",
    );
    let fixture = fixture(&read(&document));
    let shoe = &fixture.riders[0].shoes[0];
    let volumes = [1000.0, 500.0 * std::f64::consts::PI];
    let density = shoe.mass / (volumes[0] + volumes[1]) * 1e9;
    // Acetal: about 1.41 g/cm³ (value from memory).
    assert!((1300.0..1500.0).contains(&density), "{density}");
    let centre = analyse(&fixture).assembly.riders[0]
        .mass
        .items
        .iter()
        .find(|item| item.path == shoe.path)
        .unwrap()
        .centre;
    let whole = volumes[0] + volumes[1];
    let expected =
        (DVec3::new(5.0, 65.0, 5.0) * volumes[0] + DVec3::new(0.0, 80.0, 2.5) * volumes[1]) / whole;
    near(centre, expected);
}

/// Everything askew in every frame, and its mirror image by points: a point lies in the image as its own image lay in
/// the original.
#[test]
fn mirror_images_of_outlines_and_turned_boxes_are_mirror_images() {
    let bodies = format!(
        "box(from: (-30, -8, 3), to: (20, 9, 22), turned: (about: (1, -2, 0.5), by: 35)),
        box(from: (-30, -8, 3), to: (20, 9, 22), turned: (about: (0, 0, 1), by: \"10 + 5\", at: (5, 6, 7))),
        outline(shape: path(d: \"{L}\", at: (7, 11)), from: 2, to: 9),
        outline(shape: path(d: \"{L}\", at: (7, 11)), along: y, from: 2, to: 9),
        outline(shape: path(d: \"{L}\", at: (7, 11)), along: x, from: 2, to: 9, turned: (about: (0, 1, 0), by: 20))"
    );
    let single: Vec<&str> = bodies.split(",\n").map(str::trim).collect();
    let flip = |plane: MirrorPlane| match plane {
        MirrorPlane::FrontRear => DVec3::new(1.0, 1.0, -1.0),
        MirrorPlane::LeftRight => DVec3::new(1.0, -1.0, 1.0),
        MirrorPlane::Lengthwise => DVec3::new(-1.0, 1.0, 1.0),
    };
    for body in single {
        for plane in [MirrorPlane::FrontRear, MirrorPlane::LeftRight, MirrorPlane::Lengthwise] {
            for faces in ["front", "rear", "left", "right"] {
                let load = format!("(name: \"load\", mass: 9, on: \"deck\", bodies: [{body}])");
                let document = read(&text(faces, &load, "", ""));
                let image = edit::mirror(&document, "riders/tray", plane).unwrap().document;
                let [before, after] =
                    [&document, &image].map(|document| fixture(document).riders[0].loads[0].clone());
                compare(
                    &before.solids,
                    &after.solids,
                    flip(plane),
                    DVec3::ZERO,
                    &format!("{plane:?} {faces} {body}"),
                );
                near(after.centre, before.centre * flip(plane));
                let back = edit::mirror(&image, "riders/tray", plane).unwrap().document;
                let back = &fixture(&back).riders[0].loads[0];
                compare(&before.solids, &back.solids, DVec3::ONE, DVec3::ZERO, body);
            }
            let document = read(&text("front", "", "", &format!("(name: \"thing\", bodies: [{body}])")));
            let image = edit::mirror(&document, "obstacles/thing", plane).unwrap().document;
            assert_eq!(parse(&print(&image)).unwrap(), image);
            let [before, after] =
                [&document, &image].map(|document| fixture(document).obstacles[0].solids.clone());
            // Lengthwise about the rail's middle.
            let shift = if plane == MirrorPlane::Lengthwise { DVec3::X * 700.0 } else { DVec3::ZERO };
            compare(&before, &after, flip(plane), shift, &format!("{plane:?} {body}"));
        }
    }
}

fn compare(before: &[Solid], after: &[Solid], flip: DVec3, shift: DVec3, what: &str) {
    let middle = before[0].centroid();
    let mut inside = 0;
    for p in points(45.0).map(|p| p + middle) {
        assert_eq!(holds(before, p), holds(after, p * flip + shift), "{what}: {p}");
        inside += usize::from(holds(before, p));
    }
    assert!(inside > 10, "{what}: {inside}");
}

/// A ridge, a box standing on its edge over the rail, and what passes below it: the gap by hand.
#[test]
fn the_gap_to_a_box_on_its_edge_is_that_to_its_edge() {
    let load =
        "(name: \"plain\", mass: 100, on: \"deck\", bodies: [box(from: (-10, -10, 0), to: (10, 10, 20))])";
    // 20 × 20, its middle 85 above: the edge hangs 10·√2 below that. The load's top is at 44 + 20.
    let ridge = "(name: \"ridge\", bodies: [box(from: (130, -10, 75), to: (150, 10, 95), turned: (about: (0, 1, 0), by: 45))])";
    let results = analyse(&fixture(&read(&text("front", load, "", ridge))));
    let pair = results.interference.tightest().unwrap();
    let expected = 85.0 - 10.0 * 2_f64.sqrt() - 64.0;
    assert!((pair.gap - expected).abs() < 1e-9, "{} {expected}", pair.gap);
    // As an outline it is the same body.
    let ridge = "(name: \"ridge\", bodies: [outline(shape: rectangle(from: (130, 75), to: (150, 95)), along: y, \
        from: -10, to: 10, turned: (about: (0, 1, 0), by: 45))])";
    let outline = analyse(&fixture(&read(&text("front", load, "", ridge))));
    assert!((outline.interference.tightest().unwrap().gap - expected).abs() < 1e-9);
}

/// A post passes through the hole of an outline and not through its ring.
#[test]
fn holes_of_outlines_let_things_pass() {
    let gap = |y: f64| {
        let load = format!(
            "(name: \"post\", mass: 100, on: \"deck\", bodies: [box(from: (-5, {}, 0), to: (5, {}, 40))])",
            y - 5.0,
            y + 5.0
        );
        let gate = "(name: \"gate\", bodies: [outline(along: x, from: 120, to: 125, \
            shape: path(d: \"M-140 -26 H140 V-120 H-140 Z M-64 -30 H64 V-88 H-64 Z\"))])";
        analyse(&fixture(&read(&text("front", &load, "", gate)))).interference.tightest().unwrap().gap
    };
    // The opening is 128 wide from 30 to 88 out; the plate takes 120 of it at 40 to 44, the post 10 up to 84.
    assert!((gap(0.0) - 4.0).abs() < 1e-9, "{}", gap(0.0));
    assert!((gap(57.0) - 2.0).abs() < 1e-9, "{}", gap(57.0));
    assert!(gap(70.0) < 0.0);
}

#[test]
fn what_is_wrong_is_told_with_its_place() {
    for (body, place, says) in [
        (
            "box(from: (0, 0, 0), to: (9, 9, 9), turned: (about: (0, 0, 0), by: 5))",
            "turned/about",
            "no length",
        ),
        ("box(from: (0, 0, 0), to: (9, 9, 0), turned: (about: (0, 0, 1), by: 5))", "", "no volume"),
        ("outline(shape: circle(at: (0, 0), diameter: 5), from: 3, to: 3)", "", "no volume"),
        ("outline(shape: circle(at: (0, 0), diameter: 0), to: 3)", "shape/diameter", "above 0"),
        ("outline(shape: path(d: \"M0 0 H9 V9\"), to: 3)", "shape", "not closed"),
        ("outline(shape: path(d: \"M0 0 H9 V9 L0 9 L9 0 Z M0 0 z\"), to: 3)", "shape", "outline"),
        ("outline(shape: rectangle(from: (0, 0), to: (0, 9)), to: 3)", "shape", "outline"),
        ("outline(shape: circle(at: (\"1/0\", 0), diameter: 5), to: 3)", "shape/at/along", ""),
        (
            "box(from: (0, 0, 0), to: (9, 9, 9), turned: (about: (0, 0, 1), by: \"sqrt(-1)\"))",
            "turned/by",
            "",
        ),
    ] {
        let document = read(&text("front", "", "", &format!("(name: \"thing\", bodies: [{body}])")));
        let place = format!("obstacles/thing/bodies/1/{place}");
        let place = place.trim_end_matches('/');
        let problems = resolve(&document, None).problems;
        let told =
            problems.iter().any(|p| p.place.to_string().starts_with(place) && p.message.contains(says));
        assert!(told, "{body}: {problems:#?}");
    }
    // Words and fields that are not there are refused where they stand.
    for body in [
        "outline(shape: circle(at: (0, 0), diameter: 5), along: w, to: 3)",
        "outline(shape: circle(at: (0, 0), diameter: 5))",
        "box(from: (0, 0, 0), to: (9, 9, 9), turned: (by: 5))",
        "ball(at: (0, 0, 0), diameter: 9, turned: (about: (0, 0, 1), by: 5))",
    ] {
        assert!(
            parse(&text("front", "", "", &format!("(name: \"thing\", bodies: [{body}])"))).is_err(),
            "{body}"
        );
    }
}

/// Whatever the numbers, nothing panics and nothing that is not finite comes out.
#[test]
fn huge_and_tiny_numbers_do_no_harm() {
    for size in ["1e300", "-1e300", "1e-300", "1e9", "1e-12"] {
        for by in ["1e300", "1e-300", "0", "360"] {
            for body in [
                format!(
                    "box(from: (0, 0, 0), to: ({size}, 9, {size}), turned: (about: ({size}, 1, 0), by: {by}, at: ({size}, 0, 0)))"
                ),
                format!(
                    "outline(shape: rectangle(from: (0, 0), to: ({size}, 5), corner: 1), along: x, to: {size}, turned: (about: (1, {size}, 0), by: {by}))"
                ),
                format!("outline(shape: path(d: \"M0 0 H{size} V{size} Z\", at: ({size}, 0)), to: 5)"),
            ] {
                let obstacle = format!("(name: \"thing\", bodies: [{body}])");
                let load = format!("(name: \"load\", mass: 1, bodies: [{body}])");
                let Ok(document) = parse(&text("left", &load, "", &obstacle)) else { continue };
                let Some(fixture) = resolve(&document, None).fixture else { continue };
                let results = analyse(&fixture);
                let finite = |own: &Extruded| own.volume().is_finite() && own.centroid().is_finite();
                let all = results.assembly.bodies.iter().flat_map(|body| &body.extruded);
                assert!(all.into_iter().all(finite), "{body}");
                let pairs = &results.interference.passing;
                assert!(pairs.iter().all(|pair| pair.gap.is_finite()), "{body}");
            }
        }
    }
}

#[test]
fn facing_is_what_the_frame_of_a_load_follows() {
    // x towards y is from along to across on every rider, and across is the positive axis.
    for (faces, facing) in
        [("front", Facing::Front), ("rear", Facing::Rear), ("left", Facing::Left), ("right", Facing::Right)]
    {
        let load = "(name: \"bar\", mass: 9, on: \"deck\", bodies: [box(from: (0, -1, 0), to: (60, 1, 2), \
            turned: (about: (0, 0, 1), by: 30, at: (0, 0, 0)))])";
        let solids = fixture(&read(&text(faces, load, "", ""))).riders[0].loads[0].solids.clone();
        let (sin, cos) = 30_f64.to_radians().sin_cos();
        let far = DVec3::X * (59.0 * cos) + facing.lateral() * (59.0 * sin) + facing.outward() * 45.0;
        assert!(holds(&solids, far), "{faces}");
    }
}
