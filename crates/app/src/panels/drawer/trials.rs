//! The trials as a table: what each comes to, what it changes, and what can be done with it.

use egui::containers::menu::{MenuButton, MenuConfig};
use egui::{Align, Button, Label, Layout, PopupCloseBehavior, Response, RichText, ScrollArea, Ui};
use glidewright_project::document::Trial;
use glidewright_project::edit::{self, Addition, fresh_name};

use super::super::findings::{mark_of, nothing_near};
use super::super::{Shared, editor};
use super::{Columns, cell_ui};
use crate::commands::{Action, Queue};
use crate::state::Outcome;
use crate::theme::FontRole;
use crate::widgets::{mark_ui, quiet_button, text_ui};

const COLUMNS: Columns<'static> = Columns {
    heads: &[
        ("", 14.0),
        ("trial", 190.0),
        ("tightest", 70.0),
        ("at", 64.0),
        ("outcome", 110.0),
        ("fail", 34.0),
        ("marginal", 52.0),
        ("note", 0.0),
        ("", 272.0),
    ],
};

/// Draws the table.
pub fn trials_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let document = shared.state.session.document();
    let outlook = &shared.state.outlook;
    let outcome = |trial: Option<&str>| outlook.of_trial(trial).map(|tried| &tried.outcome);
    ScrollArea::both().auto_shrink([false, false]).show(ui, |ui| {
        ui.set_min_width(930.0 * crate::widgets::text_scale(ui));
        ui.spacing_mut().item_spacing.y = 2.0;
        make_ui(ui, shared, queue);
        let widths = COLUMNS.widths(ui);
        COLUMNS.head_ui(ui, &widths);
        row_ui(ui, shared, None, outcome(None), &widths, queue);
        for trial in &document.trials {
            let outcome = outcome(Some(&trial.name));
            let row = ui.scope(|ui| {
                ui.push_id(&trial.name, |ui| {
                    row_ui(ui, shared, Some(trial), outcome, &widths, queue);
                    if shared.state.session.trial() == Some(trial.name.as_str()) {
                        changes_ui(ui, shared, trial, queue);
                    }
                })
            });
            if shared.state.session.trial() == Some(trial.name.as_str()) {
                follow_choice(ui, &trial.name, &row.response);
            }
        }
    });
}

/// Scrolls to the trial that was chosen, once, wherever that was done.
fn follow_choice(ui: &Ui, name: &str, row: &Response) {
    let seen = egui::Id::unique("trial scrolled to");
    let is_new = ui.data(|data| data.get_temp::<String>(seen)).as_deref() != Some(name);
    if is_new {
        row.scroll_to_me(None);
        ui.data_mut(|data| data.insert_temp(seen, name.to_owned()));
    }
}

/// Ways to make one.
fn make_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let session = &shared.state.session;
    ui.horizontal(|ui| {
        let tip = "What you change from now on goes into it; the fixture itself stays as it is";
        if ui.button("New trial").on_hover_text(tip).clicked() {
            editor::try_out(shared, "trial", "", Vec::new(), queue);
        }
        let tip = "Takes what was changed since the project was opened or saved back out of the fixture and \
                   makes a trial of it";
        let button = ui.add_enabled(session.is_changed(), Button::new("Trial of what was changed"));
        if button.on_hover_text(tip).on_disabled_hover_text("Nothing was changed").clicked() {
            let name = fresh_name("changes", session.document().trials.iter().map(|t| t.name.as_str()));
            let (basis, wanted) = (std::sync::Arc::clone(session.basis()), name.clone());
            let made = editor::change(
                shared,
                "trials",
                move |document| edit::trial_from(&basis, document, &wanted, ""),
                queue,
            );
            if made {
                queue.push(Action::Try(Some(name)));
            }
        }
        if shared.state.outlook.is_working() {
            ui.weak("working out…");
        }
    });
}

fn row_ui(
    ui: &mut Ui,
    shared: &Shared<'_>,
    trial: Option<&Trial>,
    outcome: Option<&Outcome>,
    widths: &[f32],
    queue: &mut Queue,
) {
    let name = trial.map_or("As drawn", |trial| trial.name.as_str());
    let chosen = shared.state.session.trial() == trial.map(|trial| trial.name.as_str());
    let [mark, named, gap, at, word, fails, marginal, note, more] = widths else { return };
    ui.horizontal(|ui| {
        cell_ui(ui, *mark, |ui| {
            if let Some(outcome) = outcome {
                mark_ui(ui, mark_of(outcome), shared.theme);
            }
        });
        cell_ui(ui, *named, |ui| {
            let font = if chosen { FontRole::Strong } else { FontRole::Body };
            let size = egui::Vec2::new(ui.available_width(), 0.0);
            let button = Button::selectable(chosen, RichText::new(name).font(font.id()))
                .right_text("")
                .truncate()
                .min_size(size);
            if ui.add(button).accessible_name(format!("Show trial: {name}")).clicked() {
                queue.push(Action::Try(trial.map(|trial| trial.name.clone())));
            }
        });
        let tightest = outcome.and_then(|outcome| outcome.tightest);
        let unit = shared.state.preferences.units();
        let figure = |ui: &mut Ui, width: f32, text: String| {
            cell_ui(ui, width, |ui| {
                ui.add(Label::new(text).truncate());
            });
        };
        figure(ui, *gap, tightest.map_or_else(String::new, |(gap, ..)| unit.text(gap, 2)));
        figure(ui, *at, tightest.map_or_else(String::new, |(_, at, _)| unit.text(at, 1)));
        let words = match (outcome, tightest) {
            (None, _) => "…".to_owned(),
            (Some(outcome), _) if outcome.is_broken => "cannot be made".to_owned(),
            (_, Some((.., pair))) => pair.word().to_owned(),
            (_, None) => nothing_near(unit),
        };
        figure(ui, *word, words);
        figure(ui, *fails, outcome.map_or_else(String::new, |outcome| outcome.fails.to_string()));
        figure(ui, *marginal, outcome.map_or_else(String::new, |outcome| outcome.marginal.to_string()));
        let Some(trial) = trial else { return };
        cell_ui(ui, *note, |ui| {
            let width = ui.available_width() - 4.0;
            let says = format!("Note of {name}");
            if let Some(new) = text_ui(ui, (name, "note"), &says, &trial.note, width, "why it is tried") {
                let name = trial.name.clone();
                editor::alter(
                    &format!("trials/{name}"),
                    format!("Write the note of {name}"),
                    move |document| {
                        document.trials.iter_mut().find(|trial| trial.name == name)?.note = new.clone();
                        Some(())
                    },
                    queue,
                );
            }
        });
        cell_ui(ui, *more, |ui| more_ui(ui, shared, trial, queue));
    });
}

