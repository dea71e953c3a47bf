//! What share of builds fouls: figures, a histogram of the least gap, and which size to measure first.

use egui::{Align, Label, Layout, RichText, ScrollArea, Ui, Vec2};
use glidewright_choice::{Contributor, Likeness, NoBuilds, Outcome, Share, Varied, grouped, percent};
use glidewright_sheet::Tone;

use super::super::Shared;
use super::{Columns, cell_ui, column_ui, plot_head_ui, rested_ui};
use crate::commands::{Action, Queue};
use crate::plots::{builds_plot, titled};
use crate::state::Found;
use crate::theme::{FontRole, colour};
use crate::widgets::{choice_ui, plot_ui, text_scale};

/// Widths at ordinary text size (points): of the figures, the trials, the contributors, and the least of the histogram.
const FIGURES: f32 = 330.0;
const TRIALS: f32 = 290.0;
const CONTRIBUTORS: f32 = 540.0;
const HISTOGRAM: f32 = 260.0;

/// So many pairs are named.
const PAIRS: usize = 4;

/// Draws the page.
pub fn builds_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let session = &shared.state.session;
    let counted = shared.state.builds.of_trial(session, session.trial());
    let room = ui.available_size();
    // The drawer is as high as it was pulled, whatever there is to say.
    ui.set_min_height(room.y);
    let figures = FIGURES * text_scale(ui);
    match counted.map(|counted| &counted.found) {
        Some(Ok(found)) => {
            let [trials, contributors, least] =
                [TRIALS, CONTRIBUTORS, HISTOGRAM].map(|width| width * text_scale(ui));
            // The trials stand beside the figures where there is room, else below them.
            let beside = room.x - figures - contributors - least > trials + 40.0;
            let trials = if beside { trials } else { 0.0 };
            let gaps = ui.spacing().item_spacing.x * 4.0;
            let plot = (room.x - figures - trials - contributors - gaps).max(least);
            ScrollArea::horizontal().auto_shrink([false, false]).show(ui, |ui| {
                ui.horizontal_top(|ui| {
                    column_ui(ui, "figures", figures, |ui| {
                        work_ui(ui, shared, queue);
                        figures_ui(ui, shared, &found.outcome, queue);
                        if !beside {
                            trials_ui(ui, shared, queue);
                        }
                        left_out_ui(ui, &found.outcome);
                    });
                    if beside {
                        column_ui(ui, "trials", trials, |ui| trials_ui(ui, shared, queue));
                    }
                    let down = Layout::top_down(Align::Min);
                    ui.allocate_ui_with_layout(Vec2::new(plot, room.y), down, |ui| {
                        histogram_ui(ui, shared, &found.outcome, queue);
                    });
                    column_ui(ui, "contributors", contributors, |ui| {
                        contributors_ui(ui, shared, found, queue);
                    });
                });
            });
        }
        Some(Err(why)) => {
            work_ui(ui, shared, queue);
            none_ui(ui, shared, why);
            trials_ui(ui, shared, queue);
        }
        None => {
            work_ui(ui, shared, queue);
            ui.weak("No two builds come out alike: every size that has a tolerance or readings is drawn anew for each.");
        }
    }
}

/// How far it is, to be stopped and gone on with.
fn work_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let builds = &shared.state.builds;
    let session = &shared.state.session;
    let known = builds.of_trial(session, session.trial());
    let samples = known.and_then(|known| known.found.as_ref().ok()).map(|found| found.outcome.samples);
    let done = samples.map(|samples| format!("{} builds", grouped(samples)));
    if let Some(goes_on) = rested_ui(ui, builds.work(), "building", done.as_deref()) {
        queue.push(Action::MakeBuilds(goes_on));
    }
}

/// "7.8 to 8.9 % (95 % confidence)"
fn interval(share: &Share) -> String {
    format!("{} to {}, 95 % confidence", percent(share.low), percent(share.high))
}

