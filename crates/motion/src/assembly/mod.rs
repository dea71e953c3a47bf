//! Every piece of a fixture at its place: wheels seated, stacks threaded, plates at their standoff.

mod bodies;
mod body;
mod convex_parts;
mod cover;
mod line_path;
mod mass;
mod mass_summary;
mod movement;
mod place;
mod placed;
mod placer;
mod stretches;
mod turning;
mod wheel_solids;
mod whole_bodies;

pub use body::{Body, Owner, Role};
pub(crate) use convex_parts::ConvexParts;
pub use cover::Cover;
pub use line_path::{LinePath, PathElement, PathFault, path_at};
pub use mass_summary::{MassItem, MassSummary};
pub use movement::Movements;
pub(crate) use movement::Side;
pub use place::stacks as place_stacks;
pub use placed::{Face, Fault, FaultKind, PlacedPiece, PlacedPlate, PlacedRider, PlacedStack, Thread};
pub use placer::Placer;
pub use stretches::Stretch;
pub(crate) use stretches::{carrier, solids_of};
pub use turning::turning_inertia;
pub(crate) use wheel_solids::turning_radius;
pub use wheel_solids::{inner_ring_radius, widest_beside};
pub use whole_bodies::WholeBodies;

use std::sync::Arc;

use crate::{BodyId, Fixture};

/// A fixture with every piece at its place, rider frames at travel 0.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Assembly {
    /// The riders, in the fixture's order.
    pub riders: Vec<PlacedRider>,
    /// Everything that can touch something, each in its owner's frame.
    pub bodies: Vec<Body>,
    /// Which of them are stretches of the line.
    pub stretches: Vec<Stretch>,
    /// What could not be placed, and why.
    pub faults: Vec<Fault>,
    /// What sizes that move whole bodies do to them.
    pub movements: Arc<Movements>,
}

impl Assembly {
    /// The bodies with their numbers.
    pub fn numbered(&self) -> impl Iterator<Item = (BodyId, &Body)> {
        self.bodies.iter().enumerate().map(|(number, body)| (BodyId(number as u32), body))
    }

    /// The body of a number, if there is such a one.
    pub fn body(&self, id: BodyId) -> Option<&Body> {
        self.bodies.get(id.0 as usize)
    }

    /// Places everything. What cannot be placed is left out and listed in `faults`.
    pub fn new(fixture: &Fixture) -> Self {
        Self::with_parts(fixture, &mut ConvexParts::default())
    }

    /// The same, with the convex pieces of an earlier assembly at hand.
    pub(crate) fn with_parts(fixture: &Fixture, parts: &mut ConvexParts) -> Self {
        parts.begin();
        let placed = Self::placed(fixture, parts);
        Self { movements: Arc::new(Movements::of(fixture, &placed, parts)), ..placed }
    }

    /// The same, moved by sizes as an earlier assembly of the same bodies is.
    pub(crate) fn moved_as(fixture: &Fixture, parts: &mut ConvexParts, movements: Arc<Movements>) -> Self {
        parts.begin();
        Self { movements, ..Self::placed(fixture, parts) }
    }

    /// Everything at its place, without what moves it.
    fn placed(fixture: &Fixture, parts: &mut ConvexParts) -> Self {
        let mut faults = Vec::new();
        let riders: Vec<_> = fixture
            .riders
            .iter()
            .enumerate()
            .map(|(number, rider)| place::rider(fixture, number, rider, &mut parts.seats, &mut faults))
            .collect();
        let (bodies, stretches) = bodies::all(fixture, &riders, parts, &mut faults);
        Self { riders, bodies, stretches, faults, movements: Arc::default() }
    }
}
