//! What share of builds fouls: worked out beside the window while somebody looks, more and more exactly.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::{Duration, Instant};

use glidewright_choice::{Builds, Likeness, NoBuilds, Outcome, Question, Varied};
use glidewright_project::Document;

use super::Session;
use crate::work::{Progress, Step, Task};

/// The trial that is shown is told of after so many builds each time.
const STEPS: [u64; 4] = [1_000, 10_000, 50_000, 200_000];
/// Before the last two of these steps, every other trial is built so often.
const OTHERS: u64 = 10_000;
/// What is to be built has rested so long before it is begun: while somebody types or drags, the processors are his.
const RESTS: Duration = Duration::from_millis(250);
/// Step from which on it is worked out what halving a spread would do.
const HALVED_FROM: u64 = 10_000;

/// What builds of a trial come to, with the sizes that vary.
#[derive(Debug)]
pub struct Found {
    /// What they come to.
    pub outcome: Outcome,
    /// The sizes that vary, in the order contributors count them.
    pub sizes: Vec<Varied>,
}

/// Builds of one trial, or of the fixture as drawn.
#[derive(Clone, Debug)]
pub struct Counted {
    /// The trial; `None` for the fixture as drawn.
    pub trial: Option<String>,
    /// What they come to, or why there are none.
    pub found: Result<Arc<Found>, NoBuilds>,
}

impl Counted {
    /// How many builds it is of.
    fn samples(&self) -> u64 {
        self.found.as_ref().map_or(0, |found| found.outcome.samples)
    }
}

/// What builds are made of.
#[derive(Clone)]
struct Asked {
    document: Arc<Document>,
    likeness: BTreeMap<String, Likeness>,
    trial: Option<String>,
}

impl Asked {
    /// Whether builds of one are builds of the other.
    fn is_alike(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.document, &other.document) && self.likeness == other.likeness
    }
}

/// What the work has to say.
enum Told {
    Counted(Counted),
    Broken(String),
}

struct Work {
    asked: Asked,
    task: Task<Told>,
}

/// Counts builds beside the window.
#[derive(Default)]
pub struct BuildShares {
    /// Called when there is something new; without it nothing is worked out.
    arrived: Option<Arc<dyn Fn() + Send + Sync>>,
    work: Option<Work>,
    /// Work that was stopped and has not ended: there is one at a time, as builds take all processors and some memory.
    ending: Option<Task<Told>>,
    /// What is to be built, and since when it has been that.
    wanted: Option<(Asked, Instant)>,
    /// How pieces come out, by the path of the size, where it was said.
    likeness: BTreeMap<String, Likeness>,
    /// What was counted, each trial once.
    counted: Vec<Counted>,
    /// What that was made of.
    of: Option<Asked>,
    /// For what there is nothing more to do.
    settled: Option<Asked>,
    /// Why the last work broke down.
    broken: Option<String>,
    is_cut_short: bool,
}

impl BuildShares {
    /// Lets builds be made beside the window; `arrived` is called when there is something new.
    pub fn work_beside(&mut self, arrived: impl Fn() + Send + Sync + 'static) {
        *self = Self { arrived: Some(Arc::new(arrived)), ..Self::default() };
    }

    /// Takes in what is done. While somebody looks and nothing is being changed, goes on with what is shown until it is
    /// known well enough; otherwise the processors are left alone.
    pub fn follow(&mut self, session: &Session, is_looked_at: bool) {
        self.take_in();
        let rests = !(session.is_working() || session.is_changing() || session.is_quick());
        if !is_looked_at || !rests {
            self.wanted = None;
            self.end();
            return;
        }
        let asked = Asked {
            document: session.document_shared(),
            likeness: self.likeness.clone(),
            trial: session.trial().map(str::to_owned),
        };
        let same = |known: &Asked| known.is_alike(&asked) && known.trial == asked.trial;
        if self.settled.as_ref().is_some_and(same) {
            self.wanted = None;
            return;
        }
        if self.work.as_ref().is_some_and(|work| same(&work.asked)) {
            return;
        }
        let Some(arrived) = self.arrived.clone() else { return };
        self.end();
        let since = match &self.wanted {
            Some((wanted, since)) if same(wanted) => *since,
            _ => Instant::now(),
        };
        self.wanted = Some((asked.clone(), since));
        if self.ending.is_some() || since.elapsed() < RESTS {
            return;
        }
        if !self.of.as_ref().is_some_and(|of| of.is_alike(&asked)) {
            self.counted.clear();
            self.of = Some(asked.clone());
        }
        let known = self.counted.iter().map(|counted| (counted.trial.clone(), counted.samples())).collect();
        let theirs = asked.clone();
        let work = move |progress: &Progress, tell: &dyn Fn(Told)| {
            Count { asked: &theirs, known, progress, tell, done: 0 }.run()
        };
        self.broken = None;
        self.is_cut_short = false;
        match Task::start("builds", work, Told::Broken, move || arrived()) {
            Ok(task) => {
                self.wanted = None;
                self.work = Some(Work { asked, task });
            }
            Err(error) => self.give_up(asked, error.to_string()),
        }
    }

