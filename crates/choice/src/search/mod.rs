//! Search over tables and sizes: what of a fixture could be otherwise, analysed, the best first.
//!
//! A combination is one offer at each place. How it is done: what there is now and every change alone are analysed; from that
//! it is *foreseen* which findings stay in a combination (gaps along screws as sums, other findings unless something in it
//! cured them alone). A walk through all combinations, which need not look at each, gives those that could be the best by what
//! is foreseen; these are analysed in full, and so on until none that is left could come before the rows wanted. Rows
//! therefore never tell what was only foreseen; what is foreseen can only keep a combination from being analysed, and a sample
//! of those kept away is analysed all the same.

mod aim;
mod asked;
mod bill;
mod configs;
mod finalists;
mod foresee;
mod foreseen;
mod found;
mod join_wheels;
mod lengths;
mod locks;
mod moves;
mod needless;
mod numbers;
mod place;
mod row;
mod rules;
mod sizes;
mod space;
mod walk;

use std::collections::{BTreeMap, HashSet, VecDeque};

use glidewright_motion::analyse;
use glidewright_project::{Document, Problem, resolve};
use rand::RngExt;
use rand_pcg::Pcg64Mcg;
use rayon::prelude::*;

pub use aim::Aim;
pub use asked::{Asked, Range};
pub use bill::Bought;
pub use place::{Offer, Place, PlaceKind};
pub use row::{Row, Told};
pub use space::Reach;

use aim::{Key, whole_order};
use configs::Block;
use foresee::Foresight;
use found::{Found, find, with_changes};
use space::{Pick, Space, StackState, is_error};
use walk::{Better, Coarse, Kept, Walk};

/// Why there is no search.
#[derive(Clone, Debug, PartialEq)]
pub enum NoSearch {
    /// The document, its trial or what is asked cannot be used.
    Problems(Vec<Problem>),
    /// Nothing is left open; with what there is now, and what the rules here do not reach.
    NothingOpen {
        /// What there is now.
        now: Box<Row>,
        /// What stays as it is for its kind.
        left_out: Vec<String>,
    },
}

/// What a search is at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Each change alone.
    Alone,
    /// Combinations, the most promising first.
    Together,
    /// Some of those that were foreseen to be no better.
    Checked,
    /// Builds of the rows at the head of the list.
    Builds,
    /// Done.
    Done,
}

/// How far a search is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// What it is at.
    pub stage: Stage,
    /// Combinations analysed.
    pub analysed: usize,
    /// Rows at the head of the list before which nothing can come that has not been analysed.
    pub final_rows: usize,
    /// Whether there is nothing left to do.
    pub is_done: bool,
}

/// What has come of a search.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// How many combinations there are, before rules take some away.
    pub space: u128,
    /// How far it is.
    pub progress: Progress,
    /// What there is now.
    pub now: Row,
    /// The rows in their order, those that come to the same folded.
    pub rows: Vec<Row>,
    /// Combinations that were analysed and are no fixture, by why.
    pub impossible: Vec<(String, usize)>,
    /// What stays as it is for its kind.
    pub left_out: Vec<String>,
    /// Of how many that were foreseen to be no better it was looked at whether that is so, and how many findings were
    /// foreseen there that are not there.
    pub checked: (usize, u32),
    /// What a reader should know of how far the order is proved.
    pub remarks: Vec<String>,
    /// The currency costs are in.
    pub currency: String,
}

/// So many combinations are analysed between two looks at whether to stop, and taken up at once as the most promising.
const AT_A_TIME: usize = 16;
const ROUND: usize = 24;
/// A greater space is never gone through from end to end.
const MOST_WHOLE: u128 = 1_000_000;
/// So many that are foreseen to be no better are looked at all the same.
const CHECKED: usize = 48;

