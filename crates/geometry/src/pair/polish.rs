//! Finishing the search for the nearest points by Newton's method.
//!
//! Approaching a round rim by chords gains a fixed factor a step. But once it is known which parts of the two
//! solids face each other, the condition of nearness is a small smooth system: the vector between the support
//! points is along the direction they support, and that direction is square to any straight line that faces.
//! Every solid here is a hull of discs square to its axis (a corner is a disc of radius 0), so the parts are a
//! disc's rim, or the straight line between two rims. Own derivation; the result is used only if its own
//! certificate proves it.

use std::ops::Mul;

use glam::{DMat3, DVec2, DVec3};
use nalgebra::{SMatrix, SVector};

use super::simplex::{Simplex, Vertex};
use super::support::Body;

/// How two bodies face each other: which discs, how far along the straight parts, and the direction.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Facing {
    /// The discs between which A's and B's facing points lie; two equal numbers for one disc's rim.
    discs: [[u32; 2]; 2],
    /// How far from the first disc to the second.
    shares: [f64; 2],
    /// Unit direction from A to B, and the gap.
    n: DVec3,
    lambda: f64,
    /// Travel of B.
    u: f64,
}

impl Facing {
    /// From the simplex a search has come to; `None` if a face is facing.
    pub(crate) fn of(simplex: &Simplex) -> Option<Self> {
        let vertices = &simplex.vertices[..simplex.count];
        let first = vertices.first()?.discs;
        let mut discs = first.map(|d| [d, d]);
        let mut shares = [0.0; 2];
        let (mut w, mut u) = (DVec3::ZERO, 0.0);
        for (v, &weight) in vertices.iter().zip(&simplex.weights) {
            w += weight * v.w;
            u += weight * v.u;
            for side in 0..2 {
                let id = v.discs[side];
                if id != first[side] {
                    if discs[side][1] != first[side] && discs[side][1] != id {
                        return None;
                    }
                    discs[side][1] = id;
                    shares[side] += weight;
                }
            }
        }
        let lambda = w.length();
        Some(Self { discs, shares, n: -w / lambda, lambda, u })
    }
}

/// The hull of two discs of a body (or one).
struct Part {
    centre: DVec3,
    radius: f64,
    /// To the second disc's centre, and the growth of the radius on the way.
    to: DVec3,
    growth: f64,
    straight: bool,
}

impl Part {
    fn new(body: &Body, [first, second]: [u32; 2]) -> Self {
        let (centre, radius) = body.disc(first);
        if first == second {
            return Self { centre, radius, to: DVec3::ZERO, growth: 0.0, straight: false };
        }
        let (other, end) = body.disc(second);
        Self { centre, radius, to: other - centre, growth: end - radius, straight: true }
    }

    /// The point at the share `t` that supports the unit direction `n`, the line's direction there, and how the point
    /// turns with n: along `tangent`, `rate` mm per radian.
    fn at(&self, turn: &DMat3, n: DVec3, t: f64) -> Place {
        let radius = self.radius + t * self.growth;
        let mut place =
            Place { point: self.centre + t * self.to, line: self.to, tangent: DVec3::ZERO, rate: 0.0 };
        if radius != 0.0 || self.growth != 0.0 {
            // From the axes' components, so that the point stays on the rim when n is nearly along the axis.
            let across = DVec2::new(n.dot(turn.x_axis), n.dot(turn.y_axis));
            let length = across.length();
            // Along its axis a disc supports with its whole face.
            if length < 1e-7 {
                place.rate = f64::NAN;
                return place;
            }
            let (x, y) = (across.x / length, across.y / length);
            let out = x * turn.x_axis + y * turn.y_axis;
            place.point += radius * out;
            place.line += self.growth * out;
            place.tangent = x * turn.y_axis - y * turn.x_axis;
            place.rate = radius / length;
        }
        place
    }
}

struct Place {
    point: DVec3,
    line: DVec3,
    tangent: DVec3,
    rate: f64,
}

