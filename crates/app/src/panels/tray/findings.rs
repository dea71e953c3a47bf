//! The findings, worst first, with their reasons and what would cure them; what is wrong with the
//! document above them.

use egui::{Align, Button, CollapsingHeader, Label, Response, RichText, ScrollArea, Ui, Vec2};
use glidewright_motion::{Finding, Interference, Remedy};
use glidewright_sheet::{LengthUnit, number};

use super::super::Shared;
use super::super::editor;
use crate::commands::{Action, Queue};
use crate::state::{Cure, Outcome, about_finding};
use crate::theme::FontRole;
use crate::widgets::{Mark, mark_ui};

/// Draws the list.
pub fn findings_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        problems_ui(ui, shared, queue);
        let Some(bench) = shared.state.session.bench() else {
            ui.label("There is no fixture to check. Mend what is listed above.");
            return;
        };
        if bench.results.findings.is_empty() {
            ui.horizontal(|ui| {
                mark_ui(ui, Mark::Clear, shared.theme);
                ui.label("Nothing to find fault with.");
            });
        }
        for (number, finding) in bench.results.findings.iter().enumerate() {
            ui.push_id(number, |ui| finding_ui(ui, shared, number, finding, queue));
        }
    });
}

fn problems_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    for problem in &shared.state.session.reading().problems {
        ui.horizontal(|ui| {
            let mark = match problem.severity {
                glidewright_project::Severity::Error => Mark::Fails,
                glidewright_project::Severity::Warning => Mark::Marginal,
                glidewright_project::Severity::Note => Mark::Note,
            };
            mark_ui(ui, mark, shared.theme);
            let text = format!("{}: {}", problem.place, problem.message);
            let row = ui.add(Button::new(text).frame(false).truncate());
            let row = if problem.remedy.is_empty() { row } else { row.on_hover_text(&problem.remedy) };
            if row.clicked()
                && let Some(path) = problem.place.path()
            {
                queue.push(Action::Select(path.to_owned()));
            }
        });
    }
}

fn finding_ui(ui: &mut Ui, shared: &Shared<'_>, number_of: usize, finding: &Finding, queue: &mut Queue) {
    let open = shared.state.finding == Some(number_of);
    let unit = shared.state.preferences.unit;
    let title = unit.phrase(&finding.title);
    let response = ui
        .horizontal(|ui| {
            mark_ui(ui, finding.severity.into(), shared.theme);
            let font = if open { FontRole::Strong } else { FontRole::Body };
            let button = Button::selectable(open, RichText::new(&title).font(font.id()))
                .right_text(RichText::new(figures(finding, unit)).weak())
                .min_size(Vec2::new(ui.available_width(), 0.0))
                .truncate();
            ui.add(button)
        })
        .inner;
    let response = response.on_hover_text(unit.phrase(&finding.reason)).accessible_name(&title);
    if response.clicked() {
        queue.push(Action::OpenFinding(number_of));
    }
    if open {
        show_once(ui, &title, &response);
        detail_ui(ui, shared, number_of, finding, queue);
    }
}

/// Brings the finding that was opened to the top, once, wherever that was done: its reason and cures follow.
fn show_once(ui: &Ui, title: &str, row: &Response) {
    let seen = egui::Id::unique("finding scrolled to");
    let is_new = ui.data(|data| data.get_temp::<String>(seen)).as_deref() != Some(title);
    if is_new {
        row.scroll_to_me(Some(Align::TOP));
        ui.data_mut(|data| data.insert_temp(seen, title.to_owned()));
    }
}

/// Value and limit, and where.
fn figures(finding: &Finding, lengths: LengthUnit) -> String {
    let figure = |value: f64| match finding.unit {
        "mm" => lengths.text(value, 2),
        unit => format!("{} {unit}", number(value, 1)),
    };
    let value = match (finding.value, finding.limit) {
        (Some(value), Some(limit)) => {
            // A gap is required; all else has a limit.
            let word = if finding.code.starts_with("gap.") { "required" } else { "limit" };
            format!("{} ({word} {})", figure(value), figure(limit))
        }
        (Some(value), None) => figure(value),
        _ => String::new(),
    };
    match finding.at_travel {
        Some(travel) => format!("{value} at {}", lengths.text(travel, 1)),
        None => value,
    }
}

fn detail_ui(ui: &mut Ui, shared: &Shared<'_>, number_of: usize, finding: &Finding, queue: &mut Queue) {
    ui.indent("detail", |ui| {
        let unit = shared.state.preferences.unit;
        let reason = unit.phrase(&finding.reason);
        ui.add(Label::new(&reason).wrap());
        if let Some(chain) = finding.chain.as_ref().filter(|chain| !chain.terms.is_empty()) {
            let sentence = unit.phrase(&chain.sentence());
            if !reason.contains(&sentence) {
                ui.add(Label::new(sentence).wrap());
            }
        }
        for (place, remedy) in finding.remedies.iter().enumerate() {
            let cures = shared.state.outlook.cures(&shared.state.session, number_of, place);
            ui.push_id(("remedy", place), |ui| remedy_ui(ui, shared, finding, remedy, cures, queue));
        }
        places_ui(ui, shared, finding, queue);
        if let Some(chain) = finding.chain.as_ref().filter(|chain| !chain.terms.is_empty()) {
            CollapsingHeader::new(RichText::new("Which sizes make it").small())
                .show(ui, |ui| chain_ui(ui, chain, unit, queue));
        }
        if ui.small_button("How is this computed?").on_hover_text("Open the handbook there").clicked() {
            queue.push(Action::Handbook(about_finding(finding.code)));
        }
        ui.add_space(4.0);
    });
}

