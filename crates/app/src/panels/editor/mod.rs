//! What is selected, with everything about it that can be changed.

mod belt;
mod bodies;
mod drive;
mod fields;
mod loads;
pub mod new;
mod part;
mod patch;
mod plate;
mod rail;
pub mod reach;
mod rider;
mod stack;
mod wheel;

use egui::{Context, RichText, Ui};
use glidewright_project::document::{Change, Trial};
use glidewright_project::edit::{self, Addition, EditResult};
use glidewright_project::{Document, Problem};

use super::Shared;
use crate::commands::{Action, Queue};
use crate::state::Edit;
use crate::theme::FontRole;
use crate::widgets::{begin_text, named_row, text_ui};

pub use fields::{complaint_ui, field_at, fields_ui, parts};
pub use part::measurable;
pub use plate::feature_word;
pub use rider::centre_ui;
pub use stack::{begin_readings, stated};

/// Draws the editor of what stands at a path.
pub fn editor_ui(ui: &mut Ui, shared: &Shared<'_>, path: &str, queue: &mut Queue) {
    if let Some(trial) = shared.state.session.trial() {
        ui.weak(format!("Sizes, parts and choices change in the trial “{trial}”."));
    }
    let steps: Vec<&str> = path.split('/').collect();
    match steps.as_slice() {
        ["rail"] => rail::rail_ui(ui, shared, queue),
        ["riders", name] => rider::rider_ui(ui, shared, name, queue),
        ["riders", _, "stack"] => {
            title_ui(ui, "Stack of the wheels");
            stack::stack_ui(ui, shared, path, queue);
        }
        ["riders", of, "wheels", name] => wheel::wheel_ui(ui, shared, of, name, queue),
        ["riders", of, "bolts", name] => wheel::bolt_ui(ui, shared, of, name, queue),
        ["riders", of, "shoes", name] => wheel::shoe_ui(ui, shared, of, name, queue),
        ["riders", of, "plates", name] => plate::plate_ui(ui, shared, of, name, queue),
        ["riders", of, "plates", on, "features", name] => {
            plate::feature_ui(ui, shared, of, on, name, queue);
        }
        ["riders", of, "loads", name] => loads::load_ui(ui, shared, of, name, queue),
        ["riders", of, "grip"] => loads::grip_ui(ui, shared, of, queue),
        ["riders", of, "points", name] => loads::point_ui(ui, shared, of, name, queue),
        ["line"] => belt::line_ui(ui, shared, queue),
        ["line", "nodes", name] => belt::node_ui(ui, shared, name, queue),
        ["obstacles", name] => loads::obstacle_ui(ui, shared, name, queue),
        ["stroke"] => {
            title_ui(ui, "Stroke");
            ui.weak("How far the lead rider moves.");
            fields_ui(ui, shared, path, |_| true, queue);
        }
        ["limits"] => {
            title_ui(ui, "Requirements");
            ui.weak("Findings are held against these.");
            fields_ui(ui, shared, path, |_| true, queue);
        }
        ["drive"] => drive::drive_ui(ui, shared, queue),
        ["resistance"] => drive::resistance_ui(ui, shared, queue),
        ["parts", name] => part::part_ui(ui, shared, name, queue),
        ["materials", name] => part::material_ui(ui, shared, name, queue),
        _ => {
            title_ui(ui, steps.last().copied().unwrap_or_default());
            fields_ui(ui, shared, path, |_| true, queue);
        }
    }
}

/// The name of what is shown, where it cannot be changed.
pub fn title_ui(ui: &mut Ui, words: &str) {
    ui.label(RichText::new(words).font(FontRole::Title.id()));
}

/// Where a wish to rename is kept until the name's field is drawn.
fn rename_wish() -> egui::Id {
    egui::Id::unique("part to rename")
}

/// Selects a thing and puts the keyboard into the field of its name.
pub fn begin_rename(ctx: &Context, path: &str, queue: &mut Queue) {
    ctx.data_mut(|data| data.insert_temp(rename_wish(), path.to_owned()));
    queue.push(Action::Select(path.to_owned()));
}

/// Whether the field of this thing's name should take the keyboard now.
fn wants_rename(ctx: &Context, path: &str) -> bool {
    let wished = ctx.data(|data| data.get_temp::<String>(rename_wish()));
    let is = wished.as_deref() == Some(path);
    if is {
        ctx.data_mut(|data| data.remove::<String>(rename_wish()));
    }
    is
}

