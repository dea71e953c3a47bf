//! How hard wheels are to turn faster, and what that adds to the mass that moves.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

mod common;

use std::f64::consts::PI;

use common::{Random, Recipe, fixture, wheel};
use glidewright_motion::*;

fn near(got: f64, expected: f64, relative: f64) {
    assert!((got - expected).abs() <= relative * expected.abs(), "got {got}, expected {expected}");
}

/// A plain tyre round its bearing's seat is a thick-walled tube, J = ½m(R² + r²) (textbook of dynamics).
#[test]
fn a_plain_tyre_is_a_tube() {
    for (outer, width) in [(15.0, 8.0), (25.0, 11.0), (40.0, 14.0)] {
        let mut tyre = wheel(outer, 13.0);
        tyre.running = Running::Flat;
        tyre.width = width;
        let seat = 0.5 * tyre.bearing.outer;
        tyre.mass = PI * (outer * outer - seat * seat) * width * 1410e-9;
        near(turning_inertia(&tyre), 0.5 * tyre.mass * (outer * outer + seat * seat), 1e-9);
        // A wheel that is given half the mass is taken as half as dense.
        let light = Wheel { mass: 0.5 * tyre.mass, ..tyre.clone() };
        near(turning_inertia(&light), 0.5 * turning_inertia(&tyre), 1e-9);
    }
}

/// How wide a tyre is at a radius (mm).
type Width = Box<dyn Fn(f64) -> f64>;

/// Vee and barrel ring by ring: ∫2πρr³·(width at r)dr, the width found from the profile's own formula.
#[test]
fn tyres_ring_by_ring() {
    let mut random = Random::new(5);
    for _ in 0..30 {
        let (outer, width) = (random.between(18.0, 40.0), random.between(8.0, 13.0));
        let tip = random.between(1.0, 6.0);
        let crown = random.between(30.0, 90.0);
        let forms: [(Running, Width); 2] = [
            (
                Running::Vee { tip, half_angle: PI / 4.0 },
                Box::new(move |r| (tip + 2.0 * (outer - r)).min(width)),
            ),
            (
                Running::Crowned { radius: crown },
                Box::new(move |r| {
                    // The circle of the crown about (0, R − crown) is as wide as this at r.
                    let up = r - (outer - crown);
                    (2.0 * (crown * crown - up * up).max(0.0).sqrt()).min(width)
                }),
            ),
        ];
        for (running, width_at) in forms {
            let mut tyre = wheel(outer, 13.0);
            (tyre.running, tyre.width) = (running, width);
            let seat = 0.5 * tyre.bearing.outer;
            let rings = 200_000;
            let step = (outer - seat) / f64::from(rings);
            let (mut mass, mut inertia) = (0.0, 0.0);
            for ring in 0..rings {
                let r = seat + (f64::from(ring) + 0.5) * step;
                let of = 1410e-9 * 2.0 * PI * r * width_at(r) * step;
                mass += of;
                inertia += of * r * r;
            }
            tyre.mass = mass;
            near(turning_inertia(&tyre), inertia, 2e-4);
        }
    }
}

/// What a wheel weighs beyond its tyre is its bearings, whose turning part stays within their outer ring: it adds
/// less than a ring at its rim would, and more than one at the bore.
#[test]
fn bearings_turn_in_part() {
    let mut tyre = wheel(25.0, 13.0);
    tyre.running = Running::Flat;
    let seat = 0.5 * tyre.bearing.outer;
    tyre.mass = PI * (625.0 - seat * seat) * tyre.width * 1410e-9;
    let bare = turning_inertia(&tyre);
    let added = turning_inertia(&Wheel { mass: tyre.mass + 0.016, ..tyre.clone() }) - bare;
    assert!(added > 0.016 * 9.0 && added < 0.016 * seat * seat, "{added}");
    // A wheel without size has none.
    assert_eq!(turning_inertia(&Wheel { width: 0.0, ..tyre.clone() }), 0.0);
    assert_eq!(turning_inertia(&Wheel { mass: f64::NAN, ..tyre }), 0.0);
}

/// Twice the kinetic energy per squared speed: a rider at v with its wheels turning at v/r₀ has ½mv² + Σ½J(v/r₀)², the
/// other rider at ρv likewise (rolling without slip).
#[test]
fn turning_wheels_count_in_the_moving_mass() {
    let fixture = fixture(&Recipe::default());
    let results = analyse(&fixture);
    let line = LineModel::new(&fixture, fixture.stroke.from).unwrap().unwrap().effective_mass();
    let speed = 3.0;
    let mut energy = 0.5 * line * speed * speed;
    let mut turning = 0.0;
    for rider in &results.assembly.riders {
        energy += 0.5 * rider.mass.total() * speed * speed;
        for stack in &rider.stacks {
            let rate = speed / stack.seating.clone().unwrap().rolling_radius();
            let of = 0.5 * turning_inertia(&wheel(25.0, 13.0)) * rate * rate;
            energy += of;
            turning += of;
        }
    }
    near(results.curves.effective_mass, 2.0 * energy / (speed * speed), 1e-12);
    near(forces::effective_mass(&fixture, &results.assembly), results.curves.effective_mass, 1e-12);
    assert!(turning > 0.02 * energy, "{turning} {energy}");
}
