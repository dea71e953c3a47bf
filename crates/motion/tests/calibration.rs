//! Coefficients fitted to measured pulls.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test that cannot go on may stop")]

mod common;

use common::{Random, Recipe, fixture};
use glidewright_motion::*;

fn near(got: f64, expected: f64, within: f64) {
    assert!((got - expected).abs() <= within, "got {got}, expected {expected} ± {within}");
}

/// Values, bounds met, squares and standard errors of 120 random fits against scipy.optimize.lsq_linear and linear
/// regression: `reference/fits.py`.
#[test]
fn fits_agree_with_bounded_least_squares_of_scipy() {
    let text = include_str!("reference/fits.txt");
    let mut lines = text.lines().filter(|line| !line.starts_with('#')).map(|line| {
        let mut words = line.split_whitespace();
        let name = words.next().unwrap();
        (name, words.map(|word| word.parse::<f64>().unwrap()).collect::<Vec<f64>>())
    });
    let (mut compared, mut bound) = (0, 0);
    while let Some(("case", size)) = lines.next() {
        let mut next = |expected: &str| {
            let (name, numbers) = lines.next().unwrap();
            assert_eq!(name, expected);
            numbers
        };
        let columns: Vec<Vec<f64>> = (0..size[0] as usize).map(|_| next("column")).collect();
        let (right, low, high) = (next("right"), next("low"), next("high"));
        let (value, at, error, squares) = (next("value"), next("bound"), next("error"), next("squares"));
        let bounds: Vec<(f64, f64)> = low.into_iter().zip(high).collect();
        let columns: Vec<&[f64]> = columns.iter().map(Vec::as_slice).collect();
        let fit = bounded_least_squares(&columns, &right, &bounds).unwrap();
        near(fit.squares, squares[0], 1e-9 * squares[0] + 1e-14);
        for i in 0..value.len() {
            near(fit.values[i], value[i], 1e-8 * value[i].abs() + 1e-10);
            assert_eq!(fit.at_bound[i], at[i] != 0.0);
            match fit.standard_errors[i] {
                Some(own) => near(own, error[i], 1e-7 * error[i]),
                None => assert!(at[i] != 0.0),
            }
        }
        compared += 1;
        bound += usize::from(fit.at_bound.contains(&true));
    }
    assert!(compared >= 120 && bound > 30, "{compared} {bound}");
}

#[test]
fn fits_of_nonsense_are_refused() {
    let free = (f64::NEG_INFINITY, f64::INFINITY);
    assert!(bounded_least_squares(&[&[1.0, f64::NAN]], &[1.0, 2.0], &[free]).is_none());
    assert!(bounded_least_squares(&[&[1.0, 2.0]], &[1.0], &[free]).is_none());
    assert!(bounded_least_squares(&[&[1.0, 2.0]], &[1.0, 2.0], &[(1.0, 0.0)]).is_none());
    assert!(bounded_least_squares(&[&[1.0, 2.0], &[2.0, 4.0]], &[1.0, 2.0], &[free, free]).is_none());
}

/// What the fixture is really like in these tests.
fn with_resistance(fixture: &mut Fixture, flank: f64, no_load: f64, hysteresis: f64) {
    fixture.resistance.flank = Coefficient::assumed(flank);
    fixture.resistance.no_load_torque = Coefficient::assumed(no_load);
    fixture.resistance.hysteresis = Coefficient::assumed(hysteresis);
}

fn pull(payload: f64, towards: Way, line_off: bool, force: f64) -> MeasuredPull {
    MeasuredPull { path: "pulls".into(), rider: 0, towards, payload, at_travel: 240.0, line_off, force }
}

