//! Support functions: the farthest point of a solid in a direction.

use std::sync::Arc;

use glam::{DMat3, DVec2, DVec3};

use crate::convex::{self, Corner, corners_of};
use crate::solid::MOST_MM;
use crate::{Bounds, Shape, Solid};

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
    /// Circular cylinder about z (radius, half height).
    Cylinder(f64, f64),
    /// Circular frustum about z (lower radius, upper radius, half height).
    Frustum(f64, f64, f64),
    /// Right prism about z.
    Prism(Outlined, f64),
    /// Box (half extents).
    Cuboid(DVec3),
    /// Hull of points.
    Points(Arc<[DVec3]>),
}

/// A convex outline ready for support queries.
#[derive(Clone, Debug)]
pub(crate) struct Outlined {
    pub corners: Arc<[Corner]>,
    /// The radius of all corners if they share one: then the farthest centre decides.
    pub even: Option<f64>,
}

impl Outlined {
    pub(crate) fn new(corners: Vec<Corner>) -> Self {
        let radius = corners.first().map_or(0.0, |c| c.radius);
        let even = corners.iter().all(|c| c.radius == radius).then_some(radius);
        Self { corners: corners.into(), even }
    }

    /// The farthest point and the corner it belongs to.
    fn support(&self, d: DVec2) -> (DVec2, usize) {
        let Some(radius) = self.even else {
            // Along the axis any point of the end face will do; an arc's centre may lie outside.
            let d = if d == DVec2::ZERO { DVec2::X } else { d };
            let k = convex::corner_towards(&self.corners, d);
            let c = &self.corners[k];
            return (c.centre + c.radius * d.normalize_or_zero(), k);
        };
        let mut best = (f64::NEG_INFINITY, DVec2::ZERO, 0);
        for (k, c) in self.corners.iter().enumerate() {
            let reach = c.centre.dot(d);
            if reach > best.0 {
                best = (reach, c.centre, k);
            }
        }
        let (_, centre, k) = best;
        (if radius == 0.0 { centre } else { centre + radius * d.normalize_or_zero() }, k)
    }
}

impl Body {
    /// `None` for a solid without meaning: not finite or beyond all measure, negative sizes, an outline that is broken
    /// or not convex.
    pub(crate) fn new(solid: &Solid) -> Option<Self> {
        let (core, margin) = match &solid.shape {
            Shape::Sphere { radius } => (Core::Point, *radius),
            Shape::Cylinder { radius, half_height } => (Core::Cylinder(*radius, *half_height), 0.0),
            Shape::Frustum { lower_radius, upper_radius, half_height } => {
                (Core::Frustum(*lower_radius, *upper_radius, *half_height), 0.0)
            }
            Shape::Prism { outline, half_height } => {
                (Core::Prism(Outlined::new(corners_of(outline)?), *half_height), 0.0)
            }
            Shape::Cuboid { half } => (Core::Cuboid(*half), 0.0),
            Shape::Polyhedron(p) => (Core::Points(p.corners.clone().into()), 0.0),
        };
        Self::from_core(solid, core, margin)
    }

    /// The body of a solid whose core is known.
    pub(crate) fn from_core(solid: &Solid, core: Core, margin: f64) -> Option<Self> {
        let reach = core.reach()? + margin;
        let far = reach + solid.pose.shift.abs().max_element();
        let sound = margin >= 0.0 && far <= MOST_MM && solid.pose.is_rigid();
        sound.then_some(Self { turn: solid.pose.turn, centre: solid.pose.shift, core, margin, reach })
    }

    /// The corners of a prism's outline.
    pub(crate) fn corners(&self) -> Option<&[Corner]> {
        match &self.core {
            Core::Prism(outline, _) => Some(&outline.corners),
            _ => None,
        }
    }

    /// The core's farthest point in a direction (any length), relative to `centre`, common frame; and the number of
    /// the disc (see [`Body::disc`]) it lies on.
    pub(crate) fn core_support(&self, d: DVec3) -> (DVec3, u32) {
        let DMat3 { x_axis: x, y_axis: y, z_axis: z } = self.turn;
        match &self.core {
            Core::Point => (DVec3::ZERO, 0),
            Core::Cylinder(r, h) => {
                let along = d.dot(z);
                let p = rim(x, y, DVec2::new(d.dot(x), d.dot(y)), *r) + z * h.copysign(along);
                (p, u32::from(along.is_sign_positive()))
            }
            Core::Frustum(r0, r1, h) => {
                let (across, along) = (DVec2::new(d.dot(x), d.dot(y)), d.dot(z));
                // The end whose rim reaches farther.
                let length = across.length();
                let upper = along * h + r1 * length >= r0 * length - along * h;
                let (r, h) = if upper { (*r1, *h) } else { (*r0, -h) };
                (rim(x, y, across, r) + z * h, u32::from(upper))
            }
            Core::Prism(outline, h) => {
                let along = d.dot(z);
                let (p, k) = outline.support(DVec2::new(d.dot(x), d.dot(y)));
                (
                    p.x * x + p.y * y + z * h.copysign(along),
                    2 * k as u32 + u32::from(along.is_sign_positive()),
                )
            }
            Core::Cuboid(half) => {
                let d = DVec3::new(d.dot(x), d.dot(y), d.dot(z));
                let id = (0..3).map(|i| u32::from(d[i].is_sign_positive()) << i).sum();
                (x * half.x.copysign(d.x) + y * half.y.copysign(d.y) + z * half.z.copysign(d.z), id)
            }
            Core::Points(points) => {
                let d = DVec3::new(d.dot(x), d.dot(y), d.dot(z));
                let mut best = (f64::NEG_INFINITY, DVec3::ZERO, 0);
                for (i, p) in points.iter().enumerate() {
                    let reach = p.dot(d);
                    if reach > best.0 {
                        best = (reach, *p, i as u32);
                    }
                }
                (self.turn * best.1, best.2)
            }
        }
    }

