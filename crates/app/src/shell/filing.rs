//! Opening, saving, recovering: what happens to files, and what is asked about first.

use std::path::{Path, PathBuf};

use egui::{Context, ViewportCommand};
use glidewright_project::store::{Store, StoreError};
use glidewright_project::{Problem, edit, read_readings};

use super::App;
use super::app::connect;
use super::dialogs::{Answer, Dialog, Purpose};
use super::modals::{Leaving, Modal, Offer};
use crate::state::{ByOthers, Drawer, Edit, LeftBehind, Notice, Origin, Session, left_behind};
use crate::views::CENTRE;

impl App {
    /// Asks first when work would be lost.
    pub(super) fn guarded_leave(&mut self, ctx: &Context, then: Leaving) {
        if self.state.session.is_changed() {
            self.modal = Some(Modal::unsaved(then));
        } else {
            self.leave(ctx, then);
        }
    }

    /// Leaves what is open: it is saved, or given up on purpose. Where the next cannot be opened it stays.
    pub(super) fn leave(&mut self, ctx: &Context, then: Leaving) {
        match then {
            Leaving::Quit => {
                self.may_leave = true;
                self.state.session.discard();
                ctx.send_viewport_cmd(ViewportCommand::Close);
            }
            Leaving::Choose => self.ask_file(ctx, Purpose::Open),
            Leaving::Open(file) => match Session::open(&file) {
                Ok(session) => {
                    self.begin(ctx, session);
                    self.remember(&file);
                    self.take_left(left_behind(&Store::disk(), Some(&file), None));
                }
                Err(error) => {
                    self.modal = Some(Modal::cannot_open(&error));
                    // What is left of it may be all there is.
                    self.take_left(left_behind(&Store::disk(), Some(&file), None));
                }
            },
            Leaving::New(document) => self.begin(ctx, Session::new(*document, Origin::New)),
            Leaving::Demo(demo) => match Session::demo(demo) {
                Ok(session) => self.begin(ctx, session),
                Err(problems) => self.modal = Some(Modal::problems(demo.title(), &problems)),
            },
            Leaving::Recover(journal) => self.recover(ctx, &journal),
        }
    }

    fn begin(&mut self, ctx: &Context, session: Session) {
        let mut before = std::mem::replace(&mut self.state.session, session);
        before.discard();
        // Only now: the file opened may be the one just given back.
        self.state.session.claim();
        connect(ctx, &mut self.state.session, &self.keeping);
        self.state.look_ahead_beside(ctx);
        self.state.play = None;
        self.state.selected.clear();
        self.state.hovered = None;
        self.state.finding = None;
        self.state.notice = None;
        self.state.centre = CENTRE;
        self.canvases = Default::default();
        self.start_travel();
        self.warn_of_taken();
        ctx.request_repaint();
    }

    /// Takes in what was found in journals: it is offered, or said to be damaged.
    pub(super) fn take_left(&mut self, found: LeftBehind) {
        for left in found.offers {
            if !self.state.left.iter().any(|known| known.journal == left.journal) {
                self.state.left.push(left);
                self.left_put_off = false;
            }
        }
        if let Some(damaged) = found.damaged.into_iter().next() {
            self.state.notice = Some(Notice::trouble(damaged));
        }
    }

    /// Offers unsaved work that was left, until it is put off.
    pub(super) fn offer_left(&mut self) {
        if self.modal.is_none() && !self.left_put_off && !self.state.left.is_empty() {
            self.show_left();
        }
    }

    /// Shows the unsaved work that is left.
    pub(super) fn show_left(&mut self) {
        // Another window may have opened or discarded some of it meanwhile.
        let store = Store::disk();
        self.state.left = self.state.left.iter().filter_map(|left| left.again(&store)).collect();
        let offers: Vec<Offer> = self.state.left.iter().map(Offer::of).collect();
        self.modal = if offers.is_empty() { None } else { Some(Modal::Left { offers }) };
    }

    /// Goes on with unsaved work; what else is left waits.
    fn recover(&mut self, ctx: &Context, journal: &Path) {
        let Some(place) = self.state.left.iter().position(|left| left.journal == journal) else { return };
        let Some(left) = self.state.left.remove(place).again(&Store::disk()) else {
            self.state.notice = Some(Notice::trouble("That work is no longer there: another window has it"));
            return;
        };
        self.left_put_off = true;
        let session = Session::recovered(left, self.keeping.clone());
        self.begin(ctx, session);
        let more = match self.state.left.len() {
            0 => String::new(),
            count => format!("; {count} more under File, Unsaved work"),
        };
        self.state.notice =
            Some(Notice::done(format!("Recovered what was not saved: save it to keep it{more}")));
    }

