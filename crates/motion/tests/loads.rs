//! Riders on contacts that can push but not pull.
#![allow(
    clippy::expect_used,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that cannot go on may stop"
)]

mod common;

use common::{Random, Recipe, fixture};
use glam::{DVec2, DVec3};
use glidewright_motion::loads::*;
use glidewright_motion::*;
use nalgebra::{Matrix2, Vector2};

/// A block of a reference file: lines of numbers by their first word.
struct Block(Vec<(String, Vec<f64>)>);

impl Block {
    fn all(text: &str) -> Vec<Self> {
        let mut blocks: Vec<Self> = Vec::new();
        for line in text.lines().filter(|line| !line.starts_with('#')) {
            let mut words = line.split_whitespace();
            let Some(first) = words.next() else { continue };
            let numbers = words.map(|word| word.parse().unwrap()).collect();
            if first == "case" {
                blocks.push(Self(Vec::new()));
            }
            blocks.last_mut().unwrap().0.push((first.to_owned(), numbers));
        }
        blocks
    }

    fn lines(&self, name: &str) -> impl Iterator<Item = &[f64]> {
        self.0.iter().filter(move |(word, _)| word == name).map(|(_, numbers)| &numbers[..])
    }
}

fn vector(numbers: &[f64]) -> DVec3 {
    DVec3::from_slice(numbers)
}

fn spring(line: &[f64], stiffness: f64) -> SpringContact {
    SpringContact {
        point: vector(&line[..3]),
        normal: vector(&line[3..6]),
        closure: line[6],
        stiffness,
        give: None,
    }
}

/// Forces and motions of 80 random riders against a dual formulation solved by scipy.optimize.nnls, and 15 more
/// that no pushing forces can hold: `reference/generate.py`.
#[test]
fn rests_agree_with_non_negative_least_squares() {
    let blocks = Block::all(include_str!("reference/rests.txt"));
    let (mut held, mut unheld) = (0, 0);
    for block in &blocks {
        let springs: Vec<_> = block.lines("contact").map(|line| spring(line, line[7])).collect();
        let wrench = block.lines("wrench").next().unwrap();
        let wrench = Wrench { force: vector(&wrench[..3]), moment: vector(&wrench[3..]) };
        let got = solve(&springs, &[], &wrench, None);
        if block.lines("case").next().unwrap()[0] == 0.0 {
            assert_eq!(got.ending, SolveEnding::Unrestrained);
            unheld += 1;
            continue;
        }
        held += 1;
        assert_eq!(got.ending, SolveEnding::Exact);
        let most = got.forces.iter().copied().fold(1.0, f64::max);
        for (line, force) in block.lines("contact").zip(&got.forces) {
            assert!((line[8] - force).abs() < 1e-8 * most, "{} {force}", line[8]);
        }
        let motion = block.lines("motion").next().unwrap();
        let own =
            [got.motion.shift.y, got.motion.shift.z, got.motion.turn.x, got.motion.turn.y, got.motion.turn.z];
        for (expected, got) in motion.iter().zip(own) {
            assert!((expected - got).abs() < 1e-9 + 1e-7 * expected.abs(), "{expected} {got}");
        }
    }
    assert!(held >= 50 && unheld >= 10, "{held} {unheld}");
}

/// The furthest a point can rattle, 240 times, against scipy.optimize.linprog: `reference/generate.py`.
#[test]
fn play_agrees_with_a_linear_program() {
    let blocks = Block::all(include_str!("reference/plays.txt"));
    let mut compared = 0;
    for block in &blocks {
        let springs: Vec<_> = block.lines("contact").map(|line| spring(line, 1000.0)).collect();
        let mut play = Play::new(&springs);
        assert!(matches!(play, Play::Within(_)));
        for line in block.lines("most") {
            let got = play.range(vector(&line[..3]), vector(&line[3..6])).expect("bounded").greatest;
            assert!((got - line[6]).abs() < 1e-9 + 1e-8 * line[6].abs(), "{got} {}", line[6]);
            compared += 1;
        }
    }
    assert!(compared >= 200);
}

