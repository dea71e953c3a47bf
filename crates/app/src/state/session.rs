//! The document being worked on: where it came from, what was changed, what it comes to.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use glidewright_project::document::Stand;
use glidewright_project::edit::{History, new_document};
use glidewright_project::store::{self, Claim, Expected, Stamp, StoreError, changes_between};
use glidewright_project::{Document, Problem};

use super::keeper::{Keeper, Left, journal_of};
use super::reading::Scenes;
use super::{Bench, Demo, Edit, LengthUnit, Reading};
use crate::work::{Watch, Worker, guarded};

/// Where a document came from.
#[derive(Clone, Debug, PartialEq)]
pub enum Origin {
    /// A project file.
    File(PathBuf),
    /// A project carried in the program.
    Demo(Demo),
    /// Nowhere yet.
    New,
}

/// What the worker is given.
type Job = (Arc<Document>, Option<String>, Arc<Reading>, Scenes);

/// Longest time a change may hold up the window; slower fixtures are worked out beside it.
const AT_ONCE: Duration = Duration::from_millis(12);

/// The document and what it comes to.
pub struct Session {
    history: History,
    origin: Origin,
    /// The file as it was read or written last.
    stamp: Option<Stamp>,
    /// The text as it was read or written last.
    saved_text: String,
    /// The right to write the file.
    claim: Option<Claim>,
    /// Whether another window has that right.
    taken: bool,
    /// Notices others' changes of the file.
    watch: Option<Watch>,
    /// Writes the journal, once something has changed.
    keeper: Option<Keeper>,
    /// Where the journals of documents without a file are kept.
    unsaved_folder: Option<PathBuf>,
    /// What the steps since the last pause are about, and how many there are: together one step of undo.
    open: Option<(String, usize)>,
    trial: Option<String>,
    reading: Arc<Reading>,
    scenes: Scenes,
    /// Counts what was asked to be worked out.
    asked: u64,
    /// The count that what is shown belongs to.
    shown: u64,
    /// The newest job the worker was given, until it is done.
    pending: Option<u64>,
    took: Duration,
    worker: Option<Worker<Job, (Reading, Duration)>>,
    /// The document as it was opened or saved last.
    basis: Arc<Document>,
}

impl Session {
    /// A session on a document.
    pub fn new(document: Document, origin: Origin) -> Self {
        let start = Instant::now();
        let scenes = Scenes::default();
        let reading = Arc::new(Reading::of(&document, None, None, &scenes));
        // What stands nowhere yet is lost unless it is saved.
        let history = History::new(document, origin != Origin::New);
        let saved_text = history.text().to_owned();
        Self {
            basis: Arc::clone(history.document()),
            history,
            origin,
            stamp: None,
            saved_text,
            claim: None,
            taken: false,
            watch: None,
            keeper: None,
            unsaved_folder: None,
            open: None,
            trial: None,
            reading,
            scenes,
            asked: 0,
            shown: 0,
            pending: None,
            took: start.elapsed(),
            worker: None,
        }
    }

    /// A session on a project file.
    ///
    /// # Errors
    /// What is wrong with the file.
    pub fn open(file: &Path) -> Result<Self, StoreError> {
        let opened = store::open(file)?;
        let mut session = Self::new(opened.document, Origin::File(file.to_owned()));
        session.stamp = Some(opened.stamp);
        session.saved_text = opened.text;
        Ok(session)
    }

    /// A session on work that was left unsaved. It counts as changed.
    pub fn recovered(left: Left, unsaved_folder: Option<PathBuf>) -> Self {
        let Left { journal, recovery } = left;
        let origin = recovery.project.clone().map_or(Origin::New, Origin::File);
        let mut session = Self::new(recovery.document, origin);
        session.history = History::new(session.history.document().as_ref().clone(), false);
        session.unsaved_folder = unsaved_folder;
        session.saved_text = String::new();
        if let Some(file) = &recovery.project {
            session.stamp = Stamp::of_file(file).ok();
            session.saved_text = std::fs::read_to_string(file).unwrap_or_default();
        }
        // At once into a journal of its own: the one it came from is then of no more use.
        session.start_keeper(Some(journal));
        session.note_in_journal();
        session
    }

