//! What holds a rider along the rail, and where friction acts.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use std::f64::consts::FRAC_PI_2;

use common::{Recipe, close, fixture, motor, shoe, weight, weightless};
use glam::{DVec2, DVec3};
use glidewright_motion::loads::*;
use glidewright_motion::resistance::{Friction, WheelFactors};
use glidewright_motion::*;

const INCH: f64 = 25.4;

/// One rider of no weight of its own that moves by itself, with nothing to hold it along the rail.
fn alone() -> Fixture {
    let mut fixture = weightless();
    fixture.obstacles.clear();
    fixture
}

fn flat(y: f64) -> Track {
    Track {
        name: format!("{y}"),
        middle: DVec2::new(y, 0.0),
        normal: DVec2::new(y.signum(), 0.0),
        profile: TrackProfile::Flat { width: 20.0 },
    }
}

fn frictionless() -> Resistance {
    let none = || Coefficient::assumed(0.0);
    Resistance {
        bearing: none(),
        no_load_torque: none(),
        flank: none(),
        hysteresis: none(),
        shoe: none(),
        start_factor: Coefficient::assumed(1.0),
    }
}

fn near(got: f64, expected: f64, relative: f64) {
    assert!((got - expected).abs() <= relative * expected.abs(), "got {got}, expected {expected}");
}

fn find<'a>(results: &'a Results, code: &str) -> Option<&'a Finding> {
    results.findings.iter().find(|finding| finding.code == code)
}

/// 3 kg, 250 mm out, upright, on wheels, and neither line nor grip: what friction at the wheels does not hold, nothing
/// holds, and that is said. Rolling friction holds what it takes to break away and no more.
#[test]
fn what_nothing_holds_is_said() {
    let mut fixture = alone();
    fixture.riders[0].loads = vec![weight(3.0 * STANDARD_GRAVITY, DVec3::new(0.0, 0.0, 250.0))];
    let results = analyse(&fixture);
    let loads = &results.curves.loads[0][100];
    let needed = 3.0 * STANDARD_GRAVITY;
    near(loads.held.friction + loads.held.nothing, needed, 1e-9);
    assert_eq!((loads.held.grip, loads.held.line), (0.0, 0.0));
    // Up to what it takes to break away under these loads, wheel by wheel.
    let friction = Friction::from(&fixture.resistance);
    let breaks: f64 = results.assembly.riders[0]
        .stacks
        .iter()
        .zip(&loads.wheels)
        .map(|(stack, load)| {
            let wheel = common::wheel(25.0, 13.0);
            let rolls = stack.seating.clone().unwrap().rolling_radius();
            1.5 * WheelFactors::new(&wheel, rolls, load).with(&friction).total()
        })
        .sum();
    near(loads.held.friction, breaks, 1e-6);
    assert!(loads.held.friction > 0.3, "{:?}", loads.held);
    // Friction acts before the weight and turns the rider: not as if it were held at its centre of mass.
    assert!(loads.wrench.moment.length() > 50.0, "{:?}", loads.wrench);
    let finding = find(&results, "rider.slides").unwrap();
    assert_eq!(finding.severity, Severity::Fails);
    near(finding.value.unwrap(), needed, 1e-9);
    assert!(finding.title.to_string().contains("nothing holds it"), "{}", finding.title);

    // With a grip a hand holds what friction leaves, and the wheels bear its couple: W·z/L on each end.
    fixture.riders[0].grip = Some(Grip { name: "grip".into(), at: DVec3::new(0.0, 0.0, 40.0) });
    let held = analyse(&fixture);
    let loads = &held.curves.loads[0][100];
    assert!(loads.held.grip > 27.0 && loads.held.nothing == 0.0, "{:?}", loads.held);
    assert!(find(&held, "rider.slides").is_none());
    assert!((loads.wrench.moment.y.abs() - needed * 210.0).abs() < 0.02 * needed * 210.0);
}

