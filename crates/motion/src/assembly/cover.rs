//! Simpler shapes that cover a body, for how deep it overlaps another.
//!
//! A plate with thirty holes is of a hundred convex pieces, an extrusion as well: where one runs into the other, ten
//! thousand pairs of pieces overlap, and what the holes look like has no say in how far the two must be drawn apart.
//! There a cover without openings does; its depth is no less than the body's own.

use glam::DVec3;
use glidewright_geometry::{Bounds, Outline, Overlap, Pose, Region, Shape, Solid};

use super::convex_parts::ConvexParts;
use super::placed::FaultKind;
use super::{Body, Role};
use crate::Extruded;

/// What covers a plate, the rail, or a body with outlines in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Cover {
    /// Convex solids in the owner's frame (mm).
    solids: Vec<Solid>,
    /// What of it is empty in truth.
    openings: Vec<Opening>,
}

/// An opening through a body that its cover fills.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Opening {
    around: Bounds,
    axis: DVec3,
}

/// Two bodies made ready for how deep they overlap.
#[derive(Clone, Debug)]
pub struct WholeBodies {
    /// B's shift and the depth are those of the bodies as they were given.
    pub overlap: Overlap,
    /// Whether they are taken as they are. Else a cover stands for one of them, and no depth is told too small, but
    /// [`glidewright_geometry::Depth::at_least`] is the covers'.
    pub is_exact: bool,
}

/// Up to so many pairs of pieces are taken as they are.
const PAIRS: usize = 128;

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
    fn takes(&self, other: &Bounds) -> bool {
        let across = DVec3::ONE - DVec3::X - self.axis.abs();
        let within = other.low.cmpge(self.around.low) & other.high.cmple(self.around.high);
        (0..3).all(|k| across[k] < 0.5 || within.test(k))
    }
}

impl Body {
    /// This body and another, each in its owner's frame, made ready for how deep they overlap.
    pub fn whole_with(&self, other: &Self) -> WholeBodies {
        if self.solids.len() * other.solids.len() <= PAIRS || self.opens_to(other) || other.opens_to(self) {
            return WholeBodies { overlap: Overlap::new(&self.solids, &other.solids), is_exact: true };
        }
        let covered = [self, other].map(Self::covered);
        let [a, b] = if covered[0].len() * covered[1].len() <= PAIRS {
            covered
        } else {
            covered.map(|hulls| vec![hulls.concat()])
        };
        WholeBodies { overlap: Overlap::of_hulls(&a, &b), is_exact: false }
    }

    /// What covers it, as the convex hulls of some solids each: a wheel is covered by one.
    fn covered(&self) -> Vec<Vec<Solid>> {
        if self.role == Role::Tyre {
            return vec![self.solids.clone()];
        }
        let solids = self.cover.as_ref().map_or(&self.solids, |cover| &cover.solids);
        solids.iter().map(|solid| vec![solid.clone()]).collect()
    }

    /// Whether another body may stand in an opening of this one that its cover fills.
    fn opens_to(&self, other: &Self) -> bool {
        let Some(cover) = self.cover.as_ref().filter(|cover| !cover.openings.is_empty()) else {
            return false;
        };
        let around = other.solids.iter().map(Solid::bounds).reduce(|a, b| a.joined(&b));
        around.is_some_and(|around| cover.openings.iter().any(|opening| opening.takes(&around)))
    }
}
