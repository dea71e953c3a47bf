//! The parts of the fixture as a tree, what can be done with them, and below it all about the selected one.

use egui::{Align, Button, Layout, RichText, ScrollArea, Ui, Vec2};
use glidewright_project::document::{Change, Moves, PartKind};
use glidewright_project::edit::{self, Addition, MirrorPlane};
use glidewright_project::{Severity, document::Rider};

use super::branches::{Branch, branch_of, branches};
use super::{Shared, editor};
use crate::commands::{Action, Queue};
use crate::state::{Drawer, Edit};
use crate::theme::FontRole;
use crate::widgets::{Mark, paint_mark};

/// In a low window the lists may shrink to about a line (points).
const LOW: f32 = 24.0;

/// Draws the tree and the editor below it.
pub fn parts_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let branches = branches(document);
    let selected = branch_of(&branches, &shared.state.selected);
    head_ui(ui, shared, selected, queue);
    let height = ui.available_height();
    let tree = if selected.is_some() { 0.38 * height } else { height - 48.0 };
    let area = ScrollArea::vertical()
        .id_salt("tree")
        .max_height(tree)
        .min_scrolled_height(LOW)
        .auto_shrink([false, true]);
    area.show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        for branch in &branches {
            branch_ui(ui, shared, branch, selected, queue);
        }
    });
    let Some(selected) = selected else {
        ui.add_space(4.0);
        ui.weak("Select a part here or in the drawing to change it.");
        return;
    };
    ui.separator();
    ScrollArea::vertical().id_salt("editor").min_scrolled_height(LOW).auto_shrink([false, false]).show(
        ui,
        |ui| {
            ui.push_id(&selected.path, |ui| editor::editor_ui(ui, shared, &selected.path, queue));
            ui.add_space(8.0);
        },
    );
}

fn branch_ui(
    ui: &mut Ui,
    shared: &Shared<'_>,
    branch: &Branch,
    selected: Option<&Branch>,
    queue: &mut Queue,
) {
    if branch.inside.is_empty() {
        ui.horizontal(|ui| {
            ui.add_space(ui.spacing().indent);
            row_ui(ui, shared, branch, selected, queue);
        });
        return;
    }
    let id = ui.make_persistent_id(&branch.path);
    let mut state = egui::collapsing_header::CollapsingState::load_with_default_open(ui.ctx(), id, false);
    let holds =
        selected.is_some_and(|s| s.path != branch.path && branch_of(&branch.inside, &s.path).is_some());
    // Selecting something opens it, once: it may be closed again by hand.
    let opened = id.with("opened");
    let chosen = selected.is_some_and(|s| s.path == branch.path);
    let is_new = chosen && !ui.data(|data| data.get_temp(opened)).unwrap_or(false);
    ui.data_mut(|data| data.insert_temp(opened, chosen));
    if holds || is_new {
        state.set_open(true);
    }
    state.show_header(ui, |ui| row_ui(ui, shared, branch, selected, queue)).body(|ui| {
        for inner in &branch.inside {
            branch_ui(ui, shared, inner, selected, queue);
        }
    });
}

fn row_ui(ui: &mut Ui, shared: &Shared<'_>, branch: &Branch, selected: Option<&Branch>, queue: &mut Queue) {
    let chosen = selected.is_some_and(|s| s.path == branch.path);
    let mark = mark_of(shared, branch);
    let room = if mark.is_some() { "      " } else { "" };
    let button = Button::selectable(chosen, branch.name.as_str())
        .right_text((RichText::new(branch.word).small().weak(), room))
        .truncate()
        .min_size(Vec2::new(ui.available_width(), 0.0));
    let response = ui.add(button).accessible_name(format!("Part: {}", branch.name));
    if let Some(mark) = mark {
        let at = response.rect.right_center() - Vec2::new(11.0, 0.0);
        paint_mark(ui.painter(), at, 10.0, mark, shared.theme);
    }
    if response.clicked() {
        queue.push(Action::Select(branch.path.clone()));
    }
    if chosen {
        editor_scroll(ui, &branch.path, &response);
    }
}

/// Keeps the selected row in sight when it was selected elsewhere.
fn editor_scroll(ui: &Ui, path: &str, response: &egui::Response) {
    let seen = egui::Id::unique("branch scrolled to");
    if ui.data(|data| data.get_temp::<String>(seen)).as_deref() != Some(path) {
        response.scroll_to_me(None);
        ui.data_mut(|data| data.insert_temp(seen, path.to_owned()));
    }
}

