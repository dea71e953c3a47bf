//! The whole fixture in balance at one travel: at rest, and moving steadily either way.

use glam::DVec3;

use crate::forces::{dragged, gravity, pushed_along, ratio};
use crate::line::KnownBalance;
use crate::loads::{LoadCase, RiderLoads, Trail, Wrench, force_at, solve, wheel_of};
use crate::resistance::{Friction, RiderResistance, WheelFactors};
use crate::{
    Assembly, Coupling, Drive, Fixture, ForceAction, LineModel, LinePulls, PullLaw, PulleyLoss, Seating,
    StackOf, Way, Wheel,
};

/// What is worked with at every travel, prepared once; masses can be added and loads slid.
pub(crate) struct Statics<'a> {
    fixture: &'a Fixture,
    riders: Vec<Prepared<'a>>,
    friction: Friction,
    /// Gravity in the rail frame (m/s²).
    gravity: DVec3,
    /// Travel of each rider per travel of the lead.
    ratios: Vec<f64>,
    has_shoes: bool,
    /// What fixed the pulls in the line laid last: at rest, growing, falling.
    balances: [KnownBalance; 3],
}

struct Prepared<'a> {
    case: LoadCase,
    /// Whole mass (kg) and its first moment about the rider's origin (kg·mm).
    mass: f64,
    moment: DVec3,
    /// Wheels with the radius they roll on (mm) and the place where they touch the rail.
    wheels: Vec<Option<(&'a Wheel, f64, DVec3)>>,
    /// Reach of each load now (mm).
    reaches: Vec<f64>,
    /// Friction of its shoes, whether it is the fixture's, and the tracks' middles.
    shoes: Vec<ShoeFriction>,
    /// Where the solver comes from: at rest, growing, falling, and both accelerated.
    trails: [Trail; 5],
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
    /// Middle of its track in the rail's section, x 0 (mm).
    track: DVec3,
}

/// Everything at one travel.
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

/// Everything standing still at one travel.
struct Rest {
    /// Forces along the rail on each rider, without line and drag (N), and what drags on it (N).
    along: Vec<f64>,
    drags: Vec<f64>,
    /// Force that balances everything without friction (N).
    imbalance: f64,
    /// Pulls in the line, without friction.
    pulls: LinePulls,
    loads: Vec<RiderLoads>,
    /// Resistance of each rider under these loads.
    resistance: Vec<RiderResistance>,
}

/// Everything moving steadily one way.
pub(crate) struct Moving {
    /// Resistance of every rider.
    pub resistance: Vec<RiderResistance>,
    /// Pulls in the line and loads of every rider as it is driven: at steady speed by hand, with its
    /// acceleration by a motor.
    pub driven: (LinePulls, Vec<RiderLoads>),
    /// What the line's pulleys take, at the lead (N).
    pub line_loss: f64,
    /// Running resistance of everything, at the lead (N).
    pub running: f64,
    /// What must be overcome to start from rest (N).
    pub breakaway: f64,
    /// Push along the motion (N).
    pub effort: f64,
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
}

