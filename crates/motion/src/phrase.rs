//! Texts with lengths, forces, masses and moments in them, whose units their reader chooses.

use std::fmt;

use crate::{Measure, number, plain};

/// A text that names lengths, forces, masses and moments as quantities, not as figures in a unit: its reader chooses
/// the units.
///
/// [`Display`](fmt::Display) writes it in the units of [`Measure`], [`Phrase::written`] in any others. Texts that stand side by
/// side are one piece, so that phrases made in different ways from the same words and lengths are equal.
///
/// ```
/// use glidewright_motion::Phrase;
/// use glidewright_motion::phrase::{force, length, stretch};
///
/// let mut gap = Phrase::from("only ");
/// gap.push(length(0.42, 2));
/// gap.push(" at travel ");
/// gap.push(stretch(10.0, 20.0, 1));
/// gap.push(" under ");
/// gap.push(force(12.0, 1));
/// assert_eq!(gap.to_string(), "only 0.42 mm at travel 10.0 to 20.0 mm under 12.0 N");
/// ```
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Phrase {
    pieces: Vec<Piece>,
}

#[derive(Clone, Debug, PartialEq)]
enum Piece {
    Said(String),
    /// A value in the engine's unit, without a symbol.
    Figure(Measure, f64, Digits),
    /// The symbol of its unit.
    Symbol(Measure),
}

/// How many digits of a figure are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Digits {
    /// So many decimals in the unit of its [`Measure`]; as many in another unit as say about as much.
    Decimals(usize),
    /// As many as it takes to write a nominal size in full, as [`plain`] does.
    Needed,
}

impl Digits {
    /// A number, without a symbol.
    fn of(self, count: f64) -> String {
        match self {
            Self::Decimals(decimals) => number(count, decimals),
            Self::Needed => plain(count),
        }
    }
}

/// A value (mm, N, kg, N·mm) without its unit, to `decimals` places in the unit of its kind.
pub fn figure(measure: Measure, value: f64, decimals: usize) -> Phrase {
    Phrase { pieces: vec![Piece::Figure(measure, value, Digits::Decimals(decimals))] }
}

/// A value (mm, N, kg, N·mm) with its unit, to `decimals` places in the unit of its kind.
pub fn measured(measure: Measure, value: f64, decimals: usize) -> Phrase {
    figure(measure, value, decimals).with_symbol(measure)
}

/// A force (N) with its unit, to `decimals` places in newtons.
pub fn force(newtons: f64, decimals: usize) -> Phrase {
    measured(Measure::Newton, newtons, decimals)
}

/// A mass (kg) with its unit, to `decimals` places in grams.
pub fn grams(kilograms: f64, decimals: usize) -> Phrase {
    measured(Measure::Gram, kilograms, decimals)
}

/// A mass (kg) with its unit, to `decimals` places in kilograms.
pub fn kilograms(kilograms: f64, decimals: usize) -> Phrase {
    measured(Measure::Kilogram, kilograms, decimals)
}

/// A moment (N·mm) with its unit, to `decimals` places in newton millimetres.
pub fn moment(newton_millimetres: f64, decimals: usize) -> Phrase {
    measured(Measure::NewtonMillimetre, newton_millimetres, decimals)
}

/// A moment (N·mm) with its unit, to `decimals` places in newton metres: what one tightens a screw with.
pub fn torque(newton_millimetres: f64, decimals: usize) -> Phrase {
    measured(Measure::NewtonMetre, newton_millimetres, decimals)
}

/// A length (mm) with its unit, to `decimals` places in millimetres.
pub fn length(mm: f64, decimals: usize) -> Phrase {
    measured(Measure::Millimetre, mm, decimals)
}

/// A length (mm) without its unit, to `decimals` places in millimetres: one of several before a [`symbol`].
pub fn bare(mm: f64, decimals: usize) -> Phrase {
    figure(Measure::Millimetre, mm, decimals)
}

/// A nominal size (mm) with its unit, no digit more than it takes: "2 mm".
pub fn size(mm: f64) -> Phrase {
    needed(Measure::Millimetre, mm)
}

/// A nominal value (mm, N, kg, N·mm) with its unit, no digit more than it takes.
pub fn needed(measure: Measure, value: f64) -> Phrase {
    Phrase { pieces: vec![Piece::Figure(measure, value, Digits::Needed)] }.with_symbol(measure)
}

/// "10.0 to 20.0 mm": a stretch of travel, or the limits of a size (mm), to `decimals` places in millimetres.
pub fn stretch(from: f64, to: f64, decimals: usize) -> Phrase {
    phrase![bare(from, decimals), " to ", length(to, decimals)]
}

/// The symbol of the unit of length alone, with which a list of [`bare`] lengths ends.
pub fn symbol() -> Phrase {
    Phrase { pieces: vec![Piece::Symbol(Measure::Millimetre)] }
}

impl Phrase {
    /// Whether nothing is said.
    pub const fn is_empty(&self) -> bool {
        self.pieces.is_empty()
    }

