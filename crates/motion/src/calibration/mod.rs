//! Uncertain coefficients fitted to pulls measured with a spring scale.

mod bounded;

pub use bounded::{BoundedFit, bounded_least_squares};

use crate::forces::ratio;
use crate::linear::{dot, length};
use crate::resistance::{Friction, WheelFactors};
use crate::statics::Statics;
use crate::{Assembly, Coupling, Drive, Fixture, MeasuredPull, PieceKind, Way};

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
    /// Standard error of the value; `None` where it was not fitted or ended at a bound.
    pub standard_error: Option<f64>,
    /// What came of it.
    pub outcome: FitOutcome,
}

/// A coefficient that pulls can tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fittable {
    /// Sliding friction of tyre on rail.
    Flank,
    /// No-load torque of a bearing (N·mm).
    NoLoadTorque,
    /// Loss factor of the tyre.
    Hysteresis,
    /// Sliding friction of a plain shoe.
    Shoe,
}

/// What came of a coefficient.
#[derive(Clone, Debug, PartialEq)]
pub enum FitOutcome {
    /// Fitted.
    Fitted,
    /// The best value lies at the end of what is possible: the pulls ask for less than nothing, or for more
    /// than all.
    AtBound,
    /// It hardly changes any of the pulls, or by less than they scatter.
    NoInfluence,
    /// The pulls tell only what it does together with these; it keeps its value.
    Entangled(Vec<Fittable>),
    /// Too few pulls to fit it too; it keeps its value.
    TooFewPulls,
}

/// One measured pull beside what is calculated (N).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FittedPull {
    /// As measured.
    pub measured: f64,
    /// As calculated with the coefficients of the fixture.
    pub before: f64,
    /// As calculated with the fitted ones.
    pub fitted: f64,
}

impl Fittable {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Flank, Self::NoLoadTorque, Self::Hysteresis, Self::Shoe];

    /// What it is, for a reader.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Flank => "sliding friction of tyre on rail",
            Self::NoLoadTorque => "no-load torque of a bearing",
            Self::Hysteresis => "loss factor of the tyre",
            Self::Shoe => "sliding friction of a shoe",
        }
    }

    /// Name of its field in the document's resistance.
    pub const fn field(self) -> &'static str {
        match self {
            Self::Flank => "flank",
            Self::NoLoadTorque => "no_load_torque",
            Self::Hysteresis => "hysteresis",
            Self::Shoe => "shoe",
        }
    }

    /// Its unit; empty for a plain number.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::NoLoadTorque => "N·mm",
            Self::Flank | Self::Hysteresis | Self::Shoe => "",
        }
    }

    /// Least and greatest value that makes sense.
    const fn bounds(self) -> (f64, f64) {
        match self {
            // No more can be lost than is put in.
            Self::Hysteresis => (0.0, 1.0),
            Self::Flank | Self::NoLoadTorque | Self::Shoe => (0.0, f64::INFINITY),
        }
    }

    const fn of(self, friction: &Friction) -> f64 {
        match self {
            Self::Flank => friction.flank,
            Self::NoLoadTorque => friction.no_load_torque,
            Self::Hysteresis => friction.hysteresis,
            Self::Shoe => friction.shoe,
        }
    }

    const fn set(self, friction: &mut Friction, value: f64) {
        match self {
            Self::Flank => friction.flank = value,
            Self::NoLoadTorque => friction.no_load_torque = value,
            Self::Hysteresis => friction.hysteresis = value,
            Self::Shoe => friction.shoe = value,
        }
    }

    /// Whether anything in the fixture depends on it.
    fn is_in(self, fixture: &Fixture) -> bool {
        let wheels = || {
            let mounts = fixture.riders.iter().flat_map(|rider| &rider.wheels);
            mounts.flat_map(|mount| &mount.stack.pieces).filter_map(|piece| match &piece.kind {
                PieceKind::Wheel(wheel) => Some(wheel),
                _ => None,
            })
        };
        match self {
            Self::Flank | Self::Hysteresis => wheels().next().is_some(),
            Self::NoLoadTorque => wheels().any(|wheel| wheel.bearing.no_load_torque.is_none()),
            Self::Shoe => fixture.riders.iter().flat_map(|r| &r.shoes).any(|shoe| shoe.friction.is_none()),
        }
    }
}

