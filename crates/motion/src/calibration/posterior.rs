//! What pulls that are linear in positive coefficients tell about them: a Bayesian regression.

use nalgebra::{SMatrix, SVector};

use super::prior::Prior;
use super::ridge::{Ridge, TwoPiece};

/// Coefficients at most.
pub const MOST: usize = 4;

/// A number for each coefficient.
pub type Vector = SVector<f64, MOST>;
/// A number for each two coefficients.
pub type Matrix = SMatrix<f64, MOST, MOST>;

/// A pull that is linear in the coefficients: Σ factor × coefficient, and what was measured of it.
#[derive(Clone, Debug, PartialEq)]
pub struct LinearPull {
    /// Newtons per unit of each coefficient, in the order of the priors.
    pub factors: Vec<f64>,
    /// What the coefficients are to come to (N): the reading less all that does not depend on them.
    pub value: f64,
    /// Standard deviation of the reading (N), where it is known; else it is estimated from how the pulls scatter.
    pub deviation: Option<f64>,
}

/// A problem to be judged.
#[derive(Clone, Debug, PartialEq)]
pub struct LinearPulls {
    /// The pulls.
    pub pulls: Vec<LinearPull>,
    /// What is known of each coefficient before them.
    pub priors: Vec<Prior>,
    /// What is known of the standard deviation of a reading (N), for those that do not say theirs.
    pub noise: Prior,
}

/// Weighted draws from a posterior distribution.
#[derive(Clone, Debug, PartialEq)]
pub struct Draws {
    /// Of each draw: the coefficients.
    points: Vec<Vector>,
    /// Standard deviation of a reading (N).
    noise: Vec<f64>,
    /// Weights, which add up to 1.
    weights: Vec<f64>,
}

impl LinearPulls {
    /// Whether every number can be calculated with.
    pub(super) fn is_sound(&self) -> bool {
        let count = self.priors.len();
        count <= MOST
            && self.priors.iter().chain([&self.noise]).all(Prior::is_sound)
            && self.pulls.iter().all(|pull| {
                pull.factors.len() == count
                    && pull.value.is_finite()
                    && pull.factors.iter().all(|factor| factor.is_finite())
                    && pull.deviation.is_none_or(|deviation| deviation.is_finite() && deviation > 0.0)
            })
    }

    /// Draws from the joint distribution of the coefficients and of the standard deviation of a reading, given the
    /// pulls, with the coefficients of `held` at the values there. `None` for numbers that cannot be calculated with.
    ///
    /// Readings scatter normally about the pulls; coefficients and scatter have log-normal priors. The posterior has no
    /// closed form, so it is integrated by importance sampling (A. Gelman et al., Bayesian Data Analysis, 3rd ed.,
    /// §10.4) on a Halton sequence. The likelihood is a normal density in the coefficients: eliminating one
    /// after the other, the best told first, makes it a product of one-dimensional ones (Cholesky's
    /// decomposition with pivots), each of which, times its prior, is drawn from in turn, the least told first. What
    /// is left in the weights is how well the later ones can make up for the earlier. Checked against quadrature on
    /// a grid in the tests.
    pub fn posterior(&self, held: &[Option<f64>]) -> Option<Draws> {
        self.with_draws(held, 2048)
    }

    /// The same with so many draws, and four and sixteen times as many where few carry the weight.
    pub(super) fn with_draws(&self, held: &[Option<f64>], count: usize) -> Option<Draws> {
        /// Share of the draws that must carry the weight.
        const ENOUGH: f64 = 0.15;
        let counts = [count, 4 * count, 16 * count];
        let enough = ENOUGH * count as f64;
        if !self.is_sound() || held.len() != self.priors.len() {
            return None;
        }
        let noise = self.noise_proposal(held);
        let mut made = None;
        for count in counts {
            made = self.draws(held, noise, count).or(made);
            if made.as_ref().is_some_and(|draws| draws.effective() >= enough) {
                break;
            }
        }
        made
    }

