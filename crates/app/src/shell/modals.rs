//! What lies over the window until it is answered.

use std::path::{Path, PathBuf};

use egui::{Context, Id, Key, RichText, TextEdit, Ui};
use glidewright_project::store::StoreError;
use glidewright_project::{Document, Problem};
use glidewright_sheet::Tone;

use super::App;
use super::dialogs::Purpose;
use super::perform::PictureKind;
use crate::commands::{Action, Command};
use crate::panels::{self, Start, StartAnswer, start_ui};
use crate::state::Demo;
use crate::theme::{self, colour};

/// What is about to happen to unsaved work.
#[derive(Clone, Debug, PartialEq)]
pub enum Leaving {
    /// The program ends.
    Quit,
    /// A project file is opened.
    Open(PathBuf),
    /// A built-in project is opened.
    Demo(Demo),
    /// A file is chosen to be opened.
    Choose,
    /// A new project is begun.
    New(Box<Document>),
}

/// Something over the window.
#[derive(Clone, Debug, PartialEq)]
pub enum Modal {
    /// How to start.
    Start(Box<Start>),
    /// Unsaved work would be lost.
    Unsaved(Leaving),
    /// A path is typed, where there is no dialog.
    TypePath {
        /// What for.
        purpose: Purpose,
        /// What is typed.
        text: String,
        /// What was wrong with it.
        complaint: String,
    },
    /// A picture is written.
    Picture {
        /// Where to.
        path: String,
        /// How.
        kind: PictureKind,
        /// Width of a PNG in pixels.
        width: u32,
        /// What was wrong.
        complaint: String,
    },
    /// Something went wrong and needs to be read.
    Problems {
        /// What went wrong.
        title: String,
        /// Each with place and remedy.
        lines: Vec<String>,
    },
}

impl Modal {
    /// A question about unsaved work.
    pub const fn unsaved(then: Leaving) -> Self {
        Self::Unsaved(then)
    }

    /// Why a file could not be opened.
    pub fn cannot_open(error: &StoreError) -> Self {
        let lines = match error {
            StoreError::Unreadable { problems, .. } => problems.iter().map(ToString::to_string).collect(),
            other => vec![other.to_string(), other.remedy().to_owned()],
        };
        Self::Problems { title: "The project could not be opened".to_owned(), lines }
    }

    /// What is wrong with a project.
    pub fn problems(title: &str, problems: &[Problem]) -> Self {
        Self::Problems { title: title.to_owned(), lines: problems.iter().map(ToString::to_string).collect() }
    }
}

/// What was answered.
enum Answer {
    Close,
    Start(StartAnswer),
    Save(Leaving),
    Leave(Leaving),
    Path(Purpose, String),
    Browse(Purpose),
    Write(String, PictureKind, u32),
}

impl App {
    /// Shows what lies over the window.
    pub(super) fn over_ui(&mut self, ctx: &Context) {
        self.finder_ui(ctx);
        let Some(mut modal) = self.modal.take() else { return };
        let file_name = panels::file_name(&self.state);
        let shown = egui::Modal::new(Id::unique("over the window")).show(ctx, |ui| {
            if let Modal::Start(start) = &mut modal {
                return start_ui(ui, start, &self.state.preferences.recent).map(Answer::Start);
            }
            ui.set_width(460.0);
            modal_ui(ui, &mut modal, &file_name)
        });
        let answer = match shown.inner {
            None if shown.should_close() => Some(Answer::Close),
            answer => answer,
        };
        self.modal = Some(modal);
        if let Some(answer) = answer {
            self.answer(ctx, answer);
        }
    }

    fn answer(&mut self, ctx: &Context, answer: Answer) {
        match answer {
            Answer::Close => self.modal = None,
            Answer::Start(answer) => {
                self.modal = None;
                self.queue.extend(answer.action());
            }
            Answer::Save(then) => {
                self.modal = None;
                self.after_saving = Some(then);
                self.queue.push(Action::Do(Command::Save));
            }
            Answer::Leave(then) => {
                self.modal = None;
                self.leave(ctx, then);
            }
            Answer::Path(purpose, text) => self.take_typed(ctx, purpose, &text),
            Answer::Browse(purpose) => self.ask_file(ctx, purpose),
            Answer::Write(path, kind, width) => {
                let dark = ctx.theme() == egui::Theme::Dark;
                self.write_picture(&path, kind, width, dark);
            }
        }
    }
}

