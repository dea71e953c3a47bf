//! One size over a range: worked out beside the window while somebody looks.

use std::sync::Arc;
use std::time::{Duration, Instant};

use glidewright_choice::{Figure, Sweep, SweepQuestion, Swept};
use glidewright_motion::Term;
use glidewright_project::{Document, NumberSize, Problem, numbers, resolve};

use super::Session;
use crate::work::{Progress, Rested};

/// What is swept.
#[derive(Clone)]
pub struct Asked {
    document: Arc<Document>,
    trial: Option<String>,
    question: SweepQuestion,
}

impl PartialEq for Asked {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.document, &other.document)
            && self.trial == other.trial
            && self.question == other.question
    }
}

/// What came of it so far, or why there is nothing.
pub type Outcome = Result<Arc<Swept>, Vec<Problem>>;

/// A document and the trial of it that is shown.
type Shown = (Arc<Document>, Option<String>);

/// Sweeps a size beside the window.
pub struct Sweeps {
    work: Rested<Asked, Outcome>,
    /// What is asked; nothing until somebody asks.
    question: Option<SweepQuestion>,
    /// What the plot shows.
    figure: Figure,
    /// The sizes there are.
    sizes: Arc<Vec<NumberSize>>,
    /// Of which document and trial.
    of: Option<Shown>,
    outcome: Option<(Asked, Outcome)>,
}

impl Default for Sweeps {
    fn default() -> Self {
        Self {
            work: Rested::new("sweep"),
            question: None,
            figure: Figure::Gap,
            sizes: Arc::default(),
            of: None,
            outcome: None,
        }
    }
}

/// Values looked at between two looks of the window, and the least time between them.
const STEPS: usize = 8;
const TELLS: Duration = Duration::from_millis(60);
/// Builds at each value, where shares are asked for.
const BUILDS: u64 = 1_000;

impl Sweeps {
    /// Lets sizes be swept beside the window; `arrived` is called when there is something new.
    pub fn work_beside(&mut self, arrived: impl Fn() + Send + Sync + 'static) {
        *self = Self::default();
        self.work.work_beside(arrived);
    }

    /// Takes in what is done. While somebody looks and nothing is being changed, goes on with what is asked until it is
    /// done.
    pub fn follow(&mut self, session: &Session, is_looked_at: bool) {
        if is_looked_at {
            self.list(session);
            if self.question.is_none() {
                self.question = self.first(session).map(|size| asked_about(&size));
            }
        }
        let asked = self.question.clone().filter(|_| is_looked_at && session.rests()).map(|question| Asked {
            document: session.document_shared(),
            trial: session.trial().map(str::to_owned),
            question,
        });
        if let Some(outcome) = self.work.take_in().pop()
            && let Some((_, last)) = &mut self.outcome
        {
            *last = outcome;
        }
        let outcome = &mut self.outcome;
        self.work.follow(asked, |asked| {
            // Of another size, range or document nothing is left; of the same, what was known stays until there is more.
            let known = match outcome.take() {
                Some((of, known)) if of == *asked => known,
                _ => Err(Vec::new()),
            };
            *outcome = Some((asked.clone(), known));
            let asked = asked.clone();
            move |progress: &Progress, tell: &dyn Fn(Outcome)| sweep(&asked, progress, tell)
        });
    }

    /// The sizes of what is shown, worked out once for each state.
    fn list(&mut self, session: &Session) {
        let of = (session.document_shared(), session.trial().map(str::to_owned));
        let is_same = |(document, trial): &Shown| Arc::ptr_eq(document, &of.0) && *trial == of.1;
        if session.rests() && !self.of.as_ref().is_some_and(is_same) {
            self.sizes = Arc::new(numbers(&resolve(&of.0, of.1.as_deref())));
            self.of = Some(of);
        }
    }

    /// The size to begin with: of those that make the gap of the worst finding the one whose tolerance takes most of it, a shared
    /// one before its like; else the first there is.
    fn first(&self, session: &Session) -> Option<NumberSize> {
        let results = session.bench().map(|bench| &bench.results);
        let chain = results.into_iter().flat_map(|results| &results.findings).find_map(|f| f.chain.as_ref());
        let mut terms: Vec<_> = chain.into_iter().flat_map(|chain| &chain.terms).collect();
        let takes = |term: &Term| term.sensitivity.abs() * term.size.half_width();
        terms.sort_by(|a, b| takes(b).total_cmp(&takes(a)));
        let of_gap = terms.iter().find_map(|term| self.sweepable(session, &term.path));
        of_gap.or_else(|| self.sizes.first().cloned())
    }

