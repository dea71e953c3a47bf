//! What a motor must give, against sums made by hand.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{Recipe, fixture};
use glam::{DVec2, DVec3};
use glidewright_motion::*;

const PULLEY: f64 = 20.0 * 2.0 / std::f64::consts::TAU;
const IDLER: f64 = 8.0;
const NO_LOAD: f64 = 0.5;

fn motor() -> Motor {
    Motor {
        name: "motor".into(),
        efficiency: 0.8,
        inertia: 5.4,
        torque_by_speed: vec![(0.0, 250.0), (300.0, 240.0), (600.0, 180.0), (1200.0, 80.0)],
        profile: SpeedProfile { speed: 250.0, acceleration: 1500.0 },
        continuous: None,
    }
}

/// One rider on a lying rail, drawn by a belt from a driven pulley to an idler and back. Only the bearings' no-load
/// torque resists, so that the resistance is known beforehand and the same everywhere.
fn shuttle(motor: Motor) -> Fixture {
    let mut fixture = fixture(&Recipe::default());
    fixture.rail.stand = Stand { incline: 0.0, roll: 0.0 };
    fixture.riders.truncate(1);
    fixture.obstacles.clear();
    let none = || Coefficient::assumed(0.0);
    fixture.resistance = Resistance {
        bearing: none(),
        no_load_torque: Coefficient::assumed(NO_LOAD),
        flank: none(),
        hysteresis: none(),
        shoe: none(),
        start_factor: Coefficient::assumed(2.0),
    };
    let pulley = |kind, x: f64, radius: f64, bearings, inertia| {
        LineNode::Pulley(Pulley {
            name: format!("{kind:?}"),
            path: "line/pulley".into(),
            rider: None,
            centre: DVec2::new(x, 0.0),
            radius,
            turn: Turn::Left,
            kind,
            width: 7.0,
            bore: 5.0,
            bearings,
            inertia,
            mass: 0.0,
            teeth: 0,
        })
    };
    let clamp = |x: f64, z: f64| LineNode::Anchor {
        name: "clamp".into(),
        path: String::new(),
        rider: Some(0),
        at: DVec3::new(x, 0.0, z),
        tail: 20.0,
    };
    let line = fixture.line.as_mut().unwrap();
    line.bending_loss = none();
    line.pretension = Coefficient::assumed(20.0);
    line.mass_per_metre = 0.0;
    line.kind = LineKind::Flat;
    line.nodes = vec![
        clamp(-20.0, PULLEY),
        pulley(PulleyKind::Driven, -40.0, PULLEY, 0, 3.0),
        pulley(PulleyKind::Idler, 740.0, IDLER, 2, 2.0),
        clamp(20.0, IDLER),
    ];
    fixture.drive = Drive::Motor(motor);
    fixture
}

/// Resistance at the rider, from its eight bearings and the idler's two (N).
fn resistance(fixture: &Fixture) -> f64 {
    let radius = Assembly::new(fixture).riders[0].stacks[0].seating.clone().unwrap().rolling_radius();
    8.0 * NO_LOAD / radius + 2.0 * NO_LOAD / IDLER
}

/// Everything that moves, as a mass on the rider (kg): itself, J/r₀² of its wheels, and J/r² of both pulleys.
fn moving(fixture: &Fixture) -> f64 {
    let assembly = Assembly::new(fixture);
    let wheels: f64 = assembly.riders[0]
        .stacks
        .iter()
        .map(|stack| {
            turning_inertia(&common::wheel(25.0, 13.0))
                / stack.seating.clone().unwrap().rolling_radius().powi(2)
        })
        .sum();
    assembly.riders[0].mass.total() + wheels + 3.0 / PULLEY.powi(2) + 2.0 / IDLER.powi(2)
}

fn near(got: f64, expected: f64, relative: f64) {
    assert!((got - expected).abs() <= relative * expected.abs(), "got {got}, expected {expected}");
}

fn find<'a>(results: &'a Results, code: &str) -> Option<&'a Finding> {
    results.findings.iter().find(|finding| finding.code == code)
}

