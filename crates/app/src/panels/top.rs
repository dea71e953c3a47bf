//! The menus, and what is open.

use egui::{Align, Button, Layout, RichText, Ui};
use glidewright_sheet::number;

use super::{Shared, file_name};
use crate::commands::{Action, Command, Menu, Queue, TABLE};
use crate::shell::FrameTimes;
use crate::state::{Demo, Origin};
use crate::theme::{FontRole, colour};
use crate::widgets::bar_ui;

/// Room beside the project's name for the state of its file and of the work on it (points).
const NAME_LEAVES: f32 = 130.0;

/// Draws the bar.
pub fn top_ui(ui: &mut Ui, shared: &Shared<'_>, times: &FrameTimes, queue: &mut Queue) {
    let left = |ui: &mut Ui, queue: &mut Queue| {
        let menus = egui::Vec2::new(230.0, ui.available_height());
        let layout = Layout::left_to_right(Align::Center);
        ui.allocate_ui_with_layout(menus, layout, |ui| {
            egui::MenuBar::new().ui(ui, |ui| {
                for (title, menu) in Menu::TITLES {
                    ui.menu_button(title, |ui| menu_ui(ui, shared, menu, queue));
                }
            })
        });
        ui.separator();
        name_ui(ui, shared, queue);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| message_ui(ui, shared, queue));
    };
    let right = |ui: &mut Ui, _: &mut Queue| {
        if times.shown
            && let Some((median, high)) = times.figures()
        {
            let took = shared.state.session.took().as_secs_f64() * 1e3;
            ui.weak(format!(
                "frame {} ms, 95 % {} ms, analysis {} ms",
                number(median, 2),
                number(high, 2),
                number(took, 1)
            ));
        }
    };
    ui.horizontal_centered(|ui| bar_ui(ui, queue, left, right));
}

fn menu_ui(ui: &mut Ui, shared: &Shared<'_>, menu: Menu, queue: &mut Queue) {
    for spec in TABLE.iter().filter(|spec| spec.menu == menu && spec.command.exists()) {
        if matches!(
            spec.command,
            Command::Open
                | Command::Save
                | Command::ExportPicture
                | Command::Preferences
                | Command::Quit
                | Command::ShowAll
                | Command::ToggleGhosts
                | Command::ToggleParts
                | Command::ToggleDark
        ) {
            ui.separator();
        }
        command_row(ui, shared, spec.command, queue);
        if spec.command == Command::Open {
            open_more_ui(ui, shared, queue);
        }
    }
}

fn command_row(ui: &mut Ui, shared: &Shared<'_>, command: Command, queue: &mut Queue) {
    let spec = command.spec();
    let history = shared.state.session.history();
    let label = match command {
        Command::Undo => history.undo_description().map(|what| format!("Undo: {what}")),
        Command::Redo => history.redo_description().map(|what| format!("Redo: {what}")),
        _ => None,
    };
    let label = label.unwrap_or_else(|| command.label().to_owned());
    let hindrance = command.hindrance(shared.state);
    let button = Button::new(label).shortcut_text(command.keys(ui.ctx()));
    let row = ui.add_enabled(hindrance.is_none(), button).on_hover_text(spec.tooltip);
    let row = match hindrance {
        Some(why) => row.on_disabled_hover_text(why),
        None => row,
    };
    if row.clicked() {
        queue.push(Action::Do(command));
        ui.close();
    }
}

fn open_more_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    ui.menu_button("Built-in projects", |ui| {
        for demo in Demo::ALL {
            if ui.button(demo.title()).clicked() {
                queue.push(Action::OpenDemo(demo));
                ui.close();
            }
        }
    });
    let recent = &shared.state.preferences.recent;
    if !recent.is_empty() {
        ui.menu_button("Opened lately", |ui| {
            for file in recent {
                let name = file
                    .file_name()
                    .map_or_else(|| file.display().to_string(), |n| n.to_string_lossy().into_owned());
                if ui.button(name).on_hover_text(file.display().to_string()).clicked() {
                    queue.push(Action::Open(file.clone()));
                    ui.close();
                }
            }
        });
    }
}

fn name_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let session = &shared.state.session;
    let name = RichText::new(file_name(shared.state)).font(FontRole::Strong.id());
    // A long name leaves room for what is said of it.
    let widest = (ui.available_width() - NAME_LEAVES).max(60.0);
    let response = ui
        .scope(|ui| {
            ui.set_max_width(widest);
            ui.add(egui::Label::new(name).truncate())
        })
        .inner;
    match session.file() {
        Some(file) => response.on_hover_text(file.display().to_string()),
        None => response.on_hover_text("A project carried in the program: save it to keep your changes"),
    };
    let state = if session.is_changed() {
        "changed, not saved"
    } else if session.file().is_some() {
        "saved"
    } else if *session.origin() == Origin::New {
        "not saved yet"
    } else {
        "built in"
    };
    ui.weak(state);
    if let Some(why) = session.keeping_trouble() {
        let tone = colour(shared.theme.colour(glidewright_sheet::Tone::Clash));
        ui.label(RichText::new("· work is not being kept").color(tone))
            .on_hover_text(format!("A crash or a power cut would lose what is not saved: {why}"));
    }
    if let Some(progress) = shared.state.outlook.progress() {
        let (done, of) = progress.steps();
        ui.weak(format!("· looking ahead {done}/{of}"))
            .on_hover_text("The trials and the remedies of the findings are being worked out");
        let stop = Command::StopWork;
        let button = ui.small_button("×").on_hover_text(stop.tooltip(ui.ctx()));
        if button.accessible_name(stop.label()).clicked() {
            queue.push(Action::Do(stop));
        }
    }
    if session.is_quick() {
        ui.weak("· at a glance").on_hover_text(
            "While something is moved, gaps under load are shown to first order and curves at fewer travels; all of it is worked out when the hand rests",
        );
    } else if session.is_working() {
        ui.weak("· calculating").on_hover_text("Shown is the last result; the new one is being worked out");
    }
}

fn message_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let Some(notice) = &shared.state.notice else { return };
    let mut text = RichText::new(&notice.text);
    if notice.is_trouble {
        text = text.color(colour(shared.theme.colour(glidewright_sheet::Tone::Clash)));
    }
    if ui.small_button("×").accessible_name("Put the message away").clicked() {
        queue.push(Action::Dismiss);
    }
    ui.add(egui::Label::new(text).truncate()).on_hover_text(&notice.text);
}
