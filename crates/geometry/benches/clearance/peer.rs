//! The same envelope by parry3d-f64: every pair at every position, or culled.

use glidewright_geometry::{DMat3, DVec3, Edge, Shape, Solid};
use parry3d_f64::bounding_volume::{Aabb, BoundingVolume};
use parry3d_f64::math::{Pose3, Rot3};
use parry3d_f64::{query, shape};

use crate::fixture::{Fixture, WATCHED};

/// One solid for the peer.
pub struct Piece {
    pub shape: Box<dyn shape::Shape>,
    pub pose: Pose3,
    bounds: Aabb,
}

pub fn piece(solid: &Solid) -> Option<Piece> {
    let turn = solid.pose.turn;
    let (turn, shape): (DMat3, Box<dyn shape::Shape>) = match &solid.shape {
        // The peer's cylinders stand along y.
        Shape::Cylinder { radius, half_height } => (
            DMat3::from_cols(turn.x_axis, turn.z_axis, -turn.y_axis),
            Box::new(shape::Cylinder::new(*half_height, *radius)),
        ),
        Shape::Cuboid { half } => (turn, Box::new(shape::Cuboid::new(*half))),
        Shape::Prism { outline, half_height } => {
            let mut points = Vec::new();
            for edge in &outline.edges {
                let Edge::Line { from, .. } = *edge else { return None };
                points.extend([from.extend(-half_height), from.extend(*half_height)]);
            }
            (turn, Box::new(shape::ConvexPolyhedron::from_convex_hull(&points)?))
        }
        _ => return None,
    };
    let pose = Pose3::from_parts(solid.pose.shift, Rot3::from_mat3(&turn));
    let bounds = shape.compute_aabb(&pose);
    Some(Piece { shape, pose, bounds })
}

pub type Pieces = [Vec<Piece>; 3];

pub fn pieces(fixture: &Fixture) -> Option<Pieces> {
    let [a, b, c] = &fixture.solids;
    let all = |list: &[Solid]| list.iter().map(piece).collect::<Option<Vec<Piece>>>();
    Some([all(a)?, all(b)?, all(c)?])
}

fn moved(pose: &Pose3, x: f64) -> Pose3 {
    Pose3::from_parts(pose.translation + DVec3::X * x, pose.rotation)
}

fn distance(a: &Piece, b: &Piece, u: f64) -> f64 {
    query::distance(&a.pose, &*a.shape, &moved(&b.pose, u), &*b.shape).map_or(f64::NAN, |d| d.distance)
}

/// Every pair at every position.
pub fn brute(fixture: &Fixture, pieces: &Pieces, positions: usize) -> [Vec<f64>; 3] {
    WATCHED.map(|(p, q)| {
        (0..positions)
            .map(|k| {
                let u = relative(fixture, p, q, k, positions);
                let mut least = f64::INFINITY;
                for a in &pieces[p] {
                    for b in &pieces[q] {
                        least = least.min(distance(a, b, u));
                    }
                }
                least
            })
            .collect()
    })
}

/// Pairs whose boxes, swept over a short run of positions, are farther apart than the nearest pair so far are left
/// out for the run; within it boxes at each position and the nearest so far leave out most of the rest.
pub fn culled(fixture: &Fixture, pieces: &Pieces, positions: usize) -> [Vec<f64>; 3] {
    const RUN: usize = 12;
    WATCHED.map(|(p, q)| {
        let mut out = vec![f64::INFINITY; positions];
        let mut last: Option<(usize, usize)> = None;
        let mut list: Vec<(usize, usize, f64)> = Vec::new();
        for start in (0..positions).step_by(RUN) {
            let end = (start + RUN).min(positions);
            let (u0, u1) =
                (relative(fixture, p, q, start, positions), relative(fixture, p, q, end - 1, positions));
            // A limit for the whole run: the last nearest pair at both ends of it.
            let limit = last.map_or(f64::INFINITY, |(i, j)| {
                distance(&pieces[p][i], &pieces[q][j], u0).max(distance(&pieces[p][i], &pieces[q][j], u1))
            });
            list.clear();
            for (i, a) in pieces[p].iter().enumerate() {
                for (j, b) in pieces[q].iter().enumerate() {
                    let d = boxes(&a.bounds, &b.bounds, u0.min(u1), u0.max(u1));
                    if d <= limit {
                        list.push((i, j, d));
                    }
                }
            }
            list.sort_by(|x, y| x.2.total_cmp(&y.2));
            for (k, least) in out.iter_mut().enumerate().take(end).skip(start) {
                let u = relative(fixture, p, q, k, positions);
                if let Some((i, j)) = last {
                    *least = distance(&pieces[p][i], &pieces[q][j], u);
                }
                for &(i, j, run) in &list {
                    if run >= *least {
                        break;
                    }
                    let (a, b) = (&pieces[p][i], &pieces[q][j]);
                    if boxes(&a.bounds, &b.bounds, u, u) < *least {
                        let d = distance(a, b, u);
                        if d < *least {
                            *least = d;
                            last = Some((i, j));
                        }
                    }
                }
            }
        }
        out
    })
}

fn boxes(a: &Aabb, b: &Aabb, from: f64, to: f64) -> f64 {
    let mut b = *b;
    b.mins.x += from;
    b.maxs.x += to;
    if a.intersects(&b) {
        return 0.0;
    }
    let out = (b.mins - a.maxs).max(a.mins - b.maxs).max(DVec3::ZERO);
    out.length()
}

fn relative(fixture: &Fixture, p: usize, q: usize, k: usize, positions: usize) -> f64 {
    let (from, to) = fixture.travel;
    let s = from + (to - from) * k as f64 / (positions - 1) as f64;
    fixture.shift(q, s) - fixture.shift(p, s)
}
