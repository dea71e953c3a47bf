//! Changes that a variant makes to a solid.

use std::sync::Arc;

use glam::{DVec2, DVec3};

use crate::pair::section::{Section, section};
use crate::pair::support::{Body, Core};
use crate::scene::{BaseSolid, Classes, Ready};
use crate::{Edge, Outline, Polyhedron, Pose, Shape, Solid};

/// The difference of a variant's solid from the base's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// Shift (mm, outer frame).
    pub shift: DVec3,
    /// Factor on all sizes along the solid's own z, about its own origin; positive.
    pub along: f64,
    /// Factor on all sizes across its own z, about its own origin; positive. A sphere takes this one.
    pub across: f64,
}

impl Change {
    /// Nothing.
    pub const NONE: Self = Self { shift: DVec3::ZERO, along: 1.0, across: 1.0 };

    /// A shift alone (mm, outer frame).
    pub const fn shifted(shift: DVec3) -> Self {
        Self { shift, ..Self::NONE }
    }

    /// True if the numbers mean something.
    pub(super) fn is_sound(&self) -> bool {
        let factor = |f: f64| f > 0.0 && f.is_finite();
        self.shift.is_finite() && factor(self.along) && factor(self.across)
    }
}

impl Solid {
    /// The solid with a change made to it, the shift in its owner's frame.
    pub fn changed(&self, change: &Change) -> Self {
        let Change { shift, along, across } = *change;
        let shape = match &self.shape {
            Shape::Prism { outline, half_height } => Shape::Prism {
                outline: Arc::new(Outline {
                    edges: outline.edges.iter().map(|e| e.scaled(across)).collect(),
                }),
                half_height: half_height * along,
            },
            Shape::Cylinder { radius, half_height } => {
                Shape::Cylinder { radius: radius * across, half_height: half_height * along }
            }
            Shape::Frustum { lower_radius, upper_radius, half_height } => Shape::Frustum {
                lower_radius: lower_radius * across,
                upper_radius: upper_radius * across,
                half_height: half_height * along,
            },
            Shape::Cuboid { half } => Shape::Cuboid { half: *half * DVec3::new(across, across, along) },
            Shape::Polyhedron(p) => Shape::Polyhedron(Arc::new(Polyhedron {
                corners: p.corners.iter().map(|c| *c * DVec3::new(across, across, along)).collect(),
                faces: p.faces.clone(),
            })),
            Shape::Sphere { radius } => Shape::Sphere { radius: radius * across },
        };
        Self { shape, pose: self.pose.shifted(shift) }
    }
}

/// A solid of the base in the travel frame, with what its variants need.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    /// `None` for a solid that is not sound.
    pub ready: Option<Ready>,
    /// A section for each class the solid has one in, in order of the classes.
    pub sections: Vec<Section>,
    /// For each of them, the factors on the section's own x, y and height: true for `along`.
    scaled_along: Vec<[bool; 3]>,
    pub extent: Extent,
    /// `travel_from_group`.
    pub pose: Pose,
    pub body: u32,
}

/// A box around a solid under change, and how far its points can move.
#[derive(Clone, Copy, Debug)]
pub(super) struct Extent {
    centre: DVec3,
    /// Reach from its centre to both sides of each axis: what grows with `across`, and with `along`.
    across: [DVec3; 2],
    along: DVec3,
    /// Farthest any point is from the solid's own axis and from its own middle plane.
    radius: f64,
    half: f64,
}

impl Piece {
    pub(super) fn new(BaseSolid { ready, pose, body }: BaseSolid, classes: &Classes) -> Self {
        let (sections, scaled_along) = (Vec::new(), Vec::new());
        let mut piece = Self { ready: None, sections, scaled_along, extent: Extent::NOTHING, pose, body };
        let Some(ready) = ready else { return piece };
        for class in 0..classes.count() {
            if ready.mask >> class & 1 == 0 {
                continue;
            }
            let frame = classes.frame(class);
            let Some(seen) = section(&ready.solid, frame, DVec3::ZERO) else { continue };
            let turn = frame.transpose() * ready.solid.pose.turn;
            let axial = |k: usize| turn.col(k).z.abs() > 0.5;
            // A box may be seen along any of its axes; then the next two are the section's own x and y.
            let seen_along = match ready.solid.shape {
                Shape::Cuboid { .. } => (0..3).find(|&k| axial(k)).unwrap_or(2),
                _ => 2,
            };
            piece.scaled_along.push([1, 2, 0].map(|step| (seen_along + step) % 3 == 2));
            piece.sections.push(seen);
        }
        piece.extent = Extent::new(&ready);
        piece.ready = Some(ready);
        piece
    }

    /// The section in a class of the mask; spheres have one for every class.
    pub(super) fn slot(&self, class: usize) -> usize {
        let mask = self.ready.as_ref().map_or(0, |r| r.mask);
        (mask & ((1u32 << class) - 1)).count_ones() as usize
    }

