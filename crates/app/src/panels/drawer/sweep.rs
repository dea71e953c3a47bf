//! One size over a range: what becomes of a figure, where something begins or ceases to be wrong, and one click to take a value.

use egui::{Label, RichText, ScrollArea, Ui, Vec2};
use glidewright_choice::{End, Figure, Swept, Trouble};
use glidewright_motion::Severity;
use glidewright_project::NumberSize;
use glidewright_project::formula::plain_number;
use glidewright_sheet::{ReaderUnits, Unit, number};

use super::super::Shared;
use super::{column_ui, plot_head_ui, rested_ui};
use crate::commands::{Action, Queue};
use crate::plots::{sweep_plot, titled};
use crate::state::Edit;
use crate::theme::FontRole;
use crate::widgets::{
    Choice, Picker, choice_ui, mark_ui, named_row, plain_text, plot_ui, read_ui, round, text_scale,
};

/// Widths at ordinary text size (points): of what is asked, of the ends, and the least of the plot.
const ASKED: f32 = 300.0;
const ENDS: f32 = 400.0;
const PLOT: f32 = 280.0;

/// What can be plotted, each gap with the other two.
const FIGURES: [Figure; 7] = [
    Figure::Gap,
    Figure::Share,
    Figure::Effort,
    Figure::HoldMargin,
    Figure::Pressure,
    Figure::Torque,
    Figure::Mass,
];

/// Draws the page.
pub fn sweep_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let sweeps = &shared.state.sweeps;
    let room = ui.available_size();
    // The drawer is as high as it was pulled, whatever there is to say.
    ui.set_min_height(room.y);
    let [asked, ends, least] = [ASKED, ENDS, PLOT].map(|width| width * text_scale(ui));
    // Between the columns, and beside what scrolls.
    let gaps = 3.0 * ui.spacing().item_spacing.x + 18.0;
    let plot = (room.x - asked - ends - gaps).max(least);
    let outcome = sweeps.outcome(&shared.state.session);
    ScrollArea::horizontal().auto_shrink([false, false]).show(ui, |ui| {
        ui.horizontal_top(|ui| {
            column_ui(ui, "asked", asked, |ui| {
                asked_ui(ui, shared, queue);
                match outcome {
                    Some(Err(problems)) => {
                        for problem in problems.iter().take(3) {
                            ui.add(Label::new(problem.told()).wrap());
                        }
                    }
                    Some(Ok(swept)) => now_ui(ui, shared, swept),
                    None => {}
                }
            });
            let Some(Ok(swept)) = outcome else { return };
            let down = egui::Layout::top_down(egui::Align::Min);
            ui.allocate_ui_with_layout(Vec2::new(plot, room.y), down, |ui| {
                figure_ui(ui, shared, swept, queue);
            });
            column_ui(ui, "ends", ends, |ui| ends_ui(ui, shared, swept, queue));
        });
    });
}

/// The unit a size is read in.
struct Told {
    unit: Option<Unit>,
    symbol: &'static str,
}

impl Told {
    fn of(size: &NumberSize, units: ReaderUnits) -> Self {
        let unit = units.of_symbol(size.unit());
        Self { unit, symbol: unit.map_or(size.unit(), |unit| unit.symbol) }
    }

    fn of_value(&self, value: f64) -> f64 {
        self.unit.map_or(value, |unit| value / unit.size)
    }

    fn value(&self, told: f64) -> f64 {
        self.unit.map_or(told, |unit| told * unit.size)
    }

    fn text(&self, value: f64, decimals: usize) -> String {
        let decimals = self.unit.map_or(decimals, |unit| unit.decimals(decimals));
        format!("{} {}", number(self.of_value(value), decimals), self.symbol).trim_end().to_owned()
    }
}

