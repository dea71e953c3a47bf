//! The trials as a row of one-click choices, and the figures that matter most.

use egui::{Button, RichText, ScrollArea, Ui, Vec2};
use glidewright_motion::Severity;
use glidewright_sheet::Tone;

use super::Shared;
use super::tray::nothing_near;
use crate::commands::{Action, Command, Queue};
use crate::state::LengthUnit;
use crate::theme::{FontRole, colour};
use crate::widgets::{Mark, bar_ui, paint_mark};

/// Draws the row.
pub fn trials_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let choices = |ui: &mut Ui, queue: &mut Queue| {
        ui.weak("Try");
        ScrollArea::horizontal().auto_shrink([false, true]).show(ui, |ui| {
            ui.horizontal_centered(|ui| choices_ui(ui, shared, queue));
        });
    };
    ui.horizontal_centered(|ui| bar_ui(ui, queue, choices, |ui, queue| figures_ui(ui, shared, queue)));
}

/// The fixture as drawn, then every trial.
fn choices_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let session = &shared.state.session;
    let base = session.trial().is_none();
    choice_ui(ui, "As drawn", "The fixture itself, without any trial", base, || Action::Try(None), queue);
    for trial in &session.document().trials {
        let chosen = session.trial() == Some(trial.name.as_str());
        let tip = if trial.note.is_empty() { "A trial" } else { trial.note.as_str() };
        choice_ui(ui, &trial.name, tip, chosen, || Action::Try(Some(trial.name.clone())), queue);
    }
}

fn choice_ui(
    ui: &mut Ui,
    name: &str,
    tip: &str,
    chosen: bool,
    action: impl FnOnce() -> Action,
    queue: &mut Queue,
) {
    let text = if chosen { RichText::new(name).font(FontRole::Strong.id()) } else { RichText::new(name) };
    let response = ui.add(Button::selectable(chosen, text).frame_when_inactive(true)).on_hover_text(tip);
    if response.accessible_name(format!("Try: {name}")).clicked() {
        queue.push(action());
    }
}

/// The three gaps of one place, each by its name.
fn named_gaps(unit: LengthUnit, [drawn, loaded, worst]: [f64; 3]) -> String {
    let text = |gap: f64| unit.text(gap, 2);
    format!("As drawn {}, under load {}, at its worst {}", text(drawn), text(loaded), text(worst))
}

/// The travel, the gap here and the tightest gap, from the right.
fn figures_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let Some(bench) = shared.state.session.bench() else {
        ui.weak("no fixture to show");
        return;
    };
    let interference = &bench.results.interference;
    let unit = shared.state.preferences.unit;
    if let Some(pair) = interference.tightest() {
        let mark = match pair.outcome.word() {
            "fouls" => Mark::Fails,
            "marginal" => Mark::Marginal,
            _ => Mark::Clear,
        };
        let text = format!("{} at {}", unit.text(pair.gap, 2), unit.bare(pair.at_travel, 1));
        let color = colour(shared.theme.colour(mark.tone()));
        let button = Button::new(RichText::new(text).color(color).font(FontRole::Strong.id()));
        let named = named_gaps(unit, [pair.gap, pair.loaded.gap, pair.left()]);
        let tooltip = format!("{}\n{named}", Command::GoTightest.tooltip(ui.ctx()));
        let response = ui.add(button).on_hover_text(tooltip);
        if response.accessible_name("Go to the tightest place").clicked() {
            queue.push(Action::Do(Command::GoTightest));
        }
        let (rect, _) = ui.allocate_exact_size(Vec2::splat(14.0), egui::Sense::hover());
        paint_mark(ui.painter(), rect.center(), 13.0, mark, shared.theme);
        ui.label(format!("tightest: {}", pair.outcome.word()));
        ui.separator();
    } else {
        ui.label(nothing_near(unit)).on_hover_text("No two that pass each other come nearer than that");
        ui.separator();
    }
    if let Some(here) = interference.band.at(shared.state.travel).filter(|here| here.gap.is_finite()) {
        let named = named_gaps(unit, [here.gap, here.loaded, here.least()]);
        ui.label(RichText::new(unit.text(here.gap, 2)).font(FontRole::Strong.id())).on_hover_text(&named);
        ui.weak("gap here").on_hover_text(named);
    }
    let mut travel = unit.value_of_mm(shared.state.travel);
    let stroke = bench.fixture.stroke;
    let field = egui::DragValue::new(&mut travel)
        .range(unit.value_of_mm(stroke.from)..=unit.value_of_mm(stroke.to))
        .speed(unit.value_of_mm(0.5))
        .fixed_decimals(unit.decimals(1))
        .suffix(format!(" {}", unit.symbol()));
    if ui.add(field).accessible_name("Travel").on_hover_text("Travel: drag it or type it").changed() {
        queue.push(Action::GoTo(unit.to_mm(travel)));
    }
    ui.weak("travel");
    if bench.worst() == Some(Severity::Fails) && interference.tightest().is_none() {
        ui.colored_label(colour(shared.theme.colour(Tone::Clash)), "fails");
    }
}
