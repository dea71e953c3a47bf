//! What every trial comes to, and every way to cure a finding: worked out beside the window.

use std::collections::HashSet;
use std::sync::Arc;
use std::time::{Duration, Instant};

use glidewright_motion::{Outcome as PairOutcome, Remedy, Severity};
use glidewright_project::document::{Change, Trial};
use glidewright_project::edit::{Way, fresh_name, ways};
use glidewright_project::{Document, apply};
use glidewright_sheet::views::{ExtraFigure, ReachGaps};

use super::reading::Scenes;
use super::{Bench, Reading, Session};
use crate::compared::extras;
use crate::work::{Progress, Step, Task};

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
    /// Of what came of reading a document.
    pub fn of(reading: &Reading) -> Self {
        let wrong =
            |problem: &glidewright_project::Problem| problem.severity == glidewright_project::Severity::Error;
        let is_broken = reading.is_old || reading.problems.iter().any(wrong);
        let Some(bench) = reading.bench.as_ref().filter(|_| !reading.is_old) else {
            return Self { tightest: None, fails: 0, marginal: 0, is_broken };
        };
        let results = &bench.results;
        let count = |severity| results.findings.iter().filter(|f| f.severity == severity).count();
        Self {
            tightest: results.interference.tightest().map(|pair| (pair.gap, pair.at_travel, pair.outcome)),
            fails: count(Severity::Fails),
            marginal: count(Severity::Marginal),
            is_broken,
        }
    }
}

impl Outcome {
    /// Whether this is better than what there is: less fails, or as much and less is marginal, or all of that alike and
    /// the tightest gap is greater.
    pub fn helps(&self, now: &Self) -> bool {
        let gap = |outcome: &Self| outcome.tightest.map_or(f64::INFINITY, |(gap, ..)| gap);
        let counts = (self.fails, self.marginal).cmp(&(now.fails, now.marginal));
        !self.is_broken && (counts.is_lt() || (counts.is_eq() && gap(self) > gap(now) + 1e-6))
    }
}

/// One trial, or the fixture as drawn.
#[derive(Clone, Debug)]
pub struct Tried {
    /// The trial; `None` for the fixture as drawn.
    pub trial: Option<String>,
    /// Its fixture and results; none where none can be made of it, or beyond the [`KEPT`] first.
    pub bench: Option<Arc<Bench>>,
    /// What it comes to.
    pub outcome: Outcome,
    /// What else trials are compared by.
    pub extras: Arc<Vec<ExtraFigure>>,
}

/// A way to carry a remedy out, and what would come of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Cure {
    /// The way; no other way against the same finding has the same words.
    pub way: Way,
    /// What would come of it, once that is worked out.
    pub outcome: Option<Outcome>,
}

/// Ways by number of finding and number of remedy.
type Cures = Vec<Vec<Vec<Cure>>>;

/// Where a way stands among them: number of finding, of remedy, of way.
type CurePlace = [usize; 3];

/// Of how many trials fixture and results are kept, the fixture as drawn among them: they take some 2 MB each, and what
/// needs another's works them out for itself ([`Reading::of`]).
pub const KEPT: usize = 24;

/// Of how many ways at most it is foreseen what comes of them: a fixture in ruins has hundreds of findings, and the
/// worst come first.
const FORESEEN: usize = 60;

/// What the work has to say.
enum Told {
    /// It is a step farther.
    Step,
    /// A trial, by its place among them.
    Trial(usize, Box<Tried>),
    /// So many trials there are.
    Tried(usize),
    Gaps(Vec<ReachGaps>),
    Cures(Cures),
    /// What would come of a way, wherever it stands.
    Foreseen(Vec<CurePlace>, Outcome),
    Broken,
}

/// What is to be worked out.
#[derive(Clone, Copy)]
struct Wants {
    trials: bool,
    gaps: bool,
    cures: bool,
}

struct Work {
    /// The state of the session it is about.
    shown: u64,
    /// Whether it works out gaps against reach too.
    gaps: bool,
    document: Arc<Document>,
    since: Instant,
    task: Task<Told>,
}

/// Work that is done sooner than this is not worth telling about.
const SOON: Duration = Duration::from_millis(600);

/// Looks ahead beside the window.
#[derive(Default)]
pub struct Outlook {
    /// Called when something is done; without it nothing is worked out.
    arrived: Option<Arc<dyn Fn() + Send + Sync>>,
    work: Option<Work>,
    /// The state of the session for which there is nothing more to do, and whether that includes gaps against
    /// reach.
    settled: Option<(u64, bool)>,
    tried: Vec<Tried>,
    /// The document the trials are of.
    of: Option<Arc<Document>>,
    /// Counts the times the trials changed.
    version: u64,
    cures: Cures,
    /// The state of the session the cures are of.
    cures_of: Option<u64>,
    gaps: Arc<Vec<ReachGaps>>,
    /// The state of the session the gaps against reach are of.
    gaps_of: Option<u64>,
}

