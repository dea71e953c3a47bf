//! Widgets the panels share.

mod bar;
mod figure_field;
mod keys;
mod marked_button;
mod marks;
mod over;
mod part_picker;
mod part_summary;
mod plot;
mod region;
mod rows;
mod size_field;
mod tolerance_button;
mod typed;

pub use bar::{bar_ui, wrapped_bar_ui};
pub use figure_field::FigureField;
pub use keys::{arrows_walk, menu_row};
pub use marked_button::{Marked, marked_button};
pub use marks::{Mark, mark_ui, paint_mark};
pub use over::over;
pub use part_picker::{Choice, Picker};
pub use part_summary::part_summary;
pub use plot::plot_ui;
pub use region::{Region, go_round};
pub use rows::{
    begin_text, choice_row, choice_ui, hanging_ui, line_ui, list_area, name_ui, named_row, quiet_button,
    read_ui, section_ui, text_scale, text_ui,
};
pub use size_field::{SizeField, plain_text, round};
pub use tolerance_button::{bare_number_ui, come_to, readings_ui, tolerance_button_ui};
pub use typed::{meant, value_of};