/// A pull as it follows from the coefficients: `fixed` + Σ factor × coefficient (N).
struct Model {
    fixed: f64,
    factors: [f64; Fittable::ALL.len()],
}

/// Fits the uncertain coefficients to the fixture's measured pulls; `None` when there are none.
///
/// A steady pull is linear in the coefficients as long as the wheel loads do not depend on them, so bounded
/// linear least squares gives the values; the loads depend on them a little through the pull itself, so it
/// is done again with the loads at the fit. Standard errors are those of linear regression, from the pulls'
/// scatter about the fit. Coefficients that the pulls cannot tell apart are found by their columns: one that
/// lies in the span of the others is held at its value. So is one that the scatter leaves uncertain by more than its
/// own size.
pub fn calibrate(fixture: &Fixture, assembly: &Assembly) -> Option<Calibration> {
    if fixture.pulls.is_empty() {
        return None;
    }
    const ROUNDS: usize = 12;
    /// Coefficients that change by less than this share are found.
    const FOUND: f64 = 1e-9;
    let start = Friction::from(&fixture.resistance);
    let is_alone = |pull: &MeasuredPull| pull.line_off || ratio(fixture, pull.rider) == 0.0;
    let alone: Vec<Option<Fixture>> =
        fixture.pulls.iter().map(|pull| is_alone(pull).then(|| alone(fixture, pull.rider))).collect();
    let mut measured: Vec<Measured> = fixture
        .pulls
        .iter()
        .zip(&alone)
        .map(|(pull, alone)| Measured::new(fixture, alone.as_ref(), assembly, pull))
        .collect();
    let mut models = |friction: &Friction| -> Vec<Model> {
        measured.iter_mut().map(|measured| measured.model(friction)).collect()
    };
    let before: Vec<f64> = models(&start).iter().map(|model| model.value(&start)).collect();
    let mut friction = start;
    let mut outcome = None;
    for _ in 0..ROUNDS {
        let models = models(&friction);
        let fit = fit_once(fixture, &models, &start);
        let mut changed = false;
        for coefficient in &fit {
            let before = coefficient.which.of(&friction);
            changed |= (coefficient.value - before).abs() > FOUND * before.abs();
            coefficient.which.set(&mut friction, coefficient.value);
        }
        outcome = Some(fit);
        if !changed {
            break;
        }
    }
    let coefficients = outcome?;
    let fitted: Vec<f64> = models(&friction).iter().map(|model| model.value(&friction)).collect();
    let pulls: Vec<FittedPull> = fixture
        .pulls
        .iter()
        .zip(&before)
        .zip(&fitted)
        .map(|((pull, before), fitted)| FittedPull { measured: pull.force, before: *before, fitted: *fitted })
        .collect();
    let free = coefficients.iter().filter(|c| c.outcome == FitOutcome::Fitted).count();
    let squares: f64 = pulls.iter().map(|pull| (pull.measured - pull.fitted).powi(2)).sum();
    let deviation =
        pulls.len().checked_sub(free).filter(|left| *left > 0).map(|left| (squares / left as f64).sqrt());
    Some(Calibration { coefficients, pulls, deviation })
}

impl Model {
    fn value(&self, friction: &Friction) -> f64 {
        let sum: f64 =
            Fittable::ALL.iter().zip(&self.factors).map(|(which, factor)| which.of(friction) * factor).sum();
        self.fixed + sum
    }
}

/// A measured pull, with the fixture as it was then made ready for many coefficients.
struct Measured<'a> {
    fixture: &'a Fixture,
    statics: Statics<'a>,
    pull: &'a MeasuredPull,
    /// Travel of the rider that was pulled per travel of the lead.
    own: f64,
}

impl<'a> Measured<'a> {
    /// `alone` is the fixture if the rider was pulled alone.
    fn new(
        fixture: &'a Fixture,
        alone: Option<&'a Fixture>,
        assembly: &Assembly,
        pull: &'a MeasuredPull,
    ) -> Self {
        let own = if alone.is_some() { 1.0 } else { ratio(fixture, pull.rider) };
        let line = fixture.line.as_ref().filter(|_| alone.is_some());
        let fixture = alone.unwrap_or(fixture);
        let mut statics = Statics::new(fixture, assembly);
        // The ends of a line that is off are not in its clamps; its pulleys stay.
        for (line, tail) in line.into_iter().flat_map(|line| line.tails().map(move |tail| (line, tail))) {
            if let Some(rider) = tail.rider {
                statics.put(rider, -line.mass_of(tail.length), tail.at);
            }
        }
        statics.add_mass(pull.rider, pull.payload);
        Self { fixture, statics, pull, own }
    }

