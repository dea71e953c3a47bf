//! What stands round the drawing.

mod branches;
mod close_ups;
mod editor;
mod parts;
mod start;
mod top;
mod tray;
mod trials;

pub use start::{Start, StartAnswer, start_ui};

use egui::{CentralPanel, Frame, Margin, Panel, Ui};
use glidewright_sheet::Theme;

use crate::commands::{Action, Command, Queue};
use crate::shell::FrameTimes;
use crate::state::{Origin, State};
use crate::theme::{self, Surface};
use crate::views::Canvases;

/// What every panel draws from.
pub struct Shared<'a> {
    /// What the window knows.
    pub state: &'a State,
    /// The palette.
    pub theme: &'a Theme,
}

/// Usual widths of the panels beside the drawing (points).
const PARTS: f32 = 300.0;
const CLOSE_UPS: f32 = 290.0;
/// What the drawing keeps in a narrow window (points): the close-ups give way to it, then the parts.
const DRAWING: f32 = 300.0;

/// Draws everything.
pub fn all_ui(ui: &mut Ui, state: &State, canvases: &mut Canvases, times: &FrameTimes, queue: &mut Queue) {
    let theme = theme::current(ui.ctx());
    let shared = Shared { state, theme: &theme };
    let bar = Frame::new().fill(Surface::Bar.color32(&theme)).inner_margin(Margin::symmetric(8, 4));
    let side = Frame::new().fill(Surface::Panel.color32(&theme)).inner_margin(Margin::symmetric(10, 8));
    Panel::top("menu bar").exact_size(34.0).frame(bar).show(ui, |ui| top::top_ui(ui, &shared, times, queue));
    Panel::top("trials").exact_size(36.0).frame(bar).show(ui, |ui| trials::trials_ui(ui, &shared, queue));
    let preferences = &state.preferences;
    let room = ui.ctx().content_rect().size();
    if preferences.findings {
        // A quarter of the window, but some rows at least, and never so many that the drawing has no room.
        let most = (0.4 * room.y).clamp(70.0, 460.0);
        let height = (0.24 * room.y).clamp(180.0, 380.0).min(most);
        Panel::bottom("findings")
            .frame(side)
            .default_size(height)
            .size_range(70.0..=most)
            .resizable(true)
            .show(ui, |ui| tray::tray_ui(ui, &shared, queue));
    }
    let parts = preferences.parts && room.x - PARTS >= DRAWING;
    if parts {
        Panel::left("parts")
            .frame(side)
            .default_size(PARTS)
            .size_range(270.0..=520.0)
            .resizable(true)
            .show(ui, |ui| parts::parts_ui(ui, &shared, queue));
    }
    let beside = if parts { PARTS } else { 0.0 };
    if preferences.close_ups && room.x - beside - CLOSE_UPS >= DRAWING {
        Panel::right("close-ups")
            .frame(Frame::new().fill(Surface::Panel.color32(&theme)))
            .default_size(CLOSE_UPS)
            .size_range(220.0..=640.0)
            .resizable(true)
            .show(ui, |ui| close_ups::close_ups_ui(ui, &shared, canvases, queue));
    }
    let paper = Frame::new().fill(theme::colour(theme.colour(glidewright_sheet::Tone::Paper)));
    CentralPanel::no_frame().frame(paper).show(ui, |ui| canvases.centre_ui(ui, &shared, queue));
}

/// What the document is called: its file, or the built-in project.
pub fn file_name(state: &State) -> String {
    match state.session.origin() {
        Origin::File(file) => {
            file.file_stem().map_or_else(|| "project".to_owned(), |name| name.to_string_lossy().into_owned())
        }
        Origin::Demo(_) | Origin::New => state.session.document().name.clone(),
    }
}

/// A command as a button.
pub fn command_button(ui: &mut Ui, state: &State, command: Command, queue: &mut Queue) {
    let hindrance = command.hindrance(state);
    let button = egui::Button::new(command.spec().label);
    let response = ui.add_enabled(hindrance.is_none(), button).on_hover_text(command.tooltip(ui.ctx()));
    let response = match hindrance {
        Some(why) => response.on_disabled_hover_text(why),
        None => response,
    };
    if response.clicked() {
        queue.push(Action::Do(command));
    }
}
