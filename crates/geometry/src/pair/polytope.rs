//! A convex polytope inscribed in a convex set.

use glam::{DMat3, DVec3};

use super::simplex::Vertex;

/// A face of the polytope.
#[derive(Clone, Copy, Debug)]
struct Face {
    corners: [u32; 3],
    /// What lies across the edge from each corner to the next.
    beyond: [Edge; 3],
    normal: DVec3,
}

/// The corners of a face that has given way.
const GONE: [u32; 3] = [u32::MAX; 3];

/// An edge: a face, and which of its edges.
#[derive(Clone, Copy, Debug)]
struct Edge {
    face: u32,
    number: u32,
}

/// A convex polytope in triangles, grown point by point from within a convex set.
#[derive(Clone, Debug)]
pub(crate) struct Polytope {
    points: Vec<Vertex>,
    faces: Vec<Face>,
    /// How far each face lies from the origin along its normal; infinite for one that has given way or has no area.
    offsets: Vec<f64>,
    /// Edges of the rim of what a new point sees, in order, as the faces beyond have them.
    rim: Vec<Edge>,
    /// Faces still to be looked at, each with the edge it was entered by.
    stack: Vec<Edge>,
}

impl Polytope {
    pub(crate) fn new() -> Self {
        Self {
            points: Vec::with_capacity(64),
            faces: Vec::with_capacity(128),
            offsets: Vec::with_capacity(128),
            rim: Vec::with_capacity(16),
            stack: Vec::with_capacity(16),
        }
    }

    /// The face nearest to the origin, and how far off it is; the first of several.
    pub(crate) fn nearest(&self) -> Option<(usize, f64)> {
        let least = self.offsets.iter().fold(f64::INFINITY, |least, &offset| least.min(offset));
        let face = self.offsets.iter().position(|offset| *offset == least)?;
        (least < f64::INFINITY).then_some((face, least))
    }

    fn push(&mut self, corners: [u32; 3], beyond: [Edge; 3]) {
        let [a, b, c] = corners.map(|i| self.points[i as usize].w);
        // A face without area is never the nearest and never in sight.
        let normal = (b - a).cross(c - a).try_normalize();
        self.offsets.push(normal.map_or(f64::INFINITY, |n| n.dot(a).max(n.dot(b)).max(n.dot(c))));
        self.faces.push(Face { corners, beyond, normal: normal.unwrap_or(DVec3::ZERO) });
    }

    /// Adds a point beyond a face: the faces in its sight give way to a fan around it. False if rounding has
    /// spoilt the shape.
    pub(crate) fn add(&mut self, seen: usize, point: Vertex, rounding: f64) -> bool {
        let index = self.points.len() as u32;
        self.points.push(point);
        self.rim.clear();
        self.give_way(seen);
        // Walk the faces in sight depth first, each from the edge it was entered by: that meets the rim in order.
        let [first, second, third] = self.faces[seen].beyond;
        self.stack.clear();
        self.stack.extend([third, second, first]);
        while let Some(edge) = self.stack.pop() {
            let (face, number) = (edge.face as usize, edge.number as usize);
            let f = &self.faces[face];
            if f.corners == GONE {
                continue;
            }
            if f.normal.dot(point.w) - self.offsets[face] > rounding {
                let further = [f.beyond[(number + 2) % 3], f.beyond[(number + 1) % 3]];
                self.give_way(face);
                self.stack.extend(further);
            } else {
                self.rim.push(edge);
            }
        }
        let (first, count) = (self.faces.len() as u32, self.rim.len() as u32);
        if count < 3 {
            return false;
        }
        let mut is_closed = true;
        let mut last = None;
        for i in 0..count {
            let edge = self.rim[i as usize];
            let (face, number) = (edge.face as usize, edge.number as usize);
            let corners = self.faces[face].corners;
            // The fan's face runs along the edge the other way.
            let (a, b) = (corners[(number + 1) % 3], corners[number]);
            let next = Edge { face: first + (i + 1) % count, number: 2 };
            let before = Edge { face: first + (i + count - 1) % count, number: 1 };
            self.push([a, b, index], [edge, next, before]);
            self.faces[face].beyond[number] = Edge { face: first + i, number: 0 };
            // Each piece of the rim must begin where the one before ends.
            is_closed &= last.is_none_or(|end| end == a);
            last = Some(b);
        }
        is_closed && last == self.faces.get(first as usize).map(|face| face.corners[0])
    }

    /// Takes a face out of the polytope.
    fn give_way(&mut self, face: usize) {
        self.faces[face].corners = GONE;
        self.offsets[face] = f64::INFINITY;
    }

    /// How many faces there have been.
    pub(crate) fn count(&self) -> usize {
        self.faces.len()
    }

    /// The outward unit normal of a face.
    pub(crate) fn normal(&self, face: usize) -> DVec3 {
        self.faces[face].normal
    }

    /// The standing faces: number, outward unit normal, and how far they lie from the origin along it.
    pub(crate) fn faces(&self) -> impl Iterator<Item = (usize, DVec3, f64)> {
        let standing = self.faces.iter().zip(&self.offsets).enumerate();
        standing
            .filter(|(_, (_, offset))| **offset < f64::INFINITY)
            .map(|(i, (f, offset))| (i, f.normal, *offset))
    }

    /// The point of a face nearest to one in its plane, with its sources.
    pub(crate) fn on_face(&self, face: usize, at: DVec3) -> Vertex {
        let [p, q, r] = self.faces[face].corners.map(|i| self.points[i as usize]);
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
    pub(crate) fn start(
        &mut self,
        support: &mut impl FnMut(DVec3) -> Vertex,
        tiny: f64,
        turn: &DMat3,
    ) -> Option<DVec3> {
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
        let edge = |face, number| Edge { face, number };
        self.push([0, 1, 2], [edge(1, 2), edge(2, 2), edge(3, 2)]);
        self.push([0, 3, 1], [edge(3, 1), edge(2, 0), edge(0, 0)]);
        self.push([1, 3, 2], [edge(1, 1), edge(3, 0), edge(0, 1)]);
        self.push([2, 3, 0], [edge(2, 1), edge(1, 0), edge(0, 2)]);
        None
    }
}
