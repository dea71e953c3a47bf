//! What the wheels and shoes carry: a rigid rider on contacts that can push but not pull.

mod axle;
mod contacts;
mod linear;
mod loose;
mod moving;
mod play;
mod simplex;
mod solve;
mod springs;
mod wrench;

pub use axle::stress_area;
pub(crate) use contacts::wheel_of;
pub use contacts::{Carrier, Contact, ShoeLoad, WheelLoad};
pub use loose::loose_words;
pub use moving::Moving;
pub use play::{Play, PlayLimits, PlayRegion, Range};
use solve::solve_softening;
pub use solve::{Equilibrium, SolveEnding, solve};
pub use springs::{Give, SpringContact, Support};
pub use wrench::{Motion, Wrench};

use glam::DVec3;

use crate::{Assembly, Fixture};

/// What the wheels and shoes of one rider carry at one travel.
#[derive(Clone, Debug, PartialEq)]
pub struct RiderLoads {
    /// Load of each wheel, in the rider's order.
    pub wheels: Vec<WheelLoad>,
    /// Load of each shoe, in the rider's order.
    pub shoes: Vec<ShoeLoad>,
    /// Where the rider comes to rest, and how the solution ended.
    pub equilibrium: Equilibrium,
    /// What it carries, about its origin.
    pub wrench: Wrench,
}

/// Everything that stays the same along the travel, prepared once.
#[derive(Clone, Debug)]
pub struct LoadCase {
    contacts: Vec<Contact>,
    springs: Vec<SpringContact>,
    supports: Vec<Support>,
    wheels: usize,
    shoes: usize,
}

impl LoadCase {
    /// Prepares the contacts of rider number `rider`.
    pub fn new(fixture: &Fixture, assembly: &Assembly, rider: usize) -> Self {
        let contacts::Contacts { all, supports } = contacts::of_rider(fixture, assembly, rider);
        let springs = all.iter().map(|contact| contact.spring).collect();
        let (wheels, shoes) = fixture.riders.get(rider).map_or((0, 0), |r| (r.wheels.len(), r.shoes.len()));
        Self { contacts: all, springs, supports, wheels, shoes }
    }

    /// Solves for the loads under `wrench` (about the rider's origin), starting from `guess`, the loads under
    /// one like it. The stiffness of each contact is the secant at the force it bears.
    pub fn loads(&self, wrench: &Wrench, guess: Option<&RiderLoads>) -> RiderLoads {
        if let Some(known) = guess.filter(|known| known.wrench.is_like(wrench)) {
            return known.clone();
        }
        let law = |number: usize, force: f64| {
            self.contacts.get(number).map_or((0.0, 0.0), |contact| contact.law(force))
        };
        let start = guess.map(|known| &known.equilibrium);
        let equilibrium = solve_softening(self.springs.clone(), &self.supports, wrench, start, law);
        let mut wheels = vec![WheelLoad::default(); self.wheels];
        let mut shoes = vec![ShoeLoad::default(); self.shoes];
        for (contact, force) in self.contacts.iter().zip(&equilibrium.forces) {
            match contact.carrier {
                Carrier::Wheel(number) => {
                    if let Some(wheel) = wheels.get_mut(number) {
                        wheel.add(contact, *force);
                    }
                }
                Carrier::Shoe(number) => {
                    if let Some(shoe) = shoes.get_mut(number) {
                        shoe.add(contact, *force);
                    }
                }
            }
        }
        RiderLoads { wheels, shoes, equilibrium, wrench: *wrench }
    }

    /// The contacts, in the order of `Equilibrium::forces`.
    pub fn contacts(&self) -> &[Contact] {
        &self.contacts
    }

    /// How far the rider can rattle between its contacts.
    pub fn play(&self) -> Play {
        Play::new(&self.springs)
    }
}

/// The wrench of a force at a point, about the rider's origin.
pub fn force_at(force: DVec3, point: DVec3) -> Wrench {
    Wrench { force, moment: point.cross(force) }
}
