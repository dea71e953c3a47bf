//! The next pull that would tell most.

use super::fittable::Fittable;
use super::forward::{Measured, alone};
use super::judge::{Judgement, Verdict};
use super::posterior::{Matrix, Vector};
use crate::resistance::Friction;
use crate::{Assembly, Fixture, MeasuredPull, Way, rider_ratio};

/// A pull that has not been measured yet, and what it would tell.
#[derive(Clone, Debug, PartialEq)]
pub struct NextPull {
    /// Number of the rider to pull.
    pub rider: usize,
    /// Which way along the rail.
    pub towards: Way,
    /// Mass to put on beside what the rider carries already (kg).
    pub payload: f64,
    /// Travel of the lead (mm).
    pub at_travel: f64,
    /// Whether the line should be off.
    pub line_off: bool,
    /// What the scale should about show (N).
    pub force: f64,
    /// The coefficient it would tell.
    pub tells: Fittable,
    /// From which others.
    pub apart_from: Vec<Fittable>,
    /// The share of that coefficient's standard error that would be left, about: the pulls are taken for linear.
    pub leaves: f64,
}

/// A pull that leaves more than this share of a standard error is not worth the trouble.
const WORTH: f64 = 0.8;

/// A pull that needs more done must leave less than this share of what a simpler one leaves.
const BETTER: f64 = 0.97;

/// Masses to put on, in each power of ten (kg): those of common sets of weights.
const MASSES: [f64; 3] = [1.0, 2.0, 5.0];

/// What a spring scale shows at most (N), unless a greater pull was measured.
const SCALE: f64 = 50.0;

/// Riders that are looked at, the pulled ones first.
const RIDERS: usize = 2;

/// The pull that leaves least of the standard error of one of the coefficients that the measured ones tell only with others.
///
/// Among pulls one can take: on any rider, with nothing or a common mass of up to twice the rider's own put on, where
/// it was pulled before or at the ends or in the middle of the stroke, with the line on or off, as far as a spring
/// scale reaches. A pull with slopes a and scatter σ takes (C·a)ⱼ²/(aᵀ·C·a + σ²) off the variance of coefficient j, C
/// being the covariance now (A. Gelman et al., Bayesian Data Analysis, 3rd ed., §14.8, for one more reading).
pub(super) fn next_pull(
    fixture: &Fixture,
    assembly: &Assembly,
    wanted: &[usize],
    friction: &Friction,
    judgement: &Judgement,
) -> Option<NextPull> {
    let untold: Vec<(usize, &Vec<usize>)> = judgement
        .coefficients
        .iter()
        .enumerate()
        .filter_map(|(place, judged)| match &judged.verdict {
            Verdict::Entangled(with) => Some((place, with)),
            _ => None,
        })
        .collect();
    if untold.is_empty() {
        return None;
    }
    let mut best: Option<NextPull> = None;
    for pull in candidates(fixture) {
        let alone = alone(fixture, &pull);
        // The way in which a scale pulls; if it must hold back either way, the last.
        let mut looked_at = None;
        for towards in Way::BOTH {
            let pull = MeasuredPull { towards, ..pull.clone() };
            let model = Measured::new(fixture, alone.as_ref(), assembly, &pull).model(friction);
            let force = model.value(friction);
            looked_at = Some((pull, model, force));
            if force >= 0.0 {
                break;
            }
        }
        let Some((pull, model, force)) = looked_at else { continue };
        if !force.is_finite() || force.abs() > reach(fixture) {
            continue;
        }
        let slopes = Vector::from_fn(|place, _| wanted.get(place).map_or(0.0, |index| model.factors[*index]));
        for (place, with) in &untold {
            let leaves = left(&judgement.covariance, &slopes, judgement.noise, *place);
            if leaves < best.as_ref().map_or(WORTH, |best| best.leaves * BETTER) {
                best = Some(NextPull {
                    rider: pull.rider,
                    towards: pull.towards,
                    payload: pull.payload,
                    at_travel: pull.at_travel,
                    line_off: pull.line_off,
                    force,
                    tells: Fittable::ALL[wanted[*place]],
                    apart_from: with.iter().map(|other| Fittable::ALL[wanted[*other]]).collect(),
                    leaves,
                });
            }
        }
    }
    best
}

/// Share of the standard error of a coefficient that one more pull leaves.
fn left(covariance: &Matrix, slopes: &Vector, noise: f64, which: usize) -> f64 {
    let along = covariance * slopes;
    let change = slopes.dot(&along);
    let share = along[which].powi(2) / ((change + noise * noise) * covariance[(which, which)]);
    if share.is_finite() { (1.0 - share).max(0.0).sqrt() } else { 1.0 }
}

fn reach(fixture: &Fixture) -> f64 {
    fixture.pulls.iter().map(|pull| pull.force.abs()).filter(|force| force.is_finite()).fold(SCALE, f64::max)
}

/// Pulls that one can take, what takes least trouble first.
fn candidates(fixture: &Fixture) -> Vec<MeasuredPull> {
    let mut riders: Vec<usize> = fixture.pulls.iter().map(|pull| pull.rider).collect();
    riders.extend(0..fixture.riders.len());
    let riders = distinct(riders, |a, b| a == b);
    let stroke = &fixture.stroke;
    let mut travels: Vec<f64> = fixture.pulls.iter().map(|pull| pull.at_travel).take(1).collect();
    travels.extend([stroke.from, 0.5 * (stroke.from + stroke.to), stroke.to]);
    travels.retain(|travel| travel.is_finite());
    let travels = distinct(travels, |a, b| (a - b).abs() < 1.0);
    let used = |line_off: bool| fixture.pulls.iter().any(|pull| pull.line_off == line_off);
    let mut lines = if fixture.line.is_some() { vec![false, true] } else { vec![false] };
    lines.sort_by_key(|line_off| !used(*line_off));
    let mut list = Vec::new();
    for rider in riders.into_iter().take(RIDERS) {
        for line_off in &lines {
            let is_alone = *line_off || rider_ratio(fixture, rider) == 0.0;
            let still = fixture.riders.get(rider).is_none_or(|rider| rider.forces.is_empty());
            // Alone, a rider is loaded alike everywhere unless something pushes it.
            let places = if is_alone && still { travels.get(..1).unwrap_or_default() } else { &travels };
            for payload in payloads(fixture, rider) {
                list.extend(places.iter().map(|at_travel| MeasuredPull {
                    path: String::new(),
                    rider,
                    towards: Way::Growing,
                    payload,
                    at_travel: *at_travel,
                    line_off: *line_off,
                    force: 0.0,
                    deviation: None,
                }));
            }
        }
    }
    list
}

fn payloads(fixture: &Fixture, rider: usize) -> Vec<f64> {
    let known = fixture.riders.get(rider);
    let own: f64 = known.map_or(0.0, |rider| rider.loads.iter().map(|load| load.mass).sum());
    let used = fixture.pulls.iter().filter(|pull| pull.rider == rider).map(|pull| pull.payload);
    let most = used.fold(2.0 * own.max(0.5), f64::max);
    let mut list = vec![0.0];
    for power in [0.01, 0.1, 1.0, 10.0] {
        list.extend(
            MASSES.map(|mass| mass * power).into_iter().filter(|mass| *mass <= most && *mass > 0.1 * most),
        );
    }
    list
}

fn distinct<T: Copy>(list: Vec<T>, same: impl Fn(T, T) -> bool) -> Vec<T> {
    let mut kept: Vec<T> = Vec::new();
    for item in list {
        if !kept.iter().any(|known| same(*known, item)) {
            kept.push(item);
        }
    }
    kept
}
