//! One number of a document over a range: what becomes of gaps, effort and findings, and where exactly it turns.

mod ends;
mod figures;
mod question;

use glidewright_motion::{Detail, InterferenceCache, Results, analyse, analyse_quickly, analyse_with};
use glidewright_project::{
    Document, NumberSize, Problem, Resolved, apply, edit, numbers, resolve, resolve_quickly,
};
use rayon::prelude::*;

use crate::builds::{Builds, NoBuilds};
use crate::question::Question;
use crate::share::Share;
use ends::Stretch;

pub use ends::End;
pub use figures::{Figure, Figures, Trouble};
pub use question::SweepQuestion;

/// A number of a document, worked out at more and more values of a range: first far apart, then between, then the ends of
/// what is wrong, then shares of builds.
///
/// ```
/// use glidewright_choice::{Figure, Sweep, SweepQuestion};
/// let document = glidewright_project::demo().map_err(|_| "no demo")?;
/// let question = SweepQuestion { count: 4, ..SweepQuestion::over("sizes/spacer", 12.0, 15.0) };
/// let mut sweep = Sweep::begin(&document, None, question).map_err(|_| "no such size")?;
/// sweep.advance(usize::MAX, &|| false);
/// // A longer spacer draws the screws' ends back from the tie they pass, millimetre for millimetre.
/// let swept = sweep.swept();
/// let gaps: Vec<f64> = swept.points.iter().filter_map(|point| point.figure(Figure::Gap)).collect();
/// assert!((gaps[1] - gaps[0] - 1.0).abs() < 1e-6);
/// // As drawn they foul by 0.5 mm.
/// assert!(swept.ends.iter().any(|end| (end.value() - 13.5).abs() < 1e-3));
/// # Ok::<(), &str>(())
/// ```
pub struct Sweep {
    question: SweepQuestion,
    base: Base,
    values: Vec<f64>,
    /// The order in which values are worked out: far apart first.
    order: Vec<usize>,
    points: Vec<Option<Point>>,
    /// How many values were looked at in passing, in that order.
    glanced: usize,
    /// What the size as it is comes to, while values are looked at in passing.
    now: Option<Box<Results>>,
    /// How many values are done, in that order.
    done: usize,
    /// Stretches between values at whose ends not the same is wrong, and how many of them were searched; none before all values
    /// are done.
    turns: Option<(Vec<Stretch>, usize)>,
    ends: Vec<End>,
    /// Of how many values builds were made, in the order of values.
    shared: usize,
}

/// What a sweep has found so far.
#[derive(Clone, Debug, PartialEq)]
pub struct Swept {
    /// The size that is swept, and what it is now.
    pub size: NumberSize,
    /// What was asked.
    pub question: SweepQuestion,
    /// The values known so far, growing.
    pub points: Vec<Point>,
    /// Where something begins or ceases to be wrong, growing, as far as that was searched. What begins and ceases again between
    /// two neighbouring values is not found.
    pub ends: Vec<End>,
}

/// A value and what comes of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// The value, in the size's unit.
    pub value: f64,
    /// What comes of it, or why no fixture can be made of it.
    pub outcome: Result<Figures, String>,
    /// Share of builds that foul, once that is known.
    pub share: Option<Share>,
}

impl Point {
    /// One figure of it; `None` where there is none.
    pub fn figure(&self, figure: Figure) -> Option<f64> {
        match figure {
            Figure::Share => self.share.map(|share| 100.0 * share.share),
            figure => self.outcome.as_ref().ok()?.of_figure(figure),
        }
    }
}

/// What is changed: the document with a trial's changes, and the size.
#[derive(Clone)]
struct Base {
    document: Document,
    size: NumberSize,
}

impl Base {
    fn at(&self, value: f64, detail: Detail) -> Result<Resolved, String> {
        let size = &self.size;
        let first = |problems: &[Problem]| problems.first().map_or_else(String::new, |p| p.message.clone());
        let edited = edit::set_all(&self.document, &size.path, &size.written(value));
        let document = edited.map_err(|problem| problem.message)?.document;
        let resolved = match detail {
            Detail::Whole => resolve(&document, None),
            Detail::Quick => resolve_quickly(&document, None, None),
        };
        if resolved.fixture.is_none() || resolved.has_errors() {
            return Err(first(&resolved.problems));
        }
        Ok(resolved)
    }