/// Steps after which there is no hope.
const MOST_STEPS: usize = 8;

/// Nearest points of A and B (B's centre `apart` from A's, plus `u` along `travel` for u between two values), from a guess
/// that is brought up to date. Not proved: the caller must check the slab.
pub(crate) fn nearest(
    (a, b): (&Body, &Body),
    apart: DVec3,
    travel: Option<(DVec3, f64, f64)>,
    facing: &mut Facing,
    size: f64,
) -> Option<Vertex> {
    let (pa, pb) = (Part::new(a, facing.discs[0]), Part::new(b, facing.discs[1]));
    // The travel faces along its line if the nearest point lies between its ends.
    let (way, low, high) = travel.unwrap_or((DVec3::ZERO, 0.0, 0.0));
    let Facing { shares: [mut ta, mut tb], mut n, mut lambda, mut u, .. } = *facing;
    let free = low < high && u > low && u < high;
    let (mut steps, mut last) = (0, f64::INFINITY);
    loop {
        let (qa, qb) = (pa.at(&a.turn, n, ta), pb.at(&b.turn, -n, tb));
        let residual = qa.point - qb.point - apart - u * way + lambda * n;
        let inverse = inverse(lambda, &qa, &qb);
        if !(pa.straight || pb.straight || free) {
            // Only lambda beside n.
            let row = &inverse * n;
            let x = (0.5 * (n.length_squared() - 1.0) - row.dot(residual)) / row.dot(n);
            let turn = -(&inverse * (residual + x * n));
            n += turn;
            lambda += x;
            steps += 1;
            let moved = turn.length_squared().max(residual.length_squared() / (size * size));
            if !(lambda > 0.0 && turn.length_squared() < 0.25 && moved < last) || steps > MOST_STEPS {
                return None;
            }
            if moved * size * size < 1e-12 * lambda.min(1.0) {
                break;
            }
            if steps > 1 {
                last = 0.25 * moved;
            }
            continue;
        }
        // Unknowns beside n: lambda, and the places along straight parts.
        let mut columns = [n, DVec3::ZERO, DVec3::ZERO, DVec3::ZERO];
        let mut rest = [0.5 * (1.0 - n.length_squared()), 0.0, 0.0, 0.0];
        let mut count = 1;
        for (used, line) in [(pa.straight, qa.line), (pb.straight, -qb.line), (free, -way)] {
            if used {
                columns[count] = line;
                rest[count] = -line.dot(n);
                count += 1;
            }
        }
        let (turn, x) = match count {
            1 => stepped::<1>(&inverse, &columns, &rest, residual)?,
            2 => stepped::<2>(&inverse, &columns, &rest, residual)?,
            3 => stepped::<3>(&inverse, &columns, &rest, residual)?,
            _ => stepped::<4>(&inverse, &columns, &rest, residual)?,
        };
        n += turn;
        lambda += x[0];
        let mut next = 1;
        for (used, place) in [(pa.straight, &mut ta), (pb.straight, &mut tb), (free, &mut u)] {
            if used {
                *place += x[next];
                next += 1;
            }
        }
        steps += 1;
        // A step off the end of a straight part may come back, a wild one does not.
        let sound = lambda > 0.0
            && turn.length_squared() < 0.25
            && (-1.0..2.0).contains(&ta)
            && (-1.0..2.0).contains(&tb);
        // Errors square with each step: after one this small what is left is below the last digits that count, and
        // where they do not shrink there is no hope.
        let moved = turn.length_squared().max(residual.length_squared() / (size * size));
        if !(sound && moved < last) || steps > MOST_STEPS {
            return None;
        }
        if steps > 1 {
            last = 0.25 * moved;
        }
        if moved * size * size < 1e-12 * lambda.min(1.0) {
            break;
        }
    }
    let n = n.normalize();
    let on = |straight: bool, body: &Body, discs: [u32; 2], n: DVec3, t: f64| {
        let within = !straight || (-1e-12..=1.0 + 1e-12).contains(&t);
        within && discs.iter().all(|&id| body.has_on_arc(id, n))
    };
    let [discs_a, discs_b] = facing.discs;
    if !on(pa.straight, a, discs_a, n, ta)
        || !on(pb.straight, b, discs_b, -n, tb)
        || (free && !(low..=high).contains(&u))
    {
        return None;
    }
    let (qa, qb) = (pa.at(&a.turn, n, ta), pb.at(&b.turn, -n, tb));
    let w = qa.point - qb.point - apart - u * way;
    *facing = Facing { discs: facing.discs, shares: [ta, tb], n, lambda, u };
    w.is_finite().then_some(Vertex { w, a: qa.point, b: qb.point, u, discs: [discs_a[0], discs_b[0]] })
}

