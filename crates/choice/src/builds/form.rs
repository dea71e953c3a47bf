//! Solids as lists of numbers, so that what sizes do to them adds up.

use std::sync::Arc;

use glam::{DMat3, DQuat, DVec3};
use glidewright_geometry::{Edge, Outline, Polyhedron, Pose, Shape, Solid};

/// Numbers that say where a solid stands: shift (mm), then a small turn beside the base's (rotation vector, rad).
pub(super) const PLACE: usize = 6;

/// The numbers of a solid beside a base of the same kind: its place, then its own sizes. `None` where the two are of
/// different kinds or made up differently.
pub(super) fn numbers(base: &Solid, solid: &Solid) -> Option<Vec<f64>> {
    let turn = base.pose.turn.transpose() * solid.pose.turn;
    let mut all = solid.pose.shift.to_array().to_vec();
    all.extend(rotation(turn).to_array());
    match (&base.shape, &solid.shape) {
        (Shape::Cylinder { .. }, Shape::Cylinder { radius, half_height }) => {
            all.extend([*radius, *half_height]);
        }
        (Shape::Frustum { .. }, Shape::Frustum { lower_radius, upper_radius, half_height }) => {
            all.extend([*lower_radius, *upper_radius, *half_height]);
        }
        (Shape::Cuboid { .. }, Shape::Cuboid { half }) => all.extend(half.to_array()),
        (Shape::Sphere { .. }, Shape::Sphere { radius }) => all.push(*radius),
        (Shape::Prism { outline: known, .. }, Shape::Prism { outline, half_height }) => {
            if known.edges.len() != outline.edges.len() {
                return None;
            }
            all.push(*half_height);
            for (known, edge) in known.edges.iter().zip(&outline.edges) {
                match (known, edge) {
                    (Edge::Line { .. }, Edge::Line { from, to }) => {
                        all.extend([from.x, from.y, to.x, to.y]);
                    }
                    (Edge::Arc { .. }, Edge::Arc { centre, radius, start, sweep }) => {
                        all.extend([centre.x, centre.y, *radius, *start, *sweep]);
                    }
                    _ => return None,
                }
            }
        }
        (Shape::Polyhedron(known), Shape::Polyhedron(solid)) => {
            if known.corners.len() != solid.corners.len() || known.faces != solid.faces {
                return None;
            }
            all.extend(solid.corners.iter().flat_map(|corner| corner.to_array()));
        }
        _ => return None,
    }
    all.iter().all(|number| number.is_finite()).then_some(all)
}

/// The solid of these numbers beside a base; sizes that are missing stay the base's.
pub(super) fn solid(base: &Solid, numbers: &[f64]) -> Solid {
    let mut given = numbers.iter().copied();
    let mut next = |known: f64| given.next().unwrap_or(known);
    let Pose { turn, shift } = base.pose;
    let shift = DVec3::new(next(shift.x), next(shift.y), next(shift.z));
    let turned = DVec3::new(next(0.0), next(0.0), next(0.0));
    let pose = Pose { turn: turn * DMat3::from_quat(DQuat::from_scaled_axis(turned)), shift };
    let shape = match &base.shape {
        Shape::Cylinder { radius, half_height } => {
            Shape::Cylinder { radius: next(*radius), half_height: next(*half_height) }
        }
        Shape::Frustum { lower_radius, upper_radius, half_height } => Shape::Frustum {
            lower_radius: next(*lower_radius),
            upper_radius: next(*upper_radius),
            half_height: next(*half_height),
        },
        Shape::Cuboid { half } => {
            Shape::Cuboid { half: DVec3::new(next(half.x), next(half.y), next(half.z)) }
        }
        Shape::Sphere { radius } => Shape::Sphere { radius: next(*radius) },
        Shape::Prism { outline, half_height } => {
            let half_height = next(*half_height);
            let edges = outline.edges.iter().map(|edge| match *edge {
                Edge::Line { from, to } => Edge::Line {
                    from: glam::DVec2::new(next(from.x), next(from.y)),
                    to: glam::DVec2::new(next(to.x), next(to.y)),
                },
                Edge::Arc { centre, radius, start, sweep } => Edge::Arc {
                    centre: glam::DVec2::new(next(centre.x), next(centre.y)),
                    radius: next(radius),
                    start: next(start),
                    sweep: next(sweep),
                },
            });
            Shape::Prism { outline: Arc::new(Outline { edges: edges.collect() }), half_height }
        }
        Shape::Polyhedron(known) => Shape::Polyhedron(Arc::new(Polyhedron {
            corners: known.corners.iter().map(|c| DVec3::new(next(c.x), next(c.y), next(c.z))).collect(),
            faces: known.faces.clone(),
        })),
    };
    Solid { shape, pose }
}

/// A rotation vector (rad).
fn rotation(turn: DMat3) -> DVec3 {
    let axis = DQuat::from_mat3(&turn).normalize().to_scaled_axis();
    // Sines of this size are rounding.
    if axis.length() < 1e-12 { DVec3::ZERO } else { axis }
}

/// What a difference of numbers does to a solid, as the kernel takes it: all in proportion to the difference.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub(super) struct Growth {
    /// Shift (mm).
    pub shift: DVec3,
    /// What is added to the factors along its own axes.
    pub factors: DVec3,
    /// What is added to its radii (mm).
    pub radial: f64,
}

