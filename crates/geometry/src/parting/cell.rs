//! What a triangle of directions leaves uncovered.
//!
//! Along three directions d₁, d₂, d₃ a convex set that holds the origin is left at t₁, t₂, t₃: it covers the tetrahedron
//! under the plane m·x = 1 through these three points. A set entered before another is left, along all three, covers on to
//! its own plane: seen in perspective from the origin lines and convex sets stay what they are, and what holds at three
//! corners holds between them. So what is left uncovered in the triangle's cone lies beyond all those planes, and the
//! least distance of *that* from the origin, a small quadratic program, is a bound from below. For flat faces it is exact,
//! for round ones its error shrinks with the square of the triangle. Own derivation; checked by brute force.

use glam::{DMat3, DVec3};

use super::set::Chord;

/// Planes that are kept of many.
const PLANES: usize = 6;

/// The least distance at which anything in the cone of three directions (unit, counter-clockwise seen from outside) may
/// lie uncovered, and the unit direction there. `chords` are the sets' inner chords along the three.
pub(super) fn uncovered(directions: [DVec3; 3], chords: [&[Chord]; 3]) -> (f64, DVec3) {
    let planes = covering(directions, chords);
    let middle = (directions[0] + directions[1] + directions[2]).normalize_or(DVec3::X);
    if planes.is_empty() {
        return (0.0, middle);
    }
    least_beyond(&planes, directions).map_or_else(
        || (planes.iter().map(|m| 1.0 / m.length()).fold(0.0, f64::max), middle),
        |x| (x.length(), x.normalize_or(middle)),
    )
}

/// The planes m·x = 1 under which all is covered.
fn covering(directions: [DVec3; 3], chords: [&[Chord]; 3]) -> Vec<DVec3> {
    let back = DMat3::from_cols(directions[0], directions[1], directions[2]).transpose().inverse();
    let count = chords.iter().map(|c| c.len()).min().unwrap_or(0);
    let ends = |k: usize| -> Option<(DVec3, DVec3)> {
        let [p, q, r] = [chords[0][k].inner?, chords[1][k].inner?, chords[2][k].inner?];
        let (entry, exit) = (DVec3::new(p.0, q.0, r.0), DVec3::new(p.1, q.1, r.1));
        (exit.min_element() > 0.0).then_some((entry, exit))
    };
    let mut waiting: Vec<(DVec3, DVec3)> = (0..count).filter_map(ends).collect();
    let mut taken: Vec<DVec3> = Vec::new();
    // A set goes on where another ends; the first begin at the origin.
    while let Some(next) = waiting.iter().position(|(entry, _)| {
        entry.max_element() <= 0.0 || taken.iter().any(|exit| entry.cmple(*exit).all())
    }) {
        let (_, exit) = waiting.swap_remove(next);
        if taken.iter().any(|other| exit.cmple(*other).all()) {
            continue;
        }
        taken.retain(|other| !other.cmple(exit).all());
        taken.push(exit);
    }
    taken.sort_by(|p, q| q.min_element().total_cmp(&p.min_element()));
    taken.truncate(PLANES);
    taken.iter().map(|exit| back * exit.recip()).filter(|m| m.is_finite() && *m != DVec3::ZERO).collect()
}

/// The point nearest to the origin that lies in the cone and beyond every plane: the nearest of the points that are
/// nearest on one, two or three of the bounding planes, and satisfy all.
fn least_beyond(planes: &[DVec3], directions: [DVec3; 3]) -> Option<DVec3> {
    let [p, q, r] = directions;
    let sides = [q.cross(r), r.cross(p), p.cross(q)];
    let mut bounds: Vec<(DVec3, f64)> = planes.iter().map(|m| (*m, 1.0)).collect();
    bounds.extend(sides.iter().map(|side| (side.normalize_or_zero(), 0.0)));
    let holds = |x: DVec3| {
        planes.iter().all(|m| m.dot(x) >= 1.0 - 1e-10)
            && bounds[planes.len()..].iter().all(|(side, _)| side.dot(x) >= -1e-10 * x.length())
    };
    let mut best: Option<DVec3> = None;
    let mut take = |x: DVec3| {
        if x.is_finite() && best.is_none_or(|known| x.length_squared() < known.length_squared()) && holds(x) {
            best = Some(x);
        }
    };
    for (i, m) in planes.iter().enumerate() {
        take(*m / m.length_squared());
        for (j, (other, level)) in bounds.iter().enumerate().skip(i + 1) {
            take(on_two(*m, 1.0, *other, *level));
            for (third, height) in bounds.iter().skip(j + 1) {
                let meet = DMat3::from_cols(*m, *other, *third).transpose();
                if meet.determinant().abs() > 1e-14 * m.length() * other.length() * third.length() {
                    take(meet.inverse() * DVec3::new(1.0, *level, *height));
                }
            }
        }
    }
    best
}

/// The point nearest to the origin with a·x = s and b·x = t.
fn on_two(a: DVec3, s: f64, b: DVec3, t: f64) -> DVec3 {
    let (aa, ab, bb) = (a.dot(a), a.dot(b), b.dot(b));
    let det = aa * bb - ab * ab;
    ((s * bb - t * ab) / det) * a + ((t * aa - s * ab) / det) * b
}
