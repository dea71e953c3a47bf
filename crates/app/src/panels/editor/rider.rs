//! A rider: where it stands, how it moves, and what can be added to it.

use egui::Ui;
use glidewright_project::document::Moves;
use glidewright_project::edit;
use glidewright_project::size::{Length, Number};

use super::{alter, fields_ui, name_field_ui, note_ui, reach};
use crate::commands::{Action, Queue};
use crate::panels::Shared;
use crate::state::Edit;
use crate::widgets::{choice_row, section_ui};

pub fn rider_ui(ui: &mut Ui, shared: &Shared<'_>, name: &str, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let Some(rider) = document.riders.iter().find(|rider| rider.name == name) else { return };
    let path = format!("riders/{name}");
    name_field_ui(ui, shared, "Rider", &path, name, queue);
    fields_ui(ui, shared, &path, |below| matches!(below, "faces" | "at" | "stiffness"), queue);
    let now = match rider.moves {
        Moves::Lead => 0,
        Moves::Linked(_) => 1,
        Moves::Free { .. } => 2,
    };
    let words = ["leads the fixture", "follows the lead", "on its own"];
    if let Some(chosen) = choice_row(ui, "It moves", now, &words) {
        let of = name.to_owned();
        alter(
            &format!("{path}/moves"),
            format!("Let {name} move another way"),
            move |document| {
                let to = document.stroke.to.formula.clone();
                let rider = reach::rider(document, &of)?;
                rider.moves = match chosen {
                    0 => Moves::Lead,
                    1 => Moves::Linked(Number::of(-1.0)),
                    _ => Moves::Free { from: Length::of(0.0), to: Length::written(to), at: Length::of(0.0) },
                };
                Some(())
            },
            queue,
        );
    }
    fields_ui(ui, shared, &path, |below| below.starts_with("moves"), queue);
    let of = name.to_owned();
    note_ui(
        ui,
        &path,
        "Note",
        &rider.note,
        move |document, note| {
            reach::rider(document, &of)?.note = note;
            Some(())
        },
        queue,
    );
    mass_ui(ui, shared, name, queue);
}

/// What it weighs, item by item, as calculated.
fn mass_ui(ui: &mut Ui, shared: &Shared<'_>, name: &str, queue: &mut Queue) {
    let Some(bench) = shared.state.session.bench() else { return };
    let Some(place) = bench.fixture.riders.iter().position(|rider| rider.name == name) else { return };
    let Some(placed) = bench.results.assembly.riders.get(place) else { return };
    section_ui(ui, "Mass");
    let units = shared.state.preferences.units();
    ui.label(format!("{} with everything on it", units.mass(placed.mass.total(), 0)));
    if let Some(band) = bench.results.hold_bands.iter().find(|band| band.rider == place && band.exists()) {
        let words = format!("It stays where it is left with {}.", units.phrase(&band.masses()));
        ui.add(egui::Label::new(egui::RichText::new(words).weak()).wrap());
        centre_ui(ui, shared, name, queue);
    }
}

/// One click that puts a rider in the middle of the masses with which it stays where it is left.
pub fn centre_ui(ui: &mut Ui, shared: &Shared<'_>, rider: &str, queue: &mut Queue) {
    let state = shared.state;
    let Some(bench) = state.session.bench() else { return };
    let reading = state.session.reading();
    let way = edit::centred(&reading.document, &reading.values, &bench.results, rider);
    let Some(way) = way else { return };
    let mut words = way.words.clone();
    if let Some(first) = words.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    let tip = "The middle of the masses with which it stays where it is left";
    if ui.button(&words).on_hover_text(tip).clicked() {
        for change in way.changes {
            queue.push(Action::Edit(Edit::Change(change)));
        }
        queue.push(Action::EndEdit);
    }
}
