//! Goes through all combinations, the best that can be foreseen first, without looking at each.

use std::cell::{Cell, RefCell};
use std::cmp::Ordering;
use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use glidewright_project::document::Certainty;

use super::aim::{AIMS, Aim, Key};
use super::configs::{Block, Config};
use super::foresee::Foresight;
use super::foreseen::Foreseen;
use super::space::{Pick, Space, StackState};

/// So many steps are taken at most in one walk: some seconds.
const MOST_STEPS: u64 = 3_000_000;

/// So many of the first aims that can be foreseen tell how far a walk goes at a time.
const COARSE: usize = 3;

/// The best combinations that have not been analysed.
pub(super) struct Walked {
    /// The best first.
    pub best: Vec<(Key, Pick)>,
    /// Whether every combination was looked at or is known to be no better.
    pub is_whole: bool,
    /// Where it ended: the next may begin there.
    pub until: Coarse,
}

/// A walk through all combinations.
pub(super) struct Walk<'a> {
    pub space: &'a Space,
    pub blocks: &'a [Block],
    pub kept: &'a Kept,
    pub foresight: Option<&'a Foresight>,
    pub order: &'a [Aim],
    pub analysed: &'a HashSet<Pick>,
    /// Rows that are worth telling: what only adds to one of them is not gone through.
    pub told: &'a [Better],
    pub wanted: usize,
    /// Where the last walk ended: nothing that is left lies before it.
    pub from: Coarse,
}

/// A combination that has been analysed, and what came of it.
#[derive(Clone, Debug)]
pub(super) struct Better {
    /// What it changes: places and offers.
    pub changes: Vec<(usize, u8)>,
    pub key: Key,
    pub fails: u32,
    pub marginal: u32,
}

impl Better {
    /// `key` is what can be foreseen of it, with the findings it has.
    pub fn of(pick: &[u8], key: Key, (fails, marginal): (u32, u32)) -> Self {
        let changes = pick.iter().copied().enumerate().filter(|(_, offer)| *offer > 0).collect();
        Self { changes, key, fails, marginal }
    }

    /// Whether it is of this combination itself.
    pub fn is_of(&self, pick: &[u8]) -> bool {
        let own = pick.iter().filter(|offer| **offer > 0).count();
        own == self.changes.len()
            && self.changes.iter().all(|(place, offer)| super::space::at(pick, *place) == *offer)
    }

    /// Whether a combination changes all that this does, or a size farther the same way.
    fn is_in(&self, space: &Space, pick: &[u8]) -> bool {
        self.changes
            .iter()
            .all(|(place, offer)| space.is_as_far(*place, *offer, super::space::at(pick, *place)))
    }

    /// Whether a combination, of which this is the least it comes to, changes all that this does and gains nothing for it.
    pub fn is_all_of(&self, space: &Space, pick: &[u8], key: &Key, (fails, marginal): (u32, u32)) -> bool {
        self.fails <= fails
            && self.marginal <= marginal
            && self.key.compare(key).is_le()
            && self.is_in(space, pick)
    }
}

/// A stack, and what stands at the places it shares.
type StackAt = (usize, Vec<u8>);

/// Ways stacks can be, once they have been worked out.
#[derive(Default)]
pub(super) struct Kept {
    configs: RefCell<HashMap<StackAt, Arc<Ways>>>,
    /// How many are kept, and how many were ever made.
    held: Cell<usize>,
    made: Cell<u64>,
    /// Whether some were left out for their number.
    pub is_short: Cell<bool>,
}

/// More ways are not kept at once: some hundreds of megabytes.
const MOST_KEPT: usize = 2_000_000;

/// Ways a stack can be, each with what it takes at least to buy.
pub(super) struct Ways(pub Vec<(Config, u32, f64)>);

impl Kept {
    pub fn of(&self, space: &Space, blocks: &[Block], stack: usize, pick: &[u8]) -> Arc<Ways> {
        let Some(block) = blocks.get(stack) else { return Arc::new(Ways(Vec::new())) };
        let shared = block.shared.iter().map(|place| super::space::at(pick, *place)).collect();
        let key = (stack, shared);
        if let Some(known) = self.configs.borrow().get(&key) {
            return Arc::clone(known);
        }
        let (configs, is_all) = block.configs(space, stack, pick);
        if !is_all {
            self.is_short.set(true);
        }
        let mut whole: Vec<u8> = pick.to_vec();
        let ways = configs.into_iter().map(|config| {
            for (place, offer) in block.own.iter().zip(&config.offers) {
                if let Some(slot) = whole.get_mut(*place) {
                    *slot = *offer;
                }
            }
            let (bought, cost) = space.bill.of_stack(space, stack, &whole, &config.state);
            (config, bought, cost)
        });
        let ways = Arc::new(Ways(ways.collect()));
        self.made.set(self.made.get() + ways.0.len() as u64);
        self.held.set(self.held.get() + ways.0.len());
        if self.held.get() > MOST_KEPT {
            self.configs.borrow_mut().clear();
            self.held.set(ways.0.len());
        }
        self.configs.borrow_mut().insert(key, Arc::clone(&ways));
        ways
    }
}

