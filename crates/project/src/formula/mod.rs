//! Formulas: ordinary arithmetic with unit symbols, checked for dimension.
//!
//! `"plate + 2*wall"`, `"6 mm"`, `"1/4 in"`, `"max(3, spacer/2)"`. What the language knows is written
//! in the handbook page on the project file.

mod eval;
mod function;
mod lex;
mod parse;
mod units;
mod value;

pub(crate) use eval::unknown_name;
pub use eval::{Lookup, evaluate};
pub use function::function_names;
pub(crate) use lex::{is_word_part, is_word_start, with_name};
pub use parse::{Expr, parse};
pub use units::{UNITS, Unit, is_reserved};
pub use value::Value;

/// The number that a text is and nothing more, with a decimal point or comma; `None` for a formula, a unit, or a comma
/// that can be read in two ways.
///
/// ```
/// use glidewright_project::formula::plain_number;
///
/// assert_eq!(plain_number(" −12,5 "), Some(-12.5));
/// assert_eq!(plain_number("1,250"), None);
/// assert_eq!(plain_number("5 N"), None);
/// ```
pub fn plain_number(text: &str) -> Option<f64> {
    lex::plain_number(text)
}

/// Longest formula read (characters).
pub const LONGEST_FORMULA: usize = 1000;

/// Why a formula has no value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FormulaError {
    /// Character of the formula where it shows, from 1.
    pub column: usize,
    /// What is the matter.
    pub message: String,
    /// What to do about it; may be empty.
    pub remedy: String,
}

impl FormulaError {
    /// What is the matter and what to do about it.
    pub fn told(&self) -> String {
        crate::problem::told(&self.message, &self.remedy)
    }

    fn new(at: usize, message: impl Into<String>) -> Self {
        Self { column: at + 1, message: message.into(), remedy: String::new() }
    }

    /// A result beyond all numbers, by the operation at a character counted from 0.
    pub(crate) fn too_large(at: usize) -> Self {
        Self::new(at, "the result is too large to calculate with")
    }

    fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = remedy.into();
        self
    }
}
