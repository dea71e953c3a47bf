//! Generated fixtures at the limits of the model, where other rules say what must come out: no friction, contacts that
//! hardly give, one wheel on each side.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

mod common;

use common::{by_hand, fixtures, smooth};
use glidewright_geometry::DVec3;
use glidewright_motion::loads::{Carrier, LoadCase, Play, SolveEnding, force_at};
use glidewright_motion::{Assembly, Fixture, TravelCurves, rider_ratio};

/// Without friction the effort of either way is the force that balances, and a rider that is moved bears on the rail as it
/// does at rest.
#[test]
fn without_friction_moving_is_as_resting() {
    let (mut efforts, mut riders) = (0, 0);
    for (seed, mut fixture) in by_hand(60) {
        smooth(&mut fixture);
        let assembly = Assembly::new(&fixture);
        let (from, to) = (fixture.stroke.from, fixture.stroke.to);
        let curves = TravelCurves::new(&fixture, &assembly, &[from, 0.5 * (from + to), to]);
        for station in 0..curves.travel.len() {
            // A slack line hands nothing on.
            if curves.line_pulls_up[station].is_slack() || curves.line_pulls_down[station].is_slack() {
                continue;
            }
            let balance = curves.imbalance[station];
            let near = |effort: f64| (effort - balance).abs() <= 1e-9 * (1.0 + balance.abs());
            assert!(
                near(curves.effort_up[station]) && near(-curves.effort_down[station]),
                "seed {seed}: {balance}"
            );
            assert_eq!(curves.running_up[station], 0.0, "seed {seed}");
            efforts += 1;
        }
        if fixture.line.is_some() {
            continue;
        }
        for number in (0..fixture.riders.len()).filter(|number| rider_ratio(&fixture, *number) != 0.0) {
            let moving = &curves.moving[number];
            for (rest, moved) in curves.loads[number].iter().zip(moving.up.iter().zip(&moving.down)) {
                assert_eq!(rest.held.friction, 0.0, "seed {seed}");
                if rest.equilibrium.ending != SolveEnding::Exact {
                    continue;
                }
                let forces = &rest.equilibrium.forces;
                let most = forces.iter().copied().fold(1.0, f64::max);
                for moved in [moved.0, moved.1] {
                    let pairs = forces.iter().zip(&moved.equilibrium.forces);
                    for (rest, moved) in pairs {
                        assert!(
                            (rest - moved).abs() <= 1e-8 * most,
                            "seed {seed}, rider {number}: {rest} {moved}"
                        );
                    }
                }
                riders += 1;
            }
        }
    }
    assert!(efforts > 100 && riders > 60, "{efforts} stations, {riders} riders");
}

/// A fixture on wheels and shoes of a given stiffness (N/mm), with so much press, which is play where it is negative (mm).
fn on_springs(fixture: &Fixture, stiffness: f64, press: f64) -> Fixture {
    let mut fixture = fixture.clone();
    for rider in &mut fixture.riders {
        for wheel in &mut rider.wheels {
            wheel.stiffness = Some(stiffness);
            wheel.press = press;
        }
        for shoe in &mut rider.shoes {
            shoe.material.youngs = stiffness;
            shoe.press = press;
        }
    }
    fixture
}

