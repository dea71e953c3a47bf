//! Concave bodies as unions of convex ones: together the pieces must be the body, no more and no less.
#![allow(clippy::unwrap_used, reason = "a broken fixture must fail the test")]

mod common;

use std::f64::consts::PI;
use std::sync::Arc;

use common::Random;
use glidewright_geometry::{DVec2, DVec3, Edge, Outline, Pose, Region, Shape, Side, Solid, decompose};

fn v(x: f64, y: f64) -> DVec2 {
    DVec2::new(x, y)
}

/// A plate with round, slotted and hexagonal holes and with notches in its edge, one of them round.
fn plate() -> Region {
    let outer = Outline::joined(&[
        Edge::line(v(-40.0, -25.0), v(-5.0, -25.0)),
        Edge::line(v(-5.0, -25.0), v(-5.0, -18.0)),
        Edge::line(v(-5.0, -18.0), v(5.0, -18.0)),
        Edge::line(v(5.0, -18.0), v(5.0, -25.0)),
        Edge::line(v(5.0, -25.0), v(34.0, -25.0)),
        Edge::arc(v(34.0, -19.0), 6.0, -0.5 * PI, 0.5 * PI),
        Edge::line(v(40.0, -19.0), v(40.0, -4.0)),
        Edge::arc(v(40.0, 0.0), 4.0, -0.5 * PI, -PI),
        Edge::line(v(40.0, 4.0), v(40.0, 25.0)),
        Edge::line(v(40.0, 25.0), v(-40.0, 25.0)),
    ]);
    Region::new(
        outer,
        vec![
            Outline::circle(v(-28.0, 12.0), 2.75),
            Outline::circle(v(-28.0, -12.0), 2.75),
            Outline::slot(v(10.0, 12.0), v(25.0, 14.0), 2.75),
            Outline::regular_polygon(6, 8.0).transformed(0.3, v(20.0, -8.0)),
        ],
    )
}

/// A square-module rail with a groove in each side, its mouth narrower than the channel behind, and a bore.
fn rail() -> Region {
    let quarter = [
        v(-20.0, -20.0),
        v(-4.1, -20.0),
        v(-4.1, -17.8),
        v(-8.0, -17.8),
        v(-8.0, -15.5),
        v(-4.5, -12.0),
        v(4.5, -12.0),
        v(8.0, -15.5),
        v(8.0, -17.8),
        v(4.1, -17.8),
        v(4.1, -20.0),
    ];
    let mut corners = Vec::new();
    for k in 0..4 {
        let turn = DVec2::from_angle(0.5 * PI * f64::from(k));
        corners.extend(quarter.iter().map(|p| turn.rotate(*p)));
    }
    Region::new(Outline::polygon(&corners), vec![Outline::circle(DVec2::ZERO, 3.4)])
}

fn tube(outer: f64, inner: f64, off: f64) -> Region {
    Region::new(Outline::circle(DVec2::ZERO, outer), vec![Outline::circle(v(off, 0.0), inner)])
}

fn solids(region: &Region, height: f64, pose: &Pose, tolerance: f64, side: Side) -> Vec<Solid> {
    let prism = |outline: Outline| Solid {
        shape: Shape::Prism { outline: Arc::new(outline), half_height: 0.5 * height },
        pose: *pose,
    };
    decompose(region, tolerance, side).unwrap().into_iter().map(prism).collect()
}

#[test]
fn pieces_fill_the_body_exactly() {
    let mut random = Random(0xdec0_dec0_dec0_dec1);
    let bodies: [(&str, Region, f64); 6] = [
        ("plate", plate(), 6.0),
        ("rail", rail(), 500.0),
        ("tube", tube(6.0, 4.0, 0.0), 20.0),
        ("thin tube", tube(25.0, 24.8, 0.0), 80.0),
        ("eccentric spacer", tube(6.0, 3.0, 1.2), 12.0),
        ("washer", tube(5.0, 2.65, 0.0), 1.0),
    ];
    for (name, region, height) in &bodies {
        assert_eq!(region.check(), Ok(()), "{name}");
        let hollow_arcs: f64 =
            region.holes.iter().chain([&region.outer]).flat_map(|o| &o.edges).fold(0.0, |sum, e| match e {
                Edge::Arc { .. } => sum + e.length(),
                Edge::Line { .. } => sum,
            });
        for (tolerance, side) in [(0.01, Side::Outer), (0.01, Side::Inner), (1e-4, Side::Outer)] {
            let pose = Pose {
                turn: random.turn(),
                shift: DVec3::new(random.between(-50.0, 50.0), 7.0, random.between(-50.0, 50.0)),
            };
            let pieces = solids(region, *height, &pose, tolerance, side);
            assert!(pieces.iter().all(|p| p.faults().is_empty()), "{name}");
            // Disjoint pieces of the right whole volume, up to the chords of hollow arcs on the stated side.
            let volume: f64 = pieces.iter().map(Solid::volume).sum();
            let off = volume / height - region.area();
            let room = tolerance * hollow_arcs + 1e-6;
            let (least, most) = if side == Side::Outer { (-1e-6, room) } else { (-room, 1e-6) };
            assert!(off >= least && off <= most, "{name} {side:?}: {off}");
            // Random points, most of them near the boundary, where a gap or a double cover would show.
            let bounds = region.bounds();
            let mut near_boundary = 0;
            for k in 0..4000 {
                let edges: Vec<&Edge> =
                    region.holes.iter().chain([&region.outer]).flat_map(|o| &o.edges).collect();
                let p = if k % 2 == 0 {
                    let e = edges[random.below(edges.len())];
                    e.at(random.unit())
                        + DVec2::from_angle(random.between(0.0, 6.28)) * random.between(0.0, 0.3)
                } else {
                    bounds.low + bounds.size() * v(random.unit(), random.unit())
                };
                let boundary = edges.iter().map(|e| e.nearest(p).distance(p)).fold(f64::INFINITY, f64::min);
                let z = height * random.between(-0.49, 0.49);
                let point = pose.point(p.extend(z));
                let holding = pieces.iter().filter(|s| s.contains(point)).count();
                if boundary <= 1e-7 {
                    continue;
                }
                if boundary > tolerance {
                    assert_eq!(holding > 0, region.contains(p), "{name} {p} {boundary}");
                } else {
                    near_boundary += 1;
                    match side {
                        Side::Inner => assert!(holding == 0 || region.contains(p), "{name} {p}"),
                        _ => assert!(holding > 0 || !region.contains(p), "{name} {p}"),
                    }
                }
                // Pieces share boundaries only: a point in two of them lies on an edge of both.
                if holding > 1 {
                    let on_edge = |s: &Solid| match &s.shape {
                        Shape::Prism { outline, .. } => outline.distance_to_boundary(p) < 1e-6,
                        _ => false,
                    };
                    assert!(pieces.iter().filter(|s| s.contains(point)).all(on_edge), "{name} {p}");
                }
            }
            assert!(near_boundary > 10 || tolerance < 1e-3, "{name}");
        }
    }
}
