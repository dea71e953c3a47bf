//! Simpler shapes that cover a body, for how deep it overlaps another.
//!
//! A plate with thirty holes is of a hundred convex pieces, an extrusion as well: where one runs into the other, ten
//! thousand pairs of pieces overlap, and what the holes look like has no say in how far the two must be drawn apart.
//! There a cover without openings does; its depth is no less than the body's own.

use glam::DVec3;
use glidewright_geometry::{Bounds, Outline, Pose, Region, Shape, Solid};

use super::convex_parts::ConvexParts;
use super::placed::FaultKind;
use crate::Extruded;

/// What covers a plate, the rail, or a body with outlines in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Cover {
    /// Convex solids in the owner's frame (mm).
    pub(super) solids: Vec<Solid>,
    /// What of it is empty in truth.
    pub(super) openings: Vec<Opening>,
}

/// An opening through a body that its cover fills.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Opening {
    around: Bounds,
    axis: DVec3,
}

impl Cover {
    /// Prisms on outlines without their holes: of each layer a region, its frame and half its height (mm).
    ///
    /// # Errors
    /// An outline that is not sound, or no height.
    pub(super) fn prisms<'a>(
        layers: impl Iterator<Item = (&'a Region, Pose, f64)>,
        parts: &mut ConvexParts,
    ) -> Result<Self, FaultKind> {
        let mut cover = Self { solids: Vec::new(), openings: Vec::new() };
        for (region, frame, half_height) in layers {
            let filled = Region::from(region.outer.clone());
            cover.solids.extend(parts.prisms(&filled, &frame, half_height)?);
            cover.openings.extend(region.holes.iter().map(|hole| Opening {
                around: prism(hole, &frame, half_height).bounds(),
                axis: frame.turn.z_axis,
            }));
        }
        Ok(cover)
    }

    /// Outlines without their holes and what else a body is made of; `None` where there are no outlines, or none that can
    /// be covered.
    pub(super) fn of_extruded(
        extruded: &[Extruded],
        solids: &[Solid],
        parts: &mut ConvexParts,
    ) -> Option<Self> {
        if extruded.is_empty() {
            return None;
        }
        let layers = extruded.iter().map(|body| (&*body.region, body.frame, body.half_height));
        let mut cover = Self::prisms(layers, parts).ok()?;
        cover.solids.extend(Extruded::others(extruded, solids).cloned());
        Some(cover)
    }
}

fn prism(outline: &Outline, frame: &Pose, half_height: f64) -> Solid {
    Solid { shape: Shape::Prism { outline: outline.clone().into(), half_height }, pose: *frame }
}

impl Opening {
    /// Whether a body of such a box, anywhere along the rail and along the opening, could stand in it.
    pub(super) fn takes(&self, other: &Bounds) -> bool {
        let across = DVec3::ONE - DVec3::X - self.axis.abs();
        let within = other.low.cmpge(self.around.low) & other.high.cmple(self.around.high);
        (0..3).all(|k| across[k] < 0.5 || within.test(k))
    }
}
