//! The point of a simplex nearest to the origin (after Ericson, Real-Time Collision Detection, 2005, §5.1, §9.5),
//! with degenerate simplices falling back to their parts.

use glam::DVec3;

/// A point of the Minkowski difference with the points of A and B it comes from.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Vertex {
    /// a − b, B's point at its shifted place.
    pub w: DVec3,
    /// Point of A, relative to A's centre.
    pub a: DVec3,
    /// Point of B, relative to B's centre.
    pub b: DVec3,
    /// The travel at which B's point was taken.
    pub u: f64,
    /// The discs of A and of B that the points lie on.
    pub discs: [u32; 2],
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

/// Up to four vertices and the weights of the point nearest to the origin.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Simplex {
    pub vertices: [Vertex; 4],
    pub weights: [f64; 4],
    pub count: usize,
}

/// What [`Simplex::advance`] found.
pub(crate) enum Step {
    /// The new nearest point.
    Nearer(DVec3),
    /// The vertex did not bring the simplex nearer; it was left out.
    Stuck,
    /// The origin lies inside.
    Inside,
}

impl Simplex {
    pub(crate) fn new(first: Vertex) -> Self {
        let mut simplex = Self { count: 1, ..Self::default() };
        simplex.vertices[0] = first;
        simplex.weights[0] = 1.0;
        simplex
    }

    pub(crate) fn has(&self, w: DVec3) -> bool {
        self.vertices[..self.count].iter().any(|v| v.w == w)
    }

    /// True if vertices on these discs of A and of B are there already.
    pub(crate) fn knows(&self, discs: [u32; 2]) -> bool {
        let known = |side: usize| self.vertices[..self.count].iter().any(|v| v.discs[side] == discs[side]);
        known(0) && known(1)
    }

    /// Takes the vertices' points to another place of B relative to A (`apart`) and shrinks to the part that is
    /// nearest then; false if there is none.
    pub(crate) fn moved_to(&mut self, apart: DVec3) -> bool {
        if self.count == 0 {
            return false;
        }
        for v in &mut self.vertices[..self.count] {
            (v.w, v.u) = (v.a - v.b - apart, 0.0);
        }
        self.reduce().is_some()
    }

    /// The nearest point.
    pub(crate) fn point(&self) -> DVec3 {
        self.vertices[..self.count].iter().zip(&self.weights).map(|(v, &weight)| weight * v.w).sum()
    }

    /// The nearest point with the points of A and B it comes from.
    pub(crate) fn nearest(&self) -> Vertex {
        let mut sum = Vertex::default();
        for (v, &weight) in self.vertices[..self.count].iter().zip(&self.weights) {
            sum.add(v, weight);
        }
        sum
    }

    /// Adds a vertex and shrinks to the part that holds the point nearest to the origin, unless that point is no
    /// nearer than `length_squared`.
    pub(crate) fn advance(&mut self, vertex: Vertex, length_squared: f64) -> Step {
        self.vertices[self.count] = vertex;
        self.count += 1;
        match self.part() {
            None => Step::Inside,
            Some(part) if part.point.length_squared() < length_squared => {
                self.keep(&part);
                Step::Nearer(part.point)
            }
            Some(_) => {
                self.count -= 1;
                Step::Stuck
            }
        }
    }

    /// Shrinks to the part that holds the point nearest to the origin; `None` if that lies inside.
    pub(crate) fn reduce(&mut self) -> Option<DVec3> {
        let part = self.part()?;
        self.keep(&part);
        Some(part.point)
    }

    fn part(&self) -> Option<Part> {
        let w = |i: usize| self.vertices[i].w;
        Some(match self.count {
            1 => Part::vertex(0, w(0)),
            2 => segment([0, 1], w(0), w(1)),
            3 => triangle([0, 1, 2], w(0), w(1), w(2)),
            _ => tetrahedron([w(0), w(1), w(2), w(3)])?,
        })
    }

    fn keep(&mut self, part: &Part) {
        // The kept numbers ascend, so moving down never overwrites one that is still needed.
        for (slot, &(i, weight)) in part.chosen[..part.count].iter().enumerate() {
            if slot != i {
                self.vertices[slot] = self.vertices[i];
            }
            self.weights[slot] = weight;
        }
        self.count = part.count;
    }
}

/// Part of a simplex: which vertices (ascending), with which weights, and the point they give.
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
    let n = (b - a).cross(c - a);
    // The barycentric coordinates of the origin's foot, each from the area it spans with one edge.
    let u = n.dot(b.cross(c));
    let v = n.dot(c.cross(a));
    let w = n.dot(a.cross(b));
    if u > 0.0 && v > 0.0 && w > 0.0 {
        let inverse = 1.0 / (u + v + w);
        let (u, v, w) = (u * inverse, v * inverse, w * inverse);
        // The weighted sum is a point of the triangle even where rounding has spoilt the normal, so that its
        // length stays an upper bound.
        let point = u * a + v * b + w * c;
        if point.is_finite() {
            return Part { chosen: [(i, u), (j, v), (k, w)], count: 3, point };
        }
    }
    nearer(nearer(segment([i, j], a, b), segment([j, k], b, c)), segment([i, k], a, c))
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
            vertex_side.abs() <= rounding * span * span || origin_side.abs() <= rounding * span * far;
        if unsure || (origin_side < 0.0) != (vertex_side < 0.0) {
            let part = triangle([i, j, k], a, b, c);
            best = Some(best.map_or(part, |other| nearer(other, part)));
        }
    }
    best
}
