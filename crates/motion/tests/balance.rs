//! Balance, effort and hold band.

mod common;

use common::{Recipe, fixture};
use glidewright_motion::*;

/// Atwood's machine, 2 kg and 4 kg, g = 9.8 m/s²: a = 3.266 67 m/s² (college physics, read and
/// recomputed). Here through a whole fixture, at standard gravity: imbalance over moving mass. Its wheels do not turn: they
/// weigh nothing.
#[test]
fn atwood() {
    let mut fixture = fixture(&Recipe::default());
    fixture.line.as_mut().unwrap().mass_per_metre = 0.0;
    for piece in fixture.riders.iter_mut().flat_map(|r| &mut r.wheels).flat_map(|w| &mut w.stack.pieces) {
        if let PieceKind::Wheel(wheel) = &mut piece.kind {
            wheel.mass = 0.0;
        }
    }
    let assembly = Assembly::new(&fixture);
    let own = [0, 1].map(|rider: usize| assembly.riders[rider].mass.total());
    fixture.riders[0].loads[0].mass += 4.0 - own[0];
    fixture.riders[1].loads[0].mass += 2.0 - own[1];
    let assembly = Assembly::new(&fixture);
    let acceleration =
        forces::imbalance(&fixture, &assembly, 100.0) / forces::effective_mass(&fixture, &assembly);
    assert!((acceleration * 9.8 / STANDARD_GRAVITY - 3.266_67).abs() < 1e-5, "{acceleration}");
}

/// Virtual work: the imbalance is the slope of the potential energy of everything that moves.
#[test]
fn imbalance_is_the_slope_of_energy() {
    let fixture = fixture(&Recipe::default());
    let assembly = Assembly::new(&fixture);
    let gravity = gravity(&fixture);
    let energy = |travel: f64| -> f64 {
        let riders: f64 = (0..fixture.riders.len())
            .map(|rider| {
                let x = rider_x(&fixture, rider, travel);
                let mass = &assembly.riders[rider].mass;
                mass.items.iter().map(|i| -i.mass * gravity.dot(i.centre + glam::DVec3::X * x)).sum::<f64>()
            })
            .sum();
        riders + forces::line_energy(&fixture, travel).unwrap()
    };
    for travel in [3.0, 120.0, 240.0, 470.0] {
        let h = 1e-2;
        let slope = (energy(travel + h) - energy(travel - h)) / (2.0 * h);
        let imbalance = forces::imbalance(&fixture, &assembly, travel);
        assert!((slope - imbalance).abs() < 1e-5, "{travel}: {slope} {imbalance}");
    }
}

#[test]
fn the_belts_weight_goes_over_with_travel() {
    let fixture = fixture(&Recipe::default());
    let assembly = Assembly::new(&fixture);
    let at = |s| forces::imbalance(&fixture, &assembly, s);
    // Moving the lead up by 480 mm takes 480 mm of belt from its side to the other: 2·λ·g·Δs.
    let expected = -2.0 * 0.008 * 0.48 * STANDARD_GRAVITY;
    assert!((at(480.0) - at(0.0) - expected).abs() < 1e-6, "{} {expected}", at(480.0) - at(0.0));
}

#[test]
fn the_hold_band_is_where_drifting_begins() {
    let base = Recipe::default();
    let results = analyse(&fixture(&base));
    let band = results.hold_bands.iter().find(|b| b.rider == 1).unwrap();
    assert!(band.exists());
    let drifts = |mass: f64| {
        let recipe = Recipe { counter_mass: base.counter_mass + mass - band.now, ..base.clone() };
        let results = analyse(&fixture(&recipe));
        results.findings.iter().any(|f| f.code == "balance.drifts")
    };
    // Friction changes a little with the load itself, so the ends are taken with 3 % of the band.
    let slack = 0.03 * (band.greatest - band.least);
    assert!(drifts(band.least - slack));
    assert!(!drifts(band.least + slack));
    assert!(!drifts(band.greatest - slack));
    assert!(drifts(band.greatest + slack));
}

#[test]
fn effort_up_and_down_differ_by_twice_the_imbalance() {
    let results = analyse(&fixture(&Recipe { counter_mass: 1.5, ..Recipe::default() }));
    let curves = &results.curves;
    for i in 0..curves.travel.len() {
        let difference = curves.effort_up[i] - curves.effort_down[i];
        let friction = curves.running_up[i] - curves.running_down[i];
        assert!((difference - 2.0 * curves.imbalance[i] - friction).abs() < 1e-9);
        // Pulled up, the line carries more than let down, and its pulleys take more.
        assert!(friction.abs() < 0.1 * curves.running_up[i], "{friction}");
    }
}
