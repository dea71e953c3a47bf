//! The tray below the drawing: findings, trials, shared sizes, readings, pulls and costs, a page each.

mod costs;
mod findings;
mod pulls;
mod readings;
mod sizes;
mod trials;

pub use findings::nothing_near;

use egui::{Align, Button, Layout, RichText, Sense, Ui, Vec2};
use glidewright_motion::Severity;

use super::Shared;
use crate::commands::{Action, Command, Queue};
use crate::state::Tray;
use crate::theme::FontRole;
use crate::widgets::{bar_ui, mark_ui, text_scale};

/// Draws the tabs and the page that is open.
pub fn tray_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    tabs_ui(ui, shared, queue);
    ui.add_space(2.0);
    let page = shared.state.tray;
    ui.push_id(page, |ui| match page {
        Tray::Findings => findings::findings_ui(ui, shared, queue),
        Tray::Trials => trials::trials_ui(ui, shared, queue),
        Tray::Sizes => sizes::sizes_ui(ui, shared, queue),
        Tray::Readings => readings::readings_ui(ui, shared, queue),
        Tray::Pulls => pulls::pulls_ui(ui, shared, queue),
        Tray::Costs => costs::costs_ui(ui, shared, queue),
    });
}

fn tabs_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let left = |ui: &mut Ui, queue: &mut Queue| {
        ui.spacing_mut().item_spacing.x = 2.0;
        for page in Tray::ALL {
            let count = match page {
                Tray::Trials => document.trials.len(),
                Tray::Sizes => document.sizes.entries.len(),
                Tray::Readings => document.measured.len(),
                Tray::Pulls => document.pulls.len(),
                Tray::Findings | Tray::Costs => 0,
            };
            let chosen = shared.state.tray == page;
            let words = if count > 0 { format!("{} {count}", page.title()) } else { page.title().to_owned() };
            let font = if chosen { FontRole::Strong } else { FontRole::Body };
            let response = ui.add(Button::selectable(chosen, RichText::new(words).font(font.id())));
            if response.on_hover_text(page.about()).accessible_name(page.title()).clicked() {
                queue.push(Action::Tray(page));
            }
        }
        ui.add_space(10.0);
        counts_ui(ui, shared);
    };
    let right = |ui: &mut Ui, queue: &mut Queue| {
        if shared.state.tray == Tray::Findings {
            super::command_button(ui, shared.state, Command::NextFinding, queue);
        }
    };
    ui.horizontal(|ui| bar_ui(ui, queue, left, right));
}

/// How many findings there are of each severity, whatever page is open.
fn counts_ui(ui: &mut Ui, shared: &Shared<'_>) {
    let findings = shared.state.session.bench().map_or(&[][..], |bench| &bench.results.findings);
    let count = |severity| findings.iter().filter(|finding| finding.severity == severity).count();
    ui.spacing_mut().item_spacing.x = 4.0;
    for (severity, one, many) in [
        (Severity::Fails, "fails", "fail"),
        (Severity::Marginal, "marginal", "marginal"),
        (Severity::Note, "note", "notes"),
    ] {
        let found = count(severity);
        if found > 0 {
            mark_ui(ui, severity.into(), shared.theme);
            ui.weak(format!("{found} {}", if found == 1 { one } else { many }));
            ui.add_space(6.0);
        }
    }
    if shared.state.session.reading().is_old {
        let tone = crate::theme::colour(shared.theme.colour(glidewright_sheet::Tone::Clash));
        ui.colored_label(tone, "Shown is the last fixture that could be made");
    }
}

/// Cells of a table: the columns' widths as shares of the room, in order.
pub struct Columns<'a> {
    /// Head words and widths at ordinary text size (points); a width of 0 takes what is left.
    pub heads: &'a [(&'a str, f32)],
}

impl Columns<'_> {
    /// The widths in this room.
    pub fn widths(&self, ui: &Ui) -> Vec<f32> {
        let scale = text_scale(ui);
        let fixed: f32 = self.heads.iter().map(|(_, width)| width * scale).sum();
        let free = self.heads.iter().filter(|(_, width)| *width == 0.0).count().max(1) as f32;
        let gaps = ui.spacing().item_spacing.x * self.heads.len().saturating_sub(1) as f32;
        // Room for the scroll bar.
        let rest = ((ui.available_width() - fixed - gaps - 12.0) / free).max(40.0);
        self.heads.iter().map(|(_, width)| if *width == 0.0 { rest } else { width * scale }).collect()
    }

    /// The row of heads.
    pub fn head_ui(&self, ui: &mut Ui, widths: &[f32]) {
        ui.horizontal(|ui| {
            for ((words, _), width) in self.heads.iter().zip(widths) {
                cell_ui(ui, *width, |ui| {
                    ui.add(egui::Label::new(RichText::new(*words).small().weak()).truncate());
                });
            }
        });
    }
}

/// A cell of this width.
pub fn cell_ui<R>(ui: &mut Ui, width: f32, add: impl FnOnce(&mut Ui) -> R) -> R {
    let size = Vec2::new(width, ui.spacing().interact_size.y);
    let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
    let layout = Layout::left_to_right(Align::Center);
    let mut cell = ui.new_child(egui::UiBuilder::new().max_rect(rect).layout(layout));
    cell.set_clip_rect(rect.expand(2.0).intersect(ui.clip_rect()));
    cell.spacing_mut().item_spacing.x = 3.0;
    add(&mut cell)
}
