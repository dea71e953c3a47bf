//! What the wheels and shoes carry: a rigid rider on contacts that can push but not pull.

mod axle;
mod bearing;
mod contacts;
mod equilibrium;
mod groove;
mod held;
mod joints;
mod linear;
mod loose;
mod moving;
mod newton;
mod play;
mod simplex;
mod solve;
mod springs;
mod trail;
mod wheel_load;
mod wrench;

pub use axle::Opening;
pub use contacts::{Carrier, Contact, HERTZ_SHARE, ShoeLoad, wheel_of};
pub use equilibrium::{Equilibrium, SolveEnding};
pub use held::HeldAlong;
use joints::Joints;
pub use loose::loose_words;
pub use moving::Moving;
pub use play::{Play, PlayLimits, PlayRegion, Range};
use solve::Solver;
pub use solve::solve;
pub use springs::{Give, SpringContact, Support};
pub use trail::Trail;
pub use wheel_load::WheelLoad;
pub use wrench::{Motion, Wrench};

use glam::DVec3;

use crate::contact::Softening;
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
    /// What holds it along the rail at rest; nothing is said of a rider that is moved or tips.
    pub held: HeldAlong,
}

impl RiderLoads {
    /// Whether its contacts hold the rider in every motion but that along the rail.
    pub fn is_held(&self) -> bool {
        self.equilibrium.ending != SolveEnding::Unrestrained
    }
}

/// Everything that stays the same along the travel, prepared once.
#[derive(Clone, Debug)]
pub struct LoadCase {
    contacts: Vec<Contact>,
    softenings: Vec<Softening>,
    solver: Solver,
    joints: Joints,
    wheels: usize,
    shoes: usize,
}

impl LoadCase {
    /// Prepares the contacts of rider number `rider`.
    pub fn new(fixture: &Fixture, assembly: &Assembly, rider: usize) -> Self {
        Self::pressed(fixture, assembly, rider, |_| 0.0)
    }

    /// The same with wheels pressed nearer to their tracks than they are drawn, by `more` of each wheel's number (mm).
    pub(crate) fn pressed(
        fixture: &Fixture,
        assembly: &Assembly,
        rider: usize,
        more: impl Fn(usize) -> f64,
    ) -> Self {
        let contacts::Contacts { mut all, supports, joints } = contacts::of_rider(fixture, assembly, rider);
        for contact in &mut all {
            if let Carrier::Wheel(wheel) = contact.carrier {
                contact.spring.closure += more(wheel) * contact.spring.normal.dot(contact.radial);
            }
        }
        let springs = all.iter().map(|contact| contact.spring).collect();
        let (wheels, shoes) = fixture.riders.get(rider).map_or((0, 0), |r| (r.wheels.len(), r.shoes.len()));
        Self {
            softenings: all.iter().map(Contact::softening).collect(),
            contacts: all,
            joints: Joints::new(joints, supports.clone()),
            solver: Solver::new(springs, supports),
            wheels,
            shoes,
        }
    }

    /// Solves for the loads under `wrench` (about the rider's origin). The stiffness of each contact is the secant at
    /// the force it bears. Where a wheel's load would open what is clamped on its screw, the screw alone carries it.
    pub fn loads(&mut self, wrench: &Wrench) -> RiderLoads {
        self.starting_at(wrench, None)
    }

    /// The same, started from the loads found before, under wrenches like this one, and kept for the next.
    pub fn following(&mut self, wrench: &Wrench, trail: &mut Trail) -> RiderLoads {
        if let Some(known) = trail.last.as_ref().filter(|known| known.wrench.is_like(wrench)) {
            return known.clone();
        }
        let loads = self.starting_at(wrench, trail.ahead(wrench));
        trail.keep(&loads);
        loads
    }

    fn starting_at(&mut self, wrench: &Wrench, guess: Option<&Equilibrium>) -> RiderLoads {
        let Self { contacts, softenings, solver, joints, .. } = self;
        let law = |number: usize, force: f64| {
            softenings.get(number).map_or((f64::INFINITY, f64::INFINITY), |s| s.give(force))
        };
        let closed = solver.solve(wrench, guess, law);
        let (equilibrium, openings) =
            joints.settle(contacts, solver, closed, |solver, guess| solver.solve(wrench, Some(guess), law));
        let mut wheels = vec![WheelLoad::default(); self.wheels];
        let mut shoes = vec![ShoeLoad::default(); self.shoes];
        let mut first = 0;
        // The contacts of a wheel or shoe follow one another.
        for group in contacts.chunk_by(|a, b| a.carrier == b.carrier) {
            let forces = equilibrium.forces.get(first..first + group.len()).unwrap_or_default();
            first += group.len();
            match group.first().map(|contact| contact.carrier) {
                Some(Carrier::Wheel(number)) => {
                    if let Some(wheel) = wheels.get_mut(number) {
                        *wheel = WheelLoad::new(group, forces);
                    }
                }
                Some(Carrier::Shoe(number)) => {
                    if let Some(shoe) = shoes.get_mut(number) {
                        group.iter().zip(forces).for_each(|(contact, force)| shoe.add(contact, *force));
                    }
                }
                None => {}
            }
        }
        for (wheel, opening) in joints.wheels().zip(openings) {
            if let Some(wheel) = wheels.get_mut(wheel) {
                wheel.opening = opening;
            }
        }
        RiderLoads { wheels, shoes, equilibrium, wrench: *wrench, held: HeldAlong::default() }
    }

    /// No loads: those of a rider that jams. Every figure is no number.
    pub(crate) fn absent(&self) -> RiderLoads {
        let nan = DVec3::splat(f64::NAN);
        RiderLoads {
            wheels: vec![WheelLoad::absent(); self.wheels],
            shoes: vec![ShoeLoad::absent(); self.shoes],
            equilibrium: Equilibrium {
                motion: Motion { shift: nan, turn: nan },
                gives: Vec::new(),
                forces: vec![f64::NAN; self.contacts.len()],
                residual: f64::NAN,
                ending: SolveEnding::Jammed,
                free: None,
            },
            wrench: Wrench { force: nan, moment: nan },
            held: HeldAlong::default(),
        }
    }

    /// The contacts, in the order of `Equilibrium::forces`.
    pub fn contacts(&self) -> &[Contact] {
        &self.contacts
    }

    /// What carries them, every joint being closed, by the numbers in [`Give::support`].
    pub fn supports(&self) -> &[Support] {
        self.solver.supports()
    }

    /// How far the rider can rattle between its contacts.
    pub fn play(&self) -> Play {
        Play::new(self.solver.contacts())
    }
}

/// The wrench of a force at a point, about the rider's origin.
///
/// ```
/// use glam::DVec3;
/// use glidewright_motion::loads::force_at;
///
/// // 10 N down, 30 mm along the rail: turns about +y.
/// let wrench = force_at(DVec3::new(0.0, 0.0, -10.0), DVec3::new(30.0, 0.0, 0.0));
/// assert_eq!(wrench.moment, DVec3::new(0.0, 300.0, 0.0));
/// ```
pub fn force_at(force: DVec3, point: DVec3) -> Wrench {
    Wrench { force, moment: point.cross(force) }
}
