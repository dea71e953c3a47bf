//! Older versions of the file format.

mod version_0;
mod version_1;

use crate::document::{Document, FORMAT, PartsFile};
use crate::problem::Problem;

/// Reads a text of an older format; `None` if `format` is none this knows. With the document come notes on
/// what was carried over and how.
pub(crate) fn read_older(
    text: &str,
    format: u32,
) -> Option<Result<(Document, Vec<Problem>), ron::error::SpannedError>> {
    match format {
        0 => Some(version_0::read(text)),
        1 => Some(version_1::read(text)),
        _ => None,
    }
}

/// Brings a file of parts of an older format to the present one; `false` if its format is none this knows.
pub(crate) fn upgrade_parts(file: &mut PartsFile) -> bool {
    match file.format {
        FORMAT => true,
        1 => {
            version_1::upgrade_parts(file);
            true
        }
        _ => false,
    }
}