fn modal_ui(ui: &mut Ui, modal: &mut Modal, file_name: &str) -> Option<Answer> {
    match modal {
        Modal::Start(_) => None,
        Modal::Unsaved(then) => {
            ui.heading(format!("Save the changes to {file_name}?"));
            ui.add_space(4.0);
            ui.label("They are lost otherwise.");
            ui.add_space(10.0);
            buttons(ui, |ui| {
                if ui.button("Save").clicked() {
                    return Some(Answer::Save(then.clone()));
                }
                if ui.button("Leave without saving").clicked() {
                    return Some(Answer::Leave(then.clone()));
                }
                ui.button("Stay").clicked().then_some(Answer::Close)
            })
        }
        Modal::TypePath { purpose, text, complaint } => {
            ui.heading(match purpose {
                Purpose::Open => "Open a project",
                Purpose::Save => "Save the project",
                Purpose::Picture => "Write a picture",
            });
            ui.add_space(4.0);
            ui.weak("This system shows no file dialog. Type the path of the file.");
            let sent = path_field(ui, text);
            complaint_ui(ui, complaint);
            ui.add_space(10.0);
            let word = if *purpose == Purpose::Open { "Open" } else { "Save" };
            buttons(ui, |ui| {
                if ui.button(word).clicked() || sent {
                    return Some(Answer::Path(*purpose, text.clone()));
                }
                ui.button("Cancel").clicked().then_some(Answer::Close)
            })
        }
        Modal::Picture { path, kind, width, complaint } => picture_ui(ui, path, kind, width, complaint),
        Modal::Problems { title, lines } => {
            ui.heading(title.as_str());
            ui.add_space(4.0);
            egui::ScrollArea::vertical().max_height(320.0).show(ui, |ui| {
                for line in lines.iter() {
                    ui.label(line);
                }
            });
            ui.add_space(10.0);
            buttons(ui, |ui| ui.button("Close").clicked().then_some(Answer::Close))
        }
    }
}

fn picture_ui(
    ui: &mut Ui,
    path: &mut String,
    kind: &mut PictureKind,
    width: &mut u32,
    complaint: &str,
) -> Option<Answer> {
    ui.heading("Write a picture");
    ui.add_space(4.0);
    ui.weak("The middle view, as it is seen now.");
    ui.add_space(6.0);
    let before = *kind;
    ui.horizontal(|ui| {
        for choice in PictureKind::ALL {
            ui.radio_value(kind, choice, choice.word()).on_hover_text(choice.about());
        }
    });
    if *kind != before {
        *path = Path::new(path.as_str()).with_extension(kind.extension()).display().to_string();
    }
    ui.add_enabled_ui(*kind == PictureKind::Png, |ui| {
        ui.horizontal(|ui| {
            let label = ui.label("Width in pixels");
            ui.add(egui::DragValue::new(width).range(200..=12000).speed(10)).labelled_by(label.id);
        });
    });
    let sent = path_field(ui, path);
    let mut browse = false;
    ui.horizontal(|ui| browse = ui.button("Choose a place…").clicked());
    complaint_ui(ui, complaint);
    ui.add_space(10.0);
    if browse {
        return Some(Answer::Browse(Purpose::Picture));
    }
    buttons(ui, |ui| {
        if ui.button("Write").clicked() || sent {
            return Some(Answer::Write(path.clone(), *kind, *width));
        }
        ui.button("Cancel").clicked().then_some(Answer::Close)
    })
}

/// A field for a path; whether Enter was pressed in it.
fn path_field(ui: &mut Ui, text: &mut String) -> bool {
    let first = ui.memory(|memory| memory.focused().is_none());
    let field = ui.add(TextEdit::singleline(text).desired_width(f32::INFINITY).hint_text("folder/file"));
    let field = field.accessible_name("Path of the file");
    if first {
        field.request_focus();
    }
    field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter))
}

fn complaint_ui(ui: &mut Ui, complaint: &str) {
    if !complaint.is_empty() {
        let tone = colour(theme::current(ui.ctx()).colour(Tone::Clash));
        ui.add(egui::Label::new(RichText::new(complaint).color(tone)).wrap());
    }
}

fn buttons<R>(ui: &mut Ui, add: impl FnOnce(&mut Ui) -> R) -> R {
    ui.horizontal(add).inner
}
