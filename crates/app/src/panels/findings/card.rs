//! The finding that is open: its reason, its chain of sizes, and its remedies, each to be tried with one click.

use egui::{Atom, AtomExt, Button, CollapsingHeader, Label, Response, RichText, Ui};
use glidewright_motion::{Chain, Finding, Remedy, Severity};
use glidewright_sheet::ReaderUnits;

use super::super::drawer::seek_button_ui;
use super::super::{Shared, editor};
use super::words::{figures, mark_of, outcome_words};
use crate::commands::{Action, Queue};
use crate::state::{Cure, Outcome, about_finding};
use crate::theme::FontRole;
use crate::widgets::{Marked, mark_ui, marked_button};

/// Draws it.
pub fn card_ui(ui: &mut Ui, shared: &Shared<'_>, number: usize, finding: &Finding, queue: &mut Queue) {
    let unit = shared.state.preferences.units();
    let (words, reason) = (unit.phrase(&finding.title), unit.phrase(&finding.reason));
    ui.spacing_mut().item_spacing.y = 4.0;
    let title = ui
        .horizontal_top(|ui| {
            mark_ui(ui, finding.severity.into(), shared.theme);
            let strong = RichText::new(&words).font(FontRole::Strong.id());
            ui.add(Button::new((strong.atom_shrink(true), Atom::grow())).frame(false).wrap())
        })
        .inner;
    show_once(ui, &words, &title);
    if title.on_hover_text("Go to its place").accessible_name(&words).clicked() {
        queue.push(Action::OpenFinding(number));
    }
    let figures = figures(finding, unit);
    if !figures.is_empty() {
        ui.weak(figures);
    }
    ui.add(Label::new(&reason).wrap());
    let chain = finding.chain.as_ref().filter(|chain| !chain.terms.is_empty());
    if let Some(chain) = chain {
        let sentence = unit.phrase(&chain.sentence());
        if !reason.contains(&sentence) {
            ui.add(Label::new(sentence).wrap());
        }
    }
    let now = Outcome::of(shared.state.session.reading());
    for (place, remedy) in finding.remedies.iter().enumerate() {
        let cures = shared.state.outlook.cures(&shared.state.session, number, place);
        ui.push_id(("remedy", place), |ui| remedy_ui(ui, shared, finding, remedy, (cures, &now), queue));
    }
    if finding.code == "balance.holds" {
        for rider in &shared.state.session.reading().document.riders {
            editor::centre_ui(ui, shared, &rider.name, queue);
        }
    }
    places_ui(ui, shared, finding, queue);
    if let Some(chain) = chain {
        CollapsingHeader::new(RichText::new("Which sizes make it").small())
            .show(ui, |ui| chain_ui(ui, chain, unit, queue));
    }
    ui.horizontal(|ui| {
        if ui.small_button("How is this computed?").on_hover_text("Open the handbook there").clicked() {
            queue.push(Action::Handbook(about_finding(finding.code)));
        }
        if finding.severity > Severity::Note {
            seek_button_ui(ui, queue);
        }
    });
}

/// Brings the top of the card into sight, once, whenever another finding is opened.
fn show_once(ui: &Ui, title: &str, row: &Response) {
    let seen = egui::Id::unique("finding scrolled to");
    let is_new = ui.data(|data| data.get_temp::<String>(seen)).as_deref() != Some(title);
    if is_new {
        row.scroll_to_me(Some(egui::Align::TOP));
        ui.data_mut(|data| data.insert_temp(seen, title.to_owned()));
    }
}

/// The bodies it is about, each to be selected.
fn places_ui(ui: &mut Ui, shared: &Shared<'_>, finding: &Finding, queue: &mut Queue) {
    let Some(bench) = shared.state.session.bench() else { return };
    let bodies = finding.bodies.iter().filter_map(|id| bench.results.assembly.body(*id));
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
                .link(format!("travel {}", shared.state.preferences.units().text(travel, 1)))
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
    (cures, now): (&[Cure], &Outcome),
    queue: &mut Queue,
) {
    let words = format!("Remedy: {}", shared.state.preferences.units().phrase(&remedy.text));
    let row = ui.add(Button::new((words, Atom::grow())).frame(false).wrap());
    if row.on_hover_text("Select what to change").clicked()
        && let Some(path) = &remedy.path
    {
        queue.push(Action::Select(path.clone()));
    }
    for cure in cures {
        cure_ui(ui, shared, finding, cure, now, queue);
    }
}

fn cure_ui(
    ui: &mut Ui,
    shared: &Shared<'_>,
    finding: &Finding,
    cure: &Cure,
    now: &Outcome,
    queue: &mut Queue,
) {
    let words = format!("Try {}", cure.way.words);
    // What leaves things as bad as they are is no remedy; its place is kept, so that nothing moves under the pointer.
    if cure.outcome.is_some_and(|outcome| !outcome.helps(now)) {
        let told = RichText::new(format!("{}: does not help", cure.way.words)).weak();
        ui.add_enabled(false, Button::new(told).wrap());
        return;
    }
    let foreseen = cure.outcome.map(|outcome| outcome_words(&outcome, shared.state.preferences.units()));
    let marked = Marked {
        text: RichText::new(&*words),
        mark: cure.outcome.as_ref().map(mark_of),
        figure: foreseen.as_deref().unwrap_or_default(),
        room_for: "",
        chosen: false,
    };
    let tip = "Make a trial of it and show that; the fixture itself stays as it is";
    let button = marked_button(ui, marked, shared.theme);
    if button.on_hover_text(tip).accessible_name(&words).clicked() {
        let note = format!("Against: {}", shared.state.preferences.units().phrase(&finding.title));
        editor::try_out(shared, &cure.way.words, &note, cure.way.changes.clone(), queue);
    }
}

fn chain_ui(ui: &mut Ui, chain: &Chain, lengths: ReaderUnits, queue: &mut Queue) {
    egui::Grid::new("chain").num_columns(4).striped(true).show(ui, |ui| {
        for term in &chain.terms {
            let sign = if term.sensitivity < 0.0 { "−" } else { "+" };
            ui.label(format!("{sign} {}", lengths.bare(term.sensitivity.abs() * term.size.nominal, 2)));
            let half = term.sensitivity.abs() * term.size.half_width();
            ui.weak(if half > 0.0 { format!("± {}", lengths.bare(half, 2)) } else { String::new() });
            let tip = "What becomes of it all as this size grows, and where it turns";
            if ui
                .small_button("Sweep")
                .on_hover_text(tip)
                .accessible_name(format!("Sweep {}", term.label))
                .clicked()
            {
                queue.push(Action::Sweep(term.path.clone()));
            }
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
