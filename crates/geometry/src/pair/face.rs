//! A flat face of one solid against the point of the other that stands out farthest towards it.
//!
//! With n the face's outward normal and p the other's support point along −n, the slab between the face and p is a
//! lower bound of the distance; if p's foot lies within the face, the two are that far apart, and no search is
//! needed. That is how stacks face each other when one leans a little. Along a travel in the face's plane the slab
//! stays the same, so its width is the least gap too if p passes over the face. Own derivation; tested against the
//! search.

use glam::{DVec2, DVec3};

use super::section::PARALLEL;
use super::support::{Body, Core};
use super::travel::Travel;
use crate::convex;

/// A face chosen for a neighbour.
struct Face {
    /// Outward unit normal, and the two other axes.
    normal: DVec3,
    side: [DVec3; 2],
    /// Distance from the body's centre (mm).
    height: f64,
    form: Form,
}

enum Form {
    Disc(f64),
    Rectangle(DVec2),
    Outline,
}

impl Face {
    /// The face that looks towards something whose centre lies `apart` from the body's; a face that is not square to
    /// `along` is left out if one is asked for.
    fn towards(body: &Body, apart: DVec3, along: Option<DVec3>) -> Option<Self> {
        let [x, y, z] = [body.turn.x_axis, body.turn.y_axis, body.turn.z_axis];
        let fits = |axis: DVec3| along.is_none_or(|d| axis.dot(d).abs() <= PARALLEL);
        let up = apart.dot(z) >= 0.0;
        let (axis, side, height, form) = match &body.core {
            Core::Cylinder(r, h) => (z, [x, y], *h, Form::Disc(*r)),
            Core::Frustum(r0, r1, h) => (z, [x, y], *h, Form::Disc(if up { *r1 } else { *r0 })),
            Core::Prism(_, h) => (z, [x, y], *h, Form::Outline),
            Core::Cuboid(half) => {
                let off = |axis: DVec3, h: f64| {
                    if fits(axis) { apart.dot(axis).abs() - h } else { f64::NEG_INFINITY }
                };
                let offs = [off(x, half.x), off(y, half.y), off(z, half.z)];
                if offs[2] >= offs[0] && offs[2] >= offs[1] {
                    (z, [x, y], half.z, Form::Rectangle(DVec2::new(half.x, half.y)))
                } else if offs[1] >= offs[0] {
                    (y, [x, z], half.y, Form::Rectangle(DVec2::new(half.x, half.z)))
                } else {
                    (x, [y, z], half.x, Form::Rectangle(DVec2::new(half.y, half.z)))
                }
            }
            Core::Point | Core::Points(_) => return None,
        };
        let normal = if apart.dot(axis) >= 0.0 { axis } else { -axis };
        fits(axis).then_some(Self { normal, side, height, form })
    }

    /// True if a point (relative to the body's centre) lies over the face.
    fn is_below(&self, body: &Body, point: DVec3) -> bool {
        let at = DVec2::new(point.dot(self.side[0]), point.dot(self.side[1]));
        match self.form {
            Form::Disc(radius) => at.length_squared() <= radius * radius,
            Form::Rectangle(half) => at.abs().cmple(half).all(),
            Form::Outline => match &body.core {
                Core::Prism(outline, _) => convex::signed_distance(&outline.corners, at).distance <= 0.0,
                _ => false,
            },
        }
    }
}

/// The distance of the cores (mm) and the unit direction from `body` to `other`, whose centre lies `apart` from its own,
/// if a face of `body` decides it.
pub(super) fn gap(body: &Body, other: &Body, apart: DVec3) -> Option<(f64, DVec3)> {
    let face = Face::towards(body, apart, None)?;
    let point = apart + other.core_support(-face.normal).0;
    let gap = point.dot(face.normal) - face.height;
    (gap > 0.0 && face.is_below(body, point)).then_some((gap, face.normal))
}

/// The least distance of the cores (mm) while `other` travels, and the travel at which it is met, if a face of `body`
/// in the plane of the travel decides it.
pub(super) fn least(body: &Body, other: &Body, apart: DVec3, travel: Travel) -> Option<(f64, f64)> {
    let Travel { direction, from, to } = travel;
    let face = Face::towards(body, apart, Some(direction))?;
    let point = apart + other.core_support(-face.normal).0;
    let gap = point.dot(face.normal) - face.height;
    let u = (-point.dot(direction)).clamp(from, to);
    (gap > 0.0 && face.is_below(body, point + u * direction)).then_some((gap, u))
}
