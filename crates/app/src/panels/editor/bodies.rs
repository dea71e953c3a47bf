//! The bodies something is made of.

use egui::{Align, Layout, RichText, Ui};
use glidewright_project::Document;
use glidewright_project::document::{Axis, Body, Choice as _, Patch, Point, Spot, Turned};
use glidewright_project::size::{Angle, Length};

use super::patch::{beyond, patch_ui};
use super::{alter, fields_ui, reach};
use crate::commands::Queue;
use crate::panels::Shared;
use crate::theme::FontRole;
use crate::widgets::{choice_row, choice_ui, quiet_button, text_scale};

/// Forms of a body, in the order they are offered.
const FORMS: [&str; 5] = ["box", "cylinder", "cone", "ball", "outline"];

const fn form(body: &Body) -> usize {
    match body {
        Body::Box { .. } => 0,
        Body::Cylinder { .. } => 1,
        Body::Cone { .. } => 2,
        Body::Ball { .. } => 3,
        Body::Outline { .. } => 4,
    }
}

/// The same place in another form.
fn reshaped(body: &Body, to: usize) -> Body {
    let (from, end, across) = match body {
        Body::Box { from, to, .. } => (from.clone(), to.clone(), Length::of(20.0)),
        Body::Cylinder { from, to, diameter } | Body::Cone { from, to, from_diameter: diameter, .. } => {
            (from.clone(), to.clone(), diameter.clone())
        }
        Body::Ball { at, diameter } => (at.clone(), at.clone(), diameter.clone()),
        Body::Outline { shape, along, from, to, .. } => {
            let [low, high] = corners(shape);
            (point_on(*along, from, low), point_on(*along, to, high), Length::of(20.0))
        }
    };
    let turned = body.turned().cloned();
    // A ball has one place only: stretch it.
    let end = if from == end {
        Point(end.0.clone(), end.1.clone(), Length::typed(&format!("({}) + 20", end.2.formula)))
    } else {
        end
    };
    match to {
        0 => Body::Box { from, to: end, turned },
        1 => Body::Cylinder { from, to: end, diameter: across },
        2 => Body::Cone { from, to: end, from_diameter: across.clone(), to_diameter: across },
        3 => Body::Ball { at: from, diameter: across },
        _ => Body::Outline {
            shape: Patch::Rectangle {
                from: Spot(from.0, from.1),
                to: Spot(end.0, end.1),
                corner: Length::default(),
            },
            along: Axis::Z,
            from: from.2,
            to: end.2,
            turned,
        },
    }
}

/// Two corners that an outline reaches to, or nearly.
fn corners(shape: &Patch) -> [Spot; 2] {
    match shape {
        Patch::Rectangle { from, to, .. } | Patch::Slot { from, to, .. } => [from.clone(), to.clone()],
        Patch::Circle { at, .. } | Patch::Path { at, .. } => {
            [at.clone(), Spot(beyond(&at.0, 20.0), beyond(&at.1, 12.0))]
        }
    }
}

/// A place of an outline's plane at a level of its thickness.
fn point_on(along: Axis, level: &Length, spot: Spot) -> Point {
    let Spot(a, b) = spot;
    match along {
        Axis::X => Point(level.clone(), a, b),
        Axis::Y => Point(a, level.clone(), b),
        Axis::Z => Point(a, b, level.clone()),
    }
}

/// How an outline's drawing is seen.
const fn seen(along: Axis) -> &'static str {
    match along {
        Axis::X => "seen along growing x with z up",
        Axis::Y => "seen with x to the right and z up",
        Axis::Z => "seen from outside with x to the right, as a plate is",
    }
}

/// What the two values of a place of an outline are called, if the path leads to one.
pub fn names_on_outline(document: &Document, path: &str) -> Option<[&'static str; 2]> {
    let (base, below) = path.split_once("/bodies/")?;
    let (number, below) = below.split_once('/')?;
    if !below.starts_with("shape/") {
        return None;
    }
    let place = number.parse::<usize>().ok()?.checked_sub(1)?;
    match reach::bodies_at(document, base)?.get(place)? {
        Body::Outline { along, .. } => Some(along.others().map(|axis| axis.word())),
        _ => None,
    }
}

/// How a body stands: square, or turned about an axis.
fn turned_ui(ui: &mut Ui, path: &str, (place, now): (usize, Option<&Turned>), queue: &mut Queue) {
    let number = place + 1;
    let at = path.to_owned();
    let find = move |document: &mut Document, change: &dyn Fn(&mut Option<Turned>)| {
        change(reach::bodies(document, &at)?.get_mut(place)?.turned_mut()?);
        Some(())
    };
    if let Some(chosen) = choice_row(ui, "Stands", usize::from(now.is_some()), &["square", "turned"]) {
        let find = find.clone();
        let to =
            (chosen == 1).then(|| Turned { about: Point::of(0.0, 0.0, 1.0), by: Angle::of(15.0), at: None });
        let words = format!("{} body {number}", if to.is_some() { "Turn" } else { "Square" });
        alter(path, words, move |document| find(document, &|turned| turned.clone_from(&to)), queue);
    }
    let Some(now) = now else { return };
    let given = usize::from(now.at.is_some());
    if let Some(chosen) = choice_row(ui, "Turns about", given, &["its middle", "a place"]) {
        let to = (chosen == 1).then(Point::default);
        let set = move |turned: &mut Option<Turned>| {
            if let Some(turned) = turned {
                turned.at.clone_from(&to);
            }
        };
        alter(
            path,
            format!("Turn body {number} about another place"),
            move |document| find(document, &set),
            queue,
        );
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
                        format!("Make body {number} {} {}", if to == 4 { "an" } else { "a" }, FORMS[to]),
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
            let base = format!("{path}/bodies/{number}");
            if let Body::Outline { shape, along, .. } = body {
                let at = path.to_owned();
                patch_ui(
                    ui,
                    (&base, &format!("body {number}")),
                    shape,
                    seen(*along),
                    move |document| match reach::bodies(document, &at)?.get_mut(place)? {
                        Body::Outline { shape, .. } => Some(shape),
                        _ => None,
                    },
                    queue,
                );
            }
            fields_ui(ui, shared, &base, |below| !below.starts_with("turned"), queue);
            if matches!(body, Body::Box { .. } | Body::Outline { .. }) {
                turned_ui(ui, path, (place, body.turned()), queue);
                fields_ui(ui, shared, &base, |below| below.starts_with("turned"), queue);
            }
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
                    turned: None,
                });
                bodies.push(body);
                Some(())
            },
            queue,
        );
    }
}