/// A rider with play on contacts that hardly give goes as far along a force as a linear program lets it, and what it goes
/// further falls with the stiffness.
#[test]
fn nearly_rigid_contacts_leave_the_play() {
    const HARD: [f64; 2] = [1e6, 1e8];
    let mut seen = 0;
    for generated in fixtures(40) {
        let cases: Vec<Vec<LoadCase>> = HARD
            .iter()
            .map(|hard| {
                let fixture = on_springs(&generated.fixture, *hard, -0.05);
                let assembly = Assembly::new(&fixture);
                (0..fixture.riders.len()).map(|number| LoadCase::new(&fixture, &assembly, number)).collect()
            })
            .collect();
        let [softer, harder] = [cases[0].clone(), cases[1].clone()];
        for (number, (mut softer, mut harder)) in softer.into_iter().zip(harder).enumerate() {
            let mut play = softer.play();
            if !matches!(play, Play::Within(_)) {
                continue;
            }
            for (way, at) in [
                (DVec3::Y, DVec3::new(10.0, 3.0, 40.0)),
                (DVec3::NEG_Z, DVec3::new(-20.0, 15.0, 5.0)),
                (DVec3::new(0.0, 0.6, 0.8), DVec3::new(60.0, -25.0, 30.0)),
            ] {
                let greatest = play.range(at, way).unwrap().greatest;
                let wrench = force_at(way * 20.0, at);
                let [soft, hard] = [softer.loads(&wrench), harder.loads(&wrench)].map(|loads| {
                    assert_eq!(loads.equilibrium.ending, SolveEnding::Exact, "seed {}", generated.seed);
                    way.dot(loads.equilibrium.motion.of_point(at)) - greatest
                });
                // Springs only push: it goes no less far than rigid contacts let it.
                let rounding = 1e-9 * (1.0 + greatest.abs());
                assert!(
                    hard >= -rounding && soft >= -rounding && hard <= 0.02 * soft + rounding,
                    "seed {}, rider {number}, {way}: {soft} and {hard} beyond {greatest}",
                    generated.seed
                );
                seen += 1;
            }
        }
    }
    assert!(seen > 60, "{seen} loads");
}

/// One wheel on each side, neither pressed: a force square to the one's track through its middle is borne by it alone, in
/// equal parts on flanks that lean alike (wedge relation), and the other idles.
#[test]
fn one_wheel_on_each_side() {
    const FORCE: f64 = 37.0;
    let (mut seen, mut wedges) = (0, 0);
    for generated in fixtures(80) {
        let mut fixture = on_springs(&generated.fixture, 500.0, 0.0);
        let tracks = fixture.rail.tracks.clone();
        for rider in &mut fixture.riders {
            rider.shoes.clear();
            let mut kept: Vec<usize> = Vec::new();
            rider.wheels.retain(|wheel| {
                let fresh =
                    kept.iter().all(|track| tracks[*track].normal.dot(tracks[wheel.track].normal) < 0.99);
                if fresh {
                    kept.push(wheel.track);
                }
                fresh
            });
        }
        let assembly = Assembly::new(&fixture);
        for (number, rider) in fixture.riders.iter().enumerate() {
            let [first, second] = &rider.wheels[..] else { continue };
            if tracks[first.track].normal.dot(tracks[second.track].normal) > -0.99 {
                continue;
            }
            let mut case = LoadCase::new(&fixture, &assembly, number);
            let track = &tracks[first.track];
            let middle = DVec3::new(first.along, track.middle.x, track.middle.y);
            let own: Vec<_> =
                case.contacts().iter().filter(|c| c.carrier == Carrier::Wheel(0)).copied().collect();
            // Only where it bears evenly on both sides of its middle.
            let off: f64 = own.iter().map(|c| (c.spring.point - middle).dot(c.axial)).sum();
            let Some(lean) = own.first().map(|c| c.spring.normal.dot(c.radial)) else { continue };
            let even = own.iter().all(|c| (c.spring.normal.dot(c.radial) - lean).abs() < 1e-9);
            if off.abs() > 1e-9 || !even || own.iter().any(|c| c.spring.closure != own[0].spring.closure) {
                continue;
            }
            let radial = own[0].radial;
            let loads = case.loads(&force_at(radial * -FORCE, middle));
            let (one, other) = (loads.wheels[0], loads.wheels[1]);
            assert_eq!(loads.equilibrium.ending, SolveEnding::Exact, "seed {}", generated.seed);
            assert!(
                (one.radial - FORCE).abs() < 1e-8 * FORCE,
                "seed {}, rider {number}: {one:?}",
                generated.seed
            );
            assert!((one.normal * lean - FORCE).abs() < 1e-8 * FORCE, "seed {}: {one:?}", generated.seed);
            assert!(other.normal.abs() < 1e-8 * FORCE, "seed {}, rider {number}: {other:?}", generated.seed);
            seen += 1;
            wedges += usize::from(lean < 0.99);
        }
    }
    assert!(seen > 20 && wedges > 5, "{seen} riders, {wedges} of them on flanks");
}