fn more_ui(ui: &mut Ui, shared: &Shared<'_>, trial: &Trial, queue: &mut Queue) {
    let name = &trial.name;
    let path = format!("trials/{name}");
    let button = |ui: &mut Ui, words: &str, tip: &str| {
        ui.add(Button::new(words).small()).on_hover_text(tip).accessible_name(format!("{words}: {name}"))
    };
    if button(
        ui,
        "Make it the base",
        "Its changes become the fixture; the old one is kept as a trial where that can be",
    )
    .clicked()
    {
        let of = name.clone();
        editor::change(shared, &path, move |document| edit::adopt(document, &of, Some("as it was")), queue);
        queue.push(Action::Try(None));
    }
    stack_on_ui(ui, shared, trial, queue);
    if button(ui, "Copy", "Another trial with the same changes").clicked() {
        let trial = trial.clone();
        editor::change(
            shared,
            &path,
            move |document| edit::add(document, Addition::Trial(trial.clone())),
            queue,
        );
    }
    if button(ui, "Delete", "Take the trial away").clicked() {
        let at = path;
        editor::change(shared, "trials", move |document| edit::delete(document, &at), queue);
    }
}

/// Which other trials' changes come first.
fn stack_on_ui(ui: &mut Ui, shared: &Shared<'_>, trial: &Trial, queue: &mut Queue) {
    let words = if trial.over.is_empty() { "On…".to_owned() } else { format!("On {}", trial.over.len()) };
    // Several are chosen in one go: only a click outside closes it.
    let stays = MenuConfig::new().close_behavior(PopupCloseBehavior::CloseOnClickOutside);
    let button = MenuButton::from_button(Button::new(words).small()).config(stays);
    let (response, _) = button.ui(ui, |ui| {
        ui.weak("Trials whose changes come first");
        for other in shared.state.session.document().trials.iter().filter(|other| other.name != trial.name) {
            let mut stands = trial.over.contains(&other.name);
            if ui.checkbox(&mut stands, &other.name).changed() {
                let (of, below) = (trial.name.clone(), other.name.clone());
                editor::change(
                    shared,
                    "trials",
                    move |document| edit::stand_on(document, &of, &below, stands),
                    queue,
                );
            }
        }
    });
    let tip = if trial.over.is_empty() {
        "Let it stand on other trials".to_owned()
    } else {
        format!("It stands on {}", trial.over.join(", "))
    };
    response.on_hover_text(tip).accessible_name(format!("Stand on: {}", trial.name));
}

/// Name and changes of the trial that is shown, one by one.
fn changes_ui(ui: &mut Ui, shared: &Shared<'_>, trial: &Trial, queue: &mut Queue) {
    ui.indent("changes", |ui| {
        ui.horizontal(|ui| {
            ui.weak("Name");
            let width = 190.0 * crate::widgets::text_scale(ui);
            if let Some(new) = text_ui(ui, (&trial.name, "trial name"), "Name: Trial", &trial.name, width, "")
            {
                let new = new.trim().to_owned();
                let (path, to) = (format!("trials/{}", trial.name), new.clone());
                let at = path.clone();
                if editor::change(shared, &path, move |document| edit::rename(document, &at, &to), queue) {
                    queue.push(Action::Try(Some(new)));
                }
            }
            if trial.changes.is_empty() {
                ui.weak("It changes nothing yet: change a size, a part or a choice.");
            }
        });
        for (place, change) in trial.changes.iter().enumerate() {
            ui.horizontal(|ui| {
                let words = edit::describe(change);
                let remove = format!("Take out: {words}");
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    if quiet_button(ui, "×", &remove, "Take this change out").clicked() {
                        let name = trial.name.clone();
                        editor::change(
                            shared,
                            "trials",
                            move |document| edit::drop_change(document, &name, place),
                            queue,
                        );
                    }
                    ui.label(words);
                });
            });
        }
    });
}
