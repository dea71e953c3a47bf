//! Round numbers for axes.

/// Ticks of an axis at round numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Ticks {
    /// The values, rising.
    pub values: Vec<f64>,
    /// Their distance.
    pub step: f64,
    /// Decimals that tell them apart.
    pub decimals: usize,
}

/// Multiples of 1, 2 or 5 times a power of ten within a range, at most `most` of them (at least 1);
/// none when the range is empty or not finite.
pub fn nice_ticks(low: f64, high: f64, most: usize) -> Ticks {
    let none = Ticks { values: Vec::new(), step: 1.0, decimals: 0 };
    let span = high - low;
    if !(low.is_finite() && high.is_finite() && span.is_finite() && span > 0.0) {
        return none;
    }
    let most = most.clamp(1, 1000) as f64;
    let mut power = (span / most).log10().floor() as i32;
    loop {
        for factor in [1.0, 2.0, 5.0] {
            let step = factor * 10f64.powi(power);
            // A hair's allowance, so that an end that is itself round keeps its tick.
            let first = (low / step - 1e-9).ceil();
            let last = (high / step + 1e-9).floor();
            if !(step > 0.0 && first.is_finite() && last.is_finite()) {
                return none;
            }
            if last - first + 1.0 <= most {
                let count = (last - first + 1.0).max(0.0) as usize;
                // Dividing by a whole power of ten keeps 0.3 from becoming 0.30000000000000004.
                let value = |i: usize| {
                    let whole = (first + i as f64) * factor;
                    if power < 0 { whole / 10f64.powi(-power) } else { whole * 10f64.powi(power) }
                };
                let values = (0..count).map(|i| value(i) + 0.0).collect();
                return Ticks { values, step, decimals: power.min(0).unsigned_abs() as usize };
            }
        }
        power += 1;
    }
}

/// The largest of 1, 2, 5 times a power of ten that is not above `most`, with the decimals it takes.
pub(crate) fn round_down(most: f64) -> Option<(f64, usize)> {
    if !(most > 1e-9 && most < 1e9) {
        return None;
    }
    let exponent = most.log10().floor();
    let power = 10f64.powf(exponent);
    let factor = [5.0, 2.0, 1.0].into_iter().find(|factor| factor * power <= most * (1.0 + 1e-9))?;
    Some((factor * power, (-exponent).max(0.0) as usize))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::look::number;

    #[test]
    fn ticks_are_round_and_few_enough() {
        for (low, high, most, expected, decimals) in [
            (0.0, 10.0, 6, vec![0.0, 2.0, 4.0, 6.0, 8.0, 10.0], 0),
            (0.0, 700.0, 8, vec![0.0, 100.0, 200.0, 300.0, 400.0, 500.0, 600.0, 700.0], 0),
            (-0.31, 0.42, 5, vec![-0.2, 0.0, 0.2, 0.4], 1),
            (0.0, 0.3, 4, vec![0.0, 0.1, 0.2, 0.3], 1),
            (12.0, 12.9, 3, vec![12.0, 12.5], 1),
            (1.0, 2.0, 1, vec![], 0),
        ] {
            let got = nice_ticks(low, high, most);
            if most > 1 {
                assert_eq!(got.values, expected, "{low} to {high}");
                assert_eq!(got.decimals, decimals, "{low} to {high}");
            }
            assert!(got.values.len() <= most, "{low} to {high}: {got:?}");
        }
    }

    #[test]
    fn any_range_ends() {
        for (low, high) in [
            (0.0, 0.0),
            (1.0, 0.0),
            (f64::NAN, 1.0),
            (0.0, f64::INFINITY),
            (f64::MIN, f64::MAX),
            (0.0, 5e-324),
            (1e300, 1.1e300),
            (1.0, 1.0 + f64::EPSILON),
        ] {
            assert!(nice_ticks(low, high, 7).values.len() <= 7, "{low} to {high}");
        }
    }

    #[test]
    fn rounded_down_and_no_farther() {
        for (most, expected) in [(99.0, 50.0), (100.0, 100.0), (0.3, 0.2), (7.0, 5.0), (1.0, 1.0)] {
            let (got, decimals) = round_down(most).unwrap_or_default();
            assert!((got - expected).abs() < 1e-12, "{most}: {got}");
            assert_eq!(number(got, decimals).parse::<f64>().ok(), Some(expected), "{most}");
        }
        assert!([0.0, -1.0, f64::NAN, f64::INFINITY].into_iter().all(|most| round_down(most).is_none()));
    }
}