impl Outlook {
    /// Lets it be worked out beside the window; `arrived` is called when something is done.
    pub fn work_beside(&mut self, arrived: impl Fn() + Send + Sync + 'static) {
        *self = Self { arrived: Some(Arc::new(arrived)), ..Self::default() };
    }

    /// Takes in what is done; starts on what is shown now unless that was done or an interaction is going on.
    /// `gaps`: whether something shows gaps against reach, which take longest.
    pub fn follow(&mut self, session: &Session, gaps: bool) {
        self.take_in();
        let shown = session.shown();
        if self.work.as_ref().is_some_and(|work| work.shown != shown) {
            // What is being worked out is stale.
            self.work = None;
        }
        let settled = self.settled.is_some_and(|(state, too)| state == shown && (too || !gaps));
        let waits = !session.rests();
        if waits || settled || self.work.as_ref().is_some_and(|work| work.gaps || !gaps) {
            return;
        }
        let Some(arrived) = self.arrived.clone() else { return };
        let document = session.document_shared();
        let reading = session.reading_shared();
        let scenes = session.scenes().clone();
        let wants = Wants {
            trials: !self.is_current(&document),
            gaps: gaps && self.gaps_of != Some(shown),
            cures: self.cures_of != Some(shown),
        };
        let theirs = Arc::clone(&document);
        let work = move |progress: &Progress, tell: &dyn Fn(Told)| {
            look_ahead(wants, &theirs, &reading, &scenes, progress, tell);
        };
        let started = Task::start("looking ahead", work, |_| Told::Broken, move || arrived());
        match started {
            Ok(task) => self.work = Some(Work { shown, gaps, document, since: Instant::now(), task }),
            // The system has no thread to give: nothing is foreseen.
            Err(_) => self.settled = Some((shown, gaps)),
        }
    }

    fn take_in(&mut self) {
        while let Some(work) = &self.work {
            match work.task.step() {
                Step::Waiting => return,
                Step::Result(Told::Trial(place, tried)) => {
                    match self.tried.get_mut(place) {
                        Some(known) if known.trial == tried.trial => *known = *tried,
                        _ => {
                            self.tried.truncate(place);
                            self.tried.push(*tried);
                        }
                    }
                    self.version += 1;
                }
                Step::Result(Told::Tried(count)) => {
                    self.tried.truncate(count);
                    self.of = Some(Arc::clone(&work.document));
                    self.version += 1;
                }
                Step::Result(Told::Gaps(gaps)) => {
                    self.gaps = Arc::new(gaps);
                    self.gaps_of = Some(work.shown);
                }
                Step::Result(Told::Cures(cures)) => {
                    self.cures = cures;
                    self.cures_of = Some(work.shown);
                }
                Step::Result(Told::Foreseen(places, outcome)) => {
                    for [finding, remedy, way] in places {
                        let cure = self
                            .cures
                            .get_mut(finding)
                            .and_then(|remedies| remedies.get_mut(remedy)?.get_mut(way));
                        if let Some(cure) = cure {
                            cure.outcome = Some(outcome);
                        }
                    }
                }
                Step::Result(Told::Step | Told::Broken) => {}
                Step::Ended => {
                    self.settled = Some((work.shown, work.gaps));
                    self.work = None;
                }
            }
        }
    }

    /// Whether something is still being worked out.
    pub const fn is_working(&self) -> bool {
        self.work.is_some()
    }

    /// How far the work has come, once it has taken long enough to be told about.
    pub fn progress(&self) -> Option<&Progress> {
        let work = self.work.as_ref().filter(|work| work.since.elapsed() >= SOON)?;
        Some(work.task.progress())
    }

    /// Stops the work on what is shown.
    pub fn stop(&mut self) {
        self.settled = self.work.take().map(|work| (work.shown, work.gaps)).or(self.settled);
    }

    /// All trials, the fixture as drawn first, then the trials in their order, each as it becomes known: of the document
    /// as it is, or until then of one before; empty at first.
    pub fn tried(&self) -> &[Tried] {
        &self.tried
    }

    /// One trial, or the fixture as drawn.
    pub fn of_trial(&self, trial: Option<&str>) -> Option<&Tried> {
        self.tried.iter().find(|tried| tried.trial.as_deref() == trial)
    }

    /// Whether the trials are of this document; otherwise they are of an earlier one.
    fn is_current(&self, document: &Arc<Document>) -> bool {
        self.of.as_ref().is_some_and(|of| Arc::ptr_eq(of, document))
    }

