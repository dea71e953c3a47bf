//! How deep a convex set holds the origin: the least of its support function over all directions.
//!
//! An inner polytope is grown where its nearest face is (van den Bergen, Proximity Queries and Penetration Depth
//! Computation on 3D Game Objects, 2001): the face gives a bound from below, the support in its direction one
//! from above.

use glam::DVec3;

use super::simplex::Vertex;

/// The depth (mm), between two bounds.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Depth {
    /// Proved from below (by the inner polytope).
    pub low: f64,
    /// Proved from above (support in `normal`).
    pub high: f64,
    /// Unit direction of least support.
    pub normal: DVec3,
    /// The nearest point of the boundary.
    pub at: Vertex,
}

struct Face {
    corners: [usize; 3],
    normal: DVec3,
    offset: f64,
}

/// More faces than this and the search stops with the bounds it has.
const MOST_FACES: usize = 1500;

/// Depth of the origin in the set with the given support function; `size` is a length of the set's order.
pub(crate) fn depth(mut support: impl FnMut(DVec3) -> Vertex, size: f64, tolerance: f64) -> Depth {
    let mut points = Vec::with_capacity(64);
    let mut faces: Vec<Face> = Vec::with_capacity(128);
    let tiny = 1e-12 * size;
    if let Some(flat) = start(&mut support, &mut points, &mut faces, tiny) {
        let v = support(flat);
        let back = support(-flat);
        let (h, g) = (v.w.dot(flat), -back.w.dot(flat));
        let (normal, v, high) = if h <= g { (flat, v, h) } else { (-flat, back, g) };
        return Depth { low: high.min(0.0), high, normal, at: v };
    }
    let mut best: Option<Depth> = None;
    let mut low = f64::NEG_INFINITY;
    let mut edges: Vec<[usize; 2]> = Vec::new();
    while let Some(nearest) = (0..faces.len()).min_by(|&i, &j| faces[i].offset.total_cmp(&faces[j].offset)) {
        let Face { corners, normal, offset } = faces[nearest];
        low = low.max(offset);
        let v = support(normal);
        let high = v.w.dot(normal);
        if best.is_none_or(|b| high < b.high) {
            best = Some(Depth { low, high, normal, at: on_face(&points, corners, normal * offset) });
        }
        // Only the nearest face itself gives points that go with its direction.
        if high - offset <= tolerance {
            best = Some(Depth { low, high, normal, at: on_face(&points, corners, normal * offset) });
            break;
        }
        // Once a direction proves that the origin lies outside, the caller only needs to know that.
        if high <= 0.0 || high - offset <= 1e-15 * size || faces.len() > MOST_FACES {
            break;
        }
        let index = points.len();
        points.push(v);
        edges.clear();
        faces.retain(|f| {
            let seen = f.normal.dot(v.w) - f.offset > 1e-16 * size;
            if seen {
                let [a, b, c] = f.corners;
                for edge in [[a, b], [b, c], [c, a]] {
                    if let Some(i) = edges.iter().position(|e| *e == [edge[1], edge[0]]) {
                        edges.swap_remove(i);
                    } else {
                        edges.push(edge);
                    }
                }
            }
            !seen
        });
        let before = faces.len();
        for &[a, b] in &edges {
            if let Some(face) = make_face(&points, [a, b, index]) {
                faces.push(face);
            }
        }
        if faces.len() == before {
            break;
        }
    }
    let mut found =
        best.unwrap_or(Depth { low: 0.0, high: f64::INFINITY, normal: DVec3::X, at: Vertex::default() });
    found.low = low.min(found.high);
    found
}

/// Builds a first tetrahedron; returns a direction in which the set is flat if there is none.
fn start(
    support: &mut impl FnMut(DVec3) -> Vertex,
    points: &mut Vec<Vertex>,
    faces: &mut Vec<Face>,
    tiny: f64,
) -> Option<DVec3> {
    // The longest of three extents.
    let mut ends = [Vertex::default(); 2];
    let mut longest = -1.0;
    for axis in DVec3::AXES {
        let pair = [support(axis), support(-axis)];
        let length = pair[0].w.distance(pair[1].w);
        if length > longest {
            longest = length;
            ends = pair;
        }
    }
    let along = (ends[1].w - ends[0].w).normalize_or(DVec3::X);
    let (side, other) = along.any_orthonormal_pair();
    let mut third = (0.0, Vertex::default());
    for d in [side, -side, other, -other] {
        let v = support(d);
        let off = (v.w - ends[0].w).cross(along).length();
        if off > third.0 {
            third = (off, v);
        }
    }
    if third.0 <= tiny {
        return Some(side);
    }
    let normal = (third.1.w - ends[0].w).cross(along).normalize_or(side);
    let mut fourth = (0.0, Vertex::default());
    for d in [normal, -normal] {
        let v = support(d);
        let off = (v.w - ends[0].w).dot(normal).abs();
        if off > fourth.0 {
            fourth = (off, v);
        }
    }
    if fourth.0 <= tiny {
        return Some(normal);
    }
    points.extend([ends[0], ends[1], third.1, fourth.1]);
    let w = |i: usize| points[i].w;
    let flip = (w(1) - w(0)).cross(w(2) - w(0)).dot(w(3) - w(0)) > 0.0;
    let loops = if flip {
        [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]
    } else {
        [[0, 1, 2], [0, 3, 1], [1, 3, 2], [2, 3, 0]]
    };
    faces.extend(loops.into_iter().filter_map(|c| make_face(points, c)));
    if faces.len() == 4 { None } else { Some(normal) }
}

fn make_face(points: &[Vertex], corners: [usize; 3]) -> Option<Face> {
    let [a, b, c] = corners.map(|i| points[i].w);
    let normal = (b - a).cross(c - a).try_normalize()?;
    Some(Face { corners, normal, offset: normal.dot(a).max(normal.dot(b)).max(normal.dot(c)) })
}

/// The point of a face, with its sources.
fn on_face(points: &[Vertex], corners: [usize; 3], at: DVec3) -> Vertex {
    let [p, q, r] = corners.map(|i| points[i]);
    let n = (q.w - p.w).cross(r.w - p.w);
    let u = n.dot((q.w - at).cross(r.w - at)).max(0.0);
    let v = n.dot((r.w - at).cross(p.w - at)).max(0.0);
    let w = n.dot((p.w - at).cross(q.w - at)).max(0.0);
    let sum = u + v + w;
    if !(sum > 0.0) {
        return p;
    }
    let mut mixed = Vertex::default();
    for (vertex, weight) in [(p, u), (q, v), (r, w)] {
        mixed.add(&vertex, weight / sum);
    }
    mixed
}