    fn outcome(&self, value: f64, kept: &mut InterferenceCache) -> Result<Figures, String> {
        let resolved = self.at(value, Detail::Whole)?;
        resolved
            .fixture
            .map(|fixture| Figures::of(&fixture, &analyse_with(&fixture, kept)))
            .ok_or_else(String::new)
    }

    /// The same in passing, as quickly as a hand is followed: without what hangs on slow checks.
    fn glance(&self, value: f64, before: &Results, kept: &mut InterferenceCache) -> Result<Figures, String> {
        let resolved = self.at(value, Detail::Quick)?;
        resolved
            .fixture
            .map(|fixture| Figures::of(&fixture, &analyse_quickly(&fixture, kept, Some(before))))
            .ok_or_else(String::new)
    }

    fn share(&self, value: f64, question: &SweepQuestion) -> Option<Share> {
        let builds = Question { seed: question.seed, ..Question::default() };
        match Builds::of(&self.at(value, Detail::Whole).ok()?, &builds) {
            Ok(mut builds) => {
                builds.advance(question.builds, &|| false);
                Some(builds.outcome().fouls)
            }
            // Every build is as drawn.
            Err(NoBuilds::NothingVaries { gap, .. }) => {
                let count = if glidewright_motion::touches(gap) { question.builds } else { 0 };
                Some(Share::of(count, question.builds))
            }
            Err(_) => None,
        }
    }
}

impl Sweep {
    /// Most values of a range.
    pub const MOST: usize = 2_000;

    /// Makes a document, with the changes of the trial named, ready to be swept.
    ///
    /// # Errors
    /// What is wrong with the document, or with what is asked of it: no such size, a range that is none.
    pub fn begin(
        document: &Document,
        trial: Option<&str>,
        question: SweepQuestion,
    ) -> Result<Self, Vec<Problem>> {
        let (document, mut problems) = match trial {
            Some(trial) => apply(document, trial),
            None => (document.clone(), Vec::new()),
        };
        let document = Document { trials: Vec::new(), ..document };
        problems.retain(|problem| problem.severity == glidewright_project::Severity::Error);
        let resolved = resolve(&document, None);
        if !problems.is_empty() {
            return Err(problems);
        }
        let sizes = numbers(&resolved);
        let size = question.size(&sizes).map_err(|problem| vec![problem])?.clone();
        question.check(&size).map_err(|problem| vec![problem])?;
        let values = question.values();
        let count = values.len();
        Ok(Self {
            base: Base { document, size },
            order: far_apart_first(count),
            points: vec![None; count],
            values,
            question,
            glanced: 0,
            now: None,
            done: 0,
            turns: None,
            ends: Vec::new(),
            shared: 0,
        })
    }

    /// What is known so far.
    pub fn swept(&self) -> Swept {
        let points = self.points.iter().flatten().cloned().collect();
        let (size, question) = (self.base.size.clone(), self.question.clone());
        Swept { size, question, points, ends: self.ends.clone() }
    }

    /// How many steps are done, of how many.
    pub fn progress(&self) -> (usize, usize) {
        let (turns, searched) = self.turns.as_ref().map_or((0, 0), |(all, searched)| (all.len(), *searched));
        let count = self.values.len();
        let glances = if self.question.in_passing { count } else { 0 };
        let builds = if self.question.builds > 0 { count } else { 0 };
        (self.glanced + self.done + searched + self.shared, glances + count + turns + builds)
    }

    /// Whether there is nothing left to do.
    pub fn is_done(&self) -> bool {
        let (done, of) = self.progress();
        done >= of && self.turns.is_some()
    }

    /// Goes on by so many steps, on all processors, unless it is told to stop; says whether there is more to do. What comes
    /// out hangs on neither steps, stops nor threads.
    pub fn advance(&mut self, steps: usize, stop: &(dyn Fn() -> bool + Sync)) -> bool {
        let mut left = steps;
        while left > 0 && !self.is_done() && !stop() {
            let at_a_time = left.min(rayon::current_num_threads().max(1) * 4);
            left -= at_a_time;
            if self.question.in_passing && self.glanced < self.order.len() {
                self.pass_over(at_a_time);
            } else if self.done < self.order.len() {
                self.work_out(at_a_time);
            } else if let Some((turns, searched)) = self.turns.take() {
                if searched < turns.len() {
                    self.turns = Some(self.search(turns, searched, at_a_time));
                } else {
                    self.turns = Some((turns, searched));
                    self.build(at_a_time);
                }
            } else {
                let known: Vec<&Point> = self.points.iter().flatten().collect();
                self.turns = Some((ends::turns(&known), 0));
            }
        }
        !self.is_done()
    }

