//! The trials as a row of one-click choices, and the figures that matter most.

use egui::{Button, RichText, ScrollArea, Ui, Vec2};
use glidewright_motion::{PairResult, Severity};
use glidewright_sheet::Tone;

use super::Shared;
use super::findings::{mark_of, nothing_near, outcome_words};
use crate::commands::{Action, Command, Queue};
use crate::state::ReaderUnits;
use crate::theme::{FontRole, colour};
use crate::widgets::{Mark, Marked, Region, marked_button, paint_mark, wrapped_bar_ui};

/// Most rows of trials; what goes beyond is scrolled (points).
const MOST: f32 = 96.0;

/// Draws the row.
pub fn trials_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let choices = |ui: &mut Ui, queue: &mut Queue| {
        ScrollArea::vertical().max_height(MOST).auto_shrink([false, true]).show(ui, |ui| {
            ui.horizontal_wrapped(|ui| {
                ui.spacing_mut().item_spacing = Vec2::splat(4.0);
                ui.weak("Try");
                choices_ui(ui, shared, queue);
            });
        });
    };
    ui.horizontal_top(|ui| wrapped_bar_ui(ui, queue, choices, |ui, queue| figures_ui(ui, shared, queue)));
}

/// The fixture as drawn, then every trial.
fn choices_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let session = &shared.state.session;
    choice_ui(ui, shared, None, "The fixture itself, without any trial", queue);
    for trial in &session.document().trials {
        let tip = if trial.note.is_empty() { "A trial" } else { trial.note.as_str() };
        choice_ui(ui, shared, Some(&trial.name), tip, queue);
    }
}

/// One to choose, with its tightest gap and a mark for the worst that is found on it.
fn choice_ui(ui: &mut Ui, shared: &Shared<'_>, trial: Option<&str>, tip: &str, queue: &mut Queue) {
    let chosen = shared.state.session.trial() == trial;
    let name = trial.unwrap_or("As drawn");
    let text = if chosen { RichText::new(name).font(FontRole::Strong.id()) } else { RichText::new(name) };
    let outcome = shared.state.outlook.of_trial(trial).map(|tried| &tried.outcome);
    let gap = outcome
        .and_then(|outcome| outcome.tightest)
        .map_or_else(String::new, |(gap, ..)| shared.state.preferences.units().bare(gap, 2));
    let room_for = shared.state.preferences.units().bare(-88.88, 2);
    let marked = Marked { text, mark: outcome.map(mark_of), figure: &gap, room_for: &room_for, chosen };
    let drawn = marked_button(ui, marked, shared.theme);
    let foreseen = outcome.map(|outcome| outcome_words(outcome, shared.state.preferences.units()));
    let tip = foreseen.map_or_else(|| tip.to_owned(), |words| format!("{tip}\n{words}"));
    if chosen {
        Region::Trials.anchor(&drawn);
    }
    let response = drawn.on_hover_text(tip);
    if response.accessible_name(format!("Try: {name}")).clicked() {
        queue.push(Action::Try(trial.map(str::to_owned)));
    }
}

/// The three gaps of one place, each by its name.
pub fn named_gaps(unit: ReaderUnits, [drawn, loaded, worst]: [f64; 3]) -> String {
    let text = |gap: f64| unit.text(gap, 2);
    format!("As drawn {}, under load {}, at its worst {}", text(drawn), text(loaded), text(worst))
}

/// The tightest gap, from the right.
fn figures_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let Some(bench) = shared.state.session.bench() else {
        ui.weak("no fixture to show");
        return;
    };
    let interference = &bench.results.interference;
    let unit = shared.state.preferences.units();
    if let Some(pair) = interference.tightest() {
        let mark = match pair.outcome.word() {
            "fouls" => Mark::Fails,
            "marginal" => Mark::Marginal,
            _ => Mark::Clear,
        };
        let text = format!("{} at {}", unit.text(pair.gap, 2), unit.bare(pair.at_travel, 1));
        let color = colour(shared.theme.colour(mark.tone()));
        let button = Button::new(RichText::new(text).color(color).font(FontRole::Strong.id()));
        // The least of each, be it of another pair: as everywhere else.
        let of = |figure: fn(&PairResult) -> f64| interference.least(figure).unwrap_or(f64::NAN);
        let named = named_gaps(unit, [of(|pair| pair.gap), of(|pair| pair.loaded.gap), of(PairResult::left)]);
        let tooltip = format!("{}\n{named}", Command::GoTightest.tooltip(ui.ctx()));
        let response = ui.add(button).on_hover_text(tooltip);
        if response.accessible_name("Go to the tightest place").clicked() {
            queue.push(Action::Do(Command::GoTightest));
        }
        let (rect, _) = ui.allocate_exact_size(Vec2::splat(14.0), egui::Sense::hover());
        paint_mark(ui.painter(), rect.center(), 13.0, mark, shared.theme);
        ui.label(format!("tightest: {}", pair.outcome.word()));
    } else {
        ui.label(nothing_near(unit)).on_hover_text("No two that pass each other come nearer than that");
    }
    if bench.worst() == Some(Severity::Fails) && interference.tightest().is_none() {
        ui.colored_label(colour(shared.theme.colour(Tone::Clash)), "fails");
    }
}