/// τ = (F + m·a)·r/η + J·a/r in each phase of the trapezoid; what brakes is helped by the losses. Peak and root mean
/// square from the three constants, times and speed from the trapezoid.
#[test]
fn torque_of_a_trapezoid_by_hand() {
    let motor = motor();
    let fixture = shuttle(motor.clone());
    let results = analyse(&fixture);
    let drive = results.drive.as_ref().unwrap();
    let (force, mass) = (resistance(&fixture), moving(&fixture));
    near(results.curves.running_up[0], force, 1e-9);
    near(results.curves.effective_mass, mass, 1e-9);
    near(drive.radius, PULLEY, 1e-12);
    let SpeedProfile { speed, acceleration } = motor.profile;
    let inertia = mass * acceleration * 1e-3;
    let rotor = motor.inertia * acceleration / PULLEY * 1e-3;
    let at_motor = |force: f64| if force > 0.0 { force * PULLEY / 0.8 } else { force * PULLEY * 0.8 };
    let phases = [
        (speed / acceleration, at_motor(force + inertia) + rotor),
        ((480.0 - speed * speed / acceleration) / speed, at_motor(force)),
        (speed / acceleration, at_motor(force - inertia) - rotor),
    ];
    assert!(phases[2].1 < 0.0, "it brakes");
    for stroke in [&drive.up, &drive.down] {
        let at = |time: f64| stroke.time.iter().position(|t| *t > time).unwrap();
        let mut begins = 0.0;
        for (time, torque) in phases {
            near(stroke.torque[at(begins + 0.5 * time)], torque, 1e-9);
            begins += time;
        }
        near(stroke.duration(), begins, 1e-12);
        let squares: f64 = phases.iter().map(|(time, torque)| time * torque * torque).sum();
        near(stroke.rms_torque, (squares / begins).sqrt(), 1e-9);
        near(stroke.starting_torque, at_motor(2.0 * force + inertia) + rotor, 1e-9);
        let end = if stroke.towards == Way::Growing { 480.0 } else { 0.0 };
        assert!((stroke.travel.last().unwrap() - end).abs() < 1e-9);
    }
    near(drive.peak_torque, at_motor(2.0 * force + inertia) + rotor, 1e-9);
    near(drive.rms_torque, drive.up.rms_torque, 1e-12);
    near(drive.peak_speed, speed / (std::f64::consts::TAU * PULLEY) * 60.0, 1e-12);
    near(drive.inertia_ratio().unwrap(), mass * PULLEY * PULLEY / motor.inertia, 1e-12);
}

/// What goes in comes out: without losses between motor and belt, and from rest to rest, the motor's work over a
/// stroke is the resistance times the way, and on an upright rail what the weights gain besides.
#[test]
fn the_motors_work_is_what_resists_and_what_rises() {
    for upright in [false, true] {
        let mut fixture = shuttle(Motor { efficiency: 1.0, ..motor() });
        if upright {
            fixture.rail.stand = Stand { incline: std::f64::consts::FRAC_PI_2, roll: 0.0 };
            // A spring that pushes it up less and less.
            fixture.riders[0].forces.push(AppliedForce {
                name: "spring".into(),
                path: "spring".into(),
                acts: ForceAction::Pushes,
                at: None,
                table: vec![(0.0, 30.0), (480.0, 5.0)],
            });
        }
        let results = analyse(&fixture);
        let drive = results.drive.as_ref().unwrap();
        let lost = resistance(&fixture) * 480.0;
        let gained = results.curves.energy.last().unwrap();
        for (stroke, sign) in [(&drive.up, 1.0), (&drive.down, -1.0)] {
            let work: f64 = (1..stroke.time.len())
                .map(|i| {
                    // Torque times the angle turned; torque runs straight and speed as well: Simpson's rule.
                    let time = stroke.time[i] - stroke.time[i - 1];
                    let power = |torque: f64, speed: f64| torque * speed / PULLEY;
                    let ends = power(stroke.torque[i - 1], stroke.speed[i - 1])
                        + power(stroke.torque[i], stroke.speed[i]);
                    let middle = power(
                        0.5 * (stroke.torque[i - 1] + stroke.torque[i]),
                        0.5 * (stroke.speed[i - 1] + stroke.speed[i]),
                    );
                    time * (ends + 4.0 * middle) / 6.0
                })
                .sum();
            near(work, lost + sign * gained, 1e-5);
        }
    }
}