    fn draws(&self, held: &[Option<f64>], noise: Option<TwoPiece>, count: usize) -> Option<Draws> {
        let mut points = Vec::with_capacity(count);
        let mut sigmas = Vec::with_capacity(count);
        let mut logs = Vec::with_capacity(count);
        let start = self.held_at(held);
        let free: Vec<usize> = (0..held.len()).filter(|index| held[*index].is_none()).collect();
        let sums = Sums::new(self, &start);
        let logs_of_priors: Vec<(f64, f64)> =
            self.priors.iter().map(|prior| (prior.log_median(), prior.log_deviation())).collect();
        let (noise_median, noise_deviation) = (self.noise.log_median(), self.noise.log_deviation());
        let mut chain = Vec::with_capacity(free.len());
        for number in 0..count {
            let mut log = 0.0;
            let sigma = match noise {
                Some(noise) => {
                    let (lambda, density) = noise.draw(halton(number, 0));
                    let off = (lambda - noise_median) / noise_deviation;
                    log -= density + 0.5 * off * off;
                    lambda.exp()
                }
                None => self.noise.median,
            };
            sums.eliminate(sigma, &free, &mut chain);
            let mut point = start;
            for (place, step) in chain.iter().rev().enumerate() {
                let (log_median, log_deviation) = logs_of_priors[step.which];
                let centre = step.centre(&point, &start);
                let ridge = Ridge { precision: step.precision, centre, log_median, log_deviation };
                let (phi, density) = ridge.proposal().draw(halton(number, place + 1));
                let off = (phi - ridge.log_median) / ridge.log_deviation;
                log -= density + 0.5 * off * off;
                point[step.which] = phi.exp();
                if point[step.which] > self.priors[step.which].most {
                    log = f64::NEG_INFINITY;
                }
            }
            log += self.log_likelihood(&point, sigma);
            // What has no weight must not spoil a sum either.
            let counts = log.is_finite() && point.iter().all(|value| value.is_finite());
            if !counts {
                (point, log) = (start, f64::NEG_INFINITY);
            }
            points.push(point);
            sigmas.push(sigma);
            logs.push(log);
        }
        let top = logs.iter().copied().filter(|log| log.is_finite()).fold(f64::NEG_INFINITY, f64::max);
        if !top.is_finite() {
            return None;
        }
        let mut weights: Vec<f64> =
            logs.iter().map(|log| if log.is_finite() { (log - top).exp() } else { 0.0 }).collect();
        let whole: f64 = weights.iter().sum();
        weights.iter_mut().for_each(|weight| *weight /= whole);
        Some(Draws { points, noise: sigmas, weights })
    }

    fn held_at(&self, held: &[Option<f64>]) -> Vector {
        let mut point = Vector::zeros();
        for (value, held) in point.iter_mut().zip(held) {
            *value = held.unwrap_or(0.0);
        }
        point
    }

    /// Logarithm of the probability density of the readings.
    fn log_likelihood(&self, point: &Vector, sigma: f64) -> f64 {
        let scale = sigma.ln();
        let each = |pull: &LinearPull| {
            let miss = pull.miss(point) / pull.deviation.unwrap_or(sigma);
            -0.5 * miss * miss - if pull.deviation.is_some() { 0.0 } else { scale }
        };
        self.pulls.iter().map(each).sum()
    }

    /// Squares of what the readings without a deviation of their own miss the pulls by, and their number.
    pub(super) fn squares(&self, point: &Vector) -> (f64, usize) {
        let open = self.pulls.iter().filter(|pull| pull.deviation.is_none());
        open.fold((0.0, 0), |(sum, count), pull| (sum + pull.miss(point).powi(2), count + 1))
    }

    /// A density near that of the logarithm of a reading's standard deviation; `None` where every reading says its own.
    fn noise_proposal(&self, held: &[Option<f64>]) -> Option<TwoPiece> {
        /// The estimate is rough.
        const WIDER: f64 = 1.25;
        let (_, count) = self.squares(&Vector::zeros());
        if count == 0 {
            return None;
        }
        let peak = self.peak(held);
        let (squares, _) = self.squares(&peak.point);
        let freedom = (count as f64 - peak.told).max(0.0);
        let (mode, start) = self.noise_mode(squares, freedom);
        let log_density = |lambda: f64| {
            let off = (lambda - self.noise.log_median()) / self.noise.log_deviation();
            -freedom * lambda - 0.5 * squares * (-2.0 * lambda).exp() - 0.5 * off * off
        };
        Some(TwoPiece::about(mode, start, log_density).widened(WIDER))
    }

