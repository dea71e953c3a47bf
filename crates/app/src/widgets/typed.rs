//! What is typed for a size, in the reader's own units.

use glidewright_project::Values;
use glidewright_project::quantity::Quantity;
use glidewright_sheet::{ReaderUnits, Unit};

use super::size_field::{plain_text, round};

/// The reader's unit of a quantity, where it is another than the document's.
pub fn other_unit(units: ReaderUnits, quantity: Quantity) -> Option<Unit> {
    units.of_symbol(quantity.unit()).filter(|unit| unit.size != 1.0)
}

/// A text as the document writes it: where the reader has another unit, a number without a unit is one of that.
pub fn meant(text: &str, quantity: Quantity, values: &Values, units: ReaderUnits) -> String {
    let Some(unit) = other_unit(units, quantity) else { return text.to_owned() };
    match values.try_formula(text, Quantity::Number).ok().filter(|number| number.is_finite()) {
        Some(number) => plain_text(round(number * unit.size, 9)),
        None => text.to_owned(),
    }
}

/// What a typed text comes to, in the document's unit.
///
/// # Errors
/// Why it has no value, and what to do, for a reader.
pub fn value_of(text: &str, quantity: Quantity, values: &Values, units: ReaderUnits) -> Result<f64, String> {
    values.try_formula(&meant(text, quantity, values, units), quantity).map_err(|error| error.told())
}

#[cfg(test)]
mod tests {
    use glidewright_sheet::{LengthUnit, LoadUnit};

    use super::*;

    #[test]
    fn bare_numbers_are_of_the_readers_unit() {
        let values = Values::default();
        let metric = ReaderUnits::default();
        let pounds = ReaderUnits { length: LengthUnit::Inch, load: LoadUnit::Pound };
        for (text, quantity, in_metric, in_pounds) in [
            ("2", Quantity::Length, 2.0, 50.8),
            ("2 mm", Quantity::Length, 2.0, 2.0),
            ("1/2 in", Quantity::Length, 12.7, 12.7),
            ("10", Quantity::Mass, 10.0, 283.495_231_25),
            ("1 lbf", Quantity::Force, 4.448_221_615, 4.448_221_615),
            ("1", Quantity::Force, 1.0, 4.448_221_615),
            ("30", Quantity::Angle, 30.0, 30.0),
        ] {
            for (units, expected) in [(metric, in_metric), (pounds, in_pounds)] {
                let got = value_of(text, quantity, &values, units).unwrap();
                assert!((got - expected).abs() < 1e-8, "{text}: {got}");
            }
        }
        for wrong in ["", "2*", "5 g", "0x10"] {
            assert!(value_of(wrong, Quantity::Length, &values, pounds).is_err(), "{wrong}");
        }
    }
}