/// So many times as many as are wanted are found, as many of them wait for others.
const POOL: usize = 8;

/// How far a walk goes: what the first aims come to.
pub(super) type Coarse = [f64; COARSE];

struct Going<'w, 'a> {
    walk: &'w Walk<'a>,
    levels: Vec<Level>,
    coarse: Vec<usize>,
    bound: Coarse,
    next: Option<Coarse>,
    found: Vec<(Key, Pick)>,
    /// So many have been found that are no worse than this.
    worst: Option<Key>,
    steps: u64,
    pick: Vec<u8>,
    states: Vec<Option<StackState>>,
    known: Vec<bool>,
}

#[derive(Clone, Copy)]
enum Level {
    Place(usize),
    Stack(usize),
}

/// What is decided of a combination so far.
#[derive(Clone, Copy)]
struct So {
    foreseen: Foreseen,
    changed: u32,
    bought: u32,
    cost: f64,
    certainty: Option<Certainty>,
}

impl Walk<'_> {
    /// The best combinations by what can be foreseen.
    pub fn best(&self) -> Walked {
        let mut levels: Vec<Level> = Vec::new();
        let mut shared: Vec<usize> = self.blocks.iter().flat_map(|block| block.shared.clone()).collect();
        shared.sort_unstable();
        shared.dedup();
        levels.extend(shared.iter().map(|place| Level::Place(*place)));
        let of_blocks: HashSet<usize> =
            self.blocks.iter().flat_map(|block| block.own.iter().chain(&block.shared).copied()).collect();
        let free = (0..self.space.places.len()).filter(|place| !of_blocks.contains(place));
        levels.extend(free.map(Level::Place));
        levels.extend((0..self.blocks.len()).map(Level::Stack));
        let foreseen = |aim: &Aim| !matches!(aim, Aim::Builds | Aim::Looks | Aim::Effort);
        let coarse = self.order.iter().enumerate().filter(|(_, aim)| foreseen(aim)).map(|(at, _)| at);
        let mut going = Going {
            walk: self,
            levels,
            coarse: coarse.take(COARSE).collect(),
            bound: self.from,
            next: None,
            found: Vec::new(),
            worst: None,
            steps: 0,
            pick: vec![0; self.space.places.len()],
            states: vec![None; self.space.stacks.len()],
            known: vec![false; self.space.places.len()],
        };
        loop {
            going.next = None;
            going.found.clear();
            going.worst = None;
            let none =
                So { foreseen: Foreseen::default(), changed: 0, bought: 0, cost: 0.0, certainty: None };
            going.go(0, none);
            let is_out = going.steps > MOST_STEPS;
            let ends = going.found.len() >= POOL * self.wanted || going.next.is_none() || is_out;
            if let (false, Some(next)) = (ends, going.next) {
                going.bound = next;
                continue;
            }
            let mut all = std::mem::take(&mut going.found);
            all.sort_by(by_key);
            // What only adds to one of them waits for what comes of that.
            let (mut best, mut taken): (Vec<(Key, Pick)>, Vec<Better>) = (Vec::new(), Vec::new());
            for (key, pick) in all {
                if best.len() >= self.wanted {
                    break;
                }
                let waits = taken.iter().any(|better| better.is_in(self.space, &pick));
                if !waits {
                    taken.push(Better::of(&pick, key, (0, 0)));
                    best.push((key, pick));
                }
            }
            return Walked { best, is_whole: !is_out, until: going.bound };
        }
    }
}

fn by_key(a: &(Key, Pick), b: &(Key, Pick)) -> Ordering {
    a.0.compare(&b.0).then_with(|| a.1.cmp(&b.1))
}

impl Going<'_, '_> {
    fn key(&self, so: &So) -> Key {
        let (fails, marginal) = so.foreseen.counts();
        Key::foreseen(self.walk.order, |aim| match aim {
            Aim::Fails => f64::from(fails),
            Aim::Marginal => f64::from(marginal),
            Aim::Changed => f64::from(so.changed),
            Aim::Bought => f64::from(so.bought),
            Aim::Cost => so.cost,
            Aim::Certainty => certainty_number(so.certainty),
            _ => 0.0,
        })
    }

    /// Whether what is decided lies beyond where this walk ends; notes where the next one should.
    fn is_beyond(&mut self, key: &Key) -> bool {
        let mut coarse = [0.0; COARSE];
        for (slot, at) in coarse.iter_mut().zip(&self.coarse) {
            // Costs count as whole amounts here, so that there are not as many walks as prices.
            *slot = key.0.get(*at).copied().unwrap_or(0.0).ceil();
        }
        let order = compare(&coarse, &self.bound);
        if order.is_gt() && self.next.is_none_or(|next| compare(&coarse, &next).is_lt()) {
            self.next = Some(coarse);
        }
        order.is_gt()
    }

