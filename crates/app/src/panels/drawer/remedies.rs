//! What could be otherwise, the best first: what stays, what matters, the rows, and a scatter of them. A click makes a trial.

use egui::{Label, RichText, ScrollArea, Ui, Vec2};
use glidewright_choice::{Aim, Asked, Found, NoSearch, PlaceKind, Row, grouped, percent};
use glidewright_motion::Severity;
use glidewright_sheet::number;

use super::super::{Shared, editor};
use super::{Columns, cell_ui, column_ui, plot_head_ui, rested_ui};
use crate::commands::{Action, Queue};
use crate::plots::{place_of, remedies_plot, titled};
use crate::state::{Across, foremost};
use crate::theme::FontRole;
use crate::widgets::{Mark, choice_ui, mark_ui, named_row, plot_ui, text_scale};

/// Widths at ordinary text size (points): of what is asked, and the least of the rows and of the scatter.
const ASKED: f32 = 270.0;
const ROWS: f32 = 600.0;
const SCATTER: f32 = 280.0;

/// So many rows are shown.
const MOST: usize = 60;

/// Draws the page.
pub fn remedies_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let room = ui.available_size();
    // The drawer is as high as it was pulled, whatever there is to say.
    ui.set_min_height(room.y);
    let [asked, least_rows, least] = [ASKED, ROWS, SCATTER].map(|width| width * text_scale(ui));
    let gaps = 3.0 * ui.spacing().item_spacing.x + 18.0;
    let rest = room.x - asked - gaps;
    let scatter = (0.36 * rest).max(least);
    let rows = (rest - scatter).max(least_rows);
    ScrollArea::horizontal().auto_shrink([false, false]).show(ui, |ui| {
        ui.horizontal_top(|ui| {
            column_ui(ui, "asked", asked, |ui| asked_ui(ui, shared, queue));
            match shared.state.remedies.outcome() {
                Some(Ok(found)) => {
                    column_ui(ui, "rows", rows, |ui| rows_ui(ui, shared, found, queue));
                    let down = egui::Layout::top_down(egui::Align::Min);
                    ui.allocate_ui_with_layout(Vec2::new(scatter, room.y), down, |ui| {
                        scatter_ui(ui, shared, found, queue);
                    });
                }
                Some(Err(why)) => column_ui(ui, "rows", rows, |ui| nothing_ui(ui, why)),
                None => {}
            }
        });
    });
}

/// What is asked: how far it is, what matters most, what stays.
fn asked_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let remedies = &shared.state.remedies;
    let asked = remedies.asked();
    let done = remedies.outcome().and_then(|outcome| outcome.as_ref().ok()).map(|found| {
        let of = u64::try_from(found.space).map_or_else(|_| format!("{:.0e}", found.space as f64), grouped);
        format!("{} analysed of {of}", grouped(found.progress.analysed as u64))
    });
    if let Some(goes_on) = rested_ui(ui, remedies.work(), "searching", done.as_deref()) {
        queue.push(Action::MakeRemedies(goes_on));
    }
    let from = remedies.from().map_or_else(|| "what is drawn".to_owned(), |trial| format!("“{trial}”"));
    ui.horizontal_wrapped(|ui| {
        ui.weak(format!("begins from {from}"));
        if remedies.from() != shared.state.session.trial() && ui.small_button("From what is shown").clicked()
        {
            queue.push(Action::SeekFromShown);
        }
    });
    let ask = |queue: &mut Queue, change: &dyn Fn(&mut Asked)| {
        let mut asked = asked.clone();
        change(&mut asked);
        queue.push(Action::Seek(Box::new(asked)));
    };
    named_row(ui, "foremost", |ui| {
        let width = ui.available_width();
        let words = Aim::ALL.map(Aim::says);
        let now = asked.order.first().and_then(|first| Aim::ALL.iter().position(|aim| aim == first));
        if let Some(chosen) = choice_ui(ui, "What matters most", now.unwrap_or(0), &words, width)
            && let Some(aim) = Aim::ALL.get(chosen)
        {
            ask(queue, &|asked| asked.order = foremost(*aim));
        }
    });
    let mut check = |ui: &mut Ui, words: &str, tip: &str, now: bool, change: &dyn Fn(&mut Asked, bool)| {
        let mut on = now;
        if ui.checkbox(&mut on, words).on_hover_text(tip).changed() {
            ask(queue, &|asked| change(asked, on));
        }
    };
    let tip = "Wheels change everywhere alike, or not at all";
    check(ui, "One kind of wheel", tip, asked.one_wheel, &|asked, on| asked.one_wheel = on);
    let tip =
        "Only parts that are there now or that your library says you have, no more of each than there are";
    check(ui, "Only what is at hand", tip, asked.at_hand_only, &|asked, on| asked.at_hand_only = on);
    ui.add_space(2.0);
    ui.weak("What may change");
    let kinds = PlaceKind::ALL.into_iter().filter(|kind| {
        let word = kind.word().to_owned();
        remedies.places().iter().any(|place| place.kind == *kind) || asked.locked.contains(&word)
    });
    for kind in kinds {
        let word = kind.word().to_owned();
        let places = remedies.places().iter().filter(|place| place.kind == kind);
        let tip: Vec<String> =
            places.map(|place| format!("{}: {} to choose from", place.label, place.offers.len())).collect();
        let open = !asked.locked.contains(&word);
        let toggle = |asked: &mut Asked, on: bool| {
            asked.locked.retain(|known| *known != word);
            if !on {
                asked.locked.push(word.clone());
            }
        };
        check(ui, kind_words(kind), &tip.join("\n"), open, &toggle);
    }
}

