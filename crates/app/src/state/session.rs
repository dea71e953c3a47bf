//! The document being worked on: where it came from, what was changed, what it comes to.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use glidewright_project::document::{FORMAT, Rail, Stand, Stroke};
use glidewright_project::{Document, Problem};

use super::{Bench, Demo, Edit, History, Reading, read_project, write_whole};
use crate::work::{Worker, guarded};

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
type Job = (Arc<Document>, Option<String>, Arc<Reading>);

/// Longest time a change may hold up the window; slower fixtures are worked out beside it.
const AT_ONCE: Duration = Duration::from_millis(12);

/// The document and what it comes to.
pub struct Session {
    document: Arc<Document>,
    saved: Option<Arc<Document>>,
    origin: Origin,
    history: History<Document>,
    trial: Option<String>,
    reading: Arc<Reading>,
    /// Counts the changes; a result for an earlier number is stale.
    revision: u64,
    /// The change that what is shown belongs to.
    shown: u64,
    /// The newest job the worker was given, until it is done.
    pending: Option<u64>,
    took: Duration,
    worker: Option<Worker<Job, (Reading, Duration)>>,
}

impl Session {
    /// A session on a document.
    pub fn new(document: Document, origin: Origin) -> Self {
        let document = Arc::new(document);
        let start = Instant::now();
        let reading = Arc::new(Reading::of(&document, None, None));
        Self {
            saved: Some(Arc::clone(&document)),
            document,
            origin,
            history: History::default(),
            trial: None,
            reading,
            revision: 0,
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
    pub fn open(file: &Path) -> Result<Self, Vec<Problem>> {
        Ok(Self::new(read_project(file)?, Origin::File(file.to_owned())))
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
        let rail = Rail { section: String::new(), length: 0.0.into(), stand: Stand::Upright };
        let document = Document {
            format: FORMAT,
            name: "Untitled".to_owned(),
            note: String::new(),
            sizes: Default::default(),
            rail,
            riders: Vec::new(),
            line: None,
            obstacles: Vec::new(),
            stroke: Stroke { from: 0.0.into(), to: 0.0.into() },
            limits: Default::default(),
            drive: Default::default(),
            resistance: Default::default(),
            parts: Vec::new(),
            materials: Vec::new(),
            measured: Vec::new(),
            trials: Vec::new(),
            comments: Default::default(),
        };
        Self::new(document, Origin::New)
    }

    /// Lets slow fixtures be worked out beside the window; `arrived` is called when one is done.
    pub fn work_beside(&mut self, arrived: impl Fn() + Send + 'static) {
        let work = |(document, trial, last): Job| {
            let start = Instant::now();
            let reading = Reading::of(&document, trial.as_deref(), Some(&last));
            (reading, start.elapsed())
        };
        // Without a thread everything is worked out at once, as before.
        self.worker = Worker::start("analysis", work, arrived).ok();
    }

    /// The document as written, without any trial.
    pub fn document(&self) -> &Document {
        &self.document
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
    pub const fn history(&self) -> &History<Document> {
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
        self.saved
            .as_ref()
            .is_none_or(|saved| !Arc::ptr_eq(saved, &self.document) && **saved != *self.document)
    }

    /// Changes the document; edits of one path in a row count as one change until [`Session::seal`].
    ///
    /// # Errors
    /// Why the change cannot be made.
    pub fn edit(&mut self, edit: &Edit) -> Result<(), String> {
        let changed = edit.apply(&self.document, self.trial.as_deref())?;
        if changed == *self.document {
            return Ok(());
        }
        let before = std::mem::replace(&mut self.document, Arc::new(changed));
        self.history.note(edit.description(), before, Some(edit.path()));
        self.refresh();
        Ok(())
    }

    /// Ends the change going on.
    pub fn seal(&mut self) {
        self.history.seal();
    }

    /// Gives up the change going on.
    pub fn drop_edit(&mut self) {
        if let Some(step) = self.history.drop_open() {
            self.document = step.state;
            self.refresh();
        }
    }

    /// Takes back the last change; says what it was.
    pub fn undo(&mut self) -> Option<String> {
        let step = self.history.undo(Arc::clone(&self.document))?;
        self.document = step.state;
        self.after_history();
        Some(step.description)
    }

    /// Does the next change again; says what it was.
    pub fn redo(&mut self) -> Option<String> {
        let step = self.history.redo(Arc::clone(&self.document))?;
        self.document = step.state;
        self.after_history();
        Some(step.description)
    }

    fn after_history(&mut self) {
        let gone =
            self.trial.as_ref().is_some_and(|name| !self.document.trials.iter().any(|t| t.name == *name));
        if gone {
            self.trial = None;
        }
        self.refresh();
    }

    /// Chooses a trial, or the fixture as it stands.
    pub fn choose_trial(&mut self, name: Option<&str>) {
        let known = name.filter(|name| self.document.trials.iter().any(|trial| trial.name == *name));
        if known != self.trial.as_deref() {
            self.trial = known.map(str::to_owned);
            self.seal();
            self.refresh();
        }
    }

    /// Saves under the name it has, or under a new one.
    ///
    /// # Errors
    /// Why it could not be written.
    pub fn save(&mut self, file: &Path) -> Result<(), String> {
        let text = glidewright_project::print(&self.document);
        write_whole(file, text.as_bytes())
            .map_err(|error| format!("not saved: {error}: {}", file.display()))?;
        self.saved = Some(Arc::clone(&self.document));
        self.origin = Origin::File(file.to_owned());
        Ok(())
    }

    /// Works out what the document comes to: at once where that is quick, else beside the window.
    fn refresh(&mut self) {
        self.revision += 1;
        if self.took > AT_ONCE
            && let Some(worker) = &self.worker
        {
            let job = (Arc::clone(&self.document), self.trial.clone(), Arc::clone(&self.reading));
            if worker.hand_in(self.revision, job) {
                self.pending = Some(self.revision);
                return;
            }
        }
        let start = Instant::now();
        let outcome = guarded(|| Reading::of(&self.document, self.trial.as_deref(), Some(&self.reading)));
        self.took = start.elapsed();
        self.pending = None;
        self.shown = self.revision;
        self.take(outcome);
    }

    fn take(&mut self, outcome: Result<Reading, String>) {
        match outcome {
            Ok(reading) => self.reading = Arc::new(reading),
            Err(message) => {
                let kept = Reading {
                    is_old: true,
                    problems: vec![Problem::error("", message).remedy("take back the last change")],
                    ..(*self.reading).clone()
                };
                self.reading = Arc::new(kept);
            }
        }
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