    /// Writes the sections of the changed solid; `shift` is in the travel frame.
    pub(super) fn write_sections(&self, change: &Change, classes: &Classes, out: &mut [Section]) {
        let Some(ready) = &self.ready else { return };
        let factor = |along: bool| if along { change.along } else { change.across };
        let mut slot = 0;
        for class in 0..classes.count() {
            if ready.mask >> class & 1 == 0 {
                continue;
            }
            let (Some(base), Some(to)) = (self.sections.get(slot), out.get_mut(slot)) else { return };
            let scaled = self.scaled_along[slot].map(factor);
            let frame = classes.frame(class).transpose();
            let centre = frame * ready.solid.pose.shift;
            let moved = frame * change.shift;
            let (at, by) = (centre.truncate(), moved.truncate());
            if scaled[0] == scaled[1] {
                for (c, from) in to.outline.iter_mut().zip(&base.outline) {
                    c.centre = at + scaled[0] * (from.centre - at) + by;
                    c.radius = scaled[0] * from.radius;
                }
            } else if let Some(first) = base.outline.first() {
                // A rectangle: its normals are its own axes; the first corner's may be either.
                let x = (frame * ready.solid.pose.turn.col(self.own_x(slot)))
                    .truncate()
                    .normalize_or(first.normal);
                for (c, from) in to.outline.iter_mut().zip(&base.outline) {
                    let off: DVec2 = from.centre - at;
                    let (along_x, along_y) = (off.dot(x) * scaled[0], off.dot(x.perp()) * scaled[1]);
                    c.centre = at + along_x * x + along_y * x.perp() + by;
                }
            }
            to.low = centre.z + scaled[2] * (base.low - centre.z) + moved.z;
            to.high = centre.z + scaled[2] * (base.high - centre.z) + moved.z;
            to.radii = base.radii.map(|r| r * change.across);
            to.margin = base.margin * change.across;
            slot += 1;
        }
    }

    /// Which own axis of a box is the section's x.
    fn own_x(&self, slot: usize) -> usize {
        // Of x, y and height exactly one is the box's z; the axes follow each other in order.
        match self.scaled_along[slot] {
            [true, ..] => 2,
            [_, true, _] => 1,
            _ => 0,
        }
    }

    /// Writes the changed body; `shift` is in the travel frame.
    pub(super) fn write_body(&self, change: &Change, out: &mut Body) {
        let Some(ready) = &self.ready else { return };
        let Change { shift, along, across } = *change;
        let base = &ready.body;
        out.centre = base.centre + shift;
        out.margin = base.margin * across;
        // Good enough for a length that only sets scales.
        out.reach = base.reach * along.max(across);
        match (&base.core, &mut out.core) {
            (Core::Cylinder(r, h), Core::Cylinder(to_r, to_h)) => (*to_r, *to_h) = (r * across, h * along),
            (Core::Frustum(r0, r1, h), Core::Frustum(to_r0, to_r1, to_h)) => {
                (*to_r0, *to_r1, *to_h) = (r0 * across, r1 * across, h * along);
            }
            (Core::Cuboid(half), Core::Cuboid(to)) => *to = *half * DVec3::new(across, across, along),
            (Core::Prism(outline, h), Core::Prism(to, to_h)) => {
                for (c, from) in Arc::make_mut(&mut to.corners).iter_mut().zip(outline.corners.iter()) {
                    (c.centre, c.radius) = (from.centre * across, from.radius * across);
                }
                to.even = outline.even.map(|r| r * across);
                *to_h = h * along;
            }
            (Core::Points(points), Core::Points(to)) => {
                for (p, from) in Arc::make_mut(to).iter_mut().zip(points.iter()) {
                    *p = *from * DVec3::new(across, across, along);
                }
            }
            _ => {}
        }
    }
}

impl Extent {
    const NOTHING: Self = Self {
        centre: DVec3::ZERO,
        across: [DVec3::NEG_INFINITY; 2],
        along: DVec3::ZERO,
        radius: 0.0,
        half: 0.0,
    };

    fn new(ready: &Ready) -> Self {
        let solid = &ready.solid;
        let (radius, half) = match &solid.shape {
            Shape::Prism { outline, half_height } => {
                let far = |e: &Edge| match *e {
                    Edge::Line { from, .. } => from.length(),
                    Edge::Arc { centre, radius, .. } => centre.length() + radius,
                };
                (outline.edges.iter().map(far).fold(0.0, f64::max), *half_height)
            }
            Shape::Cylinder { radius, half_height } => (*radius, *half_height),
            Shape::Frustum { lower_radius, upper_radius, half_height } => {
                (lower_radius.max(*upper_radius), *half_height)
            }
            Shape::Cuboid { half } => (half.truncate().length(), half.z),
            Shape::Polyhedron(p) => {
                let most = |f: fn(&DVec3) -> f64| p.corners.iter().map(f).fold(0.0, f64::max);
                (most(|c| c.truncate().length()), most(|c| c.z.abs()))
            }
            Shape::Sphere { radius } => (*radius, 0.0),
        };
        // The height's part of the box, and what is left of the box without it. A solid whose outline varies along
        // its height is given more than it needs.
        let along = half * solid.pose.turn.z_axis.abs();
        let bounds = ready.body.bounds();
        let sides = [solid.pose.shift - bounds.low, bounds.high - solid.pose.shift];
        let varies = matches!(solid.shape, Shape::Frustum { .. } | Shape::Polyhedron(_));
        let across = sides.map(|side| {
            if varies {
                let disc = (DVec3::ONE - solid.pose.turn.z_axis * solid.pose.turn.z_axis).max(DVec3::ZERO);
                radius * disc.map(f64::sqrt)
            } else {
                side - along
            }
        });
        Self { centre: solid.pose.shift, across, along, radius, half }
    }

    /// The box around the changed solid (travel frame).
    pub(super) fn bounds(&self, change: &Change) -> (DVec3, DVec3) {
        let along = change.along * self.along;
        let at = self.centre + change.shift;
        (at - change.across * self.across[0] - along, at + change.across * self.across[1] + along)
    }

    /// Greatest distance that any point moves (mm).
    pub(super) fn moved(&self, change: &Change) -> f64 {
        let (across, along) = ((change.across - 1.0) * self.radius, (change.along - 1.0) * self.half);
        // A hair more, so that rounding never hides a pair.
        change.shift.length() + (across * across + along * along).sqrt() * (1.0 + 1e-12)
    }
}