/// Which size, over which range, and what is plotted.
fn asked_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let sweeps = &shared.state.sweeps;
    let units = shared.state.preferences.units();
    let Some(question) = sweeps.question() else {
        ui.weak("There is no size to sweep.");
        return;
    };
    let size = sweeps.sizes().iter().find(|size| size.path == question.path);
    let now = size.map_or(question.path.as_str(), |size| size.label.as_str());
    named_row(ui, "size", |ui| {
        let width = ui.available_width();
        let list = || {
            let choice = |size: &NumberSize| {
                Choice::new(
                    size.path.as_str(),
                    format!("{}: {}", size.label, Told::of(size, units).text(size.now, 2)),
                )
            };
            sweeps.sizes().iter().map(choice).collect()
        };
        if let Some(path) = Picker::plain("Size to sweep", now).show(ui, width, list) {
            queue.push(Action::Sweep(path));
        }
    });
    if let Some(size) = size {
        let told = Told::of(size, units);
        named_row(ui, "range", |ui| {
            let width = 70.0 * text_scale(ui);
            let field = |ui: &mut Ui, name: &str, now: f64| {
                let written = plain_text(round(told.of_value(now), 6));
                let read = |text: &str| plain_number(text).ok_or_else(|| "write a number".to_owned());
                read_ui(ui, (name, &question.path), name, &written, width, "", read)
                    .map(|value| told.value(value))
            };
            let from = field(ui, "Sweep from", question.from);
            ui.weak("to");
            let to = field(ui, "Sweep to", question.to);
            ui.weak(told.symbol);
            if from.is_some() || to.is_some() {
                let range = (from.unwrap_or(question.from), to.unwrap_or(question.to));
                queue.push(Action::SweepRange(range.0, range.1));
            }
        });
        if !size.is_plain {
            ui.add(
                Label::new(
                    RichText::new("It is a formula: a value that is taken replaces it.").small().weak(),
                )
                .wrap(),
            );
        }
    }
    named_row(ui, "plot", |ui| {
        let width = ui.available_width();
        let now = FIGURES.iter().position(|figure| *figure == sweeps.figure()).unwrap_or(0);
        let words = FIGURES.map(|figure| if figure.is_gap() { "least gaps" } else { figure.title() });
        if let Some(chosen) = choice_ui(ui, "What is plotted", now, &words, width)
            && let Some(figure) = FIGURES.get(chosen)
        {
            queue.push(Action::SweepShows(*figure));
        }
    });
    let done = sweeps.outcome(&shared.state.session).and_then(|outcome| outcome.as_ref().ok());
    let done = done.map(|swept| format!("{} values, ends to 0.0001", swept.points.len()));
    if let Some(goes_on) = rested_ui(ui, sweeps.work(), "sweeping", done.as_deref()) {
        queue.push(Action::MakeSweep(goes_on));
    }
}

/// What it is now, and what no fixture can be made of.
fn now_ui(ui: &mut Ui, shared: &Shared<'_>, swept: &Swept) {
    let told = Told::of(&swept.size, shared.state.preferences.units());
    ui.weak(format!("now {}", told.text(swept.size.now, 2)));
    let why =
        swept.points.iter().find_map(|point| point.outcome.as_ref().err().map(|why| (point.value, why)));
    if let Some((value, why)) = why {
        let words = format!("At {} no fixture can be made: {why}", told.text(value, 2));
        ui.add(Label::new(words).wrap());
    }
}

/// A value as it is taken: no finer than the plot tells it.
fn taken(swept: &Swept, value: f64) -> f64 {
    let reach = (swept.question.to - swept.question.from).abs();
    let decimals = (2.0 - reach.max(1e-9).log10().floor()).clamp(0.0, 6.0) as i32;
    round(value, decimals)
}

fn take(swept: &Swept, value: f64, queue: &mut Queue) {
    let set = Edit::set(&swept.size.path, &swept.size.written(value).to_string());
    queue.push(Action::Edit(set));
    queue.push(Action::EndEdit);
}