    /// Discards unsaved work that is offered.
    pub(super) fn discard_left(&mut self, journal: &Path) {
        match Store::disk().discard(journal) {
            Ok(()) => {
                self.state.left.retain(|left| left.journal != journal);
                self.state.notice = Some(Notice::done("Discarded"));
            }
            Err(error) => {
                let text = format!("Not discarded: {error}; {}", error.remedy());
                self.state.notice = Some(Notice::trouble(text));
            }
        }
        self.show_left();
    }

    /// Says so when somebody else has changed the file, or taken it away.
    pub(super) fn tell_of_others(&mut self) {
        // One question at a time; what happened is still there afterwards.
        if self.modal.is_none()
            && let Some(by_others) = self.state.session.by_others()
        {
            self.modal = Some(match by_others {
                ByOthers::Changed(changes) => Modal::ChangedByOthers { changes },
                ByOthers::Gone => Modal::Gone,
            });
        }
    }

    /// Tells when unsaved work is not being kept any more, and when it is again.
    pub(super) fn tell_of_keeping(&mut self) {
        let trouble = self.state.session.keeping_trouble();
        if trouble == self.keeping_trouble {
            return;
        }
        self.state.notice = Some(match &trouble {
            Some(why) => Notice::trouble(format!("Unsaved work is not being kept: {why}")),
            None => Notice::done("Unsaved work is being kept again"),
        });
        self.keeping_trouble = trouble;
    }

    pub(super) fn remember(&mut self, file: &Path) {
        let whole = std::path::absolute(file).unwrap_or_else(|_| file.to_owned());
        self.prefer(|preferences| preferences.remember(&whole));
    }

    /// Shows the system's dialog.
    pub(super) fn ask_file(&mut self, ctx: &Context, purpose: Purpose) {
        if self.dialog.is_some() {
            return;
        }
        let suggested = match (purpose, &self.picture) {
            (Purpose::Open | Purpose::Readings, _) => self.state.session.file().map(Path::to_owned),
            (Purpose::Picture, Some(dialog)) => Some(PathBuf::from(&dialog.path)),
            (Purpose::Picture, None) => Some(self.suggested_file("png")),
            (Purpose::Save, _) => Some(self.suggested_file("ron")),
        };
        let repaint = ctx.clone();
        self.dialog = Some(Dialog::ask(purpose, suggested, move || repaint.request_repaint()));
    }

    /// Takes the system dialog's answer.
    pub(super) fn take_dialog(&mut self, ctx: &Context) {
        let Some((purpose, answer)) = self.dialog.as_ref().and_then(|d| Some((d.purpose, d.answer()?)))
        else {
            return;
        };
        self.dialog = None;
        match answer {
            // The dialog has asked about replacing what it names.
            Answer::File(file) => match self.take_file(ctx, purpose, &file, true) {
                Ok(()) => {}
                Err(complaint) => self.type_path(purpose, file.display().to_string(), complaint),
            },
            Answer::Nothing => self.after_saving = None,
            Answer::NoDialog => match &mut self.picture {
                Some(dialog) => {
                    dialog.complaint = "This system shows no file dialog: type the path.".to_owned();
                }
                None => {
                    let text = match (purpose, &self.state.session.origin()) {
                        (Purpose::Open, Origin::File(file)) => file.display().to_string(),
                        (Purpose::Open | Purpose::Readings, _) => String::new(),
                        _ => self.suggested_file("ron").display().to_string(),
                    };
                    self.type_path(purpose, text, String::new());
                }
            },
        }
    }

    /// Lets a path be typed.
    fn type_path(&mut self, purpose: Purpose, text: String, complaint: String) {
        self.modal = Some(Modal::TypePath { purpose, text, complaint });
    }

    /// Takes a path; `asked` says whether replacing what has it was agreed to. An error is to be told beside it.
    fn take_file(&mut self, ctx: &Context, purpose: Purpose, file: &Path, asked: bool) -> Result<(), String> {
        match purpose {
            Purpose::Open => self.leave(ctx, Leaving::Open(file.to_owned())),
            Purpose::Readings => self.take_readings(ctx, file)?,
            Purpose::Save => {
                let whole = project_path(file)?;
                let asked = asked && whole == file;
                self.save(ctx, &whole, asked);
            }
            Purpose::Picture => {
                if let Some(dialog) = &mut self.picture {
                    dialog.take_file(file);
                }
            }
        }
        Ok(())
    }