    fn go(&mut self, depth: usize, so: So) {
        self.steps += 1;
        if self.steps > MOST_STEPS {
            return;
        }
        match self.levels.get(depth).copied() {
            None => self.arrive(so),
            Some(Level::Place(place)) => self.go_place(depth, place, so),
            Some(Level::Stack(stack)) => self.go_stack(depth, stack, so),
        }
    }

    fn go_place(&mut self, depth: usize, place: usize, so: So) {
        let Some(offers) = self.walk.space.places.get(place).map(|place| place.offers.len()) else { return };
        let was = self.known.get(place).copied().unwrap_or(false);
        set(&mut self.known, place, true);
        for chosen in 0..offers {
            set(&mut self.pick, place, chosen as u8);
            let offer = self.walk.space.places.get(place).and_then(|place| place.offers.get(chosen));
            let then = So {
                changed: so.changed + u32::from(chosen > 0),
                certainty: so.certainty.max(offer.and_then(|offer| offer.certainty)),
                ..so
            };
            let key = self.key(&then);
            if self.is_beyond(&key) {
                continue;
            }
            let then = self.foreseen(then);
            if self.is_of_no_use(&then) {
                continue;
            }
            self.go(depth + 1, then);
        }
        set(&mut self.pick, place, 0);
        set(&mut self.known, place, was);
    }

    fn go_stack(&mut self, depth: usize, stack: usize, so: So) {
        let walk = self.walk;
        let made = walk.kept.made.get();
        let ways = walk.kept.of(walk.space, walk.blocks, stack, &self.pick);
        // To make one takes about as long as to look at one.
        self.steps += walk.kept.made.get() - made;
        let Some(block) = walk.blocks.get(stack) else { return };
        for place in &block.own {
            set(&mut self.known, *place, true);
        }
        for (config, bought, cost) in &ways.0 {
            // They come by their number of changes: where that alone is too much, all that follow are.
            let least = So { changed: so.changed + config.changed, ..so };
            if self.is_beyond(&self.key(&least)) {
                break;
            }
            let then = So {
                changed: so.changed + config.changed,
                bought: so.bought + bought,
                cost: so.cost + cost,
                certainty: so.certainty.max(config.certainty),
                ..so
            };
            self.steps += 1;
            let key = self.key(&then);
            if self.is_beyond(&key) || self.steps > MOST_STEPS {
                continue;
            }
            for (place, offer) in block.own.iter().zip(&config.offers) {
                set(&mut self.pick, *place, *offer);
            }
            set(&mut self.states, stack, Some(config.state));
            let then = self.foreseen(then);
            if self.is_of_no_use(&then) {
                continue;
            }
            self.go(depth + 1, then);
        }
        set(&mut self.states, stack, None);
        for place in &block.own {
            set(&mut self.pick, *place, 0);
            set(&mut self.known, *place, false);
        }
    }

    fn foreseen(&self, so: So) -> So {
        let Some(foresight) = self.walk.foresight else { return so };
        So { foreseen: foresight.foresee(self.walk.space, &self.pick, &self.states, &self.known), ..so }
    }

    /// Whether what is decided lies beyond this walk, cannot be among the wanted, or only adds to what is better.
    fn is_of_no_use(&mut self, so: &So) -> bool {
        let key = self.key(so);
        if self.is_beyond(&key) || self.worst.is_some_and(|worst| key.compare(&worst).is_gt()) {
            return true;
        }
        let counts = so.foreseen.counts();
        self.walk.told.iter().any(|better| better.is_all_of(self.walk.space, &self.pick, &key, counts))
    }

    fn arrive(&mut self, so: So) {
        let space = self.walk.space;
        if self.pick.iter().all(|offer| *offer == 0) || self.walk.analysed.contains(self.pick.as_slice()) {
            return;
        }
        let states: Option<Vec<StackState>> = self.states.iter().copied().collect();
        let Some(states) = states else { return };
        let total = space.bill.of(space, &self.pick, &states);
        if space.at_hand_only && total.bought > 0 {
            return;
        }
        let so = So { bought: total.bought, cost: total.cost, ..so };
        let key = self.key(&so);
        if self.is_of_no_use(&so) {
            return;
        }
        self.found.push((key, self.pick.clone().into()));
        let pool = POOL * self.walk.wanted.max(1);
        if self.found.len() >= 2 * pool {
            self.found.sort_by(by_key);
            self.found.truncate(pool);
            self.worst = self.found.last().map(|(key, _)| *key);
        }
    }
}

/// How little is known, as a number: 0 where nothing is put in.
pub(super) fn certainty_number(certainty: Option<Certainty>) -> f64 {
    certainty.map_or(0.0, |certainty| {
        Certainty::ALL.iter().position(|known| *known == certainty).map_or(0.0, |place| place as f64 + 1.0)
    })
}

fn compare(a: &Coarse, b: &Coarse) -> Ordering {
    a.iter().zip(b).map(|(a, b)| a.total_cmp(b)).find(|order| order.is_ne()).unwrap_or(Ordering::Equal)
}

fn set<T>(all: &mut [T], at: usize, value: T) {
    if let Some(slot) = all.get_mut(at) {
        *slot = value;
    }
}

const _: () = assert!(COARSE <= AIMS);