fn figures_ui(ui: &mut Ui, shared: &Shared<'_>, found: &Outcome, queue: &mut Queue) {
    let units = shared.state.preferences.units();
    let headline = |ui: &mut Ui, share: &Share, words: String, tone: Tone| {
        let tone = if share.count > 0 { tone } else { Tone::Clear };
        let text = RichText::new(format!("{} {words}", percent(share.share))).font(FontRole::Title.id());
        ui.add(Label::new(text.color(colour(shared.theme.colour(tone)))).wrap());
        ui.add(Label::new(RichText::new(interval(share)).small().weak()).wrap());
    };
    headline(ui, &found.fouls, "of builds foul".to_owned(), Tone::Clash);
    let required = units.length.text(found.required, 2);
    headline(ui, &found.short, format!("fall short of {required}"), Tone::Marginal);
    let line = |ui: &mut Ui, name: &str, value: String| {
        ui.horizontal(|ui| {
            let width = 150.0 * text_scale(ui);
            cell_ui(ui, width, |ui| ui.add(Label::new(RichText::new(name).weak()).truncate()));
            ui.add(Label::new(value).wrap());
        });
    };
    if found.drawn.is_finite() {
        line(ui, "sizes as drawn", units.length.text(found.drawn, 2));
    }
    for (name, between) in [("95 % of builds", found.likely), ("99.7 % of builds", found.nearly_all)] {
        if let Some((least, greatest)) = between {
            line(ui, name, units.length.stretch(least, greatest, 2));
        }
    }
    if found.root_of_squares > 0.0 {
        let beyond = percent(found.beyond_root_of_squares.share);
        let words = format!("± {}; {beyond} lie beyond", units.length.text(found.root_of_squares, 2));
        line(ui, "root of squares", words);
    }
    if !found.pairs.is_empty() {
        ui.add_space(2.0);
        ui.weak("Least between");
    }
    for pair in found.pairs.iter().take(PAIRS) {
        let words = format!("{}  {} and {}", percent(pair.least_of.share), pair.labels[0], pair.labels[1]);
        let taken = pair.deducted.tilt + pair.deducted.play;
        let label = ui.add(Label::new(words).wrap().sense(egui::Sense::click()));
        let tip = format!("Of every build alike load takes {} of this gap", units.length.text(taken, 2));
        if label.on_hover_text(tip).clicked() {
            queue.push(Action::Select(pair.paths[0].clone()));
        }
    }
    let more = found.pairs.len().saturating_sub(PAIRS);
    if more > 0 {
        ui.weak(format!("{more} more pairs, each of fewer builds"));
    }
}

/// The same of every trial, to compare.
fn trials_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    const COLUMNS: Columns<'static> =
        Columns { heads: &[("trial", 0.0), ("foul", 70.0), ("fall short", 74.0)] };
    let session = &shared.state.session;
    let trials = &session.document().trials;
    if trials.is_empty() {
        return;
    }
    ui.add_space(3.0);
    let widths = COLUMNS.widths(ui);
    COLUMNS.head_ui(ui, &widths);
    let [name, fouls, short] = widths.as_slice() else { return };
    for trial in std::iter::once(None).chain(trials.iter().map(|trial| Some(trial.name.as_str()))) {
        let words = trial.unwrap_or("As drawn");
        let found = shared.state.builds.of_trial(session, trial).map(|counted| counted.found.as_ref());
        let (foul, too_little) = match found {
            None => ("…".to_owned(), "…".to_owned()),
            Some(Ok(found)) => (percent(found.outcome.fouls.share), percent(found.outcome.short.share)),
            Some(Err(NoBuilds::NothingVaries { .. })) => ("all alike".to_owned(), String::new()),
            Some(Err(_)) => ("cannot be made".to_owned(), String::new()),
        };
        ui.horizontal(|ui| {
            cell_ui(ui, *name, |ui| {
                let chosen = session.trial() == trial;
                let size = Vec2::new(ui.available_width(), 0.0);
                let button = egui::Button::selectable(chosen, words).right_text("").truncate().min_size(size);
                if ui.add(button).accessible_name(format!("Builds of: {words}")).clicked() {
                    queue.push(Action::Try(trial.map(str::to_owned)));
                }
            });
            cell_ui(ui, *fouls, |ui| ui.add(Label::new(foul).truncate()));
            cell_ui(ui, *short, |ui| ui.add(Label::new(too_little).truncate()));
        });
    }
}

/// What builds leave out.
fn left_out_ui(ui: &mut Ui, found: &Outcome) {
    if found.unproved > 0 {
        let words =
            format!("Of {} builds less may be left: sizes lie very far off.", grouped(found.unproved));
        ui.add(Label::new(words).wrap());
    }
    if !found.not_counted.is_empty() {
        ui.add_space(4.0);
        let words = format!("Not counted: {}", found.not_counted.join("; "));
        ui.add(Label::new(RichText::new(words).small().weak()).wrap());
    }
}

fn none_ui(ui: &mut Ui, shared: &Shared<'_>, why: &NoBuilds) {
    let words = match why {
        NoBuilds::NothingVaries { gap, .. } if gap.is_finite() => format!(
            "Nothing varies that can have the least gap: it is {} in every build. Give sizes a tolerance, or measure parts.",
            shared.state.preferences.units().length.text(*gap, 2)
        ),
        NoBuilds::NothingVaries { .. } => "Nothing passes anything within reach.".to_owned(),
        NoBuilds::NoStroke => {
            "The stroke is none that anything can be moved along: give it two ends.".to_owned()
        }
        NoBuilds::Problems(problems) => problems.first().map_or_else(String::new, |problem| problem.told()),
    };
    ui.add(Label::new(words).wrap());
}