fn figure_ui(ui: &mut Ui, shared: &Shared<'_>, swept: &Swept, queue: &mut Queue) {
    let units = shared.state.preferences.units();
    let told = Told::of(&swept.size, units);
    let figure = shared.state.sweeps.figure();
    let session = &shared.state.session;
    let title = titled(&session.document().name, session.trial(), &crate::plots::swept(swept));
    let plot = sweep_plot(&title, swept, figure, units);
    let words = format!("{} against {}", plot.up.words(), plot.across.words());
    let head = plot_head_ui(ui, &words, &plot, queue);
    let pointed = plot_ui(ui, "sweep", &plot, shared.theme);
    let Some(pointed) = pointed else { return };
    let value = taken(swept, told.value(pointed.at.x));
    if value < swept.question.from || value > swept.question.to {
        return;
    }
    let words = format!("click takes {}", told.text(value, 3));
    let at = head.rect.right_top() + Vec2::new(14.0, 0.0);
    let font = egui::TextStyle::Body.resolve(ui.style());
    ui.painter().text(at, egui::Align2::LEFT_TOP, words, font, ui.visuals().text_color());
    if pointed.clicked {
        take(swept, value, queue);
    }
}

/// Where something begins or ceases to be wrong, and the value just on the better side.
fn ends_ui(ui: &mut Ui, shared: &Shared<'_>, swept: &Swept, queue: &mut Queue) {
    ui.weak("Where it turns, as the size grows");
    let told = Told::of(&swept.size, shared.state.preferences.units());
    if swept.ends.is_empty() {
        let is_searched = !shared.state.sweeps.work().is_working();
        ui.add(Label::new(if is_searched { nowhere(swept) } else { "…" }).wrap());
    }
    for (number_of, end) in swept.ends.iter().enumerate() {
        ui.push_id(number_of, |ui| end_ui(ui, shared, swept, &told, end, queue));
    }
}

fn nowhere(swept: &Swept) -> &'static str {
    let well = |swept: &Swept| {
        swept.points.iter().all(|point| point.outcome.as_ref().is_ok_and(|known| known.troubles.is_empty()))
    };
    match swept {
        swept if swept.points.iter().all(|point| point.outcome.is_err()) => {
            "Nowhere: no fixture can be made at any of these values."
        }
        swept if well(swept) => "Nowhere: nothing fails and nothing is marginal at any of these values.",
        _ => "Nowhere: the same fails and is marginal at all of these values.",
    }
}

fn end_ui(ui: &mut Ui, shared: &Shared<'_>, swept: &Swept, told: &Told, end: &End, queue: &mut Queue) {
    let units = shared.state.preferences.units();
    let at = told.text(end.value(), 3);
    ui.horizontal(|ui| {
        ui.label(RichText::new(&at).font(FontRole::Strong.id()));
        // The better side: where less is wrong.
        let worst = |list: &[Trouble]| {
            let count = |severity| list.iter().filter(|trouble| trouble.severity == severity).count();
            (count(Severity::Fails), count(Severity::Marginal))
        };
        let better = match &end.impossible {
            [Some(_), None] => Some(true),
            [None, Some(_)] => Some(false),
            _ if worst(&end.begins) < worst(&end.ceases) => Some(true),
            _ if worst(&end.begins) > worst(&end.ceases) => Some(false),
            _ => None,
        };
        let Some(above) = better else { return };
        // Rounded away from the end, so that it lies on the side that is meant.
        let value =
            if above { (end.between.1 * 100.0).ceil() } else { (end.between.0 * 100.0).floor() } / 100.0;
        let words = format!("Take {}", told.text(value, 2));
        let tip = "Give the size this value, just on the better side";
        if ui.small_button(&words).on_hover_text(tip).clicked() {
            take(swept, value, queue);
        }
    });
    let line = |ui: &mut Ui, words: String, severity: Option<Severity>| {
        ui.horizontal_top(|ui| {
            if let Some(severity) = severity {
                mark_ui(ui, severity.into(), shared.theme);
            }
            ui.add(Label::new(words).wrap());
        });
    };
    for (list, way) in [(&end.ceases, "below"), (&end.begins, "above")] {
        for trouble in list {
            line(ui, format!("{way}: {}", units.phrase(&trouble.title)), Some(trouble.severity));
        }
    }
    for (why, way) in end.impossible.iter().zip(["below", "above"]) {
        if let Some(why) = why {
            line(ui, format!("{way} no fixture can be made: {why}"), None);
        }
    }
    ui.add_space(4.0);
}
