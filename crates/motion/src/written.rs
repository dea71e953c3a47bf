//! How numbers are written for a reader. Inside, and in files, they are what they are.

/// A number as it is written on drawings and in findings: fixed decimals, a true minus sign, no minus before zero,
/// "–" for what is not a number.
///
/// ```
/// use glidewright_motion::number;
///
/// assert_eq!(number(-1.25, 2), "−1.25");
/// assert_eq!(number(-0.001, 2), "0.00");
/// assert_eq!(number(f64::NAN, 2), "–");
/// ```
pub fn number(value: f64, decimals: usize) -> String {
    if value.is_nan() {
        return "–".to_owned();
    }
    if value.is_infinite() {
        return if value > 0.0 { "∞".to_owned() } else { "−∞".to_owned() };
    }
    let digits = format!("{:.*}", decimals.min(12), value.abs());
    let zero = digits.bytes().all(|b| matches!(b, b'0' | b'.'));
    if value < 0.0 && !zero { format!("−{digits}") } else { digits }
}

/// Names as a list for a reader: "a", "a and b", "a, b and c".
pub(crate) fn listed<T: AsRef<str>>(names: &[T]) -> String {
    let names: Vec<&str> = names.iter().map(AsRef::as_ref).collect();
    match names.as_slice() {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Significant digits of a number as [`plain`] writes it.
const SIGNIFICANT: i32 = 6;

/// A number as a person would write it: at most six significant digits, no zeros behind them, a true minus sign.
///
/// ```
/// assert_eq!(glidewright_motion::plain(83.449_999_999_999_99), "83.45");
/// assert_eq!(glidewright_motion::plain(-45.0), "−45");
/// ```
pub fn plain(value: f64) -> String {
    let size = value.abs();
    if !(size > 0.0 && size.is_finite()) {
        return number(value, 0);
    }
    let before = size.log10().floor() as i32 + 1;
    let decimals = (SIGNIFICANT - before).clamp(0, 12);
    // Beyond six digits before the point the rest is zeros.
    let unit = 10f64.powi((before - SIGNIFICANT).max(0));
    let text = number((value / unit).round_ties_even() * unit, 0);
    if decimals == 0 {
        return text;
    }
    let text = number(value, decimals as usize);
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if short.is_empty() || short == "−0" { "0".to_owned() } else { short.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_not_minus_nothing() {
        assert_eq!(number(-0.001, 2), "0.00");
        assert_eq!(number(-0.02, 2), "−0.02");
    }

    #[test]
    fn plain_numbers_are_short() {
        for (value, text) in [
            (0.0, "0"),
            (-0.0, "0"),
            (45.0, "45"),
            (100.0, "100"),
            (83.449_999_999_999_99, "83.45"),
            (1.0 / 3.0, "0.333333"),
            (0.1 + 0.2, "0.3"),
            (-12.700_000_000_000_001, "−12.7"),
            (0.000_812_345_678, "0.000812346"),
            (999_999.7, "1000000"),
            (123_456_789.0, "123457000"),
            (1e-15, "0"),
            (f64::NAN, "–"),
            (f64::INFINITY, "∞"),
        ] {
            assert_eq!(plain(value), text, "{value}");
        }
    }
}
