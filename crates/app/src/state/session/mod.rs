//! The document being worked on: where it came from, what was changed, what it comes to.

mod files;

pub use files::{ByOthers, Keeping};

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use glidewright_motion::Detail;
use glidewright_project::document::Stand;
use glidewright_project::edit::{History, new_document};
use glidewright_project::store::{Claim, Stamp, Store, StoreError};
use glidewright_project::{Document, Problem};

use super::keeper::Keeper;
use super::left::Left;
use super::reading::Scenes;
use super::{Bench, Demo, Edit, Reading};
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
type Job = (Arc<Document>, Option<String>, Arc<Reading>, Scenes, Detail);

/// Longest time a change may hold up the window; slower fixtures are worked out beside it.
const AT_ONCE: Duration = Duration::from_millis(12);

/// A fixture that takes longer is looked at quickly while something is being moved.
const FOLLOWS: Duration = Duration::from_millis(4);

/// So long a hand rests before what it has moved is looked at in full.
const REST: Duration = Duration::from_millis(150);

/// The document and what it comes to.
pub struct Session {
    store: Store,
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
    /// Where unsaved work is kept.
    keeping: Keeping,
    /// Whether the file was found gone.
    is_gone: bool,
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
    /// How long the last result in full took, and the last that followed a hand.
    took: Duration,
    took_quick: Duration,
    /// When the document was changed last.
    changed: Instant,
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
            store: Store::disk(),
            basis: Arc::clone(history.document()),
            history,
            origin,
            stamp: None,
            saved_text,
            claim: None,
            taken: false,
            watch: None,
            keeper: None,
            keeping: Keeping::default(),
            is_gone: false,
            open: None,
            trial: None,
            reading,
            scenes,
            asked: 0,
            shown: 0,
            pending: None,
            took: start.elapsed(),
            took_quick: Duration::ZERO,
            changed: Instant::now(),
            worker: None,
        }
    }

    /// A session on a project file.
    ///
    /// # Errors
    /// What is wrong with the file.
    pub fn open(file: &Path) -> Result<Self, StoreError> {
        Self::open_in(Store::disk(), file)
    }

    /// The same in any store. From here on the file is the one the path names now, however it is spelled.
    pub(super) fn open_in(store: Store, file: &Path) -> Result<Self, StoreError> {
        let opened = store.open(file)?;
        let mut session = Self::new(opened.document, Origin::File(store.whole_path(file)));
        session.store = store;
        session.stamp = Some(opened.stamp);
        session.saved_text = opened.text;
        Ok(session)
    }

    /// A session on work that was left unsaved, which its journal goes on keeping. It counts as changed.
    pub fn recovered(left: Left, keeping: Keeping) -> Self {
        Self::recovered_in(Store::disk(), left, keeping)
    }

    pub(super) fn recovered_in(store: Store, left: Left, keeping: Keeping) -> Self {
        let Left { journal, project, recovery } = left;
        let mut session = Self::new(recovery.document, project.clone().map_or(Origin::New, Origin::File));
        session.history = History::new(session.history.document().as_ref().clone(), false);
        session.keeping = keeping;
        session.saved_text = String::new();
        if let Some(bytes) = project.and_then(|file| store.read(&file).ok()) {
            session.stamp = Some(Stamp::of(&bytes));
            session.saved_text = String::from_utf8(bytes).unwrap_or_default();
        }
        session.store = store;
        session.start_keeper(Some(journal));
        session.note_in_journal();
        session
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
        let work = move |(document, trial, last, scenes, detail): Job| {
            let start = Instant::now();
            let reading = Reading::in_detail(&document, trial.as_deref(), Some(&last), &scenes, detail);
            (reading, start.elapsed())
        };
        // Without a thread everything is worked out at once, as before.
        self.worker = Worker::start("analysis", work, arrived).ok();
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

    /// What another trial of the document comes to, or the fixture as drawn, worked out now.
    pub fn reading_of(&self, trial: Option<&str>) -> Reading {
        Reading::of(self.document(), trial, None, &self.scenes().apart())
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

    /// Whether nothing is being changed and what is shown is known in full: what looks ahead may begin.
    pub fn rests(&self) -> bool {
        !(self.is_working() || self.is_changing() || self.is_quick())
    }

    /// Whether what is shown was looked at quickly, to follow a hand.
    pub fn is_quick(&self) -> bool {
        self.reading.detail == Detail::Quick
    }

    /// How long the last result in full took.
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

    /// Works out what the document comes to: quickly while something is being moved, else in full.
    fn refresh(&mut self) {
        self.changed = Instant::now();
        let is_moving = self.open.as_ref().is_some_and(|(_, steps)| *steps > 1);
        let is_slow = self.took > FOLLOWS && self.worker.is_some();
        self.work_out(if is_moving && is_slow { Detail::Quick } else { Detail::Whole });
    }

    /// Works out what the document comes to: at once where that is quick, else beside the window.
    fn work_out(&mut self, detail: Detail) {
        self.asked += 1;
        if *self.took_in(detail) > AT_ONCE
            && let Some(worker) = &self.worker
        {
            let document = Arc::clone(self.history.document());
            let (trial, last) = (self.trial.clone(), Arc::clone(&self.reading));
            if worker.hand_in(self.asked, (document, trial, last, self.scenes.clone(), detail)) {
                self.pending = Some(self.asked);
                return;
            }
        }
        self.work_out_now(detail);
    }

    fn work_out_now(&mut self, detail: Detail) {
        let document = Arc::clone(self.history.document());
        let start = Instant::now();
        let (trial, last) = (self.trial.as_deref(), Some(&*self.reading));
        let outcome = guarded(|| Reading::in_detail(&document, trial, last, &self.scenes, detail));
        *self.took_in(detail) = start.elapsed();
        self.pending = None;
        self.shown = self.asked;
        self.take(outcome);
    }

    /// How long the last result in such detail took.
    const fn took_in(&mut self, detail: Detail) -> &mut Duration {
        match detail {
            Detail::Whole => &mut self.took,
            Detail::Quick => &mut self.took_quick,
        }
    }

    /// Looks in full at what was moved, once the hand rests or the button is released; how long until then, if it is to be asked again.
    pub fn settle(&mut self) -> Option<Duration> {
        if self.reading.detail == Detail::Whole || self.reading.is_old || self.pending.is_some() {
            return None;
        }
        let left = REST.saturating_sub(self.changed.elapsed());
        if self.open.is_some() && !left.is_zero() {
            return Some(left);
        }
        self.work_out(Detail::Whole);
        None
    }

    /// Looks in full at what is shown, now: for what leaves the window.
    pub fn complete(&mut self) {
        if self.pending.is_some() || self.reading.detail == Detail::Quick {
            self.asked += 1;
            self.work_out_now(Detail::Whole);
        }
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
            *self.took_in(reading.detail) = took;
            reading
        });
        self.take(outcome);
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A session whose fixture seems slow: what is moved is followed quickly, and worked out in full once it is let go.
    #[test]
    fn what_is_moved_is_followed_and_told_in_full_at_rest() {
        let mut session = Session::demo(Demo::SeedlingLift).unwrap();
        session.work_beside(|| {});
        let slowly = |session: &mut Session, to: &str| {
            (session.took, session.took_quick) = (FOLLOWS * 2, Duration::ZERO);
            session.edit(&Edit::set("stroke/to", to)).unwrap();
        };
        slowly(&mut session, "390");
        assert!(!session.is_quick(), "one change is worked out in full");
        slowly(&mut session, "385");
        assert!(session.is_quick() && !session.is_working());
        let few = session.bench().unwrap().results.curves.travel.len();
        assert!(session.settle().is_some(), "the hand may move on");
        session.seal();
        // In full beside the window, as the last one took long.
        session.took = AT_ONCE * 2;
        assert!(session.settle().is_none() && session.is_working());
        let begun = Instant::now();
        while !session.take_results() {
            assert!(begun.elapsed() < Duration::from_secs(60), "nothing arrived");
            std::thread::sleep(Duration::from_millis(1));
        }
        assert!(!session.is_quick() && !session.is_working() && session.settle().is_none());
        let bench = session.bench().unwrap();
        assert!(bench.results.curves.travel.len() > few);
        let afresh = session.reading_of(None);
        let gap = |bench: &Bench| bench.results.interference.tightest().unwrap().loaded.gap;
        assert_eq!(gap(bench), gap(afresh.bench.as_ref().unwrap()));
        // What leaves the window is in full, whatever is going on.
        slowly(&mut session, "380");
        slowly(&mut session, "375");
        assert!(session.is_quick());
        session.complete();
        assert!(!session.is_quick());
    }
}
