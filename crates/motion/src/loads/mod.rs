//! What the wheels carry: a rigid rider on contacts that can push but not pull.

mod contacts;
mod solve;
mod wrench;

pub(crate) use contacts::wheel_of;
pub use contacts::{Contact, WheelLoad};
pub use solve::{Equilibrium, SolveEnding, SpringContact, solve};
pub use wrench::{Motion, Wrench};

use glam::DVec3;

use crate::{Assembly, Fixture};

/// What the wheels of one rider carry at one travel.
#[derive(Clone, Debug, PartialEq)]
pub struct RiderLoads {
    /// Load of each wheel, in the rider's order.
    pub wheels: Vec<WheelLoad>,
    /// Where the rider comes to rest, and how the solution ended.
    pub equilibrium: Equilibrium,
}

/// Everything that stays the same along the travel, prepared once.
pub struct LoadCase {
    contacts: Vec<Contact>,
    springs: Vec<SpringContact>,
}

impl LoadCase {
    /// Prepares the contacts of rider number `rider`.
    pub fn new(fixture: &Fixture, assembly: &Assembly, rider: usize) -> Self {
        let contacts = contacts::of_rider(fixture, assembly, rider);
        let springs = contacts.iter().map(|contact| contact.spring).collect();
        Self { contacts, springs }
    }

    /// Solves for the loads under `wrench` (about the rider's origin), starting from `guess`.
    pub fn loads(
        &self,
        fixture: &Fixture,
        rider: usize,
        wrench: &Wrench,
        guess: Option<&Motion>,
    ) -> RiderLoads {
        let equilibrium = solve(&self.springs, wrench, guess);
        let count = fixture.riders.get(rider).map_or(0, |r| r.wheels.len());
        let mut wheels = vec![WheelLoad::default(); count];
        for (contact, force) in self.contacts.iter().zip(&equilibrium.forces) {
            if let Some(wheel) = wheels.get_mut(contact.wheel) {
                wheel.add(contact, *force);
            }
        }
        RiderLoads { wheels, equilibrium }
    }

    /// The contacts, in the order of `Equilibrium::forces`.
    pub fn contacts(&self) -> &[Contact] {
        &self.contacts
    }
}

/// The wrench of a force at a point, about the rider's origin.
pub fn force_at(force: DVec3, point: DVec3) -> Wrench {
    Wrench { force, moment: point.cross(force) }
}
