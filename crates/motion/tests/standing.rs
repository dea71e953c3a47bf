//! How riders stand: shoes, axles that give, given stiffness, free motions in words, loads while moving.
#![allow(
    clippy::expect_used,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that cannot go on may stop"
)]

mod common;

use common::{Recipe, close, fixture, material, motor, shoe, weight, weightless};
use glam::{DVec2, DVec3};
use glidewright_motion::loads::*;
use glidewright_motion::*;

/// One rider without belt, weight or press.
fn alone() -> Fixture {
    let mut fixture = weightless();
    fixture.riders[0].wheels.iter_mut().for_each(|wheel| wheel.press = 0.0);
    fixture
}

fn case(fixture: &Fixture) -> LoadCase {
    LoadCase::new(fixture, &Assembly::new(fixture), 0)
}

fn near(got: f64, expected: f64, relative: f64) {
    assert!((got - expected).abs() <= relative * expected.abs(), "got {got}, expected {expected}");
}

/// Two shoes of length ℓ at ±a on a flat face under a weight W at x: an evenly elastic bed of stiffness k per shoe
/// takes up the moment by 2k(a² + ℓ²/12), so the shoes bear W(½ ± ax/(2a² + ℓ²/6)) (statics of a rigid beam on
/// elastic beds, own).
#[test]
fn shoes_share_as_elastic_beds() {
    let mut fixture = alone();
    fixture.rail.stand = Stand { incline: 0.0, roll: 0.0 };
    fixture.rail.tracks = vec![Track {
        name: "top".into(),
        middle: DVec2::new(0.0, 15.0),
        normal: DVec2::Y,
        profile: TrackProfile::Flat { width: 20.0 },
    }];
    let rider = &mut fixture.riders[0];
    rider.wheels.clear();
    rider.plates[0].level = Some(20.0);
    rider.shoes = [-40.0, 40.0].map(|along| shoe(0, along, 20.0)).to_vec();
    rider.loads = vec![weight(10.0, DVec3::new(12.0, 0.0, 50.0))];
    let results = analyse(&fixture);
    let loads = &results.curves.loads[0][0];
    assert_eq!(loads.equilibrium.ending, SolveEnding::Exact);
    let share = 40.0 * 12.0 / (2.0 * 1600.0 + 400.0 / 6.0);
    near(loads.shoes[0].normal, 10.0 * (0.5 - share), 1e-9);
    near(loads.shoes[1].normal, 10.0 * (0.5 + share), 1e-9);
    assert!(loads.shoes[1].radial > 0.0 && loads.shoes[1].centre > 40.0);
    // Sideways and in its own plane nothing holds it, and that is said.
    let free = results.riders[0].unrestrained.as_ref().expect("free");
    assert!(!free.driven);
    assert!(results.findings.iter().any(|f| f.code == "rider.unrestrained"));
    // A weight beyond the shoes' ends tips it.
    fixture.riders[0].loads = vec![weight(10.0, DVec3::new(51.0, 0.0, 50.0))];
    let tipped = analyse(&fixture);
    assert!(tipped.riders[0].unrestrained.as_ref().is_some_and(|free| free.driven));
}

/// A wheel whose stiffness is given bears press × stiffness.
#[test]
fn a_given_stiffness_is_taken() {
    let mut fixture = alone();
    for wheel in &mut fixture.riders[0].wheels {
        wheel.press = 0.05;
        wheel.stiffness = Some(200.0);
    }
    let loads = case(&fixture).loads(&Wrench::default());
    for wheel in &loads.wheels {
        near(wheel.radial, 10.0, 1e-9);
    }
}