/// A rail with two plain tracks at z = ±2 that look the same way, and a rider of four crowned wheels on them at
/// x = ±3: four equal springs. `masses` stand at (x, z).
fn table(masses: &[(f64, f64, f64)], press: f64, stiffness: f64) -> Fixture {
    let mut fixture = fixture(&Recipe::default());
    fixture.rail.stand = Stand { incline: 0.0, roll: std::f64::consts::FRAC_PI_2 };
    fixture.rail.tracks = [-2.0, 2.0]
        .map(|z| Track {
            name: format!("{z}"),
            middle: DVec2::new(15.0, z),
            normal: DVec2::X,
            profile: TrackProfile::Flat { width: 3.0 },
        })
        .to_vec();
    fixture.line = None;
    fixture.riders.truncate(1);
    let rider = &mut fixture.riders[0];
    for (wheel, (x, track)) in rider.wheels.iter_mut().zip([(3.0, 0), (3.0, 1), (-3.0, 0), (-3.0, 1)]) {
        wheel.along = x;
        wheel.track = track;
        wheel.press = press;
        wheel.stiffness = Some(stiffness);
        wheel.stack.screw.mass = 0.0;
        for piece in &mut wheel.stack.pieces {
            piece.mass = 0.0;
            if let PieceKind::Wheel(wheel) = &mut piece.kind {
                wheel.mass = 0.0;
                wheel.running = Running::Crowned { radius: 40.0 };
            }
        }
    }
    rider.plates[0].fill = 0.0;
    rider.loads = masses
        .iter()
        .map(|(weight, x, z)| Load {
            name: "weight".into(),
            path: "weight".into(),
            mass: weight / STANDARD_GRAVITY,
            centre: DVec3::new(*x, 90.0, *z),
            solids: Vec::new(),
            extruded: Vec::new(),
            reach: None,
            on: None,
            is_ballast: false,
        })
        .collect();
    fixture
}

fn wheel_forces(fixture: &Fixture) -> Vec<f64> {
    let results = analyse(fixture);
    let loads = &results.curves.loads[0][0];
    // Nothing holds it along z or about y, and nothing drives it there.
    assert_eq!(loads.equilibrium.ending, SolveEnding::Exact);
    assert!(loads.equilibrium.free.is_some());
    // The wheels stand at (3, −2), (3, 2), (−3, −2), (−3, 2).
    [1, 0, 3, 2].map(|wheel| loads.wheels[wheel].radial).to_vec()
}

fn near(got: &[f64], expected: &[f64], within: f64) {
    for (g, e) in got.iter().zip(expected) {
        assert!((g - e).abs() < within, "got {got:?}, expected {expected:?}");
    }
}

/// Statics of a rigid plate on four equal springs, W = 100 at (2, 1), supports at (±3, ±2) (read, recomputed), through
/// the whole rider: preloaded, so that the springs work both ways.
#[test]
fn a_rider_on_four_springs_that_pull_and_push() {
    let preloaded = table(&[(100.0, 2.0, 1.0), (200.0, 0.0, 0.0)], 0.0, 10.0);
    let forces: Vec<_> = wheel_forces(&preloaded).iter().map(|f| f - 50.0).collect();
    near(&forces, &[54.1667, 29.1667, 20.8333, -4.1667], 1e-4);
}

/// The same with springs that can only push: the lifted support removed (computed). Bilinear sharing among the
/// corners also balances the load, but is not where springs come to rest.
#[test]
fn a_rider_on_four_springs_that_only_push() {
    let forces = wheel_forces(&table(&[(100.0, 2.0, 1.0)], 0.0, 10.0));
    near(&forces, &[58.3333, 25.0, 16.6667, 0.0], 1e-4);
    let bilinear = [62.5, 20.8333, 12.5, 4.1667];
    assert!(forces.iter().zip(bilinear).all(|(f, b)| (f - b).abs() > 3.0), "{forces:?}");
    let results = analyse(&table(&[(100.0, 2.0, 1.0)], 0.0, 10.0));
    assert!(results.findings.iter().any(|f| f.code == "wheel.unloaded"));
    // The free corner lifts: it moves away from the rail, the one under the load towards it.
    let pose = results.riders[0].poses[0];
    assert!(pose.of_point(DVec3::new(-3.0, 15.0, -2.0)).y > 0.0);
    assert!((pose.of_point(DVec3::new(3.0, 15.0, 2.0)).y + 5.833_33).abs() < 1e-4);
}

fn energy(springs: &[SpringContact], supports: &[Support], wrench: &Wrench, at: &Equilibrium) -> f64 {
    let stored: f64 = springs.iter().zip(&at.forces).map(|(s, f)| 0.5 * f * f / s.stiffness).sum();
    let given: f64 = supports.iter().zip(&at.gives).map(|(s, v)| 0.5 * v.dot(&(s.stiffness * v))).sum();
    stored + given - wrench.force.dot(at.motion.shift) - wrench.moment.dot(at.motion.turn)
}

fn random_wrench(random: &mut Random, most: f64) -> Wrench {
    let mut along = |most: f64| random.between(-most, most);
    let force = DVec3::new(along(most), along(most), along(most));
    let at = DVec3::new(along(90.0), along(90.0), along(90.0));
    force_at(force, at)
}

