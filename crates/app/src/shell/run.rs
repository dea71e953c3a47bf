//! Opens the window.

use std::path::PathBuf;

use super::App;
use crate::state::{Preferences, preferences_file};

/// Why the window did not open.
#[derive(Debug)]
pub struct RunError(String);

impl std::fmt::Display for RunError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "the window could not be opened: {}", self.0)
    }
}

impl std::error::Error for RunError {}

/// Opens the window on a project file, or on the demo, and stays until it is closed.
///
/// # Errors
/// When the system gives no window to draw in.
pub fn run(file: Option<PathBuf>) -> Result<(), RunError> {
    let viewport = egui::ViewportBuilder::default()
        .with_title("Glidewright")
        .with_app_id("glidewright")
        .with_inner_size([1280.0, 800.0])
        .with_min_inner_size([860.0, 560.0])
        .with_drag_and_drop(true);
    let options = eframe::NativeOptions { viewport, ..eframe::NativeOptions::default() };
    eframe::run_native(
        "Glidewright",
        options,
        Box::new(move |creation| {
            let kept = preferences_file();
            let preferences = kept.as_deref().map(Preferences::load).unwrap_or_default();
            Ok(Box::new(App::new(&creation.egui_ctx, file, preferences, kept)))
        }),
    )
    .map_err(|error| RunError(error.to_string()))
}
