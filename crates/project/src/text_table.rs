//! What tables in text files (CSV) have in common, whatever they hold.

use crate::problem::{Place, Problem, Severity};
use crate::read::LARGEST_FILE;

/// Most problems told about one file.
pub(crate) const MOST_PROBLEMS: usize = 20;

/// The text of a file's bytes, without a byte order mark.
///
/// # Errors
/// When it is too large, with what to do then, or no UTF-8 text.
pub(crate) fn text_of<'b>(bytes: &'b [u8], too_large: &str) -> Result<&'b str, Vec<Problem>> {
    if bytes.len() > LARGEST_FILE {
        let message =
            format!("the file has {} kB; at most {} kB are read", bytes.len() / 1024, LARGEST_FILE / 1024);
        return Err(vec![Problem::error("", message).remedy(too_large)]);
    }
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Err(vec![Problem::error("", "the file is not UTF-8 text").remedy(SAVE_AS)]);
    };
    Ok(text.strip_prefix('\u{FEFF}').unwrap_or(text))
}

/// What to do with a file that is no table.
const SAVE_AS: &str = "save the table as CSV with UTF-8 encoding";

/// Something wrong in a line.
pub(crate) fn at_line(line: u64, message: impl Into<String>) -> Problem {
    let line = usize::try_from(line).unwrap_or(usize::MAX);
    Problem::new(Severity::Error, Place::Text { line, column: 1 }, message)
}

/// A line that is none of a table.
pub(crate) fn broken(error: &csv::Error) -> Problem {
    at_line(error.position().map_or(1, csv::Position::line), "this line is no line of a table")
        .remedy(SAVE_AS)
}

/// A table that goes on for too long.
pub(crate) fn too_many_lines(most: usize) -> Problem {
    Problem::error("", format!("the table has more than {most} lines")).remedy("split it")
}