/// A search.
pub struct Search {
    asked: Asked,
    order: Vec<Aim>,
    space: Space,
    left_out: Vec<String>,
    blocks: Vec<Block>,
    kept: Kept,
    now: Found,
    now_row: Row,
    foresight: Option<Foresight>,
    rows: Vec<Row>,
    analysed: HashSet<Pick>,
    queue: VecDeque<Pick>,
    stage: Stage,
    /// The best that can be foreseen of what is left; `None` while that is not known, or where nothing is left.
    left: Left,
    /// Rows at the head of the list before which nothing that is left can come.
    final_rows: usize,
    /// Where the last walk ended.
    from: Coarse,
    impossible: BTreeMap<String, usize>,
    checked: (usize, u32),
    /// Whether screws in their lengths have been looked at.
    has_lengths: bool,
    is_cut_short: bool,
    finalists: Vec<Pick>,
}

#[derive(Clone, Copy, Debug)]
enum Left {
    Unknown,
    Nothing,
    From(Key),
}

impl Search {
    /// Makes a document, with the changes of the trial named, ready for a search.
    ///
    /// # Errors
    /// Why there is none.
    pub fn begin(document: &Document, trial: Option<&str>, asked: &Asked) -> Result<Self, NoSearch> {
        rayon::scope(|_| Self::begun(document, trial, asked))
    }

    fn begun(document: &Document, trial: Option<&str>, asked: &Asked) -> Result<Self, NoSearch> {
        let resolved = resolve(document, trial);
        let fixture = resolved.fixture.as_ref().filter(|_| !resolved.has_errors());
        let Some(fixture) = fixture else { return Err(NoSearch::Problems(resolved.problems)) };
        let results = analyse(fixture);
        let (space, left_out) =
            moves::space(&resolved, fixture, &results, asked).map_err(NoSearch::Problems)?;
        let now = Found::of(&results, fixture);
        let as_is = space.as_is();
        let states = space.states(&as_is).map_err(|refusal| {
            let message = format!("what there is now is no combination: {}", refusal.says());
            NoSearch::Problems(vec![Problem::error("", message)])
        })?;
        let now_row = Row::of(&space, &now, as_is.clone(), &states, &now);
        if space.places.is_empty() {
            return Err(NoSearch::NothingOpen { now: Box::new(now_row), left_out });
        }
        let blocks: Vec<Block> = (0..space.stacks.len()).map(|stack| Block::of(&space, stack)).collect();
        let order = whole_order(&asked.order);
        let is_small = space.size() <= asked.whole_up_to.min(MOST_WHOLE);
        let mut search = Self {
            asked: asked.clone(),
            order,
            left_out,
            blocks,
            kept: Kept::default(),
            foresight: (!is_small).then(|| Foresight::of(&space, &now, states)),
            now,
            now_row,
            rows: Vec::new(),
            analysed: HashSet::from([as_is]),
            queue: VecDeque::new(),
            stage: if is_small { Stage::Together } else { Stage::Alone },
            left: Left::Unknown,
            final_rows: 0,
            from: Coarse::default(),
            impossible: BTreeMap::new(),
            checked: (0, 0),
            has_lengths: is_small,
            is_cut_short: false,
            finalists: Vec::new(),
            space,
        };
        if is_small {
            search.queue = search.all().into();
            search.left = Left::Nothing;
        } else {
            search.queue = search.alone().into();
            search.is_cut_short = search.queue.len() > asked.analyses;
            search.queue.truncate(asked.analyses);
        }
        Ok(search)
    }

    /// Places where something else could stand.
    pub fn places(&self) -> &[Place] {
        &self.space.places
    }

    /// How many combinations there are, before rules take some away.
    pub fn size(&self) -> u128 {
        self.space.size()
    }

    /// What fails or is marginal now; rows tell by number which of it they cure.
    pub fn now(&self) -> Vec<Told> {
        self.now_row.findings.clone()
    }