/// Torque available at a speed lies straight between the points of the motor's table, and the margin is the least of
/// available over needed.
#[test]
fn the_motors_table_is_held_against_what_is_needed() {
    let results = analyse(&shuttle(motor()));
    let drive = results.drive.as_ref().unwrap();
    let speed = drive.peak_speed;
    assert!(speed > 300.0 && speed < 600.0);
    let fastest = drive.up.pulley_speed.iter().position(|s| *s >= speed - 1e-9).unwrap();
    near(drive.up.available[fastest], 240.0 - (speed - 300.0) / 300.0 * 60.0, 1e-9);
    let most = |stroke: &Move| stroke.torque.iter().copied().fold(0.0, f64::max);
    let margin = (250.0 / drive.peak_torque).min(drive.up.available[fastest] / most(&drive.up));
    near(drive.least_margin.unwrap(), margin, 1e-9);
    assert_eq!(find(&results, "drive.torque").unwrap().severity, Severity::Note);

    let with_table = |share: f64| {
        let table = motor().torque_by_speed.iter().map(|(s, t)| (*s, t * share)).collect();
        analyse(&shuttle(Motor { torque_by_speed: table, ..motor() }))
    };
    let enough = 1.0 / margin;
    let weak = with_table(0.99 * enough);
    assert_eq!(find(&weak, "drive.torque").unwrap().severity, Severity::Fails);
    let scarce = with_table(1.1 * enough);
    assert_eq!(find(&scarce, "drive.torque").unwrap().severity, Severity::Marginal);
    let fast =
        analyse(&shuttle(Motor { profile: SpeedProfile { speed: 900.0, acceleration: 9000.0 }, ..motor() }));
    assert_eq!(find(&fast, "drive.speed").unwrap().severity, Severity::Fails);
    // Without a table there is nothing to hold against.
    let open = analyse(&shuttle(Motor { torque_by_speed: Vec::new(), ..motor() }));
    assert_eq!(open.drive.as_ref().unwrap().least_margin, None);
    assert_eq!(find(&open, "drive.torque").unwrap().limit, None);
}

/// A motor warms by the root mean square of its torque: it is held against what the motor may give for long.
#[test]
fn the_root_mean_square_is_held_against_the_continuous_torque() {
    let with = |continuous: Option<f64>| analyse(&shuttle(Motor { continuous, ..motor() }));
    let rms = with(None).drive.unwrap().rms_torque;
    assert!(find(&with(None), "drive.warm").is_none());
    let warm = with(Some(0.9 * rms));
    let finding = find(&warm, "drive.warm").unwrap();
    assert_eq!(finding.severity, Severity::Marginal);
    near(finding.value.unwrap(), rms, 1e-12);
    near(finding.limit.unwrap(), 0.9 * rms, 1e-12);
    assert!(find(&with(Some(1.1 * rms)), "drive.warm").is_none());
}

/// While it accelerates, the motor draws the rider by one side of the belt and lets the other go by as much; with
/// too little pretension that side goes slack, though it does not at steady speed.
#[test]
fn a_belt_goes_slack_when_accelerated_too_hard() {
    let with = |pretension: f64, acceleration: f64| {
        let mut fixture = shuttle(Motor { profile: SpeedProfile { speed: 250.0, acceleration }, ..motor() });
        fixture.line.as_mut().unwrap().pretension = Coefficient::assumed(pretension);
        analyse(&fixture)
    };
    let calm = with(5.0, 100.0);
    assert!(find(&calm, "belt.slack").is_none());
    let hard = with(5.0, 9000.0);
    let finding = find(&hard, "belt.slack").unwrap();
    // Runs from the driven pulley share what the rider takes evenly: T − (F + m·a)/2, the idler's part in the run to it.
    let fixture = shuttle(motor());
    let own = moving(&fixture) - 3.0 / PULLEY.powi(2) - 2.0 / IDLER.powi(2);
    let drawn = own * 9.0
        + 8.0 * NO_LOAD
            / Assembly::new(&fixture).riders[0].stacks[0].seating.clone().unwrap().rolling_radius();
    let least = finding.value.unwrap();
    assert!((least - (5.0 - 0.5 * drawn)).abs() < 0.2, "{least} {drawn}");
    assert!(find(&with(10.0, 9000.0), "belt.slack").is_none());
}