    /// A number that differs whenever the trials have changed.
    pub const fn version(&self) -> u64 {
        self.version
    }

    /// Gaps against the reach of each load that slides; empty while they are not worked out.
    pub fn gaps(&self, session: &Session) -> Arc<Vec<ReachGaps>> {
        if self.gaps_of == Some(session.shown()) { Arc::clone(&self.gaps) } else { Arc::default() }
    }

    /// Ways to carry a remedy out; none while they are not yet known.
    pub fn cures(&self, session: &Session, finding: usize, remedy: usize) -> &[Cure] {
        if self.cures_of != Some(session.shown()) {
            return &[];
        }
        self.cures.get(finding).and_then(|all| all.get(remedy)).map_or(&[], Vec::as_slice)
    }
}

#[cfg(test)]
impl Outlook {
    /// Everything there is to say of a session.
    pub fn worked_out(session: &Session) -> Self {
        let mut outlook = Self::default();
        outlook.work_beside(|| {});
        outlook.work_out(session);
        outlook
    }

    /// Follows until there is nothing more to do.
    fn work_out(&mut self, session: &Session) {
        let start = Instant::now();
        self.follow(session, false);
        while self.is_working() {
            assert!(start.elapsed() < Duration::from_secs(60), "it does not end");
            std::thread::sleep(Duration::from_millis(2));
            self.follow(session, false);
        }
    }
}

/// At how many reaches gaps are worked out.
const REACHES: usize = 25;

/// Works out the trials of a document, gaps against reach and the cures of what is shown, as far as wanted.
fn look_ahead(
    wants: Wants,
    document: &Document,
    reading: &Reading,
    scenes: &Scenes,
    progress: &Progress,
    tell: &dyn Fn(Told),
) {
    let cures = if wants.cures { cures(reading) } else { Cures::new() };
    let foreseen = places_of_ways(&cures);
    let trials = if wants.trials { document.trials.len() + 1 } else { 0 };
    let count = trials + usize::from(wants.gaps) + foreseen.len();
    let mut done = 0;
    let mut step = || {
        done += 1;
        progress.note(done, count);
        tell(Told::Step);
    };
    let base = scenes.apart();
    if wants.cures {
        tell(Told::Cures(cures));
    }
    if wants.trials {
        let names = std::iter::once(None).chain(document.trials.iter().map(|trial| Some(trial.name.clone())));
        for (place, trial) in names.enumerate() {
            if progress.is_stopped() {
                return;
            }
            let reading = Reading::of(document, trial.as_deref(), None, &base.apart());
            let outcome = Outcome::of(&reading);
            let bench = reading.bench.filter(|_| !reading.is_old && place < KEPT);
            let of = |bench: &Arc<Bench>| extras(&reading.document, &bench.fixture, &bench.results);
            let extras = Arc::new(bench.as_ref().map_or_else(Vec::new, of));
            let tried = Tried { trial, bench, outcome, extras };
            tell(Told::Trial(place, Box::new(tried)));
            step();
        }
        tell(Told::Tried(document.trials.len() + 1));
    }
    if wants.gaps {
        let bench = reading.bench.as_ref().filter(|_| !reading.is_old);
        let all =
            bench.map_or_else(Vec::new, |bench| ReachGaps::all(&bench.fixture, &bench.results, REACHES));
        tell(Told::Gaps(all));
        step();
    }
    for (changes, places) in foreseen {
        if progress.is_stopped() {
            return;
        }
        let changed = with_changes(&reading.document, &changes);
        tell(Told::Foreseen(places, Outcome::of(&Reading::of(&changed, None, None, &base.apart()))));
        step();
    }
}

/// The ways to try, by finding and remedy: none twice against the same finding, each with words of its own.
fn cures(reading: &Reading) -> Cures {
    let Some(bench) = reading.bench.as_ref().filter(|_| !reading.is_old) else { return Vec::new() };
    let results = &bench.results;
    results
        .findings
        .iter()
        .map(|finding| {
            let mut seen: Vec<Vec<Change>> = Vec::new();
            let mut words: HashSet<String> = HashSet::new();
            let mut of_remedy = |remedy: &Remedy| -> Vec<Cure> {
                let all = ways(&reading.document, results, finding, remedy).into_iter();
                all.filter_map(|mut way| {
                    if seen.contains(&way.changes) {
                        return None;
                    }
                    seen.push(way.changes.clone());
                    way.words = fresh_name(&way.words, words.iter().map(String::as_str));
                    words.insert(way.words.clone());
                    Some(Cure { way, outcome: None })
                })
                .collect()
            };
            finding.remedies.iter().map(&mut of_remedy).collect()
        })
        .collect()
}

