//! Every rider of every generated fixture in balance at every station, at rest and as it is moved, added up again from its
//! parts: friction contact by contact.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

mod common;

use common::{Ledger, by_hand, resists};
use glidewright_geometry::DVec3;
use glidewright_motion::loads::{Carrier, RiderLoads, SolveEnding};
use glidewright_motion::{
    Assembly, Coupling, Drive, Fixture, ForceAction, LineModel, LinePulls, Results, RiderResults,
    TravelCurves, Way, rider_ratio,
};

/// Known failures.
const KNOWN: &[(&str, &str)] = &[];

/// What is left of forces and moments is a share of those that act.
const LEFT: f64 = 1e-6;

#[test]
fn forces_and_moments_of_every_rider_add_up_to_nothing() {
    let mut ledger = Ledger::new(KNOWN);
    let (mut stations, mut on_lines) = (0, 0);
    for (seed, fixture) in by_hand(24) {
        let results = standing(&fixture);
        for number in 0..fixture.riders.len() {
            let seen = balance(&mut ledger, seed, &fixture, &results, number);
            stations += seen;
            on_lines += if pulled(&fixture, &results, number) { seen } else { 0 };
        }
    }
    assert!(stations > 1000 && on_lines > 500, "{stations} stations, {on_lines} of them with a line");
    ledger.close();
}

/// The analysis without interference, which takes most of the time and moves nothing here.
fn standing(fixture: &Fixture) -> Results {
    let assembly = Assembly::new(fixture);
    let (from, to) = (fixture.stroke.from, fixture.stroke.to);
    let stations: Vec<f64> = (0..51).map(|i| from + (to - from) * f64::from(i) / 50.0).collect();
    let curves = TravelCurves::new(fixture, &assembly, &stations);
    let riders = (0..fixture.riders.len())
        .map(|number| RiderResults::new(fixture, &assembly, number, &curves))
        .collect();
    Results { assembly, curves, riders, ..Results::default() }
}

/// A sum of forces and of their moments about a rider's origin.
#[derive(Default)]
struct Sum {
    force: DVec3,
    moment: DVec3,
    /// Sizes of what was added (N, mm).
    scale: f64,
    arm: f64,
}

impl Sum {
    fn add(&mut self, force: DVec3, at: DVec3) {
        self.force += force;
        self.moment += at.cross(force);
        self.scale = self.scale.max(force.length());
        self.arm = self.arm.max(at.length()).max(1.0);
    }
}

/// Whether a line pulls on a rider.
fn pulled(fixture: &Fixture, results: &Results, number: usize) -> bool {
    let curves = &results.curves;
    !line_forces(fixture, curves.travel[0], &curves.line_pulls[0], number).is_empty()
}

/// What the line pulls with, and where, in the rider's frame.
fn line_forces(fixture: &Fixture, travel: f64, pulls: &LinePulls, number: usize) -> Vec<(DVec3, DVec3)> {
    let line = LineModel::new(fixture, travel).and_then(Result::ok);
    line.map_or_else(Vec::new, |line| line.on_rider(number, pulls).collect())
}

/// Holds a rider's contact forces against its weight, what pushes it, and friction at each of its contacts. Gives how many
/// stations were looked at.
fn balance(ledger: &mut Ledger, seed: u64, fixture: &Fixture, results: &Results, number: usize) -> usize {
    let curves = &results.curves;
    let mut seen = 0;
    for (station, loads) in curves.loads[number].iter().enumerate() {
        seen += usize::from(station_balances(ledger, seed, fixture, results, (number, station), loads, None));
    }
    if rider_ratio(fixture, number) == 0.0 {
        return seen;
    }
    for (way, list) in
        [(Way::Growing, &curves.moving[number].up), (Way::Falling, &curves.moving[number].down)]
    {
        for (station, loads) in list.iter().enumerate() {
            let moved = Some(way.sign() * rider_ratio(fixture, number).signum());
            seen += usize::from(station_balances(
                ledger,
                seed,
                fixture,
                results,
                (number, station),
                loads,
                moved,
            ));
        }
    }
    seen
}