impl Push {
    const REST: Self = Self { sense: 0.0, own: 0.0, acceleration: 0.0 };
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
                    reaches: rider.loads.iter().map(|load| load.reach.map_or(0.0, |r| r.at)).collect(),
                    shoes: rider.shoes.iter().map(|shoe| shoe_friction(fixture, shoe)).collect(),
                    trails: Default::default(),
                }
            })
            .collect();
        Self {
            fixture,
            riders,
            friction: Friction::from(&fixture.resistance),
            gravity: gravity(fixture),
            ratios: (0..fixture.riders.len()).map(|rider| ratio(fixture, rider)).collect(),
            has_shoes: fixture.riders.iter().any(|rider| !rider.shoes.is_empty()),
            balances: Default::default(),
        }
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
        let Some(prepared) = self.riders.get_mut(rider) else { return };
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
        prepared.mass += mass;
        prepared.moment += centre * mass;
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
        let riders: f64 =
            self.ratios.iter().enumerate().map(|(rider, ratio)| self.mass(rider) * ratio.powi(2)).sum();
        let effective_mass = riders + line.map_or(0.0, |line| line.effective_mass);
        let Rest { imbalance, pulls, loads, .. } = rest;
        Station { imbalance, rest: loads, pulls, ways, effective_mass }
    }

    /// Everything standing still at `travel` of the lead (mm).
    fn at_rest(&mut self, travel: f64, line: Option<&LaidLine<'_>>) -> Rest {
        let fixture = self.fixture;
        let count = fixture.riders.len();
        let gravity = self.gravity.x;
        let along: Vec<f64> = (0..count)
            .map(|rider| self.mass(rider) * gravity + pushed_along(fixture, rider, travel))
            .collect();
        let drags: Vec<f64> = (0..count).map(|rider| dragged(fixture, rider, travel)).collect();
        let imbalance = along.iter().zip(&self.ratios).map(|(force, ratio)| -force * ratio).sum::<f64>()
            + line.map_or(0.0, |line| line.imbalance);
        let pulls = line.map_or_else(LinePulls::default, |line| line.pulls(0.0, &along));
        let loads: Vec<RiderLoads> =
            (0..count).map(|rider| self.loads(rider, travel, Push::REST, line, &pulls, None)).collect();
        let resistance =
            (0..count).map(|rider| self.resistance_under(rider, &loads[rider], drags[rider])).collect();
        Rest { along, drags, imbalance, pulls, loads, resistance }
    }

    /// Everything moving one way from where it was at rest, driven with an acceleration (m/s²).
    fn moving(
        &mut self,
        (travel, line): (f64, Option<&LaidLine<'_>>),
        rest: &Rest,
        way: Way,
        acceleration: f64,
    ) -> Moving {
        let Rest { along, drags, imbalance, .. } = rest;
        let count = self.ratios.len();
        let sense = way.sign();
        let mut resistance: Vec<RiderResistance> = Vec::new();
        let mut pulls = LinePulls::default();
        let mut steady = Vec::with_capacity(count);
        let mut others = Vec::with_capacity(count);
        // What resists presses the wheels and shoes, and what presses resists: once more for wheels,
        // whose share of the push is a hundredth; shoes converge like a geometric series.
        let rounds = if self.has_shoes { SHOE_ROUNDS } else { 1 };
        let mut before: Vec<[f64; 2]> = vec![[f64::NAN; 2]; if self.has_shoes { count } else { 0 }];
        for _ in 0..rounds {
            let known = if resistance.is_empty() { &rest.resistance } else { &resistance };
            others.clear();
            others
                .extend((0..count).map(|rider| along[rider] - self.own(rider, sense) * known[rider].total()));
            if let Some(line) = line {
                pulls = line.pulls(sense, &others);
            }
            let mut change = 0.0_f64;
            steady.clear();
            let mut next = Vec::with_capacity(count);
            for (rider, known) in known.iter().enumerate() {
                let push = Push { sense, own: self.own(rider, sense), acceleration: 0.0 };
                let loads = self.loads(rider, travel, push, line, &pulls, Some(known));
                let resists = self.resistance_under(rider, &loads, drags[rider]);
                let (sliding, old) = (resists.sliding(), known.sliding());
                change = change.max((sliding - old).abs() / sliding.max(f64::MIN_POSITIVE));
                if let Some(before) = before.get_mut(rider) {
                    *before = [before[1], old];
                }
                next.push(resists);
                steady.push(loads);
            }
            resistance = next;
            if !(change > SAME) {
                break;
            }
        }
        for (known, before) in resistance.iter_mut().zip(before) {
            extrapolate(known, before);
        }
        let line_loss = pulls.losses.iter().map(PulleyLoss::total).sum::<f64>();
        let felt = |of: fn(&RiderResistance) -> f64| {
            resistance.iter().zip(&self.ratios).map(|(r, ratio)| of(r) * ratio.abs()).sum::<f64>()
        };
        let running = felt(RiderResistance::total) + line_loss;
        let start = self.fixture.resistance.start_factor.value;
        let breakaway = start * (felt(RiderResistance::running_gear) + line_loss) + felt(|r| r.dragged);
        let effort = running + sense * imbalance;
        let driven = if acceleration > 0.0 {
            // The inertia of the riders is among the forces on them; that of the line and its pulleys, a few
            // hundredths of it, counts in the torque but not here.
            others.clear();
            others.extend((0..count).map(|rider| {
                along[rider]
                    - self.own(rider, sense) * resistance[rider].total()
                    - self.mass(rider) * (sense * self.ratios[rider] * acceleration)
            }));
            let pulls = line.map_or_else(LinePulls::default, |line| line.pulls(sense, &others));
            let loads = (0..count)
                .map(|rider| {
                    let acceleration = sense * self.ratios[rider] * acceleration;
                    let push = Push { sense, own: self.own(rider, sense), acceleration };
                    self.loads(rider, travel, push, line, &pulls, Some(&resistance[rider]))
                })
                .collect();
            (pulls, loads)
        } else {
            (pulls, steady)
        };
        Moving { resistance, driven, line_loss, running, breakaway, effort }
    }

    /// The sense in which a rider moves while the lead's travel has one (1, −1; 0: not at all).
    fn own(&self, rider: usize, sense: f64) -> f64 {
        let along = self.ratios.get(rider).map_or(0.0, |ratio| sense * ratio);
        if along == 0.0 { 0.0 } else { along.signum() }
    }

    /// Loads of one rider.
    fn loads(
        &mut self,
        rider: usize,
        travel: f64,
        push: Push,
        line: Option<&LaidLine<'_>>,
        pulls: &LinePulls,
        resistance: Option<&RiderResistance>,
    ) -> RiderLoads {
        let wrench = self.wrench(rider, travel, push, line, pulls, resistance);
        let slot = match (push.sense, push.acceleration != 0.0) {
            (0.0, _) => 0,
            (sense, false) if sense > 0.0 => 1,
            (_, false) => 2,
            (sense, true) if sense > 0.0 => 3,
            (_, true) => 4,
        };
        let Some(prepared) = self.riders.get_mut(rider) else {
            let equilibrium = solve(&[], &[], &wrench, None);
            return RiderLoads { wheels: Vec::new(), shoes: Vec::new(), equilibrium, wrench };
        };
        prepared.case.following(&wrench, &mut prepared.trails[slot])
    }

    /// Everything that acts on a rider except the rail's pushes on its wheels, about its origin: weight,
    /// applied forces, the line, resistance where the wheels touch, and what is missing along the rail at
    /// the grip.
    fn wrench(
        &self,
        rider: usize,
        travel: f64,
        push: Push,
        line: Option<&LaidLine<'_>>,
        pulls: &LinePulls,
        resistance: Option<&RiderResistance>,
    ) -> Wrench {
        let (Some(prepared), Some(known)) = (self.riders.get(rider), self.fixture.riders.get(rider)) else {
            return Wrench::default();
        };
        // Gravity, and inertia, which acts on every mass as gravity does.
        let field = self.gravity - DVec3::X * push.acceleration;
        let mut sum = Wrench { force: field * prepared.mass, moment: prepared.moment.cross(field) };
        let centre = prepared.centre();
        for force in &known.forces {
            let value = match force.acts {
                ForceAction::Pushes => force.at_travel(travel),
                ForceAction::Drags => -push.own * force.at_travel(travel),
            };
            sum += force_at(DVec3::X * value, force.at.unwrap_or(centre));
        }
        if let Some(line) = line {
            for (force, at) in line.model.on_rider(rider, pulls) {
                sum += force_at(force, at);
            }
        }
        if let Some(resistance) = resistance {
            for (wheel, resists) in prepared.wheels.iter().zip(&resistance.wheels) {
                if let Some((_, _, at)) = wheel {
                    sum += force_at(DVec3::X * (-push.own * resists.total()), *at);
                }
            }
            for (shoe, resists) in prepared.shoes.iter().zip(&resistance.shoes) {
                sum += force_at(DVec3::X * (-push.own * resists), shoe.track);
            }
        }
        let is_held_by_hand = match known.coupling {
            Coupling::Lead => self.fixture.drive == Drive::Hand,
            Coupling::Linked { .. } | Coupling::Free { .. } => true,
        };
        let grip = known.grip.as_ref().filter(|_| is_held_by_hand).map_or(centre, |grip| grip.at);
        let weight = field.length() * prepared.mass;
        (sum + force_at(DVec3::X * -sum.force.x, grip))
            .without_rounding(weight, weight * (centre.length() + grip.length()))
    }

    /// Resistance of a rider under its loads.
    fn resistance_under(&self, rider: usize, loads: &RiderLoads, dragged: f64) -> RiderResistance {
        let wheels = self.factors(rider, loads).map(|factors| factors.with(&self.friction)).collect();
        let shoes = self.riders.get(rider).map_or(&[][..], |rider| &rider.shoes);
        let shoes = shoes
            .iter()
            .zip(&loads.shoes)
            .map(|(shoe, load)| shoe.own.unwrap_or(self.friction.shoe) * load.normal)
            .collect();
        RiderResistance { wheels, shoes, dragged }
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

/// Rounds at most for fixtures with shoes.
const SHOE_ROUNDS: usize = 24;

/// Resistances this near (relative) count as settled.
const SAME: f64 = 1e-6;

/// Where a series of sliding frictions that grows by a fixed ratio ends (Aitken's Δ² process); infinite
/// where it does not: the rider jams.
fn extrapolate(resistance: &mut RiderResistance, before: [f64; 2]) {
    let now = resistance.sliding();
    let (first, second) = (before[1] - before[0], now - before[1]);
    if !(first.is_finite() && second.abs() > SAME * now.abs()) {
        return;
    }
    let ratio = second / first;
    let scale = if ratio.abs() < 1.0 { (now + second * ratio / (1.0 - ratio)) / now } else { f64::INFINITY };
    for shoe in &mut resistance.shoes {
        *shoe *= scale;
    }
}

fn shoe_friction(fixture: &Fixture, shoe: &crate::Shoe) -> ShoeFriction {
    let middle = fixture.rail.tracks.get(shoe.track).map_or(glam::DVec2::ZERO, |track| track.middle);
    ShoeFriction {
        own: shoe.friction.as_ref().map(|friction| friction.value),
        track: DVec3::new(0.0, middle.x, middle.y),
    }
}
