//! Shared sizes as a sheet: name, formula, value, tolerance, who uses it.

use egui::{Button, Label, RichText, ScrollArea, Ui};
use glidewright_project::edit::{self, Addition, uses_of_size};
use glidewright_project::quantity::Quantity;
use glidewright_project::size::AnySize;

use super::super::{Shared, editor};
use super::{Columns, cell_ui};
use crate::commands::{Action, Queue};
use crate::theme::FontRole;
use crate::widgets::{plain_text, round, text_scale, text_ui, tolerance_button_ui};

const COLUMNS: Columns<'static> = Columns {
    heads: &[
        ("name", 130.0),
        ("number or formula", 190.0),
        ("comes to", 110.0),
        ("tolerance", 110.0),
        ("note", 150.0),
        ("used by", 0.0),
        ("", 60.0),
    ],
};

/// Draws the sheet.
pub fn sizes_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    ScrollArea::both().auto_shrink([false, false]).show(ui, |ui| {
        ui.set_min_width(860.0 * text_scale(ui));
        ui.spacing_mut().item_spacing.y = 2.0;
        let widths = COLUMNS.widths(ui);
        COLUMNS.head_ui(ui, &widths);
        for (name, size) in &document.sizes.entries {
            ui.push_id(name, |ui| row_ui(ui, shared, name, size, &widths, queue));
        }
        add_ui(ui, shared, &widths, queue);
    });
}

fn row_ui(ui: &mut Ui, shared: &Shared<'_>, name: &str, size: &AnySize, widths: &[f32], queue: &mut Queue) {
    let [named, formula, value, tolerance, note, used, more] = widths else { return };
    let path = format!("sizes/{name}");
    let Some(field) = editor::field_at(shared, &path, &format!("Size {name}")) else { return };
    let field = field.as_field(shared);
    let document = &shared.state.session.reading().document;
    let mut response = None;
    ui.horizontal(|ui| {
        cell_ui(ui, *named, |ui| {
            let width = ui.available_width();
            let says = format!("Name of {name}");
            if let Some(new) = text_ui(ui, (name, "size name"), &says, name, width, "") {
                let (old, new) = (name.to_owned(), new.trim().to_owned());
                editor::change(shared, &path, move |document| edit::rename_size(document, &old, &new), queue);
            }
        });
        cell_ui(ui, *formula, |ui| {
            let width = ui.available_width();
            response = Some(field.show_short(ui, "", width, queue));
        });
        let known = shared.state.session.reading().values.shared(name);
        cell_ui(ui, *value, |ui| {
            let unit = known.map_or("", |value| unit_of(value.dimension));
            let text = match shared.state.session.reading().values.at(&path) {
                Some(value) => format!("{} {unit}", plain_text(round(value.nominal, 4))),
                None => "no value".to_owned(),
            };
            ui.add(Label::new(RichText::new(text).font(FontRole::Strong.id())).truncate());
        });
        cell_ui(ui, *tolerance, |ui| {
            tolerance_button_ui(ui, &[&field], queue);
            let half =
                shared.state.session.reading().values.at(&path).map_or(0.0, |value| value.half_width());
            if half > 0.0 {
                ui.add(Label::new(format!("± {}", plain_text(round(half, 4)))).truncate());
            }
        });
        cell_ui(ui, *note, |ui| {
            let width = ui.available_width();
            let says = format!("Note of {name}");
            if let Some(new) = text_ui(ui, (name, "size note"), &says, &size.note, width, "") {
                let of = name.to_owned();
                editor::alter(
                    &path,
                    format!("Write the note of {name}"),
                    move |document| {
                        document.sizes.get_mut(&of)?.note = new.trim().to_owned();
                        Some(())
                    },
                    queue,
                );
            }
        });
        cell_ui(ui, *used, |ui| users_ui(ui, &uses_of_size(document, name), queue));
        cell_ui(ui, *more, |ui| {
            let tip = "Take it away; formulas that name it get its own formula instead";
            if ui
                .add(Button::new("Delete").small())
                .on_hover_text(tip)
                .accessible_name(format!("Delete size: {name}"))
                .clicked()
            {
                let at = path.clone();
                editor::change(shared, &path, move |document| edit::delete(document, &at), queue);
            }
        });
    });
    if let Some(response) = response {
        field.complaint_ui(ui, &response);
    }
}

