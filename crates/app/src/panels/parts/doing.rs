//! What can be done with a part as a whole: copied, put down elsewhere, doubled, mirrored, renamed, deleted.

use egui::{Button, Context, Ui};
use glidewright_project::edit::{
    self, Clip, MirrorPlane, can_be_copied, can_be_doubled, can_be_mirrored, is_piece, is_thing,
};

use super::super::{Shared, editor};
use super::things::{paths, thing_of, things};
use crate::commands::{Action, Command, Queue};
use crate::widgets::menu_row;

/// Least width of the menu (points).
const WIDTH: f32 = 170.0;

/// The thing that is meant by a selected path: itself, or the thing it is a part of.
pub fn meant(shared: &Shared<'_>, path: &str) -> String {
    if let Some(thing) = edit::nearest(path, |path| is_thing(path) || path.ends_with("/stack")) {
        return thing.to_owned();
    }
    let things = things(&shared.state.session.reading().document);
    thing_of(&things, path).map(|thing| thing.path.clone()).unwrap_or_default()
}

/// Takes it away.
pub fn delete(shared: &Shared<'_>, path: &str, queue: &mut Queue) {
    let above = path.rsplit_once('/').map_or("", |(above, _)| above);
    // A list is no thing: what is on a rider leaves the rider selected.
    let above =
        if above.ends_with("/stack") { above } else { above.rsplit_once('/').map_or("", |(above, _)| above) };
    let (at, above) = (path.to_owned(), above.to_owned());
    let done = if is_piece(path) || shared.state.session.trial().is_some() {
        editor::take_away(path, queue);
        true
    } else {
        editor::change(shared, path, move |document| edit::delete(document, &at), queue)
    };
    if done {
        queue.push(Action::Select(above));
    }
}

/// Another of it beside it, and that selected.
pub fn double(shared: &Shared<'_>, path: &str, queue: &mut Queue) {
    let at = path.to_owned();
    let change = move |document: &glidewright_project::Document| edit::duplicate(document, &at);
    let before = shared.state.session.document();
    let copy = change(before).ok().and_then(|edited| {
        let before = paths(before);
        paths(&edited.document).into_iter().find(|path| !before.contains(path))
    });
    if editor::change(shared, path, change, queue) {
        queue.extend(copy.map(Action::Select));
    }
}

/// Puts it on the clipboard.
pub fn copy(ctx: &Context, shared: &Shared<'_>, path: &str, queue: &mut Queue) {
    let Some(clip) = Clip::taken(&shared.state.session.reading().document, path) else { return };
    match clip.text() {
        Ok(text) => {
            ctx.copy_text(text);
            let name = path.rsplit('/').next().unwrap_or_default();
            queue.push(Action::Tell(format!("Copied {name}")));
        }
        Err(problem) => editor::tell(&problem, queue),
    }
}

/// Puts down what is on the clipboard, onto what is selected, and selects it.
pub fn paste(shared: &Shared<'_>, text: &str, queue: &mut Queue) {
    let onto = shared.state.selected.clone();
    let put = Clip::read(text).and_then(|clip| {
        let (_, path) = edit::paste(shared.state.session.document(), &clip, &onto)?;
        Ok((clip, path))
    });
    match put {
        Ok((clip, path)) => {
            let change = move |document: &glidewright_project::Document| {
                edit::paste(document, &clip, &onto).map(|(edited, _)| edited)
            };
            if editor::change(shared, &path, change, queue) {
                queue.push(Action::Select(path));
            }
        }
        Err(problem) => editor::tell(&problem, queue),
    }
}

/// The buttons above the list.
pub fn buttons_ui(ui: &mut Ui, shared: &Shared<'_>, path: &str, queue: &mut Queue) {
    const FIRST: &str = "Select a rider or something on one first";
    let with = edit::goes_with(shared.state.session.document(), path);
    let tip = if with.is_empty() {
        "Take away what is selected".to_owned()
    } else {
        format!("Take away what is selected; with it goes or changes: {}", with.join(", "))
    };
    let button = ui.add_enabled(is_thing(path), Button::new("Delete"));
    if button.on_hover_text(tip).on_disabled_hover_text(FIRST).clicked() {
        delete(shared, path, queue);
    }
    ui.add_enabled_ui(can_be_mirrored(path), |ui| {
        ui.menu_button("Mirror", |ui| mirror_ui(ui, shared, path, queue))
            .response
            .on_hover_text("Mirror a rider or an obstacle in place")
            .on_disabled_hover_text("Select a rider or an obstacle first");
    });
    let button = ui.add_enabled(can_be_doubled(path), Button::new("Duplicate"));
    let button = button.on_hover_text("Another of what is selected, beside it").on_disabled_hover_text(FIRST);
    if button.clicked() {
        double(shared, path, queue);
    }
}

fn mirror_ui(ui: &mut Ui, shared: &Shared<'_>, path: &str, queue: &mut Queue) {
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
}

/// What a right click on a part offers, in the list and in the drawing.
pub fn menu_ui(ui: &mut Ui, shared: &Shared<'_>, path: &str, queue: &mut Queue) {
    ui.set_min_width(WIDTH);
    let row = |ui: &mut Ui, words: &str, command: Option<Command>| {
        let keys = command.map_or_else(String::new, |command| command.keys(ui.ctx()));
        let is = menu_row(ui, words, &keys, true);
        if is {
            ui.close();
        }
        is
    };
    if can_be_copied(path) && row(ui, "Copy", Some(Command::CopyPart)) {
        copy(ui.ctx(), shared, path, queue);
    }
    if row(ui, "Paste", Some(Command::PastePart)) {
        queue.push(Action::Select(path.to_owned()));
        queue.push(Action::Do(Command::PastePart));
    }
    if can_be_doubled(path) && row(ui, "Duplicate", Some(Command::DuplicatePart)) {
        double(shared, path, queue);
    }
    if can_be_mirrored(path) {
        ui.menu_button("Mirror", |ui| mirror_ui(ui, shared, path, queue));
    }
    if is_thing(path) && !is_piece(path) && path != "line" && row(ui, "Rename", None) {
        editor::begin_rename(ui.ctx(), path, queue);
    }
    if is_thing(path) {
        ui.separator();
        if row(ui, "Delete", Some(Command::DeletePart)) {
            delete(shared, path, queue);
        }
    }
}
