//! The units in which a reader sees lengths, forces and masses. Inside they are mm, N and kg, whatever is shown.

use glidewright_motion::phrase::Digits;
use glidewright_motion::{Measure, Phrase, number, plain};

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

    /// How lengths are written in it.
    pub const fn unit(self) -> Unit {
        match self {
            Self::Millimetre => Unit { symbol: "mm", size: 1.0, more: 0 },
            // 0.01 mm and 0.001 in are near enough alike.
            Self::Inch => Unit { symbol: "in", size: INCH, more: 1 },
        }
    }

    /// Its symbol.
    pub const fn symbol(self) -> &'static str {
        self.unit().symbol
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
        mm / self.unit().size
    }

    /// The length (mm) of so many of it.
    pub fn to_mm(self, count: f64) -> f64 {
        count * self.unit().size
    }

    /// Decimals that say as much as `decimals` do in millimetres.
    pub const fn decimals(self, decimals: usize) -> usize {
        self.unit().decimals(decimals)
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
}

/// The units forces, moments and masses are shown in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum LoadUnit {
    /// Newtons, newton millimetres, grams and kilograms.
    #[default]
    Newton,
    /// Pounds-force, pound-force inches, ounces and pounds.
    Pound,
}

/// A pound (kg), exact by international agreement of 1959.
const POUND: f64 = 0.453_592_37;
/// A pound-force (N): a pound under standard gravity.
const POUND_FORCE: f64 = POUND * glidewright_motion::STANDARD_GRAVITY;

impl LoadUnit {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Newton, Self::Pound];

    /// Its name.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Newton => "Newtons and grams",
            Self::Pound => "Pounds-force and ounces",
        }
    }
}

/// One unit a kind of figure is written in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// Its symbol.
    pub symbol: &'static str,
    /// How many of the unit of its [`Measure`] it is.
    pub size: f64,
    /// How many decimals more than that unit say about as much.
    pub more: isize,
}

impl Unit {
    /// Decimals that say as much as `decimals` do in the unit of its [`Measure`].
    pub const fn decimals(self, decimals: usize) -> usize {
        decimals.saturating_add_signed(self.more)
    }
}

/// The units a reader sees.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct ReaderUnits {
    /// Of lengths.
    pub length: LengthUnit,
    /// Of forces, moments and masses.
    pub load: LoadUnit,
}

impl From<LengthUnit> for ReaderUnits {
    /// Lengths in a unit, all else as usual.
    fn from(length: LengthUnit) -> Self {
        Self { length, load: LoadUnit::default() }
    }
}

impl ReaderUnits {
    /// Every pair.
    pub fn all() -> impl Iterator<Item = Self> {
        LengthUnit::ALL.into_iter().flat_map(|length| LoadUnit::ALL.map(|load| Self { length, load }))
    }

    /// What a kind of figure is written in.
    pub fn of(self, measure: Measure) -> Unit {
        let own = Unit { symbol: measure.symbol(), size: 1.0, more: 0 };
        match (measure, self.load) {
            (Measure::Millimetre, _) => self.length.unit(),
            (Measure::Newton, LoadUnit::Pound) => Unit { symbol: "lbf", size: POUND_FORCE, more: 1 },
            (Measure::Gram, LoadUnit::Pound) => Unit { symbol: "oz", size: 1e3 * POUND / 16.0, more: 1 },
            (Measure::Kilogram, LoadUnit::Pound) => Unit { symbol: "lb", size: POUND, more: 0 },
            (Measure::NewtonMillimetre, LoadUnit::Pound) => {
                Unit { symbol: "lbf·in", size: POUND_FORCE * INCH, more: 2 }
            }
            (Measure::NewtonMetre, LoadUnit::Pound) => {
                Unit { symbol: "lbf·in", size: 1e-3 * POUND_FORCE * INCH, more: -1 }
            }
            _ => own,
        }
    }

    /// What figures are written in that are in a unit of this symbol (mm, N, g, kg, N·mm, N·m, mm/s) otherwise; `None` for
    /// other units.
    pub fn of_symbol(self, symbol: &str) -> Option<Unit> {
        if symbol == "mm/s" {
            let length = self.length.unit();
            return Some(match self.length {
                LengthUnit::Millimetre => Unit { symbol: "mm/s", ..length },
                LengthUnit::Inch => Unit { symbol: "in/s", ..length },
            });
        }
        Measure::of_symbol(symbol).map(|measure| self.of(measure))
    }