/// The unit plain numbers of a dimension count in.
fn unit_of(dimension: glidewright_project::quantity::Dimension) -> &'static str {
    const KINDS: [Quantity; 13] = [
        Quantity::Length,
        Quantity::Angle,
        Quantity::Mass,
        Quantity::Force,
        Quantity::Torque,
        Quantity::Pressure,
        Quantity::Density,
        Quantity::LinearDensity,
        Quantity::Speed,
        Quantity::Acceleration,
        Quantity::Area,
        Quantity::Volume,
        Quantity::Time,
    ];
    KINDS.iter().find(|kind| kind.dimension() == dimension).map_or("", |kind| kind.unit())
}

/// Who uses it, each to be selected.
fn users_ui(ui: &mut Ui, uses: &[String], queue: &mut Queue) {
    if uses.is_empty() {
        ui.weak("nothing");
        return;
    }
    ui.menu_button(format!("{} places", uses.len()), |ui| {
        for path in uses {
            if ui.button(path.replace('/', " · ").replace('_', " ")).clicked() {
                queue.push(Action::Select(path.clone()));
                ui.close();
            }
        }
    });
    ui.spacing_mut().item_spacing.x = 10.0;
    let mut said: Vec<String> = Vec::new();
    for path in uses {
        let words = path.rsplit('/').take(2).collect::<Vec<_>>();
        let words = words.into_iter().rev().collect::<Vec<_>>().join(" · ").replace('_', " ");
        if said.contains(&words) || said.len() > 2 {
            continue;
        }
        said.push(words.clone());
        if ui.link(words).on_hover_text(path).clicked() {
            queue.push(Action::Select(path.clone()));
        }
    }
}

/// A row to add one: a name and what it comes to.
fn add_ui(ui: &mut Ui, shared: &Shared<'_>, widths: &[f32], queue: &mut Queue) {
    let [named, formula, rest @ ..] = widths else { return };
    let id = ui.make_persistent_id("new size");
    let (mut name, mut text): (String, String) = ui.data(|data| data.get_temp(id)).unwrap_or_default();
    let before = (name.clone(), text.clone());
    let mut wanted = false;
    ui.horizontal(|ui| {
        let field = |ui: &mut Ui, width: f32, text: &mut String, hint: &str, says: &str| {
            cell_ui(ui, width, |ui| {
                let width = ui.available_width();
                let edit = egui::TextEdit::singleline(text).hint_text(hint.to_owned()).desired_width(width);
                ui.add(edit.char_limit(200)).accessible_name(says)
            })
        };
        field(ui, *named, &mut name, "new name", "Name of the new size");
        let entered = field(ui, *formula, &mut text, "6, 12 mm, 2*plate …", "Value of the new size");
        wanted = entered.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
        let width = rest.first().copied().unwrap_or(80.0);
        cell_ui(ui, width, |ui| {
            let ready = !name.trim().is_empty() && !text.trim().is_empty();
            wanted |= ui.add_enabled(ready, Button::new("Add")).accessible_name("Add the size").clicked();
        });
    });
    if wanted && !name.trim().is_empty() && !text.trim().is_empty() {
        let (called, size) = (name.trim().to_owned(), AnySize::typed(&text));
        let added = editor::change(
            shared,
            "sizes",
            move |document| edit::add(document, Addition::Size(called.clone(), size.clone())),
            queue,
        );
        if added {
            name.clear();
            text.clear();
        }
    }
    if before != (name.clone(), text.clone()) {
        ui.data_mut(|data| data.insert_temp(id, (name, text)));
    }
}
