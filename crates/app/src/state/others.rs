//! The fixture of every trial, worked out beside the window where something shows it: faint curves behind the
//! strips, two trials side by side.

use std::sync::Arc;
use std::time::{Duration, Instant};

use glidewright_project::{Document, Problem};

use super::{Bench, Reading};
use crate::work::{Step, Task};

/// One trial, or the fixture as drawn, with its fixture and results.
#[derive(Clone, Debug)]
pub struct Tried {
    /// The trial; `None` for the fixture as drawn.
    pub trial: Option<String>,
    /// Its fixture and results; none where none can be made of it.
    pub bench: Option<Arc<Bench>>,
    /// What is wrong with it.
    pub problems: Vec<Problem>,
}

/// How long nothing must have changed before the trials are worked out: a drag does not wait for them.
const QUIET: Duration = Duration::from_millis(250);

/// All trials of a document.
#[derive(Default)]
pub struct Others {
    all: Vec<Tried>,
    /// The document they are of.
    of: Option<Arc<Document>>,
    /// The document they are wanted of, and since when.
    wanted: Option<(Arc<Document>, Instant)>,
    fresh: Vec<Tried>,
    task: Option<Task<Tried>>,
    /// Counts the times they changed.
    version: u64,
    /// The document for which the work was stopped.
    given_up: Option<Arc<Document>>,
}

impl Others {
    /// All of them, the fixture as drawn first, then the trials in their order; empty until they are known.
    pub fn all(&self) -> &[Tried] {
        &self.all
    }

    /// One trial, or the fixture as drawn.
    pub fn of_trial(&self, trial: Option<&str>) -> Option<&Tried> {
        self.all.iter().find(|tried| tried.trial.as_deref() == trial)
    }

    /// Whether they are of this document; otherwise they are of an earlier one.
    pub fn is_current(&self, document: &Arc<Document>) -> bool {
        self.of.as_ref().is_some_and(|of| Arc::ptr_eq(of, document))
    }

    /// A number that differs whenever they have changed.
    pub const fn version(&self) -> u64 {
        self.version
    }

    /// The work under way.
    pub const fn task(&self) -> Option<&Task<Tried>> {
        self.task.as_ref()
    }

    /// Stops the work for this document.
    pub fn stop(&mut self) {
        self.task = None;
        self.given_up = self.wanted.take().map(|(document, _)| document);
    }

    /// Takes in what has been worked out of `document` and starts what is missing, if it is `asked` for;
    /// `repaint_after` is called with the time after which to look again, `arrived` by the worker.
    pub fn follow(
        &mut self,
        document: &Arc<Document>,
        asked: bool,
        repaint_after: impl FnOnce(Duration),
        arrived: impl Fn() + Send + 'static,
    ) {
        let same = |other: &Arc<Document>| Arc::ptr_eq(other, document);
        if !asked {
            self.task = None;
            self.wanted = None;
            return;
        }
        if self.is_current(document) || self.given_up.as_ref().is_some_and(same) {
            return;
        }
        match &self.wanted {
            Some((wanted, since)) if same(wanted) => {
                let waited = since.elapsed();
                if self.task.is_none() {
                    if waited < QUIET {
                        repaint_after(QUIET - waited);
                        return;
                    }
                    self.start(document, arrived);
                }
            }
            _ => {
                // Whatever was being worked out is stale.
                self.task = None;
                self.wanted = Some((Arc::clone(document), Instant::now()));
                repaint_after(QUIET);
                return;
            }
        }
        while let Some(task) = &self.task {
            match task.step() {
                Step::Result(tried) => self.fresh.push(tried),
                Step::Waiting => return,
                Step::Ended => {
                    self.task = None;
                    self.wanted = None;
                    self.all = std::mem::take(&mut self.fresh);
                    self.of = Some(Arc::clone(document));
                    self.version += 1;
                }
            }
        }
    }

    fn start(&mut self, document: &Arc<Document>, arrived: impl Fn() + Send + 'static) {
        self.fresh.clear();
        let document = Arc::clone(document);
        let work = move |progress: &crate::work::Progress, tell: &dyn Fn(Tried)| {
            let names =
                std::iter::once(None).chain(document.trials.iter().map(|trial| Some(trial.name.clone())));
            let count = document.trials.len() + 1;
            for (done, trial) in names.enumerate() {
                if progress.is_stopped() {
                    return;
                }
                progress.note(done, count);
                let reading = Reading::of(&document, trial.as_deref(), None);
                let bench = reading.bench.filter(|_| !reading.is_old);
                tell(Tried { trial, bench, problems: reading.problems });
            }
        };
        let broken = |message: String| Tried {
            trial: None,
            bench: None,
            problems: vec![Problem::error("trials", message)],
        };
        // Without a thread there are no others: better than a window that stands still.
        self.task = Task::start("trials", work, broken, arrived).ok();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn follow(others: &mut Others, document: &Arc<Document>) {
        let start = Instant::now();
        while !others.is_current(document) {
            others.follow(document, true, |_| {}, || {});
            assert!(start.elapsed() < Duration::from_secs(60), "they do not come");
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    #[test]
    fn every_trial_comes_and_stale_ones_are_dropped() {
        let document = Arc::new(glidewright_project::demo().unwrap());
        let mut others = Others::default();
        others.follow(&document, true, |_| {}, || {});
        assert!(others.all().is_empty());
        follow(&mut others, &document);
        assert_eq!(others.all().len(), document.trials.len() + 1);
        let gap = |trial: Option<&str>| {
            let bench = others.of_trial(trial).unwrap().bench.clone().unwrap();
            bench.results.interference.tightest().unwrap().gap
        };
        assert!(gap(Some("thin lock nuts")) > gap(None));

        let edited = glidewright_project::edit::set(&document, "stroke/to", "300").unwrap();
        let changed = Arc::new(edited.document);
        assert!(!others.is_current(&changed));
        others.follow(&changed, false, |_| {}, || {});
        assert!(others.task().is_none(), "nobody asked");
        follow(&mut others, &changed);
        let stroke = others.of_trial(None).unwrap().bench.as_ref().unwrap().fixture.stroke.to;
        assert_eq!(stroke, 300.0);
    }

    #[test]
    fn what_was_stopped_is_not_begun_again() {
        let document = Arc::new(glidewright_project::demo().unwrap());
        let mut others = Others::default();
        others.follow(&document, true, |_| {}, || {});
        others.stop();
        std::thread::sleep(QUIET);
        others.follow(&document, true, |_| {}, || {});
        assert!(others.task().is_none());
    }
}