    /// Most likely logarithm of a reading's standard deviation, and how wide about: the log-density is concave in it.
    fn noise_mode(&self, squares: f64, freedom: f64) -> (f64, f64) {
        let (median, precision) = (self.noise.log_median(), self.noise.log_deviation().powi(-2));
        let slope = |lambda: f64| {
            let share = squares * (-2.0 * lambda).exp();
            (share - freedom - (lambda - median) * precision, 2.0 * share + precision)
        };
        // Above the root the slope falls ever straighter: Newton's steps from where it is positive overshoot at most once.
        let (mut low, mut high) = (median - freedom / precision, median);
        if squares > 0.0 {
            high = high.max(0.5 * (squares / freedom.max(1.0)).ln());
            low = low.min(high);
            while slope(high).0 > 0.0 && high - median < 500.0 {
                high += 1.0;
            }
        }
        let mut lambda = high;
        for _ in 0..100 {
            let (value, curvature) = slope(lambda);
            if value > 0.0 {
                low = lambda;
            } else {
                high = lambda;
            }
            let newton = lambda + value / curvature;
            let next = if newton >= low && newton <= high { newton } else { 0.5 * (low + high) };
            let found = (next - lambda).abs() < 1e-9;
            lambda = next;
            if found {
                break;
            }
        }
        (lambda, slope(lambda).1.sqrt().recip())
    }

    /// The most likely coefficients, with the most likely scatter about them.
    pub(super) fn peak(&self, held: &[Option<f64>]) -> Peak {
        const ROUNDS: usize = 80;
        let free: Vec<usize> = (0..held.len()).filter(|index| held[*index].is_none()).collect();
        let mut point = self.held_at(held);
        for index in &free {
            point[*index] = self.priors[*index].median.min(self.priors[*index].most);
        }
        let mut sigma = self.noise.median;
        let mut told = 0.0;
        let mut damping = 1e-3;
        for _ in 0..ROUNDS {
            let (squares, open) = self.squares(&point);
            sigma = self.noise_mode(squares, (open as f64 - told).max(0.0)).0.exp();
            let now = self.height(&point, sigma, &free);
            let precision = self.precision(&point, sigma);
            let slope = self.slope(&point, sigma, &free);
            // Levenberg and Marquardt's damped steps.
            let mut moved = None;
            for _ in 0..30 {
                let mut damped = precision;
                for index in &free {
                    damped[(*index, *index)] *= 1.0 + damping;
                }
                let step = solve(&damped, &slope, &free);
                let mut next = point;
                for index in &free {
                    let reach = step[*index].clamp(-2.0, 2.0);
                    next[*index] = (point[*index] * reach.exp()).min(self.priors[*index].most);
                }
                if self.height(&next, sigma, &free) >= now {
                    damping = (damping * 0.2).max(1e-12);
                    moved = Some((next, step));
                    break;
                }
                damping *= 8.0;
            }
            let spread = inverse_diagonal(&precision, &free);
            told = free
                .iter()
                .map(|index| 1.0 - spread[*index] / self.priors[*index].log_deviation().powi(2))
                .map(|share| share.clamp(0.0, 1.0))
                .sum();
            let Some((next, step)) = moved else { break };
            point = next;
            if free.iter().all(|index| step[*index].abs() < 1e-9) {
                break;
            }
        }
        Peak { point, sigma, told }
    }

    /// Logarithm of the posterior density at a given scatter, but for a constant.
    fn height(&self, point: &Vector, sigma: f64, free: &[usize]) -> f64 {
        let off = |index: &usize| {
            let prior = &self.priors[*index];
            ((point[*index].ln() - prior.log_median()) / prior.log_deviation()).powi(2)
        };
        self.log_likelihood(point, sigma) - 0.5 * free.iter().map(off).sum::<f64>()
    }

    fn slope(&self, point: &Vector, sigma: f64, free: &[usize]) -> Vector {
        let mut slope = Vector::zeros();
        for index in free {
            let prior = &self.priors[*index];
            slope[*index] = -(point[*index].ln() - prior.log_median()) / prior.log_deviation().powi(2);
            for pull in &self.pulls {
                let variance = pull.deviation.unwrap_or(sigma).powi(2);
                slope[*index] += pull.miss(point) * pull.factors[*index] * point[*index] / variance;
            }
        }
        slope
    }

    /// Precision of the logarithms of the coefficients about a point (Gauss and Newton's approximation).
    pub(super) fn precision(&self, point: &Vector, sigma: f64) -> Matrix {
        let mut matrix = Matrix::zeros();
        for (row, prior) in self.priors.iter().enumerate() {
            matrix[(row, row)] = prior.log_deviation().powi(-2);
            for column in 0..self.priors.len() {
                for pull in &self.pulls {
                    let variance = pull.deviation.unwrap_or(sigma).powi(2);
                    matrix[(row, column)] +=
                        pull.factors[row] * point[row] * pull.factors[column] * point[column] / variance;
                }
            }
        }
        matrix
    }
}