/// On tyre, rail and plate that do not give, a pressed wheel bears press × 3EI/L³ of its screw: a cantilever from the
/// plate's inner face to the wheel's middle, I of the stress area's diameter.
#[test]
fn a_screw_bends_as_a_cantilever() {
    let mut fixture = alone();
    fixture.rail.material = material("rigid", 2700.0, 1e10);
    for wheel in &mut fixture.riders[0].wheels {
        wheel.press = 0.01;
        // Nothing is clamped: the screw alone.
        wheel.stack.screw.torque = Some(0.0);
        for piece in &mut wheel.stack.pieces {
            if let PieceKind::Wheel(wheel) = &mut piece.kind {
                wheel.tyre = material("rigid", 1410.0, 1e10);
            }
        }
    }
    fixture.riders[0].plates[0].material.youngs = 0.0;
    let loads = case(&fixture).loads(&Wrench::default());
    let diameter = 2.0 * (stress_area(6.0, 1.0) / std::f64::consts::PI).sqrt();
    let length: f64 = 15.0 + 1.0 + 6.5;
    let stiffness = 3.0 * 205_000.0 * std::f64::consts::PI * diameter.powi(4) / 64.0 / length.powi(3);
    for wheel in &loads.wheels {
        near(wheel.radial, 0.01 * stiffness, 1e-4);
    }
    // With a plate that bends, the same press bears less: the beam between the axles turns by Fℓ·a/(2EI).
    fixture.riders[0].plates[0].material.youngs = 2100.0;
    fixture.riders[0].plates[0].fill = 1.0;
    let softer = case(&fixture).loads(&Wrench::default());
    let assembly = Assembly::new(&fixture);
    let across: Vec<f64> = assembly.riders[0].stacks.iter().map(|stack| stack.at.y).collect();
    let span =
        across.iter().copied().fold(f64::MIN, f64::max) - across.iter().copied().fold(f64::MAX, f64::min);
    let plate = span / (2.0 * 2100.0 * 60.0 * 6f64.powi(3) / 12.0) * length.powi(2);
    near(softer.wheels[0].radial, 0.01 / (1.0 / stiffness + plate), 1e-4);
}

/// Free motions are named by what they turn about.
#[test]
fn free_motions_are_named() {
    let words = |keep: &[&str], wrench: Wrench| {
        let mut fixture = alone();
        fixture.riders[0].wheels.retain(|wheel| keep.contains(&wheel.name.as_str()));
        let loads = case(&fixture).loads(&wrench);
        if loads.equilibrium.ending != SolveEnding::Unrestrained {
            return format!("{:?}", loads.equilibrium.ending);
        }
        let motion = loads.equilibrium.free.expect("the motion");
        loose_words(&fixture, &fixture.riders[0], &motion)
    };
    let turn = |moment: DVec3| Wrench { force: DVec3::ZERO, moment };
    let both = ["upper left", "upper right"];
    assert_eq!(words(&both, turn(DVec3::Z * 50.0)), "turn about the upper left and upper right axles");
    assert_eq!(words(&both, turn(DVec3::Y * 50.0)), "tip over the upper left and upper right wheels");
    assert_eq!(words(&["upper left"], turn(DVec3::Z * 50.0)), "turn about the upper left axle");
    let left = ["upper left", "lower left"];
    assert_eq!(words(&left, turn(DVec3::X * 50.0)), "roll about the left front track");
    let away = Wrench { force: DVec3::NEG_Y * 5.0, moment: DVec3::ZERO };
    assert_eq!(words(&[], away), "shift sideways, across the rail");
}

/// A named point sags as the pose says, and its sag counts in the direction of gravity.
#[test]
fn a_point_on_a_long_arm_sags() {
    let mut fixture = alone();
    fixture.rail.stand = Stand { incline: 0.0, roll: 0.0 };
    let rider = &mut fixture.riders[0];
    for wheel in &mut rider.wheels {
        wheel.press = 0.02;
    }
    let tip = DVec3::new(200.0, 0.0, 40.0);
    rider.loads = vec![weight(8.0, tip)];
    rider.points = vec![NamedPoint { name: "tip".into(), path: "tip".into(), at: tip }];
    let results = analyse(&fixture);
    let point = &results.riders[0].points[0];
    let pose = results.riders[0].pose(0);
    assert!((point.sag + pose.of_point(tip).z).abs() < 1e-12 && point.sag > 0.02, "{point:?}");
    // Work done on the way: the weight alone moves its own point by F/k, so twice the weight sags further.
    fixture.riders[0].loads = vec![weight(16.0, tip)];
    let heavier = analyse(&fixture);
    assert!(heavier.riders[0].points[0].sag > 1.5 * point.sag);
}

