//! How deep a convex set holds the origin: the least of its support function over all directions.
//!
//! An inner polytope is grown where its nearest face is (van den Bergen, Proximity Queries and Penetration Depth
//! Computation on 3D Game Objects, 2001): the face gives a bound from below, the support in its direction one
//! from above.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use glam::{DMat3, DVec3};

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

/// A face of the inner polytope. Neighbour k lies across the edge from corner k to the next.
#[derive(Clone, Copy)]
struct Face {
    corners: [u32; 3],
    neighbours: [u32; 3],
    normal: DVec3,
    offset: f64,
    gone: bool,
}

/// A face in the order of its distance, nearest first.
struct Waiting {
    offset: f64,
    face: u32,
}

impl PartialEq for Waiting {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Waiting {}

impl PartialOrd for Waiting {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Waiting {
    fn cmp(&self, other: &Self) -> Ordering {
        other.offset.total_cmp(&self.offset).then(other.face.cmp(&self.face))
    }
}

impl Depth {
    /// How near its bounds have to come (mm): as near as may matter for its size.
    pub(crate) fn tolerance(high: f64) -> f64 {
        (1e-6 * high).clamp(1e-8, 9e-7)
    }

    /// What both together prove, with the direction and points of the one that knows more.
    pub(crate) fn with(self, other: &Self) -> Self {
        let better = if other.high - other.low < self.high - self.low { *other } else { self };
        Self { low: self.low.max(other.low).min(better.high), ..better }
    }

    /// Whether its bounds are that near.
    pub(crate) fn is_proved(&self) -> bool {
        self.high - self.low <= Self::tolerance(self.high)
    }
}

/// Depth of the origin in the set with the given support function, with at most so many faces; `size` is a length of
/// the set's order. Where rounding has spoilt a polytope another is begun from other directions; what each has proved
/// holds.
pub(crate) fn depth(mut support: impl FnMut(DVec3) -> Vertex, size: f64, most: usize) -> Depth {
    let (mut best, mut spoilt) = attempt(&mut support, size, most, &DMat3::IDENTITY);
    for angle in [0.7, 1.9, 2.6] {
        if !spoilt || best.is_proved() {
            break;
        }
        let turn = DMat3::from_axis_angle(DVec3::new(2.0, 3.0, 6.0) / 7.0, angle);
        let (next, again) = attempt(&mut support, size, most, &turn);
        let low = best.low.max(next.low);
        if next.high - next.low < best.high - best.low {
            best = next;
        }
        best.low = low.min(best.high);
        spoilt = again;
    }
    best
}

/// One polytope, begun from the axes of `turn`; says whether rounding has spoilt it.
fn attempt(support: &mut impl FnMut(DVec3) -> Vertex, size: f64, most: usize, turn: &DMat3) -> (Depth, bool) {
    let mut hull = Hull { points: Vec::with_capacity(64), faces: Vec::with_capacity(256) };
    let rounding = 1e-15 * size;
    if let Some(flat) = hull.start(support, 1e-12 * size, turn) {
        let v = support(flat);
        let back = support(-flat);
        let (h, g) = (v.w.dot(flat), -back.w.dot(flat));
        let (normal, v, high) = if h <= g { (flat, v, h) } else { (-flat, back, g) };
        return (Depth { low: high.min(0.0), high, normal, at: v }, false);
    }
    let mut queue: BinaryHeap<Waiting> = BinaryHeap::with_capacity(256);
    let waiting = |face: u32, hull: &Hull| Waiting { offset: hull.faces[face as usize].offset, face };
    (0..4).for_each(|face| queue.push(waiting(face, &hull)));
    let mut best =
        Depth { low: f64::NEG_INFINITY, high: f64::INFINITY, normal: DVec3::X, at: Vertex::default() };
    let mut spoilt = false;
    while let Some(Waiting { face, .. }) = queue.pop() {
        let Face { corners, normal, offset, gone, .. } = hull.faces[face as usize];
        if gone {
            continue;
        }
        best.low = best.low.max(offset);
        let v = support(normal);
        let high = v.w.dot(normal);
        if high < best.high {
            (best.high, best.normal, best.at) = (high, normal, v);
        }
        // Only the nearest face itself gives points that go with its direction. A direction with the origin
        // outside says all the caller needs.
        let exact = high - offset <= Depth::tolerance(high) + rounding;
        if exact || high <= 0.0 || hull.faces.len() > most {
            if exact {
                best = Depth { low: offset, high, normal, at: hull.on_face(corners, normal * offset) };
            }
            break;
        }
        let before = hull.faces.len();
        if !hull.add(face, v, rounding) {
            spoilt = true;
            break;
        }
        (before..hull.faces.len()).for_each(|face| queue.push(waiting(face as u32, &hull)));
    }
    best.low = best.low.min(best.high);
    (best, spoilt)
}

/// The inner polytope.
struct Hull {
    points: Vec<Vertex>,
    faces: Vec<Face>,
}

impl Hull {
    fn face(&self, corners: [u32; 3], neighbours: [u32; 3]) -> Face {
        let [a, b, c] = corners.map(|i| self.points[i as usize].w);
        // A face without area is never the nearest and never in sight.
        let normal = (b - a).cross(c - a).try_normalize();
        let offset = normal.map_or(f64::INFINITY, |n| n.dot(a).max(n.dot(b)).max(n.dot(c)));
        Face { corners, neighbours, normal: normal.unwrap_or(DVec3::ZERO), offset, gone: false }
    }

