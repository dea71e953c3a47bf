//! Formulas after a shift.

use glidewright_project::size::Formula;

/// The formula of a size after `by` has been added to it: a plain number becomes another; a formula keeps what
/// it says, with the shift behind it, in `unit` (empty where plain numbers will do). Shifts of shifts are one.
pub fn shifted(formula: &Formula, by: f64, unit: &str) -> Formula {
    match formula {
        Formula::Number(number) => Formula::Number(tidy(number + by)),
        Formula::Text(text) => {
            let (inner, before) = split_shift(text).unwrap_or((text.trim(), 0.0));
            let total = tidy(before + by);
            if total == 0.0 {
                Formula::typed(inner)
            } else {
                let sign = if total < 0.0 { '-' } else { '+' };
                Formula::Text(format!("({inner}) {sign} {}{unit}", total.abs()))
            }
        }
    }
}

/// Thousandths of a micrometre are noise of the arithmetic.
fn tidy(value: f64) -> f64 {
    let rounded = (value * 1e6).round() / 1e6;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// `(inner) + 3` as `inner` and 3.
fn split_shift(text: &str) -> Option<(&str, f64)> {
    let text = text.trim();
    let rest = text.strip_prefix('(')?;
    let mut depth = 1;
    let close = rest.char_indices().find_map(|(at, letter)| {
        depth += match letter {
            '(' => 1,
            ')' => -1,
            _ => 0,
        };
        (depth == 0).then_some(at)
    })?;
    let (inner, tail) = (rest.get(..close)?, rest.get(close + 1..)?.trim());
    let (sign, number) = match tail.strip_prefix('+') {
        Some(number) => (1.0, number),
        None => (-1.0, tail.strip_prefix('-')?),
    };
    let number = number.trim();
    let number: f64 = number.strip_suffix("mm").unwrap_or(number).trim().parse().ok()?;
    number.is_finite().then_some((inner, sign * number))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_formulas() {
        let check = |before: &str, by: f64, after: &str| {
            assert_eq!(shifted(&Formula::typed(before), by, "").to_string(), after, "{before} by {by}");
        };
        check("12", 3.5, "15.5");
        check("0.1", 0.2, "0.3");
        check("wheelbase/2", 3.0, "(wheelbase/2) + 3");
        check("(wheelbase/2) + 3", -5.0, "(wheelbase/2) - 2");
        check("(wheelbase/2) - 2", 2.0, "wheelbase/2");
        check("(a + b)*(c)", 1.0, "((a + b)*(c)) + 1");
        check("(a) + b", 1.0, "((a) + b) + 1");
        check("(a", 1.0, "((a) + 1");
        check("-3", 3.0, "0");
        let inches = shifted(&Formula::typed("1/4 in"), 2.0, " mm");
        assert_eq!(inches.to_string(), "(1/4 in) + 2 mm");
        assert_eq!(shifted(&inches, 1.5, " mm").to_string(), "(1/4 in) + 3.5 mm");
    }
}
