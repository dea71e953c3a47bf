//! Two solids seen along an axis: facing each other, or side by side.

use glam::{DMat3, DVec2, DVec3};

use crate::convex::{self, Corner};
use crate::pair::general::nearest_to_origin;
use crate::pair::section::{PARALLEL, frame_along, section};
use crate::pair::simplex::Vertex;
use crate::pair::support::Body;
use crate::{Shape, Solid, search};

/// The way in which two solids pass, seen along an axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Passing {
    /// Seen along the axis the outlines never overlap: no growth along the axis can make them touch.
    Never {
        /// The least distance seen along the axis (mm): the sideways room that keeps it so.
        room: f64,
        /// The shift at which it is least (mm).
        u: f64,
        /// Unit direction from A to B across the axis, in which the room lies.
        normal: DVec3,
    },
    /// Seen along the axis the outlines overlap or touch while the shift is within this range (mm).
    Faces {
        /// Start.
        from: f64,
        /// End.
        to: f64,
    },
    /// The input has no answer.
    Invalid,
}

/// Seen along `axis`: do the outlines of A and of B, shifted by `u0` to `u1` (mm) along `direction`, ever
/// overlap? Neither vector need be of unit length; the shifts count along the unit vector.
///
/// ```
/// use glidewright_geometry::{DVec3, Passing, Solid, faces_along};
/// let nut = Solid::cylinder_between(DVec3::ZERO, DVec3::new(0.0, 0.0, 4.0), 4.0);
/// let head = Solid::cylinder_between(DVec3::new(0.0, 9.0, 7.0), DVec3::new(0.0, 9.0, 9.0), 3.0);
/// let seen = faces_along(&nut, &head, DVec3::Z, DVec3::X, -100.0, 100.0);
/// assert!(matches!(seen, Passing::Never { room, .. } if (room - 2.0).abs() < 1e-12));
/// ```
pub fn faces_along(a: &Solid, b: &Solid, axis: DVec3, direction: DVec3, u0: f64, u1: f64) -> Passing {
    let (Some(axis), Some(direction)) = (axis.try_normalize(), direction.try_normalize()) else {
        return Passing::Invalid;
    };
    let (Some(body_a), Some(body_b)) = (Body::new(a), Body::new(b)) else { return Passing::Invalid };
    if !(u0.is_finite() && u1.is_finite()) {
        return Passing::Invalid;
    }
    let turn = frame_along(axis);
    let origin = a.pose.shift;
    let view = match (silhouette(a, &body_a, &turn, origin), silhouette(b, &body_b, &turn, origin)) {
        (Some(seen_a), Some(seen_b)) => {
            let mut difference = Vec::new();
            convex::difference(&seen_a, &seen_b, &mut difference);
            View::Closed(difference)
        }
        _ => View::Open { a: &body_a, b: &body_b },
    };
    let across = (turn.transpose() * direction).truncate();
    let gap = |u: f64| view.gap(&turn, u * across);
    let slope = |u: f64| {
        let (d, n) = gap(u);
        (d, n.dot(across))
    };
    let (u0, u1) = (u0.min(u1), u0.max(u1));
    let least = search::least(slope, (u0, u1), 1e-12, f64::INFINITY);
    let u = 0.5 * (least.from + least.to);
    if !least.value.is_finite() {
        Passing::Invalid
    } else if least.value > 0.0 {
        Passing::Never { room: least.value, u, normal: turn * gap(u).1.extend(0.0) }
    } else {
        let end = |outside: f64| search::crossing(|t| slope(t).into(), (outside, u), 0.0, search::ROUNDING);
        Passing::Faces { from: end(u0), to: end(u1) }
    }
}

/// The way in which the planar distance is found.
enum View<'a> {
    /// From the Minkowski difference of two outlines of lines and arcs.
    Closed(Vec<Corner>),
    /// From support functions (an outline holds arcs of ellipses); overlap counts as 0.
    Open { a: &'a Body, b: &'a Body },
}