fn histogram_ui(ui: &mut Ui, shared: &Shared<'_>, found: &Outcome, queue: &mut Queue) {
    let units = shared.state.preferences.units();
    if found.histogram.width == 0.0 {
        ui.weak("Every build is left the same.");
        return;
    }
    let session = &shared.state.session;
    let plot = builds_plot(&titled(&session.document().name, session.trial(), "builds"), found, units);
    let words = format!("Least gap over the stroke, {}: share of builds", units.length.symbol());
    plot_head_ui(ui, &words, &plot, queue);
    plot_ui(ui, "least gaps", &plot, shared.theme);
}

/// Which size to measure first.
fn contributors_ui(ui: &mut Ui, shared: &Shared<'_>, found: &Found, queue: &mut Queue) {
    ui.weak("Measure this first: share of the gap's variance, and what half the spread would do");
    let (told, others): (Vec<&Contributor>, Vec<&Contributor>) =
        found.outcome.contributors.iter().partition(|contributor| contributor.tells());
    for contributor in told {
        let Some(size) = found.sizes.get(contributor.size) else { continue };
        ui.push_id(&size.path, |ui| contributor_ui(ui, shared, contributor, size, queue));
    }
    let others: Vec<&str> = others
        .iter()
        .filter_map(|contributor| found.sizes.get(contributor.size))
        .map(|size| size.label.as_str())
        .collect();
    if !others.is_empty() {
        let words = format!("Each less than 0.5 %, or nothing: {}", others.join("; "));
        ui.add(Label::new(RichText::new(words).small().weak()).wrap());
    }
}

fn contributor_ui(
    ui: &mut Ui,
    shared: &Shared<'_>,
    contributor: &Contributor,
    size: &Varied,
    queue: &mut Queue,
) {
    let scale = text_scale(ui);
    ui.horizontal(|ui| {
        let share = contributor.share_of_variance;
        cell_ui(ui, 46.0 * scale, |ui| ui.label(share.map_or_else(|| "–".to_owned(), percent)));
        let (rect, _) = ui.allocate_exact_size(Vec2::new(64.0 * scale, 10.0), egui::Sense::hover());
        let mut bar = rect;
        bar.set_width(rect.width() * share.unwrap_or(0.0).clamp(0.0, 1.0) as f32);
        ui.painter().rect_filled(rect, 2.0, colour(shared.theme.colour(Tone::Grid)));
        ui.painter().rect_filled(bar, 2.0, colour(shared.theme.colour(Tone::Dimension)));
        let half = size.half_width_told();
        let words = format!("{}  ± {half} {}", size.label, size.unit);
        let pieces = 190.0 * scale;
        let width = (ui.available_width() - pieces - ui.spacing().item_spacing.x - 14.0).max(80.0);
        cell_ui(ui, width, |ui| {
            let label = ui.add(Label::new(words.as_str()).truncate().sense(egui::Sense::click()));
            if label.on_hover_text(format!("{words}: {}", size.law.says())).clicked() {
                queue.push(Action::Select(size.path.clone()));
            }
        });
        cell_ui(ui, pieces, |ui| pieces_ui(ui, size, queue));
    });
    if let Some(words) = halved(contributor) {
        ui.horizontal(|ui| {
            ui.add_space(118.0 * scale);
            ui.add(Label::new(RichText::new(words).weak()).wrap());
        });
    }
}

/// How many pieces are made to a size, and whether they come out alike.
fn pieces_ui(ui: &mut Ui, size: &Varied, queue: &mut Queue) {
    if size.pieces < 2 {
        return;
    }
    let scale = text_scale(ui);
    cell_ui(ui, 58.0 * scale, |ui| ui.weak(format!("{} pieces", size.pieces)));
    let now = usize::from(size.likeness == Likeness::Alike);
    let name = format!("{} pieces of {}", size.pieces, size.label);
    if let Some(chosen) = choice_ui(ui, &name, now, &["each by itself", "all alike"], 112.0 * scale) {
        let likeness = if chosen == 1 { Likeness::Alike } else { Likeness::Each };
        queue.push(Action::TakeAs(size.path.clone(), likeness));
    }
}

/// What half the spread of a size would do; nothing where it would do nothing.
fn halved(contributor: &Contributor) -> Option<String> {
    let halved = contributor.halved?;
    let of = halved.fouls.of.max(1) as f64;
    let change = |name: &str, before: u64, after: &Share| {
        (before != after.count)
            .then(|| format!("{name} {} → {}", percent(before as f64 / of), percent(after.share)))
    };
    let changes = [
        change("foul", halved.fouled, &halved.fouls),
        change("fall short", halved.fell_short, &halved.short),
    ];
    let changes: Vec<String> = changes.into_iter().flatten().collect();
    (!changes.is_empty()).then(|| format!("half of it: {}", changes.join(", ")))
}
