//! What share of builds fouls: worked out beside the window while somebody looks, more and more exactly.

use std::collections::BTreeMap;
use std::sync::Arc;

use glidewright_choice::{Builds, Likeness, NoBuilds, Outcome, Question, Varied};
use glidewright_project::Document;

use super::Session;
use crate::work::{Progress, Rested};

/// The trial that is shown is told of after so many builds each time.
const STEPS: [u64; 4] = [1_000, 10_000, 50_000, 200_000];
/// Before the last two of these steps, every other trial is built so often.
const OTHERS: u64 = 10_000;
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

/// How many builds somebody looks at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Looks {
    /// None.
    No,
    /// Some of what is shown: enough for the share that fouls.
    Shown,
    /// As many of every trial.
    Trials,
    /// More and more of what is shown.
    Page,
}

/// What builds are made of.
#[derive(Clone)]
pub struct Asked {
    document: Arc<Document>,
    likeness: BTreeMap<String, Likeness>,
    trial: Option<String>,
    looks: Looks,
}

impl Asked {
    /// Whether builds of one are builds of the other, but for the trial and how many.
    fn is_alike(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.document, &other.document) && self.likeness == other.likeness
    }
}

impl PartialEq for Asked {
    fn eq(&self, other: &Self) -> bool {
        self.is_alike(other) && self.trial == other.trial && self.looks == other.looks
    }
}

/// Counts builds beside the window.
pub struct BuildShares {
    work: Rested<Asked, Counted>,
    /// How pieces come out, by the path of the size, where it was said.
    likeness: BTreeMap<String, Likeness>,
    /// What was counted, each trial once.
    counted: Vec<Counted>,
    /// What that was made of.
    of: Option<Asked>,
}

impl Default for BuildShares {
    fn default() -> Self {
        Self { work: Rested::new("builds"), likeness: BTreeMap::new(), counted: Vec::new(), of: None }
    }
}

impl BuildShares {
    /// Lets builds be made beside the window; `arrived` is called when there is something new.
    pub fn work_beside(&mut self, arrived: impl Fn() + Send + Sync + 'static) {
        *self = Self::default();
        self.work.work_beside(arrived);
    }

    /// Takes in what is done. While somebody looks and nothing is being changed, goes on with what is shown until it is
    /// known well enough; otherwise the processors are left alone.
    pub fn follow(&mut self, session: &Session, looks: Looks) {
        for counted in self.work.take_in() {
            match self.counted.iter_mut().find(|known| known.trial == counted.trial) {
                Some(known) => *known = counted,
                None => self.counted.push(counted),
            }
        }
        let asked = (looks > Looks::No && session.rests()).then(|| Asked {
            document: session.document_shared(),
            likeness: self.likeness.clone(),
            trial: session.trial().map(str::to_owned),
            looks,
        });
        let (counted, of) = (&mut self.counted, &mut self.of);
        self.work.follow(asked, |asked| {
            if !of.as_ref().is_some_and(|of| of.is_alike(asked)) {
                counted.clear();
                *of = Some(asked.clone());
            }
            let known = counted.iter().map(|counted| (counted.trial.clone(), counted.samples())).collect();
            let asked = asked.clone();
            move |progress: &Progress, tell: &dyn Fn(Counted)| {
                Count { asked: &asked, known, progress, tell, done: 0 }.run();
            }
        });
    }

    /// How the work goes.
    pub const fn work(&self) -> &Rested<Asked, Counted> {
        &self.work
    }

    /// Stops, or goes on after a stop: what is known so far stays.
    pub fn make(&mut self, goes_on: bool) {
        if goes_on { self.work.go_on() } else { self.work.stop() }
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
    tell: &'a dyn Fn(Counted),
    /// How many builds were made.
    done: u64,
}

impl Count<'_> {
    fn run(mut self) {
        let shown = &self.asked.trial;
        let trials = self.asked.document.trials.iter().map(|trial| Some(trial.name.clone()));
        let looks = self.asked.looks;
        let others: Vec<_> = std::iter::once(None)
            .chain(trials)
            .filter(|trial| looks >= Looks::Trials && trial != shown && self.known(trial) == 0)
            .collect();
        let (first, rest) = STEPS.split_at(2);
        let rest = if looks == Looks::Page { rest } else { &[] };
        let last = rest.last().or(first.last()).copied().unwrap_or(0);
        if self.known(shown) >= last && others.is_empty() {
            return;
        }
        let of = last + OTHERS * others.len() as u64;
        let mut builds = self.begin(shown);
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
        (self.tell)(Counted { trial: trial.clone(), found: found.map(Arc::new) });
    }
}

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use glidewright_project::demo;

    use super::*;
    use crate::state::{Demo, Edit, Origin};

    fn session() -> Session {
        Session::new(demo().expect("a demo"), Origin::Demo(Demo::SeedlingLift))
    }

    fn worked_out(shares: &mut BuildShares, session: &Session) {
        let start = Instant::now();
        shares.follow(session, Looks::Page);
        while shares.work().is_working() {
            assert!(start.elapsed() < Duration::from_secs(120), "it does not end");
            std::thread::sleep(Duration::from_millis(2));
            shares.follow(session, Looks::Page);
        }
    }

    #[test]
    fn every_trial_is_counted_and_the_one_shown_most() {
        let (mut shares, session) = (BuildShares::default(), session());
        shares.work_beside(|| {});
        shares.follow(&session, Looks::No);
        assert!(shares.work().progress().is_none(), "nobody looks");
        worked_out(&mut shares, &session);
        let samples = |trial: Option<&str>| {
            shares.of_trial(&session, trial).unwrap().found.as_ref().map(|found| found.outcome.samples)
        };
        assert_eq!(samples(None), Ok(200_000));
        assert_eq!(samples(Some("tie on edge")), Ok(OTHERS));
        assert_eq!(shares.counted.len(), session.document().trials.len() + 1);
        // There is nothing more to do.
        shares.follow(&session, Looks::Page);
        assert!(shares.work().progress().is_none());
    }

    #[test]
    fn so_many_as_somebody_looks_at() {
        let (mut shares, session) = (BuildShares::default(), session());
        shares.work_beside(|| {});
        let mut until = |looks: Looks| {
            let start = Instant::now();
            shares.follow(&session, looks);
            while shares.work().is_working() {
                assert!(start.elapsed() < Duration::from_secs(120), "it does not end");
                std::thread::sleep(Duration::from_millis(2));
                shares.follow(&session, looks);
            }
            let shown = shares.of_trial(&session, None).unwrap().samples();
            (shown, shares.counted.len())
        };
        assert_eq!(until(Looks::Shown), (OTHERS, 1));
        let all = session.document().trials.len() + 1;
        assert_eq!(until(Looks::Trials), (OTHERS, all));
        assert_eq!(until(Looks::Page), (200_000, all));
        assert_eq!(until(Looks::Shown), (200_000, all), "what is known stays");
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