impl View<'_> {
    /// Planar gap (mm) and its direction from A to B, B shifted.
    fn gap(&self, turn: &DMat3, shift: DVec2) -> (f64, DVec2) {
        match self {
            Self::Closed(difference) => {
                let near = convex::signed_distance(difference, shift);
                (near.distance, near.normal)
            }
            Self::Open { a, b } => {
                let flat = |v: DVec3| (turn.transpose() * v).truncate().extend(0.0);
                let apart = flat(b.centre - a.centre) + shift.extend(0.0);
                let support = |d: DVec3| {
                    let out = *turn * d.truncate().extend(0.0);
                    let (pa, pb) = (flat(a.core_support(out).0), flat(b.core_support(-out).0));
                    Vertex { w: pa - pb - apart, a: pa, b: pb, ..Vertex::default() }
                };
                let margin = a.margin + b.margin;
                match nearest_to_origin(support, -apart, a.reach + b.reach) {
                    Some((distance, normal)) if distance > margin => (distance - margin, normal.truncate()),
                    _ => (0.0, DVec2::ZERO),
                }
            }
        }
    }
}

/// The outline of a solid seen along the frame's z, if it is made of lines and arcs.
fn silhouette(solid: &Solid, body: &Body, turn: &DMat3, origin: DVec3) -> Option<Vec<Corner>> {
    let flat = |p: DVec3| (turn.transpose() * (p - origin)).truncate();
    let centre = flat(solid.pose.shift);
    if let Shape::Sphere { radius } = solid.shape {
        return Some(vec![convex::disc(centre, radius)]);
    }
    if let Some(s) = section(solid, turn, origin) {
        let grown = s.radii[0].max(s.radii[1]);
        return Some(s.outline.iter().map(|c| Corner { radius: c.radius + grown, ..*c }).collect());
    }
    let mut corners: Vec<DVec2> = match &solid.shape {
        Shape::Cuboid { half } => (0..8)
            .map(|i| {
                let pick = |bit: u32, h: f64| if i >> bit & 1 == 0 { -h } else { h };
                flat(solid.pose.point(DVec3::new(pick(0, half.x), pick(1, half.y), pick(2, half.z))))
            })
            .collect(),
        Shape::Polyhedron(p) => p.corners.iter().map(|&c| flat(solid.pose.point(c))).collect(),
        _ => {
            // Seen square to its own axis: a quadrilateral between its two ends.
            let up = turn.transpose() * solid.pose.turn.z_axis;
            if up.z.abs() > PARALLEL {
                return straight_prism(solid, &flat);
            }
            let along = up.truncate();
            let side = turn.mul_vec3(along.perp().extend(0.0));
            let mut ends = Vec::with_capacity(4);
            for z in [-1.0, 1.0] {
                for s in [-1.0, 1.0] {
                    let reach = match &solid.shape {
                        Shape::Frustum { lower_radius, upper_radius, .. } => {
                            s * if z < 0.0 { *lower_radius } else { *upper_radius }
                        }
                        _ => body.core_support(s * side).0.dot(side),
                    };
                    ends.push(centre + along * z * half_height(&solid.shape)? + along.perp() * reach);
                }
            }
            ends
        }
    };
    Some(convex::hull(&mut corners))
}

/// A leaning prism whose outline has no arcs.
fn straight_prism(solid: &Solid, flat: &impl Fn(DVec3) -> DVec2) -> Option<Vec<Corner>> {
    let Shape::Prism { outline, half_height } = &solid.shape else { return None };
    let mut corners = Vec::with_capacity(2 * outline.edges.len());
    for edge in &outline.edges {
        let crate::Edge::Line { from, .. } = *edge else { return None };
        for z in [-*half_height, *half_height] {
            corners.push(flat(solid.pose.point(from.extend(z))));
        }
    }
    Some(convex::hull(&mut corners))
}

fn half_height(shape: &Shape) -> Option<f64> {
    match shape {
        Shape::Prism { half_height, .. }
        | Shape::Cylinder { half_height, .. }
        | Shape::Frustum { half_height, .. } => Some(*half_height),
        _ => None,
    }
}