    /// Takes caliper readings in from a table, as one change.
    ///
    /// # Errors
    /// What is wrong with the table, with its lines; then nothing is taken in.
    pub(super) fn take_readings(&mut self, ctx: &Context, file: &Path) -> Result<(), String> {
        let bytes = Store::disk().read(file).map_err(|error| format!("{error}; {}", error.remedy()))?;
        let readings = read_readings(&bytes).map_err(|problems| {
            let told = problems.iter().take(3).map(Problem::line).collect::<Vec<_>>().join("; ");
            let more = problems.len().saturating_sub(3);
            if more > 0 { format!("{told}; and {more} more") } else { told }
        })?;
        self.state.session.seal();
        let taken = Edit::make("measured", move |document| edit::take_readings(document, readings.clone()));
        self.state.session.edit(&taken).map_err(|problem| problem.to_string())?;
        self.state.session.seal();
        self.state.drawer = Some(Drawer::Readings);
        let done = self.state.session.history().undo_description().map(str::to_owned);
        self.state.notice = done.map(Notice::done).or(self.state.notice.take());
        self.after_change(ctx);
        Ok(())
    }

    /// Takes a typed path.
    pub(super) fn take_typed(&mut self, ctx: &Context, purpose: Purpose, text: &str) {
        let path = Path::new(text.trim());
        let wrong = match text.trim() {
            "" => Some("Type the path of a file.".to_owned()),
            typed if matches!(purpose, Purpose::Open | Purpose::Readings) && !path.is_file() => {
                Some(format!("There is no file {typed}."))
            }
            _ => None,
        };
        let before = self.modal.take();
        let taken = match wrong {
            Some(wrong) => Err(wrong),
            None => self.take_file(ctx, purpose, path, false),
        };
        if let Err(wrong) = taken {
            self.modal = before;
            if let Some(Modal::TypePath { complaint, .. }) = &mut self.modal {
                *complaint = wrong;
            }
        }
    }

    /// Saves; `replaces` says whether a file of that name may be replaced.
    pub(super) fn save(&mut self, ctx: &Context, file: &Path, replaces: bool) {
        let saved = self.state.session.save(file, replaces);
        self.after_save(ctx, file, saved);
    }

    /// Saves in the place the file has gone from.
    pub(super) fn save_again(&mut self, ctx: &Context) {
        let Some(file) = self.state.session.file().map(Path::to_owned) else { return };
        let saved = self.state.session.save_again();
        self.after_save(ctx, &file, saved);
    }

    fn after_save(&mut self, ctx: &Context, file: &Path, saved: Result<(), StoreError>) {
        match saved {
            Ok(()) => {
                let repaint = ctx.clone();
                self.state.session.watch_file(move || repaint.request_repaint());
                self.state.notice = Some(Notice::done(format!("Saved {}", file.display())));
                self.remember(file);
                if let Some(then) = self.after_saving.take() {
                    self.leave(ctx, then);
                }
            }
            // These are answered, and what was to follow with them.
            Err(StoreError::Exists { path }) => self.modal = Some(Modal::Replace { file: path }),
            Err(StoreError::Gone { .. }) => self.modal = Some(Modal::Gone),
            Err(error @ StoreError::ChangedOutside { .. }) => {
                self.after_saving = None;
                let changes = match self.state.session.look_for_others() {
                    Some(ByOthers::Changed(changes)) => changes,
                    _ => vec![error.to_string()],
                };
                self.modal = Some(Modal::ChangedByOthers { changes });
            }
            Err(error) => {
                self.after_saving = None;
                self.state.notice = Some(Notice::trouble(format!("Not saved: {error}; {}", error.remedy())));
            }
        }
    }
}

/// The path of a project file: with its ending where it has none.
///
/// # Errors
/// Why it cannot be one.
fn project_path(path: &Path) -> Result<PathBuf, String> {
    match path.extension() {
        None => Ok(path.with_extension("ron")),
        Some(end) if end.eq_ignore_ascii_case("ron") => Ok(path.to_owned()),
        Some(end) => {
            let name = path.with_added_extension("ron");
            let name = name.file_name().unwrap_or_default().to_string_lossy().into_owned();
            Err(format!("The name of a project ends in .ron, not in .{}: {name}?", end.to_string_lossy()))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ending_decides() {
        let check = |typed: &str, expected: Option<&str>| {
            assert_eq!(project_path(Path::new(typed)).ok(), expected.map(PathBuf::from), "{typed}");
        };
        check("a", Some("a.ron"));
        check("folder.d/a", Some("folder.d/a.ron"));
        check("a.ron", Some("a.ron"));
        check("a.RON", Some("a.RON"));
        check("a.png", None);
        check("stand 1.2", None);
        assert!(project_path(Path::new("stand 1.2")).unwrap_err().contains("stand 1.2.ron"));
    }
}
