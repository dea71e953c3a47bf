//! Texts with lengths in them, whose unit their reader chooses.

use std::fmt;

use crate::{number, plain};

/// A text that names lengths as quantities (mm), not as figures in a unit: its reader chooses the unit.
///
/// [`Display`](fmt::Display) writes it in millimetres, [`Phrase::written`] in any other unit. Texts that stand side by
/// side are one piece, so that phrases made in different ways from the same words and lengths are equal.
///
/// ```
/// use glidewright_motion::Phrase;
/// use glidewright_motion::phrase::{length, stretch};
///
/// let mut gap = Phrase::from("only ");
/// gap.push(length(0.42, 2));
/// gap.push(" at travel ");
/// gap.push(stretch(10.0, 20.0, 1));
/// assert_eq!(gap.to_string(), "only 0.42 mm at travel 10.0 to 20.0 mm");
/// ```
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Phrase {
    pieces: Vec<Piece>,
}

#[derive(Clone, Debug, PartialEq)]
enum Piece {
    Said(String),
    /// A length (mm), without a symbol.
    Length(f64, Digits),
    /// The symbol of the unit.
    Symbol,
}

/// How many digits of a length are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Digits {
    /// So many decimals in millimetres; as many in another unit as say about as much.
    Decimals(usize),
    /// As many as it takes to write a nominal size in full, as [`plain`] does.
    Needed,
}

impl Digits {
    /// A length (mm) in millimetres, without a symbol.
    fn of(self, mm: f64) -> String {
        match self {
            Self::Decimals(decimals) => number(mm, decimals),
            Self::Needed => plain(mm),
        }
    }
}

/// A length (mm) with its unit, to `decimals` places in millimetres.
pub fn length(mm: f64, decimals: usize) -> Phrase {
    let mut phrase = bare(mm, decimals);
    phrase.push_symbol();
    phrase
}

/// A length (mm) without its unit, to `decimals` places in millimetres: one of several before a [`symbol`].
pub fn bare(mm: f64, decimals: usize) -> Phrase {
    Phrase { pieces: vec![Piece::Length(mm, Digits::Decimals(decimals))] }
}

/// A nominal size (mm) with its unit, no digit more than it takes: "2 mm".
pub fn size(mm: f64) -> Phrase {
    let mut phrase = Phrase { pieces: vec![Piece::Length(mm, Digits::Needed)] };
    phrase.push_symbol();
    phrase
}

/// "10.0 to 20.0 mm": a stretch of travel, or the limits of a size (mm), to `decimals` places in millimetres.
pub fn stretch(from: f64, to: f64, decimals: usize) -> Phrase {
    phrase![bare(from, decimals), " to ", length(to, decimals)]
}

/// The symbol of the unit alone, with which a list of [`bare`] lengths ends.
pub fn symbol() -> Phrase {
    Phrase { pieces: vec![Piece::Symbol] }
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

    fn push_symbol(&mut self) {
        self.push(" ");
        self.pieces.push(Piece::Symbol);
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

    /// The text in a unit: `length` writes a length (mm) without its symbol, `symbol` is that of the unit.
    pub fn written(&self, length: impl Fn(f64, Digits) -> String, symbol: &str) -> String {
        let mut text = String::new();
        for piece in &self.pieces {
            match piece {
                Piece::Said(said) => text.push_str(said),
                Piece::Length(mm, digits) => text.push_str(&length(*mm, *digits)),
                Piece::Symbol => text.push_str(symbol),
            }
        }
        text
    }

    /// Whether a reader in millimetres reads the same in both.
    pub(crate) fn reads_like(&self, other: &Self) -> bool {
        self.to_string() == other.to_string()
    }
}

/// In millimetres.
impl fmt::Display for Phrase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.written(|mm, digits| digits.of(mm), "mm"))
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

/// What is said one after the other as one [`Phrase`]: texts, lengths and phrases.
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
        let metres = phrase!["of ", length(1234.0, 0)].written(|mm, _| number(1e-3 * mm, 3), "m");
        assert_eq!(metres, "of 1.234 m");
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
