//! Student's t distribution.

use statrs::distribution::{ContinuousCDF, StudentsT};

/// The value that |t| stays below with probability `level` (0 to 1), for a whole number of degrees of
/// freedom; infinite for none.
pub fn two_sided_quantile(level: f64, degrees: u32) -> f64 {
    if degrees == 0 || !(0.0..1.0).contains(&level) {
        return f64::INFINITY;
    }
    let law = StudentsT::new(0.0, 1.0, f64::from(degrees));
    law.map_or(f64::INFINITY, |law| law.inverse_cdf(0.5 * (1.0 + level)))
}

#[cfg(test)]
mod tests {
    use super::two_sided_quantile;

    #[test]
    fn matches_the_printed_table() {
        // Two-sided 95 % and 99 % points of Student's t as printed in any table of it (e.g. NIST/SEMATECH
        // e-Handbook of Statistical Methods, 1.3.6.7.2), to its three decimals.
        let check = |level: f64, degrees: u32, expected: f64| {
            let got = two_sided_quantile(level, degrees);
            assert!((got - expected).abs() < 6e-4, "{level} {degrees}: {got} not {expected}");
        };
        check(0.95, 1, 12.706);
        check(0.95, 2, 4.303);
        check(0.95, 3, 3.182);
        check(0.95, 4, 2.776);
        check(0.95, 9, 2.262);
        check(0.95, 30, 2.042);
        check(0.95, 100, 1.984);
        check(0.99, 5, 4.032);
        check(0.99, 10, 3.169);
    }

    /// One and two degrees of freedom in closed form (Abramowitz & Stegun, Handbook of Mathematical Functions, 26.7.3 and
    /// 26.7.4): tan(πp/2) and √(2p²/(1 − p²)).
    #[test]
    fn closed_forms() {
        for level in [0.1, 0.5, 0.9, 0.95, 0.99, 0.997] {
            let one = (0.5 * std::f64::consts::PI * level).tan();
            let two = (2.0 * level * level / (1.0 - level * level)).sqrt();
            for (degrees, expected) in [(1, one), (2, two)] {
                let got = two_sided_quantile(level, degrees);
                assert!((got / expected - 1.0).abs() < 1e-9, "{level} {degrees}: {got} not {expected}");
            }
        }
        assert_eq!(two_sided_quantile(0.95, 0), f64::INFINITY);
        assert_eq!(two_sided_quantile(f64::NAN, 3), f64::INFINITY);
    }
}