/// The bodies it is about, each to be selected.
fn places_ui(ui: &mut Ui, shared: &Shared<'_>, finding: &Finding, queue: &mut Queue) {
    let Some(bench) = shared.state.session.bench() else { return };
    let bodies = finding.bodies.iter().filter_map(|id| bench.results.assembly.bodies.get(id.0 as usize));
    let mut seen: Vec<&str> = Vec::new();
    ui.horizontal_wrapped(|ui| {
        ui.weak("About");
        for body in bodies.take(8) {
            if seen.contains(&body.path.as_str()) {
                continue;
            }
            seen.push(&body.path);
            if ui.link(&body.label).on_hover_text("Select it").clicked() {
                queue.push(Action::Select(body.path.clone()));
            }
        }
        if let Some(travel) = finding.at_travel
            && ui
                .link(format!("travel {}", shared.state.preferences.unit.text(travel, 1)))
                .on_hover_text("Go there")
                .clicked()
        {
            queue.push(Action::GoTo(travel));
        }
    });
}

/// What would cure it, and the ways to do that, each tried with one click.
fn remedy_ui(
    ui: &mut Ui,
    shared: &Shared<'_>,
    finding: &Finding,
    remedy: &Remedy,
    cures: &[Cure],
    queue: &mut Queue,
) {
    ui.horizontal_wrapped(|ui| {
        ui.weak("Remedy:");
        let text = shared.state.preferences.unit.phrase(&remedy.text);
        let row = ui.add(Button::new(text).frame(false).wrap());
        if row.on_hover_text("Select what to change").clicked()
            && let Some(path) = &remedy.path
        {
            queue.push(Action::Select(path.clone()));
        }
    });
    if cures.is_empty() {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        ui.add_space(14.0);
        for cure in cures {
            cure_ui(ui, shared, finding, cure, queue);
        }
    });
}

fn cure_ui(ui: &mut Ui, shared: &Shared<'_>, finding: &Finding, cure: &Cure, queue: &mut Queue) {
    let words = format!("Try {}", cure.way.words);
    let foreseen = cure.outcome.map(|outcome| outcome_words(&outcome, shared.state.preferences.unit));
    let button = Button::new((&*words, RichText::new(foreseen.unwrap_or_default()).weak()));
    let tip = "Make a trial of it and show that; the fixture itself stays as it is";
    if ui.add(button).on_hover_text(tip).accessible_name(&words).clicked() {
        let note = format!("Against: {}", shared.state.preferences.unit.phrase(&finding.title));
        editor::try_out(shared, &cure.way.words, &note, cure.way.changes.clone(), queue);
    }
    if let Some(outcome) = &cure.outcome {
        mark_ui(ui, mark_of(outcome), shared.theme);
    }
}

/// What something comes to, in a few words.
pub fn outcome_words(outcome: &Outcome, unit: LengthUnit) -> String {
    if outcome.is_broken {
        return "cannot be made".to_owned();
    }
    let fails = match outcome.fails {
        0 => String::new(),
        1 => ", 1 fails".to_owned(),
        many => format!(", {many} fail"),
    };
    match outcome.tightest {
        Some((gap, _, pair)) => format!("{}, {}{fails}", unit.text(gap, 2), pair.word()),
        None => format!("{}{fails}", nothing_near(unit)),
    }
}

/// In words: no two that pass come within reach of each other.
pub fn nothing_near(unit: LengthUnit) -> String {
    format!("nothing within {}", unit.text(Interference::REACH, 0))
}

/// How it looks, in a sign.
pub const fn mark_of(outcome: &Outcome) -> Mark {
    if outcome.is_broken || outcome.fails > 0 {
        Mark::Fails
    } else if outcome.marginal > 0 {
        Mark::Marginal
    } else {
        Mark::Clear
    }
}

fn chain_ui(ui: &mut Ui, chain: &glidewright_motion::Chain, lengths: LengthUnit, queue: &mut Queue) {
    egui::Grid::new("chain").num_columns(3).striped(true).show(ui, |ui| {
        for term in &chain.terms {
            let sign = if term.sensitivity < 0.0 { "−" } else { "+" };
            ui.label(format!("{sign} {}", lengths.bare(term.sensitivity.abs() * term.size.nominal, 2)));
            let half = term.sensitivity.abs() * term.size.half_width();
            ui.weak(if half > 0.0 { format!("± {}", lengths.bare(half, 2)) } else { String::new() });
            if ui.link(&term.label).on_hover_text("Select it").clicked() {
                queue.push(Action::Select(term.path.clone()));
            }
            ui.end_row();
        }
    });
    let tone = ui.visuals().weak_text_color();
    ui.colored_label(
        tone,
        format!(
            "together ± {} at worst, ± {} RSS",
            lengths.text(chain.worst_case(), 2),
            lengths.text(chain.root_sum_square(), 2)
        ),
    );
}
