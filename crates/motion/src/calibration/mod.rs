//! Uncertain coefficients fitted to pulls measured with a spring scale.

mod advice;
mod fittable;
mod forward;
mod judge;
mod posterior;
mod prior;
mod ridge;

pub use advice::NextPull;
pub use fittable::Fittable;
pub use judge::{COVERAGE, Judged, Judgement, Verdict};
pub use posterior::{Draws, LinearPull, LinearPulls};
pub use prior::Prior;

use crate::resistance::Friction;
use crate::{Assembly, Fixture};
use forward::{Measured, Model, alone};

/// What measured pulls say about the coefficients.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Calibration {
    /// Each coefficient that could be fitted, and what came of it.
    pub coefficients: Vec<FittedCoefficient>,
    /// Each pull beside what is calculated.
    pub pulls: Vec<FittedPull>,
    /// Standard deviation of the pulls about the fit (N); `None` when there are no more pulls than fitted
    /// coefficients.
    pub deviation: Option<f64>,
    /// The pull that would best tell what these leave together; `None` where they leave nothing, or no pull would.
    pub next: Option<NextPull>,
}

/// One coefficient and what the pulls say about it.
#[derive(Clone, Debug, PartialEq)]
pub struct FittedCoefficient {
    /// Which.
    pub which: Fittable,
    /// Its value in the fixture.
    pub before: f64,
    /// The value that fits best; the same as before where the pulls do not tell.
    pub value: f64,
    /// Standard error of the value, whatever came of it: half the distance from it within which the truth lies with 95 %.
    pub standard_error: f64,
    /// The truth lies below this with 2.5 %, as far as the pulls and what was known before them tell.
    pub least: f64,
    /// The truth lies above this with 2.5 %.
    pub greatest: f64,
    /// What came of it.
    pub outcome: FitOutcome,
}

/// What came of a coefficient.
#[derive(Clone, Debug, PartialEq)]
pub enum FitOutcome {
    /// Fitted.
    Fitted,
    /// Fitted, but the pulls by themselves ask for less than nothing, or for more than all: they and the model do
    /// not agree.
    AtBound,
    /// It hardly changes any of the pulls, or by less than they scatter; it keeps its value.
    NoInfluence,
    /// The pulls tell only what it does together with these; it keeps its value.
    Entangled(Vec<Fittable>),
    /// There is one pull, which says nothing of its own scatter; it keeps its value.
    TooFewPulls,
}

impl FitOutcome {
    /// Whether the coefficient has a value of the pulls.
    pub const fn is_fitted(&self) -> bool {
        matches!(self, Self::Fitted | Self::AtBound)
    }
}

/// One measured pull beside what is calculated (N).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FittedPull {
    /// As measured.
    pub measured: f64,
    /// As calculated with the coefficients of the fixture; `None` where the rider jams.
    pub before: Option<f64>,
    /// As calculated with the fitted ones; `None` where the rider jams.
    pub fitted: Option<f64>,
}

/// What is known of the scatter of a spring scale read on the move: about a hundredth of the greatest pull, as the
/// divisions of common scales are, and no less than 0.02 N, known to a factor of 5 (95 %; our assumption, no source).
fn noise(fixture: &Fixture) -> Prior {
    const SHARE: f64 = 0.01;
    const LEAST: f64 = 0.02;
    let greatest = fixture.pulls.iter().map(|pull| pull.force.abs()).filter(|force| force.is_finite());
    let median = (SHARE * greatest.fold(0.0, f64::max)).max(LEAST);
    Prior { median, factor: 5.0, most: f64::INFINITY }
}