/// The top of a posterior density.
pub(super) struct Peak {
    pub point: Vector,
    /// Standard deviation of a reading (N).
    pub sigma: f64,
    /// How many coefficients the pulls tell rather than the priors.
    pub told: f64,
}

impl LinearPull {
    /// How far the reading lies above what the coefficients come to (N).
    pub(super) fn miss(&self, point: &Vector) -> f64 {
        self.value - self.factors.iter().zip(point).map(|(factor, value)| factor * value).sum::<f64>()
    }
}

/// Normal equations of the readings that say their deviation, and of the others at a deviation of 1.
struct Sums {
    known: (Matrix, Vector),
    open: (Matrix, Vector),
    /// Variance of each coefficient beforehand, for the order in which they are taken.
    variances: Vector,
}

/// One unknown of a likelihood taken apart: precision of its factor, and its centre as it follows from those drawn before.
struct Elimination {
    which: usize,
    precision: f64,
    constant: f64,
    shares: Vector,
}

impl Elimination {
    fn centre(&self, point: &Vector, start: &Vector) -> f64 {
        let drawn = point.iter().zip(start).zip(&self.shares);
        self.constant + drawn.map(|((now, start), share)| (now - start) * share).sum::<f64>()
    }
}

impl Sums {
    fn new(problem: &LinearPulls, start: &Vector) -> Self {
        let mut made =
            Self { known: Default::default(), open: Default::default(), variances: Vector::zeros() };
        for (variance, prior) in made.variances.iter_mut().zip(&problem.priors) {
            *variance = (prior.median * prior.log_deviation()).powi(2);
        }
        for pull in &problem.pulls {
            let (matrix, right) = if pull.deviation.is_some() { &mut made.known } else { &mut made.open };
            let weight = pull.deviation.map_or(1.0, |deviation| deviation.powi(-2));
            let value = pull.miss(start);
            for (row, factor) in pull.factors.iter().enumerate() {
                right[row] += weight * factor * value;
                for (column, other) in pull.factors.iter().enumerate() {
                    matrix[(row, column)] += weight * factor * other;
                }
            }
        }
        made
    }

    /// The likelihood as a product of normal densities, the best told unknown first.
    fn eliminate(&self, sigma: f64, free: &[usize], chain: &mut Vec<Elimination>) {
        /// What is left of a column's square after others are taken out is rounding below this share of it.
        const ROUNDING: f64 = 1e-11;
        let open = sigma.powi(-2);
        let mut matrix = self.known.0 + self.open.0 * open;
        let mut right = self.known.1 + self.open.1 * open;
        let whole = matrix.diagonal();
        let mut taken = [false; MOST];
        chain.clear();
        // What is but rounding says nothing, not even which unknown goes first.
        let left = |matrix: &Matrix, index: usize| {
            let pivot = matrix[(index, index)];
            if pivot > ROUNDING * whole[index] && pivot > 0.0 { pivot } else { 0.0 }
        };
        let told = |matrix: &Matrix, index: usize| left(matrix, index) * self.variances[index];
        for _ in free {
            let open = free.iter().copied().filter(|index| !taken[*index]);
            let Some(which) = open.max_by(|a, b| told(&matrix, *a).total_cmp(&told(&matrix, *b))) else {
                break;
            };
            taken[which] = true;
            let pivot = left(&matrix, which);
            if pivot == 0.0 {
                chain.push(Elimination { which, precision: 0.0, constant: 0.0, shares: Vector::zeros() });
                continue;
            }
            let mut shares = Vector::zeros();
            for other in free.iter().copied().filter(|index| !taken[*index]) {
                shares[other] = -matrix[(which, other)] / pivot;
            }
            // Rows and columns that were taken have shares of 0.
            right.axpy(right[which], &shares, 1.0);
            matrix += shares * matrix.row(which);
            chain.push(Elimination { which, precision: pivot, constant: right[which] / pivot, shares });
        }
    }
}

/// Number `number` + 1 of the Halton sequence in dimension `dimension` (below 5): J. H. Halton, Numer. Math. 2 (1960) 84.
fn halton(number: usize, dimension: usize) -> f64 {
    const BASES: [usize; MOST + 1] = [2, 3, 5, 7, 11];
    let base = BASES.get(dimension).copied().unwrap_or(13);
    if base == 2 {
        // The digits after the point are those before it, reversed.
        return ((number + 1) as u64).reverse_bits() as f64 / 2f64.powi(64);
    }
    let (mut rest, mut digit, mut sum) = (number + 1, 1.0, 0.0);
    while rest > 0 {
        digit /= base as f64;
        sum += digit * (rest % base) as f64;
        rest /= base;
    }
    sum
}