    /// The symbol a kind of figure is written with.
    pub fn symbol_of(self, measure: Measure) -> &'static str {
        self.of(measure).symbol
    }

    /// A value (mm, N, kg, N·mm) in the unit its kind is written in.
    pub fn count(self, measure: Measure, value: f64) -> f64 {
        measure.count(value) / self.of(measure).size
    }

    /// The value (mm, N, kg, N·mm) of so many of the unit its kind is written in.
    pub fn value(self, measure: Measure, count: f64) -> f64 {
        measure.value(count * self.of(measure).size)
    }

    /// A value (mm, N, kg, N·mm) without its unit, to `decimals` places in the unit of its kind.
    pub fn figure(self, measure: Measure, value: f64, decimals: usize) -> String {
        number(self.count(measure, value), self.of(measure).decimals(decimals))
    }

    /// A value (mm, N, kg, N·mm) with its unit, to `decimals` places in the unit of its kind.
    ///
    /// ```
    /// use glidewright_motion::Measure;
    /// use glidewright_sheet::{LengthUnit, LoadUnit, ReaderUnits};
    ///
    /// let pounds = ReaderUnits { length: LengthUnit::Millimetre, load: LoadUnit::Pound };
    /// assert_eq!(pounds.measured(Measure::Newton, 10.0, 1), "2.25 lbf");
    /// ```
    pub fn measured(self, measure: Measure, value: f64, decimals: usize) -> String {
        format!("{} {}", self.figure(measure, value, decimals), self.symbol_of(measure))
    }

    /// A force (N) with its unit, to `decimals` places in newtons.
    pub fn force(self, newtons: f64, decimals: usize) -> String {
        self.measured(Measure::Newton, newtons, decimals)
    }

    /// A mass (kg) with its unit, to `decimals` places in grams.
    pub fn mass(self, kilograms: f64, decimals: usize) -> String {
        self.measured(Measure::Gram, kilograms, decimals)
    }

    /// A moment (N·mm) with its unit, to `decimals` places in newton millimetres.
    pub fn moment(self, newton_millimetres: f64, decimals: usize) -> String {
        self.measured(Measure::NewtonMillimetre, newton_millimetres, decimals)
    }

    /// The symbol of the unit of length.
    pub const fn symbol(self) -> &'static str {
        self.length.symbol()
    }

    /// A length (mm) without its unit, to `decimals` places in millimetres.
    pub fn bare(self, mm: f64, decimals: usize) -> String {
        self.length.bare(mm, decimals)
    }

    /// A length (mm) with its unit, to `decimals` places in millimetres.
    pub fn text(self, mm: f64, decimals: usize) -> String {
        self.length.text(mm, decimals)
    }

    /// "10.0 to 20.0 mm": a stretch between two lengths (mm).
    pub fn stretch(self, from: f64, to: f64, decimals: usize) -> String {
        self.length.stretch(from, to, decimals)
    }

    /// A phrase of the engine in these units.
    ///
    /// ```
    /// use glidewright_motion::phrase::length;
    /// use glidewright_sheet::{LengthUnit, ReaderUnits};
    ///
    /// assert_eq!(ReaderUnits::from(LengthUnit::Inch).phrase(&length(12.7, 2)), "0.500 in");
    /// ```
    pub fn phrase(self, phrase: &Phrase) -> String {
        let figure = |measure, value, digits| match digits {
            Digits::Decimals(decimals) => self.figure(measure, value, decimals),
            // Rounded as a number of another unit seldom ends.
            Digits::Needed if self.of(measure).size == 1.0 => plain(measure.count(value)),
            Digits::Needed => {
                let count = self.count(measure, value);
                plain((count * 1e4).round() / 1e4)
            }
        };
        phrase.written(figure, |measure| self.symbol_of(measure))
    }
}

#[cfg(test)]
mod tests {
    use glidewright_motion::phrase::{
        force, grams, kilograms, length, moment, needed, size, stretch, torque,
    };
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
            assert_eq!(ReaderUnits::from(LengthUnit::Inch).phrase(&phrase), inches);
            assert_eq!(ReaderUnits::default().phrase(&phrase), phrase.to_string());
        }
    }

    /// NIST SP 811, appendix B.8: 1 lbf = 4.448222 N, 1 lbf·in = 0.1129848 N·m, 1 oz = 28.34952 g, 1 lb = 0.4535924 kg.
    #[test]
    fn loads_in_pounds() {
        let units = ReaderUnits { length: LengthUnit::Inch, load: LoadUnit::Pound };
        for (measure, value) in [
            (Measure::Newton, 4.448_222),
            (Measure::NewtonMillimetre, 112.9848),
            (Measure::NewtonMetre, 112.9848),
            (Measure::Gram, 0.028_349_52),
            (Measure::Kilogram, 0.453_592_4),
            (Measure::Millimetre, 25.4),
        ] {
            assert!((units.count(measure, value) - 1.0).abs() < 5e-7, "{measure:?}");
            assert!((units.value(measure, units.count(measure, 0.37)) - 0.37).abs() < 1e-12, "{measure:?}");
        }
        for (phrase, pounds) in [
            (force(-0.4, 2), "−0.090 lbf"),
            (grams(0.25, 0), "8.8 oz"),
            (kilograms(1.5, 2), "3.31 lb"),
            (moment(31.26, 1), "0.277 lbf·in"),
            (torque(2500.0, 1), "22 lbf·in"),
            (needed(Measure::Kilogram, 2.0), "4.4092 lb"),
        ] {
            assert_eq!(units.phrase(&phrase), pounds);
            for other in LengthUnit::ALL {
                assert_eq!(ReaderUnits::from(other).phrase(&phrase), phrase.to_string());
            }
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
        let sentence = ReaderUnits::from(LengthUnit::Inch).phrase(&chain.sentence());
        assert_eq!(sentence, "1.181 track spacing − 0.304 nut = 0.878 in");
    }
}
