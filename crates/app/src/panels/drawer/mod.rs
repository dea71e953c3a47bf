//! The drawer below the drawing: trials, builds, shared sizes, readings, pulls, costs and one's own library, a page each. It opens on demand.

mod builds;
mod costs;
pub mod library;
mod pulls;
mod readings;
mod remedies;
mod sizes;
mod sweep;
mod trials;

use egui::{Align, Button, Layout, RichText, ScrollArea, Sense, Ui, Vec2};
use glidewright_choice::grouped;

use glidewright_sheet::PlotData;

pub use remedies::seek_button_ui;

use super::Shared;
use crate::commands::{Action, Queue};
use crate::state::Drawer;
use crate::theme::FontRole;
use crate::widgets::Region;
use crate::widgets::text_scale;
use crate::work::Rested;

/// Draws the page that is open.
pub fn drawer_ui(ui: &mut Ui, shared: &Shared<'_>, page: Drawer, queue: &mut Queue) {
    ui.push_id(page, |ui| match page {
        Drawer::Trials => trials::trials_ui(ui, shared, queue),
        Drawer::Builds => builds::builds_ui(ui, shared, queue),
        Drawer::Sweep => sweep::sweep_ui(ui, shared, queue),
        Drawer::Remedies => remedies::remedies_ui(ui, shared, queue),
        Drawer::Sizes => sizes::sizes_ui(ui, shared, queue),
        Drawer::Readings => readings::readings_ui(ui, shared, queue),
        Drawer::Pulls => pulls::pulls_ui(ui, shared, queue),
        Drawer::Costs => costs::costs_ui(ui, shared, queue),
        Drawer::Library => library::library_ui(ui, shared, queue),
    });
}

/// The names of the pages: one opens with a click, and closes with another.
pub fn tabs_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    ui.spacing_mut().item_spacing.x = 2.0;
    for page in Drawer::ALL {
        let count = match page {
            Drawer::Trials => document.trials.len(),
            Drawer::Sizes => document.sizes.entries.len(),
            Drawer::Readings => document.measured.len(),
            Drawer::Pulls => document.pulls.len(),
            Drawer::Builds | Drawer::Sweep | Drawer::Remedies | Drawer::Costs => 0,
            Drawer::Library => shared.state.own.parts().parts.len(),
        };
        let chosen = shared.state.drawer == Some(page);
        let words = if count > 0 { format!("{} {count}", page.title()) } else { page.title().to_owned() };
        let font = if chosen { FontRole::Strong } else { FontRole::Body };
        let response = ui.add(Button::selectable(chosen, RichText::new(words).font(font.id())));
        if chosen || (shared.state.drawer.is_none() && page == Drawer::ALL[0]) {
            Region::Tables.anchor(&response);
        }
        if response.on_hover_text(page.about()).accessible_name(page.title()).clicked() {
            queue.push(if chosen { Action::CloseDrawer } else { Action::Drawer(page) });
        }
    }
}

/// A column that scrolls by itself.
pub fn column_ui(ui: &mut Ui, name: &str, width: f32, add: impl FnOnce(&mut Ui)) {
    let height = ui.available_height();
    ui.allocate_ui_with_layout(Vec2::new(width, height), Layout::top_down(Align::Min), |ui| {
        ui.set_width(width);
        ScrollArea::vertical().id_salt(name).auto_shrink([false, false]).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 3.0;
            add(ui);
        });
    });
}

/// What a plot shows, and the way to a picture of it.
pub fn plot_head_ui(ui: &mut Ui, words: &str, plot: &PlotData, queue: &mut Queue) -> egui::Response {
    ui.horizontal(|ui| {
        let head = ui.weak(words);
        let tip = "Write this plot as PNG, SVG or PDF, or copy it";
        let button = ui.small_button("Picture…").on_hover_text(tip);
        let button = button.accessible_name(format!("Picture of: {words}"));
        if button.clicked() {
            queue.push(Action::WritePlot(Box::new(plot.clone())));
        }
        head.union(button)
    })
    .inner
}

/// How far work beside the window is, or what it came to once it is done; says whether it is to go on (`true`) or to stop.
pub fn rested_ui<A: Clone + PartialEq, T: Send + 'static>(
    ui: &mut Ui,
    work: &Rested<A, T>,
    doing: &str,
    done: Option<&str>,
) -> Option<bool> {
    let mut wanted = None;
    ui.horizontal(|ui| match work.progress() {
        Some(progress) => {
            let (steps, of) = progress.steps();
            let words = format!("{doing}: {} of {}", grouped(steps.into()), grouped(of.into()));
            ui.weak(if of > 0 { words } else { doing.to_owned() });
            if ui.small_button("Stop").on_hover_text("What is known so far stays").clicked() {
                wanted = Some(false);
            }
        }
        None if work.broken().is_some() => {
            ui.weak(format!("It broke down: {}", work.broken().unwrap_or_default()));
        }
        None => {
            ui.weak(done.unwrap_or_default());
            if work.is_cut_short() && ui.small_button("Go on").clicked() {
                wanted = Some(true);
            }
        }
    });
    wanted
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
