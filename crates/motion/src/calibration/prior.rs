//! What is known of a coefficient before anything is measured.

use super::fittable::Fittable;
use crate::{Basis, Coefficient, Resistance};

/// A positive number known to lie about a median: its logarithm is normally distributed.
///
/// Friction coefficients are positive and known to a factor rather than to a difference, which is what a log-normal
/// distribution says (A. Gelman et al., Bayesian Data Analysis, 3rd ed., §2.8 and appendix A).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prior {
    /// As likely exceeded as not.
    pub median: f64,
    /// It lies between median / factor and median · factor with 95 % probability; above 1.
    pub factor: f64,
    /// What it cannot exceed; infinite where nothing bounds it.
    pub most: f64,
}

/// Standard deviations either way that hold 95 % of a normal distribution.
const TWO_SIDED_95: f64 = 1.959_963_984_540_054;

impl Prior {
    /// Median of the logarithm.
    pub fn log_median(&self) -> f64 {
        self.median.ln()
    }

    /// Standard deviation of the logarithm.
    ///
    /// ```
    /// use glidewright_motion::Prior;
    ///
    /// // Within a factor of 2 either way with 95 %: 1.96 deviations of the logarithm.
    /// let prior = Prior { median: 0.2, factor: 2.0, most: f64::INFINITY };
    /// assert!((1.96 * prior.log_deviation() - 2_f64.ln()).abs() < 1e-4);
    /// ```
    pub fn log_deviation(&self) -> f64 {
        self.factor.ln() / TWO_SIDED_95
    }

    /// Whether it is a distribution at all.
    pub(super) fn is_sound(&self) -> bool {
        let positive = |value: f64| value.is_finite() && value > 0.0;
        positive(self.median) && positive(self.factor - 1.0) && self.most > self.median / self.factor
    }
}

impl Fittable {
    /// The value assumed where nobody has measured or looked it up: no source.
    pub const fn assumed(self) -> f64 {
        match self {
            Self::Flank => 0.2,
            Self::NoLoadTorque => 0.4,
            Self::Hysteresis => 0.1,
            Self::Shoe => 0.25,
        }
    }

    /// How far the truth may lie from what is assumed, as a factor either way that holds with 95 %: our assumption, no
    /// source. Sliding friction of plastics on metal differs less than the grease and seals of bearings.
    pub const fn spread_factor(self) -> f64 {
        match self {
            Self::Flank | Self::Shoe => 2.5,
            Self::NoLoadTorque => 5.0,
            Self::Hysteresis => 4.0,
        }
    }

    /// What cannot be exceeded.
    const fn most(self) -> f64 {
        match self {
            // No more can be lost than is put in.
            Self::Hysteresis => 1.0,
            Self::Flank | Self::NoLoadTorque | Self::Shoe => f64::INFINITY,
        }
    }

    /// Where the fixture holds it.
    const fn coefficient(self, resistance: &Resistance) -> &Coefficient {
        match self {
            Self::Flank => &resistance.flank,
            Self::NoLoadTorque => &resistance.no_load_torque,
            Self::Hysteresis => &resistance.hysteresis,
            Self::Shoe => &resistance.shoe,
        }
    }

    /// What is known of it before the pulls: the spread about the value of the fixture.
    ///
    /// A value that was fitted comes of pulls, perhaps of these; so that none counts twice, what is assumed takes its
    /// place. So it does for a value that is no positive number.
    pub fn prior(self, resistance: &Resistance) -> Prior {
        /// Beyond these no coefficient is one.
        const SENSIBLE: std::ops::RangeInclusive<f64> = 1e-6..=1e6;
        let known = self.coefficient(resistance);
        let usable = !matches!(known.basis, Basis::Fitted { .. })
            && SENSIBLE.contains(&known.value)
            && known.value <= self.most();
        let median = if usable { known.value } else { self.assumed() };
        Prior { median, factor: self.spread_factor(), most: self.most() }
    }
}