    /// Claims the file for writing. Where it cannot be claimed for want of rights, saving will tell.
    pub fn claim(&mut self) {
        // Given back first: it may be the same file.
        self.claim = None;
        self.taken = false;
        if let Some(file) = self.file().map(Path::to_owned) {
            let claim = Claim::take(&file);
            self.taken = matches!(claim, Err(StoreError::Taken { .. }));
            self.claim = claim.ok();
        }
    }

    /// Whether another window writes the file.
    pub const fn is_taken(&self) -> bool {
        self.taken
    }

    /// Keeps unsaved work in journals: of documents without a file in this folder, of others beside them.
    pub fn keep_unsaved_in(&mut self, folder: Option<PathBuf>) {
        self.unsaved_folder = folder;
    }

    /// Watches the file; `changed` is called when somebody else has changed it.
    pub fn watch_file(&mut self, changed: impl Fn() + Send + 'static) {
        self.watch = self.file().map(Path::to_owned).and_then(|file| Watch::start(file, changed).ok());
    }

    /// What differs between the file as it is now and what it held when it was read or written last, if
    /// somebody else has changed it since this was asked.
    pub fn changed_by_others(&self) -> Option<Vec<String>> {
        if !self.watch.as_ref()?.take() {
            return None;
        }
        let file = self.file()?;
        let now = Stamp::of_file(file).ok()?;
        if self.stamp == Some(now) {
            return None;
        }
        let before = glidewright_project::parse(&self.saved_text);
        Some(match (before, store::open(file)) {
            (Ok(before), Ok(opened)) => changes_between(&before, &opened.document),
            (_, Err(error)) => vec![error.to_string()],
            (Err(_), Ok(_)) => Vec::new(),
        })
    }

    /// Goes on with what is open here: saving may replace what others wrote.
    pub fn disregard_others(&mut self) {
        self.stamp = self.file().and_then(|file| Stamp::of_file(file).ok());
    }

    fn start_keeper(&mut self, replaces: Option<PathBuf>) {
        let project = self.file().map(Path::to_owned);
        let Some(journal) = journal_of(project.as_deref(), self.unsaved_folder.as_deref()) else { return };
        self.keeper = Keeper::start(journal, project, self.saved_text.clone(), replaces).ok();
    }

    /// Notes the document as it is now in the journal.
    fn note_in_journal(&mut self) {
        if self.keeper.is_none() && self.is_changed() {
            self.start_keeper(None);
        }
        if let Some(keeper) = &self.keeper {
            keeper.note(self.history.text(), self.history.undo_description().unwrap_or_default());
        }
    }

    /// Why unsaved work cannot be kept safe, once.
    pub fn keeping_trouble(&self) -> Option<String> {
        self.keeper.as_ref()?.trouble()
    }

    /// Ends in good order: unsaved work is given up, its journal goes.
    pub fn finish(&mut self) {
        if let Some(keeper) = self.keeper.take() {
            keeper.finish();
        }
        self.claim = None;
        self.watch = None;
    }

    /// A session on a project carried in the program.
    ///
    /// # Errors
    /// What is wrong with its text.
    pub fn demo(demo: Demo) -> Result<Self, Vec<Problem>> {
        Ok(Self::new(glidewright_project::parse(demo.text())?, Origin::Demo(demo)))
    }

    /// A session on a bare rail, for when there is nothing else.
    pub fn empty() -> Self {
        Self::new(new_document("Untitled", "grooved 20x40", 500.0, Stand::Upright), Origin::New)
    }

    /// Lets slow fixtures be worked out beside the window; `arrived` is called when one is done.
    pub fn work_beside(&mut self, arrived: impl Fn() + Send + 'static) {
        let work = move |(document, trial, last, scenes): Job| {
            let start = Instant::now();
            let reading = Reading::of(&document, trial.as_deref(), Some(&last), &scenes);
            (reading, start.elapsed())
        };
        // Without a thread everything is worked out at once, as before.
        self.worker = Worker::start("analysis", work, arrived).ok();
    }