    /// Says something after the rest.
    pub fn push(&mut self, more: impl Into<Self>) {
        for piece in more.into().pieces {
            match (self.pieces.last_mut(), piece) {
                (Some(Piece::Said(before)), Piece::Said(text)) => before.push_str(&text),
                (_, piece) => self.pieces.push(piece),
            }
        }
    }

    fn with_symbol(mut self, measure: Measure) -> Self {
        self.push(" ");
        self.pieces.push(Piece::Symbol(measure));
        self
    }

    /// Phrases one after the other, with a text between each two.
    pub fn join(phrases: impl IntoIterator<Item = Self>, between: &str) -> Self {
        let mut joined = Self::default();
        for (place, phrase) in phrases.into_iter().enumerate() {
            if place > 0 {
                joined.push(between);
            }
            joined.push(phrase);
        }
        joined
    }

    /// The text in units of the reader's: `figure` writes a value (mm, N, kg, N·mm) without its symbol, `symbol` gives
    /// that of its unit.
    pub fn written<'s>(
        &self,
        figure: impl Fn(Measure, f64, Digits) -> String,
        symbol: impl Fn(Measure) -> &'s str,
    ) -> String {
        let mut text = String::new();
        for piece in &self.pieces {
            match piece {
                Piece::Said(said) => text.push_str(said),
                Piece::Figure(measure, value, digits) => text.push_str(&figure(*measure, *value, *digits)),
                Piece::Symbol(measure) => text.push_str(symbol(*measure)),
            }
        }
        text
    }

    /// The rest after words it begins with; `None` if it begins otherwise.
    pub(crate) fn without_start(&self, words: &str) -> Option<Self> {
        let (Piece::Said(first), rest) = self.pieces.split_first()? else { return None };
        let after = first.starts_with(words).then(|| first.get(words.len()..)).flatten()?;
        let mut left = Self::from(after);
        left.pieces.extend_from_slice(rest);
        Some(left)
    }

    /// Whether a reader in the units of [`Measure`] reads the same in both.
    pub(crate) fn reads_like(&self, other: &Self) -> bool {
        self.to_string() == other.to_string()
    }
}

/// In the units of [`Measure`].
impl fmt::Display for Phrase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.written(|measure, value, digits| digits.of(measure.count(value)), Measure::symbol))
    }
}

impl From<String> for Phrase {
    fn from(text: String) -> Self {
        Self { pieces: if text.is_empty() { Vec::new() } else { vec![Piece::Said(text)] } }
    }
}

impl From<&str> for Phrase {
    fn from(text: &str) -> Self {
        text.to_owned().into()
    }
}

impl From<&String> for Phrase {
    fn from(text: &String) -> Self {
        text.as_str().into()
    }
}

impl From<&Self> for Phrase {
    fn from(phrase: &Self) -> Self {
        phrase.clone()
    }
}

/// What is said one after the other as one [`Phrase`]: texts, figures and phrases.
macro_rules! phrase {
    ($($said:expr),* $(,)?) => {{
        let mut phrase = $crate::Phrase::default();
        $(phrase.push($said);)*
        phrase
    }};
}
pub(crate) use phrase;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn millimetres_unless_told_otherwise() {
        let pitch = phrase!["pitches of ", size(2.0), ", ", length(-0.42, 2), ", ", stretch(1.0, 2.5, 1)];
        assert_eq!(pitch.to_string(), "pitches of 2 mm, −0.42 mm, 1.0 to 2.5 mm");
        let list = Phrase::join([bare(1.0, 0), bare(2.0, 0)], ", ");
        assert_eq!(phrase![list, " ", symbol()].to_string(), "1, 2 mm");
    }

    #[test]
    fn another_unit() {
        let metres = phrase!["of ", length(1234.0, 0)].written(|_, mm, _| number(1e-3 * mm, 3), |_| "m");
        assert_eq!(metres, "of 1.234 m");
    }

    #[test]
    fn forces_masses_and_moments() {
        let all =
            phrase![grams(0.25, 0), ", ", kilograms(1.5, 2), ", ", moment(31.26, 1), ", ", torque(2500.0, 2)];
        assert_eq!(all.to_string(), "250 g, 1.50 kg, 31.3 N·mm, 2.50 N·m");
        assert_eq!(needed(Measure::Gram, 0.0025).to_string(), "2.5 g");
    }

    #[test]
    fn equal_however_it_was_put_together() {
        let one = phrase!["gap ", length(0.5, 2), " at", " most", ""];
        assert_eq!(one, phrase!["", "gap", " ", phrase![length(0.5, 2), " at most"]]);
        assert_ne!(one, phrase!["gap ", length(0.6, 2), " at most"]);
        assert!(Phrase::from("").is_empty() && Phrase::join([], ", ").is_empty());
    }

    #[test]
    fn what_reads_alike() {
        let near = phrase!["by ", length(0.501, 2)];
        assert!(near.reads_like(&phrase!["by ", length(0.502, 2)]) && !near.reads_like(&"by 0.5".into()));
    }
}
