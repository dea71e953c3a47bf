//! What is meant to touch, and what is not: every solid is held against everything else.
//!
//! Sizes and overlaps are worked out by hand from the fixture in `common`: rail 30 × 60, wheels of radius 25 and width
//! 11 in grooves 15 mm above and below its middle, axles 23.5 mm off its faces.
#![allow(
    clippy::expect_used,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that cannot go on may stop"
)]

mod common;

use common::{Recipe, fixture, material};
use glam::{DVec2, DVec3};
use glidewright_geometry::{Outline, Solid};
use glidewright_motion::*;

/// One rider alone, with one screw size longer than its nuts need, so that nothing else is found.
fn alone() -> Fixture {
    let mut fixture = fixture(&Recipe { screw: 50.0, ..Recipe::default() });
    fixture.line = None;
    fixture.obstacles.clear();
    fixture.riders.truncate(1);
    fixture
}

/// Fouling pairs as "role and role: gap" in the order of the bodies.
fn fouls(fixture: &Fixture) -> Vec<(Role, Role, f64)> {
    let results = analyse(fixture);
    assert!(results.assembly.faults.is_empty(), "{:?}", results.assembly.faults);
    let role = |id: BodyId| results.assembly.bodies[id.0 as usize].role;
    let all = results.interference.pairs();
    all.filter(|pair| matches!(pair.outcome, Outcome::Fouls { .. }))
        .map(|pair| (role(pair.bodies.0), role(pair.bodies.1), pair.gap))
        .collect()
}

fn box_load(name: &str, path: &str, from: [f64; 3], to: [f64; 3], on: Option<usize>) -> Load {
    Load {
        name: name.into(),
        path: path.into(),
        mass: 0.1,
        centre: DVec3::new(0.0, 0.0, 50.0),
        solids: vec![Solid::cuboid_between(from.into(), to.into())],
        extruded: Vec::new(),
        reach: None,
        on,
        is_ballast: false,
    }
}

/// Levels of the plate's faces.
fn plate_levels(fixture: &Fixture) -> (f64, f64) {
    let plate = Assembly::new(fixture).riders[0].plates[0];
    (plate.inner, plate.outer)
}

#[test]
fn a_seated_rider_touches_what_it_is_meant_to() {
    for press in [-0.1, 0.0, 0.02, 0.3] {
        let mut fixture = alone();
        for wheel in &mut fixture.riders[0].wheels {
            wheel.press = press;
        }
        assert_eq!(fouls(&fixture), [], "pressed {press}");
    }
}

/// The rail with further corners of its right side, in the order of z, put in after the one nearest `after`.
fn with_corners(fixture: &mut Fixture, after: DVec2, more: &[(f64, f64)]) {
    let mut corners: Vec<DVec2> = fixture.rail.bars[0].outer.edges.iter().map(|edge| edge.from()).collect();
    let place = corners.iter().position(|corner| corner.distance(after) < 1e-9).expect("a corner") + 1;
    corners.splice(place..place, more.iter().map(|&corner| corner.into()));
    fixture.rail.bars[0].outer = Outline::polygon(&corners);
}

#[test]
fn a_wheel_in_a_far_wall_fouls_the_rail() {
    // An arm beneath the right wheels' nuts carries a wall whose face stands 46.5 mm off the groove's: axle 23.5 off,
    // pressed by 0.02, radius 25.
    let mut fixture = alone();
    let wall = [(15.0, -10.0), (70.0, -10.0), (70.0, 25.0), (61.5, 25.0), (61.5, -7.0), (15.0, -7.0)];
    with_corners(&mut fixture, DVec2::new(15.0, -10.75), &wall);
    let found = fouls(&fixture);
    assert_eq!(found.len(), 2, "{found:?}");
    for (a, b, gap) in found {
        assert!(matches!((a, b), (Role::Tyre, Role::Rail) | (Role::Rail, Role::Tyre)), "{a:?} {b:?}");
        assert!((gap + 1.98).abs() < 0.02, "{gap}");
    }
    let findings = analyse(&fixture).findings;
    let told = findings.iter().find(|finding| finding.code == "gap.fouls").expect("a finding");
    assert!(
        told.title.to_string().contains("wheel") && told.title.to_string().contains("rail"),
        "{}",
        told.title
    );
}

#[test]
fn a_wheel_beside_a_flange_rides_on_it() {
    // A flange 3.5 to 9.5 mm from the groove's middle: the wheel's side would stand 2 mm in it, so that it is lifted.
    let mut fixture = alone();
    let before = Assembly::new(&fixture);
    let flange = [(15.0, 19.5), (25.0, 19.5), (25.0, 25.5), (15.0, 25.5)];
    with_corners(&mut fixture, DVec2::new(15.0, 19.25), &flange);
    assert_eq!(fouls(&fixture), []);
    let after = Assembly::new(&fixture);
    let axle = |assembly: &Assembly| assembly.riders[0].stacks[1].at.y;
    assert!(axle(&after) > axle(&before) + 2.0, "{} {}", axle(&after), axle(&before));
}

