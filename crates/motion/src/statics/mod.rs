//! The whole fixture in balance at one travel: at rest, and moving steadily either way.

mod moving;
mod rest;
mod rub;

pub(crate) use moving::Moving;

use glam::DVec3;

use crate::forces::rolling_masses;
use crate::line::KnownBalance;
use crate::loads::{HeldAlong, LoadCase, RiderLoads, Trail, Wrench, force_at, solve, wheel_of};
use crate::resistance::{Friction, RiderResistance, WheelFactors};
use crate::{
    Assembly, Drive, Fixture, ForceAction, LineModel, LinePulls, PullLaw, Seating, StackOf, Way, Wheel,
    gravity, rider_ratio,
};
use rest::Rest;
use rub::Rub;

/// What is worked with at every travel, prepared once; masses can be added and loads slid.
pub(crate) struct Statics<'a> {
    fixture: &'a Fixture,
    riders: Vec<Prepared<'a>>,
    friction: Friction,
    /// Gravity in the rail frame (m/s²).
    gravity: DVec3,
    /// Travel of each rider per travel of the lead.
    ratios: Vec<f64>,
    /// What fixed the pulls in the line laid last: at rest, growing, falling.
    balances: [KnownBalance; 3],
    /// Friction of all riders at the last travel moving growing and falling, see [`rub::numbers`]; none where one jams or
    /// tips.
    rubbed: [Option<Vec<f64>>; 2],
}

struct Prepared<'a> {
    case: LoadCase,
    /// Whole mass (kg) and its first moment about the rider's origin (kg·mm).
    mass: f64,
    moment: DVec3,
    /// Wheels with the radius they roll on (mm) and the place where they touch the rail.
    wheels: Vec<Option<(&'a Wheel, f64, DVec3)>>,
    /// What each wheel's turning adds to the mass (kg).
    rolling: Vec<f64>,
    /// Reach of each load now (mm).
    reaches: Vec<f64>,
    /// Friction of its shoes.
    shoes: Vec<ShoeFriction>,
    /// Where the solver comes from: at rest by itself and tied to the others, growing, falling, and both accelerated.
    trails: [Trail; 6],
    /// Friction that held it at the last travel: by itself, and where the line holds the rest.
    stood: [Option<Stood>; 2],
}

/// Friction that held a rider: where the next search for it begins.
#[derive(Clone, Copy)]
struct Stood {
    /// What was to be held, with its sign (N).
    need: f64,
    /// The friction, see [`rub::numbers`].
    friction: [f64; rub::NUMBERS],
}

/// The line at one travel, and what it does at every load.
pub(crate) struct LaidLine<'a> {
    /// How it moves.
    pub model: LineModel<'a>,
    /// What its own weight adds to the imbalance (N).
    imbalance: f64,
    effective_mass: f64,
    /// How it pulls at rest, and as the lead moves towards growing and towards falling travel.
    laws: [PullLaw; 3],
}

impl LaidLine<'_> {
    /// The pulls while the lead's travel has a sense (0 at rest).
    fn pulls(&self, sense: f64, along: &[f64]) -> LinePulls {
        let [rest, growing, falling] = &self.laws;
        let law = if sense == 0.0 {
            rest
        } else if sense > 0.0 {
            growing
        } else {
            falling
        };
        law.under(along)
    }
}

/// What a shoe slides with.
#[derive(Clone, Copy)]
struct ShoeFriction {
    /// Its own coefficient; `None`: the fixture's.
    own: Option<f64>,
}

/// Everything at one travel.
#[derive(Clone)]
pub(crate) struct Station {
    /// Force that balances everything without friction (N).
    pub imbalance: f64,
    /// Loads of every rider at rest.
    pub rest: Vec<RiderLoads>,
    /// Pulls in the line at rest, without friction.
    pub pulls: LinePulls,
    /// Moving towards growing and towards falling travel of the lead.
    pub ways: [Moving; 2],
    /// Mass that moves with the lead, without the motor (kg).
    pub effective_mass: f64,
}

/// How a rider moves and what it is pushed with.
#[derive(Clone, Copy)]
struct Push {
    /// Sense of the lead's travel: 0 at rest.
    sense: f64,
    /// Sense of the rider's own motion along x.
    own: f64,
    /// Its own acceleration along x (m/s²).
    acceleration: f64,
    /// At rest: the line holds what its own friction does not.
    is_tied: bool,
}

