//! What every trial would come to, and every way to cure a finding: worked out beside the window.

use std::sync::Arc;

use glidewright_motion::{Outcome as PairOutcome, Severity, analyse};
use glidewright_project::document::{Change, Trial};
use glidewright_project::edit::{Way, ways};
use glidewright_project::{Document, apply, resolve};

use super::{Reading, Session};
use crate::work::Worker;

/// What a document comes to, in one line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outcome {
    /// The tightest gap (mm), where (mm of travel), and what becomes of it.
    pub tightest: Option<(f64, f64, PairOutcome)>,
    /// How many findings fail.
    pub fails: usize,
    /// How many are marginal.
    pub marginal: usize,
    /// Whether no fixture could be made of it, or a change no longer applies.
    pub is_broken: bool,
}

impl Outcome {
    fn of(document: &Document, trial: Option<&str>) -> Self {
        let resolved = resolve(document, trial);
        let is_broken = resolved.has_errors() || resolved.fixture.is_none();
        let Some(results) = resolved.fixture.map(|fixture| analyse(&fixture)) else {
            return Self { tightest: None, fails: 0, marginal: 0, is_broken };
        };
        let count = |severity| results.findings.iter().filter(|f| f.severity == severity).count();
        Self {
            tightest: results.interference.tightest().map(|pair| (pair.gap, pair.at_travel, pair.outcome)),
            fails: count(Severity::Fails),
            marginal: count(Severity::Marginal),
            is_broken,
        }
    }
}

/// A way to carry a remedy out, and what would come of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Cure {
    /// The way.
    pub way: Way,
    /// What would come of it.
    pub outcome: Outcome,
}

/// What was worked out, and for which state of the document.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Foresight {
    shown: u64,
    /// The fixture without any trial.
    pub base: Option<Outcome>,
    /// Each trial by name.
    pub trials: Vec<(String, Outcome)>,
    /// Ways by number of finding and number of remedy.
    pub cures: Vec<Vec<Vec<Cure>>>,
}

struct Job {
    shown: u64,
    document: Arc<Document>,
    reading: Arc<Reading>,
}

/// Looks ahead beside the window.
#[derive(Default)]
pub struct Outlook {
    worker: Option<Worker<Job, Foresight>>,
    asked: Option<u64>,
    last: Foresight,
}

impl Outlook {
    /// Lets it be worked out beside the window; `arrived` is called when something is done.
    pub fn work_beside(&mut self, arrived: impl Fn() + Send + 'static) {
        *self = Self { worker: Worker::start("outlook", foresee, arrived).ok(), ..Self::default() };
    }

    /// Hands in what is shown now, unless that was done or an interaction is going on; takes in what is done.
    pub fn follow(&mut self, session: &Session) {
        let Some(worker) = &self.worker else { return };
        if let Some(done) = worker.newest()
            && let Ok(foresight) = done.outcome
        {
            self.last = foresight;
        }
        let shown = session.shown();
        if self.asked == Some(shown) || session.is_working() || session.is_changing() {
            return;
        }
        let job = Job { shown, document: session.document_shared(), reading: session.reading_shared() };
        if worker.hand_in(shown, job) {
            self.asked = Some(shown);
        }
    }

    /// Whether something is still being worked out.
    pub fn is_working(&self) -> bool {
        self.worker.is_some() && self.asked.is_some_and(|asked| asked != self.last.shown)
    }

    /// What the trials come to, if that is of the document shown, or the last that was.
    pub const fn foresight(&self) -> &Foresight {
        &self.last
    }

    /// Ways to carry a remedy out; none while they are not yet worked out.
    pub fn cures(&self, session: &Session, finding: usize, remedy: usize) -> &[Cure] {
        if self.last.shown != session.shown() {
            return &[];
        }
        self.last.cures.get(finding).and_then(|all| all.get(remedy)).map_or(&[], Vec::as_slice)
    }
}

fn foresee(job: Job) -> Foresight {
    let Job { shown, document, reading } = job;
    let trials = document
        .trials
        .iter()
        .map(|trial| (trial.name.clone(), Outcome::of(&document, Some(&trial.name))))
        .collect();
    Foresight { shown, base: Some(Outcome::of(&document, None)), trials, cures: cures(&reading) }
}

fn cures(reading: &Reading) -> Vec<Vec<Vec<Cure>>> {
    let Some(bench) = reading.bench.as_ref().filter(|_| !reading.is_old) else { return Vec::new() };
    let results = &bench.results;
    let of_way =
        |way: Way| Cure { outcome: Outcome::of(&with_changes(&reading.document, &way.changes), None), way };
    results
        .findings
        .iter()
        .map(|finding| {
            finding
                .remedies
                .iter()
                .map(|remedy| {
                    ways(&reading.document, results, finding, remedy).into_iter().map(of_way).collect()
                })
                .collect()
        })
        .collect()
}

/// The document with some changes made; one that does not apply is left out.
fn with_changes(document: &Document, changes: &[Change]) -> Document {
    let name = "\u{1}".to_owned();
    let trial =
        Trial { name: name.clone(), note: String::new(), over: Vec::new(), changes: changes.to_vec() };
    let with = Document { trials: vec![trial], ..document.clone() };
    Document { trials: Vec::new(), ..apply(&with, &name).0 }
}