    fn give_up(&mut self, asked: Asked, why: String) {
        self.broken = Some(why);
        self.wanted = None;
        self.settled = Some(asked);
        self.work = None;
    }

    /// When to look again at what is wanted; `None` where nothing waits for it to rest.
    pub fn wakes_after(&self) -> Option<Duration> {
        let (_, since) = self.wanted.as_ref().filter(|_| self.work.is_none() && self.ending.is_none())?;
        RESTS.checked_sub(since.elapsed()).filter(|left| !left.is_zero())
    }

    /// Stops the work, if there is some.
    fn end(&mut self) {
        if let Some(work) = self.work.take() {
            work.task.stop();
            self.ending = Some(work.task);
        }
    }

    fn take_in(&mut self) {
        while let Some(task) = &self.ending {
            match task.step() {
                Step::Waiting => break,
                Step::Result(_) => {}
                Step::Ended => self.ending = None,
            }
        }
        while let Some(work) = &self.work {
            match work.task.step() {
                Step::Waiting => return,
                Step::Result(Told::Counted(counted)) => {
                    match self.counted.iter_mut().find(|known| known.trial == counted.trial) {
                        Some(known) => *known = counted,
                        None => self.counted.push(counted),
                    }
                }
                Step::Result(Told::Broken(why)) => {
                    let asked = work.asked.clone();
                    self.give_up(asked, why);
                }
                Step::Ended => {
                    self.settled = Some(work.asked.clone());
                    self.work = None;
                }
            }
        }
    }

    /// How far the work has come; `None` while there is none.
    pub fn progress(&self) -> Option<&Progress> {
        self.work.as_ref().map(|work| work.task.progress())
    }

    /// Whether something is being made or waits to be.
    pub fn is_working(&self) -> bool {
        self.work.is_some() || self.ending.is_some() || self.wanted.is_some()
    }

    /// Why the last work broke down, if it did.
    pub fn broken(&self) -> Option<&str> {
        self.broken.as_deref()
    }

    /// Stops: what is known so far stays.
    pub fn stop(&mut self) {
        if let Some(work) = &self.work {
            self.settled = Some(work.asked.clone());
            self.is_cut_short = true;
            self.end();
        }
    }

    /// Whether it was stopped before it was done.
    pub const fn is_cut_short(&self) -> bool {
        self.is_cut_short
    }

    /// Goes on after a stop.
    pub fn go_on(&mut self) {
        self.settled = None;
    }

    /// Says whether the pieces of a size come out alike.
    pub fn take_as(&mut self, path: String, likeness: Likeness) {
        self.likeness.insert(path, likeness);
    }

    /// What is known of a trial of this document, or of the fixture as drawn.
    pub fn of_trial(&self, session: &Session, trial: Option<&str>) -> Option<&Counted> {
        let of = self.of.as_ref().filter(|of| Arc::ptr_eq(&of.document, &session.document_shared()));
        of.and_then(|_| self.counted.iter().find(|counted| counted.trial.as_deref() == trial))
    }
}

/// Makes builds: of the trial that is shown first and most, of the others so many that they can be compared.
struct Count<'a> {
    asked: &'a Asked,
    /// Of which trials so many builds are known.
    known: Vec<(Option<String>, u64)>,
    progress: &'a Progress,
    tell: &'a dyn Fn(Told),
    /// How many builds were made.
    done: u64,
}

