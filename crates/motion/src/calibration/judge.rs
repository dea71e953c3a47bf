//! What is published of each coefficient: its value, its uncertainty and what came of it.

use super::posterior::{Draws, LinearPulls, Matrix, Peak, Vector, inverse_diagonal, solve};

/// What pulls say about one coefficient.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// The value to calculate with.
    pub value: f64,
    /// Half the distance from the value within which the truth lies with 95 %.
    pub standard_error: f64,
    /// The truth lies below this with 2.5 %.
    pub least: f64,
    /// The truth lies above this with 2.5 %.
    pub greatest: f64,
    /// What came of it.
    pub verdict: Verdict,
}

/// What came of a coefficient; others by their places.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// The pulls tell it, given the values of those that were kept.
    Fitted,
    /// The same, but the pulls ask for less than nothing or for more than all.
    AtBound,
    /// Kept: it changes the pulls by less than they scatter.
    NoInfluence,
    /// Kept: the pulls tell only what it does together with these.
    Entangled(Vec<usize>),
    /// Kept: a single pull says nothing of its own scatter.
    TooFewPulls,
}

/// What pulls say about all of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Judgement {
    /// Each coefficient, in the order of the priors.
    pub coefficients: Vec<Judged>,
    /// Standard deviation of a reading (N), as likely exceeded as not.
    pub noise: f64,
    /// Covariance of the coefficients.
    pub covariance: Matrix,
}

impl Judgement {
    fn is_finite(&self) -> bool {
        let each = |judged: &Judged| [judged.value, judged.standard_error, judged.least, judged.greatest];
        self.noise.is_finite()
            && self.coefficients.iter().flat_map(each).all(f64::is_finite)
            && self.covariance.iter().all(|value| value.is_finite())
    }
}

/// Share of truths in a published interval.
pub const COVERAGE: f64 = 0.95;

/// A coefficient is told when the pulls leave this share of the spread it had before.
const TOLD: f64 = 0.5;

/// A coefficient may keep its value while at least so many of the truths lie on either side of it.
const KEEPABLE: f64 = 0.1;

/// Correlation from which two coefficients are told only together.
const TOGETHER: f64 = 0.3;

impl LinearPulls {
    /// Which coefficients the pulls tell, and how surely; those they do not tell keep what they have in `values`.
    ///
    /// All that is published of uncertainty comes from one posterior distribution ([`LinearPulls::posterior`]) of all
    /// coefficients, so that what is open about one that is kept is part of the intervals of the others. A coefficient
    /// is told when the pulls halve the spread of its logarithm; of those that are not, the least told one keeps its
    /// value, unless the pulls speak against that, and the others are looked at again as if it were known. Their
    /// values are the means under that condition, with which the calculated pulls meet the measured ones. The
    /// choice is our own; that the intervals hold, whatever came of a coefficient, is checked by drawing truths from
    /// the priors.
    ///
    /// Fewer than two pulls tell nothing. `None` for numbers that cannot be calculated with.
    pub fn judge(&self, values: &[f64]) -> Option<Judgement> {
        let count = self.priors.len();
        if values.len() != count || !self.is_sound() {
            return None;
        }
        let enough = self.pulls.len() > 1;
        let open = vec![None; count];
        let draws = if enough {
            self.posterior(&open)?
        } else {
            Self { pulls: Vec::new(), ..self.clone() }.posterior(&open)?
        };
        let peak = self.peak(&open);
        let kept = if enough { self.kept(values, &draws, &peak) } else { vec![true; count] };
        let held: Vec<Option<f64>> =
            kept.iter().zip(values).map(|(kept, value)| kept.then_some(*value)).collect();
        let given = if kept.iter().all(|kept| *kept) || !kept.contains(&true) {
            None
        } else {
            // Means take fewer draws than the ends of intervals.
            self.with_draws(&held, 512)
        };
        let beyond = self.beyond(&peak);
        let noise = draws.noise();
        let covariance =
            Matrix::from_fn(
                |row, column| {
                    if row.max(column) < count { draws.covariance(row, column) } else { 0.0 }
                },
            );
        let coefficients = (0..count)
            .map(|which| {
                let value = held[which].unwrap_or_else(|| given.as_ref().unwrap_or(&draws).mean(which));
                let verdict = if !enough {
                    Verdict::TooFewPulls
                } else if kept[which] {
                    self.why_kept(which, noise, &covariance)
                } else if beyond[which] {
                    Verdict::AtBound
                } else {
                    Verdict::Fitted
                };
                let tail = 0.5 * (1.0 - COVERAGE);
                let [least, greatest] = draws.quantiles(which, [tail, 1.0 - tail]);
                Judged {
                    value,
                    standard_error: 0.5 * draws.half_width(which, value, COVERAGE),
                    least: least.min(value),
                    greatest: greatest.max(value),
                    verdict,
                }
            })
            .collect();
        let judgement = Judgement { coefficients, noise, covariance };
        judgement.is_finite().then_some(judgement)
    }

