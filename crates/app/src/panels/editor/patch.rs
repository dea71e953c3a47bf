//! Outlines of features and bodies.

use egui::Ui;
use glidewright_project::Document;
use glidewright_project::document::{Patch, Spot};
use glidewright_project::size::Length;

use super::alter;
use crate::commands::Queue;
use crate::widgets::{choice_row, named_row, text_ui};

/// Forms of a patch, in the order they are offered.
const PATCHES: [&str; 4] = ["circle", "rectangle", "slot", "own path"];

const fn patch_form(patch: &Patch) -> usize {
    match patch {
        Patch::Circle { .. } => 0,
        Patch::Rectangle { .. } => 1,
        Patch::Slot { .. } => 2,
        Patch::Path { .. } => 3,
    }
}

/// A length so much more (mm), as a formula.
pub(super) fn beyond(length: &Length, by: f64) -> Length {
    Length::typed(&format!("({}) + {by}", length.formula))
}

/// The same place in another form.
pub(super) fn patch_of(form: usize, now: &Patch) -> Patch {
    let at = match now {
        Patch::Circle { at, .. } | Patch::Path { at, .. } => at.clone(),
        Patch::Rectangle { from, .. } | Patch::Slot { from, .. } => from.clone(),
    };
    match form {
        0 => Patch::Circle { at, diameter: Length::of(8.0) },
        1 => {
            let to = Spot(beyond(&at.0, 20.0), beyond(&at.1, 12.0));
            Patch::Rectangle { from: at, to, corner: Length::of(2.0) }
        }
        2 => {
            let to = Spot(beyond(&at.0, 20.0), at.1.clone());
            Patch::Slot { from: at, to, width: Length::of(6.0) }
        }
        _ => Patch::Path { d: "M -6 -6 H 6 V 6 H -6 Z".to_owned(), at },
    }
}

/// What form an outline has, and what it draws: that of the thing of a path and a name, which `find` finds again.
pub(super) fn patch_ui(
    ui: &mut Ui,
    (path, name): (&str, &str),
    now: &Patch,
    seen: &str,
    find: impl Fn(&mut Document) -> Option<&mut Patch> + Clone + Send + Sync + 'static,
    queue: &mut Queue,
) {
    if let Some(form) = choice_row(ui, "Shape", patch_form(now), &PATCHES) {
        let find = find.clone();
        alter(
            path,
            format!("Shape {name} another way"),
            move |document| {
                let shape = find(document)?;
                *shape = patch_of(form, shape);
                Some(())
            },
            queue,
        );
    }
    if let Patch::Path { d, .. } = now {
        let write = move |document: &mut Document, d: String| match find(document)? {
            Patch::Path { d: known, .. } => {
                *known = d;
                Some(())
            }
            _ => None,
        };
        path_ui(ui, path, d, seen, write, queue);
    }
}

/// The data of a path, as one line, and how what it draws is `seen`.
pub(super) fn path_ui(
    ui: &mut Ui,
    path: &str,
    now: &str,
    seen: &str,
    write: impl Fn(&mut Document, String) -> Option<()> + Send + Sync + 'static,
    queue: &mut Queue,
) {
    named_row(ui, "Path", |ui| {
        let width = ui.available_width();
        let name = "Path: SVG path data, mm";
        if let Some(new) = text_ui(ui, (path, "path"), name, now, width, "M 0 0 H 10 V 10 Z") {
            alter(path, "Change a path", move |document| write(document, new.clone()), queue);
        }
    });
    if let Err(error) = glidewright_project::region_from_path(now) {
        ui.colored_label(ui.visuals().error_fg_color, error.to_string());
    } else {
        ui.weak(format!("SVG path data in mm: {seen}."));
    }
}
