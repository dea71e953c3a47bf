//! What is found, beside the drawing: the open finding with its picture, its reason and its remedies; all others below
//! it. Under a lying rail the same stand in a row.

mod card;
mod list;
mod words;

pub use words::{mark_of, nothing_near, outcome_words};

use egui::{Button, Rect, RichText, ScrollArea, Ui, UiBuilder, Vec2};
use glidewright_choice::{NoBuilds, percent};
use glidewright_motion::{Finding, Severity};

use super::Shared;
use crate::commands::{Action, Command, Queue};
use crate::state::Drawer;
use crate::theme::FontRole;
use crate::views::Canvases;
use crate::widgets::{Mark, Region, bar_ui, mark_ui};

/// Height of the finding's picture for its width.
const PICTURE: f32 = 0.66;
/// At most this much of the column's height.
const PICTURE_MOST: f32 = 0.42;

/// Draws them below each other, for a column beside an upright rail.
pub fn column_ui(ui: &mut Ui, shared: &Shared<'_>, canvases: &mut Canvases, queue: &mut Queue) {
    head_ui(ui, shared, queue);
    builds_ui(ui, shared, queue);
    let width = ui.available_width();
    let height = (PICTURE * width).min(PICTURE_MOST * ui.available_height());
    picture_ui(ui, shared, Vec2::new(width, height), canvases, queue);
    ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| {
        let Some(findings) = known_ui(ui, shared, queue) else { return };
        let open = shared.state.shown_finding();
        if let Some((number, finding)) = open.and_then(|number| Some((number, findings.get(number)?))) {
            card::card_ui(ui, shared, number, finding, queue);
            ui.add_space(4.0);
            ui.separator();
        }
        list::list_ui(ui, shared, findings, open, false, queue);
    });
}

/// Draws them side by side, for a row under a lying rail.
pub fn row_ui(ui: &mut Ui, shared: &Shared<'_>, canvases: &mut Canvases, queue: &mut Queue) {
    head_ui(ui, shared, queue);
    let whole = ui.available_rect_before_wrap();
    let open = shared.state.shown_finding();
    let picture = (whole.height() / PICTURE).clamp(200.0, 0.34 * whole.width());
    let gap = 14.0;
    let card = if open.is_some() { 0.52 * (whole.width() - picture) } else { 0.0 };
    let part = |from: f32, width: f32| {
        Rect::from_min_size(egui::pos2(whole.left() + from, whole.top()), Vec2::new(width, whole.height()))
    };
    ui.scope_builder(UiBuilder::new().max_rect(part(0.0, picture)), |ui| {
        picture_ui(ui, shared, Vec2::new(picture, whole.height()), canvases, queue);
    });
    let scrolled =
        |ui: &mut Ui, name: &str, rect: Rect, queue: &mut Queue, add: &mut dyn FnMut(&mut Ui, &mut Queue)| {
            ui.scope_builder(UiBuilder::new().max_rect(rect).id_salt(name), |ui| {
                ui.set_clip_rect(rect.intersect(ui.clip_rect()));
                ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| add(ui, queue));
            });
        };
    let findings = shared.state.session.bench().map_or(&[][..], |bench| &bench.results.findings);
    if let Some((number, finding)) = open.and_then(|number| Some((number, findings.get(number)?))) {
        scrolled(ui, "open", part(picture + gap, card - gap), queue, &mut |ui, queue| {
            card::card_ui(ui, shared, number, finding, queue);
        });
    }
    let from = picture + card + gap;
    scrolled(ui, "all", part(from, whole.width() - from), queue, &mut |ui, queue| {
        if let Some(findings) = known_ui(ui, shared, queue) {
            list::list_ui(ui, shared, findings, open, true, queue);
        }
    });
    ui.advance_cursor_after_rect(whole);
}