/// What a spring scale would show on a fixture with these coefficients: the effort with the payload put on, by way
/// of a whole analysis.
fn shown(fixture: &Fixture, pull: &MeasuredPull) -> f64 {
    let mut loaded = fixture.clone();
    let assembly = Assembly::new(fixture);
    let rider = &mut loaded.riders[0];
    let load = &mut rider.loads[0];
    load.mass += pull.payload;
    assert!(assembly.riders[0].mass.total() > 0.0);
    if pull.line_off {
        loaded.line = None;
        loaded.riders.truncate(1);
    }
    let curves = analyse(&loaded).curves;
    let station = curves.travel.iter().position(|at| (at - pull.at_travel).abs() < 1e-9).unwrap();
    match pull.towards {
        Way::Growing => curves.effort_up[station],
        Way::Falling => curves.effort_down[station],
    }
}

/// Pulls of several payloads both ways, as a fixture with other coefficients would show them.
fn measured(truth: &Fixture, noise: f64, random: &mut Random) -> Vec<MeasuredPull> {
    let mut pulls = Vec::new();
    for payload in [0.0, 0.5, 2.0, 8.0] {
        for towards in Way::BOTH {
            for line_off in [false, true] {
                let mut one = pull(payload, towards, line_off, 0.0);
                one.force = shown(truth, &one) + random.between(-noise, noise);
                pulls.push(one);
            }
        }
    }
    pulls
}

fn of(calibration: &Calibration, which: Fittable) -> &FittedCoefficient {
    calibration.coefficients.iter().find(|coefficient| coefficient.which == which).unwrap()
}

/// Pulls without scatter bring back the coefficients they were made with, though the fixture assumes others.
#[test]
fn exact_pulls_bring_the_coefficients_back() {
    let mut assumed = fixture(&Recipe::default());
    let mut truth = assumed.clone();
    with_resistance(&mut truth, 0.31, 0.9, 0.1);
    assumed.pulls = measured(&truth, 0.0, &mut Random::new(1));
    let calibration = analyse(&assumed).calibration.unwrap();
    for (which, value) in [(Fittable::Flank, 0.31), (Fittable::NoLoadTorque, 0.9)] {
        let fitted = of(&calibration, which);
        assert_eq!(fitted.outcome, FitOutcome::Fitted, "{fitted:?}");
        near(fitted.value, value, 2e-3 * value);
    }
    for pull in &calibration.pulls {
        near(pull.fitted, pull.measured, 1e-3);
    }
    assert!(calibration.deviation.unwrap() < 1e-3);
    // And with what it assumes now the fixture is told to be wrong by as much as it is.
    let finding = analyse(&assumed).findings.into_iter().find(|f| f.code == "calibration.fit").unwrap();
    let worst = calibration.pulls.iter().map(|p| (p.before - p.measured).abs()).fold(0.0, f64::max);
    near(finding.value.unwrap(), worst, 1e-12);
    assert!(worst > 0.1);
}

/// With a scale that reads to ±0.02 N the truth lies within three standard errors in nearly all of the sets of pulls that tell,
/// and the scatter found is that put in (0.02/√3).
#[test]
fn the_standard_error_says_how_sure_the_fit_is() {
    let mut base = fixture(&Recipe::default());
    let mut truth = base.clone();
    with_resistance(&mut truth, 0.31, 0.9, 0.1);
    let exact = measured(&truth, 0.0, &mut Random::new(1));
    let mut random = Random::new(5);
    let (mut within, mut told, mut scatter) = (0_u32, 0_u32, 0.0);
    const SETS: u32 = 100;
    for _ in 0..SETS {
        base.pulls = exact
            .iter()
            .map(|pull| MeasuredPull { force: pull.force + random.between(-0.02, 0.02), ..pull.clone() })
            .collect();
        let calibration = calibrate(&base, &Assembly::new(&base)).unwrap();
        scatter += calibration.deviation.unwrap() / f64::from(SETS);
        for (which, value) in [(Fittable::Flank, 0.31), (Fittable::NoLoadTorque, 0.9)] {
            let fitted = of(&calibration, which);
            // Slip and hysteresis are nearly alike: where scatter drives one of them to nothing the other is off.
            let Some(error) = fitted.standard_error else { continue };
            if calibration.coefficients.iter().any(|c| c.outcome == FitOutcome::AtBound) {
                continue;
            }
            told += 1;
            within += u32::from((fitted.value - value).abs() <= 3.0 * error);
        }
    }
    assert!(told >= 40 && f64::from(within) >= 0.95 * f64::from(told), "{within} of {told}");
    near(scatter, 0.02 / 3f64.sqrt(), 0.0025);
}

