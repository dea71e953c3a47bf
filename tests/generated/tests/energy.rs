//! Work along the stroke of every generated fixture: what hand or motor puts in is what the weights gain, less what pushes
//! gives, and what friction takes.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

mod common;

use common::{by_hand, fixtures, resists, smooth};
use glidewright_motion::{
    Assembly, Drive, Fixture, ForceAction, LineModel, LineNode, PulleyKind, TravelCurves, Way, forces,
    rider_ratio,
};

/// Work that is not accounted for may be this share of all that is done: friction is found to within 3e-7 of itself.
const LEFT: f64 = 2e-6;

/// Places and weights of Gauss and Legendre's rule on −1 to 1 (Abramowitz & Stegun, table 25.4, n = 5).
const RULE: [(f64, f64); 5] = [
    (-0.906_179_845_938_664, 0.236_926_885_056_189),
    (-0.538_469_310_105_683, 0.478_628_670_499_366),
    (0.0, 0.568_888_888_888_889),
    (0.538_469_310_105_683, 0.478_628_670_499_366),
    (0.906_179_845_938_664, 0.236_926_885_056_189),
];

/// Stations along the stroke with their weights (mm), such that forces that change straight between the points of their
/// tables are summed exactly.
fn stations(fixture: &Fixture) -> (Vec<f64>, Vec<f64>) {
    const PIECES: u32 = 6;
    let (from, to) = (fixture.stroke.from, fixture.stroke.to);
    let mut knots: Vec<f64> =
        (0..=PIECES).map(|i| from + (to - from) * f64::from(i) / f64::from(PIECES)).collect();
    let tables = fixture.riders.iter().flat_map(|rider| &rider.forces).flat_map(|force| &force.table);
    knots.extend(tables.map(|(travel, _)| *travel).filter(|travel| (from..to).contains(travel)));
    knots.sort_by(f64::total_cmp);
    let pieces = knots.windows(2).flat_map(|pair| {
        let (middle, half) = (0.5 * (pair[0] + pair[1]), 0.5 * (pair[1] - pair[0]));
        RULE.map(|(at, weight)| (middle + half * at, half * weight))
    });
    pieces.unzip()
}

/// Curves of a fixture, with the weights of their stations; `None` where it jams or its line hangs slack, so that what the
/// line ties together does not move together.
fn curves(fixture: &Fixture, assembly: &Assembly) -> Option<(TravelCurves, Vec<f64>)> {
    let (at, weights) = stations(fixture);
    let curves = TravelCurves::new(fixture, assembly, &at);
    let mut pulls = curves.line_pulls.iter().chain(&curves.line_pulls_up).chain(&curves.line_pulls_down);
    let is_taut = pulls.all(|pulls| !pulls.is_slack());
    (is_taut && !curves.jams_somewhere()).then_some((curves, weights))
}

/// What everything that moves with the lead has gained over the stroke: weights lifted, less the work of what pushes
/// (N·mm).
fn gained(fixture: &Fixture, assembly: &Assembly, travel: &[f64], weights: &[f64]) -> f64 {
    let stroke = fixture.stroke.to - fixture.stroke.from;
    let down = 9.80665 * fixture.rail.stand.down().x;
    let riders: f64 = (0..fixture.riders.len())
        .map(|number| {
            let mass: f64 = assembly.riders[number].mass.items.iter().map(|item| item.mass).sum();
            let pushes = fixture.riders[number].forces.iter().filter(|f| f.acts == ForceAction::Pushes);
            let work: f64 =
                pushes.flat_map(|f| travel.iter().zip(weights).map(|(at, w)| w * f.at_travel(*at))).sum();
            -rider_ratio(fixture, number) * (mass * down * stroke + work)
        })
        .sum();
    let line = |travel: f64| forces::line_energy(fixture, travel).unwrap_or(0.0);
    riders + line(fixture.stroke.to) - line(fixture.stroke.from)
}

/// What friction takes at a station per length of the lead's travel, added up wheel by wheel, shoe by shoe, pulley by
/// pulley (N).
fn lost(fixture: &Fixture, assembly: &Assembly, curves: &TravelCurves, station: usize, way: Way) -> f64 {
    let riders: f64 = (0..fixture.riders.len())
        .map(|number| {
            let moving = &curves.moving[number];
            let loads = &(if way == Way::Growing { &moving.up } else { &moving.down })[station];
            let (wheels, shoes) = resists(fixture, assembly, number, loads);
            let drags = fixture.riders[number].forces.iter().filter(|f| f.acts == ForceAction::Drags);
            let dragged: f64 = drags.map(|force| force.at_travel(curves.travel[station])).sum();
            let gear: f64 = wheels.iter().chain(&shoes).sum();
            rider_ratio(fixture, number).abs() * (gear + dragged)
        })
        .sum();
    let pulls = if way == Way::Growing { &curves.line_pulls_up } else { &curves.line_pulls_down };
    riders + pulls[station].losses.iter().map(|loss| loss.total()).sum::<f64>()
}

