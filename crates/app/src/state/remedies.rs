//! What could be otherwise, the best first: searched beside the window while somebody looks.

use std::sync::Arc;
use std::time::{Duration, Instant};

use glidewright_choice::{Aim, Asked, Found, NoSearch, Place, Search};
use glidewright_project::{Document, apply};

use super::Session;
use crate::work::{Progress, Rested};

/// What is searched.
#[derive(Clone)]
pub struct Sought {
    /// The document with the changes of the trial it begins from, and no trials.
    base: Arc<Document>,
    asked: Asked,
}

impl PartialEq for Sought {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.base, &other.base) && self.asked == other.asked
    }
}

/// What the search has to say.
#[derive(Clone, Debug)]
pub enum Told {
    /// Where something else could stand.
    Places(Arc<Vec<Place>>),
    /// What has come of it so far.
    Found(Arc<Found>),
    /// Why there is nothing.
    Nothing(Arc<NoSearch>),
}

/// What came of it so far, or why there is nothing.
pub type Outcome = Result<Arc<Found>, Arc<NoSearch>>;

/// Searches beside the window.
pub struct Remedies {
    work: Rested<Sought, Told>,
    asked: Asked,
    /// The document of the window that was looked at last, the trial the search begins from, and what both come to.
    of: Option<(Arc<Document>, Option<String>, Arc<Document>)>,
    places: Arc<Vec<Place>>,
    /// What came of what.
    outcome: Option<(Sought, Outcome)>,
    /// What is told along the scatter's axis to the right.
    across: Across,
}

/// What the scatter has to the right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Across {
    /// How many things are other than now.
    #[default]
    Changed,
    /// What is to be bought costs.
    Cost,
}

impl Default for Remedies {
    fn default() -> Self {
        Self {
            work: Rested::new("remedies"),
            asked: Asked { most: ROWS, ..Asked::default() },
            of: None,
            places: Arc::default(),
            outcome: None,
            across: Across::default(),
        }
    }
}

/// So many rows are wanted in their final order.
const ROWS: usize = 20;
/// Combinations analysed between two looks at whether to stop, and the least time between two of the window.
const STEPS: usize = 16;
const TELLS: Duration = Duration::from_millis(150);

impl Remedies {
    /// Lets remedies be searched beside the window; `arrived` is called when there is something new.
    pub fn work_beside(&mut self, arrived: impl Fn() + Send + Sync + 'static) {
        *self = Self::default();
        self.work.work_beside(arrived);
    }

    /// Takes in what is done. While somebody looks and nothing is being changed, goes on until it is done. `library` is what the
    /// person has at hand.
    pub fn follow(
        &mut self,
        session: &Session,
        library: &glidewright_project::document::PartsFile,
        is_looked_at: bool,
    ) {
        for told in self.work.take_in() {
            match (told, &mut self.outcome) {
                (Told::Places(places), _) => self.places = places,
                (Told::Found(found), Some((_, last))) => *last = Ok(found),
                (Told::Nothing(why), Some((_, last))) => *last = Err(why),
                (_, None) => {}
            }
        }
        let rests = is_looked_at && session.rests();
        if rests {
            self.base_of(session);
            if self.asked.library != *library {
                self.asked.library = library.clone();
            }
        }
        let base = self.of.as_ref().filter(|_| rests).map(|(_, _, base)| Arc::clone(base));
        let sought = base.map(|base| Sought { base, asked: self.asked.clone() });
        let outcome = &mut self.outcome;
        self.work.follow(sought, |sought| {
            // Of another state nothing is left; of the same, what was known stays until there is more.
            let known = match outcome.take() {
                Some((of, known)) if of == *sought => known,
                _ => Err(Arc::new(NoSearch::Problems(Vec::new()))),
            };
            *outcome = Some((sought.clone(), known));
            let sought = sought.clone();
            move |progress: &Progress, tell: &dyn Fn(Told)| search(&sought, progress, tell)
        });
    }

    /// What the search begins from: as it was where nothing of that has changed, be it that trials came or went.
    fn base_of(&mut self, session: &Session) {
        let document = session.document_shared();
        if self.of.as_ref().is_some_and(|(known, ..)| Arc::ptr_eq(known, &document)) {
            return;
        }
        let kept = self.of.take();
        let known = |name: &String| document.trials.iter().any(|trial| trial.name == *name);
        let trial = match &kept {
            Some((_, trial, _)) if trial.as_ref().is_none_or(known) => trial.clone(),
            _ => session.trial().map(str::to_owned),
        };
        let with = trial.as_deref().map_or_else(|| (*document).clone(), |name| apply(&document, name).0);
        let base = Document { trials: Vec::new(), ..with };
        let base = match kept {
            Some((_, _, before)) if *before == base => before,
            _ => Arc::new(base),
        };
        self.of = Some((document, trial, base));
    }

    /// The trial the search begins from.
    pub fn from(&self) -> Option<&str> {
        self.of.as_ref().and_then(|(_, trial, _)| trial.as_deref())
    }

    /// Begins from what is shown now.
    pub fn begin_from_shown(&mut self) {
        self.of = None;
    }

    /// What is asked.
    pub const fn asked(&self) -> &Asked {
        &self.asked
    }

    /// Asks something else.
    pub fn ask(&mut self, asked: Asked) {
        self.asked = asked;
    }

