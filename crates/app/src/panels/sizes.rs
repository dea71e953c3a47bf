//! The sizes, parts and choices of what is selected, each in its row.

use egui::{Align, Color32, ComboBox, Frame, RichText, Ui};
use glidewright_project::document::PartKind;
use glidewright_project::quantity::Quantity;
use glidewright_project::size::Formula;
use glidewright_project::tables::built_in;
use glidewright_project::{Document, PartUse, Slot};

use super::Shared;
use super::parts::{Branch, branch_of};
use crate::commands::{Action, Queue};
use crate::state::Edit;
use crate::theme::{FontRole, Surface};
use crate::widgets::{Choice, NAME_WIDTH, SizeField, part_picker_ui, part_summary};

/// One row: a place in the document that holds a value.
struct Row {
    path: String,
    /// The path below what is selected, for the reader.
    name: String,
    value: RowValue,
}

enum RowValue {
    Size(Option<Formula>, Quantity),
    Part(PartUse, String),
    Choice(&'static str, &'static [&'static str]),
}

/// The rows that belong to a branch itself and not to one inside it.
fn rows(document: &Document, branches: &[Branch], of: &Branch) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    document.visit(&mut |path, slot| {
        if branch_of(branches, path).is_none_or(|owner| owner.path != of.path) {
            return;
        }
        let below = path.strip_prefix(of.path.as_str()).unwrap_or(path).trim_start_matches('/');
        let name =
            if below.is_empty() { of.name.clone() } else { below.replace('/', " · ").replace('_', " ") };
        let value = match slot {
            Slot::Size(size) => RowValue::Size(size.formula().cloned(), size.quantity()),
            Slot::Part(part_use, name) => RowValue::Part(part_use, name.to_owned()),
            Slot::Choice(choice) => RowValue::Choice(choice.word(), choice.words()),
        };
        if !is_given_by_part(&rows, path, &value) {
            rows.push(Row { path: path.to_owned(), name, value });
        }
    });
    rows
}

/// Whether a size says nothing because its part says it: the length of a nut, a washer, a wheel.
fn is_given_by_part(rows: &[Row], path: &str, value: &RowValue) -> bool {
    let RowValue::Size(None, _) = value else { return false };
    let owner = rows
        .iter()
        .rev()
        .find(|row| path.strip_prefix(row.path.as_str()).is_some_and(|rest| rest == "/length"));
    let Some(RowValue::Part(part_use, _)) = owner.map(|row| &row.value) else { return false };
    matches!(part_use, PartUse::Plate | PartUse::Kind(PartKind::Washer | PartKind::Nut | PartKind::Wheel))
}

/// Draws the rows of a branch.
pub fn sizes_ui(ui: &mut Ui, shared: &Shared<'_>, branches: &[Branch], of: &Branch, queue: &mut Queue) {
    let reading = shared.state.session.reading();
    ui.label(RichText::new(&of.name).font(FontRole::Title.id()));
    if let Some(trial) = shared.state.session.trial() {
        ui.weak(format!("Changes go into the trial “{trial}”."));
    }
    ui.add_space(2.0);
    let rows = rows(&reading.document, branches, of);
    if rows.is_empty() {
        ui.weak("It has no sizes of its own.");
    }
    let selected = &shared.state.selected;
    let seen = egui::Id::unique("selection scrolled to");
    let is_new = ui.data(|data| data.get_temp::<String>(seen)).as_ref() != Some(selected);
    for row in &rows {
        let chosen = *selected == row.path;
        let fill = if chosen { Surface::SelectedFill.color32(shared.theme) } else { Color32::TRANSPARENT };
        let shown = ui.push_id(&row.path, |ui| {
            Frame::new().fill(fill).corner_radius(4.0).show(ui, |ui| row_ui(ui, shared, row, queue))
        });
        if chosen && is_new {
            shown.response.scroll_to_me(Some(Align::Center));
        }
    }
    ui.data_mut(|data| data.insert_temp(seen, selected.clone()));
}

fn row_ui(ui: &mut Ui, shared: &Shared<'_>, row: &Row, queue: &mut Queue) {
    let reading = shared.state.session.reading();
    let chosen = shared.state.selected == row.path;
    match &row.value {
        RowValue::Size(formula, quantity) => {
            let field = SizeField {
                name: &row.name,
                path: &row.path,
                formula: formula.as_ref(),
                quantity: *quantity,
                values: &reading.values,
                problem: reading.problem_at(&row.path),
                theme: shared.theme,
            };
            field.show(ui, queue);
        }
        RowValue::Part(part_use, now) => {
            named_row(ui, &row.name, chosen, |ui| {
                let width = ui.available_width();
                let choices = || choices(&reading.document, *part_use, &row.path);
                if let Some(part) = part_picker_ui(ui, &row.name, now, width, choices) {
                    queue.push(Action::Edit(Edit::set(&row.path, &part)));
                    queue.push(Action::EndEdit);
                }
            });
        }
        RowValue::Choice(now, words) => {
            named_row(ui, &row.name, chosen, |ui| {
                let combo = ComboBox::from_id_salt("choice").selected_text(*now).width(ui.available_width());
                let shown = combo.show_ui(ui, |ui| {
                    let mut taken = None;
                    for word in *words {
                        if ui.selectable_label(word == now, *word).clicked() {
                            taken = Some(*word);
                        }
                    }
                    taken
                });
                shown.response.accessible_name(format!("{}: {now}", row.name));
                if let Some(word) = shown.inner.flatten().filter(|word| word != now) {
                    queue.push(Action::Edit(Edit::set(&row.path, word)));
                    queue.push(Action::EndEdit);
                }
            });
        }
    }
}

fn named_row(ui: &mut Ui, name: &str, chosen: bool, add: impl FnOnce(&mut Ui)) {
    ui.horizontal(|ui| {
        let text = if chosen { RichText::new(name).font(FontRole::Strong.id()) } else { RichText::new(name) };
        let size = egui::Vec2::new(NAME_WIDTH, ui.spacing().interact_size.y);
        let (rect, _) = ui.allocate_exact_size(size, egui::Sense::hover());
        let layout = egui::Layout::left_to_right(Align::Center);
        ui.new_child(egui::UiBuilder::new().max_rect(rect).layout(layout))
            .add(egui::Label::new(text).truncate().selectable(false));
        add(ui);
    });
}

/// What could stand in a place instead.
fn choices(document: &Document, part_use: PartUse, path: &str) -> Vec<Choice> {
    match part_use {
        PartUse::Kind(kind) => parts(document, kind),
        PartUse::Material => {
            let own = document.materials.iter();
            own.chain(built_in().materials())
                .map(|material| Choice { name: material.name.clone(), about: material.note.clone() })
                .collect()
        }
        PartUse::Plate => document
            .riders
            .iter()
            .filter(|rider| path.starts_with(&format!("riders/{}/", rider.name)))
            .flat_map(|rider| &rider.plates)
            .map(|plate| Choice { name: plate.name.clone(), about: String::new() })
            .collect(),
    }
}

fn parts(document: &Document, kind: PartKind) -> Vec<Choice> {
    let own = document.parts.iter().filter(|part| part.form.kind() == kind);
    own.chain(built_in().of_kind(kind))
        .map(|part| Choice { name: part.name.clone(), about: part_summary(part) })
        .collect()
}
