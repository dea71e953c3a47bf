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
    /// Factor beside `across` on all sizes along its own x alone; positive. Boxes and polyhedra take it, round things
    /// stay round.
    pub wide: f64,
    /// Added to the radii of cylinders, frusta and spheres, once grown (mm); no radius falls below 0.
    pub radial: f64,
}

impl Change {
    /// Nothing.
    pub const NONE: Self = Self { shift: DVec3::ZERO, along: 1.0, across: 1.0, wide: 1.0, radial: 0.0 };

    /// A shift alone (mm, outer frame).
    pub const fn shifted(shift: DVec3) -> Self {
        Self { shift, ..Self::NONE }
    }

    /// True if the numbers mean something.
    pub(super) fn is_sound(&self) -> bool {
        let factor = |f: f64| f > 0.0 && f.is_finite();
        self.shift.is_finite()
            && self.radial.is_finite()
            && [self.along, self.across, self.wide].into_iter().all(factor)
    }

    /// Factors along the solid's own axes of what need not stay round.
    fn factors(&self) -> DVec3 {
        DVec3::new(self.across * self.wide, self.across, self.along)
    }

    /// What becomes of a radius (mm).
    fn radius(&self, radius: f64) -> f64 {
        (radius * self.across + self.radial).max(0.0)
    }

    /// The greatest factor across its own z.
    fn widest(&self) -> f64 {
        self.across * self.wide.max(1.0)
    }
}

impl Solid {
    /// The solid with a change made to it, the shift in its owner's frame.
    pub fn changed(&self, change: &Change) -> Self {
        let Change { shift, along, across, .. } = *change;
        let factors = change.factors();
        let shape = match &self.shape {
            Shape::Prism { outline, half_height } => Shape::Prism {
                outline: Arc::new(Outline {
                    edges: outline.edges.iter().map(|e| e.scaled(across)).collect(),
                }),
                half_height: half_height * along,
            },
            Shape::Cylinder { radius, half_height } => {
                Shape::Cylinder { radius: change.radius(*radius), half_height: half_height * along }
            }
            Shape::Frustum { lower_radius, upper_radius, half_height } => Shape::Frustum {
                lower_radius: change.radius(*lower_radius),
                upper_radius: change.radius(*upper_radius),
                half_height: half_height * along,
            },
            Shape::Cuboid { half } => Shape::Cuboid { half: *half * factors },
            Shape::Polyhedron(p) => Shape::Polyhedron(Arc::new(Polyhedron {
                corners: p.corners.iter().map(|c| *c * factors).collect(),
                faces: p.faces.clone(),
            })),
            Shape::Sphere { radius } => Shape::Sphere { radius: change.radius(*radius) },
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
    /// For each of them, which own axis of the solid is the section's own x, y and height.
    seen: Vec<[usize; 3]>,
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
        let mut piece =
            Self { ready: None, sections: Vec::new(), seen: Vec::new(), extent: Extent::NOTHING, pose, body };
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
            piece.seen.push([1, 2, 0].map(|step| (seen_along + step) % 3));
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
        let factors = match ready.solid.shape {
            Shape::Cuboid { .. } | Shape::Polyhedron(_) => change.factors(),
            _ => DVec3::new(change.across, change.across, change.along),
        };
        let mut slot = 0;
        for class in 0..classes.count() {
            if ready.mask >> class & 1 == 0 {
                continue;
            }
            let (Some(base), Some(to)) = (self.sections.get(slot), out.get_mut(slot)) else { return };
            let scaled = self.seen[slot].map(|axis| factors[axis]);
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
                let x = (frame * ready.solid.pose.turn.col(self.seen[slot][0]))
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
            match ready.solid.shape {
                Shape::Cylinder { radius, .. } => {
                    to.outline.iter_mut().for_each(|c| c.radius = change.radius(radius));
                }
                Shape::Frustum { .. } => to.radii = base.radii.map(|r| change.radius(r)),
                Shape::Sphere { radius } => to.margin = change.radius(radius),
                _ => {}
            }
            slot += 1;
        }
    }

    /// Writes the changed body; `shift` is in the travel frame.
    pub(super) fn write_body(&self, change: &Change, out: &mut Body) {
        let Some(ready) = &self.ready else { return };
        let Change { shift, along, across, .. } = *change;
        let factors = change.factors();
        let base = &ready.body;
        out.centre = base.centre + shift;
        out.margin = match ready.solid.shape {
            Shape::Sphere { radius } => change.radius(radius),
            _ => base.margin * across,
        };
        // Good enough for a length that only sets scales.
        out.reach = base.reach * along.max(change.widest()) + change.radial.abs();
        match (&base.core, &mut out.core) {
            (Core::Cylinder(r, h), Core::Cylinder(to_r, to_h)) => {
                (*to_r, *to_h) = (change.radius(*r), h * along)
            }
            (Core::Frustum(r0, r1, h), Core::Frustum(to_r0, to_r1, to_h)) => {
                (*to_r0, *to_r1, *to_h) = (change.radius(*r0), change.radius(*r1), h * along);
            }
            (Core::Cuboid(half), Core::Cuboid(to)) => *to = *half * factors,
            (Core::Prism(outline, h), Core::Prism(to, to_h)) => {
                for (c, from) in Arc::make_mut(&mut to.corners).iter_mut().zip(outline.corners.iter()) {
                    (c.centre, c.radius) = (from.centre * across, from.radius * across);
                }
                to.even = outline.even.map(|r| r * across);
                *to_h = h * along;
            }
            (Core::Points(points), Core::Points(to)) => {
                for (p, from) in Arc::make_mut(to).iter_mut().zip(points.iter()) {
                    *p = *from * factors;
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
        let (across, more) = (change.widest(), DVec3::splat(change.radial.max(0.0)));
        (at - across * self.across[0] - along - more, at + across * self.across[1] + along + more)
    }

    /// Greatest distance that any point moves (mm).
    pub(super) fn moved(&self, change: &Change) -> f64 {
        let grown = (change.across - 1.0).abs().max((change.across * change.wide - 1.0).abs());
        let across = grown * self.radius + change.radial.abs();
        let along = (change.along - 1.0) * self.half;
        // A hair more, so that rounding never hides a pair.
        change.shift.length() + (across * across + along * along).sqrt() * (1.0 + 1e-12)
    }
}
