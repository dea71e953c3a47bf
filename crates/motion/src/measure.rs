//! What a figure in a text measures, and how it is written unless its reader wants it otherwise.

/// A kind of figure in a [`Phrase`](crate::Phrase), by the unit it is written in.
///
/// Values are the engine's own (mm, N, kg, N·mm); a mass may be written in grams or kilograms, a moment in newton
/// millimetres or newton metres, whichever reads better where it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Measure {
    /// A length (mm), in millimetres.
    Millimetre,
    /// A force (N), in newtons.
    Newton,
    /// A mass (kg), in grams.
    Gram,
    /// A mass (kg), in kilograms.
    Kilogram,
    /// A moment (N·mm), in newton millimetres.
    NewtonMillimetre,
    /// A moment (N·mm), in newton metres.
    NewtonMetre,
}

impl Measure {
    /// Every kind.
    pub const ALL: [Self; 6] = [
        Self::Millimetre,
        Self::Newton,
        Self::Gram,
        Self::Kilogram,
        Self::NewtonMillimetre,
        Self::NewtonMetre,
    ];

    /// The symbol of its unit.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Newton => "N",
            Self::Gram => "g",
            Self::Kilogram => "kg",
            Self::NewtonMillimetre => "N·mm",
            Self::NewtonMetre => "N·m",
        }
    }

    /// How many of its unit a value of the engine's is.
    pub fn count(self, value: f64) -> f64 {
        match self {
            Self::Gram => value * 1e3,
            Self::NewtonMetre => value * 1e-3,
            Self::Millimetre | Self::Newton | Self::Kilogram | Self::NewtonMillimetre => value,
        }
    }

    /// The engine's value of so many of its unit.
    pub fn value(self, count: f64) -> f64 {
        match self {
            Self::Gram => count * 1e-3,
            Self::NewtonMetre => count * 1e3,
            Self::Millimetre | Self::Newton | Self::Kilogram | Self::NewtonMillimetre => count,
        }
    }

    /// The kind that is written with a symbol.
    pub fn of_symbol(symbol: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|measure| measure.symbol() == symbol)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back() {
        for measure in Measure::ALL {
            assert_eq!(Measure::of_symbol(measure.symbol()), Some(measure));
            assert!((measure.value(measure.count(0.37)) - 0.37).abs() < 1e-15);
        }
        assert_eq!(Measure::of_symbol("MPa"), None);
    }
}
