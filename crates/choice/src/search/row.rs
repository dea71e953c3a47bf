//! A combination that has been analysed, as a reader sees it.

use glidewright_project::document::{Certainty, Change, Trial};

use super::aim::{Aim, Key};
use super::bill::{Bought, Total};
use super::found::Found;
use super::space::{Pick, Space, StackState};
use super::walk::{Better, certainty_number};
use crate::share::Share;

/// A finding that fails or is marginal, as a row tells of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// Its code.
    pub code: &'static str,
    /// How bad it is.
    pub severity: glidewright_motion::Severity,
    /// Its title.
    pub title: String,
}

/// A combination that has been analysed.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// What it changes, in an order in which each change applies; see [`Row::trial`].
    pub changes: Vec<Change>,
    /// The same in words, one thing each.
    pub words: Vec<String>,
    /// What a person should know of what is put in.
    pub notes: Vec<String>,
    /// How many findings fail.
    pub fails: u32,
    /// How many are marginal.
    pub marginal: u32,
    /// Numbers of the findings there are now ([`Search::now`](super::Search::now)) that are gone.
    pub cured: Vec<usize>,
    /// Findings that there are not now.
    pub brought: Vec<Told>,
    /// All that fails or is marginal.
    pub findings: Vec<Told>,
    /// The least gap over the stroke as drawn (mm); `None` where nothing passes within reach.
    pub least_gap: Option<f64>,
    /// Between what that is, in words.
    pub least_between: Option<[String; 2]>,
    /// How many things are other than now.
    pub changed: u32,
    /// What is to be bought: what is needed beyond what is there now and at hand.
    pub bought: Vec<Bought>,
    /// How many pieces that is.
    pub pieces: u32,
    /// What those cost of which a price is known, in the document's currency.
    pub cost: f64,
    /// How many pieces have no known price.
    pub unpriced: u32,
    /// Whether a guide price of the tables is among them.
    pub has_guide_price: bool,
    /// How sure the least certain part that is put in is; `None` where none is or nothing is said of it.
    pub certainty: Option<Certainty>,
    /// Which part that is.
    pub least_certain: Option<String>,
    /// The greatest effort over the stroke, up or down (N).
    pub effort: Option<f64>,
    /// The greatest pressure under a wheel at rest (MPa).
    pub pressure: Option<f64>,
    /// Wheels, each kind once.
    pub wheels: Vec<String>,
    /// Of how many builds any gap is used up; made of the finalists alone.
    pub builds: Option<Share>,
    /// What stands out past the rail, seen from the front and from the side together (cm²); of the finalists alone.
    pub looks: Option<f64>,
    /// Others that come to the same for a reader, each in its own words.
    pub alike: Vec<Vec<String>>,
    pub(super) pick: Pick,
    /// How far sizes are off what they are now, in values of their ranges.
    off: u32,
}

impl Row {
    pub(super) fn of(space: &Space, now: &Found, pick: Pick, states: &[StackState], found: &Found) -> Self {
        use glidewright_motion::Severity::{Fails, Marginal};
        let Total { bought, cost, unpriced, has_guide } = space.bill.of(space, &pick, states);
        let told = |matter: &super::found::Matter| Told {
            code: matter.code,
            severity: matter.severity,
            title: matter.title.clone(),
        };
        let is_gone =
            |matter: &super::found::Matter| !found.matters.iter().any(|other| other.is_like(matter));
        let is_new = |matter: &&super::found::Matter| !now.matters.iter().any(|other| other.is_like(matter));
        let put_in = space.places.iter().zip(&pick).filter(|(_, offer)| **offer > 0);
        let least = put_in
            .filter_map(|(place, offer)| place.offers.get(usize::from(*offer)))
            .filter_map(|offer| Some((offer.certainty?, offer.part.clone())))
            .max_by(|a, b| a.0.cmp(&b.0).then_with(|| b.1.cmp(&a.1)));
        Self {
            changes: space.changes(&pick, states),
            words: space.words(&pick, states),
            notes: space.notes(&pick),
            fails: found.count(Fails),
            marginal: found.count(Marginal),
            cured: now
                .matters
                .iter()
                .enumerate()
                .filter(|(_, m)| is_gone(m))
                .map(|(number, _)| number)
                .collect(),
            brought: found.matters.iter().filter(is_new).map(told).collect(),
            findings: found.matters.iter().map(told).collect(),
            least_gap: found.least.as_ref().map(|least| least.0),
            least_between: found.least.as_ref().map(|least| least.1.clone()),
            changed: space.changed(&pick, states),
            bought: space.bill.list(space, &pick, states),
            pieces: bought,
            cost,
            unpriced,
            has_guide_price: has_guide,
            certainty: least.as_ref().map(|least| least.0),
            least_certain: least.and_then(|least| least.1),
            effort: found.effort,
            pressure: found.pressure,
            wheels: found.wheels.clone(),
            builds: None,
            looks: None,
            alike: Vec::new(),
            off: space.off(&pick),
            pick,
        }
    }