    /// Which coefficients keep their values.
    fn kept(&self, values: &[f64], draws: &Draws, peak: &Peak) -> Vec<bool> {
        let count = self.priors.len();
        let precision = self.precision(&peak.point, peak.sigma);
        let mut kept = vec![false; count];
        loop {
            let free: Vec<usize> = (0..count).filter(|index| !kept[*index]).collect();
            let spread = inverse_diagonal(&precision, &free);
            let least_told = free
                .iter()
                .map(|index| (*index, spread[*index].sqrt() / self.priors[*index].log_deviation()))
                .filter(|(_, share)| *share > TOLD)
                .filter(|(index, _)| {
                    (KEEPABLE..=1.0 - KEEPABLE).contains(&draws.below(*index, values[*index]))
                })
                .max_by(|a, b| a.1.total_cmp(&b.1));
            let Some((index, _)) = least_told else { return kept };
            kept[index] = true;
        }
    }

    fn why_kept(&self, which: usize, noise: f64, covariance: &Matrix) -> Verdict {
        /// A pull that changes by no more than so many deviations of a reading does not show it.
        const SHOWS: f64 = 2.0;
        let change = self.priors[which].median * self.priors[which].log_deviation().exp_m1();
        let shows = self
            .pulls
            .iter()
            .any(|pull| pull.factors[which].abs() * change > SHOWS * pull.deviation.unwrap_or(noise));
        let alike = |other: usize| {
            let whole = (covariance[(which, which)] * covariance[(other, other)]).sqrt();
            covariance[(which, other)].abs() >= TOGETHER * whole && whole > 0.0
        };
        let with: Vec<usize> =
            (0..self.priors.len()).filter(|other| *other != which && alike(*other)).collect();
        if shows && !with.is_empty() { Verdict::Entangled(with) } else { Verdict::NoInfluence }
    }

    /// Whether the pulls by themselves ask for a coefficient below nothing or above what is possible, the others being
    /// as is most likely, by more than two standard errors.
    fn beyond(&self, peak: &Peak) -> Vec<bool> {
        let count = self.priors.len();
        // What they scatter about a regression: about the peak they scatter more, if only negative values fit.
        let least = self.noise.median / self.noise.factor;
        let scatter = match self.squares(&self.regression(peak.sigma)) {
            (squares, open) if open > count => (squares / (open - count) as f64).sqrt().max(least),
            _ => peak.sigma,
        };
        let sigma = scatter.min(peak.sigma);
        (0..count)
            .map(|index| {
                let (mut asked, mut told) = (0.0, 0.0);
                for pull in &self.pulls {
                    let weight = pull.deviation.unwrap_or(sigma).powi(-2) * pull.factors[index];
                    asked += weight * (pull.miss(&peak.point) + pull.factors[index] * peak.point[index]);
                    told += weight * pull.factors[index];
                }
                let (value, margin) = (asked / told, 2.0 / told.sqrt());
                told > 0.0 && (value < -margin || value > self.priors[index].most + margin)
            })
            .collect()
    }

    /// The coefficients of a linear regression; next to nothing is taken for known, so that those the pulls do not tell apart
    /// have a solution.
    fn regression(&self, sigma: f64) -> Vector {
        /// Standard deviation of what is taken for known, in medians.
        const VAGUE: f64 = 100.0;
        let count = self.priors.len();
        let free: Vec<usize> = (0..count).collect();
        let mut matrix = Matrix::zeros();
        let mut right = Vector::zeros();
        // In medians, about the medians.
        let medians = Vector::from_fn(|index, _| self.priors.get(index).map_or(0.0, |prior| prior.median));
        matrix.view_mut((0, 0), (count, count)).fill_diagonal(VAGUE.powi(-2));
        for pull in &self.pulls {
            let factors = Vector::from_fn(|index, _| pull.factors.get(index).copied().unwrap_or(0.0))
                .component_mul(&medians);
            let weight = pull.deviation.unwrap_or(sigma).powi(-2);
            right += factors * (weight * (pull.value - factors.sum()));
            matrix += factors * weight * factors.transpose();
        }
        let off = solve(&matrix, &right, &free);
        medians + medians.component_mul(&off)
    }
}