/// The same on its own, beside a lead that a line carries: a rider that follows nothing is told as well.
#[test]
fn a_free_rider_on_an_upright_rail_slides() {
    let mut fixture = fixture(&Recipe::default());
    let mut free = fixture.riders[0].clone();
    free.name = "tray".into();
    free.coupling = Coupling::Free { from: 0.0, to: 50.0, at: 10.0 };
    free.at_zero = 400.0;
    fixture.riders.push(free);
    let results = analyse(&fixture);
    let slides: Vec<_> = results.findings.iter().filter(|f| f.code == "rider.slides").collect();
    assert_eq!(slides.len(), 1, "{slides:#?}");
    assert!(slides[0].title.to_string().starts_with("tray"), "{}", slides[0].title);
    // The balanced pair is held by the belt and, for what the belt's own weight leaves, by friction.
    for loads in results.curves.loads[..2].iter().flatten() {
        assert_eq!(loads.held.nothing, 0.0);
    }
}

/// Beer & Johnston, Statics, sample problem 8.3 (read, recomputed): a bracket of height L = 6 in on an upright pipe, with
/// μ = 0.25, holds a load by friction alone from x = L/(2μ) = 12 in out, however heavy; nearer to the pipe it slides.
#[test]
fn a_bracket_holds_by_friction_from_twelve_inches_on() {
    let mut fixture = alone();
    fixture.rail.tracks = vec![flat(-15.0), flat(15.0)];
    fixture.resistance.shoe = Coefficient::assumed(0.25);
    fixture.resistance.start_factor = Coefficient::assumed(1.0);
    let rider = &mut fixture.riders[0];
    rider.wheels.clear();
    rider.plates[0].level = Some(40.0);
    let half = 3.0 * INCH;
    // So short that each presses at its middle.
    rider.shoes =
        [(0, -half), (1, -half), (0, half), (1, half)].map(|(track, x)| shoe(track, x, 1e-3)).to_vec();
    for newtons in [1.0, 40.0] {
        for (inches, holds) in [(11.8, false), (8.0, false), (12.2, true), (20.0, true)] {
            fixture.riders[0].loads = vec![weight(newtons, DVec3::new(0.0, inches * INCH, 0.0))];
            let results = analyse(&fixture);
            let loads = &results.curves.loads[0][100];
            let expected = if holds { newtons } else { 0.0 };
            assert!((loads.held.friction - expected).abs() < 1e-4 * newtons, "{inches} {:?}", loads.held);
            assert_eq!(find(&results, "rider.slides").is_none(), holds, "{inches}");
            if holds {
                // The couple W·x against N·L.
                let normal = newtons * inches * INCH / (2.0 * half);
                let pressed: Vec<f64> = loads.shoes.iter().map(|shoe| shoe.normal).collect();
                near(pressed.iter().copied().fold(0.0, f64::max), normal, 1e-4);
                near(pressed.iter().sum::<f64>(), 2.0 * normal, 1e-4);
            }
        }
    }
}