    /// Adds a point beyond a face: the faces in its sight give way to a fan around it. False if rounding has
    /// spoilt the shape.
    fn add(&mut self, seen: u32, point: Vertex, rounding: f64) -> bool {
        let index = self.points.len() as u32;
        self.points.push(point);
        // Edges of the rim of what is seen, in order: the face beyond and which of its edges.
        let mut rim: Vec<(u32, usize)> = Vec::with_capacity(16);
        self.faces[seen as usize].gone = true;
        let corners = self.faces[seen as usize].corners;
        // Walk the faces in sight depth first, each from the edge it was entered by: that meets the rim in order.
        let mut stack: Vec<(u32, usize)> = Vec::with_capacity(16);
        for k in (0..3).rev() {
            stack.push(self.across(seen, corners[k]));
        }
        while let Some((face, edge)) = stack.pop() {
            let f = self.faces[face as usize];
            if f.gone {
                continue;
            }
            if f.normal.dot(point.w) - f.offset > rounding {
                self.faces[face as usize].gone = true;
                for k in [2, 1] {
                    stack.push(self.across(face, f.corners[(edge + k) % 3]));
                }
            } else {
                rim.push((face, edge));
            }
        }
        let (first, count) = (self.faces.len() as u32, rim.len() as u32);
        if count < 3 {
            return false;
        }
        for (i, &(face, edge)) in (0u32..).zip(&rim) {
            let f = self.faces[face as usize];
            // The fan's face runs along the edge the other way.
            let (a, b) = (f.corners[(edge + 1) % 3], f.corners[edge]);
            let next = first + (i + 1) % count;
            let before = first + (i + count - 1) % count;
            let fan = self.face([a, b, index], [face, next, before]);
            self.faces.push(fan);
            self.faces[face as usize].neighbours[edge] = first + i;
        }
        // Each piece of the rim must begin where the one before ends.
        (0..count).all(|i| {
            let (f, g) = (&self.faces[(first + i) as usize], &self.faces[(first + (i + 1) % count) as usize]);
            f.corners[1] == g.corners[0]
        })
    }

    /// The face across the edge that starts at a corner of a face, and which of its edges that is.
    fn across(&self, face: u32, corner: u32) -> (u32, usize) {
        let f = &self.faces[face as usize];
        let k = f.corners.iter().position(|&c| c == corner).unwrap_or(0);
        let other = f.neighbours[k];
        // Seen from the other side the edge starts at its far corner.
        let far = f.corners[(k + 1) % 3];
        let g = &self.faces[other as usize];
        (other, g.corners.iter().position(|&c| c == far).unwrap_or(0))
    }

    /// The point of a face, with its sources.
    fn on_face(&self, corners: [u32; 3], at: DVec3) -> Vertex {
        let [p, q, r] = corners.map(|i| self.points[i as usize]);
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

    /// Builds a first tetrahedron; returns a direction in which the set is flat if there is none.
    fn start(&mut self, support: &mut impl FnMut(DVec3) -> Vertex, tiny: f64, turn: &DMat3) -> Option<DVec3> {
        // The longest of three extents.
        let mut ends = [Vertex::default(); 2];
        let mut longest = -1.0;
        for axis in DVec3::AXES.map(|axis| *turn * axis) {
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
        self.points.extend([ends[0], ends[1], third.1, fourth.1]);
        let w = |i: usize| self.points[i].w;
        // Numbered so that 0, 1, 2 run counter-clockwise seen from outside.
        if (w(1) - w(0)).cross(w(2) - w(0)).dot(w(3) - w(0)) > 0.0 {
            self.points.swap(1, 2);
        }
        let loops = [[0, 1, 2], [0, 3, 1], [1, 3, 2], [2, 3, 0]];
        let neighbours = [[1, 2, 3], [3, 2, 0], [1, 3, 0], [2, 1, 0]];
        for (corners, neighbours) in loops.into_iter().zip(neighbours) {
            let face = self.face(corners, neighbours);
            self.faces.push(face);
        }
        None
    }
}