/// Pulls of one payload tell slip and hysteresis only together; a coefficient that nothing depends on is not asked
/// about; one pull fits nothing.
#[test]
fn what_pulls_cannot_tell_is_said() {
    let mut fixture = fixture(&Recipe::default());
    fixture.pulls = [Way::Growing, Way::Falling, Way::Growing].map(|way| pull(0.0, way, true, 16.0)).to_vec();
    for pull in &mut fixture.pulls {
        if pull.towards == Way::Falling {
            pull.force = -15.0;
        }
    }
    let calibration = analyse(&fixture).calibration.unwrap();
    assert!(calibration.coefficients.iter().all(|c| c.which != Fittable::Shoe));
    assert!(
        calibration
            .coefficients
            .iter()
            .any(|c| matches!(&c.outcome, FitOutcome::Entangled(with) if !with.is_empty())),
        "{:?}",
        calibration.coefficients
    );
    fixture.pulls.truncate(1);
    let one = analyse(&fixture).calibration.unwrap();
    assert!(one.coefficients.iter().all(|c| c.outcome != FitOutcome::Fitted && c.value == c.before));
    fixture.pulls.clear();
    assert!(analyse(&fixture).calibration.is_none());
}

/// Pulls that ask for less friction than none end at none, and say so.
#[test]
fn friction_does_not_fall_below_nothing() {
    let mut assumed = fixture(&Recipe::default());
    // Held near the rail, it leans on its wheels the more the heavier it is.
    assumed.riders[0].grip = Some(Grip { name: "knob".into(), at: glam::DVec3::new(0.0, 0.0, 20.0) });
    let mut truth = assumed.clone();
    with_resistance(&mut truth, 0.0, 0.9, 0.0);
    let mut pulls = measured(&truth, 0.0, &mut Random::new(1));
    // The heavier it is the easier it is said to go.
    for pull in &mut pulls {
        pull.force -= 0.01 * pull.payload;
    }
    assumed.pulls = pulls;
    let calibration = analyse(&assumed).calibration.unwrap();
    let at_bound: Vec<_> =
        calibration.coefficients.iter().filter(|c| c.outcome == FitOutcome::AtBound).collect();
    assert!(!at_bound.is_empty(), "{:?}", calibration.coefficients);
    assert!(at_bound.iter().all(|c| c.value == 0.0 && c.standard_error.is_none()));
    assert!(calibration.coefficients.iter().all(|c| c.value >= 0.0));
}

/// A rider that runs against the lead is pulled the other way; half the ratio takes half the force.
#[test]
fn a_pull_on_the_linked_rider_goes_the_other_way() {
    let mut fixture = fixture(&Recipe { counter_mass: 0.9, ..Recipe::default() });
    let results = analyse(&fixture);
    let station = results.curves.travel.iter().position(|at| (at - 240.0).abs() < 1e-9).unwrap();
    fixture.pulls =
        Way::BOTH.map(|towards| MeasuredPull { rider: 1, ..pull(0.0, towards, false, 1.0) }).to_vec();
    let calibration = calibrate(&fixture, &Assembly::new(&fixture)).unwrap();
    // Upwards it helps the lead down.
    near(calibration.pulls[0].before, results.curves.effort_down[station], 1e-9);
    near(calibration.pulls[1].before, results.curves.effort_up[station], 1e-9);
}