/// Two shoes of length ℓ at ±a on a face that leans by 8°, and a weight W whose centre stands h above the face. Friction
/// holds W·sin 8° in the face, so the couple W·sin 8°·h goes over to the lower shoe: W·cos 8°/2 ± W·sin 8°·h·a/(2a² + ℓ²/6)
/// (statics of a rigid beam on elastic beds). Held at the centre of mass both would bear alike.
#[test]
fn shoes_on_a_slope_bear_the_couple_of_friction() {
    let mut fixture = alone();
    let slope = 8f64.to_radians();
    fixture.rail.stand = Stand { incline: slope, roll: -FRAC_PI_2 };
    // Whichever way the roll goes, the face looks up.
    let up = -fixture.rail.stand.down();
    fixture.rail.tracks = vec![flat(15.0 * up.y.signum())];
    let side = up.y.signum();
    let rider = &mut fixture.riders[0];
    rider.wheels.clear();
    rider.plates[0].level = Some(40.0);
    rider.shoes = vec![shoe(0, -20.0, 10.0), shoe(0, 20.0, 10.0)];
    let (newtons, height) = (2.0, 60.0);
    rider.loads = vec![weight(newtons, DVec3::new(0.0, side * (15.0 + height), 0.0))];
    let results = analyse(&fixture);
    let loads = &results.curves.loads[0][0];
    let couple = newtons * slope.sin() * height;
    let share = couple * 20.0 / (2.0 * 400.0 + 100.0 / 6.0);
    near(loads.held.friction, newtons * slope.sin(), 1e-9);
    near(loads.shoes[0].normal, 0.5 * newtons * slope.cos() + share, 1e-6);
    near(loads.shoes[1].normal, 0.5 * newtons * slope.cos() - share, 1e-6);
    assert!(find(&results, "rider.slides").is_none());
    // Steeper than friction holds (tan⁻¹(1.5 · 0.2) = 16.7°), it slides, and friction gives what it can.
    fixture.rail.stand.incline = 20f64.to_radians();
    let results = analyse(&fixture);
    let held = results.curves.loads[0][0].held;
    let most = 1.5 * 0.2 * newtons * 20f64.to_radians().cos();
    near(held.friction, most, 1e-6);
    near(held.friction + held.nothing, newtons * 20f64.to_radians().sin(), 1e-6);
    assert!(find(&results, "rider.slides").is_some());
}

/// Friction of a wheel in a vee acts on the flank that is loaded: half the flank's depth and half the mouth beside the
/// groove's middle. Moved by a hand, a rider's forces and moments add up with it there, summed here contact by contact.
#[test]
fn friction_acts_on_the_loaded_flank() {
    let mut fixture = alone();
    fixture.rail.stand = Stand { incline: 0.0, roll: 0.0 };
    for wheel in &mut fixture.riders[0].wheels {
        wheel.press = 0.0;
    }
    fixture.resistance.flank = Coefficient::assumed(2.0);
    fixture.riders[0].loads = vec![weight(20.0, DVec3::new(5.0, 0.0, 60.0))];
    fixture.riders[0].grip = Some(Grip { name: "grip".into(), at: DVec3::new(0.0, 10.0, 40.0) });
    let results = analyse(&fixture);
    let contacts = &results.riders[0].contacts;
    for (loads, resistance, sign) in [
        (&results.curves.moving[0].up[50], &results.curves.resistance_up[0][50], -1.0),
        (&results.curves.moving[0].down[50], &results.curves.resistance_down[0][50], 1.0),
    ] {
        let load = &loads.wheels[0];
        let track = fixture.rail.tracks[fixture.riders[0].wheels[0].track].middle;
        assert!((load.at.z - track.y).abs() > 1.0, "on a flank: {} {track}", load.at);
        let mut force = DVec3::new(0.0, 0.0, -20.0);
        let mut moment = DVec3::new(5.0, 0.0, 60.0).cross(force);
        let mut add = |push: DVec3, at: DVec3| {
            force += push;
            moment += at.cross(push);
        };
        for (wheel, resists) in resistance.wheels.iter().enumerate() {
            let mine = || {
                contacts
                    .iter()
                    .zip(&loads.equilibrium.forces)
                    .filter(|(contact, _)| contact.carrier == Carrier::Wheel(wheel))
            };
            let sum: f64 = mine().map(|(_, push)| push).sum();
            for (contact, push) in mine() {
                add(contact.spring.normal * *push, contact.spring.point);
                add(DVec3::X * (sign * resists.total() * push / sum), contact.spring.point);
            }
        }
        let friction: f64 = resistance.wheels.iter().map(WheelResistance::total).sum();
        assert!(friction > 1.0, "{friction}");
        add(DVec3::X * (-sign * friction), DVec3::new(0.0, 10.0, 40.0));
        assert!(force.length() < 1e-6 && moment.length() < 1e-4, "{force} {moment}");
    }
}

