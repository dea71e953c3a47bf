//! What a fixture comes to does not hang on how it is written down, nor on which way it is looked at.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

mod common;

use common::{Ledger, fixtures};
use glidewright_generated::{Manner, written};
use glidewright_motion::{BodyId, Fixture, Interference, PairResult, Results, analyse, overlaps};
use glidewright_project::{parse, resolve};

/// Known failures.
const KNOWN: &[(&str, &str)] = &[
    (
        "mirror: gaps under load",
        "of stations that tilt alike to rounding, either may give the pose that is checked exactly",
    ),
    ("inches: gaps under load", "the same"),
    ("order: gaps under load", "of two ways out alike either may be the one that load lengthens"),
];

/// A figure with its name and its scale: differences are held against the scale.
struct Figure {
    name: String,
    value: f64,
    scale: f64,
}

/// How far figures may differ: rounding of places of some hundred millimetres, amplified by searches.
const SAME: f64 = 1e-6;
/// Depths of bodies of several pieces are sought between bounds, to so much as drawn and under load (mm).
const DEPTH: f64 = 2e-3;
const LOADED_DEPTH: f64 = 4e-3;

/// Everything computed that is the same for a fixture in all manners; riders by the names they have in `manner`.
fn figures(fixture: &Fixture, results: &Results, manner: Manner) -> Vec<Figure> {
    let mut all = Vec::new();
    let mut add = |name: String, value: f64, scale: f64| all.push(Figure { name, value, scale });
    let interference = &results.interference;
    for (list, pairs) in [("passing", &interference.passing), ("steady", &interference.steady)] {
        // What just comes within reach at one place of rounding does not at another.
        let near = || pairs.iter().filter(|pair| pair.gap < Interference::REACH - 1e-3);
        // Depths of bodies of several pieces are sought between bounds; all else is told to rounding.
        let is_sought = |pair: &PairResult| {
            let several = |id: BodyId| results.assembly.bodies[id.0 as usize].solids.len() > 1;
            overlaps(pair.gap) && (several(pair.bodies.0) || several(pair.bodies.1))
        };
        let scale = |pair: &PairResult, sought: f64| if is_sought(pair) { sought / SAME } else { 1.0 };
        let mut gaps: Vec<(f64, f64)> = near().map(|pair| (pair.gap, scale(pair, DEPTH))).collect();
        let mut loaded: Vec<(f64, f64)> =
            near().map(|pair| (pair.loaded.gap, scale(pair, LOADED_DEPTH))).collect();
        let order = |a: &(f64, f64), b: &(f64, f64)| a.0.total_cmp(&b.0);
        gaps.sort_by(order);
        loaded.sort_by(order);
        add(format!("number of {list} pairs"), gaps.len() as f64, 1.0);
        for (gap, scale) in &gaps {
            let named = if *gap < 0.0 { "depths" } else { "gaps" };
            add(format!("{named} of {list} pairs"), *gap, *scale);
        }
        for (gap, scale) in &loaded {
            add("gaps under load".to_owned(), *gap, *scale);
        }
    }
    let curves = &results.curves;
    for (name, curve) in [
        ("imbalance", &curves.imbalance),
        ("effort up", &curves.effort_up),
        ("effort down", &curves.effort_down),
        ("breakaway up", &curves.breakaway_up),
        ("running down", &curves.running_down),
        ("torque up", &curves.torque_up),
    ] {
        let scale = curve.iter().fold(1.0, |most: f64, value| most.max(value.abs()));
        for value in curve.iter().step_by(20) {
            add(name.to_owned(), *value, scale);
        }
    }
    add("findings".to_owned(), results.findings.len() as f64, 1.0);
    for name in ["lead", "second", "third", "fourth"] {
        let Some(number) = fixture.riders.iter().position(|rider| rider.name == manner.name(name)) else {
            continue;
        };
        add("mass of a rider".to_owned(), results.assembly.riders[number].mass.total(), 1.0);
        let weight = 10.0 * results.assembly.riders[number].mass.total();
        for loads in curves.loads[number].iter().step_by(50) {
            let sum: f64 = loads.wheels.iter().map(|wheel| wheel.normal).sum();
            let most = loads.wheels.iter().map(|wheel| wheel.pressure).fold(0.0, f64::max);
            add("normal forces of a rider".to_owned(), sum, weight.max(sum));
            add("greatest pressure of a rider".to_owned(), most, most.max(1.0));
        }
        for tilt in results.riders[number].tilt.iter().step_by(50) {
            add("tilt of a rider".to_owned(), *tilt, 1.0);
        }
        add("plays".to_owned(), results.riders[number].unrestrained.is_some().into(), 1.0);
    }
    all
}

fn analysed(text: &str) -> (Fixture, Results) {
    let fixture = resolve(&parse(text).unwrap(), None).fixture.unwrap();
    let results = analyse(&fixture);
    (fixture, results)
}

fn compare(ledger: &mut Ledger, how: &str, seed: u64, base: &[Figure], other: &[Figure]) {
    if base.len() != other.len() {
        ledger.fails(
            &format!("{how}: number of pairs"),
            format!("seed {seed}: {} and {}", base.len(), other.len()),
        );
        return;
    }
    for (a, b) in base.iter().zip(other) {
        let alike = a.value == b.value
            || (a.value - b.value).abs() <= SAME * a.scale
            || (a.value.is_nan() && b.value.is_nan());
        if !alike {
            ledger.fails(&format!("{how}: {}", a.name), format!("seed {seed}: {} and {}", a.value, b.value));
        }
    }
}

#[test]
fn nothing_hangs_on_how_a_fixture_is_written() {
    let mut ledger = Ledger::new(KNOWN);
    let manners = [
        ("mirror", Manner { mirrored: true, ..Manner::default() }),
        ("order", Manner { reversed: true, ..Manner::default() }),
        ("inches", Manner { inches: true, ..Manner::default() }),
        ("names", Manner { renamed: true, ..Manner::default() }),
        ("travel", Manner { counted_from: 37.5, ..Manner::default() }),
    ];
    for generated in fixtures(3) {
        let (fixture, results) = analysed(&generated.text);
        let base = figures(&fixture, &results, Manner::default());
        for (how, manner) in manners {
            let (fixture, results) = analysed(&written(generated.seed, manner));
            compare(&mut ledger, how, generated.seed, &base, &figures(&fixture, &results, manner));
        }
    }
    ledger.close();
}