    /// Looks at so many values in passing.
    fn pass_over(&mut self, count: usize) {
        let now = self.now.take().unwrap_or_else(|| {
            let fixture = resolve(&self.base.document, None).fixture;
            Box::new(fixture.map(|fixture| analyse(&fixture)).unwrap_or_default())
        });
        let to = (self.glanced + count).min(self.order.len());
        let made = self.made(self.glanced..to, |value, kept| self.base.glance(value, &now, kept));
        self.keep(made);
        self.glanced = to;
        self.now = (to < self.order.len()).then_some(now);
    }

    fn work_out(&mut self, count: usize) {
        let to = (self.done + count).min(self.order.len());
        let made = self.made(self.done..to, |value, kept| self.base.outcome(value, kept));
        self.keep(made);
        self.done = to;
    }

    /// What comes of some values, by their numbers in the order of work.
    fn made(
        &self,
        which: std::ops::Range<usize>,
        outcome: impl Fn(f64, &mut InterferenceCache) -> Result<Figures, String> + Sync,
    ) -> Vec<(usize, Point)> {
        let numbers = self.order.get(which).unwrap_or_default();
        numbers
            .par_iter()
            .map_init(InterferenceCache::default, |kept, number| {
                let value = self.values.get(*number).copied().unwrap_or(f64::NAN);
                (*number, Point { value, outcome: outcome(value, kept), share: None })
            })
            .collect()
    }

    fn keep(&mut self, made: Vec<(usize, Point)>) {
        for (number, point) in made {
            if let Some(slot) = self.points.get_mut(number) {
                *slot = Some(point);
            }
        }
    }

    fn search(&mut self, turns: Vec<Stretch>, searched: usize, count: usize) -> (Vec<Stretch>, usize) {
        let to = (searched + count).min(turns.len());
        let found: Vec<Vec<End>> = turns
            .get(searched..to)
            .unwrap_or_default()
            .par_iter()
            .map_init(InterferenceCache::default, |kept, stretch| {
                ends::search(stretch, &mut |value| self.base.outcome(value, kept))
            })
            .collect();
        self.ends.extend(found.into_iter().flatten());
        (turns, to)
    }

    fn build(&mut self, count: usize) {
        let to = (self.shared + count).min(self.order.len());
        let numbers = self.order.get(self.shared..to).unwrap_or_default();
        let made: Vec<(usize, Option<Share>)> = numbers
            .par_iter()
            .map(|number| {
                let value = self.values.get(*number).copied().unwrap_or(f64::NAN);
                (*number, self.base.share(value, &self.question))
            })
            .collect();
        for (number, share) in made {
            if let Some(Some(point)) = self.points.get_mut(number) {
                point.share = share;
            }
        }
        self.shared = to;
    }
}

/// The numbers below a count, the ends first, then always what halves the widest stretches.
fn far_apart_first(count: usize) -> Vec<usize> {
    let last = count.saturating_sub(1);
    let mut order: Vec<usize> = (0..count).collect();
    let coarseness = |number: usize| match number {
        0 => u32::MAX,
        n if n == last => u32::MAX,
        n => n.trailing_zeros(),
    };
    order.sort_by_key(|number| std::cmp::Reverse(coarseness(*number)));
    order
}

#[cfg(test)]
mod tests {
    use super::far_apart_first;

    #[test]
    fn every_value_comes_once_and_the_farthest_first() {
        assert_eq!(far_apart_first(6), [0, 5, 4, 2, 1, 3]);
        assert_eq!((far_apart_first(0), far_apart_first(1)), (vec![], vec![0]));
        for count in [2, 3, 17, 200] {
            let mut all = far_apart_first(count);
            all.sort_unstable();
            assert!(all.into_iter().eq(0..count));
        }
    }
}
