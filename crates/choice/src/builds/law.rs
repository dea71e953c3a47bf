//! How a size is spread from piece to piece.

use glidewright_motion::{Spread, Toleranced};
use glidewright_project::tolerance::student_quantile;
use rand::{Rng, RngExt};
use rand_distr::{ChiSquared, Distribution, StandardNormal};
use statrs::distribution::{ContinuousCDF, Normal};

/// How a size is spread, in half-widths: its limits stand at −1 and 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Law {
    /// All values between the limits alike.
    Uniform,
    /// Normal; the limits stand for ±3 standard deviations, as [`Spread::Normal`] has it.
    Normal,
    /// From few readings: the mean of all pieces is as uncertain as so many readings leave it, pieces scatter about it as
    /// the readings do. One more piece lies within the limits with 95 % confidence.
    Measured {
        /// Number of readings.
        count: u32,
    },
}

/// What of a draw is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    /// All of it.
    Whole,
    /// What all pieces of a build have in common.
    Common,
    /// What a piece has by itself.
    Own,
}

/// Standard deviations that the limits of a normal spread stand for.
pub const LIMIT_IN_DEVIATIONS: f64 = 3.0;

/// Share of pieces that a measured size's limits hold.
pub const MEASURED_LEVEL: f64 = 0.95;

/// What a few readings leave open is drawn no farther out than this many half-widths: with two readings, one draw in
/// 400 would lie beyond, by any amount (own choice).
const FARTHEST: f64 = 20.0;

impl Law {
    /// The law of a size; `None` of one taken as exact. Readings that leave the stated spread as it is leave its law, too:
    /// limits, between which all values count alike.
    pub fn of(size: &Toleranced) -> Option<Self> {
        if !(size.half_width() > 0.0 && size.half_width().is_finite()) {
            return None;
        }
        match size.spread {
            Spread::Exact => None,
            Spread::Uniform { .. } => Some(Self::Uniform),
            Spread::Normal { .. } => Some(Self::Normal),
            Spread::Measured { is_stated: true, .. } => Some(Self::Uniform),
            // A single reading with an instrument's step: anywhere within the step.
            Spread::Measured { count: 0 | 1, .. } => Some(Self::Uniform),
            Spread::Measured { count, .. } => Some(Self::Measured { count }),
        }
    }

    /// The farthest a draw is expected to lie, for laying things out (half-widths); hardly one in a thousand is beyond.
    pub(super) const fn usual(self) -> f64 {
        match self {
            Self::Uniform => 1.0,
            Self::Normal => 1.5,
            Self::Measured { .. } => 3.0,
        }
    }

    /// The value below which a share of the draws of a piece lies (half-widths); of a measured size of the mean of all, or of
    /// what a piece has by itself, each of which is Student's t once scaled by a square root of its part in the variance.
    pub(super) fn quantile(self, share: f64, of: Part) -> f64 {
        match self {
            Self::Uniform => 2.0 * share - 1.0,
            Self::Normal => Normal::standard().inverse_cdf(share) / LIMIT_IN_DEVIATIONS,
            Self::Measured { count } => {
                let (n, degrees) = (f64::from(count), count.saturating_sub(1).max(1));
                let part = match of {
                    Part::Whole => 1.0,
                    Part::Common => 1.0 / (n + 1.0),
                    Part::Own => n / (n + 1.0),
                };
                let two_sided = student_quantile((2.0 * share - 1.0).abs(), degrees);
                (share - 0.5).signum() * two_sided * part.sqrt() / student_quantile(MEASURED_LEVEL, degrees)
            }
        }
    }

    /// It in words, for a reader.
    pub fn says(self) -> String {
        match self {
            Self::Uniform => "anywhere between its limits".to_owned(),
            Self::Normal => "normal, its limits at ±3 standard deviations".to_owned(),
            Self::Measured { count } => format!("as {count} readings leave it"),
        }
    }
}

/// Draws of one size, in half-widths.
pub(super) struct Draws {
    law: Law,
    /// Of a measured size: where the mean of all pieces lies, and how they scatter about it.
    pub common: f64,
    scatter: f64,
}

impl Draws {
    /// What all pieces of one build have in common.
    ///
    /// Of n readings with mean m and deviation s, the variance σ² of all pieces is (n − 1)s²/χ² with n − 1 degrees of
    /// freedom, their mean lies about m with σ²/n, a piece about that with σ² (the posterior of a normal sample with the
    /// uninformative prior; Gelman et al., Bayesian Data Analysis, 3.2, from memory). One piece alone then lies about m as
    /// s·√(1 + 1/n) times Student's t, which is what the half-width is made of.
    pub(super) fn begin(law: Law, random: &mut impl Rng) -> Self {
        let Law::Measured { count } = law else { return Self { law, common: 0.0, scatter: 0.0 } };
        let degrees = count.saturating_sub(1).max(1);
        let (n, freedom) = (f64::from(count), f64::from(degrees));
        let squares: f64 = ChiSquared::new(freedom).map_or(freedom, |law| law.sample(random));
        let deviation = (freedom / squares).sqrt() / student_quantile(MEASURED_LEVEL, degrees);
        let normal: f64 = StandardNormal.sample(random);
        Self {
            law,
            common: normal * deviation / (n + 1.0).sqrt(),
            scatter: deviation * (n / (n + 1.0)).sqrt(),
        }
    }

    /// One piece. What it has by itself is it less `common`.
    pub(super) fn piece(&self, random: &mut impl Rng) -> f64 {
        match self.law {
            Law::Uniform => random.random_range(-1.0..=1.0),
            Law::Normal => {
                let normal: f64 = StandardNormal.sample(random);
                normal / LIMIT_IN_DEVIATIONS
            }
            Law::Measured { .. } => {
                let normal: f64 = StandardNormal.sample(random);
                let drawn = self.common + self.scatter * normal;
                if drawn.is_finite() { drawn.clamp(-FARTHEST, FARTHEST) } else { 0.0 }
            }
        }
    }
}
