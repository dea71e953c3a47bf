//! The convex bodies something is made of.

use egui::{Align, Layout, RichText, Ui};
use glidewright_project::document::{Body, Point};
use glidewright_project::size::Length;

use super::{alter, fields_ui, reach};
use crate::commands::Queue;
use crate::panels::Shared;
use crate::theme::FontRole;
use crate::widgets::{choice_ui, quiet_button, text_scale};

/// Forms of a body, in the order they are offered.
const FORMS: [&str; 4] = ["box", "cylinder", "cone", "ball"];

const fn form(body: &Body) -> usize {
    match body {
        Body::Box { .. } => 0,
        Body::Cylinder { .. } => 1,
        Body::Cone { .. } => 2,
        Body::Ball { .. } => 3,
    }
}

/// The same place in another form.
fn reshaped(body: &Body, to: usize) -> Body {
    let (from, end, across) = match body {
        Body::Box { from, to } => (from.clone(), to.clone(), Length::of(20.0)),
        Body::Cylinder { from, to, diameter } | Body::Cone { from, to, from_diameter: diameter, .. } => {
            (from.clone(), to.clone(), diameter.clone())
        }
        Body::Ball { at, diameter } => (at.clone(), at.clone(), diameter.clone()),
    };
    // A ball has one place only: stretch it.
    let end = if from == end {
        Point(end.0.clone(), end.1.clone(), Length::typed(&format!("({}) + 20", end.2.formula)))
    } else {
        end
    };
    match to {
        0 => Body::Box { from, to: end },
        1 => Body::Cylinder { from, to: end, diameter: across },
        2 => Body::Cone { from, to: end, from_diameter: across.clone(), to_diameter: across },
        _ => Body::Ball { at: from, diameter: across },
    }
}

/// Draws the bodies of what stands at a path, with a button to add one.
pub fn bodies_ui(ui: &mut Ui, shared: &Shared<'_>, path: &str, bodies: &[Body], queue: &mut Queue) {
    for (place, body) in bodies.iter().enumerate() {
        let number = place + 1;
        let now = form(body);
        ui.push_id(("body", place), |ui| {
            ui.horizontal(|ui| {
                ui.label(RichText::new(format!("Body {number}")).font(FontRole::Strong.id()));
                let width = 90.0 * text_scale(ui);
                if let Some(to) = choice_ui(ui, &format!("Form of body {number}"), now, &FORMS, width) {
                    let at = path.to_owned();
                    alter(
                        path,
                        format!("Make body {number} a {}", FORMS[to]),
                        move |document| {
                            let body = reach::bodies(document, &at)?.get_mut(place)?;
                            *body = reshaped(body, to);
                            Some(())
                        },
                        queue,
                    );
                }
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    let remove = format!("Remove body {number}");
                    if quiet_button(ui, "×", &remove, &remove).clicked() {
                        let at = path.to_owned();
                        alter(
                            path,
                            remove,
                            move |document| {
                                let bodies = reach::bodies(document, &at)?;
                                (place < bodies.len()).then(|| drop(bodies.remove(place)))
                            },
                            queue,
                        );
                    }
                });
            });
            fields_ui(ui, shared, &format!("{path}/bodies/{number}"), |_| true, queue);
        });
    }
    if ui.button("Add a body").clicked() {
        let at = path.to_owned();
        alter(
            path,
            "Add a body",
            move |document| {
                let bodies = reach::bodies(document, &at)?;
                let body = bodies.last().cloned().unwrap_or_else(|| Body::Box {
                    from: Point::of(-10.0, -10.0, 0.0),
                    to: Point::of(10.0, 10.0, 20.0),
                });
                bodies.push(body);
                Some(())
            },
            queue,
        );
    }
}
