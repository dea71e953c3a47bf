//! The point of a simplex nearest to the origin (Ericson, Real-Time Collision Detection, 2005, §5.1.2, §5.1.5,
//! §9.5), with degenerate simplices falling back to their parts.

use glam::DVec3;

/// A point of the Minkowski difference with the points of A and B it comes from.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Vertex {
    /// a − b.
    pub w: DVec3,
    /// Point of A.
    pub a: DVec3,
    /// Point of B.
    pub b: DVec3,
    /// The travel at which B's point was taken.
    pub u: f64,
}

impl Vertex {
    /// Adds a share of another.
    pub(crate) fn add(&mut self, other: &Self, weight: f64) {
        self.w += weight * other.w;
        self.a += weight * other.a;
        self.b += weight * other.b;
        self.u += weight * other.u;
    }
}

/// One to four vertices and the weights of the point nearest to the origin.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Simplex {
    pub vertices: [Vertex; 4],
    pub weights: [f64; 4],
    pub count: usize,
}

impl Simplex {
    pub(crate) fn new(first: Vertex) -> Self {
        Self { vertices: [first; 4], weights: [1.0, 0.0, 0.0, 0.0], count: 1 }
    }

    pub(crate) fn push(&mut self, v: Vertex) {
        self.vertices[self.count] = v;
        self.count += 1;
    }

    pub(crate) fn has(&self, w: DVec3) -> bool {
        self.vertices[..self.count].iter().any(|v| v.w == w)
    }

    /// The nearest point with the points of A and B it comes from.
    pub(crate) fn nearest(&self) -> Vertex {
        let mut sum = Vertex::default();
        for (v, &weight) in self.vertices[..self.count].iter().zip(&self.weights) {
            sum.add(v, weight);
        }
        sum
    }

    fn keep(&mut self, chosen: &[(usize, f64)]) {
        let old = self.vertices;
        for (slot, &(i, w)) in chosen.iter().enumerate() {
            self.vertices[slot] = old[i];
            self.weights[slot] = w;
        }
        self.count = chosen.len();
    }

    /// Shrinks to the part that holds the point nearest to the origin and returns that point; `None` if the
    /// origin lies inside a tetrahedron.
    pub(crate) fn reduce(&mut self) -> Option<DVec3> {
        let w = |i: usize| self.vertices[i].w;
        let found = match self.count {
            1 => Part::vertex(0, w(0)),
            2 => segment([0, 1], w(0), w(1)),
            3 => triangle([0, 1, 2], w(0), w(1), w(2)),
            _ => tetrahedron([w(0), w(1), w(2), w(3)])?,
        };
        self.keep(&found.chosen[..found.count]);
        Some(found.point)
    }
}

/// Part of a simplex: which vertices, with which weights, and the point they give.
#[derive(Clone, Copy)]
struct Part {
    chosen: [(usize, f64); 3],
    count: usize,
    point: DVec3,
}

impl Part {
    fn vertex(i: usize, p: DVec3) -> Self {
        Self { chosen: [(i, 1.0), (0, 0.0), (0, 0.0)], count: 1, point: p }
    }
}

fn segment([i, j]: [usize; 2], p: DVec3, q: DVec3) -> Part {
    let along = q - p;
    let t = -p.dot(along) / along.length_squared();
    if !(t > 0.0) {
        Part::vertex(i, p)
    } else if t >= 1.0 {
        Part::vertex(j, q)
    } else {
        Part { chosen: [(i, 1.0 - t), (j, t), (0, 0.0)], count: 2, point: p + t * along }
    }
}

fn nearer(a: Part, b: Part) -> Part {
    if b.point.length_squared() < a.point.length_squared() { b } else { a }
}

fn triangle([i, j, k]: [usize; 3], a: DVec3, b: DVec3, c: DVec3) -> Part {
    let (ab, ac) = (b - a, c - a);
    let n = ab.cross(ac);
    let nn = n.length_squared();
    // The barycentric coordinates of the origin's foot, each from the area it spans with one edge.
    let u = n.dot(b.cross(c));
    let v = n.dot(c.cross(a));
    let w = n.dot(a.cross(b));
    if u > 0.0 && v > 0.0 && w > 0.0 && nn > 0.0 {
        let sum = u + v + w;
        let (u, v, w) = (u / sum, v / sum, w / sum);
        // The weighted sum is a point of the triangle even where rounding has spoilt the normal, so that its
        // length stays an upper bound.
        let point = u * a + v * b + w * c;
        if point.is_finite() {
            return Part { chosen: [(i, u), (j, v), (k, w)], count: 3, point };
        }
    }
    nearer(nearer(segment([i, j], a, b), segment([j, k], b, c)), segment([k, i], c, a))
}

fn tetrahedron(w: [DVec3; 4]) -> Option<Part> {
    let far = w.iter().map(|p| p.length_squared()).fold(0.0, f64::max).sqrt();
    let span = w[1..].iter().map(|p| p.distance_squared(w[0])).fold(0.0, f64::max).sqrt();
    // Coordinates are good to this; a side that rounding could turn over counts as outside, which costs a little
    // work and never misses a nearer face.
    let rounding = 1e-15 * far;
    let mut best: Option<Part> = None;
    for [i, j, k, l] in [[0, 1, 2, 3], [0, 1, 3, 2], [0, 2, 3, 1], [1, 2, 3, 0]] {
        let (a, b, c, d) = (w[i], w[j], w[k], w[l]);
        let n = (b - a).cross(c - a);
        let origin_side = -n.dot(a);
        let vertex_side = n.dot(d - a);
        let unsure =
            vertex_side.abs() <= rounding * span * span || origin_side.abs() <= rounding * span * a.length();
        if unsure || (origin_side < 0.0) != (vertex_side < 0.0) {
            let part = triangle([i, j, k], a, b, c);
            best = Some(best.map_or(part, |other| nearer(other, part)));
        }
    }
    best
}
