//! Student's t distribution.

/// The value that |t| stays below with probability `level` (0 to 1), for a whole number of degrees of
/// freedom; infinite for none.
///
/// The probability is the closed form of Abramowitz & Stegun, Handbook of Mathematical Functions,
/// 26.7.3 and 26.7.4; its inverse is found by bisection.
pub fn two_sided_quantile(level: f64, degrees: u32) -> f64 {
    if degrees == 0 || !(0.0..1.0).contains(&level) {
        return f64::INFINITY;
    }
    // Bisection on θ = atan(t/√ν), which is bounded.
    let (mut low, mut high) = (0.0, std::f64::consts::FRAC_PI_2);
    for _ in 0..f64::MANTISSA_DIGITS + 2 {
        let middle = 0.5 * (low + high);
        if inside(middle, degrees) < level {
            low = middle;
        } else {
            high = middle;
        }
    }
    (0.5_f64 * (low + high)).tan() * f64::from(degrees).sqrt()
}

/// Probability that |t| stays below √ν·tan θ.
fn inside(theta: f64, degrees: u32) -> f64 {
    let (sin, cos) = theta.sin_cos();
    let square = cos * cos;
    if degrees % 2 == 1 {
        let mut sum = 0.0;
        let mut term = cos;
        let mut k = 1;
        while k + 2 <= degrees {
            sum += term;
            term *= square * f64::from(k + 1) / f64::from(k + 2);
            k += 2;
        }
        std::f64::consts::FRAC_2_PI * (theta + sin * sum)
    } else {
        let mut sum = 0.0;
        let mut term = 1.0;
        let mut k = 0;
        while k + 2 <= degrees {
            sum += term;
            term *= square * f64::from(k + 1) / f64::from(k + 2);
            k += 2;
        }
        sin * sum
    }
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
}
