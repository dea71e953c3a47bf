//! The belt or cord and what it passes.

use egui::{Align, Button, Layout, Ui, Vec2};
use glidewright_project::document::{Anchor, Line, LinePlane, Named as _, Node, Roller, Turn};
use glidewright_project::edit::{self, Addition};
use glidewright_project::size::Length;

use super::{alter, change, fields_ui, name_field_ui, new, reach};
use crate::commands::{Action, Queue};
use crate::panels::Shared;
use crate::widgets::{choice_row, named_row, quiet_button, section_ui, text_ui};

/// What a node is, in the order they are offered.
pub const NODES: [&str; 4] = ["clamp", "idler", "fixed post", "driven pulley"];

const fn kind(node: &Node) -> usize {
    match node {
        Node::Anchor(_) => 0,
        Node::Idler(_) => 1,
        Node::Post(_) => 2,
        Node::Driven(_) => 3,
    }
}

/// The same place as another kind of node.
fn as_kind(node: &Node, to: usize) -> Node {
    let roller = match node {
        Node::Idler(roller) | Node::Post(roller) | Node::Driven(roller) => roller.clone(),
        Node::Anchor(anchor) => Roller {
            name: anchor.name.clone(),
            part: "idler 16".to_owned(),
            rider: anchor.rider.clone(),
            at: anchor.at.clone(),
            turn: Turn::Right,
        },
    };
    match to {
        0 => Node::Anchor(Anchor { name: roller.name, rider: roller.rider, at: roller.at, tail: None }),
        1 => Node::Idler(roller),
        2 => Node::Post(Roller { part: "post 8".to_owned(), ..roller }),
        _ => Node::Driven(roller),
    }
}

pub fn line_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let Some(line) = &document.line else { return };
    named_row(ui, "Belt", |ui| {
        let width = ui.available_width();
        if let Some(new) = text_ui(ui, "line name", "Name: Belt", &line.name, width, "") {
            alter(
                "line",
                format!("Rename {} to {new}", line.name),
                move |document| {
                    document.line.as_mut()?.name = new.trim().to_owned();
                    Some(())
                },
                queue,
            );
        }
    });
    fields_ui(ui, shared, "line", |below| below == "part", queue);
    let flat = usize::from(matches!(line.plane, LinePlane::Flat { .. }));
    if let Some(chosen) = choice_row(ui, "Its plane", flat, &["square to the sides", "along the front"]) {
        alter(
            "line/plane",
            "Turn the belt's plane",
            move |document| {
                document.line.as_mut()?.plane = if chosen == 0 {
                    LinePlane::Upright { y: Length::of(0.0) }
                } else {
                    LinePlane::Flat { z: Length::of(0.0) }
                };
                Some(())
            },
            queue,
        );
    }
    fields_ui(
        ui,
        shared,
        "line",
        |below| below.starts_with("plane") || matches!(below, "bending_loss" | "post_friction"),
        queue,
    );
    nodes_ui(ui, shared, line, queue);
}

/// What it passes, in order; each can be moved, and others put between.
fn nodes_ui(ui: &mut Ui, shared: &Shared<'_>, line: &Line, queue: &mut Queue) {
    section_ui(ui, "It passes, in order");
    for (place, node) in line.nodes.iter().enumerate() {
        let name = node.name();
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 2.0;
            let shift = |to: usize, queue: &mut Queue| {
                alter(
                    "line/nodes",
                    format!("Move {name} in the belt's path"),
                    move |document| {
                        let nodes = &mut document.line.as_mut()?.nodes;
                        (place.max(to) < nodes.len()).then(|| nodes.swap(place, to))
                    },
                    queue,
                );
            };
            let up = ui.add_enabled(place > 0, Button::new("↑").small().frame_when_inactive(false));
            if up.accessible_name(format!("Earlier: {name}")).clicked() {
                shift(place - 1, queue);
            }
            let last = place + 1 == line.nodes.len();
            let down = ui.add_enabled(!last, Button::new("↓").small().frame_when_inactive(false));
            if down.accessible_name(format!("Later: {name}")).clicked() {
                shift(place + 1, queue);
            }
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                let remove = format!("Remove: {name}");
                if quiet_button(ui, "×", &remove, &remove).clicked() {
                    let path = format!("line/nodes/{name}");
                    change(shared, "line", move |document| edit::delete(document, &path), queue);
                }
                let words = format!("{name}, {}", NODES[kind(node)]);
                let size = Vec2::new(ui.available_width(), 0.0);
                let button = Button::new(words).right_text("").truncate().min_size(size);
                let row = ui.add(button.frame_when_inactive(false)).accessible_name(format!("Node: {name}"));
                if row.clicked() {
                    queue.push(Action::Select(format!("line/nodes/{name}")));
                }
            });
        });
    }
    ui.menu_button("Add to its path", |ui| {
        for (kind, word) in NODES.iter().enumerate() {
            if ui.button(*word).clicked() {
                add_node(shared, line, kind, queue);
                ui.close();
            }
        }
    })
    .response
    .on_hover_text("It goes before the last clamp");
}

fn add_node(shared: &Shared<'_>, line: &Line, kind: usize, queue: &mut Queue) {
    let node = as_kind(&Node::Idler(new::roller(shared, line)), kind);
    let taken = line.nodes.iter().map(|node| node.name());
    let name = edit::fresh_name(NODES.get(kind).copied().unwrap_or("node"), taken);
    let mut node = node;
    name.clone_into(node.name_mut());
    let place = line.nodes.len().saturating_sub(1);
    let added = change(
        shared,
        "line",
        move |document| edit::add(document, Addition::Node(place, node.clone())),
        queue,
    );
    if added {
        queue.push(Action::Select(format!("line/nodes/{name}")));
    }
}

pub fn node_ui(ui: &mut Ui, shared: &Shared<'_>, name: &str, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let Some(node) = document.line.iter().flat_map(|line| &line.nodes).find(|node| node.name() == name)
    else {
        return;
    };
    let path = format!("line/nodes/{name}");
    let now = kind(node);
    name_field_ui(ui, shared, "Node", &path, name, queue);
    if let Some(chosen) = choice_row(ui, "It is a", now, &NODES) {
        let name = name.to_owned();
        alter(
            &path,
            format!("Make {name} a {}", NODES[chosen]),
            move |document| {
                let node = reach::node(document, &name)?;
                *node = as_kind(node, chosen);
                Some(())
            },
            queue,
        );
    }
    let mut words = vec!["the rail's frame"];
    words.extend(document.riders.iter().map(|rider| rider.name.as_str()));
    let on = node.rider().and_then(|rider| words.iter().skip(1).position(|word| *word == rider));
    if let Some(chosen) = choice_row(ui, "It is on", on.map_or(0, |at| at + 1), &words) {
        let rider = (chosen > 0).then(|| words.get(chosen).map(|word| (*word).to_owned())).flatten();
        let name = name.to_owned();
        alter(
            &path,
            format!("Put {name} on something else"),
            move |document| {
                reach::node(document, &name)?.rider_mut().clone_from(&rider);
                Some(())
            },
            queue,
        );
    }
    fields_ui(ui, shared, &path, |_| true, queue);
    ui.weak("Places count along what it is on, then across in the belt's plane.");
}
