//! What riders carry, where they are held, and what stands still.

use egui::Ui;
use glidewright_project::Document;
use glidewright_project::document::{Grip, Load, Point, Reach, Rider};
use glidewright_project::size::Length;

use super::bodies::bodies_ui;
use super::{alter, fields_ui, name_field_ui, reach};
use crate::commands::Queue;
use crate::panels::Shared;
use crate::widgets::{choice_row, section_ui};

/// The plate that places count from, or the rail's middle.
fn on_ui(
    ui: &mut Ui,
    path: &str,
    rider: &Rider,
    now: Option<&str>,
    write: impl Fn(&mut Document, Option<String>) -> Option<()> + Send + Sync + 'static,
    queue: &mut Queue,
) {
    let mut words = vec!["rail's centre plane"];
    words.extend(rider.plates.iter().map(|plate| plate.name.as_str()));
    let place = now.and_then(|now| words.iter().skip(1).position(|word| *word == now)).map_or(0, |at| at + 1);
    if let Some(chosen) = choice_row(ui, "Counts from", place, &words) {
        let on = (chosen > 0).then(|| words.get(chosen).map(|word| (*word).to_owned())).flatten();
        alter(path, "Let places count from elsewhere", move |document| write(document, on.clone()), queue);
    }
}

pub fn load_ui(ui: &mut Ui, shared: &Shared<'_>, of: &str, name: &str, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let Some(rider) = document.riders.iter().find(|rider| rider.name == of) else { return };
    let Some(load) = rider.loads.iter().find(|load| load.name == name) else { return };
    let path = format!("riders/{of}/loads/{name}");
    name_field_ui(ui, shared, if load.ballast { "Ballast" } else { "Load" }, &path, name, queue);
    fields_ui(ui, shared, &path, |below| below == "mass", queue);
    let change = |description: &str, alter_load: fn(&mut Load), queue: &mut Queue| {
        let (of, name) = (of.to_owned(), name.to_owned());
        alter(
            &path,
            description,
            move |document| {
                alter_load(reach::load(document, &of, &name)?);
                Some(())
            },
            queue,
        );
    };
    let (rider_name, load_name) = (of.to_owned(), name.to_owned());
    on_ui(
        ui,
        &path,
        rider,
        load.on.as_deref(),
        move |document, on| {
            reach::load(document, &rider_name, &load_name)?.on = on;
            Some(())
        },
        queue,
    );
    let mut ballast = load.ballast;
    let tip = "It may be made heavier or lighter to balance the fixture";
    if ui.checkbox(&mut ballast, "It is ballast").on_hover_text(tip).changed() {
        change("Say whether it is ballast", |load| load.ballast = !load.ballast, queue);
    }
    section_ui(ui, "Form");
    bodies_ui(ui, shared, &path, &load.bodies, queue);
    section_ui(ui, "Centre of mass");
    let own = usize::from(load.centre.is_some());
    if let Some(chosen) = choice_row(ui, "Centre", own, &["of its bodies", "given"]) {
        let given: fn(&mut Load) = |load| load.centre = Some(Point::of(0.0, 0.0, 20.0));
        let from_bodies: fn(&mut Load) = |load| load.centre = None;
        change("Say where its centre is", if chosen == 1 { given } else { from_bodies }, queue);
    }
    fields_ui(ui, shared, &path, |below| below.starts_with("centre"), queue);
    section_ui(ui, "Reach");
    let slides = usize::from(load.reach.is_some());
    if let Some(chosen) = choice_row(ui, "It", slides, &["stays on the rider", "slides on the rider"]) {
        let slide: fn(&mut Load) = |load| {
            load.reach = Some(Reach {
                direction: Point::of(0.0, 0.0, 1.0),
                from: Length::of(0.0),
                to: Length::of(100.0),
                at: Length::of(0.0),
            });
        };
        let stay: fn(&mut Load) = |load| load.reach = None;
        change("Say whether it slides", if chosen == 1 { slide } else { stay }, queue);
    }
    fields_ui(ui, shared, &path, |below| below.starts_with("reach"), queue);
}

pub fn grip_ui(ui: &mut Ui, shared: &Shared<'_>, of: &str, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let Some(rider) = document.riders.iter().find(|rider| rider.name == of) else { return };
    let Some(Grip { name, on, .. }) = &rider.grip else { return };
    let path = format!("riders/{of}/grip");
    crate::widgets::named_row(ui, "Grip", |ui| {
        let width = ui.available_width();
        if let Some(new) = crate::widgets::text_ui(ui, (&path, "name"), "Name: Grip", name, width, "") {
            let of = of.to_owned();
            alter(
                &path,
                format!("Rename {name} to {new}"),
                move |document| {
                    reach::rider(document, &of)?.grip.as_mut()?.name = new.trim().to_owned();
                    Some(())
                },
                queue,
            );
        }
    });
    ui.weak("Where a hand or a drive takes hold.");
    let rider_name = of.to_owned();
    on_ui(
        ui,
        &path,
        rider,
        on.as_deref(),
        move |document, on| {
            reach::rider(document, &rider_name)?.grip.as_mut()?.on = on;
            Some(())
        },
        queue,
    );
    fields_ui(ui, shared, &path, |_| true, queue);
}

pub fn point_ui(ui: &mut Ui, shared: &Shared<'_>, of: &str, name: &str, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let Some(rider) = document.riders.iter().find(|rider| rider.name == of) else { return };
    let Some(point) = rider.points.iter().find(|point| point.name == name) else { return };
    let path = format!("riders/{of}/points/{name}");
    name_field_ui(ui, shared, "Point", &path, name, queue);
    ui.weak("Its sag under load is worked out.");
    let (rider_name, point_name) = (of.to_owned(), name.to_owned());
    on_ui(
        ui,
        &path,
        rider,
        point.on.as_deref(),
        move |document, on| {
            reach::point(document, &rider_name, &point_name)?.on = on;
            Some(())
        },
        queue,
    );
    fields_ui(ui, shared, &path, |_| true, queue);
}

pub fn obstacle_ui(ui: &mut Ui, shared: &Shared<'_>, name: &str, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let Some(obstacle) = document.obstacles.iter().find(|obstacle| obstacle.name == name) else { return };
    let path = format!("obstacles/{name}");
    name_field_ui(ui, shared, if obstacle.stop { "End stop" } else { "Obstacle" }, &path, name, queue);
    let mut stop = obstacle.stop;
    let tip = "A rider may meet it at the very end of the stroke";
    if ui.checkbox(&mut stop, "It is an end stop").on_hover_text(tip).changed() {
        let name = name.to_owned();
        alter(
            &path,
            "Say whether it is an end stop",
            move |document| {
                let obstacle = reach::obstacle(document, &name)?;
                obstacle.stop = !obstacle.stop;
                Some(())
            },
            queue,
        );
    }
    ui.weak("Places count along the rail, across it, and out of its front.");
    bodies_ui(ui, shared, &path, &obstacle.bodies, queue);
}