    /// How far it is.
    pub fn progress(&self) -> Progress {
        Progress {
            stage: self.stage,
            analysed: self.analysed.len(),
            final_rows: self.final_rows,
            is_done: self.stage == Stage::Done,
        }
    }

    /// How far nut, screw end and head of each stack reach from the middle of its wheel in a row, by stack: its label and
    /// its reach.
    pub fn reaches(&self, row: &Row) -> Vec<(String, Reach)> {
        let states = self.space.states(&row.pick).unwrap_or_default();
        self.space
            .stacks
            .iter()
            .zip(states)
            .map(|(stack, state)| (stack.label.clone(), state.reach))
            .collect()
    }

    /// Analyses so many combinations more at most, on all processors, unless it is told to stop. What comes of it hangs on
    /// neither: after any stop it can go on.
    pub fn advance(&mut self, analyses: usize, stop: &(dyn Fn() -> bool + Sync)) -> Progress {
        let mut left = analyses;
        while left > 0 && self.stage != Stage::Done && !stop() {
            if self.stage == Stage::Builds {
                self.build_next(stop);
                left = left.saturating_sub(AT_A_TIME);
                continue;
            }
            if self.queue.is_empty() {
                self.refill();
                continue;
            }
            let count = left.min(AT_A_TIME).min(self.queue.len());
            let picks: Vec<Pick> = self.queue.drain(..count).collect();
            left -= count;
            self.analyse(picks);
        }
        self.progress()
    }

    fn analyse(&mut self, picks: Vec<Pick>) {
        let space = &self.space;
        let found: Vec<(Pick, Vec<StackState>, Result<Found, Problem>)> = picks
            .into_par_iter()
            .filter_map(|pick| {
                let states = space.states(&pick).ok()?;
                let found = find(&space.base, space.changes(&pick, &states));
                Some((pick, states, found))
            })
            .collect();
        for (pick, states, found) in found {
            if !self.analysed.insert(pick.clone()) {
                continue;
            }
            let found = match found {
                Ok(found) => found,
                Err(problem) => {
                    *self.impossible.entry(problem.message).or_default() += 1;
                    continue;
                }
            };
            if let Some(foresight) = &mut self.foresight {
                if self.stage == Stage::Checked {
                    let some: Vec<Option<StackState>> = states.iter().copied().map(Some).collect();
                    let foreseen = foresight.foresee(&self.space, &pick, &some, &vec![true; pick.len()]);
                    self.checked.0 += 1;
                    let wrong = foresight.correct(foreseen, &found);
                    self.checked.1 += wrong;
                    if wrong > 0 {
                        self.from = Coarse::default();
                    }
                }
                foresight.learn(&self.space, &self.now, (&pick, &states), &found);
            }
            self.rows.push(Row::of(&self.space, &self.now, pick, &states, &found));
        }
    }

    /// Takes up what is to be analysed next, or goes on to the next stage.
    fn refill(&mut self) {
        if self.analysed.len() > self.asked.analyses && self.stage != Stage::Builds {
            self.is_cut_short = true;
            return self.finish();
        }
        match self.stage {
            Stage::Alone if !self.has_lengths => {
                self.has_lengths = true;
                self.queue = self.lengths().into();
            }
            Stage::Alone => self.stage = Stage::Together,
            Stage::Together => self.next_round(),
            Stage::Checked => {
                // What was foreseen wrongly may have kept better ones away.
                self.stage = Stage::Together;
                if self.checked.1 == 0 {
                    self.finish();
                }
            }
            Stage::Builds | Stage::Done => {}
        }
    }