/// Holds the work of both ways against what is gained and lost; gives what is lost.
fn balanced(seed: u64, fixture: &Fixture) -> Option<f64> {
    let assembly = &Assembly::new(fixture);
    let (curves, weights) = curves(fixture, assembly)?;
    let work = |efforts: &[f64]| efforts.iter().zip(&weights).map(|(effort, w)| effort * w).sum::<f64>();
    let gained = gained(fixture, assembly, &curves.travel, &weights);
    let mut all = 0.0;
    for (way, efforts, gained) in
        [(Way::Growing, &curves.effort_up, gained), (Way::Falling, &curves.effort_down, -gained)]
    {
        let lost: f64 = (0..weights.len())
            .map(|station| weights[station] * lost(fixture, assembly, &curves, station, way))
            .sum();
        let (put_in, size) = (work(efforts), efforts.iter().zip(&weights).map(|(e, w)| (e * w).abs()));
        let size = size.sum::<f64>() + gained.abs() + lost + 0.1;
        assert!(
            (put_in - gained - lost).abs() <= LEFT * size,
            "seed {seed}, {way:?}: {put_in} N·mm put in, {gained} gained, {lost} lost"
        );
        all += lost;
    }
    Some(all)
}

#[test]
fn work_is_gained_or_lost() {
    let (mut seen, mut on_lines, mut lossy) = (0, 0, 0);
    for (seed, fixture) in by_hand(60) {
        if let Some(lost) = balanced(seed, &fixture) {
            seen += 1;
            on_lines += usize::from(fixture.line.is_some());
            lossy += usize::from(lost > 0.0);
        }
    }
    assert!(
        seen > 30 && on_lines > 5 && lossy == seen,
        "{seen} fixtures, {on_lines} with a line, {lossy} with losses"
    );
}

#[test]
fn without_friction_nothing_is_lost() {
    let mut seen = 0;
    for (seed, mut fixture) in by_hand(60) {
        smooth(&mut fixture);
        if let Some(lost) = balanced(seed, &fixture) {
            assert!(lost == 0.0, "seed {seed}: {lost} N·mm");
            seen += 1;
        }
    }
    assert!(seen > 30, "{seen} fixtures");
}

/// What a pulley takes of a line without weight is the difference of the pulls on both its sides, at the line's speed.
#[test]
fn pulleys_take_the_difference_of_the_pulls() {
    let mut seen = 0;
    for (seed, mut fixture) in by_hand(60) {
        let Some(line) = &mut fixture.line else { continue };
        line.mass_per_metre = 0.0;
        let assembly = Assembly::new(&fixture);
        let Some((curves, _)) = curves(&fixture, &assembly) else { continue };
        for (travel, pulls) in curves.travel.iter().zip(&curves.line_pulls_up) {
            let model = LineModel::new(&fixture, *travel).unwrap().unwrap();
            for loss in &pulls.losses {
                let node = &fixture.line.as_ref().unwrap().nodes[loss.node];
                if !matches!(node, LineNode::Pulley(pulley) if pulley.kind != PulleyKind::Driven) {
                    continue;
                }
                let (before, after) = (pulls.spans[loss.node - 1][1], pulls.spans[loss.node][0]);
                let took = (after - before).abs() * model.flow()[loss.node].abs();
                assert!(
                    (loss.total() - took).abs() <= 1e-9 * (1.0 + before + after),
                    "seed {seed}, travel {travel}: {loss:?}, {before} N and {after} N"
                );
                seen += 1;
            }
        }
    }
    assert!(seen > 200, "{seen} pulleys");
}

/// A motor's torque through the angle it turns comes to the work at the lead over its efficiency where it drives, and to its
/// efficiency's share where it brakes.
#[test]
fn a_motor_does_the_work_of_the_effort_over_its_efficiency() {
    let mut seen = 0;
    for generated in fixtures(60) {
        let fixture = generated.fixture;
        let Drive::Motor(motor) = &fixture.drive else { continue };
        let assembly = Assembly::new(&fixture);
        let Some((curves, weights)) = curves(&fixture, &assembly) else { continue };
        // The angle is the travel over this.
        let radius = LineModel::new(&fixture, fixture.stroke.from).unwrap().unwrap().drive_radius().unwrap();
        let sum = |values: &[f64], of: fn(f64) -> f64| {
            values.iter().zip(&weights).map(|(value, weight)| weight * of(*value)).sum::<f64>()
        };
        for (torque, effort) in
            [(&curves.torque_up, &curves.effort_up), (&curves.torque_down, &curves.effort_down)]
        {
            let [drives, brakes] = [|v: f64| v.max(0.0), |v: f64| v.min(0.0)];
            let (motor_drives, motor_brakes) = (sum(torque, drives) / radius, sum(torque, brakes) / radius);
            let (drives, brakes) = (sum(effort, drives), sum(effort, brakes));
            let near = |a: f64, b: f64| (a - b).abs() <= LEFT * (drives - brakes);
            assert!(
                near(motor_drives * motor.efficiency, drives)
                    && near(motor_brakes, brakes * motor.efficiency),
                "seed {}: the motor {motor_drives} and {motor_brakes}, the lead {drives} and {brakes} N·mm",
                generated.seed
            );
            seen += 1;
        }
    }
    assert!(seen >= 4, "{seen} ways");
}