/// What it is, and its name to change; references follow.
pub fn name_field_ui(
    ui: &mut Ui,
    shared: &Shared<'_>,
    what: &str,
    path: &str,
    name: &str,
    queue: &mut Queue,
) {
    named_row(ui, what, |ui| {
        let width = ui.available_width();
        if wants_rename(ui.ctx(), path) {
            begin_text(ui, (path, "name"), name);
        }
        if let Some(new) = text_ui(ui, (path, "name"), &format!("Name: {what}"), name, width, "") {
            rename(shared, path, new.trim(), queue);
        }
    });
}

/// Renames what stands at a path and follows it with the selection.
pub fn rename(shared: &Shared<'_>, path: &str, new: &str, queue: &mut Queue) {
    let to = match path.rsplit_once('/') {
        Some((base, _)) => format!("{base}/{new}"),
        None => new.to_owned(),
    };
    let (at, name) = (path.to_owned(), new.to_owned());
    let done = change(shared, path, move |document| edit::rename(document, &at, &name), queue);
    if done && shared.state.selected == path {
        queue.push(Action::Select(to));
    }
}

/// Makes a change to the fixture itself, if it can be made; says why not, if not.
pub fn change(
    shared: &Shared<'_>,
    about: &str,
    change: impl Fn(&Document) -> EditResult + Send + Sync + 'static,
    queue: &mut Queue,
) -> bool {
    match change(shared.state.session.document()) {
        Ok(_) => {
            queue.push(Action::EndEdit);
            queue.push(Action::Edit(Edit::make(about, change)));
            queue.push(Action::EndEdit);
            true
        }
        Err(problem) => {
            tell(&problem, queue);
            false
        }
    }
}

/// Makes a trial of some changes, on top of what is tried now, and shows it.
pub fn try_out(shared: &Shared<'_>, wanted: &str, note: &str, changes: Vec<Change>, queue: &mut Queue) {
    try_over(shared, shared.state.session.trial(), wanted, note, changes, queue);
}

/// The same, on top of this trial, or of the fixture as drawn.
pub fn try_over(
    shared: &Shared<'_>,
    over: Option<&str>,
    wanted: &str,
    note: &str,
    changes: Vec<Change>,
    queue: &mut Queue,
) {
    let session = &shared.state.session;
    let taken = session.document().trials.iter().map(|trial| trial.name.as_str());
    let name = edit::fresh_name(wanted, taken);
    let trial = Trial {
        name: name.clone(),
        note: note.to_owned(),
        over: over.map(str::to_owned).into_iter().collect(),
        changes,
    };
    let add = move |document: &Document| edit::add(document, Addition::Trial(trial.clone()));
    if change(shared, "trials", add, queue) {
        queue.push(Action::Try(Some(name)));
    }
}

/// Takes away what stands at a path, in the trial where one is tried.
pub fn take_away(path: &str, queue: &mut Queue) {
    queue.push(Action::EndEdit);
    queue.push(Action::Edit(Edit::Change(Change::Remove { path: path.to_owned() })));
    queue.push(Action::EndEdit);
}

/// Says why something cannot be done.
pub fn tell(problem: &Problem, queue: &mut Queue) {
    queue.push(Action::Tell(problem.told()));
}

/// Changes what stands at a path in the fixture itself, as a step of its own.
pub fn alter(
    path: &str,
    description: impl Into<String>,
    alter: impl Fn(&mut Document) -> Option<()> + Send + Sync + 'static,
    queue: &mut Queue,
) {
    queue.push(Action::EndEdit);
    queue.push(Action::Edit(Edit::alter(path, description, alter)));
    queue.push(Action::EndEdit);
}

/// A line of text of the document that anyone may write what they like in.
pub fn note_ui(
    ui: &mut Ui,
    path: &str,
    name: &str,
    now: &str,
    write: impl Fn(&mut Document, String) -> Option<()> + Send + Sync + 'static,
    queue: &mut Queue,
) {
    named_row(ui, name, |ui| {
        let width = ui.available_width();
        if let Some(new) = text_ui(ui, (path, name), name, now, width, "") {
            let note = new.trim().to_owned();
            alter(path, format!("Write the {}", name.to_lowercase()), move |d| write(d, note.clone()), queue);
        }
    });
}