    fn next_round(&mut self) {
        let rows = row::folded(&self.space, &self.rows, &self.now_row, &self.order);
        if matches!(self.left, Left::Nothing) {
            self.final_rows = rows.len();
            return self.finish();
        }
        // Also of those that come to the same as another: what adds to them is as little worth.
        let told: Vec<Better> =
            self.rows.iter().chain([&self.now_row]).map(|row| row.as_better(&self.order)).collect();
        if let Some(foresight) = &mut self.foresight {
            foresight.settle(&self.space);
        }
        let walked = self.walk(&told, ROUND);
        self.from = walked.until;
        self.left = match walked.best.first() {
            Some((key, _)) => Left::From(*key),
            None if walked.is_whole => Left::Nothing,
            None => Left::Unknown,
        };
        self.final_rows = match self.left {
            _ if !walked.is_whole => 0,
            Left::Unknown => 0,
            Left::Nothing => rows.len(),
            Left::From(best) => {
                rows.iter().take_while(|row| row.key(&self.order).compare(&best).is_lt()).count()
            }
        };
        if !walked.is_whole {
            self.is_cut_short = true;
            if walked.best.is_empty() {
                return self.finish();
            }
        }
        if walked.best.is_empty() || (walked.is_whole && self.final_rows >= self.asked.most) {
            let may_check = self.checked.0 == 0 && self.foresight.is_some() && !walked.best.is_empty();
            if may_check {
                self.queue = self.kept_away().into();
                self.stage = Stage::Checked;
                return;
            }
            return self.finish();
        }
        self.queue = walked.best.into_iter().map(|(_, pick)| pick).collect();
    }

    fn walk(&self, told: &[Better], wanted: usize) -> walk::Walked {
        Walk {
            space: &self.space,
            blocks: &self.blocks,
            kept: &self.kept,
            foresight: self.foresight.as_ref(),
            order: &self.order,
            analysed: &self.analysed,
            told,
            wanted,
            from: self.from,
        }
        .best()
    }

    /// All combinations.
    fn all(&self) -> Vec<Pick> {
        let counts: Vec<usize> = self.space.places.iter().map(|place| place.offers.len()).collect();
        let all: usize = counts.iter().product();
        let one = |number: usize| -> Pick {
            let mut rest = number;
            counts
                .iter()
                .map(|count| {
                    let offer = rest % count;
                    rest /= count;
                    offer as u8
                })
                .collect()
        };
        (1..all).map(one).filter(|pick| self.space.states(pick).is_ok()).collect()
    }

    /// Each change alone, those first that are the most likely to leave fewer findings by themselves.
    fn alone(&self) -> Vec<Pick> {
        let mut places: Vec<(usize, &Place)> = self.space.places.iter().enumerate().collect();
        places.sort_by_key(|(_, place)| match place.kind {
            PlaceKind::Remedy => 0,
            PlaceKind::Size => 1,
            PlaceKind::Nut | PlaceKind::Screw => 2,
            _ => 3,
        });
        let mut picks = Vec::new();
        for (place, known) in places {
            for offer in 1..known.offers.len() {
                let mut pick = self.space.as_is();
                if let Some(slot) = pick.get_mut(place) {
                    *slot = offer as u8;
                }
                if self.space.states(&pick).is_ok() {
                    picks.push(pick);
                }
            }
        }
        picks
    }

    /// Each screw in each length it can come to, with as few other changes as that takes.
    fn lengths(&self) -> Vec<Pick> {
        let mut picks: Vec<Pick> = Vec::new();
        let as_is = self.space.as_is();
        for (number, block) in self.blocks.iter().enumerate() {
            let Some(place) = self.space.stacks.get(number).map(|stack| stack.screw) else { continue };
            let ways = self.kept.of(&self.space, &self.blocks, number, &as_is);
            let mut seen: Vec<(u8, i64)> = Vec::new();
            for (config, ..) in ways.0.iter().filter(|(config, ..)| config.state.is_other_screw) {
                let mut pick = as_is.clone();
                for (place, offer) in block.own.iter().zip(&config.offers) {
                    if let Some(slot) = pick.get_mut(*place) {
                        *slot = *offer;
                    }
                }
                let screw = (space::offer(place, &pick) as u8, (config.state.length * 1e3).round() as i64);
                if seen.contains(&screw) {
                    continue;
                }
                seen.push(screw);
                if !self.analysed.contains(&pick) && self.space.states(&pick).is_ok() {
                    picks.push(pick);
                }
            }
        }
        picks
    }