/// How many there are of each severity, and the way to the next.
fn head_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let left = |ui: &mut Ui, _: &mut Queue| {
        ui.label(RichText::new("Findings").font(FontRole::Strong.id()));
        ui.add_space(6.0);
        counts_ui(ui, shared);
    };
    let right = |ui: &mut Ui, queue: &mut Queue| {
        let next = Command::NextFinding;
        let hindrance = next.hindrance(shared.state);
        let button = ui.add_enabled(hindrance.is_none(), Button::new("Next"));
        Region::Findings.anchor(&button);
        if button.on_hover_text(next.tooltip(ui.ctx())).accessible_name(next.label()).clicked() {
            queue.push(Action::Do(next));
        }
    };
    ui.horizontal(|ui| bar_ui(ui, queue, left, right));
}

/// The share of builds that foul, and the way to more of it. The row is there before it is known, so that nothing moves
/// under the pointer.
fn builds_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let session = &shared.state.session;
    let found = shared.state.builds.of_trial(session, session.trial()).map(|counted| &counted.found);
    let (words, finding) = match found {
        Some(Ok(found)) => {
            let [fouls, short] = [found.outcome.fouls, found.outcome.short].map(|share| percent(share.share));
            (format!("Builds: {fouls} foul, {short} fall short"), found.outcome.finding(&found.sizes))
        }
        Some(Err(NoBuilds::NothingVaries { .. })) => ("Builds: all alike".to_owned(), None),
        Some(Err(_)) => ("Builds: none can be made".to_owned(), None),
        None => ("Builds: …".to_owned(), None),
    };
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        if let Some(finding) = &finding {
            mark_ui(ui, finding.severity.into(), shared.theme);
        }
        let tip = finding.map_or_else(
            || "As their sizes come out, each within its limits. Shows more of it".to_owned(),
            |finding| finding.reason.to_string(),
        );
        if ui.link(words).on_hover_text(tip).clicked() {
            queue.push(Action::Drawer(Drawer::Builds));
        }
    });
}

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
}

/// The picture of what the open finding is about; without one, the tightest gap.
fn picture_ui(ui: &mut Ui, shared: &Shared<'_>, size: Vec2, canvases: &mut Canvases, queue: &mut Queue) {
    let bench = shared.state.session.bench();
    let findings = bench.map_or(&[][..], |bench| &bench.results.findings);
    let finding = shared.state.shown_finding().and_then(|number| findings.get(number));
    let view = finding.map_or(GAP, picture_of);
    let (rect, _) = ui.allocate_exact_size(size, egui::Sense::hover());
    canvases.beside_ui(ui, rect, view, shared, queue);
}

/// The view of gaps.
const GAP: &str = "gap";

/// The view that shows what a finding is about.
fn picture_of(finding: &Finding) -> &'static str {
    match finding.code.split('.').next().unwrap_or_default() {
        "screw" | "bearing" => "stacks",
        "wheel" => "seat",
        "plate" => "plate",
        "belt" => "belt",
        "drive" => "drive",
        "rider" | "place" | "travel" | "hazard" | "balance" | "binding" | "effort" => "space",
        _ => GAP,
    }
}

/// What is wrong with the document; the findings, if there is a fixture to check.
fn known_ui<'a>(ui: &mut Ui, shared: &'a Shared<'_>, queue: &mut Queue) -> Option<&'a [Finding]> {
    if shared.state.session.reading().is_old {
        let tone = crate::theme::colour(shared.theme.colour(glidewright_sheet::Tone::Clash));
        ui.colored_label(tone, "Shown is the last fixture that could be made");
    }
    problems_ui(ui, shared, queue);
    let Some(bench) = shared.state.session.bench() else {
        ui.label("There is no fixture to check. Fix what is listed above.");
        return None;
    };
    if bench.results.findings.is_empty() {
        ui.horizontal(|ui| {
            mark_ui(ui, Mark::Clear, shared.theme);
            ui.label("Nothing to find fault with.");
        });
    }
    Some(&bench.results.findings)
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
            let row = ui.add(Button::new(text).frame(false).wrap());
            let row = if problem.remedy.is_empty() { row } else { row.on_hover_text(&problem.remedy) };
            if row.clicked()
                && let Some(path) = problem.place.path()
            {
                queue.push(Action::Select(path.to_owned()));
            }
        });
    }
}
