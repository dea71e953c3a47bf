//! What can be added: to the rider that is selected or holds what is, and to the fixture.

use egui::Ui;
use glidewright_project::document::{Moves, PartKind, Rider};
use glidewright_project::edit::{self, Addition};

use super::super::{Shared, editor};
use crate::commands::{Action, Queue};
use crate::state::Drawer;

/// Adds something and selects it.
fn add(shared: &Shared<'_>, addition: Addition, path: String, queue: &mut Queue) {
    let added = editor::change(shared, &path, move |document| edit::add(document, addition.clone()), queue);
    if added {
        queue.push(Action::Select(path));
    }
}

/// The menu.
pub fn add_ui(ui: &mut Ui, shared: &Shared<'_>, path: &str, queue: &mut Queue) {
    let document = shared.state.session.document();
    let mut steps = path.split('/');
    let rider = match (steps.next(), steps.next()) {
        (Some("riders"), Some(name)) => document.riders.iter().find(|rider| rider.name == name),
        _ => None,
    };
    if let Some(rider) = rider {
        ui.weak(format!("To {}", rider.name));
        to_rider_ui(ui, shared, rider, queue);
        ui.separator();
    }
    ui.weak("To the fixture");
    to_fixture_ui(ui, shared, rider, queue);
}

fn to_rider_ui(ui: &mut Ui, shared: &Shared<'_>, rider: &Rider, queue: &mut Queue) {
    use editor::new;
    let document = shared.state.session.document();
    let base = format!("riders/{}", rider.name);
    let of = rider.name.clone();
    let mut addition = None;
    let mut told = None;
    if ui.button("Wheel pair").clicked() {
        match new::wheel_pair(document, rider) {
            Ok(wheel) => {
                addition =
                    Some((format!("{base}/wheels/{}", wheel.name), Addition::Wheel(of.clone(), wheel)));
            }
            Err(problem) => told = Some(problem),
        }
    }
    if ui.button("Plate").clicked() {
        let plate = new::plate(shared, rider);
        addition = Some((format!("{base}/plates/{}", plate.name), Addition::Plate(of.clone(), plate)));
    }
    for (words, ballast) in [("Load", false), ("Ballast", true)] {
        if ui.button(words).clicked() {
            let load = new::load(rider, ballast);
            addition = Some((format!("{base}/loads/{}", load.name), Addition::Load(of.clone(), load)));
        }
    }
    if ui.button("Bolt").clicked() {
        match new::bolt(rider) {
            Ok(bolt) => {
                addition = Some((format!("{base}/bolts/{}", bolt.name), Addition::Bolt(of.clone(), bolt)))
            }
            Err(problem) => told = Some(problem),
        }
    }
    if ui.button("Shoe").clicked() {
        let shoe = new::shoe(shared, rider);
        addition = Some((format!("{base}/shoes/{}", shoe.name), Addition::Shoe(of.clone(), shoe)));
    }
    if ui.button("Point to watch").on_hover_text("A place whose sag under load is of interest").clicked() {
        let point = new::point(rider);
        addition = Some((format!("{base}/points/{}", point.name), Addition::Point(of.clone(), point)));
    }
    if rider.grip.is_none() && ui.button("Grip").clicked() {
        let grip = new::grip(rider);
        let path = format!("{base}/grip");
        editor::alter(
            &path,
            "Add a grip",
            move |document| {
                editor::reach::rider(document, &of)?.grip = Some(grip.clone());
                Some(())
            },
            queue,
        );
        queue.push(Action::Select(path));
        ui.close();
    }
    if let Some(problem) = told {
        editor::tell(&problem, queue);
        ui.close();
    }
    if let Some((path, addition)) = addition {
        add(shared, addition, path, queue);
        ui.close();
    }
}

fn to_fixture_ui(ui: &mut Ui, shared: &Shared<'_>, rider: Option<&Rider>, queue: &mut Queue) {
    use editor::new;
    let document = shared.state.session.document();
    if ui.button("Rider").clicked() {
        let added = new::rider(document).ok().and_then(|edited| edited.document.riders.last().cloned());
        if editor::change(shared, "riders", new::rider, queue) {
            queue.extend(added.map(|rider| Action::Select(format!("riders/{}", rider.name))));
        }
        ui.close();
    }
    if let Some(rider) = rider.filter(|rider| !matches!(rider.moves, Moves::Free { .. })) {
        let words = format!("Counterweight for {}", rider.name);
        if ui.button(words).clicked() {
            let of = rider.name.clone();
            editor::change(shared, "riders", move |document| edit::counterweight(document, &of), queue);
            ui.close();
        }
    }
    if document.line.is_none() && ui.button("Belt").clicked() {
        if editor::change(shared, "line", edit::add_belt, queue) {
            queue.push(Action::Select("line".to_owned()));
        }
        ui.close();
    }
    for (words, stop) in [("End stop", true), ("Obstacle", false)] {
        if ui.button(words).clicked() {
            let obstacle = new::obstacle(document, stop);
            let path = format!("obstacles/{}", obstacle.name);
            add(shared, Addition::Obstacle(obstacle), path, queue);
            ui.close();
        }
    }
    if ui.button("Shared size…").clicked() {
        queue.push(Action::Drawer(Drawer::Sizes));
        ui.close();
    }
    ui.menu_button("Own part", |ui| {
        for kind in [
            PartKind::Wheel,
            PartKind::Nut,
            PartKind::Screw,
            PartKind::Insert,
            PartKind::Washer,
            PartKind::Spacer,
            PartKind::Shim,
            PartKind::Eccentric,
            PartKind::Bearing,
            PartKind::Belt,
            PartKind::Pulley,
            PartKind::Rail,
        ] {
            if ui.button(kind.word()).clicked()
                && let Some(part) = new::part(document, kind)
            {
                let path = format!("parts/{}", part.name);
                add(shared, Addition::Part(part), path, queue);
                ui.close();
            }
        }
    });
    if ui.button("Own material").clicked()
        && let Some(material) = new::material(document)
    {
        let path = format!("materials/{}", material.name);
        add(shared, Addition::Material(material), path, queue);
        ui.close();
    }
}
