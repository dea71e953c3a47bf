//! The unit in which a reader sees lengths. Inside, and in files, they are millimetres.

use glidewright_motion::phrase::Digits;
use glidewright_motion::{Phrase, number, plain};

/// The unit lengths are shown in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum LengthUnit {
    /// Millimetres.
    #[default]
    Millimetre,
    /// Inches of 25.4 mm.
    Inch,
}

/// An inch (mm), exact by definition.
const INCH: f64 = 25.4;
/// Points of a drawing in a millimetre of paper.
pub(crate) const PT_PER_MM: f64 = 72.0 / INCH;

impl LengthUnit {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Millimetre, Self::Inch];

    /// Its symbol.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Inch => "in",
        }
    }

    /// Its name.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Millimetre => "Millimetres",
            Self::Inch => "Inches",
        }
    }

    /// How many of it a length (mm) is.
    pub fn value_of_mm(self, mm: f64) -> f64 {
        match self {
            Self::Millimetre => mm,
            Self::Inch => mm / INCH,
        }
    }

    /// The length (mm) of so many of it.
    pub fn to_mm(self, count: f64) -> f64 {
        match self {
            Self::Millimetre => count,
            Self::Inch => count * INCH,
        }
    }

    /// Decimals that say as much as `decimals` do in millimetres: 0.01 mm and 0.001 in are near enough alike.
    pub const fn decimals(self, decimals: usize) -> usize {
        match self {
            Self::Millimetre => decimals,
            Self::Inch => decimals + 1,
        }
    }

    /// A length (mm) without its unit, to `decimals` places in millimetres.
    pub fn bare(self, mm: f64, decimals: usize) -> String {
        number(self.value_of_mm(mm), self.decimals(decimals))
    }

    /// A length (mm) with its unit, to `decimals` places in millimetres.
    ///
    /// ```
    /// use glidewright_sheet::LengthUnit;
    ///
    /// assert_eq!(LengthUnit::Millimetre.text(25.4, 1), "25.4 mm");
    /// ```
    pub fn text(self, mm: f64, decimals: usize) -> String {
        format!("{} {}", self.bare(mm, decimals), self.symbol())
    }

    /// "10.0 to 20.0 mm": a stretch between two lengths (mm).
    pub fn stretch(self, from: f64, to: f64, decimals: usize) -> String {
        format!("{} to {}", self.bare(from, decimals), self.text(to, decimals))
    }

    /// A phrase of the engine with its lengths in this unit.
    ///
    /// ```
    /// use glidewright_motion::phrase::length;
    /// use glidewright_sheet::LengthUnit;
    ///
    /// assert_eq!(LengthUnit::Inch.phrase(&length(12.7, 2)), "0.500 in");
    /// ```
    pub fn phrase(self, phrase: &Phrase) -> String {
        let length = |mm, digits| match digits {
            Digits::Decimals(decimals) => self.bare(mm, decimals),
            Digits::Needed => plain(self.value_of_mm(mm)),
        };
        phrase.written(length, self.symbol())
    }
}

#[cfg(test)]
mod tests {
    use glidewright_motion::phrase::{length, size, stretch};
    use glidewright_motion::{Chain, Spread, Term, Toleranced};

    use super::*;

    #[test]
    fn lengths_in_both() {
        assert_eq!(LengthUnit::Millimetre.text(-0.42, 2), "−0.42 mm");
        assert_eq!(LengthUnit::Inch.text(12.7, 2), "0.500 in");
        for unit in LengthUnit::ALL {
            assert!((unit.to_mm(unit.value_of_mm(33.3)) - 33.3).abs() < 1e-12);
        }
    }

    #[test]
    fn phrases_in_both() {
        for (phrase, inches) in [
            (length(-0.42, 2), "−0.017 in"),
            (stretch(25.4, 50.8, 1), "1.00 to 2.00 in"),
            (size(5.08), "0.2 in"),
            ("no length".into(), "no length"),
        ] {
            assert_eq!(LengthUnit::Inch.phrase(&phrase), inches);
            assert_eq!(LengthUnit::Millimetre.phrase(&phrase), phrase.to_string());
        }
    }

    #[test]
    fn a_chain_in_inches() {
        let term = |label: &str, nominal: f64, sensitivity: f64| Term {
            label: label.into(),
            path: String::new(),
            size: Toleranced { nominal, spread: Spread::Uniform { half_width: 0.0 } },
            sensitivity,
        };
        let chain = Chain { terms: vec![term("track spacing", 30.0, 1.0), term("nut", 7.71, -1.0)] };
        let sentence = LengthUnit::Inch.phrase(&chain.sentence());
        assert_eq!(sentence, "1.181 track spacing − 0.304 nut = 0.878 in");
    }
}
