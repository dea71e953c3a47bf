//! The picture in space against rays cast on the bodies' own meshes: what is seen at a point is what the ray
//! meets first.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

use glidewright_geometry::DVec3;
use glidewright_motion::{Fixture, Owner, Results, Role, analyse, rider_x};
use glidewright_project::{parse, resolve, sample_shuttle_text};
use glidewright_samples::COPY_STAND;
use glidewright_sheet::views::{Pick, ViewState, travel_after_drag, travel_to_pt, view_named};
use glidewright_sheet::{DVec2, body_meshes};

fn demos() -> Vec<(Fixture, Results)> {
    [COPY_STAND, sample_shuttle_text()]
        .into_iter()
        .map(|text| {
            let fixture = resolve(&parse(text).unwrap(), None).fixture.unwrap();
            let results = analyse(&fixture);
            (fixture, results)
        })
        .collect()
}

/// The reader's right, up and towards, by the angles' definition.
fn camera(fixture: &Fixture, turn: f64, lift: f64) -> [DVec3; 3] {
    let up = -fixture.rail.stand.down();
    let standing = up.x.abs() > 0.8;
    let ahead = if standing { DVec3::Z } else { -up.cross(DVec3::X) };
    let level = ahead * turn.cos() + up.cross(ahead) * turn.sin();
    let toward = level * lift.cos() + up * lift.sin();
    let right = up.cross(level);
    [right, toward.cross(right), toward]
}

/// A triangle of a body at its place, seen along `toward`: (right, up, near) of its corners.
struct Seen {
    body: u32,
    corners: [DVec3; 3],
}

impl Seen {
    /// How near the reader it is at a point of the paper; `None` beside it.
    fn at(&self, p: DVec2) -> Option<f64> {
        let flat = self.corners.map(|c| c.truncate());
        let area = (flat[1] - flat[0]).perp_dot(flat[2] - flat[0]);
        if area.abs() < 1e-12 {
            return None;
        }
        let share = |i: usize| (flat[(i + 1) % 3] - p).perp_dot(flat[(i + 2) % 3] - p) / area;
        let shares = [share(0), share(1), share(2)];
        shares.iter().all(|s| *s >= 0.0).then(|| (0..3).map(|i| shares[i] * self.corners[i].z).sum())
    }
}

#[test]
fn what_is_seen_is_what_a_ray_meets_first() {
    let mut cast = 0;
    let mut wrong = Vec::new();
    for (fixture, results) in demos() {
        for (turn, lift, share) in [(0.61, 0.38, 0.5), (-0.9, 0.5, 0.43), (2.2, -0.3, 0.1), (4.0, 0.9, 0.8)] {
            let travel = fixture.stroke.from + share * fixture.stroke.length();
            let [right, up, toward] = camera(&fixture, turn, lift);
            let mut triangles = Vec::new();
            for (number, body) in results.assembly.bodies.iter().enumerate() {
                if body.role == Role::Span {
                    continue;
                }
                let home = match body.owner {
                    Owner::Ground => DVec3::ZERO,
                    Owner::Rider(rider) => DVec3::X * rider_x(&fixture, rider, travel),
                };
                for mesh in body_meshes(&fixture, body, 0.02).unwrap() {
                    triangles.extend(mesh.triangle_corners().map(|corners| Seen {
                        body: number as u32,
                        corners: corners.map(|c| {
                            let c = c + home;
                            DVec3::new(c.dot(right), c.dot(up), c.dot(toward))
                        }),
                    }));
                }
            }
            let state = ViewState { travel, turn, lift, ..ViewState::default() };
            let drawing = view_named("space").unwrap().drawing(&fixture, &results, &state);
            let picture = drawing.panel_named("in space").unwrap();
            let page = drawing.page();
            let first = |p: DVec2| {
                triangles
                    .iter()
                    .filter_map(|t| Some((t.body, t.at(p)?)))
                    .max_by(|a, b| a.1.total_cmp(&b.1))
                    .map(|(body, _)| body)
            };
            let size = drawing.size_pt;
            for i in 0..44 {
                for j in 0..30 {
                    let pt = size * DVec2::new((f64::from(i) + 0.37) / 44.0, (f64::from(j) + 0.61) / 30.0);
                    let world = picture.world_from_pt(pt).unwrap();
                    let Some(body) = first(world) else { continue };
                    // Rims where the mesh's chords, a nut's flats or a half-millimetre decide are left out.
                    let around = [(0.8, 0.0), (-0.8, 0.0), (0.0, 0.8), (0.0, -0.8)];
                    if around.iter().any(|d| first(world + DVec2::from(*d)) != Some(body)) {
                        continue;
                    }
                    match page.pick(pt, 0.0).and_then(|hit| Pick::of(hit.part)) {
                        Some(Pick::Body(id)) => {
                            cast += 1;
                            if id.0 != body {
                                let name = |n: u32| results.assembly.bodies[n as usize].label.clone();
                                wrong.push(format!(
                                    "turn {turn} at {pt}: {} before {}",
                                    name(id.0),
                                    name(body)
                                ));
                            }
                        }
                        // The belt has no mesh, and marks lie over everything.
                        Some(_) => {}
                        None => wrong.push(format!("turn {turn} at {pt}: nothing seen")),
                    }
                }
            }
        }
    }
    assert!(cast > 800, "{cast}");
    assert!(wrong.len() * 100 <= cast, "{} of {cast}:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn riders_can_be_dragged_in_space() {
    for (fixture, results) in demos() {
        let state = ViewState { travel: fixture.stroke.from, ..ViewState::default() };
        let drawing = view_named("space").unwrap().drawing(&fixture, &results, &state);
        let (from, to) = (fixture.stroke.from, fixture.stroke.from + 40.0);
        let [a, b] = [from, to].map(|travel| travel_to_pt(&drawing, travel).unwrap());
        let after = travel_after_drag(&fixture, &drawing, 0, from, a, b).unwrap();
        assert!((after - to).abs() < 1e-6, "{after}");
    }
}

#[test]
fn turning_keeps_the_scale() {
    let (fixture, results) = demos().remove(0);
    let scale = |turn: f64| {
        let state = ViewState { turn, ..ViewState::default() };
        let drawing = view_named("space").unwrap().drawing(&fixture, &results, &state);
        drawing.panel_named("in space").unwrap().scale()
    };
    for turn in [0.3, 1.0, 2.0, 3.0] {
        assert!((scale(turn) - scale(0.0)).abs() < 1e-9);
    }
}