    /// The pull at the loads that go with these coefficients.
    fn model(&mut self, friction: &Friction) -> Model {
        let Self { fixture, statics, pull, own } = self;
        statics.set_friction(*friction);
        let line = statics.line_at(pull.at_travel);
        // The lead goes the same way, or the other where the rider runs against it.
        let lead = if pull.towards.sign() * *own > 0.0 { Way::Growing } else { Way::Falling };
        let (_, way) = statics.steady_towards(pull.at_travel, line.as_ref(), lead);
        let scale = 1.0 / own.abs();
        let mut factors = [0.0; Fittable::ALL.len()];
        // At steady speed.
        let (pulls, loads) = &way.driven;
        for (rider, loads) in loads.iter().enumerate() {
            let wheels: Vec<WheelFactors> = statics.factors(rider, loads).collect();
            let share = ratio(fixture, rider).abs() * scale;
            let sum = |of: fn(&WheelFactors) -> f64| wheels.iter().map(of).sum::<f64>() * share;
            factors[0] += sum(|f| f.slip);
            factors[1] += sum(|f| f.no_load);
            factors[2] += sum(|f| f.hysteresis);
            factors[3] += statics.shoe_normal(rider, loads) * share;
        }
        if friction.no_load_torque > 0.0 {
            let grease: f64 = pulls.losses.iter().map(|loss| loss.no_load).sum();
            factors[1] += grease / friction.no_load_torque * scale;
        }
        let model = Model { fixed: 0.0, factors };
        Model { fixed: way.effort * scale - model.value(friction), ..model }
    }
}

/// The fixture with the line off and only one rider moving, by hand.
fn alone(fixture: &Fixture, rider: usize) -> Fixture {
    let mut alone = fixture.clone();
    alone.line = None;
    alone.drive = Drive::Hand;
    for (number, known) in alone.riders.iter_mut().enumerate() {
        known.coupling =
            if number == rider { Coupling::Lead } else { Coupling::Free { from: 0.0, to: 0.0, at: 0.0 } };
    }
    alone
}

/// A column that lies in the span of others but for this share of its length is not told apart from them.
/// Spring scales show a hundredth of their range at best.
const TOLD_APART: f64 = 1e-3;

/// A coefficient that changes no pull by more than this (N) has no influence on them.
const INFLUENCE: f64 = 1e-6;

