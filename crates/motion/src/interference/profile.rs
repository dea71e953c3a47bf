//! A wheel as seen along the rail.
//!
//! A rail is a prism along X, so it meets a wheel whose axle stands square to X as deep, and where, as its section
//! meets the wheel's outline seen along X: the whole comparison is planar and has a closed form. Own derivation; a
//! test holds it against the general search on the solids themselves.

use glam::{DVec2, DVec3};
use glidewright_geometry::{Outline, Pose, Shape, Solid};

/// Half the length along the rail of what stands for a wheel (mm): short, so that points of contact lie at the axle.
const HALF_LENGTH: f64 = 0.5;

/// How far an axle may lean from the rail's cross-section (sine).
const SQUARE: f64 = 1e-9;

/// What a solid of revolution is to the rail: a short prism along X on its outline as seen along X. Solids of other
/// kinds stand for themselves.
pub(super) fn along_rail(solid: &Solid) -> Solid {
    let (lower, upper, half_height) = match solid.shape {
        Shape::Cylinder { radius, half_height } => (radius, radius, half_height),
        Shape::Frustum { lower_radius, upper_radius, half_height } => {
            (lower_radius, upper_radius, half_height)
        }
        _ => return solid.clone(),
    };
    let axis = solid.pose.turn.z_axis;
    if axis.x.abs() > SQUARE {
        return solid.clone();
    }
    let along = DVec2::new(axis.y, axis.z);
    let across = along.perp();
    let corner = |height: f64, radius: f64| along * height + across * radius;
    let mut corners = vec![corner(half_height, upper), corner(-half_height, lower)];
    // A cone's point is one corner.
    if lower > 0.0 {
        corners.push(corner(-half_height, -lower));
    }
    if upper > 0.0 {
        corners.push(corner(half_height, -upper));
    }
    Solid {
        shape: Shape::Prism { outline: Outline::polygon(&corners).into(), half_height: HALF_LENGTH },
        pose: Pose::from_axes(DVec3::Y, DVec3::Z, DVec3::X, solid.pose.shift),
    }
}

#[cfg(test)]
mod tests {
    use glidewright_geometry::separation;

    use super::*;

    /// Against the general search on the solids: a rod beside and into which discs and cones stand.
    #[test]
    fn a_wheel_meets_a_rail_as_its_outline_does() {
        let rod = Solid {
            shape: Shape::Prism {
                outline: Outline::rounded_rectangle(DVec2::new(-4.0, -7.0), DVec2::new(4.0, 7.0), 2.0).into(),
                half_height: 300.0,
            },
            pose: Pose::from_axes(DVec3::Y, DVec3::Z, DVec3::X, DVec3::ZERO),
        };
        let mut compared = 0;
        for turn in [0.0, 0.4, 1.1, 2.0, 3.0] {
            let (sin, cos) = f64::sin_cos(turn);
            let axis = DVec3::new(0.0, cos, sin);
            for off in [14.0, 17.5, 19.5, 20.0, 23.0] {
                let middle = DVec3::new(12.0, -sin * off, cos * off) + axis * 1.5;
                for (from, to) in [(12.0, 12.0), (12.0, 6.0), (5.0, 12.0), (12.0, 0.0)] {
                    let wheel = Solid::frustum_between(middle - axis * 3.0, middle + axis * 3.0, from, to);
                    let (whole, flat) = (separation(&rod, &wheel), separation(&rod, &along_rail(&wheel)));
                    assert!(
                        flat.gap <= whole.gap + 1e-6 && flat.gap >= whole.lower - 1e-6,
                        "{turn} {off} {from} {to}: {} {}",
                        flat.gap,
                        whole.gap
                    );
                    compared += 1;
                }
            }
        }
        assert_eq!(compared, 100);
    }
}
