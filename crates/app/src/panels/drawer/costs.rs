//! What one of each part costs.

use egui::{Label, RichText, ScrollArea, Ui};
use glidewright_project::formula::plain_number;
use glidewright_project::{Document, PartInUse, cost_of, parts_in_use};
use glidewright_sheet::number;

use super::super::{Shared, editor};
use super::{Columns, cell_ui};
use crate::commands::Queue;
use crate::widgets::{read_ui, text_scale, text_ui};

const COLUMNS: Columns<'static> =
    Columns { heads: &[("part", 190.0), ("one costs", 90.0), ("stands in", 0.0)] };

/// Draws the parts in use with a price each.
pub fn costs_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let used = parts_in_use(document);
    let known = used.iter().filter(|part| cost_of(document, &part.name).is_some()).count();
    ScrollArea::both().auto_shrink([false, false]).show(ui, |ui| {
        ui.set_min_width(560.0 * text_scale(ui));
        ui.spacing_mut().item_spacing.y = 2.0;
        currency_ui(ui, document, queue);
        let all = used.len();
        ui.weak(format!(
            "For one piece, of a rail or belt a metre, of a screw 20 mm by guide prices. {known} of {all} parts have a price."
        ));
        let widths = COLUMNS.widths(ui);
        COLUMNS.head_ui(ui, &widths);
        let [part, cost, places] = widths.as_slice() else { return };
        for PartInUse { name, places: used_at, .. } in &used {
            ui.push_id(name, |ui| {
                ui.horizontal(|ui| {
                    cell_ui(ui, *part, |ui| ui.add(Label::new(name.as_str()).truncate()));
                    cell_ui(ui, *cost, |ui| cost_ui(ui, name, cost_of(document, name), queue));
                    cell_ui(ui, *places, |ui| {
                        let words = used_at.join(", ").replace('/', " · ");
                        ui.add(Label::new(RichText::new(&words).weak()).truncate()).on_hover_text(words);
                    });
                });
            });
        }
    });
}

/// The currency of all prices.
fn currency_ui(ui: &mut Ui, document: &Document, queue: &mut Queue) {
    ui.horizontal(|ui| {
        ui.label("Prices in");
        let width = 60.0 * text_scale(ui);
        let written = text_ui(ui, "currency", "Currency", document.currency(), width, "EUR");
        let Some(currency) = written else { return };
        editor::alter(
            "currency",
            "Name the currency",
            move |document| {
                currency.trim().clone_into(&mut document.currency);
                Some(())
            },
            queue,
        );
    });
}

fn cost_ui(ui: &mut Ui, name: &str, now: Option<f64>, queue: &mut Queue) {
    let written = now.map_or_else(String::new, |cost| number(cost, 2));
    let width = ui.available_width() - 4.0;
    let says = format!("Cost of {name}");
    let cost = read_ui(ui, (name, "cost"), &says, &written, width, "not known", cost_of_text);
    let Some(cost) = cost else { return };
    let part = name.to_owned();
    editor::alter(
        &format!("costs/{part}"),
        format!("Note the cost of {part}"),
        move |document| {
            match cost {
                Some(cost) => document.costs.insert(part.clone(), cost),
                None => document.costs.remove(&part),
            };
            Some(())
        },
        queue,
    );
}

/// What is typed for a price: nothing where it is not known.
fn cost_of_text(text: &str) -> Result<Option<f64>, String> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    price_of_text(text).map(Some)
}

/// What is typed for a price.
///
/// # Errors
/// That it is none.
pub(super) fn price_of_text(text: &str) -> Result<f64, String> {
    let cost = plain_number(text).filter(|cost| *cost >= 0.0);
    cost.ok_or_else(|| format!("“{}” is no price: write a number", text.trim()))
}