fn random_springs(random: &mut Random) -> (Vec<SpringContact>, Vec<Support>) {
    let mut springs = Vec::new();
    let mut supports = Vec::new();
    for (x, side) in [(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)] {
        let (base, half) = (random.between(25.0, 80.0), random.between(8.0, 40.0));
        let angle: f64 = random.between(0.5, 1.1);
        let soft = random.between(1e-4, 1e-2);
        supports.push(Support::from_compliance(Matrix2::new(soft, 0.1 * soft, 0.1 * soft, 0.05 * soft)));
        for flank in [-1.0, 1.0] {
            springs.push(SpringContact {
                point: DVec3::new(x * base, side * half, random.between(-12.0, 12.0)),
                normal: DVec3::new(0.0, side * angle.sin(), flank * angle.cos()),
                closure: random.between(-0.02, 0.03),
                stiffness: random.between(300.0, 8000.0),
                give: Some(Give {
                    support: supports.len() - 1,
                    per: Vector2::new(angle.sin(), random.between(-8.0, 8.0)),
                }),
            });
        }
    }
    (springs, supports)
}

/// 10 000 random riders come to rest exactly: forces and moments balance to 1e-9 of what acts, by a sum made here
/// from the forces alone, and where they cannot, the motion named meets no resistance.
#[test]
fn ten_thousand_riders_are_in_equilibrium() {
    let mut random = Random::new(7);
    let (mut held, mut worst) = (0, 0.0_f64);
    for _ in 0..10_000 {
        let (springs, supports) = random_springs(&mut random);
        let wrench = random_wrench(&mut random, 40.0);
        let got = solve(&springs, &supports, &wrench, None);
        match got.ending {
            SolveEnding::Exact => {
                held += 1;
                let mut force = wrench.force;
                let mut moment = wrench.moment;
                for (spring, f) in springs.iter().zip(&got.forces) {
                    assert!(*f >= 0.0);
                    force += spring.normal * f;
                    moment += spring.point.cross(spring.normal * f);
                }
                let acting = wrench.force.length() + got.forces.iter().sum::<f64>();
                let left = (force.y.hypot(force.z) + moment.length() / 60.0) / acting;
                worst = worst.max(left);
            }
            SolveEnding::Unrestrained => {
                let motion = got.free.unwrap();
                // It does work, and no contact that presses then stands in its way.
                let work = wrench.force.dot(motion.shift) + wrench.moment.dot(motion.turn);
                assert!(work > 0.0);
                for spring in &springs {
                    let opens = spring.normal.dot(motion.of_point(spring.point));
                    assert!(opens > -1e-6 * (1.0 + motion.turn.length() * 80.0), "{opens}");
                }
            }
            other => panic!("{other:?}"),
        }
    }
    assert!(worst < 1e-9, "{worst}");
    assert!(held > 9_000, "{held}");
}

/// The rest is where the energy is least: no small motion lowers it, and its slope over the load is minus the
/// motion (Castigliano's second theorem), by finite differences.
#[test]
fn the_energy_is_least_and_its_slope_is_the_motion() {
    let mut random = Random::new(11);
    let mut checked = 0;
    for _ in 0..300 {
        let (springs, supports) = random_springs(&mut random);
        let wrench = random_wrench(&mut random, 20.0);
        let rest = solve(&springs, &supports, &wrench, None);
        if rest.ending != SolveEnding::Exact || rest.free.is_some() {
            continue;
        }
        let least = energy(&springs, &supports, &wrench, &rest);
        for _ in 0..20 {
            let mut moved = rest.clone();
            let mut small = |size: f64| random.between(-size, size);
            moved.motion.shift += DVec3::new(0.0, small(1e-3), small(1e-3));
            moved.motion.turn += DVec3::new(small(2e-5), small(2e-5), small(2e-5));
            for give in &mut moved.gives {
                *give += Vector2::new(small(1e-4), small(1e-5));
            }
            for (spring, force) in springs.iter().zip(&mut moved.forces) {
                let give = spring.give.unwrap();
                let v = moved.gives[give.support];
                let closure = spring.closure
                    - spring.normal.dot(moved.motion.of_point(spring.point))
                    - give.per[0] * v[0]
                    - give.per[1] * v[1];
                *force = spring.stiffness * closure.max(0.0);
            }
            assert!(energy(&springs, &supports, &wrench, &moved) >= least - 1e-12 * least.abs());
        }
        let step = 1e-3;
        for axis in 0..5 {
            let pushed = |sign: f64| {
                let mut wrench = wrench;
                match axis {
                    0 => wrench.force.y += sign * step,
                    1 => wrench.force.z += sign * step,
                    _ => wrench.moment[axis - 2] += sign * step * 50.0,
                }
                energy(&springs, &supports, &wrench, &solve(&springs, &supports, &wrench, Some(&rest)))
            };
            let unit = if axis < 2 { step } else { step * 50.0 };
            let slope = (pushed(1.0) - pushed(-1.0)) / (2.0 * unit);
            let own = match axis {
                0 => rest.motion.shift.y,
                1 => rest.motion.shift.z,
                _ => rest.motion.turn[axis - 2],
            };
            assert!((slope + own).abs() < 1e-7 + 1e-5 * own.abs(), "{slope} {own}");
        }
        checked += 1;
    }
    assert!(checked > 200, "{checked}");
}