#[test]
fn a_shoe_inside_the_rail_fouls_it() {
    let mut sound = alone();
    sound.rail.tracks.push(Track {
        name: "front".into(),
        middle: DVec2::new(0.0, 30.0),
        normal: DVec2::Y,
        profile: TrackProfile::Flat { width: 20.0 },
    });
    let shoe = |low: f64| Shoe {
        name: "shoe".into(),
        path: "shoe".into(),
        track: 4,
        along: 0.0,
        length: 20.0,
        press: 0.0,
        material: material("POM", 1410.0, 2900.0),
        friction: None,
        solids: vec![Solid::cuboid_between(DVec3::new(-10.0, -5.0, low), DVec3::new(10.0, 5.0, low + 6.0))],
        extruded: Vec::new(),
        mass: 0.01,
    };
    sound.riders[0].shoes = vec![shoe(30.0)];
    assert_eq!(fouls(&sound), []);
    sound.riders[0].shoes = vec![shoe(15.0)];
    let found = fouls(&sound);
    assert!(matches!(found[..], [(_, _, gap)] if (-15.1..-3.0).contains(&gap)), "{found:?}");
}

#[test]
fn ribs_and_loads_are_held_against_wheels_and_screws() {
    let mut fixture = alone();
    let (inner, outer) = plate_levels(&fixture);
    let plate = fixture.riders[0].plates[0].path.clone();
    // A rib on the plate's inside, 25 mm high, through the wheels' middles; it is one piece with its plate.
    let rib = box_load(
        "rib",
        &format!("{plate}/features/rib"),
        [-50.0, 36.0, inner - 25.0],
        [50.0, 40.0, inner],
        Some(0),
    );
    // A load that stands on the plate and touches it.
    let standing =
        box_load("standing", "standing", [-20.0, -10.0, outer], [20.0, 10.0, outer + 20.0], Some(0));
    fixture.riders[0].loads = vec![standing.clone()];
    assert_eq!(fouls(&fixture), []);
    fixture.riders[0].loads = vec![rib];
    let found = fouls(&fixture);
    let with = |role: Role| found.iter().filter(|pair| pair.0 == role || pair.1 == role).count();
    assert!(with(Role::Tyre) >= 2 && with(Role::Spacer) >= 2, "{found:?}");
    assert_eq!(with(Role::Plate), 0, "{found:?}");
    assert!(found.iter().all(|pair| pair.2 < -1.0));
    // Sunk 5 mm into the plate.
    let mut sunk = standing.clone();
    sunk.solids[0] = sunk.solids[0].shifted(DVec3::NEG_Z * 5.0);
    fixture.riders[0].loads = vec![sunk];
    let found = fouls(&fixture);
    assert!(matches!(found[..], [(_, _, gap)] if (gap + 5.0).abs() < 1e-6), "{found:?}");
    // Over a screw's head, which is 6 mm high on a washer of 1.6.
    let mut over = standing.clone();
    over.solids = vec![Solid::cuboid_between(
        DVec3::new(40.0, 30.0, outer + 1.6),
        DVec3::new(50.0, 50.0, outer + 30.0),
    )];
    fixture.riders[0].loads = vec![over];
    let found = fouls(&fixture);
    assert!(matches!(found[..], [(_, _, gap)] if gap < -4.0), "{found:?}");
    // Two loads in each other.
    let mut other = standing.clone();
    (other.name, other.path) = ("other".into(), "other".into());
    other.solids[0] = other.solids[0].shifted(DVec3::new(38.0, 0.0, 0.0));
    fixture.riders[0].loads = vec![standing, other];
    let found = fouls(&fixture);
    assert!(matches!(found[..], [(_, _, gap)] if (gap + 2.0).abs() < 1e-6), "{found:?}");
}

#[test]
fn plates_of_one_rider_may_touch_and_no_more() {
    let mut fixture = alone();
    let (_, outer) = plate_levels(&fixture);
    let mut second = fixture.riders[0].plates[0].clone();
    (second.name, second.path) = ("second".into(), "second".into());
    second.outline = Outline::rectangle(DVec2::new(-20.0, -20.0), DVec2::new(20.0, 20.0));
    second.level = Some(outer);
    fixture.riders[0].plates.push(second);
    assert_eq!(fouls(&fixture), []);
    fixture.riders[0].plates[1].level = Some(outer - 2.0);
    let found = fouls(&fixture);
    assert!(matches!(found[..], [(Role::Plate, Role::Plate, gap)] if (gap + 2.0).abs() < 1e-6), "{found:?}");
}

#[test]
fn a_ring_beside_a_wheel_stays_within_its_bearing() {
    // Bearing 6 × 19: its rings leave 6 + 0.7 × 13 = 15.1 mm open; hub as wide as the tyre, so that ring and wheel
    // stand face to face.
    for (outer, expected) in [(9.0, 0), (15.0, 0), (15.2, 8)] {
        let mut fixture = alone();
        for wheel in &mut fixture.riders[0].wheels {
            for piece in &mut wheel.stack.pieces {
                match &mut piece.kind {
                    PieceKind::Wheel(wheel) => {
                        wheel.hub_width = Toleranced::exact(wheel.width);
                        piece.thickness = wheel.hub_width;
                    }
                    PieceKind::Shim => piece.outer = outer,
                    _ => {}
                }
            }
        }
        let touching = fouls(&fixture);
        assert_eq!(touching.len(), expected, "{outer}: {touching:?}");
    }
}