/// A collar of length L on a straight guide, pushed at e beside it: the push is μ·W while 2μe/L < 1, and from there on no
/// push moves it (Beer & Johnston, Statics, as above). Then there is no effort, whichever way it is turned.
#[test]
fn a_jammed_rider_has_no_effort() {
    let half = 75.0;
    let collar = |offset: f64, mirrored: bool| {
        let mut fixture = alone();
        let side = if mirrored { -1.0 } else { 1.0 };
        fixture.rail.stand = Stand { incline: 0.0, roll: side * FRAC_PI_2 };
        let up = -fixture.rail.stand.down().y.signum();
        fixture.rail.tracks = vec![flat(-15.0 * side), flat(15.0 * side)];
        fixture.resistance.shoe = Coefficient::assumed(0.25);
        let rider = &mut fixture.riders[0];
        rider.wheels.clear();
        rider.plates[0].level = Some(40.0);
        rider.shoes =
            [(0, -half), (1, -half), (0, half), (1, half)].map(|(track, x)| shoe(track, x, 1e-3)).to_vec();
        rider.loads = vec![weight(8.0, DVec3::new(0.0, 20.0 * up, 0.0))];
        rider.grip = Some(Grip { name: "grip".into(), at: DVec3::new(0.0, offset * up, 0.0) });
        fixture
    };
    for mirrored in [false, true] {
        let moves = analyse(&collar(200.0, mirrored));
        for effort in moves.curves.effort_up.iter().chain(&moves.curves.effort_down) {
            near(*effort, 0.25 * 8.0, 1e-5);
        }
        assert!(find(&moves, "binding.jams").is_none());
        for offset in [400.0, 900.0, 5000.0] {
            let fixture = collar(offset, mirrored);
            let jams = analyse(&fixture);
            let curves = &jams.curves;
            for station in [0, 77, 200] {
                assert_eq!(curves.effort_up[station], f64::INFINITY, "{offset} {mirrored}");
                assert_eq!(curves.effort_down[station], f64::INFINITY);
                assert_eq!(curves.running_up[station], f64::INFINITY);
                // It stays where it is left.
                assert!(curves.holds(station));
                let moving = &curves.moving[0].up[station];
                assert_eq!(moving.equilibrium.ending, SolveEnding::Jammed);
                assert!(moving.shoes.iter().all(|shoe| shoe.normal.is_nan()));
            }
            let finding = find(&jams, "binding.jams").unwrap();
            assert_eq!(finding.severity, Severity::Fails);
            assert!(finding.reason.to_string().contains("no effort to tell"), "{}", finding.reason);
            let ways = Way::BOTH.map(|way| fixture.rail.stand.way(way)).join(" or ");
            assert!(
                finding.title.to_string().ends_with(&format!("no push moves it {ways}")),
                "{}",
                finding.title
            );
            assert!(find(&jams, "figures.not_finite").is_none());
            assert!(find(&jams, "effort.high").is_none());
            for finding in &jams.findings {
                let text = format!("{} {}", finding.title, finding.reason);
                assert!(!text.contains("NaN") && !text.contains("inf "), "{text}");
            }
        }
    }
}