impl Count<'_> {
    fn run(mut self) {
        let shown = &self.asked.trial;
        let trials = self.asked.document.trials.iter().map(|trial| Some(trial.name.clone()));
        let others: Vec<_> = std::iter::once(None)
            .chain(trials)
            .filter(|trial| trial != shown && self.known(trial) == 0)
            .collect();
        let [.., last] = STEPS;
        let of = last + OTHERS * others.len() as u64;
        let mut builds = self.begin(shown);
        let (first, rest) = STEPS.split_at(2);
        first.iter().for_each(|to| self.refine(shown, builds.as_mut(), *to, of));
        for trial in &others {
            let mut builds = self.begin(trial);
            self.refine(trial, builds.as_mut(), OTHERS, of);
        }
        rest.iter().for_each(|to| self.refine(shown, builds.as_mut(), *to, of));
    }

    fn known(&self, trial: &Option<String>) -> u64 {
        self.known.iter().find(|(known, _)| known == trial).map_or(0, |(_, samples)| *samples)
    }

    fn begin(&self, trial: &Option<String>) -> Option<Builds> {
        if self.progress.is_stopped() {
            return None;
        }
        let question = Question { likeness: self.asked.likeness.clone(), ..Question::default() };
        let begun = Builds::begin(&self.asked.document, trial.as_deref(), &question);
        begun.map_err(|why| self.say(trial, Err(why))).ok()
    }

    /// Makes so many builds of a trial, `of` so many in all, and tells of them where more was not known.
    fn refine(&mut self, trial: &Option<String>, builds: Option<&mut Builds>, to: u64, of: u64) {
        let stop = || self.progress.is_stopped();
        let Some(builds) = builds.filter(|_| !stop()) else { return };
        let before = builds.samples();
        builds.advance(to.saturating_sub(before), &stop);
        if to >= HALVED_FROM {
            builds.halve(Builds::HALVED, &stop);
        }
        let samples = builds.samples();
        if samples > self.known(trial) {
            self.say(trial, Ok(Found { outcome: builds.outcome(), sizes: builds.sizes().to_vec() }));
        }
        self.done += samples - before;
        self.progress.note(self.done as usize, of as usize);
    }

    fn say(&self, trial: &Option<String>, found: Result<Found, NoBuilds>) {
        (self.tell)(Told::Counted(Counted { trial: trial.clone(), found: found.map(Arc::new) }));
    }
}

#[cfg(test)]
mod tests {
    use glidewright_project::demo;

    use super::*;
    use crate::state::{Demo, Edit, Origin};

    fn session() -> Session {
        Session::new(demo().expect("a demo"), Origin::Demo(Demo::SeedlingLift))
    }

    fn worked_out(shares: &mut BuildShares, session: &Session) {
        let start = Instant::now();
        shares.follow(session, true);
        while shares.is_working() {
            assert!(start.elapsed() < Duration::from_secs(120), "it does not end");
            std::thread::sleep(Duration::from_millis(2));
            shares.follow(session, true);
        }
    }

    #[test]
    fn every_trial_is_counted_and_the_one_shown_most() {
        let (mut shares, session) = (BuildShares::default(), session());
        shares.work_beside(|| {});
        shares.follow(&session, false);
        assert!(shares.progress().is_none(), "nobody looks");
        worked_out(&mut shares, &session);
        let samples = |trial: Option<&str>| {
            shares.of_trial(&session, trial).unwrap().found.as_ref().map(|found| found.outcome.samples)
        };
        assert_eq!(samples(None), Ok(200_000));
        assert_eq!(samples(Some("tie on edge")), Ok(OTHERS));
        assert_eq!(shares.counted.len(), session.document().trials.len() + 1);
        // There is nothing more to do.
        shares.follow(&session, true);
        assert!(shares.progress().is_none());
    }

    #[test]
    fn a_change_or_another_answer_begins_anew() {
        let (mut shares, mut session) = (BuildShares::default(), session());
        shares.work_beside(|| {});
        worked_out(&mut shares, &session);
        let likely = |shares: &BuildShares, session: &Session| {
            shares.of_trial(session, None).unwrap().found.clone().unwrap().outcome.likely.unwrap()
        };
        let before = likely(&shares, &session);
        shares.take_as("sizes/deck".into(), Likeness::Each);
        worked_out(&mut shares, &session);
        assert_ne!(likely(&shares, &session), before);
        session.edit(&Edit::set("sizes/tie", "17")).unwrap();
        assert!(shares.of_trial(&session, None).is_none(), "of another document");
    }
}