/// Solves the rows and columns `free` of a symmetric positive matrix; the other unknowns are 0.
pub(super) fn solve(matrix: &Matrix, right: &Vector, free: &[usize]) -> Vector {
    let mut own = Vector::zeros();
    free.iter().for_each(|index| own[*index] = right[*index]);
    finite(block(matrix, free).lu().solve(&own).unwrap_or_default())
}

/// Diagonal of the inverse of the rows and columns `free`; 0 for the others.
pub(super) fn inverse_diagonal(matrix: &Matrix, free: &[usize]) -> Vector {
    let inverse = block(matrix, free).lu().try_inverse().unwrap_or_default().diagonal();
    let mut own = Vector::zeros();
    free.iter().for_each(|index| own[*index] = inverse[*index]);
    finite(own)
}

/// The rows and columns `free` of a matrix, the others as those of the identity.
fn block(matrix: &Matrix, free: &[usize]) -> Matrix {
    let is_free = |index| free.contains(&index);
    Matrix::from_fn(|row, column| match (is_free(row) && is_free(column), row == column) {
        (true, _) => matrix[(row, column)],
        (false, is_diagonal) => f64::from(u8::from(is_diagonal)),
    })
}

/// Numbers that can be calculated with: 0 for the others.
fn finite(vector: Vector) -> Vector {
    vector.map(|value| if value.is_finite() { value } else { 0.0 })
}

impl Draws {
    /// How many draws without weights would say as much.
    pub fn effective(&self) -> f64 {
        1.0 / self.weights.iter().map(|weight| weight * weight).sum::<f64>()
    }

    fn mean_of(&self, of: impl Fn(usize) -> f64) -> f64 {
        self.weights.iter().enumerate().map(|(number, weight)| weight * of(number)).sum()
    }

    /// Mean of a coefficient.
    pub fn mean(&self, which: usize) -> f64 {
        self.mean_of(|number| self.points[number][which])
    }

    /// Mean of the standard deviation of a reading (N), over its logarithm.
    pub fn noise(&self) -> f64 {
        self.mean_of(|number| self.noise[number].ln()).exp()
    }

    /// Covariance of two coefficients.
    pub fn covariance(&self, a: usize, b: usize) -> f64 {
        let (mean_a, mean_b) = (self.mean(a), self.mean(b));
        self.mean_of(|number| (self.points[number][a] - mean_a) * (self.points[number][b] - mean_b))
    }

    /// Probability that a coefficient lies below a value.
    pub fn below(&self, which: usize, value: f64) -> f64 {
        self.mean_of(|number| if self.points[number][which] < value { 1.0 } else { 0.0 })
    }

    /// The values a coefficient stays below with each of these probabilities.
    pub fn quantiles<const N: usize>(&self, which: usize, shares: [f64; N]) -> [f64; N] {
        let order = self.in_order(|number| self.points[number][which]);
        shares.map(|share| at_share(&order, share))
    }

    /// The distance from `value` within which a coefficient lies with probability `share`.
    pub fn half_width(&self, which: usize, value: f64, share: f64) -> f64 {
        at_share(&self.in_order(|number| (self.points[number][which] - value).abs()), share)
    }

    /// Values of the draws that have some weight, with it, the least first.
    fn in_order(&self, of: impl Fn(usize) -> f64) -> Vec<(f64, f64)> {
        let drawn = self.weights.iter().enumerate().filter(|(_, weight)| **weight > 1e-12);
        let mut order: Vec<(f64, f64)> = drawn.map(|(number, weight)| (of(number), *weight)).collect();
        order.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
        order
    }
}

/// The value below which `share` of the weight lies. Each value stands for its weight, half of it to each side;
/// straight between them.
fn at_share(order: &[(f64, f64)], share: f64) -> f64 {
    let (mut sum, mut last) = (0.0, None);
    for (value, weight) in order {
        let here = sum + 0.5 * weight;
        if here >= share {
            return match last {
                Some((before, at)) if here > before => at + (value - at) * (share - before) / (here - before),
                _ => *value,
            };
        }
        last = Some((here, *value));
        sum += weight;
    }
    last.map_or(f64::NAN, |(_, value)| value)
}