fn fit_once(fixture: &Fixture, models: &[Model], start: &Friction) -> Vec<FittedCoefficient> {
    let wanted: Vec<usize> =
        (0..Fittable::ALL.len()).filter(|index| Fittable::ALL[*index].is_in(fixture)).collect();
    let mut fitted: Vec<FittedCoefficient> = wanted
        .iter()
        .map(|index| {
            let which = Fittable::ALL[*index];
            let before = which.of(start);
            FittedCoefficient {
                which,
                before,
                value: before,
                standard_error: None,
                outcome: FitOutcome::NoInfluence,
            }
        })
        .collect();
    let columns: Vec<Vec<f64>> =
        wanted.iter().map(|index| models.iter().map(|model| model.factors[*index]).collect()).collect();
    // The most pulls tell one apart first; of the rest always the one least told by those before it.
    let mut chosen: Vec<usize> = Vec::new();
    let mut basis: Vec<Vec<f64>> = Vec::new();
    let mut left: Vec<usize> = (0..columns.len())
        .filter(|column| {
            let scale = fitted[*column].before.max(REFERENCE);
            columns[*column].iter().any(|factor| (factor * scale).abs() > INFLUENCE)
        })
        .collect();
    let most = models.len().saturating_sub(1);
    while let Some((place, share, rest)) = left
        .iter()
        .enumerate()
        .map(|(place, column)| {
            let rest = without(&columns[*column], &basis);
            (place, length(&rest) / length(&columns[*column]), rest)
        })
        .max_by(|a, b| a.1.total_cmp(&b.1))
    {
        let column = left.remove(place);
        if share <= TOLD_APART {
            let with = entangled_with(&columns, &chosen, column);
            fitted[column].outcome =
                FitOutcome::Entangled(with.into_iter().map(|other| fitted[other].which).collect());
        } else if chosen.len() >= most {
            fitted[column].outcome = FitOutcome::TooFewPulls;
        } else {
            let size = length(&rest);
            basis.push(rest.iter().map(|value| value / size).collect());
            chosen.push(column);
        }
    }
    let right = |chosen: &[usize], fitted: &[FittedCoefficient]| -> Vec<f64> {
        let pulls = fixture.pulls.iter().zip(models).enumerate();
        pulls
            .map(|(row, (pull, model))| {
                let held: f64 = (0..columns.len())
                    .filter(|column| !chosen.contains(column))
                    .map(|column| columns[column][row] * fitted[column].value)
                    .sum();
                pull.force - model.fixed - held
            })
            .collect()
    };
    // What the scatter leaves as uncertain as the coefficient itself is large is not told either: it would only take
    // up the scatter, and spoil the others.
    loop {
        let of: Vec<&[f64]> = chosen.iter().map(|column| columns[*column].as_slice()).collect();
        let free = vec![(f64::NEG_INFINITY, f64::INFINITY); chosen.len()];
        let Some(fit) = bounded_least_squares(&of, &right(&chosen, &fitted), &free) else { break };
        let size = |column: usize| fitted[column].before.max(REFERENCE);
        let worst = fit
            .standard_errors
            .iter()
            .zip(&chosen)
            .enumerate()
            .filter_map(|(place, (error, column))| Some((place, (*error)? / size(*column))))
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .filter(|(_, share)| *share > 1.0);
        let Some((place, _)) = worst else { break };
        let column = chosen.remove(place);
        let freedom = (models.len() - chosen.len()).max(1) as f64;
        let scatter = (fit.squares / freedom).sqrt();
        let most = columns[column].iter().fold(0.0_f64, |most, factor| most.max(factor.abs()));
        fitted[column].outcome = if most * size(column) <= 2.0 * scatter || chosen.is_empty() {
            FitOutcome::NoInfluence
        } else {
            let with = entangled_with(&columns, &chosen, column);
            FitOutcome::Entangled(with.into_iter().map(|other| fitted[other].which).collect())
        };
    }
    let right = right(&chosen, &fitted);
    let chosen_columns: Vec<&[f64]> = chosen.iter().map(|column| columns[*column].as_slice()).collect();
    let bounds: Vec<(f64, f64)> = chosen.iter().map(|column| fitted[*column].which.bounds()).collect();
    let Some(fit) = bounded_least_squares(&chosen_columns, &right, &bounds) else { return fitted };
    for (place, column) in chosen.iter().enumerate() {
        let known = &mut fitted[*column];
        known.value = fit.values[place];
        known.standard_error = fit.standard_errors[place];
        known.outcome = if fit.at_bound[place] { FitOutcome::AtBound } else { FitOutcome::Fitted };
    }
    fitted
}

/// Coefficients that are 0 still count with this much when their influence is judged.
const REFERENCE: f64 = 0.05;

/// What is left of a column beside an orthonormal basis (twice, against rounding).
fn without(column: &[f64], basis: &[Vec<f64>]) -> Vec<f64> {
    let mut rest = column.to_vec();
    for _ in 0..2 {
        for direction in basis {
            let along = dot(&rest, direction);
            for (value, of) in rest.iter_mut().zip(direction) {
                *value -= along * of;
            }
        }
    }
    rest
}

/// Which of the chosen columns make up `column`.
fn entangled_with(columns: &[Vec<f64>], chosen: &[usize], column: usize) -> Vec<usize> {
    let of: Vec<&[f64]> = chosen.iter().map(|other| columns[*other].as_slice()).collect();
    let free = vec![(f64::NEG_INFINITY, f64::INFINITY); chosen.len()];
    let Some(fit) = bounded_least_squares(&of, &columns[column], &free) else { return chosen.to_vec() };
    let whole = length(&columns[column]);
    /// A column that makes up less than this share of another has no part in it.
    const PART: f64 = 0.05;
    chosen
        .iter()
        .zip(&fit.values)
        .filter(|(other, share)| length(&columns[**other]) * share.abs() > PART * whole)
        .map(|(other, _)| *other)
        .collect()
}