    /// The size behind a path of a chain: the shared size it is, else the piece's own length or thickness.
    fn sweepable(&self, session: &Session, path: &str) -> Option<NumberSize> {
        let document = session.document();
        let find = |wanted: &str| self.sizes.iter().find(|size| size.path == wanted);
        let own =
            ["", "/length", "/thickness", "/level"].iter().find_map(|end| find(&format!("{path}{end}")))?;
        let mut shared = None;
        document.visit(&mut |at, slot| {
            if let glidewright_project::Slot::Size(size) = slot
                && at == own.path
                && let Some(glidewright_project::size::Formula::Text(text)) = size.formula()
            {
                shared = find(&format!("sizes/{}", text.trim()));
            }
        });
        Some(shared.unwrap_or(own).clone())
    }

    /// The sizes that can be swept.
    pub fn sizes(&self) -> &Arc<Vec<NumberSize>> {
        &self.sizes
    }

    /// What is asked.
    pub const fn question(&self) -> Option<&SweepQuestion> {
        self.question.as_ref()
    }

    /// What the plot shows.
    pub const fn figure(&self) -> Figure {
        self.figure
    }

    /// How the work goes.
    pub const fn work(&self) -> &Rested<Asked, Outcome> {
        &self.work
    }

    /// What came of it so far, if that is about what is shown.
    pub fn outcome(&self, session: &Session) -> Option<&Outcome> {
        let (asked, outcome) = self.outcome.as_ref()?;
        let same = Arc::ptr_eq(&asked.document, &session.document_shared())
            && asked.trial.as_deref() == session.trial()
            && Some(&asked.question) == self.question.as_ref();
        same.then_some(outcome)
    }

    /// Asks about a size, over its usual range; a path that is none of a size is that of the piece it belongs to.
    pub fn about(&mut self, session: &Session, path: &str) {
        self.list(session);
        if let Some(size) = self.sweepable(session, path) {
            self.question = Some(SweepQuestion { builds: self.builds(), ..asked_about(&size) });
        }
    }

    fn builds(&self) -> u64 {
        if self.figure == Figure::Share { BUILDS } else { 0 }
    }

    /// Asks about another range.
    pub fn range(&mut self, from: f64, to: f64) {
        if let Some(question) = &mut self.question {
            (question.from, question.to) = (from, to);
        }
    }

    /// Shows another figure; shares are only worked out where somebody looks at them.
    pub fn show(&mut self, figure: Figure) {
        self.figure = figure;
        let builds = self.builds();
        if let Some(question) = &mut self.question
            && builds > question.builds
        {
            question.builds = builds;
        }
    }

    /// Stops, or goes on after a stop: what is known so far stays.
    pub fn make(&mut self, goes_on: bool) {
        if goes_on { self.work.go_on() } else { self.work.stop() }
    }
}

fn asked_about(size: &NumberSize) -> SweepQuestion {
    SweepQuestion { in_passing: true, ..SweepQuestion::about(size) }
}

