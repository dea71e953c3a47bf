//! What is kept from one assembly to the next: outlines taken apart into convex pieces, and seats.

use std::sync::Arc;

use glidewright_geometry::{Outline, PlanarError, Pose, Region, Shape, Side, Solid, decompose};

use super::placed::FaultKind;

use crate::Seats;

/// Greatest error of a hollow arc's chords in plates and rails (mm).
const CHORD_ERROR: f64 = 0.01;

/// The convex pieces of the regions of an assembly, and its wheels' seats: what has not changed is not worked out
/// again.
#[derive(Clone, Default)]
pub(crate) struct ConvexParts {
    before: Vec<(Region, Vec<Arc<Outline>>)>,
    now: Vec<(Region, Vec<Arc<Outline>>)>,
    pub(super) seats: Seats,
}

impl ConvexParts {
    /// Begins another assembly; what the last one did not ask for is forgotten.
    pub(super) fn begin(&mut self) {
        self.before = std::mem::take(&mut self.now);
        self.seats.begin();
    }

    /// Prisms along the local z axis of `frame` on the convex pieces of an outline with holes.
    ///
    /// # Errors
    /// An outline that is not sound, or no height.
    pub(super) fn prisms(
        &mut self,
        region: &Region,
        frame: &Pose,
        half_height: f64,
    ) -> Result<Vec<Solid>, FaultKind> {
        if !(half_height > 0.0 && half_height.is_finite()) {
            return Err(FaultKind::BadSize);
        }
        let pieces = self.pieces(region).map_err(FaultKind::BadOutline)?;
        let prism = |outline: &Arc<Outline>| Solid {
            shape: Shape::Prism { outline: Arc::clone(outline), half_height },
            pose: *frame,
        };
        Ok(pieces.iter().map(prism).collect())
    }

    fn pieces(&mut self, region: &Region) -> Result<&[Arc<Outline>], PlanarError> {
        let same = |(known, _): &(Region, _)| known == region;
        let place = if let Some(place) = self.now.iter().position(same) {
            place
        } else {
            let entry = if let Some(kept) = self.before.iter().position(same) {
                self.before.swap_remove(kept)
            } else {
                let pieces = decompose(region, CHORD_ERROR, Side::Outer)?;
                (region.clone(), pieces.into_iter().map(Arc::new).collect())
            };
            self.now.push(entry);
            self.now.len() - 1
        };
        self.now.get(place).map(|(_, pieces)| pieces.as_slice()).ok_or(PlanarError::Nothing)
    }
}
