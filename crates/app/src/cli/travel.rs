//! Travels a person asks for.

use glidewright_motion::{Stroke, plain};

/// How far a travel may lie beyond the stroke and still mean its end (mm): findings and figures print travels
/// to a tenth, and what one verb prints another takes.
const PRINTED: f64 = 0.05 + 1e-9;

/// The travel that `--at` asks for, within the stroke.
///
/// # Errors
/// A message for one that lies outside it.
pub fn within(stroke: Stroke, asked: f64) -> Result<f64, String> {
    let (low, high) = (stroke.from.min(stroke.to), stroke.from.max(stroke.to));
    if asked >= low - PRINTED && asked <= high + PRINTED {
        return Ok(asked.max(low).min(high));
    }
    let [asked, from, to] = [asked, stroke.from, stroke.to].map(plain);
    Err(format!("--at {asked} lies outside the stroke, {from} to {to} mm"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_printed_is_accepted() {
        for (from, to) in [(0.0, 480.0), (0.1, 0.7), (-12.37, 33.36), (2.0 / 3.0, 1e3 / 7.0)] {
            let stroke = Stroke { from, to };
            for end in [from, to] {
                for printed in
                    [format!("{end}"), format!("{end:.1}"), format!("{end:.2}"), format!("{end:.6}")]
                {
                    assert_eq!(
                        within(stroke, printed.parse().unwrap_or(f64::NAN)).map(|x| (x - end).abs() < 0.051),
                        Ok(true),
                        "{printed}"
                    );
                }
            }
            for asked in [from - 0.06, to + 0.06, f64::NAN, f64::INFINITY] {
                assert!(within(stroke, asked).is_err(), "{asked}");
            }
        }
    }
}
