//! How far a size may lie from its nominal, as a person states it.

use glidewright_motion::{Spread, Toleranced};
use serde::{Deserialize, Serialize};

pub use crate::student::two_sided_quantile as student_quantile;
pub use crate::tables::general_class::GeneralClass;
use crate::tables::limits;

/// A tolerance. Lengths in mm (for other kinds, in the unit of the kind).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Tolerance {
    /// Taken as exact, whatever the size is made of.
    Exact,
    /// Anywhere within ± this.
    PlusMinus(f64),
    /// Normally distributed; ± this stands for ±3 standard deviations.
    Normal(f64),
    /// Between two limits; the size calculated with is their middle, whatever its nominal.
    Between(f64, f64),
    /// ISO 2768-1 class by letter: f, m, c or v.
    General(GeneralClass),
    /// ISO 286 tolerance class for a hole or shaft at zero line or centred: `"H8"`, `"h9"`, `"js10"`.
    Fit(String),
    /// Caliper readings.
    Measured {
        /// The readings, in the unit of the kind.
        readings: Vec<f64>,
        /// Smallest step the instrument shows.
        #[serde(default)]
        resolution: f64,
    },
}

/// Confidence of the interval a few readings give.
const READING_LEVEL: f64 = 0.95;

/// Most readings of one size; no one reads more off a caliper.
pub(crate) const MOST_READINGS: usize = 10_000;

impl Tolerance {
    /// The size with its spread, from its nominal; all in the unit of the size.
    ///
    /// # Errors
    /// Why the tolerance cannot be used.
    pub fn about(&self, nominal: f64) -> Result<Toleranced, String> {
        let half = |half_width: &f64| {
            if half_width.is_finite() && *half_width >= 0.0 {
                Ok(*half_width)
            } else {
                Err("a tolerance must be a number from 0 up".to_owned())
            }
        };
        let toleranced = match self {
            Self::Exact => Toleranced::exact(nominal),
            Self::PlusMinus(width) => {
                Toleranced { nominal, spread: Spread::Uniform { half_width: half(width)? } }
            }
            Self::Normal(width) => {
                Toleranced { nominal, spread: Spread::Normal { half_width: half(width)? } }
            }
            Self::Between(least, greatest) => {
                if !(least.is_finite() && greatest.is_finite() && least <= greatest) {
                    return Err("the limits must be two numbers, the lesser first".to_owned());
                }
                Toleranced::between(*least, *greatest)
            }
            Self::General(class) => {
                let half_width = limits::general(*class, nominal)?;
                Toleranced { nominal, spread: Spread::Uniform { half_width } }
            }
            Self::Fit(fit) => {
                let (least, greatest) = limits::fit(fit, nominal)?;
                Toleranced::between(nominal + least, nominal + greatest)
            }
            Self::Measured { readings, resolution } => measured(readings, *resolution, 0.0)?,
        };
        Ok(toleranced)
    }
}

/// Fewest readings that may narrow what is stated of a size as far as they tell.
const ENOUGH_READINGS: u32 = 3;

/// Mean and spread of caliper readings, beside the half-width that is stated of the size without them (0: none is).
///
/// The half-width is that of the interval in which one more reading of the same kind falls with 95 %
/// confidence, t·s·√(1 + 1/n) with n − 1 degrees of freedom (prediction interval; ISO 16269-8), and half the
/// instrument's step beside it, added as squares. The deviation s counts with no less than rounding to the step
/// makes, step/√12 (JCGM 100, F.2.2.1).
///
/// Readings of which the spread cannot be told leave the stated one as it is: a single one, and such as agree to
/// the instrument's step, unless there are three or more of them and the step is known. Two that differ don't narrow
/// it below half: of normally distributed sizes one pair in ten lies nearer than a sixth of the average distance.
pub(crate) fn measured(readings: &[f64], resolution: f64, stated: f64) -> Result<Toleranced, String> {
    if readings.is_empty() {
        return Err("there are no readings".to_owned());
    }
    if readings.iter().any(|r| !r.is_finite()) || !resolution.is_finite() || resolution < 0.0 {
        return Err("readings and resolution must be finite numbers".to_owned());
    }
    if readings.len() > MOST_READINGS {
        return Err(format!("there are {} readings; at most {MOST_READINGS} are used", readings.len()));
    }
    let count = u32::try_from(readings.len()).map_err(|_| "too many readings".to_owned())?;
    let n = f64::from(count);
    let mean = readings.iter().sum::<f64>() / n;
    if !mean.is_finite() {
        return Err("the readings are too large to calculate with".to_owned());
    }
    let deviation = if count > 1 {
        (readings.iter().map(|r| (r - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt()
    } else {
        0.0
    };
    let rounding = resolution / 12f64.sqrt();
    let scatter = match deviation.max(rounding) {
        counted if count > 1 && counted > 0.0 => {
            student_quantile(READING_LEVEL, count - 1) * counted * (1.0 + 1.0 / n).sqrt()
        }
        _ => 0.0,
    };
    let told = scatter.hypot(0.5 * resolution);
    let least = readings.iter().copied().fold(f64::INFINITY, f64::min);
    let greatest = readings.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    // Readings are written in decimals: two that are a step apart differ by it but for rounding.
    let agree = greatest - least <= resolution * (1.0 + 1e-6);
    let kept = match count {
        1 => stated,
        _ if agree && (count < ENOUGH_READINGS || resolution == 0.0) => stated,
        2 => 0.5 * stated,
        _ => 0.0,
    };
    let half_width = told.max(kept);
    Ok(Toleranced {
        nominal: mean,
        spread: Spread::Measured { deviation, count, half_width, is_stated: kept > told },
    })
}
