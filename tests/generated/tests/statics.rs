//! Every rider of every generated fixture in balance at every station, added up again from its parts.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

mod common;

use common::{Ledger, fixtures};
use glidewright_geometry::DVec3;
use glidewright_motion::loads::SolveEnding;
use glidewright_motion::{Assembly, Fixture, ForceAction, Results, RiderResults, TravelCurves};

/// Known failures.
const KNOWN: &[(&str, &str)] = &[];

/// What is left of forces and moments is a share of those that act.
const LEFT: f64 = 1e-6;

#[test]
fn forces_and_moments_of_every_rider_add_up_to_nothing() {
    let mut ledger = Ledger::new(KNOWN);
    let mut stations = 0;
    for generated in fixtures(24) {
        let results = standing(&generated.fixture);
        for number in 0..generated.fixture.riders.len() {
            // What a line pulls is another test's.
            if generated.fixture.line.is_some() {
                continue;
            }
            stations += balance(&mut ledger, generated.seed, &generated.fixture, &results, number);
        }
    }
    assert!(stations > 1000, "{stations} stations");
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

/// Holds a rider's contact forces against its weight and what pushes it. Gives how many stations were looked at.
fn balance(ledger: &mut Ledger, seed: u64, fixture: &Fixture, results: &Results, number: usize) -> usize {
    let rider = &fixture.riders[number];
    let items = &results.assembly.riders[number].mass.items;
    let contacts = &results.riders[number].contacts;
    let down = fixture.rail.stand.down() * 9.80665;
    let mass: f64 = items.iter().map(|item| item.mass).sum();
    let centre = items.iter().map(|item| item.centre * item.mass).sum::<DVec3>() / mass;
    let held = rider.grip.as_ref().map_or(centre, |grip| grip.at);
    let mut seen = 0;
    for (station, loads) in results.curves.loads[number].iter().enumerate() {
        let travel = results.curves.travel[station];
        if loads.equilibrium.ending == SolveEnding::Unrestrained {
            continue;
        }
        seen += 1;
        let mut force = down * mass;
        let mut moment = centre.cross(force);
        for applied in rider.forces.iter().filter(|applied| applied.acts == ForceAction::Pushes) {
            let push = DVec3::X * applied.at_travel(travel);
            force += push;
            moment += applied.at.unwrap_or(centre).cross(push);
        }
        // Whatever is missing along the rail is made up for where it is held.
        let along = DVec3::X * -force.x;
        force += along;
        moment += held.cross(along);
        let mut arm = 1.0_f64;
        let mut scale = down.length() * mass;
        for (contact, push) in contacts.iter().zip(&loads.equilibrium.forces) {
            let push = contact.spring.normal * *push;
            force += push;
            moment += contact.spring.point.cross(push);
            arm = arm.max(contact.spring.point.length());
            scale = scale.max(push.length());
            if contact.spring.normal.dot(push) < -LEFT * scale {
                ledger.fails("a rail that pulls", format!("seed {seed}, {}, {travel}", rider.name));
            }
        }
        arm = arm.max(centre.length()).max(held.length());
        if !(force.length() <= LEFT * scale && moment.length() <= LEFT * scale * arm) {
            ledger.fails(
                "balance",
                format!(
                    "seed {seed}, {}, travel {travel}: left {force} N, {moment} N·mm of {scale} N; {:?}",
                    rider.name, loads.equilibrium.ending
                ),
            );
        }
    }
    seen
}
