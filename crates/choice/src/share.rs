//! Shares of counted things with how sure they are.

use statrs::distribution::{ContinuousCDF, Normal};

/// Confidence of the interval beside a share.
pub const SHARE_LEVEL: f64 = 0.95;

/// How many of so many, with Wilson's interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// How many.
    pub count: u64,
    /// Of so many.
    pub of: u64,
    /// Their share (0 to 1); 0 of none.
    pub share: f64,
    /// Lower end of the 95 % interval for the true share.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Share {
    /// The share with Wilson's score interval: the two roots p of (p̂ − p)² = z² p (1 − p)/n (Wilson, J. Am. Stat. Assoc. 22
    /// (1927) 209). It holds where nothing was counted, too: 0 of n says no more than z²/(n + z²).
    ///
    /// ```
    /// use glidewright_choice::Share;
    /// let share = Share::of(0, 20);
    /// assert!(share.low == 0.0 && (share.high - 0.161125).abs() < 1e-6);
    /// ```
    pub fn of(count: u64, of: u64) -> Self {
        if of == 0 {
            return Self { count, of, share: 0.0, low: 0.0, high: 1.0 };
        }
        let z = Normal::standard().inverse_cdf(0.5 * (1.0 + SHARE_LEVEL));
        let n = of as f64;
        let share = (count.min(of)) as f64 / n;
        let middle = share + z * z / (2.0 * n);
        let half = z * (share * (1.0 - share) / n + z * z / (4.0 * n * n)).sqrt();
        let whole = 1.0 + z * z / n;
        let low = if count == 0 { 0.0 } else { ((middle - half) / whole).max(0.0) };
        let high = if count >= of { 1.0 } else { ((middle + half) / whole).min(1.0) };
        Self { count, of, share, low, high }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The inputs of the first two are Newcombe's (Statistics in Medicine 17 (1998) 857, from memory), the intervals the
    /// roots of the score equation worked out apart; the third's inputs were read.
    #[test]
    fn wilson_intervals() {
        let check = |count, of, low: f64, high: f64, within: f64| {
            let share = Share::of(count, of);
            assert!((share.low - low).abs() < within && (share.high - high).abs() < within, "{share:?}");
        };
        check(15, 148, 0.062386, 0.160487, 1e-6);
        check(0, 20, 0.0, 0.161125, 1e-6);
        check(23, 60, 0.270883, 0.509824, 1e-6);
        check(3125, 100_000, 0.030_189_5, 0.032_346_5, 1e-7);
        check(0, 100_000, 0.0, 3.8413e-5, 1e-9);
    }

    /// By its roots: both ends solve the score equation.
    #[test]
    fn ends_are_roots_of_the_score_equation() {
        const Z: f64 = 1.959_963_984_540_054;
        for (count, of) in [(1, 7), (40, 41), (500, 1000), (999, 100_000)] {
            let share = Share::of(count, of);
            for p in [share.low, share.high] {
                let off = (share.share - p).powi(2) - Z * Z * p * (1.0 - p) / of as f64;
                assert!(off.abs() < 1e-12, "{count} of {of}: {off}");
            }
        }
        assert_eq!((Share::of(20, 20).high, Share::of(0, 0).high), (1.0, 1.0));
    }
}
