//! A library of one's own: what is measured, bought and at hand, for all projects.

use egui::{Label, RichText, ScrollArea, Ui};
use glidewright_project::document::{Part, Stocked};
use glidewright_project::tables::built_in;
use glidewright_project::{edit, parts_in_use};
use glidewright_sheet::number;

use super::super::Shared;
use super::costs::price_of_text;
use super::{Columns, cell_ui};
use crate::commands::{Action, Queue};
use crate::state::{Edit, OwnLibrary};
use crate::widgets::{Choice, Picker, part_summary, read_ui, text_scale};

const COLUMNS: Columns<'static> = Columns {
    heads: &[
        ("part", 170.0),
        ("sizes", 0.0),
        ("certainty", 120.0),
        ("own name", 120.0),
        ("at hand", 70.0),
        ("one costs", 80.0),
        ("noted", 84.0),
        ("", 60.0),
    ],
};

/// Draws what the library holds.
pub fn library_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let own = &shared.state.own;
    let document = &shared.state.session.reading().document;
    ScrollArea::both().auto_shrink([false, false]).show(ui, |ui| {
        ui.set_min_width(900.0 * text_scale(ui));
        ui.spacing_mut().item_spacing.y = 2.0;
        ui.horizontal(|ui| {
            let button = ui.button("Keep a part…").on_hover_text(
                "Keeps a part of this project with its readings and price, for all projects",
            );
            let choices = || {
                let used = parts_in_use(document).into_iter().filter(|part| !part.name.is_empty());
                used.map(|part| Choice::new(part.name, "")).collect::<Vec<_>>()
            };
            if let Some(part) = Picker::plain("Part to keep", "").pick(ui, &button, choices) {
                queue.push(Action::KeepPart(part));
            }
            if ui.button("Read it again").on_hover_text("As another window may have changed it").clicked() {
                queue.push(Action::ReadLibrary);
            }
            if let Some(file) = own.file() {
                ui.weak(file.display().to_string());
            }
        });
        if let Some(trouble) = own.trouble() {
            ui.label(format!("It cannot be read and is left as it is: {trouble}"));
            return;
        }
        let parts = own.parts();
        let of_tables = parts.stock.iter().filter(|stock| !parts.parts.iter().any(|p| p.name == stock.part));
        let noted: Vec<&Part> = of_tables.filter_map(|stock| built_in().part(&stock.part)).collect();
        if parts.parts.is_empty() && noted.is_empty() {
            ui.weak(
                "Nothing yet. Keep a part that you made or measured, or one of the tables whose price you noted: lists \
                 of parts offer it first in every project.",
            );
            return;
        }
        let widths = COLUMNS.widths(ui);
        COLUMNS.head_ui(ui, &widths);
        for part in parts.parts.iter().chain(noted) {
            ui.push_id(&part.name, |ui| row_ui(ui, own, part, &widths, queue));
        }
    });
}

fn row_ui(ui: &mut Ui, own: &OwnLibrary, part: &Part, widths: &[f32], queue: &mut Queue) {
    let [name, sizes, sure, called, count, price, date, take] = widths else { return };
    let stock = own.stock_of(part);
    let news = || Stocked { part: part.name.clone(), ..Stocked::default() };
    ui.horizontal(|ui| {
        cell_ui(ui, *name, |ui| ui.add(Label::new(part.name.as_str()).truncate()));
        let about = part_summary(part);
        cell_ui(ui, *sizes, |ui| {
            ui.add(Label::new(RichText::new(&about).weak()).truncate()).on_hover_text(about.as_str())
        });
        let words = part.certainty.map_or("", |certainty| certainty.says());
        cell_ui(ui, *sure, |ui| ui.add(Label::new(RichText::new(words).weak()).truncate()));
        cell_ui(ui, *called, |ui| {
            let now = stock.map_or("", |stock| stock.own_name.as_str());
            let says = format!("Own name of {}", part.name);
            let read = |text: &str| Ok::<_, String>(text.trim().to_owned());
            let width = ui.available_width() - 4.0;
            if let Some(own_name) = read_ui(ui, "called", &says, now, width, "none", read) {
                queue.push(Action::NoteStock(Stocked { own_name, ..news() }));
            }
        });
        cell_ui(ui, *count, |ui| {
            let now = stock.and_then(|stock| stock.count).map_or_else(String::new, |count| count.to_string());
            let says = format!("{} at hand", part.name);
            let read = |text: &str| {
                text.trim().parse::<u32>().map_err(|_| format!("“{}” is no number of pieces", text.trim()))
            };
            let width = ui.available_width() - 4.0;
            if let Some(count) = read_ui(ui, "count", &says, &now, width, "?", read) {
                queue.push(Action::NoteStock(Stocked { count: Some(count), ..news() }));
            }
        });
        cell_ui(ui, *price, |ui| {
            let now = stock.and_then(|stock| stock.price);
            let now = now.map_or_else(String::new, |price| number(price, 2));
            let says = format!("Price of {}", part.name);
            let width = ui.available_width() - 4.0;
            if let Some(price) = read_ui(ui, "price", &says, &now, width, "?", price_of_text) {
                queue.push(Action::NoteStock(Stocked { price: Some(price), ..news() }));
            }
        });
        let day = stock.map_or("", |stock| stock.date.as_str());
        cell_ui(ui, *date, |ui| ui.add(Label::new(RichText::new(day).weak()).truncate()));
        cell_ui(ui, *take, |ui| {
            let button = ui.button("Take").on_hover_text("Into this project, with its readings and price");
            if button.clicked() {
                queue.push(Action::EndEdit);
                queue.push(Action::Edit(taken(own, &part.name, None)));
                queue.push(Action::EndEdit);
            }
        });
    });
}

/// The edit that takes a part from the library and, where a place is named, puts it there.
pub fn taken(own: &OwnLibrary, part: &str, place: Option<&str>) -> Edit {
    let (library, part, origin) = (own.parts().clone(), part.to_owned(), OwnLibrary::origin());
    let place = place.map(str::to_owned);
    let about = place.clone().unwrap_or_else(|| format!("parts/{part}"));
    Edit::make(about, move |document| {
        let taken = edit::take_part(document, &library, &part, &origin)?;
        match &place {
            None => Ok(taken),
            Some(place) => edit::set(&taken.document, place, &part),
        }
    })
}