/// Whether something in a branch is wrong in the document.
fn mark_of(shared: &Shared<'_>, branch: &Branch) -> Option<Mark> {
    let within = |path: &str| {
        path.strip_prefix(branch.path.as_str()).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    };
    let problems = &shared.state.session.reading().problems;
    let worst = problems.iter().filter(|problem| problem.place.path().is_some_and(within));
    match worst.map(|problem| problem.severity).max()? {
        Severity::Error => Some(Mark::Fails),
        Severity::Warning => Some(Mark::Marginal),
        Severity::Note => None,
    }
}

/// The head of the panel: what can be done with what is selected.
fn head_ui(ui: &mut Ui, shared: &Shared<'_>, selected: Option<&Branch>, queue: &mut Queue) {
    ui.horizontal(|ui| {
        ui.label(RichText::new("Parts").font(FontRole::Strong.id()));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.spacing_mut().item_spacing.x = 2.0;
            let path = selected.map_or("", |branch| branch.path.as_str());
            delete_ui(ui, shared, path, queue);
            mirror_ui(ui, shared, path, queue);
            duplicate_ui(ui, shared, path, queue);
            ui.menu_button("Add", |ui| add_ui(ui, shared, path, queue))
                .response
                .on_hover_text("Add something to what is selected, or to the fixture");
        });
    });
    ui.add_space(2.0);
}

fn is_thing(path: &str) -> bool {
    let steps: Vec<&str> = path.split('/').collect();
    matches!(
        steps.as_slice(),
        ["riders" | "obstacles" | "parts" | "materials", _]
            | ["riders", _, "wheels" | "bolts" | "shoes" | "plates" | "loads" | "points", _]
            | ["riders", _, "plates", _, "features", _]
            | ["riders", _, "grip"]
            | ["line"]
            | ["line", "nodes", _]
    )
}

fn delete_ui(ui: &mut Ui, shared: &Shared<'_>, path: &str, queue: &mut Queue) {
    let button = ui.add_enabled(is_thing(path), Button::new("Delete"));
    let with = edit::goes_with(shared.state.session.document(), path);
    let tip = if with.is_empty() {
        "Take away what is selected".to_owned()
    } else {
        format!("Take away what is selected; with it goes or changes: {}", with.join(", "))
    };
    let button = button.on_hover_text(tip).on_disabled_hover_text("Select a rider or something on one first");
    if !button.clicked() {
        return;
    }
    let above = path.rsplit_once('/').map_or("", |(above, _)| above);
    let above = above.rsplit_once('/').map_or(above, |(above, _)| above).to_owned();
    let at = path.to_owned();
    let done = if shared.state.session.trial().is_some() {
        queue.push(Action::Edit(Edit::Change(Change::Remove { path: at })));
        queue.push(Action::EndEdit);
        true
    } else {
        editor::change(shared, path, move |document| edit::delete(document, &at), queue)
    };
    if done {
        queue.push(Action::Select(if above == "riders" { String::new() } else { above }));
    }
}

fn duplicate_ui(ui: &mut Ui, shared: &Shared<'_>, path: &str, queue: &mut Queue) {
    let can = is_thing(path) && path != "line" && !path.ends_with("/grip") && !path.starts_with("line/");
    let button = ui.add_enabled(can, Button::new("Copy"));
    let button = button
        .on_hover_text("Another of what is selected, beside it")
        .on_disabled_hover_text("Select a rider or something on one first");
    if button.clicked() {
        let at = path.to_owned();
        editor::change(shared, path, move |document| edit::duplicate(document, &at), queue);
    }
}

fn mirror_ui(ui: &mut Ui, shared: &Shared<'_>, path: &str, queue: &mut Queue) {
    let can = matches!(path.split('/').collect::<Vec<_>>().as_slice(), ["riders" | "obstacles", _]);
    ui.add_enabled_ui(can, |ui| {
        ui.menu_button("Mirror", |ui| {
            for (words, plane) in [
                ("Front to rear", MirrorPlane::FrontRear),
                ("Left to right", MirrorPlane::LeftRight),
                ("End to end", MirrorPlane::Lengthwise),
            ] {
                if ui.button(words).clicked() {
                    let at = path.to_owned();
                    editor::change(shared, path, move |document| edit::mirror(document, &at, plane), queue);
                    ui.close();
                }
            }
        })
        .response
        .on_hover_text("Mirror a rider or an obstacle in place")
        .on_disabled_hover_text("Select a rider or an obstacle first");
    });
}

/// Adds something and selects it.
fn add(shared: &Shared<'_>, addition: Addition, path: String, queue: &mut Queue) {
    let added = editor::change(shared, &path, move |document| edit::add(document, addition.clone()), queue);
    if added {
        queue.push(Action::Select(path));
    }
}

/// What can be added: to the rider that is selected or holds what is, and to the fixture.
fn add_ui(ui: &mut Ui, shared: &Shared<'_>, path: &str, queue: &mut Queue) {
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