    /// Lets findings name lengths in a unit.
    pub fn write_lengths_in(&mut self, lengths: LengthUnit) {
        if self.scenes.write_in(lengths) {
            self.refresh();
        }
    }

    /// The document as written, without any trial.
    pub fn document(&self) -> &Document {
        self.history.document()
    }

    /// The same, to be held on to.
    pub fn document_shared(&self) -> Arc<Document> {
        Arc::clone(self.history.document())
    }

    /// The document as it was opened or saved last.
    pub const fn basis(&self) -> &Arc<Document> {
        &self.basis
    }

    /// Whether a change is going on that the next may join.
    pub const fn is_changing(&self) -> bool {
        self.open.is_some()
    }

    /// The scenes of what is shown.
    pub(super) const fn scenes(&self) -> &Scenes {
        &self.scenes
    }

    /// What it comes to, to be held on to.
    pub fn reading_shared(&self) -> Arc<Reading> {
        Arc::clone(&self.reading)
    }

    /// What it comes to, with the trial chosen.
    pub fn reading(&self) -> &Reading {
        &self.reading
    }

    /// The fixture and its results.
    pub fn bench(&self) -> Option<&Arc<Bench>> {
        self.reading.bench.as_ref()
    }

    /// What was changed and can be taken back.
    pub const fn history(&self) -> &History {
        &self.history
    }

    /// The trial chosen.
    pub fn trial(&self) -> Option<&str> {
        self.trial.as_deref()
    }

    /// Where the document came from.
    pub const fn origin(&self) -> &Origin {
        &self.origin
    }

    /// The file it is kept in.
    pub fn file(&self) -> Option<&Path> {
        match &self.origin {
            Origin::File(file) => Some(file),
            Origin::Demo(_) | Origin::New => None,
        }
    }

    /// A number that differs whenever what is shown has changed.
    pub const fn shown(&self) -> u64 {
        self.shown
    }

    /// Whether a result is still being worked out.
    pub const fn is_working(&self) -> bool {
        self.pending.is_some()
    }

    /// How long the last result took.
    pub const fn took(&self) -> Duration {
        self.took
    }

    /// Whether something was changed since it was opened or saved.
    pub fn is_changed(&self) -> bool {
        !self.history.is_saved()
    }

    /// Changes the document. Changes of one thing in a row are one step of undo, until [`Session::seal`].
    ///
    /// # Errors
    /// Why the change cannot be made.
    pub fn edit(&mut self, edit: &Edit) -> Result<(), Problem> {
        let edited = edit.apply(self.history.document(), self.trial.as_deref())?;
        let about = edit.about();
        if self.open.as_ref().is_some_and(|(open, _)| *open != about) {
            self.seal();
        }
        let before = self.history.revision();
        self.history.push(edited);
        if self.history.revision() != before {
            let steps = self.open.as_ref().map_or(0, |(_, steps)| *steps);
            self.open = Some((about, steps + 1));
            self.note_in_journal();
            self.refresh();
        }
        Ok(())
    }

    /// Ends the change going on: the next one is a step of its own.
    pub fn seal(&mut self) {
        if let Some((_, steps)) = self.open.take() {
            let description = self.history.undo_description().unwrap_or_default().to_owned();
            self.history.join(steps, &description);
        }
    }

    /// Gives up the change going on.
    ///
    /// # Errors
    /// When the document from before cannot be read, which would be a fault of the program.
    pub fn drop_edit(&mut self) -> Result<(), Vec<Problem>> {
        if self.open.is_some() {
            self.undo()?;
        }
        Ok(())
    }

    /// Takes back the last change; says what it was.
    ///
    /// # Errors
    /// When the document from before cannot be read, which would be a fault of the program.
    pub fn undo(&mut self) -> Result<Option<String>, Vec<Problem>> {
        self.seal();
        let what = self.history.undo_description().map(str::to_owned);
        let done = self.history.undo()?;
        self.after_history();
        Ok(what.filter(|_| done))
    }

