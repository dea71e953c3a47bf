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
    /// Unsaved work that was left in this journal is opened.
    Recover(PathBuf),
}

/// Unsaved work that can be opened, put off or discarded.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// The journal it is in.
    pub journal: PathBuf,
    /// Its name.
    name: String,
    /// Which document, and when it was changed last.
    about: String,
    /// What differs from what was saved.
    changes: Vec<String>,
    /// Whether the file has been changed since.
    file_changed: bool,
}

impl Offer {
    /// The offer of work that was left.
    pub fn of(left: &Left) -> Self {
        let recovery = &left.recovery;
        let place = match (&left.project, &recovery.named) {
            (Some(file), _) => file.display().to_string(),
            (None, Some(named)) => format!("no file yet; worked on as {}", named.display()),
            (None, None) => "no file yet".to_owned(),
        };
        let about = match recovery.noted.and_then(|noted| noted.elapsed().ok()).map(ago) {
            Some(ago) => format!("last changed {ago} · {place}"),
            None => place,
        };
        // What was done is told where what differs cannot be.
        let changes = if recovery.changes.is_empty() { &recovery.descriptions } else { &recovery.changes };
        Self {
            journal: left.journal.clone(),
            name: left.name(),
            about,
            changes: changes.clone(),
            file_changed: recovery.file_changed,
        }
    }
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
    /// Windows that ended unexpectedly left unsaved work.
    Left {
        /// Each piece of it.
        offers: Vec<Offer>,
    },
    /// The file was deleted, renamed or moved.
    Gone,
    /// A file of the name chosen exists.
    Replace {
        /// The file.
        file: PathBuf,
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

    /// Whether Escape puts it away: a question about work that could be lost stays.
    const fn can_be_put_away(&self) -> bool {
        !matches!(self, Self::ChangedByOthers { .. } | Self::Gone)
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
    Recover(PathBuf),
    Discard(PathBuf),
    Later,
    Reload,
    KeepMine,
    SaveAgain,
    SaveAs,
    Replace(PathBuf),
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
                return start_ui(ui, start, &self.state.preferences).map(Answer::Start);
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
            Answer::Close => {
                // A question that is not answered puts off what was to follow.
                if matches!(self.modal, Some(Modal::TypePath { .. } | Modal::Replace { .. })) {
                    self.after_saving = None;
                }
                self.left_put_off |= matches!(self.modal, Some(Modal::Left { .. }));
                self.modal = None;
            }
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
            Answer::Recover(journal) => {
                self.modal = None;
                self.left_put_off = true;
                self.guarded_leave(ctx, Leaving::Recover(journal));
            }
            Answer::Discard(journal) => self.discard_left(&journal),
            Answer::Later => {
                self.modal = None;
                self.left_put_off = true;
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
            Answer::SaveAgain => {
                self.modal = None;
                self.save_again(ctx);
            }
            Answer::SaveAs => {
                self.modal = None;
                self.ask_file(ctx, Purpose::Save);
            }
            Answer::Replace(file) => {
                self.modal = None;
                self.save(ctx, &file, true);
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
                Purpose::Readings => "Take in caliper readings",
            });
            ui.add_space(4.0);
            ui.weak("This system shows no file dialog. Type the path of the file.");
            let sent = path_field(ui, text);
            complaint_ui(ui, complaint);
            ui.add_space(10.0);
            let word = match purpose {
                Purpose::Open => "Open",
                Purpose::Readings => "Take in",
                Purpose::Save | Purpose::Picture => "Save",
            };
            buttons(ui, |ui| {
                if ui.button(word).clicked() || sent {
                    return Some(Answer::Path(*purpose, text.clone()));
                }
                ui.button("Cancel").clicked().then_some(Answer::Close)
            })
        }
        Modal::Left { offers } => left_ui(ui, offers),
        Modal::Replace { file } => {
            let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
            ui.heading(format!("{name} exists already"));
            ui.add_space(4.0);
            ui.add(egui::Label::new(format!("Replace it? {}", file.display())).wrap());
            ui.weak(format!("What it holds now is kept as {name}~."));
            ui.add_space(10.0);
            buttons(ui, |ui| {
                if ui.button("Replace").clicked() {
                    return Some(Answer::Replace(file.clone()));
                }
                if ui.button("Choose another name…").clicked() {
                    return Some(Answer::SaveAs);
                }
                ui.button("Cancel").clicked().then_some(Answer::Close)
            })
        }
        Modal::Gone => {
            ui.heading(format!("{file_name} is no longer there"));
            ui.add_space(4.0);
            ui.label("The file was deleted, renamed or moved. What is open here is saved nowhere else.");
            ui.add_space(10.0);
            buttons(ui, |ui| {
                if ui.button("Save it there again").clicked() {
                    return Some(Answer::SaveAgain);
                }
                if ui.button("Save as…").clicked() {
                    return Some(Answer::SaveAs);
                }
                ui.button("Go on without saving").clicked().then_some(Answer::Close)
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
                if keep.clicked() {
                    return Some(Answer::KeepMine);
                }
                let other = ui.button("Save as…").on_hover_text("Save what is open under another name");
                other.clicked().then_some(Answer::SaveAs)
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

/// The list of unsaved work that was left.
fn left_ui(ui: &mut Ui, offers: &[Offer]) -> Option<Answer> {
    ui.heading("Unsaved work was found");
    ui.add_space(4.0);
    ui.add(
        egui::Label::new("It was left when a window ended unexpectedly. Nothing is lost by waiting.").wrap(),
    );
    let mut answer = None;
    list_area(360.0).show(ui, |ui| {
        for (number, offer) in offers.iter().enumerate() {
            ui.push_id(number, |ui| {
                ui.add_space(6.0);
                ui.separator();
                ui.label(RichText::new(&offer.name).font(theme::FontRole::Strong.id()));
                ui.add(egui::Label::new(RichText::new(&offer.about).weak()).wrap());
                if offer.file_changed {
                    let tone = colour(theme::current(ui.ctx()).colour(Tone::Marginal));
                    let text = "The file has been changed since. Opening this and saving would undo that.";
                    ui.add(egui::Label::new(RichText::new(text).color(tone)).wrap());
                }
                if let Some((first, rest)) = offer.changes.split_first() {
                    let more =
                        if rest.is_empty() { String::new() } else { format!(" · {} more", rest.len()) };
                    ui.add(egui::Label::new(format!("Changed: {first}{more}")).truncate())
                        .on_hover_text(shortened(&offer.changes));
                }
                ui.add_space(2.0);
                ui.horizontal(|ui| {
                    let open = ui.button("Open").on_hover_text("Go on working on it");
                    if open.accessible_name(format!("Open {}", offer.name)).clicked() {
                        answer = Some(Answer::Recover(offer.journal.clone()));
                    }
                    let discard = ui.button("Discard").on_hover_text("Remove it for good");
                    if discard.accessible_name(format!("Discard {}", offer.name)).clicked() {
                        answer = Some(Answer::Discard(offer.journal.clone()));
                    }
                });
            });
        }
    });
    ui.add_space(10.0);
    buttons(ui, |ui| {
        let later = ui.button("Later").on_hover_text("It stays, and is under File, Unsaved work");
        if later.clicked() {
            answer = Some(Answer::Later);
        }
    });
    answer
}

/// The first of many lines.
fn shortened(lines: &[String]) -> String {
    const MOST: usize = 20;
    let mut text = lines.iter().take(MOST).cloned().collect::<Vec<_>>().join("\n");
    if lines.len() > MOST {
        text.push_str("\n…");
    }
    text
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
