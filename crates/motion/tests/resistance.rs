//! What resists a wheel, cause by cause, against sums made by hand.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

mod common;

use std::f64::consts::PI;

use common::{Recipe, fixture};
use glidewright_motion::contact::{hysteresis_coefficient, point_hysteresis_coefficient};
use glidewright_motion::*;

fn near(got: f64, expected: f64, relative: f64) {
    assert!((got - expected).abs() <= relative * expected.abs(), "got {got}, expected {expected}");
}

/// Rolling with an arm of 0.004 in under 100 lb at a radius of 1 in takes F = W·b/R = 0.4 lb (read, recomputed). A
/// tyre's hysteresis has such an arm: 2αb/(3π) along a line, 3αa/16 at a point, whatever it rolls on.
#[test]
fn rolling_with_an_arm() {
    let arm = 0.004;
    for half_width in [0.01, 0.05] {
        let loss = arm * 3.0 * PI / (2.0 * half_width);
        near(100.0 * hysteresis_coefficient(loss, half_width, 1.0), 0.4, 1e-12);
        let loss = arm * 16.0 / (3.0 * half_width);
        near(100.0 * point_hysteresis_coefficient(loss, half_width, 1.0), 0.4, 1e-12);
    }
}

/// Each cause of a rider's resistance from its wheels' loads: bearing μ·P·d/2/r₀, two bearings' no-load torque over
/// r₀, slip μ·N·Δr/(4r₀) on every flank.
#[test]
fn causes_of_a_wheels_resistance() {
    let fixture = fixture(&Recipe::default());
    let results = analyse(&fixture);
    for (number, rider) in fixture.riders.iter().enumerate() {
        let driven = &results.curves.moving[number].up[120];
        let resistance = &results.curves.resistance_up[number][120];
        for (wheel, (load, got)) in driven.wheels.iter().zip(&resistance.wheels).enumerate() {
            let stack = &results.assembly.riders[number].stacks[wheel];
            assert_eq!(stack.of, StackOf::Wheel(wheel));
            let seating = stack.seating.clone().unwrap();
            let [inner, outer] = seating.main().unwrap().radii;
            assert_eq!(seating.main().unwrap().touch, Touch::Flank);
            let rolls = 0.5 * (inner + outer);
            near(got.bearing, 0.0015 * load.radial.hypot(load.axial) * 6.0 / 2.0 / rolls, 1e-9);
            near(got.no_load, 2.0 * 0.5 / rolls, 1e-12);
            near(got.slip, 0.2 * load.normal * (outer - inner) / (4.0 * rolls), 1e-9);
            assert!(got.hysteresis > 0.0 && got.hysteresis < got.slip);
            near(got.total(), got.bearing + got.no_load + got.slip + got.hysteresis, 1e-12);
        }
        assert_eq!(rider.wheels.len(), resistance.wheels.len());
    }
}

/// Common practice, no source: a smaller wheel feels rougher. On wheels of about half the radius the same load takes
/// about twice as much, in grease and in slip.
#[test]
fn smaller_wheels_feel_rougher() {
    let of = |radius: f64| {
        let results = analyse(&fixture(&Recipe { front_radius: radius, ..Recipe::default() }));
        let wheels = &results.curves.resistance_up[0][120].wheels;
        let sum = |of: fn(&WheelResistance) -> f64| wheels.iter().map(of).sum::<f64>();
        [sum(|wheel| wheel.no_load), sum(|wheel| wheel.slip), sum(WheelResistance::total)]
    };
    let (large, small) = (of(25.0), of(13.0));
    // They roll on the middle of their flanks, 0.75 mm below the tip.
    near(small[0] / large[0], 24.25 / 12.25, 1e-9);
    for (small, large) in small.iter().zip(large) {
        assert!(*small > 1.7 * large && *small < 2.3 * large, "{small} {large}");
    }
}