/// Each different way once, with the places where it stands: those against the worst findings first, and no more than
/// are foreseen.
fn places_of_ways(cures: &Cures) -> Vec<(Vec<Change>, Vec<CurePlace>)> {
    let mut all: Vec<(Vec<Change>, Vec<CurePlace>)> = Vec::new();
    for (finding, remedies) in cures.iter().enumerate() {
        for (remedy, of_remedy) in remedies.iter().enumerate() {
            for (number, cure) in of_remedy.iter().enumerate() {
                let place = [finding, remedy, number];
                let known = all.iter_mut().find(|(changes, _)| *changes == cure.way.changes);
                if let Some((_, places)) = known {
                    places.push(place);
                } else if all.len() < FORESEEN {
                    all.push((cure.way.changes.clone(), vec![place]));
                }
            }
        }
    }
    all
}

/// The document with some changes made; one that does not apply is left out.
fn with_changes(document: &Document, changes: &[Change]) -> Document {
    let name = "\u{1}".to_owned();
    let trial =
        Trial { name: name.clone(), note: String::new(), over: Vec::new(), changes: changes.to_vec() };
    let with = Document { trials: vec![trial], ..document.clone() };
    Document { trials: Vec::new(), ..apply(&with, &name).0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::state::{Edit, Origin};
    use glidewright_samples::COPY_STAND;

    fn session() -> Session {
        Session::new(glidewright_project::parse(COPY_STAND).unwrap(), Origin::New)
    }

    #[test]
    fn every_trial_comes_and_follows_changes() {
        let mut session = session();
        let mut outlook = Outlook::worked_out(&session);
        assert_eq!(outlook.tried().len(), session.document().trials.len() + 1);
        let gap = |outlook: &Outlook, trial: Option<&str>| {
            outlook.of_trial(trial).unwrap().outcome.tightest.unwrap().0
        };
        assert!(gap(&outlook, Some("thin lock nuts")) > gap(&outlook, None));
        let shown = session.bench().unwrap().results.interference.tightest().unwrap().gap;
        assert_eq!(gap(&outlook, None), shown);

        session.edit(&Edit::set("stroke/to", "300")).unwrap();
        outlook.follow(&session, false);
        assert!(!outlook.is_working(), "a change is going on");
        session.seal();
        outlook.work_out(&session);
        let stroke = outlook.of_trial(None).unwrap().bench.as_ref().unwrap().fixture.stroke.to;
        assert_eq!(stroke, 300.0);
    }

    #[test]
    fn cures_of_a_finding_have_words_of_their_own_and_do_different_things() {
        let session = session();
        let outlook = Outlook::worked_out(&session);
        let findings = &session.bench().unwrap().results.findings;
        let mut count = 0;
        for (number, finding) in findings.iter().enumerate() {
            let remedies = 0..finding.remedies.len();
            let all: Vec<&Cure> =
                remedies.flat_map(|remedy| outlook.cures(&session, number, remedy)).collect();
            for (place, cure) in all.iter().enumerate() {
                let others = all.iter().skip(place + 1);
                for other in others {
                    assert_ne!(cure.way.words, other.way.words, "{}", finding.title);
                    assert_ne!(cure.way.changes, other.way.changes, "{}", finding.title);
                }
            }
            for cure in &all {
                assert!(cure.outcome.is_some(), "what would come of {} is foreseen", cure.way.words);
            }
            count += all.len();
        }
        assert!(count >= 4, "{count} ways in all");
    }

    #[test]
    fn of_many_trials_every_outcome_is_kept_and_fixture_and_results_of_the_first_only() {
        let mut document = glidewright_project::parse(COPY_STAND).unwrap();
        let first = document.trials.first().unwrap().clone();
        document.trials = (1..=60).map(|n| Trial { name: format!("trial {n}"), ..first.clone() }).collect();
        let session = Session::new(document, Origin::New);
        let outlook = Outlook::worked_out(&session);
        assert_eq!(outlook.tried().len(), 61);
        let kept: Vec<bool> = outlook.tried().iter().map(|tried| tried.bench.is_some()).collect();
        assert_eq!(kept.iter().filter(|kept| **kept).count(), KEPT);
        assert!(kept.iter().take(KEPT).all(|kept| *kept));
        let gap = outlook.of_trial(Some("trial 1")).unwrap().outcome.tightest.unwrap().0;
        assert!(outlook.tried()[1..].iter().all(|tried| tried.outcome.tightest.unwrap().0 == gap));
    }

    #[test]
    fn what_was_stopped_is_not_begun_again() {
        let session = session();
        let mut outlook = Outlook::default();
        outlook.work_beside(|| {});
        outlook.follow(&session, false);
        outlook.stop();
        outlook.follow(&session, false);
        assert!(!outlook.is_working());
    }
}