/// Fits the uncertain coefficients to the fixture's measured pulls; `None` when there are none.
///
/// A Bayesian regression: every coefficient has a prior distribution ([`Fittable::prior`]), so has the scatter of the
/// readings, and what is published comes from their joint distribution given the pulls (A. Gelman et al., Bayesian
/// Data Analysis, 3rd ed., chapters 3 and 14; JCGM 101 for a measurement). A pull is linear in the coefficients as long
/// as the wheel loads do not depend on them; they do a little, through the pull itself. So the most likely
/// coefficients are found with the loads at the last ones, again and again, and the distribution is integrated
/// with the pulls' tangents there: [`LinearPulls::judge`] says how, and which coefficients are told. Pulls at which the
/// rider jams are left out.
pub fn calibrate(fixture: &Fixture, assembly: &Assembly) -> Option<Calibration> {
    if fixture.pulls.is_empty() {
        return None;
    }
    let start = Friction::from(&fixture.resistance);
    let wanted: Vec<usize> =
        (0..Fittable::ALL.len()).filter(|index| Fittable::ALL[*index].is_in(fixture)).collect();
    let alone: Vec<Option<Fixture>> = fixture.pulls.iter().map(|pull| alone(fixture, pull)).collect();
    let mut measured: Vec<Measured<'_>> = fixture
        .pulls
        .iter()
        .zip(&alone)
        .map(|(pull, alone)| Measured::new(fixture, alone.as_ref(), assembly, pull))
        .collect();
    let before = values(&mut measured, &start);
    let problem = |models: &[Model], friction: &Friction| LinearPulls {
        pulls: fixture
            .pulls
            .iter()
            .zip(models)
            .map(|(pull, model)| model.linear(pull, &wanted, friction))
            .filter(|pull| pull.value.is_finite() && pull.factors.iter().all(|factor| factor.is_finite()))
            .collect(),
        priors: wanted.iter().map(|index| Fittable::ALL[*index].prior(&fixture.resistance)).collect(),
        noise: noise(fixture),
    };
    let mut friction = start;
    if fixture.pulls.len() > 1 {
        const ROUNDS: usize = 12;
        /// Coefficients that change by less than this share are found: the tangents do the rest.
        const FOUND: f64 = 1e-3;
        for _ in 0..ROUNDS {
            let models: Vec<Model> = measured.iter_mut().map(|measured| measured.model(&friction)).collect();
            let peak = problem(&models, &friction).peak(&vec![None; wanted.len()]).point;
            if !move_to(&mut friction, &wanted, peak.as_slice(), FOUND) {
                break;
            }
        }
    }
    let mut judgement = None;
    /// Tangents are taken anew where the calculated pulls miss what the last ones said by more than this share of the scatter.
    const STRAIGHT: f64 = 0.1;
    for _ in 0..3 {
        let models: Vec<Model> =
            measured.iter_mut().map(|measured| measured.tangent(&friction, &wanted)).collect();
        let own: Vec<f64> = wanted.iter().map(|index| Fittable::ALL[*index].of(&start)).collect();
        let judged = problem(&models, &friction).judge(&own)?;
        let found: Vec<f64> = judged.coefficients.iter().map(|judged| judged.value).collect();
        move_to(&mut friction, &wanted, &found, 0.0);
        let noise = judged.noise;
        judgement = Some(judged);
        let real = values(&mut measured, &friction);
        let bent = real
            .iter()
            .zip(&models)
            .filter_map(|(real, model)| Some((real.as_ref()? - model.value(&friction)).abs()));
        if bent.fold(0.0, f64::max) <= STRAIGHT * noise {
            break;
        }
    }
    let judgement = judgement?;
    let fitted = values(&mut measured, &friction);
    let pulls: Vec<FittedPull> = fixture
        .pulls
        .iter()
        .zip(before.iter().zip(&fitted))
        .map(|(pull, (before, fitted))| FittedPull { measured: pull.force, before: *before, fitted: *fitted })
        .collect();
    let coefficients: Vec<FittedCoefficient> = wanted
        .iter()
        .zip(&judgement.coefficients)
        .map(|(index, judged)| published(*index, judged, &wanted, &start))
        .collect();
    let free = coefficients.iter().filter(|fitted| fitted.outcome.is_fitted()).count();
    let misses = || pulls.iter().filter_map(|pull| Some(pull.measured - pull.fitted?));
    let squares: f64 = misses().map(|miss| miss * miss).sum();
    let deviation = misses()
        .count()
        .checked_sub(free)
        .filter(|left| *left > 0)
        .map(|left| (squares / left as f64).sqrt());
    let next = advice::next_pull(fixture, assembly, &wanted, &friction, &judgement);
    Some(Calibration { coefficients, pulls, deviation, next })
}

/// Each pull with these coefficients (N); `None` where the rider jams.
fn values(measured: &mut [Measured<'_>], friction: &Friction) -> Vec<Option<f64>> {
    let value = |measured: &mut Measured<'_>| Some(measured.model(friction).value(friction));
    measured.iter_mut().map(|measured| value(measured).filter(|value| value.is_finite())).collect()
}

/// Puts values in the place of the `wanted` coefficients; whether one of them changed by more than a share of itself.
fn move_to(friction: &mut Friction, wanted: &[usize], to: &[f64], share: f64) -> bool {
    let mut changed = false;
    for (index, value) in wanted.iter().zip(to) {
        let which = Fittable::ALL[*index];
        let before = which.of(friction);
        changed |= (value - before).abs() > share * before.abs();
        which.set(friction, *value);
    }
    changed
}

fn published(index: usize, judged: &Judged, wanted: &[usize], start: &Friction) -> FittedCoefficient {
    let which = Fittable::ALL[index];
    let outcome = match &judged.verdict {
        Verdict::Fitted => FitOutcome::Fitted,
        Verdict::AtBound => FitOutcome::AtBound,
        Verdict::NoInfluence => FitOutcome::NoInfluence,
        Verdict::Entangled(with) => {
            FitOutcome::Entangled(with.iter().map(|place| Fittable::ALL[wanted[*place]]).collect())
        }
        Verdict::TooFewPulls => FitOutcome::TooFewPulls,
    };
    let Judged { value, standard_error, least, greatest, .. } = *judged;
    FittedCoefficient { which, before: which.of(start), value, standard_error, least, greatest, outcome }
}
