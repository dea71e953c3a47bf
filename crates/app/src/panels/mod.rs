//! What stands round the drawing.

mod drawer;
mod editor;
mod findings;
mod parts;
mod start;
mod top;
mod trials;

pub use parts::{copy_part, delete_part, double_part, meant_part, part_menu_ui, paste_part};
pub use start::{Start, StartAnswer, start_ui};
pub use trials::named_gaps;

use egui::{CentralPanel, Frame, Margin, Panel, Ui};
use glidewright_sheet::Theme;

use crate::commands::Queue;
use crate::shell::FrameTimes;
use crate::state::{Origin, State};
use crate::theme::{self, Surface};
use crate::views::Canvases;
use crate::widgets::Region;

/// What every panel draws from.
pub struct Shared<'a> {
    /// What the window knows.
    pub state: &'a State,
    /// The palette.
    pub theme: &'a Theme,
}

/// The parts take this share of the window's width, within these widths (points).
const PARTS: f32 = 0.18;
const PARTS_WIDTHS: std::ops::RangeInclusive<f32> = 280.0..=380.0;
/// The findings beside the drawing take this share of the window's width, and no less than so much (points).
const FINDINGS: f32 = 0.25;
const FINDINGS_LEAST: f32 = 380.0;
/// Under a lying rail they take this share of its height (points).
const UNDER: f32 = 0.28;
/// What the drawing keeps in a narrow window (points): the parts give way to it, then the findings.
const DRAWING: f32 = 420.0;

/// Draws everything.
pub fn all_ui(ui: &mut Ui, state: &State, canvases: &mut Canvases, times: &FrameTimes, queue: &mut Queue) {
    let theme = theme::current(ui.ctx());
    let shared = Shared { state, theme: &theme };
    let bar = Frame::new().fill(Surface::Bar.color32(&theme)).inner_margin(Margin::symmetric(8, 4));
    let side = Frame::new().fill(Surface::Panel.color32(&theme)).inner_margin(Margin::symmetric(10, 8));
    Panel::top("menu bar").exact_size(34.0).frame(bar).show(ui, |ui| top::top_ui(ui, &shared, times, queue));
    let trials = Panel::top("trials").frame(bar).show(ui, |ui| trials::trials_ui(ui, &shared, queue));
    Region::Trials.note(ui.ctx(), trials.response.rect);
    let preferences = &state.preferences;
    let room = ui.ctx().content_rect().size();
    let tables = Panel::bottom("tables").exact_size(32.0).frame(bar).show(ui, |ui| {
        ui.horizontal_centered(|ui| drawer::tabs_ui(ui, &shared, queue));
    });
    let mut tables = tables.response.rect;
    if let Some(page) = state.drawer {
        let table = Panel::bottom("table")
            .frame(side)
            .default_size((0.3 * room.y).clamp(150.0, 420.0))
            .size_range(70.0..=(0.8 * room.y).max(80.0))
            .resizable(true)
            .show(ui, |ui| drawer::drawer_ui(ui, &shared, page, queue));
        tables = tables.union(table.response.rect);
    }
    Region::Tables.note(ui.ctx(), tables);
    let beside = state.session.bench().is_none_or(|bench| bench.fixture.rail.stand.is_upright());
    // A width that somebody drew holds as long as the window has its size.
    let steps = |size: f32| (size / 40.0) as u32;
    let wanted = (FINDINGS * room.x).max(FINDINGS_LEAST);
    let column = preferences.findings && beside && room.x - wanted >= DRAWING;
    let taken = if column { wanted } else { 0.0 };
    let findings = if column {
        let panel = Panel::right(egui::Id::unique(("findings beside", steps(room.x))))
            .frame(side)
            .default_size(wanted)
            .size_range(300.0..=(0.6 * room.x).max(wanted))
            .resizable(true)
            .show(ui, |ui| findings::column_ui(ui, &shared, canvases, queue));
        Some(panel.response.rect)
    } else if preferences.findings {
        let panel = Panel::bottom(egui::Id::unique(("findings below", steps(room.y))))
            .frame(side)
            .default_size((UNDER * room.y).max(200.0))
            .size_range(90.0..=(0.7 * room.y).max(100.0))
            .resizable(true)
            .show(ui, |ui| findings::row_ui(ui, &shared, canvases, queue));
        Some(panel.response.rect)
    } else {
        None
    };
    if let Some(rect) = findings {
        Region::Findings.note(ui.ctx(), rect);
    }
    let parts = (PARTS * room.x).clamp(*PARTS_WIDTHS.start(), *PARTS_WIDTHS.end());
    if preferences.parts && room.x - parts - taken >= DRAWING {
        let panel = Panel::left(egui::Id::unique(("parts", steps(room.x))))
            .frame(side)
            .default_size(parts)
            .size_range(250.0..=520.0)
            .resizable(true)
            .show(ui, |ui| parts::parts_ui(ui, &shared, queue));
        Region::Parts.note(ui.ctx(), panel.response.rect);
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
