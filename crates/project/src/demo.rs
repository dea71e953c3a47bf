//! The built-in demo projects.

use crate::document::Document;
use crate::problem::Problem;
use crate::read::parse;

/// The text of the demo the program starts with: a seedling lift, two trays that pass a wall tie.
pub fn demo_text() -> &'static str {
    include_str!("../../../demo-projects/seedling-lift.ron")
}

/// The text of the other demo: a motor-driven sample shuttle.
pub fn sample_shuttle_text() -> &'static str {
    include_str!("../../../demo-projects/sample-shuttle.ron")
}

/// The demo the program starts with.
///
/// # Errors
/// None: a test holds that the embedded text can be read.
pub fn demo() -> Result<Document, Vec<Problem>> {
    parse(demo_text())
}
