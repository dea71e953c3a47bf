//! The close-ups beside the drawing.

use egui::Ui;

use super::Shared;
use crate::commands::Queue;
use crate::views::Canvases;

/// Draws them one below the other.
pub fn close_ups_ui(ui: &mut Ui, shared: &Shared<'_>, canvases: &mut Canvases, queue: &mut Queue) {
    canvases.close_ups_ui(ui, shared, queue);
}