    /// Where something else could stand.
    pub fn places(&self) -> &[Place] {
        &self.places
    }

    /// What the scatter has to the right.
    pub const fn across(&self) -> Across {
        self.across
    }

    /// Has something else there.
    pub const fn show(&mut self, across: Across) {
        self.across = across;
    }

    /// How the work goes.
    pub const fn work(&self) -> &Rested<Sought, Told> {
        &self.work
    }

    /// What came of it so far, or why there is nothing.
    pub fn outcome(&self) -> Option<&Outcome> {
        let (sought, outcome) = self.outcome.as_ref()?;
        let (_, _, base) = self.of.as_ref()?;
        (Arc::ptr_eq(&sought.base, base) && sought.asked == self.asked).then_some(outcome)
    }

    /// Stops, or goes on after a stop: what is known so far stays.
    pub fn make(&mut self, goes_on: bool) {
        if goes_on { self.work.go_on() } else { self.work.stop() }
    }
}

/// An order with this aim foremost.
pub fn foremost(aim: Aim) -> Vec<Aim> {
    std::iter::once(aim).chain(Aim::ALL.into_iter().filter(|other| *other != aim)).collect()
}

fn search(sought: &Sought, progress: &Progress, tell: &dyn Fn(Told)) {
    let mut search = match Search::begin(&sought.base, None, &sought.asked) {
        Ok(search) => search,
        Err(why) => return tell(Told::Nothing(Arc::new(why))),
    };
    tell(Told::Places(Arc::new(search.places().to_vec())));
    let stop = || progress.is_stopped();
    let mut told = Instant::now();
    loop {
        let at = search.advance(STEPS, &stop);
        progress.note(at.analysed, 0);
        let ends = at.is_done || stop();
        if ends || told.elapsed() >= TELLS {
            tell(Told::Found(Arc::new(search.outcome())));
            told = Instant::now();
        }
        if ends {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use glidewright_project::document::PartsFile;
    use glidewright_project::edit::Addition;
    use glidewright_project::{demo, edit};

    use super::*;
    use crate::state::{Demo, Edit, Origin};

    /// A search of the demo that is soon done: sizes and parts stay, but for what findings offer besides.
    fn begun() -> (Remedies, Session) {
        let mut remedies = Remedies::default();
        remedies.work_beside(|| {});
        let locked = ["screw", "nut", "washer", "shim", "wheel", "round"].map(str::to_owned).to_vec();
        remedies.ask(Asked { locked, finalists: 0, analyses: 60, ..Asked::default() });
        (remedies, Session::new(demo().expect("a demo"), Origin::Demo(Demo::SeedlingLift)))
    }

    fn worked_out(remedies: &mut Remedies, session: &Session) {
        let start = Instant::now();
        remedies.follow(session, &PartsFile::default(), true);
        while remedies.work().is_working() {
            assert!(start.elapsed() < Duration::from_secs(120), "it does not end");
            std::thread::sleep(Duration::from_millis(2));
            remedies.follow(session, &PartsFile::default(), true);
        }
    }

    fn found(remedies: &Remedies) -> Arc<Found> {
        Arc::clone(remedies.outcome().unwrap().as_ref().unwrap())
    }

    #[test]
    fn rows_come_and_stay_while_trials_are_made_of_them() {
        let (mut remedies, mut session) = begun();
        remedies.follow(&session, &PartsFile::default(), false);
        assert!(!remedies.work().is_working(), "nobody looks");
        worked_out(&mut remedies, &session);
        let rows = found(&remedies);
        assert!(!rows.rows.is_empty() && rows.progress.is_done);
        let trial = rows.rows[0].trial("first", remedies.from());
        let add = move |document: &Document| edit::add(document, Addition::Trial(trial.clone()));
        session.edit(&Edit::make("trials", add)).unwrap();
        session.seal();
        session.choose_trial(Some("first"));
        worked_out(&mut remedies, &session);
        assert!(Arc::ptr_eq(&found(&remedies), &rows), "a trial more changes nothing of it");
        assert_eq!(remedies.from(), None);
        remedies.begin_from_shown();
        worked_out(&mut remedies, &session);
        assert_eq!(remedies.from(), Some("first"));
        assert!(!Arc::ptr_eq(&found(&remedies), &rows));
    }

    #[test]
    fn a_change_or_another_question_begins_anew() {
        let (mut remedies, mut session) = begun();
        worked_out(&mut remedies, &session);
        let before = found(&remedies);
        session.edit(&Edit::set("sizes/tie", "17")).unwrap();
        session.seal();
        worked_out(&mut remedies, &session);
        assert!(!Arc::ptr_eq(&found(&remedies), &before));
        remedies.ask(Asked { order: foremost(Aim::Cost), ..remedies.asked().clone() });
        assert!(remedies.outcome().is_none(), "of another question");
        assert_eq!(remedies.asked().order.len(), Aim::ALL.len());
        let everything = ["screw", "nut", "washer", "shim", "spacer", "wheel", "round", "size", "remedy"];
        remedies.ask(Asked { locked: everything.map(str::to_owned).to_vec(), ..Asked::default() });
        worked_out(&mut remedies, &session);
        let why = remedies.outcome().unwrap().as_ref().unwrap_err();
        assert!(matches!(**why, NoSearch::NothingOpen { .. }), "{why:?}");
    }
}
