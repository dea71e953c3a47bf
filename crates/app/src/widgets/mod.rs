//! Widgets the panels share.

mod marks;
mod part_picker;
mod part_summary;
mod size_field;

pub use marks::{Mark, mark_ui, paint_mark};
pub use part_picker::{Choice, part_picker_ui};
pub use part_summary::part_summary;
pub use size_field::{NAME_WIDTH, SizeField};
