//! Which side is left: the same in the project's words, in JSON, in STL and in every picture, for riders that face
//! all four ways, each with a plate that looks like no other seen in a mirror.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

use glidewright::cli::Outcome;
use glidewright_geometry::DVec3;
use glidewright_motion::{BodyId, Fixture, Owner, Results, Role, analyse};
use glidewright_project::{parse, resolve};
use glidewright_sheet::views::{Pick, Projection, ViewState, view_named};
use glidewright_sheet::{DVec2, Drawing, Page, Rect};
use glidewright_tests::{figures, program, scratch};
use serde_json::Value;

/// Every plate is this L, seen from outside with the rail running to the right: it lacks its upper right quarter.
const L: &str = "M-20 20 H20 V0 H0 V-20 H-20 Z";
/// The section seen from the rail's lower or left end, front up: it lacks its upper left corner.
const SECTION: &str = "M-12 -20 H20 V20 H-20 V-12 H-12 Z";

/// Which way each faces, where it stands, and what up on its drawing and out of its plate come to in (y, z).
const RIDERS: [(&str, f64, [f64; 2], [f64; 2]); 4] = [
    ("front", 100.0, [1.0, 0.0], [0.0, 1.0]),
    ("rear", 250.0, [-1.0, 0.0], [0.0, -1.0]),
    // With y to the left, x to the right and the left face towards the reader, z points down.
    ("left", 400.0, [0.0, -1.0], [1.0, 0.0]),
    ("right", 550.0, [0.0, 1.0], [-1.0, 0.0]),
];