const fn kind_words(kind: PlaceKind) -> &'static str {
    match kind {
        PlaceKind::Screw => "screws and their length",
        PlaceKind::Nut => "nuts",
        PlaceKind::Washer => "washers",
        PlaceKind::Shim => "thin rings",
        PlaceKind::Spacer => "spacers",
        PlaceKind::Wheel => "wheels",
        PlaceKind::Round => "which way round screws are",
        PlaceKind::Size => "sizes with a range",
        PlaceKind::Remedy => "what findings offer besides",
    }
}

fn nothing_ui(ui: &mut Ui, why: &NoSearch) {
    let words = match why {
        NoSearch::NothingOpen { left_out, .. } if left_out.is_empty() => {
            "Nothing is left open: nothing here could be otherwise.".to_owned()
        }
        NoSearch::NothingOpen { left_out, .. } => {
            format!("Nothing is left open. Not searched: {}", left_out.join("; "))
        }
        NoSearch::Problems(problems) => problems.first().map_or_else(String::new, |problem| problem.told()),
    };
    ui.add(Label::new(words).wrap());
}

const COLUMNS: Columns<'static> = Columns {
    heads: &[
        ("", 26.0),
        ("findings", 96.0),
        ("changed", 60.0),
        ("to buy", 0.0),
        ("least gap", 76.0),
        ("effort", 66.0),
        ("builds foul", 76.0),
        ("", 44.0),
    ],
};

fn rows_ui(ui: &mut Ui, shared: &Shared<'_>, found: &Found, queue: &mut Queue) {
    if found.rows.is_empty() {
        ui.weak(if shared.state.remedies.work().is_working() {
            "…"
        } else {
            "Nothing was found that has fewer findings."
        });
    }
    let widths = COLUMNS.widths(ui);
    COLUMNS.head_ui(ui, &widths);
    for (number_of, row) in found.rows.iter().take(MOST).enumerate() {
        ui.push_id(number_of, |ui| row_ui(ui, shared, found, number_of, row, &widths, queue));
    }
    for (head, lines) in [("Not searched", &found.left_out), ("How far this is sure", &found.remarks)] {
        if !lines.is_empty() {
            ui.add_space(4.0);
            let words = format!("{head}: {}", lines.join("; "));
            ui.add(Label::new(RichText::new(words).small().weak()).wrap());
        }
    }
}

fn row_ui(
    ui: &mut Ui,
    shared: &Shared<'_>,
    found: &Found,
    number_of: usize,
    row: &Row,
    widths: &[f32],
    queue: &mut Queue,
) {
    let units = shared.state.preferences.units();
    let [rank, wrong, changed, buy, gap, effort, foul, try_it] = widths else { return };
    ui.horizontal(|ui| {
        cell_ui(ui, *rank, |ui| ui.weak((number_of + 1).to_string()));
        cell_ui(ui, *wrong, |ui| {
            let (mark, words) = match (row.fails, row.marginal) {
                (0, 0) => (Mark::Clear, "in order".to_owned()),
                (0, marginal) => (Severity::Marginal.into(), format!("{marginal} marginal")),
                (fails, 0) => (Severity::Fails.into(), format!("{fails} fail")),
                (fails, marginal) => (Severity::Fails.into(), format!("{fails} + {marginal}")),
            };
            mark_ui(ui, mark, shared.theme);
            let left: Vec<&str> = row.findings.iter().map(|told| told.title.as_str()).collect();
            ui.add(Label::new(words).truncate()).on_hover_text(left.join("\n"));
        });
        cell_ui(ui, *changed, |ui| ui.label(row.changed.to_string()));
        cell_ui(ui, *buy, |ui| {
            let cost = if row.has_guide_price { "≈ " } else { "" };
            let more = if row.unpriced > 0 { " + ?" } else { "" };
            let words = match row.pieces {
                0 => "nothing".to_owned(),
                pieces => format!("{pieces}, {cost}{}{more} {}", number(row.cost, 2), found.currency),
            };
            ui.add(Label::new(words).truncate()).on_hover_text(bought(row));
        });
        cell_ui(ui, *gap, |ui| {
            let words = row.least_gap.map_or_else(|| "–".to_owned(), |gap| units.length.text(gap, 2));
            let between = row.least_between.as_ref().map_or_else(String::new, |[a, b]| format!("{a}\n{b}"));
            ui.add(Label::new(words).truncate()).on_hover_text(between);
        });
        cell_ui(ui, *effort, |ui| {
            let words = row.effort.filter(|effort| effort.is_finite()).map(|effort| units.force(effort, 2));
            ui.add(Label::new(words.unwrap_or_else(|| "–".to_owned())).truncate());
        });
        cell_ui(ui, *foul, |ui| ui.weak(row.builds.map_or_else(|| "–".to_owned(), |b| percent(b.share))));
        cell_ui(ui, *try_it, |ui| {
            let tip = "Make a trial of it and show that; the fixture itself stays as it is";
            let button = ui.small_button("Try").on_hover_text(tip);
            if button.accessible_name(format!("Try row {}", number_of + 1)).clicked() {
                try_out(shared, row, queue);
            }
        });
    });
    ui.horizontal_top(|ui| {
        ui.add_space(rank + ui.spacing().item_spacing.x);
        let like = match row.alike.len() {
            0 => String::new(),
            more => format!(" (and {more} like it)"),
        };
        let words = RichText::new(format!("{}{like}", row.words.join("; ")));
        ui.add(Label::new(words).wrap()).on_hover_text(about(row));
    });
    ui.add_space(3.0);
}