    /// Some combinations with no more changes than the best row, drawn at random.
    fn kept_away(&self) -> Vec<Pick> {
        let best = row::folded(&self.space, &self.rows, &self.now_row, &self.order);
        let most = best.first().map_or(2, |row| row.pick.iter().filter(|offer| **offer > 0).count()).max(2);
        let mut random = Pcg64Mcg::new(u128::from(self.asked.seed) << 1 | 1);
        let mut picks: Vec<Pick> = Vec::new();
        let count = self.space.places.len();
        // Most draws are no combination, or have been analysed.
        for _ in 0..200 * CHECKED {
            if picks.len() >= CHECKED {
                break;
            }
            let mut pick = self.space.as_is();
            let changes = random.random_range(2..=most);
            for _ in 0..changes {
                let place = random.random_range(0..count);
                let offers = self.space.places.get(place).map_or(1, |place| place.offers.len());
                if let Some(slot) = pick.get_mut(place) {
                    *slot = random.random_range(0..offers) as u8;
                }
            }
            let is_new = !self.analysed.contains(&pick) && !picks.contains(&pick);
            if is_new && self.space.states(&pick).is_ok() {
                picks.push(pick);
            }
        }
        picks
    }

    /// Goes on to builds of the first rows, or ends.
    fn finish(&mut self) {
        self.queue.clear();
        let wanted = if self.asked.builds == 0 { 0 } else { self.asked.finalists };
        let rows = row::folded(&self.space, &self.rows, &self.now_row, &self.order);
        self.finalists = rows.into_iter().take(wanted).map(|row| row.pick).collect();
        self.finalists.reverse();
        self.stage = if self.finalists.is_empty() { Stage::Done } else { Stage::Builds };
    }

    /// What has come of it so far.
    pub fn outcome(&self) -> Outcome {
        let mut remarks = Vec::new();
        if self.is_cut_short {
            remarks.push(format!(
                "After {} combinations it was not looked further: better ones may be left.",
                self.analysed.len()
            ));
        }
        if self.kept.is_short.get() {
            remarks.push(
                "Of stacks with very many ways to be, those with the most changes were left out.".to_owned(),
            );
        }
        if self.foresight.is_some() {
            remarks.push(
                "Which combinations are no better is foreseen: gaps along screws add up, and what alone does not cure a finding does not cure it together with others either."
                    .to_owned(),
            );
        }
        if self.checked.0 > 0 {
            let (looked, wrong) = self.checked;
            remarks.push(format!(
                "Of {looked} of these, drawn at random, it was looked at: {}.",
                if wrong == 0 {
                    "all as foreseen".to_owned()
                } else {
                    format!("{wrong} findings were not there, and what foresaw them was let go")
                }
            ));
        }
        Outcome {
            space: self.size(),
            progress: self.progress(),
            now: self.now_row.clone(),
            rows: row::folded(&self.space, &self.rows, &self.now_row, &self.order),
            impossible: self.impossible.iter().map(|(why, count)| (why.clone(), *count)).collect(),
            left_out: self.left_out.clone(),
            checked: self.checked,
            remarks,
            currency: self.space.base.currency().to_owned(),
        }
    }

    /// A row of the outcome as a document: what was searched with its changes made.
    pub fn document(&self, row: &Row) -> Result<Document, Vec<Problem>> {
        let (document, trial) = with_changes(&self.space.base, row.changes.clone());
        let (document, problems) = glidewright_project::apply(&document, trial);
        if problems.iter().any(is_error) {
            Err(problems)
        } else {
            Ok(Document { trials: Vec::new(), ..document })
        }
    }
}