impl Push {
    const REST: Self = Self { sense: 0.0, own: 0.0, acceleration: 0.0, is_tied: false };
}

impl<'a> Statics<'a> {
    pub fn new(fixture: &'a Fixture, assembly: &Assembly) -> Self {
        let riders = fixture
            .riders
            .iter()
            .enumerate()
            .map(|(number, rider)| {
                let placed = assembly.riders.get(number);
                let items = placed.map_or(&[][..], |placed| &placed.mass.items);
                let mut wheels = vec![None; rider.wheels.len()];
                for stack in placed.iter().flat_map(|placed| &placed.stacks) {
                    let StackOf::Wheel(wheel) = stack.of else { continue };
                    let (Some(slot), Some(mount)) = (wheels.get_mut(wheel), rider.wheels.get(wheel)) else {
                        continue;
                    };
                    let track = fixture.rail.tracks.get(mount.track);
                    let rolls = stack.seating.as_ref().map(Seating::rolling_radius);
                    *slot = wheel_of(mount).zip(rolls).zip(track).map(|((wheel, rolls), track)| {
                        (wheel, rolls, DVec3::new(mount.along, track.middle.x, track.middle.y))
                    });
                }
                Prepared {
                    case: LoadCase::new(fixture, assembly, number),
                    mass: items.iter().map(|item| item.mass).sum(),
                    moment: items.iter().map(|item| item.centre * item.mass).sum(),
                    wheels,
                    rolling: rolling_masses(fixture, assembly, number),
                    reaches: rider.loads.iter().map(|load| load.reach.map_or(0.0, |r| r.at)).collect(),
                    shoes: rider
                        .shoes
                        .iter()
                        .map(|shoe| ShoeFriction { own: shoe.friction.as_ref().map(|own| own.value) })
                        .collect(),
                    trails: Default::default(),
                    stood: [None; 2],
                }
            })
            .collect();
        Self {
            fixture,
            riders,
            friction: Friction::from(&fixture.resistance),
            gravity: gravity(fixture),
            ratios: (0..fixture.riders.len()).map(|rider| rider_ratio(fixture, rider)).collect(),
            balances: Default::default(),
            rubbed: Default::default(),
        }
    }

    /// Whether what acts on the riders is the same at every travel: no line, and no force that changes.
    pub fn is_steady(&self) -> bool {
        let mut forces = self.fixture.riders.iter().flat_map(|rider| &rider.forces);
        self.fixture.line.is_none() && forces.all(crate::AppliedForce::is_steady)
    }

    /// Works with other coefficients.
    pub const fn set_friction(&mut self, friction: Friction) {
        self.friction = friction;
    }

    /// Mass of a rider (kg).
    pub fn mass(&self, rider: usize) -> f64 {
        self.riders.get(rider).map_or(0.0, |rider| rider.mass)
    }

    /// Puts `mass` (kg, may be negative) on a rider where what it carries is: the common centre of its
    /// loads, or of all of it where it carries none.
    pub fn add_mass(&mut self, rider: usize, mass: f64) {
        let loads = self.fixture.riders.get(rider).map_or(&[][..], |rider| &rider.loads);
        let Some(prepared) = self.riders.get(rider) else { return };
        let carried: f64 = loads.iter().map(|load| load.mass).sum();
        let centre = if carried > 0.0 {
            let slid = |(load, reach): (&crate::Load, &f64)| {
                let direction = load.reach.map_or(DVec3::ZERO, |r| r.direction);
                (load.centre + direction * *reach) * load.mass
            };
            loads.iter().zip(&prepared.reaches).map(slid).sum::<DVec3>() / carried
        } else {
            prepared.centre()
        };
        self.put(rider, mass, centre);
    }

    /// Puts `mass` (kg, may be negative) on a rider at a place in its frame (mm).
    pub fn put(&mut self, rider: usize, mass: f64, at: DVec3) {
        let Some(prepared) = self.riders.get_mut(rider) else { return };
        prepared.mass += mass;
        prepared.moment += at * mass;
    }

    /// Slides a load to `reach` (mm).
    pub fn slide(&mut self, rider: usize, load: usize, reach: f64) {
        let known = self.fixture.riders.get(rider).and_then(|rider| rider.loads.get(load));
        let Some((known, slide)) = known.and_then(|load| Some((load, load.reach?))) else { return };
        let Some(prepared) = self.riders.get_mut(rider) else { return };
        if let Some(now) = prepared.reaches.get_mut(load) {
            prepared.moment += slide.direction * ((reach - *now) * known.mass);
            *now = reach;
        }
    }

