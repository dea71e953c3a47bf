//! What stands out and what shows, of fixtures small enough to work it out by hand.

use std::f64::consts::PI;

use glidewright_geometry::{Bounds2, DVec2, DVec3, Solid};

use super::Looks;
use crate::{Assembly, Body, BodyId, Owner, Role};

/// A rail of 20 × 20 mm with bodies of one rider.
fn looks(bodies: Vec<Body>) -> Looks {
    let section = Bounds2 { low: DVec2::splat(-10.0), high: DVec2::splat(10.0) };
    Looks::past(&section, 1, &Assembly { bodies, ..Assembly::default() })
}

fn body(role: Role, label: &str, solid: Solid) -> Body {
    Body {
        owner: Owner::Rider(0),
        role,
        path: String::new(),
        label: format!("rider: {label}"),
        solids: vec![solid],
        extruded: Vec::new(),
        cover: None,
        stack: None,
        piece: None,
        plate: None,
    }
}

#[test]
fn a_block_stands_out_by_what_it_is_wider_than_the_rail() {
    // 60 long, 50 wide, from the front face to 8 before it.
    let block = Solid::cuboid_between(DVec3::new(-30.0, -25.0, 10.0), DVec3::new(30.0, 25.0, 18.0));
    let seen = looks(vec![body(Role::Plate, "plate", block)]);
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-6 * b, "{a} {b}");
    near(seen.front.farthest.unwrap().0, 15.0);
    near(seen.front.area, 2.0 * 60.0 * 15.0);
    near(seen.side.farthest.unwrap().0, 8.0);
    near(seen.side.area, 60.0 * 8.0);
    near(seen.area(), 2280.0);
}

#[test]
fn areas_are_of_the_union() {
    // Two pins across the rail, one behind the other, and one whose half lies within the outline.
    let pin = |x: f64, z: f64| Solid::cylinder_between(DVec3::new(x, 20.0, z), DVec3::new(x, 40.0, z), 4.0);
    let across = vec![body(Role::Plate, "a", pin(0.0, 0.0)), body(Role::Plate, "b", pin(0.0, 30.0))];
    let seen = looks(across);
    assert!((seen.front.area - 8.0 * 20.0).abs() < 1e-6);
    // From the side one of the two circles lies before the rail.
    assert!((seen.side.area - PI * 16.0).abs() < 0.02 * PI * 16.0);
    let half = Solid::cylinder_between(DVec3::new(0.0, 10.0, 12.0), DVec3::new(0.0, 10.0, 20.0), 4.0);
    assert!((looks(vec![body(Role::Plate, "c", half)]).front.area - 0.5 * PI * 16.0).abs() < 0.5);
}

#[test]
fn what_is_carried_hides_but_does_not_stand_out() {
    let head = Solid::cylinder_between(DVec3::new(0.0, 0.0, 10.0), DVec3::new(0.0, 0.0, 15.0), 5.0);
    let head = body(Role::Head, "screw head", head);
    let tray = Solid::cuboid_between(DVec3::new(-50.0, -50.0, 20.0), DVec3::new(50.0, 50.0, 30.0));
    assert_eq!(looks(vec![head.clone()]).front.heads.len(), 1);
    let covered = looks(vec![head, body(Role::Load, "tray", tray)]);
    assert!(covered.front.heads.is_empty() && covered.front.area == 0.0);
    // From the side it still shows beneath the tray.
    assert_eq!(covered.side.heads.len(), 1);
}

#[test]
fn the_rail_hides_what_is_behind_it() {
    let disc = |y: f64, z: f64| {
        let solid = Solid::cylinder_between(DVec3::new(0.0, y, z - 2.0), DVec3::new(0.0, y, z + 2.0), 8.0);
        body(Role::Tyre, "wheel 16", solid)
    };
    assert!(looks(vec![disc(0.0, -15.0)]).front.wheels.is_empty());
    assert_eq!(looks(vec![disc(0.0, -15.0)]).side.wheels.len(), 1);
    // More than a tenth of it beside the rail shows.
    assert_eq!(looks(vec![disc(9.0, -15.0)]).front.wheels.len(), 1);
    assert_eq!(looks(vec![disc(0.0, 15.0)]).front.wheels.len(), 1);
}

#[test]
fn a_nut_with_its_screw_is_one_end() {
    let nut = Solid::cylinder_between(DVec3::new(0.0, 0.0, 12.0), DVec3::new(0.0, 0.0, 18.0), 5.0);
    let end = Solid::cylinder_between(DVec3::new(0.0, 0.0, 18.0), DVec3::new(0.0, 0.0, 20.0), 3.0);
    let on = |body: Body| Body { stack: Some(0), ..body };
    let seen = looks(vec![on(body(Role::Nut, "nut", nut)), on(body(Role::ScrewEnd, "end", end))]);
    assert_eq!(seen.front.ends.len(), 1);
}

#[test]
fn nothing_to_see_is_no_area() {
    let none = looks(Vec::new());
    assert_eq!((none.area(), none.front.farthest, none.wheel_kinds().len()), (0.0, None, 0));
    let broken = Solid::cylinder_between(DVec3::ZERO, DVec3::splat(f64::NAN), 3.0);
    assert_eq!(looks(vec![body(Role::Plate, "broken", broken)]).area(), 0.0);
}

#[test]
fn a_kind_of_screw_is_the_same_at_every_length() {
    let names = ["ISO 4762 M6 × 45", "ISO 4762 M6 × 50", "ISO 7380-1 M6 × 45"];
    let ids: Vec<BodyId> = (0..3).map(BodyId).collect();
    let found = super::kinds(&ids, |id| names.get(id.0 as usize).copied());
    assert_eq!(found, ["ISO 4762 M6", "ISO 7380-1 M6"]);
}
