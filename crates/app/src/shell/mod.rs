//! The program's window: takes in finished work, draws the panels, then does what was asked for.

mod app;
mod dialogs;
mod filing;
mod finder;
mod frame_times;
mod handbook;
mod keys_sheet;
mod modals;
mod opened;
mod perform;
mod picture;
mod preferences_ui;
mod run;

pub use app::App;
pub use frame_times::FrameTimes;
pub use run::{RunError, run};
