//! Support functions: the farthest point of a solid in a direction.

use glam::{DMat3, DVec2, DVec3};

use crate::convex::{self, Corner, corners_of};
use crate::{Shape, Solid};

/// A solid prepared for support queries: a core and a margin around it.
#[derive(Clone, Debug)]
pub(crate) struct Body {
    /// Turns the core's axes into the common frame.
    pub turn: DMat3,
    /// Where the core's origin stands (mm, common frame).
    pub centre: DVec3,
    /// The core.
    pub core: Core,
    /// Growth in all directions (mm).
    pub margin: f64,
    /// No point of the solid is farther than this from `centre` (mm).
    pub reach: f64,
}

/// A convex set in its own frame.
#[derive(Clone, Debug)]
pub(crate) enum Core {
    /// The origin alone.
    Point,
    /// Circular frustum about z (lower radius, upper radius, half height).
    Round(f64, f64, f64),
    /// Right prism about z (corners, half height).
    Prism(Vec<Corner>, f64),
    /// Box (half extents).
    Cuboid(DVec3),
    /// Hull of points.
    Points(Vec<DVec3>),
}

impl Body {
    /// `None` for a solid without meaning: not finite, negative sizes, an outline that is broken or not convex.
    pub(crate) fn new(solid: &Solid) -> Option<Self> {
        let (core, margin) = match &solid.shape {
            Shape::Sphere { radius } => (Core::Point, *radius),
            Shape::Cylinder { radius, half_height } => (Core::Round(*radius, *radius, *half_height), 0.0),
            Shape::Frustum { lower_radius, upper_radius, half_height } => {
                (Core::Round(*lower_radius, *upper_radius, *half_height), 0.0)
            }
            Shape::Prism { outline, half_height } => (Core::Prism(corners_of(outline)?, *half_height), 0.0),
            Shape::Cuboid { half } => (Core::Cuboid(*half), 0.0),
            Shape::Polyhedron(p) => (Core::Points(p.corners.clone()), 0.0),
        };
        let reach = core.reach()? + margin;
        let sound = margin >= 0.0 && reach.is_finite() && solid.pose.is_rigid();
        sound.then_some(Self { turn: solid.pose.turn, centre: solid.pose.shift, core, margin, reach })
    }

    /// The core's farthest point in a direction (any length), relative to `centre`, common frame.
    pub(crate) fn core_support(&self, direction: DVec3) -> DVec3 {
        let d = self.turn.transpose() * direction;
        self.turn * self.core.support(d)
    }

    /// The greatest coordinate of the solid along a unit direction (mm).
    pub(crate) fn farthest(&self, direction: DVec3) -> f64 {
        (self.centre + self.core_support(direction)).dot(direction) + self.margin
    }
}

impl Core {
    /// Greatest distance of any point from the origin; `None` for sizes without meaning.
    fn reach(&self) -> Option<f64> {
        let sound = |sizes: &[f64]| sizes.iter().all(|s| *s >= 0.0 && s.is_finite());
        match self {
            Self::Point => Some(0.0),
            Self::Round(r0, r1, h) => sound(&[*r0, *r1, *h]).then(|| r0.max(*r1).hypot(*h)),
            Self::Prism(corners, h) => sound(&[*h])
                .then(|| corners.iter().map(|c| c.centre.length() + c.radius).fold(0.0, f64::max).hypot(*h)),
            Self::Cuboid(half) => sound(&half.to_array()).then(|| half.length()),
            Self::Points(points) => (!points.is_empty() && points.iter().all(|p| p.is_finite()))
                .then(|| points.iter().map(|p| p.length()).fold(0.0, f64::max)),
        }
    }

    /// The farthest point in a direction of any length.
    pub(crate) fn support(&self, d: DVec3) -> DVec3 {
        match self {
            Self::Point => DVec3::ZERO,
            Self::Round(r0, r1, h) => {
                let across = d.truncate();
                let length = across.length();
                // The end whose rim reaches farther.
                let (r, z) =
                    if d.z * h + r1 * length >= r0 * length - d.z * h { (*r1, *h) } else { (*r0, -h) };
                let rim = if length > 0.0 { across * (r / length) } else { DVec2::ZERO };
                rim.extend(z)
            }
            Self::Prism(corners, h) => {
                let across = d.truncate();
                // Along the axis any point of the end face will do; an arc's centre may lie outside.
                let p = convex::support(corners, if across == DVec2::ZERO { DVec2::X } else { across });
                p.extend(if d.z >= 0.0 { *h } else { -h })
            }
            Self::Cuboid(half) => {
                DVec3::new(half.x.copysign(d.x), half.y.copysign(d.y), half.z.copysign(d.z))
            }
            Self::Points(points) => {
                let mut best = (f64::NEG_INFINITY, DVec3::ZERO);
                for p in points {
                    let reach = p.dot(d);
                    if reach > best.0 {
                        best = (reach, *p);
                    }
                }
                best.1
            }
        }
    }
}
