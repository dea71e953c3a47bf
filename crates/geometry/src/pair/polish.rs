//! Finishing the search for the nearest points by Newton's method.
//!
//! Approaching a round rim by chords gains a fixed factor a step. But once it is known which parts of the two
//! solids face each other, the condition of nearness is a small smooth system: the vector between the support
//! points is along the direction they support, and that direction is square to any straight line that faces.
//! Every solid here is a hull of discs square to its axis (a corner is a disc of radius 0), so the parts are a
//! disc's rim, or the straight line between two rims. Own derivation; the result is used only if its own
//! certificate proves it.

use glam::{DMat3, DVec2, DVec3};

use super::simplex::{Simplex, Vertex};
use super::support::Body;

/// The part of a body that faces the other.
#[derive(Clone, Copy)]
struct Part {
    centre: DVec3,
    radius: f64,
    /// To the second disc's centre, and the growth of the radius on the way.
    to: DVec3,
    growth: f64,
    discs: [u32; 2],
    straight: bool,
}

/// Straight parts that may face at once: one of each solid and the travel.
const LINES: usize = 3;

impl Part {
    /// The part that the simplex's vertices lie on and how far along it the nearest point is; `None` if that is a
    /// face.
    fn of(body: &Body, simplex: &Simplex, which: usize) -> Option<(Self, f64)> {
        let vertices = &simplex.vertices[..simplex.count];
        let first = vertices.first()?.discs[which];
        let mut second = None;
        let mut share = 0.0;
        for (v, weight) in vertices.iter().zip(simplex.weights) {
            let id = v.discs[which];
            if id != first {
                if second.is_some_and(|s| s != id) {
                    return None;
                }
                second = Some(id);
                share += weight;
            }
        }
        let (centre, radius) = body.disc(first);
        let mut part = Self {
            centre,
            radius,
            to: DVec3::ZERO,
            growth: 0.0,
            discs: [first, second.unwrap_or(first)],
            straight: false,
        };
        if let Some(second) = second {
            let (other, end) = body.disc(second);
            (part.to, part.growth, part.straight) = (other - centre, end - radius, true);
        }
        Some((part, share))
    }

    /// The point at the share `t` that supports the unit direction `n`, the line's direction there, and the
    /// rate at which the point turns with n: along `tangent`, `rate` mm per radian.
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
            let out = (across.x / length) * turn.x_axis + (across.y / length) * turn.y_axis;
            place.point += radius * out;
            place.line += self.growth * out;
            place.tangent = turn.z_axis.cross(out);
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

/// Nearest points of A and B (B's centre `apart` from A's, plus `u` along `travel` for u between two values), the
/// search having come to `simplex`. Returns the unit direction from A to B and the points. Not proved: the
/// caller must check the slab and the bounds of what it gets.
pub(crate) fn nearest(
    a: &Body,
    b: &Body,
    apart: DVec3,
    travel: Option<(DVec3, f64, f64)>,
    simplex: &Simplex,
    size: f64,
) -> Option<(DVec3, Vertex)> {
    let (pa, mut ta) = Part::of(a, simplex, 0)?;
    let (pb, mut tb) = Part::of(b, simplex, 1)?;
    let now = simplex.nearest();
    // The travel faces along its line if the nearest point lies between its ends.
    let (way, low, high) = travel.unwrap_or((DVec3::ZERO, 0.0, 0.0));
    let free = low < high && now.u > low && now.u < high;
    let mut u = now.u;
    let mut lambda = now.w.length();
    let mut n = -now.w / lambda;
    for _ in 0..8 {
        let (qa, qb) = (pa.at(&a.turn, n, ta), pb.at(&b.turn, -n, tb));
        let s = qa.point - qb.point - apart - u * way;
        let residual = s + lambda * n;
        // n turns; rims turn with it.
        let turning = |p: &Place| {
            let t = p.tangent * p.rate;
            DMat3::from_cols(t * p.tangent.x, t * p.tangent.y, t * p.tangent.z)
        };
        let m = turning(&qa) + turning(&qb) + DMat3::from_diagonal(DVec3::splat(lambda));
        let inverse = m.inverse();
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
        debug_assert!(count <= LINES + 1);
        let mut left = [[0.0; 4]; 4];
        let mut right = [0.0; 4];
        for i in 0..count {
            let row = inverse * columns[i];
            for j in 0..count {
                left[i][j] = row.dot(columns[j]);
            }
            right[i] = -row.dot(residual) - rest[i];
        }
        let x = solve(left, right, count)?;
        let mut pull = -residual;
        for i in 0..count {
            pull -= x[i] * columns[i];
        }
        let turn = inverse * pull;
        n += turn;
        lambda += x[0];
        let mut next = 1;
        let mut take = |used: bool| {
            let value = if used { x[next] } else { 0.0 };
            next += usize::from(used);
            value
        };
        ta += take(pa.straight);
        tb += take(pb.straight);
        u += take(free);
        let sound = n.is_finite() && lambda > 0.0 && turn.length_squared() < 0.25;
        // A step off the end of a straight part may come back, a wild one does not.
        if !sound || !(-1.0..=2.0).contains(&ta) || !(-1.0..=2.0).contains(&tb) {
            return None;
        }
        if turn.length_squared() * size * size < 1e-18 && residual.length_squared() < 1e-22 * size * size {
            break;
        }
    }
    let n = n.normalize();
    let on = |p: &Part, body: &Body, n: DVec3, t: f64| {
        (-1e-12..=1.0 + 1e-12).contains(&t) && p.discs.iter().all(|&id| body.has_on_arc(id, n))
    };
    if !on(&pa, a, n, ta) || !on(&pb, b, -n, tb) || (free && !(low..=high).contains(&u)) {
        return None;
    }
    let (qa, qb) = (pa.at(&a.turn, n, ta), pb.at(&b.turn, -n, tb));
    let w = qa.point - qb.point - apart - u * way;
    w.is_finite().then_some((n, Vertex { w, a: qa.point, b: qb.point, u, discs: now.discs }))
}

/// Solves a small linear system by elimination with row exchanges; `None` if it is singular.
fn solve(mut a: [[f64; 4]; 4], mut b: [f64; 4], count: usize) -> Option<[f64; 4]> {
    for i in 0..count {
        let pivot = (i..count).max_by(|&p, &q| a[p][i].abs().total_cmp(&a[q][i].abs()))?;
        a.swap(i, pivot);
        b.swap(i, pivot);
        let inverse = 1.0 / a[i][i];
        if !inverse.is_finite() {
            return None;
        }
        for k in i + 1..count {
            let factor = a[k][i] * inverse;
            for j in i..count {
                a[k][j] -= factor * a[i][j];
            }
            b[k] -= factor * b[i];
        }
    }
    for i in (0..count).rev() {
        let sum: f64 = (i + 1..count).map(|j| a[i][j] * b[j]).sum();
        b[i] = (b[i] - sum) / a[i][i];
    }
    Some(b)
}