/// What differences of a solid's numbers do, if a shift and growth of its sizes can say it; `None` of turns and of outlines
/// that change.
pub(super) fn growth(base: &Solid, by: &[f64]) -> Option<Growth> {
    let (place, sizes) = (by.get(..PLACE)?, by.get(PLACE..)?);
    let [x, y, z, turns @ ..] = place else { return None };
    if turns.iter().any(|turn| *turn != 0.0) {
        return None;
    }
    let shift = DVec3::new(*x, *y, *z);
    let grown = |factors: DVec3, radial: f64| Some(Growth { shift, factors, radial });
    match (&base.shape, sizes) {
        (Shape::Cylinder { half_height, .. }, [radius, height]) => {
            grown(DVec3::Z * (height / half_height), *radius)
        }
        (Shape::Frustum { lower_radius, upper_radius, half_height }, [lower, upper, height]) => {
            let along = DVec3::Z * (height / half_height);
            let differ = upper_radius - lower_radius;
            if (upper - lower).abs() < 1e-12 {
                return grown(along, *lower);
            }
            // Radii that grow by a factor and an amount.
            let factor = (upper - lower) / differ;
            if differ.abs() > 1e-6 {
                grown(along + factor * (DVec3::X + DVec3::Y), lower - factor * lower_radius)
            } else {
                None
            }
        }
        (Shape::Cuboid { half }, [x, y, z]) => grown(DVec3::new(*x, *y, *z) / *half, 0.0),
        (Shape::Sphere { .. }, [radius]) => grown(DVec3::ZERO, *radius),
        (Shape::Prism { half_height, .. }, [height, edges @ ..]) => {
            let same = edges.iter().all(|by| *by == 0.0);
            if same { grown(DVec3::Z * (height / half_height), 0.0) } else { None }
        }
        (Shape::Polyhedron(_), corners) => {
            corners.iter().all(|by| *by == 0.0).then_some(Growth { shift, ..Growth::default() })
        }
        _ => None,
    }
}

/// Farthest that differences of a solid's numbers move any of its points, at most (mm).
pub(super) fn moved(base: &Solid, by: &[f64]) -> f64 {
    let bounds = base.bounds();
    let at = base.pose.shift;
    // It turns about its own origin.
    let reach =
        if bounds.is_empty() { 0.0 } else { (bounds.high - at).abs().max((bounds.low - at).abs()).length() };
    let place = |range: std::ops::Range<usize>| {
        by.get(range).map_or(0.0, |numbers| numbers.iter().map(|n| n * n).sum::<f64>().sqrt())
    };
    let sizes = by.get(PLACE..).unwrap_or_default();
    let grown: f64 = match &base.shape {
        Shape::Polyhedron(_) | Shape::Prism { .. } => {
            // Corner by corner, none moves farther than the greatest of its numbers, all three together.
            3.0 * sizes.iter().fold(0.0, |most: f64, by| most.max(by.abs()))
        }
        _ => sizes.iter().map(|by| by.abs()).sum(),
    };
    place(0..3) + place(3..PLACE) * reach + grown
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DVec2;

    fn there_and_back(base: &Solid, other: &Solid) {
        let Some(numbers) = numbers(base, other) else { panic!("{base:?} and {other:?} are of one kind") };
        let again = solid(base, &numbers);
        assert!((again.pose.shift - other.pose.shift).length() < 1e-12);
        for k in 0..3 {
            assert!((again.pose.turn.col(k) - other.pose.turn.col(k)).length() < 1e-9);
        }
        assert_eq!(again.shape, other.shape);
    }

    #[test]
    fn numbers_make_the_solid_again() {
        let turned = Pose::from_turn(DVec3::new(0.1, 0.9, 0.2).normalize(), 0.02);
        let at = |pose: Pose, shape: Shape| Solid { shape, pose };
        let square = |a: f64| {
            let corner = |x: f64, y: f64| DVec2::new(x, y);
            let corners = [corner(0.0, 0.0), corner(a, 0.0), corner(a, a), corner(0.0, a)];
            let edges = (0..4).map(|k| Edge::line(corners[k], corners[(k + 1) % 4])).collect();
            Shape::Prism { outline: Arc::new(Outline { edges }), half_height: a }
        };
        for (from, to) in [
            (
                Shape::Cylinder { radius: 3.0, half_height: 2.0 },
                Shape::Cylinder { radius: 3.1, half_height: 2.5 },
            ),
            (
                Shape::Frustum { lower_radius: 3.0, upper_radius: 2.0, half_height: 2.0 },
                Shape::Frustum { lower_radius: 3.2, upper_radius: 2.1, half_height: 2.0 },
            ),
            (Shape::Cuboid { half: DVec3::ONE }, Shape::Cuboid { half: DVec3::new(1.0, 2.0, 3.0) }),
            (Shape::Sphere { radius: 1.0 }, Shape::Sphere { radius: 1.5 }),
            (square(2.0), square(2.3)),
        ] {
            there_and_back(&at(Pose::IDENTITY, from), &at(turned.shifted(DVec3::ONE), to));
        }
    }

    #[test]
    fn growth_of_a_frustum_is_a_factor_and_an_amount() {
        let base = Solid {
            shape: Shape::Frustum { lower_radius: 3.0, upper_radius: 2.0, half_height: 2.0 },
            pose: Pose::IDENTITY,
        };
        let by = [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.3, 0.1, 0.5];
        let Some(found) = growth(&base, &by) else { panic!("a frustum can grow so") };
        for (radius, by) in [(3.0, 0.3), (2.0, 0.1)] {
            assert!((radius * found.factors.x + found.radial - by).abs() < 1e-12);
        }
        assert!((found.factors.z - 0.25).abs() < 1e-12);
        let turned = [0.0, 0.0, 0.0, 0.01, 0.0, 0.0, 0.0, 0.0, 0.0];
        assert_eq!(growth(&base, &turned), None);
    }
}