/// A tall rider that a motor accelerates: at rest it stands straight, driven it tilts by the couple m·a·h, its tyres are
/// pressed harder and a wheel lifts, and all that is checked as it is at rest.
#[test]
fn driven_loads_are_checked() {
    let with = |acceleration: f64, newtons: f64, centre: DVec3| {
        let mut fixture = fixture(&Recipe::default());
        fixture.rail.stand = Stand { incline: 0.0, roll: 0.0 };
        fixture.riders.truncate(1);
        fixture.obstacles.clear();
        let rider = &mut fixture.riders[0];
        rider.loads = vec![weight(newtons, centre)];
        for wheel in &mut rider.wheels {
            wheel.stiffness = Some(60.0);
            wheel.press = 0.1;
        }
        let line = fixture.line.as_mut().unwrap();
        line.pretension = Coefficient::assumed(5000.0);
        close(line, [0.0, 0.0], -10.0);
        fixture.drive = motor(200.0, acceleration);
        fixture
    };
    let tall = DVec3::new(0.0, 0.0, 120.0);
    let calm = analyse(&with(10.0, 15.0, tall));
    for code in ["rider.tilt", "wheel.unloaded_moving", "wheel.unloaded"] {
        assert!(find(&calm, code).is_none(), "{code}");
    }
    let fixture = with(60_000.0, 15.0, tall);
    let hard = analyse(&fixture);
    let rest = hard.riders[0].tilt.iter().copied().fold(0.0, f64::max);
    assert!(rest < 0.5f64.to_radians(), "{rest}");
    let driven = hard.curves.moving[0].all().map(|loads| loads.equilibrium.motion.turn.length());
    let driven = driven.fold(0.0, f64::max);
    let tilt = find(&hard, "rider.tilt").unwrap();
    assert!(tilt.title.to_string().contains("driven"), "{}", tilt.title);
    assert!((tilt.value.unwrap() - driven.min(Motion::SMALL_TURN).to_degrees()).abs() < 1e-9);
    // A pressure that is borne at rest but not while it is driven.
    let most = |list: &[RiderLoads]| {
        list.iter().flat_map(|loads| &loads.wheels).map(|wheel| wheel.pressure).fold(0.0, f64::max)
    };
    let (at_rest, moving) = (most(&hard.curves.loads[0]), most(&hard.curves.moving[0].up));
    assert!(moving > 1.2 * at_rest, "{moving} {at_rest}");
    let mut soft = fixture.clone();
    for piece in soft.riders[0].wheels.iter_mut().flat_map(|wheel| &mut wheel.stack.pieces) {
        if let PieceKind::Wheel(wheel) = &mut piece.kind {
            wheel.tyre.allowable_pressure = Some(0.5 * (at_rest + moving));
        }
    }
    let soft = analyse(&soft);
    let pressed = find(&soft, "wheel.pressure").unwrap();
    assert!(pressed.title.to_string().contains("driven"), "{}", pressed.title);
    assert!(pressed.value.unwrap() >= moving - 1e-9);
}

