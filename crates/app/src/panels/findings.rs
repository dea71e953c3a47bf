//! The findings, worst first, with their reasons and what would cure them; what is wrong with the
//! document above them.

use egui::{Align, Button, CollapsingHeader, Layout, RichText, ScrollArea, Ui, Vec2};
use glidewright_motion::{Finding, Severity};
use glidewright_sheet::{Tone, number};

use super::Shared;
use crate::commands::{Action, Command, Queue};
use crate::state::about_finding;
use crate::theme::{FontRole, colour};
use crate::widgets::{Mark, mark_ui};

/// Draws the list.
pub fn findings_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    head_ui(ui, shared, queue);
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

fn head_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    ui.horizontal(|ui| {
        ui.label(RichText::new("Findings").font(FontRole::Strong.id()));
        let findings = shared.state.session.bench().map_or(&[][..], |bench| &bench.results.findings);
        let count = |severity| findings.iter().filter(|finding| finding.severity == severity).count();
        for (severity, word) in
            [(Severity::Fails, "fail"), (Severity::Marginal, "marginal"), (Severity::Note, "notes")]
        {
            let many = count(severity);
            if many > 0 {
                mark_ui(ui, severity.into(), shared.theme);
                ui.weak(format!("{many} {word}"));
            }
        }
        if shared.state.session.reading().is_old {
            let tone = colour(shared.theme.colour(Tone::Clash));
            ui.colored_label(tone, "Shown is the last fixture that could be made");
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            super::command_button(ui, shared.state, Command::NextFinding, queue);
        });
    });
    ui.add_space(2.0);
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
    let response = ui
        .horizontal(|ui| {
            mark_ui(ui, finding.severity.into(), shared.theme);
            let font = if open { FontRole::Strong } else { FontRole::Body };
            let button = Button::selectable(open, RichText::new(&finding.title).font(font.id()))
                .right_text(RichText::new(figures(finding)).weak())
                .min_size(Vec2::new(ui.available_width(), 0.0));
            ui.add(button)
        })
        .inner;
    let response = response.on_hover_text(&finding.reason).accessible_name(&finding.title);
    if response.clicked() {
        queue.push(Action::OpenFinding(number_of));
    }
    if open {
        detail_ui(ui, finding, queue);
    }
}

/// Value and limit, and where.
fn figures(finding: &Finding) -> String {
    let unit = finding.unit;
    let figure = |value: f64| format!("{} {unit}", number(value, if unit == "mm" { 2 } else { 1 }));
    let value = match (finding.value, finding.limit) {
        (Some(value), Some(limit)) => format!("{} (asked {})", figure(value), figure(limit)),
        (Some(value), None) => figure(value),
        _ => String::new(),
    };
    match finding.at_travel {
        Some(travel) => format!("{value} at {} mm", number(travel, 1)),
        None => value,
    }
}

fn detail_ui(ui: &mut Ui, finding: &Finding, queue: &mut Queue) {
    ui.indent("detail", |ui| {
        ui.add(egui::Label::new(&finding.reason).wrap());
        if let Some(chain) = finding.chain.as_ref().filter(|chain| !chain.terms.is_empty()) {
            let sentence = chain.sentence();
            if !finding.reason.contains(&sentence) {
                ui.add(egui::Label::new(sentence).wrap());
            }
            CollapsingHeader::new(RichText::new("Which sizes make it").small())
                .show(ui, |ui| chain_ui(ui, chain, queue));
        }
        if ui.small_button("How is this computed?").on_hover_text("Open the handbook there").clicked() {
            queue.push(Action::Handbook(about_finding(finding.code)));
        }
        for remedy in &finding.remedies {
            ui.horizontal(|ui| {
                ui.weak("Cure:");
                let row = ui.add(Button::new(&remedy.text).wrap());
                if row.on_hover_text("Select what to change").clicked()
                    && let Some(path) = &remedy.path
                {
                    queue.push(Action::Select(path.clone()));
                }
            });
        }
    });
}

fn chain_ui(ui: &mut Ui, chain: &glidewright_motion::Chain, queue: &mut Queue) {
    egui::Grid::new("chain").num_columns(4).striped(true).show(ui, |ui| {
        for term in &chain.terms {
            let sign = if term.sensitivity < 0.0 { "−" } else { "+" };
            ui.label(format!("{sign} {}", number(term.sensitivity.abs() * term.size.nominal, 2)));
            let half = term.sensitivity.abs() * term.size.half_width();
            ui.weak(if half > 0.0 { format!("± {}", number(half, 2)) } else { String::new() });
            if ui.link(&term.label).on_hover_text(&term.path).clicked() {
                queue.push(Action::Select(term.path.clone()));
            }
            ui.end_row();
        }
    });
}
