//! Bodies cut by a plane: what a section through their nearest points shows.

use glam::{DVec2, DVec3};
use glidewright_geometry::{Mesh, Solid};

use crate::views::figure::hull_points;
use crate::views::projection::Projector;

/// Chords of a cut stand at most this far from its arcs (mm).
const CHORD: f64 = 0.003;
/// A point this near a line lies on it (mm).
const ON: f64 = 1e-7;

/// What a plane cuts out of convex solids that are shifted by `home`: a convex polygon of each, counter-clockwise, on
/// the paper of `view` (mm). The plane is square to the view's line of sight, `depth` before the origin.
pub(super) fn cut(solids: &[Solid], home: DVec3, view: &Projector, depth: f64) -> Vec<Vec<DVec2>> {
    let polygons = solids.iter().filter_map(|solid| {
        let reach = |towards: DVec3| solid.support(towards).map(|p| view.depth(p + home));
        let (near, far) = (reach(view.toward)?, reach(-view.toward)?);
        if !(far < depth && depth < near) {
            return None;
        }
        let mesh = Mesh::of_solid(solid, CHORD).ok()?;
        let mut points = Vec::new();
        for corners in mesh.triangle_corners() {
            for side in 0..3 {
                let [p, q] = [corners[side] + home, corners[(side + 1) % 3] + home];
                let [before, behind] = [view.depth(p) - depth, view.depth(q) - depth];
                if (before > 0.0) != (behind > 0.0) {
                    points.push(view.flat(p.lerp(q, before / (before - behind))));
                }
            }
        }
        Some(hull_points(points)).filter(|polygon| polygon.len() > 2)
    });
    polygons.collect()
}

/// The parts of the polygons' edges that lie in no other of them: the outline of their union, edge by edge.
pub(super) fn outline(polygons: &[Vec<DVec2>]) -> Vec<[DVec2; 2]> {
    let mut edges = Vec::new();
    for (own, polygon) in polygons.iter().enumerate() {
        for (from, to) in sides(polygon) {
            let mut free = vec![(0.0, 1.0)];
            for (other, cover) in polygons.iter().enumerate().filter(|(other, _)| *other != own) {
                let Some((enters, leaves)) = inside(from, to, cover, other < own) else { continue };
                free = free
                    .into_iter()
                    .flat_map(|(a, b): (f64, f64)| [(a, b.min(enters)), (a.max(leaves), b)])
                    .filter(|(a, b)| a + 1e-9 < *b)
                    .collect();
            }
            edges.extend(free.into_iter().map(|(a, b)| [from.lerp(to, a), from.lerp(to, b)]));
        }
    }
    edges
}

/// What two sets of convex polygons have in common: a polygon for each two that overlap.
pub(super) fn common(of: &[Vec<DVec2>], with: &[Vec<DVec2>]) -> Vec<Vec<DVec2>> {
    let pairs = of.iter().flat_map(|a| with.iter().map(move |b| (a, b)));
    pairs.map(|(a, b)| clipped(a, b)).filter(|polygon| polygon.len() > 2).collect()
}

fn sides(polygon: &[DVec2]) -> impl Iterator<Item = (DVec2, DVec2)> + '_ {
    polygon.iter().copied().zip(polygon.iter().copied().cycle().skip(1))
}

/// Where along a line (0 to 1) it enters and leaves a convex polygon. A line on the polygon's edge is inside where
/// `closed` holds or the two run against each other: of a seam both sides go, of edges that coincide one stays.
fn inside(from: DVec2, to: DVec2, polygon: &[DVec2], closed: bool) -> Option<(f64, f64)> {
    let (mut enters, mut leaves) = (0.0f64, 1.0f64);
    for (a, b) in sides(polygon) {
        let inward = (b - a).perp().normalize_or_zero();
        let [start, end] = [from, to].map(|p| inward.dot(p - a));
        if start.abs() <= ON && end.abs() <= ON {
            let against = (to - from).dot(b - a) < 0.0;
            if !(closed || against) {
                return None;
            }
            continue;
        }
        if start <= ON && end <= ON {
            return None;
        }
        let at = start / (start - end);
        if start < 0.0 {
            enters = enters.max(at);
        } else if end < 0.0 {
            leaves = leaves.min(at);
        }
    }
    (enters < leaves).then_some((enters, leaves))
}

