//! What lies over the window until it is answered.

use std::path::{Path, PathBuf};

use egui::{Context, RichText, Ui};
use glidewright_project::store::StoreError;
use glidewright_project::{Document, Problem};
use glidewright_sheet::Tone;

use super::App;
use super::dialogs::Purpose;
use super::picture::path_field;
use crate::commands::{Action, Command};
use crate::panels::{self, Start, StartAnswer, start_ui};
use crate::state::{Demo, Left};
use crate::theme::{self, colour};
use crate::widgets::{list_area, over};

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
    /// A killed program left unsaved work.
    Left {
        /// Which document, and when it was changed last.
        about: String,
        /// What differs from what was saved.
        changes: Vec<String>,
        /// Whether the file has been changed since.
        file_changed: bool,
    },
    /// Somebody else has changed the file.
    ChangedByOthers {
        /// What differs.
        changes: Vec<String>,
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

    /// An offer to recover unsaved work.
    pub fn left(left: &Left) -> Self {
        let recovery = &left.recovery;
        let name = match &recovery.project {
            Some(file) => file.display().to_string(),
            None => format!("{}, which has no file yet", recovery.document.name),
        };
        let ago = recovery.noted.and_then(|noted| noted.elapsed().ok()).map(ago);
        let about = match ago {
            Some(ago) => format!("{name}, last changed {ago}"),
            None => name,
        };
        // What was done is told where what differs cannot be.
        let changes = if recovery.changes.is_empty() { &recovery.descriptions } else { &recovery.changes };
        Self::Left { about, changes: changes.clone(), file_changed: recovery.file_changed }
    }

    /// Whether Escape puts it away: a question about work that could be lost stays.
    const fn can_be_put_away(&self) -> bool {
        !matches!(self, Self::Left { .. } | Self::ChangedByOthers { .. })
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
    Recover,
    ThrowAway,
    Reload,
    KeepMine,
}

impl App {
    /// Shows what lies over the window.
    pub(super) fn over_ui(&mut self, ctx: &Context) {
        self.finder_ui(ctx);
        self.keys_ui(ctx);
        self.preferences_ui(ctx);
        self.picture_ui(ctx);
        self.handbook_ui(ctx);
        let Some(mut modal) = self.modal.take() else { return };
        let file_name = panels::file_name(&self.state);
        let shown = over(ctx, "over the window").show(ctx, |ui| {
            if let Modal::Start(start) = &mut modal {
                return start_ui(ui, start, &self.state.preferences.recent).map(Answer::Start);
            }
            ui.set_width(460.0);
            modal_ui(ui, &mut modal, &file_name)
        });
        let answer = match shown.inner {
            None if shown.should_close() && modal.can_be_put_away() => Some(Answer::Close),
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
            Answer::Recover => {
                self.modal = None;
                self.recover(ctx);
            }
            Answer::ThrowAway => {
                self.modal = None;
                self.throw_away_left();
            }
            Answer::Reload => {
                self.modal = None;
                if let Some(file) = self.state.session.file().map(Path::to_owned) {
                    self.leave(ctx, Leaving::Open(file));
                }
            }
            Answer::KeepMine => {
                self.modal = None;
                self.state.session.disregard_others();
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
        Modal::Left { about, changes, file_changed } => {
            ui.heading("Unsaved work was found");
            ui.add_space(4.0);
            ui.add(egui::Label::new(about.as_str()).wrap());
            if *file_changed {
                let tone = colour(theme::current(ui.ctx()).colour(Tone::Marginal));
                let text = "The file has been changed since. Recovering and saving would undo that.";
                ui.add(egui::Label::new(RichText::new(text).color(tone)).wrap());
            }
            changes_ui(ui, "What differs from what was saved:", changes);
            ui.add_space(10.0);
            buttons(ui, |ui| {
                if ui.button("Recover it").clicked() {
                    return Some(Answer::Recover);
                }
                ui.button("Throw it away").clicked().then_some(Answer::ThrowAway)
            })
        }
        Modal::ChangedByOthers { changes } => {
            ui.heading(format!("Somebody else has changed {file_name}"));
            ui.add_space(4.0);
            ui.label("The file on disk is no longer what is open here.");
            changes_ui(ui, "What differs:", changes);
            ui.add_space(10.0);
            buttons(ui, |ui| {
                let load = ui.button("Load the file").on_hover_text("What was changed here is given up");
                if load.clicked() {
                    return Some(Answer::Reload);
                }
                let keep = ui.button("Keep what is open").on_hover_text("Saving then replaces the file");
                keep.clicked().then_some(Answer::KeepMine)
            })
        }
        Modal::Problems { title, lines } => {
            ui.heading(title.as_str());
            ui.add_space(4.0);
            list_area(320.0).show(ui, |ui| {
                for line in lines.iter() {
                    ui.label(line);
                }
            });
            ui.add_space(10.0);
            buttons(ui, |ui| ui.button("Close").clicked().then_some(Answer::Close))
        }
    }
}

/// A list of differences, a few lines high.
fn changes_ui(ui: &mut Ui, head: &str, changes: &[String]) {
    if changes.is_empty() {
        return;
    }
    ui.add_space(6.0);
    ui.weak(head);
    list_area(180.0).show(ui, |ui| {
        for change in changes {
            ui.add(egui::Label::new(format!("· {change}")).wrap());
        }
    });
}

/// How long ago, as one says it.
fn ago(since: std::time::Duration) -> String {
    let minutes = since.as_secs() / 60;
    match minutes {
        0 => "just now".to_owned(),
        1 => "a minute ago".to_owned(),
        2..=119 => format!("{minutes} minutes ago"),
        120..=2879 => format!("{} hours ago", minutes / 60),
        _ => format!("{} days ago", minutes / 1440),
    }
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
