//! A solid seen along an axis: an outline across it, an interval along it.

use glam::{DMat3, DVec2, DVec3};

use crate::convex::{Corner, angle_key, corners_of, disc, order, placed};
use crate::{Shape, Solid};

/// Directions whose sine is below this are parallel. A pair of solids 1 m across treated as parallel at this
/// angle is wrong by 1e-10 mm; rounding of composed turns stays below 1e-15.
pub(crate) const PARALLEL: f64 = 1e-13;

/// A solid in a frame whose z is its axis. A point belongs to it when, for its height z between `low` and
/// `high`, it lies within the outline grown by the radius interpolated between `radii`, all of that grown by
/// `margin`.
#[derive(Clone, Debug)]
pub(crate) struct Section {
    /// Outline across the axis (mm); a single point for frusta and spheres.
    pub outline: Vec<Corner>,
    /// Lower end along the axis (mm).
    pub low: f64,
    /// Upper end along the axis (mm).
    pub high: f64,
    /// Growth at the lower and the upper end (mm), for frusta.
    pub radii: [f64; 2],
    /// Growth in all directions (mm), for spheres.
    pub margin: f64,
}

/// The axes of a solid along which it is a right prism, a frustum or a ball, as unit vectors; none for a
/// polyhedron, any for a sphere.
pub(crate) fn axes(solid: &Solid) -> &[usize] {
    match solid.shape {
        Shape::Prism { .. } | Shape::Cylinder { .. } | Shape::Frustum { .. } => &[2],
        Shape::Cuboid { .. } => &[2, 0, 1],
        Shape::Polyhedron(_) | Shape::Sphere { .. } => &[],
    }
}

/// A right-handed orthonormal frame with z along the unit vector `axis`.
pub(crate) fn frame_along(axis: DVec3) -> DMat3 {
    let seed = if axis.x.abs() < 0.9 { DVec3::X } else { DVec3::Y };
    let x = (seed - axis * axis.dot(seed)).normalize();
    DMat3::from_cols(x, axis.cross(x), axis)
}

/// The solid seen in the frame `outer_from_frame` (turn) about `origin`; `None` if it has no axis along the
/// frame's z.
pub(crate) fn section(solid: &Solid, outer_from_frame: &DMat3, origin: DVec3) -> Option<Section> {
    section_with(solid, None, outer_from_frame, origin)
}

/// The same, of a prism whose outline's corners may be known.
pub(crate) fn section_with(
    solid: &Solid,
    corners: Option<&[Corner]>,
    outer_from_frame: &DMat3,
    origin: DVec3,
) -> Option<Section> {
    let turn = outer_from_frame.transpose() * solid.pose.turn;
    let centre = outer_from_frame.transpose() * (solid.pose.shift - origin);
    let (at, z) = (centre.truncate(), centre.z);
    if let Shape::Sphere { radius } = solid.shape {
        return Some(Section {
            outline: vec![disc(at, 0.0)],
            low: z,
            high: z,
            radii: [0.0; 2],
            margin: radius,
        });
    }
    let along = |k: usize| turn.col(k).truncate().length() <= PARALLEL;
    let up = turn.z_axis.z > 0.0;
    let plain =
        |outline, half: f64| Section { outline, low: z - half, high: z + half, radii: [0.0; 2], margin: 0.0 };
    match solid.shape {
        Shape::Cylinder { radius, half_height } if along(2) => {
            Some(plain(vec![disc(at, radius)], half_height))
        }
        Shape::Frustum { lower_radius, upper_radius, half_height } if along(2) => Some(Section {
            radii: if up { [lower_radius, upper_radius] } else { [upper_radius, lower_radius] },
            ..plain(vec![disc(at, 0.0)], half_height)
        }),
        Shape::Prism { ref outline, half_height } if along(2) => {
            let rotor = turn.x_axis.truncate().normalize_or(DVec2::X);
            let outline = match corners {
                Some(corners) => placed(corners, rotor, !up, at),
                None => placed(&corners_of(outline)?, rotor, !up, at),
            };
            Some(plain(outline, half_height))
        }
        Shape::Cuboid { half } => {
            let k = (0..3).find(|&k| along(k))?;
            let (i, j) = ((k + 1) % 3, (k + 2) % 3);
            let rotor = turn.col(i).truncate().normalize_or(DVec2::X);
            Some(plain(rectangle(at, rotor, DVec2::new(half[i], half[j])), half[k]))
        }
        _ => None,
    }
}

/// A rectangle about `centre`, its first axis along `rotor` (unit).
pub(crate) fn rectangle(centre: DVec2, rotor: DVec2, half: DVec2) -> Vec<Corner> {
    let (x, y) = (rotor * half.x, rotor.perp() * half.y);
    let mut corners: Vec<Corner> =
        [(x - y, -rotor.perp()), (x + y, rotor), (y - x, rotor.perp()), (-x - y, -rotor)]
            .into_iter()
            .map(|(offset, normal)| Corner {
                centre: centre + offset,
                radius: 0.0,
                normal,
                key: angle_key(normal),
                sources: [0, 0],
            })
            .collect();
    order(&mut corners);
    corners
}
