//! Older versions of the file format.

mod version_0;

use crate::document::Document;
use crate::problem::Problem;

/// Reads a text of an older format; `None` if `format` is none this knows. With the document come notes on
/// what was carried over and how.
pub(crate) fn read_older(
    text: &str,
    format: u32,
) -> Option<Result<(Document, Vec<Problem>), ron::error::SpannedError>> {
    match format {
        0 => Some(version_0::read(text)),
        _ => None,
    }
}