    /// It as a trial that stands on another one.
    pub fn trial(&self, name: &str, over: Option<&str>) -> Trial {
        Trial {
            name: name.to_owned(),
            note: format!("Found by a search: {}.", self.words.join("; ")),
            over: over.map(str::to_owned).into_iter().collect(),
            changes: self.changes.clone(),
        }
    }

    /// How well it does in an order of aims; what is not known of it counts as the worst.
    pub(super) fn key(&self, order: &[Aim]) -> Key {
        Key::of(order, |aim| self.number(aim))
    }

    /// What it comes to at one aim: less is better.
    pub fn number(&self, aim: Aim) -> f64 {
        match aim {
            Aim::Fails => f64::from(self.fails),
            Aim::Marginal => f64::from(self.marginal),
            Aim::Changed => f64::from(self.changed),
            Aim::Bought => f64::from(self.pieces),
            Aim::Cost => self.cost,
            Aim::Certainty => certainty_number(self.certainty),
            Aim::Builds => self.builds.map_or(f64::INFINITY, |share| share.share),
            Aim::Looks => self.looks.map_or(f64::INFINITY, |looks| (looks * 100.0).round() / 100.0),
            Aim::Effort => self.effort.map_or(f64::INFINITY, |effort| (effort * 100.0).round() / 100.0),
        }
    }

    /// What can be foreseen of it, with the findings it has.
    fn foreseen(&self, order: &[Aim]) -> Key {
        Key::foreseen(order, |aim| self.number(aim))
    }

    /// What others are held against.
    pub(super) fn as_better(&self, order: &[Aim]) -> Better {
        Better::of(&self.pick, self.foreseen(order), (self.fails, self.marginal))
    }

    /// Whether a reader could not tell it from another but by which places are changed.
    pub(super) fn is_like(&self, other: &Self) -> bool {
        let near = |a: Option<f64>, b: Option<f64>, within: f64| match (a, b) {
            (Some(a), Some(b)) => (a / within).round() == (b / within).round() || a == b,
            (None, None) => true,
            _ => false,
        };
        let codes = |row: &Self| row.findings.iter().map(|told| told.code).collect::<Vec<_>>();
        self.fails == other.fails
            && self.marginal == other.marginal
            && self.changed == other.changed
            && self.pieces == other.pieces
            && near(Some(self.cost), Some(other.cost), 0.01)
            && self.unpriced == other.unpriced
            && self.certainty == other.certainty
            && self.cured == other.cured
            && codes(self) == codes(other)
            && self.wheels == other.wheels
            && near(self.least_gap, other.least_gap, 0.01)
            && near(self.effort, other.effort, 0.01)
            && near(self.pressure, other.pressure, 0.1)
    }
}

/// Rows worth telling, in their order: what only adds to a better one and gains nothing by it is left out, and what comes to
/// the same is folded into the first of them.
pub(super) fn folded(space: &Space, rows: &[Row], now: &Row, order: &[Aim]) -> Vec<Row> {
    let mut sorted: Vec<(&Row, Key)> = rows.iter().chain([now]).map(|row| (row, row.key(order))).collect();
    sorted.sort_by(|a, b| {
        let nearer = || a.0.off.cmp(&b.0.off);
        // In no order of riders or places.
        let words = |row: &Row| {
            let mut words = row.words.clone();
            words.sort_unstable();
            words
        };
        a.1.compare(&b.1).then_with(nearer).then_with(|| words(a.0).cmp(&words(b.0)))
    });
    let betters: Vec<Better> = sorted.iter().map(|(row, _)| row.as_better(order)).collect();
    let mut folded: Vec<Row> = Vec::new();
    for (row, _) in sorted {
        let key = row.foreseen(order);
        let only_adds = betters.iter().any(|better| {
            !better.is_of(&row.pick) && better.is_all_of(space, &row.pick, &key, (row.fails, row.marginal))
        });
        if only_adds || row.changed == 0 {
            continue;
        }
        match folded.iter_mut().find(|known| known.is_like(row)) {
            Some(known) => known.alike.push(row.words.clone()),
            None => folded.push(row.clone()),
        }
    }
    folded
}
