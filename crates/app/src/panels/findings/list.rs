//! All findings in groups: what fails, what is marginal, hazards, and notes, which are folded.

use std::cell::RefCell;

use egui::{Atom, AtomExt, Button, CollapsingHeader, Response, RichText, Ui, Vec2};
use glidewright_motion::{Finding, Severity};

use super::super::Shared;
use super::words::figures;
use crate::commands::{Action, Queue};
use crate::theme::FontRole;
use crate::widgets::{arrows_walk, mark_ui};

/// Findings of this code warn of what can hurt somebody.
const HAZARD: &str = "hazard.";

/// Draws all but the one that is open. Notes begin unfolded or folded.
pub fn list_ui(
    ui: &mut Ui,
    shared: &Shared<'_>,
    findings: &[Finding],
    open: Option<usize>,
    unfolded: bool,
    queue: &mut Queue,
) {
    ui.spacing_mut().item_spacing.y = 2.0;
    let walked = RefCell::new(Vec::new());
    let is_hazard = |finding: &Finding| finding.code.starts_with(HAZARD);
    let group = |ui: &mut Ui, title: &str, belongs: &dyn Fn(&Finding) -> bool, queue: &mut Queue| {
        let others = findings.iter().enumerate().filter(|(number, _)| open != Some(*number));
        let inside: Vec<_> = others.filter(|(_, finding)| belongs(finding)).collect();
        if inside.is_empty() {
            return;
        }
        let rows = |ui: &mut Ui, queue: &mut Queue| {
            for (number, finding) in &inside {
                let row = ui.push_id(*number, |ui| row_ui(ui, shared, *number, finding, queue)).inner;
                walked.borrow_mut().push(row);
            }
        };
        let words = RichText::new(format!("{title} ({})", inside.len())).font(FontRole::Strong.id());
        if title == NOTES {
            CollapsingHeader::new(words)
                .id_salt("notes")
                .default_open(unfolded)
                .show(ui, |ui| rows(ui, queue));
        } else {
            ui.add_space(2.0);
            ui.label(words);
            rows(ui, queue);
        }
    };
    let fails = |finding: &Finding| finding.severity == Severity::Fails;
    group(ui, "Fails", &fails, queue);
    let marginal = |finding: &Finding| finding.severity == Severity::Marginal && !is_hazard(finding);
    group(ui, "Marginal", &marginal, queue);
    let hazard = |finding: &Finding| finding.severity < Severity::Fails && is_hazard(finding);
    group(ui, "Hazards", &hazard, queue);
    let note = |finding: &Finding| finding.severity == Severity::Note && !is_hazard(finding);
    group(ui, NOTES, &note, queue);
    arrows_walk(ui, &walked.borrow());
}

const NOTES: &str = "Notes";

/// A finding: its mark, and its words, broken where they are long.
fn row_ui(ui: &mut Ui, shared: &Shared<'_>, number: usize, finding: &Finding, queue: &mut Queue) -> Response {
    let unit = shared.state.preferences.units();
    let title = unit.phrase(&finding.title);
    let response = ui
        .horizontal(|ui| {
            mark_ui(ui, finding.severity.into(), shared.theme);
            let button = Button::selectable(false, (title.as_str().atom_shrink(true), Atom::grow()));
            ui.add(button.min_size(Vec2::new(ui.available_width(), 0.0)).wrap())
        })
        .inner;
    let tip = format!("{}\n{}", figures(finding, unit), unit.phrase(&finding.reason));
    let response = response.on_hover_text(tip.trim_start()).accessible_name(&title);
    if response.clicked() {
        queue.push(Action::OpenFinding(number));
    }
    response
}