/// A convex polygon without what lies outside another (Sutherland and Hodgman 1974).
fn clipped(polygon: &[DVec2], by: &[DVec2]) -> Vec<DVec2> {
    let mut left = polygon.to_vec();
    for (a, b) in sides(by) {
        let inward = (b - a).perp();
        let depth = |p: DVec2| inward.dot(p - a);
        let mut kept = Vec::with_capacity(left.len() + 1);
        for (p, q) in sides(&left) {
            let (before, behind) = (depth(p), depth(q));
            if before >= 0.0 {
                kept.push(p);
            }
            if (before > 0.0) != (behind > 0.0) && before != behind {
                kept.push(p.lerp(q, before / (before - behind)));
            }
        }
        left = kept;
    }
    left
}

#[cfg(test)]
mod tests {
    use glidewright_geometry::{Pose, Shape};

    use super::*;

    fn area(polygon: &[DVec2]) -> f64 {
        0.5 * sides(polygon).map(|(a, b)| a.perp_dot(b)).sum::<f64>()
    }

    fn square(low: DVec2, size: f64) -> Vec<DVec2> {
        [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)].map(|(x, y)| low + size * DVec2::new(x, y)).to_vec()
    }

    /// A cylinder cut along its axis is a rectangle, off its middle a narrower one, across it a circle.
    #[test]
    fn cuts_of_a_cylinder() {
        let solid = Solid {
            shape: Shape::Cylinder { radius: 5.0, half_height: 2.0 },
            pose: Pose { shift: DVec3::new(1.0, 2.0, 3.0), ..Pose::IDENTITY },
        };
        let home = DVec3::X * 10.0;
        let along = Projector { right: DVec3::X, up: DVec3::Z, toward: DVec3::NEG_Y };
        let across = Projector { right: DVec3::X, up: DVec3::Y, toward: DVec3::Z };
        for (view, depth, expected) in [
            (&along, -2.0, 40.0),
            (&along, -5.0, 4.0 * 2.0 * 4.0),
            (&across, 3.5, std::f64::consts::PI * 25.0),
        ] {
            let polygons = cut(std::slice::from_ref(&solid), home, view, depth);
            let [polygon] = polygons.as_slice() else { panic!("{} polygons", polygons.len()) };
            assert!((area(polygon) / expected - 1.0).abs() < 2e-3, "{} {expected}", area(polygon));
        }
        assert!(cut(&[solid], home, &along, -7.5).is_empty());
    }

    /// Two squares that share half a side, overlap, or are the same: the length of the outline of both.
    #[test]
    fn outlines_have_no_seams() {
        for (other, expected) in [
            (square(DVec2::new(2.0, 0.0), 2.0), 12.0),
            (square(DVec2::new(2.0, 1.0), 2.0), 14.0),
            (square(DVec2::new(1.0, 1.0), 2.0), 12.0),
            (square(DVec2::ZERO, 2.0), 8.0),
            (square(DVec2::new(0.5, 0.5), 1.0), 8.0),
            (square(DVec2::new(5.0, 0.0), 2.0), 16.0),
        ] {
            let both = [square(DVec2::ZERO, 2.0), other];
            let length: f64 = outline(&both).iter().map(|[a, b]| a.distance(*b)).sum();
            assert!((length - expected).abs() < 1e-6, "{both:?}: {length} {expected}");
        }
    }

    #[test]
    fn what_two_have_in_common() {
        let [a, b] = [square(DVec2::ZERO, 2.0), square(DVec2::new(1.5, 0.5), 2.0)];
        let both = common(std::slice::from_ref(&a), &[b]);
        assert!((both.iter().map(|p| area(p)).sum::<f64>() - 0.75).abs() < 1e-12);
        assert!(common(&[a], &[square(DVec2::new(3.0, 0.0), 1.0)]).is_empty());
    }
}
