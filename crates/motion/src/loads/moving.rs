//! Loads while the fixture is moved: the drive's force where it takes hold, friction at the contacts, inertia.

use glam::DVec3;

use super::{LoadCase, RiderLoads, Wrench, force_at};
use crate::forces::ratio;
use crate::{Assembly, Coupling, Drive, Fixture, LineNode, RiderResistance, TravelCurves};

/// The loads of one rider at each station while the lead is driven towards growing and towards falling travel: by
/// hand at steady speed, by a motor with its acceleration.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Moving {
    /// Towards growing travel.
    pub up: Vec<RiderLoads>,
    /// Towards falling travel.
    pub down: Vec<RiderLoads>,
}

impl Moving {
    /// Works them out from the loads at rest.
    ///
    /// What moves a rider beyond what holds it at rest is the sum of its friction and inertia. The lead takes it at
    /// its grip by hand, with what the riders linked to it need as a pull at its clamp; everything else takes it at
    /// the clamp of the line. Friction acts at the middle of the contacts, inertia at every mass.
    pub(crate) fn new(
        fixture: &Fixture,
        assembly: &Assembly,
        rider: usize,
        case: &LoadCase,
        curves: &TravelCurves,
    ) -> Self {
        let Some(rest) = curves.loads.get(rider) else { return Self::default() };
        let mut both = [Vec::with_capacity(rest.len()), Vec::with_capacity(rest.len())];
        for (list, direction) in both.iter_mut().zip([1.0, -1.0]) {
            for (station, at_rest) in rest.iter().enumerate() {
                let wrench = wrench(fixture, assembly, rider, case, curves, station, direction);
                let before = list.last().unwrap_or(at_rest);
                let loads = case.loads(&wrench, Some(before));
                list.push(loads);
            }
        }
        let [up, down] = both;
        Self { up, down }
    }

    /// Both directions.
    pub fn all(&self) -> impl Iterator<Item = &RiderLoads> {
        self.up.iter().chain(&self.down)
    }
}

/// Acceleration asked of the lead (mm/s²).
fn acceleration(fixture: &Fixture) -> f64 {
    match &fixture.drive {
        Drive::Motor(motor) => motor.profile.acceleration,
        Drive::Hand => 0.0,
    }
}

/// Force along the rail (N) that a rider needs beyond what holds it, when the lead moves towards `direction`.
fn needed(
    fixture: &Fixture,
    assembly: &Assembly,
    rider: usize,
    curves: &TravelCurves,
    station: usize,
    direction: f64,
) -> f64 {
    let way = direction * ratio(fixture, rider);
    let mass = assembly.riders.get(rider).map_or(0.0, |placed| placed.mass.total());
    mass * 1e-3 * acceleration(fixture) * way + friction(rider, curves, station, direction) * signum(way)
}

/// What resists a rider at a station while the lead moves towards `direction` (N).
fn friction(rider: usize, curves: &TravelCurves, station: usize, direction: f64) -> f64 {
    let set = if direction > 0.0 { &curves.resistance_up } else { &curves.resistance_down };
    set.get(rider).and_then(|stations| stations.get(station)).map_or(0.0, RiderResistance::total)
}

fn signum(value: f64) -> f64 {
    if value == 0.0 { 0.0 } else { value.signum() }
}

fn wrench(
    fixture: &Fixture,
    assembly: &Assembly,
    rider: usize,
    case: &LoadCase,
    curves: &TravelCurves,
    station: usize,
    direction: f64,
) -> Wrench {
    let (Some(placed), Some(rest)) =
        (assembly.riders.get(rider), curves.loads.get(rider).and_then(|stations| stations.get(station)))
    else {
        return Wrench::default();
    };
    let mut sum = rest.wrench;
    let way = direction * ratio(fixture, rider);
    for item in &placed.mass.items {
        sum += force_at(DVec3::X * (-item.mass * 1e-3 * acceleration(fixture) * way), item.centre);
    }
    let drag = friction(rider, curves, station, direction);
    sum += force_at(DVec3::X * (-drag * signum(way)), contact_middle(case, rest));
    let own = needed(fixture, assembly, rider, curves, station, direction);
    let centre = placed.mass.centre();
    let clamp = |force: f64| clamp_of(fixture, rider, force).unwrap_or(centre);
    let is_lead = matches!(fixture.riders.get(rider).map(|r| r.coupling), Some(Coupling::Lead));
    if is_lead && matches!(fixture.drive, Drive::Hand) {
        let others: f64 = (0..fixture.riders.len())
            .filter(|other| *other != rider)
            .map(|other| ratio(fixture, other) * needed(fixture, assembly, other, curves, station, direction))
            .sum();
        let grip = fixture.riders.get(rider).and_then(|r| r.grip.as_ref()).map_or(centre, |grip| grip.at);
        sum += force_at(DVec3::X * (own + others), grip);
        sum += force_at(DVec3::X * -others, clamp(-others));
    } else {
        sum += force_at(DVec3::X * own, clamp(own));
    }
    sum
}

/// Where the contacts push, on average.
fn contact_middle(case: &LoadCase, loads: &RiderLoads) -> DVec3 {
    let mut sum = DVec3::ZERO;
    let mut total = 0.0;
    for (contact, force) in case.contacts().iter().zip(&loads.equilibrium.forces) {
        if *force > 0.0 {
            sum += contact.spring.point * *force;
            total += force;
        }
    }
    if total > 0.0 { sum / total } else { DVec3::ZERO }
}

/// The clamp of the line on a rider that can take a force along the rail: the one furthest that way.
fn clamp_of(fixture: &Fixture, rider: usize, force: f64) -> Option<DVec3> {
    let line = fixture.line.as_ref()?;
    line.nodes
        .iter()
        .filter_map(|node| match node {
            LineNode::Anchor { rider: Some(owner), at, .. } if *owner == rider => Some(*at),
            _ => None,
        })
        .max_by(|a, b| (a.x * force).total_cmp(&(b.x * force)))
}