/// Accelerated without friction, a rider bears the couple of its inertia at its centre and the belt's pull at its
/// clamp: m·a times the distance between them.
#[test]
fn acceleration_turns_a_rider() {
    let mut fixture = fixture(&Recipe::default());
    fixture.rail.stand = Stand { incline: 0.0, roll: 0.0 };
    fixture.resistance = Resistance {
        bearing: Coefficient::assumed(0.0),
        no_load_torque: Coefficient::assumed(0.0),
        flank: Coefficient::assumed(0.0),
        hysteresis: Coefficient::assumed(0.0),
        shoe: Coefficient::assumed(0.0),
        start_factor: Coefficient::assumed(1.0),
    };
    // A loop from a driven pulley to an idler and back, both ends clamped to the rider at one height; wheels of no
    // weight, whose turning takes nothing.
    fixture.riders.truncate(1);
    for piece in fixture.riders[0].wheels.iter_mut().flat_map(|wheel| &mut wheel.stack.pieces) {
        if let PieceKind::Wheel(wheel) = &mut piece.kind {
            wheel.mass = 0.0;
        }
    }
    let line = fixture.line.as_mut().unwrap();
    line.bending_loss = Coefficient::assumed(0.0);
    line.mass_per_metre = 0.0;
    close(line, [0.0, 50.0], 40.0);
    fixture.drive = motor(200.0, 2000.0);
    let results = analyse(&fixture);
    let mass = &results.assembly.riders[0].mass;
    let (rest, moving) = (&results.curves.loads[0][0], &results.curves.moving[0]);
    let clamp = DVec3::new(60.0, 0.0, 50.0);
    let couple = (clamp - mass.centre()).cross(DVec3::X * mass.total() * 2.0);
    for (loads, sign) in [(&moving.up[0], 1.0), (&moving.down[0], -1.0)] {
        let change = loads.wrench.moment - rest.wrench.moment;
        assert!((change - couple * sign).length() < 1e-9 * couple.length(), "{change} {couple}");
    }
    assert_eq!(moving.up.len(), STATIONS);
}

/// The radius in which a flank meets the rail, against the cone itself: a little way along the rail the wheel's
/// surface has risen off the tangent by s²/2R (Meusnier's theorem says R = r/cos γ).
#[test]
fn a_flank_is_curved_as_its_cone() {
    let fixture = alone();
    let case = case(&fixture);
    let assembly = Assembly::new(&fixture);
    let stack = &assembly.riders[0].stacks[0];
    let axle = stack.point(Facing::Front, stack.datum);
    for contact in case.contacts().iter().filter(|contact| contact.carrier == Carrier::Wheel(0)) {
        let contact::Form::Line { radius, .. } = contact.pairing.form else { panic!("a line") };
        let normal = contact.spring.normal;
        // Above 0 outside the wheel. Its tip is 5.5 wide at 25, its flanks fall at 45°.
        let outside = |at: DVec3| {
            let off = at - axle;
            let along = off.dot(contact.axial);
            let surface = 25.0 - (along.abs() - 2.75) / std::f64::consts::FRAC_PI_4.tan();
            (off - contact.axial * along).length() - surface
        };
        assert!(outside(contact.spring.point).abs() < 1e-9);
        let step = 0.05;
        let (mut low, mut high) = (-0.01, 0.01);
        for _ in 0..100 {
            let middle = 0.5 * (low + high);
            if outside(contact.spring.point + DVec3::X * step + normal * middle) > 0.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        near(step * step / (2.0 * low), radius, 1e-3);
    }
}