    /// The line at `travel` of the lead (mm) with the coefficients now; `None` without one that can be laid.
    pub fn line_at(&mut self, travel: f64) -> Option<LaidLine<'a>> {
        let model = LineModel::new(self.fixture, travel).and_then(Result::ok)?;
        let laws = model.pull_laws(&self.friction, &mut self.balances);
        Some(LaidLine { imbalance: model.imbalance(), effective_mass: model.effective_mass(), laws, model })
    }

    /// Everything in balance at `travel` of the lead (mm), the line being as [`Statics::line_at`] lays it there.
    pub fn at(&mut self, travel: f64, line: Option<&LaidLine<'_>>) -> Station {
        self.accelerated(travel, line, acceleration(self.fixture))
    }

    /// The same, as if by hand: what is driven is driven at steady speed.
    pub fn steady_at(&mut self, travel: f64, line: Option<&LaidLine<'_>>) -> Station {
        self.accelerated(travel, line, 0.0)
    }

    /// What one way takes at `travel` of the lead (mm) at steady speed, as if by hand: the force that balances everything
    /// without friction (N), and how it moves.
    pub fn steady_towards(&mut self, travel: f64, line: Option<&LaidLine<'_>>, way: Way) -> (f64, Moving) {
        let rest = self.at_rest(travel, line);
        let moving = self.moving((travel, line), &rest, way, 0.0);
        (rest.imbalance, moving)
    }

    /// Everything in balance at `travel` of the lead (mm), driven with an acceleration (m/s²).
    fn accelerated(&mut self, travel: f64, line: Option<&LaidLine<'_>>, acceleration: f64) -> Station {
        let rest = self.at_rest(travel, line);
        let ways = Way::BOTH.map(|way| self.moving((travel, line), &rest, way, acceleration));
        let riders = self.riders.iter().zip(&self.ratios);
        let riders: f64 = riders
            .map(|(rider, ratio)| (rider.mass + rider.rolling.iter().sum::<f64>()) * ratio.powi(2))
            .sum();
        let effective_mass = riders + line.map_or(0.0, |line| line.effective_mass);
        let Rest { imbalance, pulls, loads, .. } = rest;
        Station { imbalance, rest: loads, pulls, ways, effective_mass }
    }

    /// The sense in which a rider moves while the lead's travel has one (1, −1; 0: not at all).
    fn own(&self, rider: usize, sense: f64) -> f64 {
        let along = self.ratios.get(rider).map_or(0.0, |ratio| sense * ratio);
        if along == 0.0 { 0.0 } else { along.signum() }
    }

    /// Loads of one rider under what acts on it.
    fn loads(&mut self, rider: usize, wrench: &Wrench, push: Push) -> RiderLoads {
        let slot = match (push.sense, push.acceleration != 0.0) {
            (0.0, _) => usize::from(push.is_tied),
            (sense, false) if sense > 0.0 => 2,
            (_, false) => 3,
            (sense, true) if sense > 0.0 => 4,
            (_, true) => 5,
        };
        let Some(prepared) = self.riders.get_mut(rider) else {
            return nothing(wrench);
        };
        prepared.case.following(wrench, &mut prepared.trails[slot])
    }

    /// Loads of a rider that has none.
    fn absent(&self, rider: usize) -> RiderLoads {
        self.riders.get(rider).map_or_else(|| nothing(&Wrench::default()), |known| known.case.absent())
    }

    /// Weight, inertia, what pushes and the line on a rider, about its origin, and the size of the forces in it (N).
    fn loaded(
        &self,
        rider: usize,
        travel: f64,
        push: Push,
        line: Option<(&LaidLine<'_>, &LinePulls)>,
    ) -> (Wrench, f64) {
        let (Some(prepared), Some(known)) = (self.riders.get(rider), self.fixture.riders.get(rider)) else {
            return (Wrench::default(), 0.0);
        };
        // Gravity, and inertia, which acts on every mass as gravity does.
        let field = self.gravity - DVec3::X * push.acceleration;
        let mut sum = Wrench { force: field * prepared.mass, moment: prepared.moment.cross(field) };
        let mut size = field.length() * prepared.mass;
        let centre = prepared.centre();
        for force in known.forces.iter().filter(|force| force.acts == ForceAction::Pushes) {
            let value = force.at_travel(travel);
            size += value.abs();
            sum += force_at(DVec3::X * value, force.at.unwrap_or(centre));
        }
        if let Some((line, pulls)) = line {
            for (force, at) in line.model.on_rider(rider, pulls) {
                size += force.length();
                sum += force_at(force, at);
            }
        }
        (sum, size)
    }

    /// What drags on a rider, times `factor` along x.
    fn dragging(&self, rider: usize, travel: f64, factor: f64) -> Wrench {
        let forces = self.fixture.riders.get(rider).map_or(&[][..], |rider| &rider.forces);
        let centre = self.centre(rider);
        forces
            .iter()
            .filter(|force| force.acts == ForceAction::Drags)
            .map(|force| force_at(DVec3::X * (factor * force.at_travel(travel)), force.at.unwrap_or(centre)))
            .fold(Wrench::default(), |sum, force| sum + force)
    }

    /// Centre of mass of a rider, in its frame (mm).
    fn centre(&self, rider: usize) -> DVec3 {
        self.riders.get(rider).map_or(DVec3::ZERO, Prepared::centre)
    }

    /// Middle of a rider's contacts, in its frame (mm).
    fn touching(&self, rider: usize) -> DVec3 {
        let contacts = self.riders.get(rider).map_or(&[][..], |rider| rider.case.contacts());
        contacts.iter().map(|contact| contact.spring.point).sum::<DVec3>() / contacts.len().max(1) as f64
    }

    /// Friction of a rider under its loads: as much as its wheels and shoes resist, where the rail presses on each.
    fn rub_under(&self, rider: usize, loads: &RiderLoads, dragged: f64) -> Rub {
        let wheels: Vec<_> = self.factors(rider, loads).map(|factors| factors.with(&self.friction)).collect();
        let known = self.riders.get(rider);
        let shoes = known.map_or(&[][..], |rider| &rider.shoes);
        let friction = |shoe: &ShoeFriction| shoe.own.unwrap_or(self.friction.shoe);
        let shoes: Vec<f64> =
            shoes.iter().zip(&loads.shoes).map(|(shoe, load)| friction(shoe) * load.normal).collect();
        let mut wrench = Wrench::default();
        let places = known.into_iter().flat_map(|known| &known.wheels);
        for ((place, load), resists) in places.zip(&loads.wheels).zip(&wheels) {
            if let Some((_, _, track)) = place {
                let at = if load.is_loaded() { load.at } else { *track };
                wrench += force_at(DVec3::X * resists.total(), at);
            }
        }
        for (load, resists) in loads.shoes.iter().zip(&shoes) {
            wrench += force_at(DVec3::X * *resists, load.at);
        }
        Rub { resistance: RiderResistance { wheels, shoes, dragged }, wrench }
    }

    /// Sum of the normal forces on the shoes that have the fixture's friction (N).
    pub fn shoe_normal(&self, rider: usize, loads: &RiderLoads) -> f64 {
        let shoes = self.riders.get(rider).map_or(&[][..], |rider| &rider.shoes);
        let fixtures = shoes.iter().zip(&loads.shoes).filter(|(shoe, _)| shoe.own.is_none());
        fixtures.map(|(_, load)| load.normal).sum()
    }

    /// Resistance of a rider's wheels per unit of each coefficient.
    pub fn factors(&self, rider: usize, loads: &RiderLoads) -> impl Iterator<Item = WheelFactors> {
        let wheels = self.riders.get(rider).map_or(&[][..], |rider| &rider.wheels);
        wheels.iter().zip(&loads.wheels).map(|(known, load)| {
            known.as_ref().map_or_else(WheelFactors::default, |(wheel, rolls, _)| {
                WheelFactors::new(wheel, *rolls, load)
            })
        })
    }
}

impl Prepared<'_> {
    fn centre(&self) -> DVec3 {
        if self.mass > 0.0 { self.moment / self.mass } else { DVec3::ZERO }
    }
}

/// Acceleration asked of the lead (m/s²): a motor's; a hand is taken to move it steadily.
fn acceleration(fixture: &Fixture) -> f64 {
    match &fixture.drive {
        Drive::Motor(motor) => 1e-3 * motor.profile.acceleration,
        Drive::Hand => 0.0,
    }
}

/// The loads of a rider without contacts.
fn nothing(wrench: &Wrench) -> RiderLoads {
    RiderLoads {
        wheels: Vec::new(),
        shoes: Vec::new(),
        equilibrium: solve(&[], &[], wrench, None),
        wrench: *wrench,
        held: HeldAlong::default(),
    }
}
