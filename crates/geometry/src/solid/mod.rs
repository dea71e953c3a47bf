//! Convex solids and their placement.

mod measure;

use std::sync::Arc;

use glam::DVec3;

use crate::{Outline, Pose};

pub(crate) use measure::MOST_MM;
pub use measure::{Bounds, Inertia, SolidFault};

/// A convex solid in its own frame, centred on the origin, its axis (if it has one) along z.
/// All lengths mm.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// Right prism on a convex outline in the xy plane, from z = −`half_height` to +`half_height`.
    /// Arcs stay arcs.
    Prism {
        /// Convex, counter-clockwise.
        outline: Arc<Outline>,
        /// Half the height.
        half_height: f64,
    },
    /// Circular cylinder about z.
    Cylinder {
        /// Radius.
        radius: f64,
        /// Half the height.
        half_height: f64,
    },
    /// Frustum of a circular cone about z (a cone when one radius is 0).
    Frustum {
        /// Radius at z = −`half_height`.
        lower_radius: f64,
        /// Radius at z = +`half_height`.
        upper_radius: f64,
        /// Half the height.
        half_height: f64,
    },
    /// Box with faces square to the axes.
    Cuboid {
        /// Half the extent along x, y and z.
        half: DVec3,
    },
    /// Convex hull of points.
    Polyhedron(Arc<Polyhedron>),
    /// Ball about the origin.
    Sphere {
        /// Radius.
        radius: f64,
    },
}

/// A convex polyhedron.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Polyhedron {
    /// The corners (mm).
    pub corners: Vec<DVec3>,
    /// The faces, each a loop of corner numbers, counter-clockwise seen from outside.
    pub faces: Vec<Vec<u32>>,
}

/// A convex solid at its place in its owner's frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Solid {
    /// The shape, in its own frame.
    pub shape: Shape,
    /// `owner_from_shape`.
    pub pose: Pose,
}

impl Solid {
    /// A cylinder between two points on its axis (mm, owner's frame).
    ///
    /// ```
    /// use glidewright_geometry::{DVec3, Solid};
    /// let screw = Solid::cylinder_between(DVec3::ZERO, DVec3::new(0.0, 0.0, 20.0), 2.5);
    /// assert!((screw.volume() - 20.0 * 6.25 * std::f64::consts::PI).abs() < 1e-9);
    /// ```
    pub fn cylinder_between(from: DVec3, to: DVec3, radius: f64) -> Self {
        Self {
            shape: Shape::Cylinder { radius, half_height: 0.5 * from.distance(to) },
            pose: axis_pose(from, to),
        }
    }

    /// A cone frustum with `from_radius` at `from` and `to_radius` at `to` (mm, owner's frame).
    ///
    /// ```
    /// use glidewright_geometry::{DVec3, Solid};
    /// let cone = Solid::frustum_between(DVec3::ZERO, DVec3::new(0.0, 0.0, 12.0), 3.0, 0.0);
    /// // A cone's centroid stands at a quarter of its height.
    /// assert!((cone.centroid().z - 3.0).abs() < 1e-12);
    /// ```
    pub fn frustum_between(from: DVec3, to: DVec3, from_radius: f64, to_radius: f64) -> Self {
        Self {
            shape: Shape::Frustum {
                lower_radius: from_radius,
                upper_radius: to_radius,
                half_height: 0.5 * from.distance(to),
            },
            pose: axis_pose(from, to),
        }
    }

    /// A box square to the owner's axes, between two opposite corners (mm).
    pub fn cuboid_between(a: DVec3, b: DVec3) -> Self {
        Self { shape: Shape::Cuboid { half: 0.5 * (b - a).abs() }, pose: Pose::from_shift(0.5 * (a + b)) }
    }

    /// The same solid shifted by `by` in the owner's frame (mm).
    pub fn shifted(&self, by: DVec3) -> Self {
        Self { shape: self.shape.clone(), pose: self.pose.shifted(by) }
    }

    /// The same solid seen from a frame in which the owner stands at `outer_from_owner`.
    ///
    /// ```
    /// use glidewright_geometry::{DVec3, Pose, Solid};
    /// let block = Solid::cuboid_between(DVec3::ZERO, DVec3::new(4.0, 2.0, 1.0));
    /// let upright = block.placed(&Pose::from_turn(DVec3::Z, std::f64::consts::FRAC_PI_2));
    /// assert!((upright.bounds().size() - DVec3::new(2.0, 4.0, 1.0)).length() < 1e-12);
    /// ```
    pub fn placed(&self, outer_from_owner: &Pose) -> Self {
        Self { shape: self.shape.clone(), pose: outer_from_owner.then_inner(&self.pose) }
    }
}

/// A pose at the middle of the segment with z along it; along +z when the points coincide.
fn axis_pose(from: DVec3, to: DVec3) -> Pose {
    let z = (to - from).try_normalize().unwrap_or(DVec3::Z);
    let x = if z.x.abs() < 0.9 { DVec3::X } else { DVec3::Y };
    let x = (x - z * x.dot(z)).normalize();
    Pose::from_axes(x, z.cross(x), z, 0.5 * (from + to))
}