    /// A body is the hull of discs square to its z (a corner is one of radius 0): the centre of the numbered one,
    /// relative to `centre`, common frame, and its radius (mm).
    pub(crate) fn disc(&self, id: u32) -> (DVec3, f64) {
        let DMat3 { x_axis: x, y_axis: y, z_axis: z } = self.turn;
        let side = |bit: u32| if id >> bit & 1 == 1 { 1.0 } else { -1.0 };
        match &self.core {
            Core::Point => (DVec3::ZERO, 0.0),
            Core::Cylinder(r, h) => (z * (h * side(0)), *r),
            Core::Frustum(r0, r1, h) => (z * (h * side(0)), if id == 1 { *r1 } else { *r0 }),
            Core::Prism(outline, h) => outline.corners.get(id as usize / 2).map_or((DVec3::ZERO, 0.0), |c| {
                (c.centre.x * x + c.centre.y * y + z * (h * side(0)), c.radius)
            }),
            Core::Cuboid(half) => {
                (x * (half.x * side(0)) + y * (half.y * side(1)) + z * (half.z * side(2)), 0.0)
            }
            Core::Points(points) => (points.get(id as usize).map_or(DVec3::ZERO, |p| self.turn * *p), 0.0),
        }
    }

    /// True if the boundary point of a disc in the unit direction `n` belongs to the body: an outline's corner is
    /// only an arc.
    pub(crate) fn has_on_arc(&self, id: u32, n: DVec3) -> bool {
        let Core::Prism(outline, _) = &self.core else { return true };
        let corners = &outline.corners;
        let (k, count) = (id as usize / 2, corners.len());
        if count <= 1 || k >= count || corners[k].radius == 0.0 {
            return true;
        }
        let flat = DVec2::new(n.dot(self.turn.x_axis), n.dot(self.turn.y_axis));
        // At the ends of an arc rounding decides; a hair beyond is still on it.
        corners[k].normal.perp_dot(flat) >= -1e-12 && flat.perp_dot(corners[(k + 1) % count].normal) >= -1e-12
    }

    /// The greatest coordinate of the solid along a unit direction (mm).
    pub(crate) fn farthest(&self, direction: DVec3) -> f64 {
        (self.centre + self.core_support(direction).0).dot(direction) + self.margin
    }

    /// The smallest upright box around it (mm, common frame).
    pub(crate) fn bounds(&self) -> Bounds {
        let DMat3 { x_axis: x, y_axis: y, z_axis: z } = self.turn;
        // How far a disc about z reaches along each axis.
        let disc = || (DVec3::ONE - z * z).max(DVec3::ZERO).map(f64::sqrt);
        let half = match &self.core {
            Core::Point => DVec3::ZERO,
            Core::Cylinder(r, h) => *r * disc() + *h * z.abs(),
            Core::Cuboid(half) => x.abs() * half.x + y.abs() * half.y + z.abs() * half.z,
            Core::Frustum(r0, r1, h) => {
                let (low, high) = (-*h * z, *h * z);
                let (r0, r1) = (*r0 * disc(), *r1 * disc());
                let (low, high) = ((low - r0).min(high - r1), (low + r0).max(high + r1));
                return Bounds { low: self.centre + low, high: self.centre + high };
            }
            Core::Prism(..) | Core::Points(_) => {
                let far = |d: DVec3| self.farthest(d);
                return Bounds {
                    low: -DVec3::new(far(DVec3::NEG_X), far(DVec3::NEG_Y), far(DVec3::NEG_Z)),
                    high: DVec3::new(far(DVec3::X), far(DVec3::Y), far(DVec3::Z)),
                };
            }
        };
        let half = half + DVec3::splat(self.margin);
        Bounds { low: self.centre - half, high: self.centre + half }
    }
}

/// The point of a circle of radius `r` about z in the direction whose components along x and y are given. Built
/// from the axes so that it lies on the circle even where the direction is mostly rounding.
fn rim(x: DVec3, y: DVec3, across: DVec2, r: f64) -> DVec3 {
    let length = across.length();
    if length > 0.0 {
        let p = across * (r / length);
        p.x * x + p.y * y
    } else {
        DVec3::ZERO
    }
}

impl Core {
    /// Greatest distance of any point from the origin; `None` for sizes without meaning.
    fn reach(&self) -> Option<f64> {
        let sound = |sizes: &[f64]| sizes.iter().all(|s| *s >= 0.0 && s.is_finite());
        match self {
            Self::Point => Some(0.0),
            Self::Cylinder(r, h) => sound(&[*r, *h]).then(|| r.hypot(*h)),
            Self::Frustum(r0, r1, h) => sound(&[*r0, *r1, *h]).then(|| r0.max(*r1).hypot(*h)),
            Self::Prism(outline, h) => sound(&[*h]).then(|| {
                let reach = |c: &Corner| c.centre.length() + c.radius;
                outline.corners.iter().map(reach).fold(0.0, f64::max).hypot(*h)
            }),
            Self::Cuboid(half) => sound(&half.to_array()).then(|| half.length()),
            Self::Points(points) => (!points.is_empty() && points.iter().all(|p| p.is_finite()))
                .then(|| points.iter().map(|p| p.length()).fold(0.0, f64::max)),
        }
    }
}