/// One rider at one station, at rest or moved with a sense along x.
fn station_balances(
    ledger: &mut Ledger,
    seed: u64,
    fixture: &Fixture,
    results: &Results,
    (number, station): (usize, usize),
    loads: &RiderLoads,
    moved: Option<f64>,
) -> bool {
    let rider = &fixture.riders[number];
    let travel = results.curves.travel[station];
    if matches!(loads.equilibrium.ending, SolveEnding::Unrestrained | SolveEnding::Jammed) {
        return false;
    }
    let contacts = &results.riders[number].contacts;
    let items = &results.assembly.riders[number].mass.items;
    let mass: f64 = items.iter().map(|item| item.mass).sum();
    let centre = items.iter().map(|item| item.centre * item.mass).sum::<DVec3>() / mass;
    let mut sum = Sum::default();
    sum.add(fixture.rail.stand.down() * 9.80665 * mass, centre);
    for applied in rider.forces.iter().filter(|applied| applied.acts == ForceAction::Pushes) {
        sum.add(DVec3::X * applied.at_travel(travel), applied.at.unwrap_or(centre));
    }
    let pulls = match moved {
        None => &results.curves.line_pulls,
        Some(sense) if sense * rider_ratio(fixture, number) > 0.0 => &results.curves.line_pulls_up,
        Some(_) => &results.curves.line_pulls_down,
    };
    let line = line_forces(fixture, travel, &pulls[station], number);
    line.iter().for_each(|(force, at)| sum.add(*force, *at));
    let missing = -sum.force.x;
    let (wheels, shoes) = resists(fixture, &results.assembly, number, loads);
    let gear: f64 = wheels.iter().chain(&shoes).sum();
    let drags: Vec<_> = rider.forces.iter().filter(|applied| applied.acts == ForceAction::Drags).collect();
    let dragged: f64 = drags.iter().map(|applied| applied.at_travel(travel)).sum();
    // How much of what could rub does, and which way.
    let (rubs, drag) = match moved {
        Some(sense) => (-sense, -sense),
        None => {
            let drag =
                if dragged > 0.0 { missing.signum() * missing.abs().min(dragged) / dragged } else { 0.0 };
            let left = missing - drag * dragged;
            let start = fixture.resistance.start_factor.value;
            let rubs = if gear > 0.0 { left.signum() * (left.abs() / gear).min(start) } else { 0.0 };
            if (loads.held.friction - rubs * gear - drag * dragged).abs() > LEFT * sum.scale.max(1.0) {
                ledger.fails("friction", format!("seed {seed}, {}, {travel}: {:?}", rider.name, loads.held));
            }
            (rubs, drag)
        }
    };
    for applied in drags {
        sum.add(DVec3::X * (drag * applied.at_travel(travel)), applied.at.unwrap_or(centre));
    }
    for (contact, push) in contacts.iter().zip(&loads.equilibrium.forces) {
        let (normal, friction) = match contact.carrier {
            Carrier::Wheel(wheel) => (loads.wheels[wheel].normal, wheels[wheel]),
            Carrier::Shoe(shoe) => (loads.shoes[shoe].normal, shoes[shoe]),
        };
        sum.add(contact.spring.normal * *push, contact.spring.point);
        if normal > 0.0 {
            sum.add(DVec3::X * (rubs * friction * push / normal), contact.spring.point);
        }
        if *push < -LEFT * sum.scale {
            ledger.fails("a rail that pulls", format!("seed {seed}, {}, {travel}", rider.name));
        }
    }
    // A wheel that has lifted still turns against its grease: by how much its place matters is within a groove.
    for (wheel, load) in loads.wheels.iter().enumerate().filter(|(_, load)| !(load.normal > 0.0)) {
        let track = fixture.rail.tracks[rider.wheels[wheel].track].middle;
        sum.add(DVec3::X * (rubs * wheels[wheel]), DVec3::new(load.at.x, track.x, track.y));
    }
    // What is left along the rail is held at the grip, or taken at the centre of mass.
    let by_hand = rider.coupling != Coupling::Lead || fixture.drive == Drive::Hand;
    let at = rider.grip.as_ref().filter(|_| by_hand).map_or(centre, |grip| grip.at);
    // What is tied to others that hold is held by the line.
    let at = if moved.is_none() && loads.held.line != 0.0 {
        line.iter().map(|(_, at)| *at).sum::<DVec3>() / line.len() as f64
    } else {
        at
    };
    let along = -sum.force.x;
    sum.add(DVec3::X * along, at);
    let held = loads.held.line + loads.held.grip + loads.held.nothing;
    if moved.is_none() && (along - held).abs() > 10.0 * LEFT * sum.scale {
        ledger
            .fails("what holds", format!("seed {seed}, {}, {travel}: {along} {:?}", rider.name, loads.held));
    }
    if !(sum.force.length() <= LEFT * sum.scale && sum.moment.length() <= LEFT * sum.scale * sum.arm) {
        ledger.fails(
            "balance",
            format!(
                "seed {seed}, {}, travel {travel}, moved {moved:?}: left {} N, {} N·mm of {} N; {:?}",
                rider.name, sum.force, sum.moment, sum.scale, loads.equilibrium.ending
            ),
        );
    }
    true
}