/// What has to be bought, a part a line.
fn bought(row: &Row) -> String {
    let line = |bought: &glidewright_choice::Bought| format!("{} × {}", bought.count, bought.part);
    row.bought.iter().map(line).collect::<Vec<_>>().join("\n")
}

/// Everything about a row that has no room in it.
fn about(row: &Row) -> String {
    let mut lines = row.words.clone();
    lines.extend(row.notes.iter().cloned());
    if let (Some(certainty), Some(part)) = (row.certainty, &row.least_certain) {
        lines.push(format!("least sure: {part}, {}", certainty.says()));
    }
    lines.extend(row.looks.map(|area| format!("stands out past the rail with {} cm²", number(area, 1))));
    lines.extend(row.brought.iter().map(|told| format!("brings: {}", told.title)));
    lines.extend(row.alike.iter().take(8).map(|words| format!("or: {}", words.join("; "))));
    lines.join("\n")
}

fn try_out(shared: &Shared<'_>, row: &Row, queue: &mut Queue) {
    let name: String = row.words.join("; ").chars().take(60).collect();
    let note = row.words.join("; ");
    editor::try_over(shared, shared.state.remedies.from(), &name, &note, row.changes.clone(), queue);
}

fn scatter_ui(ui: &mut Ui, shared: &Shared<'_>, found: &Found, queue: &mut Queue) {
    let units = shared.state.preferences.units();
    let remedies = &shared.state.remedies;
    let across = remedies.across();
    let title = titled(&shared.state.session.document().name, remedies.from(), "remedies");
    let plot = remedies_plot(&title, found, across, units);
    ui.horizontal(|ui| {
        let now = usize::from(across == Across::Cost);
        let width = 150.0 * text_scale(ui);
        let words = ["things changed", "what to buy costs"];
        if let Some(chosen) = choice_ui(ui, "Along the plot", now, &words, width) {
            queue.push(Action::SeekAcross(if chosen == 1 { Across::Cost } else { Across::Changed }));
        }
        plot_head_ui(ui, "against the gap", &plot, queue);
    });
    let Some(pointed) = plot_ui(ui, "remedies", &plot, shared.theme) else { return };
    let Some((low, high)) = plot.bounds().filter(|_| pointed.clicked) else { return };
    // The dot nearest to the pointer, as both axes are drawn.
    let apart =
        |row: &Row| place_of(row, across, units).map(|at| ((at - pointed.at) / (high - low)).length());
    let nearest = found.rows.iter().filter_map(|row| Some((apart(row)?, row)));
    if let Some((apart, row)) = nearest.min_by(|a, b| a.0.total_cmp(&b.0))
        && apart < NEAR
    {
        try_out(shared, row, queue);
    }
}

/// A click this near to a dot means it, as a share of the plot.
const NEAR: f64 = 0.04;

/// The headline of the page's button beside findings.
pub fn seek_button_ui(ui: &mut Ui, queue: &mut Queue) {
    let tip = "Search tables and sizes for what cures the findings, the best first";
    let words = RichText::new("Search remedies").font(FontRole::Body.id());
    if ui.small_button(words).on_hover_text(tip).clicked() {
        queue.push(Action::Drawer(crate::state::Drawer::Remedies));
    }
}