impl Facing {
    /// True if the same parts face each other.
    pub(crate) fn is_like(&self, other: &Self) -> bool {
        self.discs == other.discs
    }

    /// As far beyond this one as `share` of the way from another to it.
    pub(crate) fn beyond(&self, before: &Self, share: f64) -> Self {
        let on = |last: f64, before: f64| last + share * (last - before);
        let n = self.n + share * (self.n - before.n);
        Self {
            discs: self.discs,
            shares: [on(self.shares[0], before.shares[0]), on(self.shares[1], before.shares[1])],
            n: n.try_normalize().unwrap_or(self.n),
            lambda: on(self.lambda, before.lambda).max(0.5 * self.lambda),
            u: self.u,
        }
    }

    /// Unit direction from A to B.
    pub(crate) fn direction(&self) -> DVec3 {
        self.n
    }
}

/// The inverse of λ + the two rims' turning, each a multiple of a projection on its tangent (Sherman & Morrison, Ann.
/// Math. Stat. 21 (1950) 124).
fn inverse(lambda: f64, a: &Place, b: &Place) -> Symmetric {
    let base = 1.0 / lambda;
    let ka = a.rate * base / (lambda + a.rate);
    // Inverse of λ + a, applied to b's tangent.
    let through = base * b.tangent - ka * a.tangent.dot(b.tangent) * a.tangent;
    let kb = b.rate / (1.0 + b.rate * b.tangent.dot(through));
    Symmetric { base, terms: [(ka, a.tangent), (kb, through)] }
}

/// A multiple of the identity less two multiples of projections.
struct Symmetric {
    base: f64,
    terms: [(f64, DVec3); 2],
}

impl Mul<DVec3> for &Symmetric {
    type Output = DVec3;
    fn mul(self, v: DVec3) -> DVec3 {
        let [(ka, ta), (kb, tb)] = self.terms;
        self.base * v - ka * ta.dot(v) * ta - kb * tb.dot(v) * tb
    }
}

/// A Newton step with so many unknowns beside n, of which each acts on the residual along a column and has a condition
/// with a rest: how n turns, and the unknowns' steps; `None` where they are not decided.
fn stepped<const COUNT: usize>(
    inverse: &Symmetric,
    columns: &[DVec3; 4],
    rest: &[f64; 4],
    residual: DVec3,
) -> Option<(DVec3, [f64; 4])> {
    let rows: [DVec3; COUNT] = std::array::from_fn(|i| inverse * columns[i]);
    let left = SMatrix::<f64, COUNT, COUNT>::from_fn(|i, j| rows[i].dot(columns[j]));
    let right = SVector::<f64, COUNT>::from_fn(|i, _| -rows[i].dot(residual) - rest[i]);
    // By cofactors, which takes half as long as factors; what rounding leaves of a step the next one takes away.
    let x = left.try_inverse()? * right;
    let mut pull = residual;
    let mut steps = [0.0; 4];
    for i in 0..COUNT {
        pull += x[i] * columns[i];
        steps[i] = x[i];
    }
    Some((-(inverse * pull), steps))
}
