//! Gaps of generated fixtures against brute sampling with parry3d-f64.
//!
//! The library is accurate to about 1e-4 mm on solids with arcs (its polyhedra stand in for them) and on far pairs.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

mod common;

use std::borrow::Cow;
use std::f64::consts::TAU;
use std::rc::Rc;

use common::{Ledger, fixtures};
use glidewright_geometry::{DMat3, DVec2, DVec3, Shape, Side, Solid};
use glidewright_motion::{
    Assembly, Body, BodyId, Coupling, Fixture, Interference, Owner, PairResult, analyse, rider_x,
};
use parry3d_f64::bounding_volume::{Aabb, BoundingVolume};
use parry3d_f64::math::{Pose3, Rot3};
use parry3d_f64::{query, shape};

/// Known failures.
const KNOWN: &[(&str, &str)] = &[];

/// Flattened arcs stand this far inside at most (mm).
const SAG: f64 = 2e-4;

/// How near the library is trusted (mm).
const TRUST: f64 = 2e-3;

/// Travels looked at.
const SAMPLES: usize = 7;

struct Piece {
    shape: Box<dyn shape::Shape>,
    pose: Pose3,
}

fn piece(solid: &Solid) -> Option<Piece> {
    let turn = solid.pose.turn;
    let ring = |radius: f64, z: f64| {
        let sides = ((TAU / (8.0 * SAG / radius.max(SAG)).sqrt()).ceil().clamp(8.0, 400.0)) as usize;
        (0..sides)
            .map(move |i| (radius * DVec2::from_angle(TAU * i as f64 / sides as f64)).extend(z))
            .collect::<Vec<_>>()
    };
    let hull = |points: &[DVec3]| -> Option<Box<dyn shape::Shape>> {
        Some(Box::new(shape::ConvexPolyhedron::from_convex_hull(points)?))
    };
    let (turn, shape): (DMat3, Box<dyn shape::Shape>) = match &solid.shape {
        // Its cylinders stand along y.
        Shape::Cylinder { radius, half_height } => (
            DMat3::from_cols(turn.x_axis, turn.z_axis, -turn.y_axis),
            Box::new(shape::Cylinder::new(*half_height, *radius)),
        ),
        Shape::Cuboid { half } => (turn, Box::new(shape::Cuboid::new(*half))),
        Shape::Sphere { radius } => (turn, Box::new(shape::Ball::new(*radius))),
        Shape::Frustum { lower_radius, upper_radius, half_height } => {
            let mut points = ring(*lower_radius, -half_height);
            points.extend(ring(*upper_radius, *half_height));
            (turn, hull(&points)?)
        }
        Shape::Prism { outline, half_height } => {
            let corners = outline.flattened(SAG, Side::Inner);
            let points: Vec<DVec3> =
                corners.iter().flat_map(|c| [c.extend(-half_height), c.extend(*half_height)]).collect();
            (turn, hull(&points)?)
        }
        Shape::Polyhedron(polyhedron) => (turn, hull(&polyhedron.corners)?),
    };
    Some(Piece { shape, pose: Pose3::from_parts(solid.pose.shift, Rot3::from_mat3(&turn)) })
}

/// Where a body's owner stands at a travel; `None` for a rider that moves by itself.
fn home(fixture: &Fixture, owner: Owner, travel: f64) -> Option<f64> {
    match owner {
        Owner::Ground => Some(0.0),
        Owner::Rider(number) => match fixture.riders.get(number)?.coupling {
            Coupling::Free { .. } => None,
            Coupling::Lead | Coupling::Linked { .. } => Some(rider_x(fixture, number, travel)),
        },
    }
}

fn moved(piece: &Piece, x: f64) -> Pose3 {
    Pose3::from_parts(piece.pose.translation + DVec3::X * x, piece.pose.rotation)
}

/// Least distance of two bodies at a travel, 0 when they overlap; no more than `beyond` is told apart.
fn distance(a: &[Piece], b: &[Piece], (x_a, x_b): (f64, f64), beyond: f64) -> f64 {
    let mut least = beyond;
    for p in a {
        let pose_p = moved(p, x_a);
        let box_p: Aabb = p.shape.compute_aabb(&pose_p).loosened(least);
        for q in b {
            let pose_q = moved(q, x_b);
            if !box_p.intersects(&q.shape.compute_aabb(&pose_q)) {
                continue;
            }
            if let Ok(found) = query::distance(&pose_p, &*p.shape, &pose_q, &*q.shape) {
                least = least.min(found.distance);
            }
        }
    }
    least
}

fn check(
    ledger: &mut Ledger,
    seed: u64,
    fixture: &Fixture,
    assembly: &Assembly,
    shapes: &Shapes,
    pair: &PairResult,
) {
    let beyond = Interference::REACH + 1.0;
    let ids = [pair.bodies.0, pair.bodies.1];
    let [a, b] = ids.map(|id| &assembly.bodies[id.0 as usize]);
    let at = |travel: f64| {
        let homes = (home(fixture, a.owner, travel)?, home(fixture, b.owner, travel)?);
        let [p, q] = ids.map(|id| shapes.at(fixture, assembly, id, travel));
        Some(distance(&p?, &q?, homes, beyond))
    };
    let words = |found: f64, travel: f64| {
        format!("seed {seed}: {} and {}: {} here, {found} there, at {travel}", a.label, b.label, pair.gap)
    };
    let length = fixture.stroke.to - fixture.stroke.from;
    let step = length / (SAMPLES - 1) as f64;
    let travels = (0..SAMPLES).map(|i| fixture.stroke.from + step * i as f64);
    for travel in travels {
        let Some(found) = at(travel) else { return };
        if found < pair.gap.max(0.0) - TRUST {
            ledger.fails("nearer than the least gap", words(found, travel));
            return;
        }
    }
    if let Some(found) = at(pair.at_travel)
        && (found - pair.gap.max(0.0)).abs() > TRUST
    {
        ledger.fails("the least gap where it is said to be", words(found, pair.at_travel));
    }
}

/// The bodies of an assembly as the library's shapes: once for all, but for a line that changes as its riders move.
struct Shapes(Vec<Option<Rc<Vec<Piece>>>>);

impl Shapes {
    fn new(assembly: &Assembly) -> Self {
        let all = |body: &Body| body.solids.iter().map(piece).collect::<Option<Vec<_>>>().map(Rc::new);
        Self(assembly.bodies.iter().map(all).collect())
    }

    fn at(&self, fixture: &Fixture, assembly: &Assembly, id: BodyId, travel: f64) -> Option<Rc<Vec<Piece>>> {
        match assembly.solids_at(fixture, id, travel) {
            Cow::Borrowed(_) => self.0.get(id.0 as usize)?.clone(),
            Cow::Owned(solids) => solids.iter().map(piece).collect::<Option<Vec<_>>>().map(Rc::new),
        }
    }
}

#[test]
fn gaps_agree_with_brute_sampling() {
    let mut ledger = Ledger::new(KNOWN);
    let mut pairs = 0;
    for generated in fixtures(3) {
        let results = analyse(&generated.fixture);
        let shapes = Shapes::new(&results.assembly);
        let found = results.interference.passing.iter().chain(&results.interference.steady);
        for pair in found {
            check(&mut ledger, generated.seed, &generated.fixture, &results.assembly, &shapes, pair);
            pairs += 1;
        }
    }
    assert!(pairs > 50, "{pairs} pairs");
    ledger.close();
}