fn sweep(asked: &Asked, progress: &Progress, tell: &dyn Fn(Outcome)) {
    let begun = Sweep::begin(&asked.document, asked.trial.as_deref(), asked.question.clone());
    let mut sweep = match begun {
        Ok(sweep) => sweep,
        Err(problems) => return tell(Err(problems)),
    };
    let stop = || progress.is_stopped();
    let mut told = Instant::now();
    loop {
        let goes_on = sweep.advance(STEPS, &stop) && !stop();
        let (done, of) = sweep.progress();
        progress.note(done, of);
        if !goes_on || told.elapsed() >= TELLS {
            tell(Ok(Arc::new(sweep.swept())));
            told = Instant::now();
        }
        if !goes_on {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use glidewright_project::demo;

    use super::*;
    use crate::state::{Demo, Edit, Origin};

    fn begun() -> (Sweeps, Session) {
        let mut sweeps = Sweeps::default();
        sweeps.work_beside(|| {});
        (sweeps, Session::new(demo().expect("a demo"), Origin::Demo(Demo::SeedlingLift)))
    }

    /// So many values do here.
    const FEW: usize = 9;

    fn worked_out(sweeps: &mut Sweeps, session: &Session) -> Arc<Swept> {
        let start = Instant::now();
        sweeps.list(session);
        if sweeps.question.is_none() {
            sweeps.question = sweeps.first(session).map(|size| asked_about(&size));
        }
        sweeps.question.as_mut().unwrap().count = FEW;
        sweeps.follow(session, true);
        while sweeps.work().is_working() {
            assert!(start.elapsed() < Duration::from_secs(120), "it does not end");
            std::thread::sleep(Duration::from_millis(2));
            sweeps.follow(session, true);
        }
        sweeps.outcome(session).cloned().unwrap().unwrap()
    }

    #[test]
    fn the_size_behind_the_worst_finding_comes_first() {
        let (mut sweeps, session) = begun();
        sweeps.follow(&session, false);
        assert!(sweeps.question().is_none(), "nobody looks");
        let swept = worked_out(&mut sweeps, &session);
        // What stands between the tie and the screws' ends, by its shared size.
        assert!(swept.size.path.starts_with("sizes/"), "{}", swept.size.path);
        assert_eq!(swept.points.len(), FEW);
        assert!(!swept.ends.is_empty());
        sweeps.follow(&session, true);
        assert!(!sweeps.work().is_working(), "there is nothing more to do");
    }

    #[test]
    fn a_piece_of_a_stack_is_swept_by_the_shared_size_it_is() {
        let (mut sweeps, session) = begun();
        for (path, meant) in [
            ("riders/front tray/stack/spacer", "sizes/spacer"),
            ("riders/rear tray/plates/carrier", "sizes/deck"),
            ("riders/front tray/at", "riders/front tray/at"),
            ("sizes/tray", "sizes/tray"),
        ] {
            sweeps.about(&session, path);
            assert_eq!(sweeps.question().unwrap().path, meant);
        }
        sweeps.about(&session, "riders/nobody");
        assert_eq!(sweeps.question().unwrap().path, "sizes/tray", "what is not there changes nothing");
    }

    #[test]
    fn another_range_figure_or_document_begins_anew() {
        let (mut sweeps, mut session) = begun();
        sweeps.about(&session, "sizes/spacer");
        sweeps.range(13.0, 14.0);
        let swept = worked_out(&mut sweeps, &session);
        assert!(swept.points.iter().all(|point| point.share.is_none()));
        sweeps.show(Figure::Share);
        let swept = worked_out(&mut sweeps, &session);
        let shares: Vec<f64> = swept.points.iter().filter_map(|point| point.figure(Figure::Share)).collect();
        assert_eq!(shares.len(), FEW);
        assert!(shares[0] > 99.0 && shares[FEW - 1] < 1.0, "a longer spacer clears");
        session.edit(&Edit::set("sizes/tie", "17")).unwrap();
        session.seal();
        assert!(sweeps.outcome(&session).is_none(), "of another document");
        sweeps.range(14.0, 13.0);
        let start = Instant::now();
        while sweeps.outcome(&session).is_none_or(|known| known.as_ref().is_err_and(Vec::is_empty)) {
            assert!(start.elapsed() < Duration::from_secs(60), "nothing comes");
            std::thread::sleep(Duration::from_millis(2));
            session.take_results();
            session.settle();
            sweeps.follow(&session, true);
        }
        let why = sweeps.outcome(&session).unwrap().as_ref().unwrap_err();
        assert!(why[0].told().contains("holds nothing"));
    }

    #[test]
    fn stopped_it_keeps_what_is_known() {
        let (mut sweeps, session) = begun();
        sweeps.about(&session, "sizes/spacer");
        let start = Instant::now();
        while sweeps.outcome(&session).is_none_or(|known| known.as_ref().is_err()) {
            assert!(start.elapsed() < Duration::from_secs(60), "nothing comes");
            std::thread::sleep(Duration::from_millis(2));
            sweeps.follow(&session, true);
        }
        sweeps.make(false);
        sweeps.follow(&session, true);
        assert!(sweeps.work().is_cut_short());
        assert!(!sweeps.outcome(&session).unwrap().as_ref().unwrap().points.is_empty());
        sweeps.make(true);
        assert_eq!(worked_out(&mut sweeps, &session).points.len(), FEW);
    }
}