    /// Does the next change again; says what it was.
    ///
    /// # Errors
    /// As for [`Session::undo`].
    pub fn redo(&mut self) -> Result<Option<String>, Vec<Problem>> {
        self.seal();
        let what = self.history.redo_description().map(str::to_owned);
        let done = self.history.redo()?;
        self.after_history();
        Ok(what.filter(|_| done))
    }

    fn after_history(&mut self) {
        let known = |name: &String| self.document().trials.iter().any(|trial| trial.name == *name);
        if self.trial.as_ref().is_some_and(|name| !known(name)) {
            self.trial = None;
        }
        self.note_in_journal();
        self.refresh();
    }

    /// Chooses a trial, or the fixture as it stands.
    pub fn choose_trial(&mut self, name: Option<&str>) {
        let known = name.filter(|name| self.document().trials.iter().any(|trial| trial.name == *name));
        if known != self.trial.as_deref() {
            self.trial = known.map(str::to_owned);
            self.seal();
            self.refresh();
        }
    }

    /// Saves under the name it has, or under a new one, which replaces what is there: whoever chose it was
    /// asked by the dialog.
    ///
    /// # Errors
    /// Why it could not be written, or that someone else has changed the file since it was opened.
    pub fn save(&mut self, file: &Path) -> Result<(), StoreError> {
        self.seal();
        let same = self.file() == Some(file);
        if !same || self.claim.is_none() {
            let claim = match Claim::take(file) {
                Err(error @ StoreError::Taken { .. }) => return Err(error),
                claim => claim.ok(),
            };
            self.claim = claim;
            self.taken = false;
        }
        let expected = match self.stamp {
            Some(stamp) if same => Expected::Unchanged(stamp),
            _ => Expected::Anything,
        };
        self.stamp = Some(store::save(file, self.history.document(), expected)?);
        self.history.mark_saved();
        self.basis = self.document_shared();
        self.origin = Origin::File(file.to_owned());
        self.saved_text = std::fs::read_to_string(file).unwrap_or_else(|_| self.history.text().to_owned());
        // What is saved needs no journal; the next change begins another.
        if let Some(keeper) = self.keeper.take() {
            keeper.finish();
        }
        Ok(())
    }

    /// Works out what the document comes to: at once where that is quick, else beside the window.
    fn refresh(&mut self) {
        self.asked += 1;
        let document = Arc::clone(self.history.document());
        if self.took > AT_ONCE
            && let Some(worker) = &self.worker
            && worker.hand_in(
                self.asked,
                (Arc::clone(&document), self.trial.clone(), Arc::clone(&self.reading), self.scenes.clone()),
            )
        {
            self.pending = Some(self.asked);
            return;
        }
        let start = Instant::now();
        let outcome =
            guarded(|| Reading::of(&document, self.trial.as_deref(), Some(&self.reading), &self.scenes));
        self.took = start.elapsed();
        self.pending = None;
        self.shown = self.asked;
        self.take(outcome);
    }

    fn take(&mut self, outcome: Result<Reading, String>) {
        let reading = outcome.unwrap_or_else(|message| Reading {
            is_old: true,
            problems: vec![Problem::error("", message).remedy("take back the last change")],
            ..(*self.reading).clone()
        });
        self.reading = Arc::new(reading);
    }

    /// Takes in what the worker has finished; whether something came. A result older than what is shown is
    /// stale and dropped; one older than the newest change is shown until that is done, so that a long drag
    /// is followed.
    pub fn take_results(&mut self) -> bool {
        let Some(done) = self.worker.as_ref().and_then(Worker::newest) else { return false };
        if done.revision <= self.shown {
            return false;
        }
        self.shown = done.revision;
        if self.pending == Some(done.revision) {
            self.pending = None;
        }
        let outcome = done.outcome.map(|(reading, took)| {
            self.took = took;
            reading
        });
        self.take(outcome);
        true
    }
}