/// Four wheels on two faces that look up, a weight W whose centre stands h above the line's pull and z beside the middle:
/// four springs at ±a along and ±c across (statics of a rigid plate on springs). The corner ahead bears
/// W/4·(1 − z/c) − m·a·h/4a less: it lifts from there on, and beyond m·a·h = W·a the rider tips.
#[test]
fn a_wheel_lifts_and_a_rider_tips_as_it_is_driven() {
    let with = |acceleration: f64| {
        let mut fixture = alone();
        fixture.rail.stand = Stand { incline: 0.0, roll: FRAC_PI_2 };
        // In the plane of the faces nothing holds it, and nothing may drive it there.
        fixture.resistance = frictionless();
        let side = -fixture.rail.stand.down().y.signum();
        fixture.rail.tracks = [-20.0, 20.0]
            .map(|z| Track {
                name: format!("{z}"),
                middle: DVec2::new(15.0 * side, z),
                normal: DVec2::new(side, 0.0),
                profile: TrackProfile::Flat { width: 3.0 },
            })
            .to_vec();
        let rider = &mut fixture.riders[0];
        for wheel in &mut rider.wheels {
            wheel.press = 0.0;
            wheel.stiffness = Some(100.0);
            for piece in &mut wheel.stack.pieces {
                if let PieceKind::Wheel(wheel) = &mut piece.kind {
                    wheel.running = Running::Crowned { radius: 40.0 };
                }
            }
        }
        rider.loads = vec![weight(20.0, DVec3::new(0.0, 100.0 * side, 12.0))];
        let mut line = common::fixture(&Recipe::default()).line.unwrap();
        line.plane = LinePlane::Upright { y: 15.0 * side };
        line.pretension = Coefficient::assumed(100.0);
        line.bending_loss = Coefficient::assumed(0.0);
        line.mass_per_metre = 0.0;
        close(&mut line, [15.0 * side, 12.0], 2.0);
        fixture.line = Some(line);
        fixture.drive = motor(200.0, 1e3 * acceleration);
        analyse(&fixture)
    };
    // In shares of g: lifts from (1 − 12/20)·45/85 = 0.21, tips from 45/85 = 0.53.
    let codes = ["wheel.unloaded", "wheel.unloaded_moving", "rider.unrestrained_moving"];
    for (acceleration, found) in
        [(1.0, [false, false, false]), (3.5, [false, true, false]), (7.0, [false, true, true])]
    {
        let results = with(acceleration);
        for (code, found) in codes.iter().zip(found) {
            if acceleration > 5.0 && *code == "wheel.unloaded_moving" {
                continue;
            }
            assert_eq!(
                find(&results, code).is_some(),
                found,
                "{acceleration} {code} {:#?}",
                results.findings
            );
        }
    }
    assert_eq!(find(&with(3.5), "wheel.unloaded_moving").unwrap().severity, Severity::Marginal);
    assert_eq!(find(&with(7.0), "rider.unrestrained_moving").unwrap().severity, Severity::Fails);
}

/// Accelerated, a wheel's turning takes J/r₀² times the acceleration where it touches the rail, and the line gives it at
/// its clamp: a couple of that and their distance.
#[test]
fn turning_wheels_are_driven_from_the_rail() {
    let with = |wheel_mass: f64| {
        let mut fixture = alone();
        fixture.rail.stand = Stand { incline: 0.0, roll: 0.0 };
        fixture.resistance = frictionless();
        let mut line = common::fixture(&Recipe::default()).line.unwrap();
        line.bending_loss = Coefficient::assumed(0.0);
        line.mass_per_metre = 0.0;
        close(&mut line, [0.0, 50.0], 40.0);
        fixture.line = Some(line);
        fixture.drive = motor(200.0, 2000.0);
        for piece in fixture.riders[0].wheels.iter_mut().flat_map(|wheel| &mut wheel.stack.pieces) {
            if let PieceKind::Wheel(wheel) = &mut piece.kind {
                wheel.mass = wheel_mass;
            }
        }
        fixture
    };
    let fixture = with(0.05);
    let results = analyse(&fixture);
    let mass = &results.assembly.riders[0].mass;
    let turning: f64 = forces::rolling_masses(&fixture, &results.assembly, 0).iter().sum();
    assert!(turning > 0.05, "{turning}");
    let (rest, up) = (&results.curves.loads[0][0], &results.curves.moving[0].up[0]);
    let clamp = DVec3::new(60.0, 0.0, 50.0);
    // On both sides alike, so that their forces act together on the rail's middle plane, at the contacts' height.
    let at = up.wheels.iter().map(|wheel| wheel.at * DVec3::new(0.0, 1.0, 1.0)).sum::<DVec3>() / 4.0;
    let couple = (clamp - mass.centre()).cross(DVec3::X * mass.total() * 2.0)
        + (clamp - at).cross(DVec3::X * turning * 2.0);
    let change = up.wrench.moment - rest.wrench.moment;
    assert!((change - couple).length() < 2e-3 * couple.length(), "{change} {couple}");
    let drawn = mass.total() * 2.0 + turning * 2.0;
    let pulls = &results.curves.line_pulls_up[0].spans;
    near(pulls[2][1] - pulls[0][0], drawn, 1e-9);
}