/// A warm start comes to the same rest as a cold one.
#[test]
fn a_warm_start_changes_nothing() {
    let mut random = Random::new(13);
    for _ in 0..200 {
        let (springs, supports) = random_springs(&mut random);
        let mut known: Option<Equilibrium> = None;
        for _ in 0..5 {
            let wrench = random_wrench(&mut random, 15.0);
            let cold = solve(&springs, &supports, &wrench, None);
            let warm = solve(&springs, &supports, &wrench, known.as_ref());
            if cold.ending == SolveEnding::Exact {
                assert_eq!(warm.ending, SolveEnding::Exact);
                for (a, b) in cold.forces.iter().zip(&warm.forces) {
                    assert!((a - b).abs() < 1e-8 * (1.0 + a.abs()), "{a} {b}");
                }
                known = Some(warm);
            }
        }
    }
}

/// Without gravity and belt nothing acts: a preloaded rider stands where it is drawn and keeps its preload, and the
/// two flanks of each wheel bear alike.
#[test]
fn without_gravity_only_the_preload_acts() {
    let mut fixture = fixture(&Recipe::default());
    fixture.line = None;
    fixture.riders.truncate(1);
    let rider = &mut fixture.riders[0];
    rider.loads.clear();
    rider.plates[0].fill = 0.0;
    let assembly = Assembly::new(&fixture);
    let loads = LoadCase::new(&fixture, &assembly, 0).loads(&Wrench::default());
    // Pressed outwards, each axle also turns a little, and the rider settles along its axles until neither flank
    // bears more; but it neither turns nor moves sideways.
    let motion = loads.equilibrium.motion;
    assert!(motion.shift.y.abs() < 1e-9 && motion.turn.length() < 1e-9, "{motion:?}");
    let first = loads.wheels[0].radial;
    assert!(first > 0.1);
    for wheel in &loads.wheels {
        assert!((wheel.radial - first).abs() < 1e-9 && wheel.axial.abs() < 1e-9);
        // Wedge relation: two flanks of half-angle φ bear F/(2 sin φ) each.
        assert!((wheel.normal - first / std::f64::consts::FRAC_PI_4.sin()).abs() < 1e-9);
    }
}

/// A rider that is its own mirror image, loaded in its plane of symmetry, bears alike on both sides and does not
/// turn out of that plane.
#[test]
fn a_symmetric_rider_bears_alike_on_both_sides() {
    let mut fixture = fixture(&Recipe::default());
    // Lying: the weight acts towards the rail's middle plane.
    fixture.rail.stand = Stand { incline: 0.0, roll: 0.0 };
    let results = analyse(&fixture);
    let loads = &results.curves.loads[0][0];
    for (left, right) in [(0, 1), (2, 3)] {
        let [left, right] = [left, right].map(|wheel: usize| loads.wheels[wheel]);
        assert!((left.radial - right.radial).abs() < 1e-9, "{left:?} {right:?}");
        assert!((left.axial - right.axial).abs() < 1e-9);
    }
    let motion = loads.equilibrium.motion;
    assert!(motion.turn.x.abs() < 1e-12 && motion.turn.z.abs() < 1e-12 && motion.shift.y.abs() < 1e-12);
}

/// As the preload grows no wheel lifts any more, and the springs answer as if they worked both ways: the change of
/// force under a load no longer depends on the preload.
#[test]
fn a_strong_preload_makes_springs_work_both_ways() {
    let forces = |press: f64| {
        let mut fixture = fixture(&Recipe::default());
        for wheel in fixture.riders.iter_mut().flat_map(|rider| &mut rider.wheels) {
            wheel.press = press;
            wheel.stiffness = Some(100.0);
        }
        let results = analyse(&fixture);
        let rider = &results.riders[0];
        let changes: Vec<f64> = results.curves.loads[0][0]
            .wheels
            .iter()
            .zip(&rider.preload)
            .map(|(load, preload)| load.normal - preload.unloaded)
            .collect();
        (changes, rider.preload.iter().all(|p| p.least_flank > 0.0))
    };
    assert!(!forces(0.001).1, "a little press is not enough to keep every flank down");
    let ((strong, kept), (stronger, still)) = (forces(0.5), forces(5.0));
    assert!(kept && still);
    near(&strong, &stronger, 1e-7);
}