fn project(stand: &str) -> String {
    let riders: Vec<String> = RIDERS
        .iter()
        .enumerate()
        .map(|(number, (faces, at, ..))| {
            let tracks = if number < 2 { ["left", "right"] } else { ["front", "rear"] };
            let moves = if number == 0 { "lead" } else { "linked(1)" };
            let shoes: Vec<String> = tracks
                .iter()
                .map(|side| format!("(name: \"{side} shoe\", track: \"{side}\", along: 0, length: 30, material: \"POM\")"))
                .collect();
            format!(
                "(name: \"{faces} rider\", faces: {faces}, at: {at}, moves: {moves}, shoes: [{}],
                plates: [(name: \"{faces} plate\", outline: path(\"{L}\"), thickness: 4, material: \"PETG\", level: 40)],
                )",
                shoes.join(", ")
            )
        })
        .collect();
    format!(
        "(format: 2, name: \"four ways\",
        rail: (section: \"notched\", length: 700, stand: {stand}),
        riders: [{}],
        stroke: (to: 50),
        parts: [(name: \"notched\", form: rail(outline(d: \"{SECTION}\", tracks: [
            (name: \"left\", at: (-20, 0), faces: 180, profile: flat(width: 16)),
            (name: \"right\", at: (20, 0), faces: 0, profile: flat(width: 16)),
            (name: \"front\", at: (0, 20), faces: 90, profile: flat(width: 16)),
            (name: \"rear\", at: (0, -20), faces: 270, profile: flat(width: 16)),
        ])), material: \"Al 6063-T5\")])",
        riders.join(", ")
    )
}

fn made(stand: &str) -> (Fixture, Results) {
    let document = parse(&project(stand)).unwrap_or_else(|problems| panic!("{problems:#?}"));
    let fixture = resolve(&document, None).fixture.unwrap();
    let results = analyse(&fixture);
    (fixture, results)
}

/// A point of a plate in the rail frame: `right` and `up` on its drawing, `level` from the rail's centre plane.
fn in_space(rider: usize, right: f64, up: f64, level: f64) -> DVec3 {
    let (_, at, drawn_up, outward) = RIDERS[rider];
    let across = |axis: usize| drawn_up[axis] * up + outward[axis] * level;
    DVec3::new(at + right, across(0), across(1))
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6
}

#[test]
fn json_says_the_same_as_the_words() {
    let json = figures("handed-json", &project("lying")).unwrap();
    let tracks = json["rail"]["tracks"].as_array().unwrap();
    for (name, y, z) in
        [("left", 20.0, 0.0), ("right", -20.0, 0.0), ("front", 0.0, 20.0), ("rear", 0.0, -20.0)]
    {
        let track = tracks.iter().find(|track| track["name"] == name).unwrap();
        let number = |key: &str| track[key].as_f64().unwrap();
        assert!(near(number("middle_y_mm"), y) && near(number("middle_z_mm"), z), "{track:#}");
        assert!(near(number("normal_y"), y / 20.0) && near(number("normal_z"), z / 20.0), "{track:#}");
    }
    // Two rectangles: 20 × 40 about (−10, 0) and 20 × 20 about (10, −10).
    let middle = -(800.0 * 10.0 - 400.0 * 10.0) / 1200.0;
    let up = -400.0 * 10.0 / 1200.0;
    for (number, rider) in json["riders"].as_array().unwrap().iter().enumerate() {
        let faces = RIDERS[number].0;
        let masses = rider["masses"].as_array().unwrap();
        let plate = format!("riders/{faces} rider/plates/{faces} plate");
        let of = |held: &dyn Fn(&str) -> bool| -> DVec3 {
            let text = |item: &Value, key: &str| item[key].as_str().unwrap().to_owned();
            let item = masses.iter().find(|item| held(&text(item, "path")));
            let centre = &item.unwrap_or_else(|| panic!("{masses:#?}"))["centre_mm"];
            DVec3::from_array([0, 1, 2].map(|axis| centre[axis].as_f64().unwrap()))
        };
        // A mass counts x from its rider.
        let home = DVec3::X * RIDERS[number].1;
        let expected = in_space(number, middle, up, 42.0);
        let found = of(&|path| path == plate) + home;
        assert!(found.distance(expected) < 1e-6, "{faces}: {found} {expected}");
    }
}

#[test]
fn meshes_stand_where_the_words_say() {
    let folder = scratch("handed-solids");
    let file = folder.join("project.ron");
    std::fs::write(&file, project("upright")).unwrap();
    let said = program(&["solids", &file.to_string_lossy(), "--at", "0", "--out", &folder.to_string_lossy()]);
    assert_eq!(said.outcome, Outcome::Good, "{}", said.error);
    let index: Value =
        serde_json::from_str(&std::fs::read_to_string(folder.join("index.json")).unwrap()).unwrap();
    let solids = index["solids"].as_array().unwrap();
    let corners = |held: &dyn Fn(&Value) -> bool| -> Vec<DVec3> {
        let solid = solids.iter().find(|solid| held(solid)).unwrap();
        let bytes = std::fs::read(folder.join(solid["file"].as_str().unwrap())).unwrap();
        corners_of(&bytes)
    };
    let has = |corners: &[DVec3], p: DVec3| corners.iter().any(|c| c.distance(p) < 1e-3);
    for (number, (faces, ..)) in RIDERS.iter().enumerate() {
        let path = format!("riders/{faces} rider/plates/{faces} plate");
        let plate = corners(&|solid| solid["path"] == path.as_str() && solid["role"] == "plate");
        for level in [40.0, 44.0] {
            for (right, up) in
                [(-20.0, -20.0), (20.0, -20.0), (20.0, 0.0), (0.0, 0.0), (0.0, 20.0), (-20.0, 20.0)]
            {
                let p = in_space(number, right, up, level);
                assert!(has(&plate, p), "{faces}: no corner at {p}");
            }
            assert!(!has(&plate, in_space(number, 20.0, 20.0, level)), "{faces}");
        }
    }
    // The notch is at the left of the front: +y, +z.
    let rail = corners(&|solid| solid["role"] == "rail");
    assert!(!has(&rail, DVec3::new(0.0, 20.0, 20.0)));
    for (y, z) in [(12.0, 12.0), (-20.0, 20.0), (20.0, -20.0), (-20.0, -20.0)] {
        assert!(has(&rail, DVec3::new(0.0, y, z)), "{y} {z}");
    }
}

/// All corners of a binary STL.
fn corners_of(bytes: &[u8]) -> Vec<DVec3> {
    let number = |at: usize| f64::from(f32::from_le_bytes(bytes[at..at + 4].try_into().unwrap()));
    let count = u32::from_le_bytes(bytes[80..84].try_into().unwrap()) as usize;
    let corner = |at: usize| DVec3::new(number(at), number(at + 4), number(at + 8));
    (0..count).flat_map(|triangle| [0, 1, 2].map(|i| corner(84 + 50 * triangle + 12 + 12 * i))).collect()
}

fn plate_of(fixture: &Fixture, results: &Results, rider: usize) -> BodyId {
    let path = &fixture.riders[rider].plates[0].path;
    let held = |body: &glidewright_motion::Body| {
        body.role == Role::Plate && body.owner == Owner::Rider(rider) && body.path == *path
    };
    BodyId(results.assembly.bodies.iter().position(held).unwrap() as u32)
}

/// The body seen at a point of a panel's world.
fn seen(drawing: &Drawing, page: &Page, panel: &str, world: DVec2) -> Option<BodyId> {
    let panel = drawing.panel_named(panel).unwrap_or_else(|| panic!("no panel {panel}"));
    match page.pick(panel.pt(world), 0.0).and_then(|hit| Pick::of(hit.part)) {
        Some(Pick::Body(id)) => Some(id),
        _ => None,
    }
}

/// On a lying rail x runs to the right, on a standing one the same drawing is turned by a quarter.
#[test]
fn a_plate_is_drawn_as_it_was_written() {
    for stand in ["lying", "upright"] {
        let (fixture, results) = made(stand);
        for (number, (faces, ..)) in RIDERS.iter().enumerate() {
            let id = plate_of(&fixture, &results, number);
            let state = ViewState { selected: Some(id), ..ViewState::default() };
            let drawing = view_named("plate").unwrap().drawing(&fixture, &results, &state);
            let page = drawing.page();
            let panel = drawing.panel_named("plate").unwrap();
            let (origin, right, up) = (panel.pt(DVec2::ZERO), panel.pt(DVec2::X), panel.pt(DVec2::Y));
            assert!(right.x > origin.x && up.y < origin.y, "a page's y runs down");
            for (x, y, there) in
                [(-14.0, 14.0, true), (-14.0, -14.0, true), (14.0, -14.0, true), (14.0, 14.0, false)]
            {
                let world = if stand == "lying" { DVec2::new(x, y) } else { DVec2::new(-y, x) };
                let found = seen(&drawing, &page, "plate", world) == Some(id);
                assert_eq!(found, there, "{stand}, {faces}: ({x}, {y})");
            }
        }
    }
}

/// Where on the page a body lies (pt).
fn place(page: &Page, id: BodyId) -> Rect {
    let own = page.inks.iter().filter(|ink| ink.item.is_some() && ink.part == Some(Pick::Body(id).part()));
    own.map(|ink| ink.bounds).reduce(|a, b| a.union(&b)).unwrap()
}

#[test]
fn pictures_have_left_at_the_left() {
    let (fixture, results) = made("upright");
    let rail =
        BodyId(results.assembly.bodies.iter().position(|body| body.role == Role::Rail).unwrap() as u32);
    let drawn = |view: &str, state: &ViewState| {
        let drawing = view_named(view).unwrap().drawing(&fixture, &results, state);
        let page = drawing.page();
        (drawing, page)
    };
    let before_the_front = ViewState { turn: 0.0, lift: 0.0, ..ViewState::default() };
    let flat = ViewState { projection: Some(Projection::Front), ..ViewState::default() };
    for (view, state, ends) in
        [("end", &flat, true), ("bench", &flat, false), ("space", &before_the_front, false)]
    {
        let (_, page) = drawn(view, state);
        let at = |rider: usize| place(&page, plate_of(&fixture, &results, rider)).middle();
        let middle = place(&page, rail).middle();
        let [front, rear, left, right] = [0, 1, 2, 3].map(at);
        assert!(left.x < middle.x - 3.0 && right.x > middle.x + 3.0, "{view}: {left} {middle} {right}");
        // Along the rail the front face is up; before the front face, x is.
        if ends {
            assert!(front.y < middle.y - 3.0 && rear.y > middle.y + 3.0, "{view}");
        } else {
            assert!(right.y < left.y && left.y < rear.y && rear.y < front.y, "{view}");
        }
    }
    // The section as it was written: no rail at the upper left.
    let (drawing, page) = drawn("end", &flat);
    for (x, y, there) in [(-17.0, 17.0, false), (17.0, 17.0, true), (17.0, -17.0, true), (-17.0, -17.0, true)]
    {
        let found = seen(&drawing, &page, "along the rail", DVec2::new(x, y)) == Some(rail);
        assert_eq!(found, there, "({x}, {y})");
    }
    // A lying rail seen on its front face has y up: what was left of a standing one.
    let (fixture, results) = made("lying");
    let drawing = view_named("bench").unwrap().drawing(&fixture, &results, &flat);
    let page = drawing.page();
    let at = |rider: usize| place(&page, plate_of(&fixture, &results, rider)).middle();
    assert!(at(2).y < at(3).y - 3.0 && at(0).x < at(1).x && at(2).x < at(3).x);
}

/// A travel that one verb prints is one that the others take, whatever the ends of the stroke are.
#[test]
fn printed_travels_are_accepted() {
    for (number, to) in ["2/3", "0.7 - 0.1 + 1/30", "33.36", "1/7 in"].into_iter().enumerate() {
        let text =
            project("lying").replace("stroke: (to: 50)", &format!("stroke: (from: 0.1, to: \"{to}\")"));
        let folder = scratch(&format!("handed-travel-{number}"));
        let file = folder.join("project.ron");
        std::fs::write(&file, text).unwrap();
        let file = file.to_string_lossy();
        let said = program(&["figures", &file, "--json"]);
        assert_eq!(said.outcome, Outcome::Good, "{}", said.error);
        let json: Value = serde_json::from_str(&said.out).unwrap();
        let travels = json["travel_mm"].as_array().unwrap();
        let last = travels.last().unwrap().as_f64().unwrap();
        for at in [travels[0].to_string(), last.to_string(), format!("{last:.1}"), format!("{last:.2}")] {
            let out = folder.to_string_lossy();
            let said = program(&["solids", &file, "--at", &at, "--out", &out]);
            assert_eq!(said.outcome, Outcome::Good, "{to}: {at}: {}", said.error);
            let picture = folder.join("x.svg");
            let said = program(&["picture", &file, "--at", &at, "--out", &picture.to_string_lossy()]);
            assert_eq!(said.outcome, Outcome::Good, "{to}: {at}: {}", said.error);
        }
        let said = program(&[
            "solids",
            &file,
            "--at",
            &(last + 0.2).to_string(),
            "--out",
            &folder.to_string_lossy(),
        ]);
        assert!(said.error.contains("outside the stroke"), "{}", said.error);
    }
}
