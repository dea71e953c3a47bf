//! Widgets the panels share.

mod bar;
mod marked_button;
mod marks;
mod over;
mod part_picker;
mod part_summary;
mod rows;
mod size_field;
mod stack_glyph;
mod tolerance_button;

pub use bar::{bar_ui, wrapped_bar_ui};
pub use marked_button::{Marked, marked_button};
pub use marks::{Mark, mark_ui, paint_mark};
pub use over::over;
pub use part_picker::{Choice, part_picker_ui, pick_ui};
pub use part_summary::part_summary;
pub use rows::{
    choice_row, choice_ui, line_ui, list_area, name_ui, named_row, quiet_button, read_ui, section_ui,
    text_scale, text_ui,
};
pub use size_field::{SizeField, plain_text, round};
pub use stack_glyph::{Glyph, paint_glyph};
pub use tolerance_button::{bare_number_ui, come_to, readings_ui, tolerance_button_ui};
