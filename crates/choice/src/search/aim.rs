//! In which order a person cares.

use std::cmp::Ordering;

/// One thing a person cares about; of each, less is better.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Aim {
    /// Findings that fail.
    Fails,
    /// Findings that are marginal.
    Marginal,
    /// Things that are other than now.
    Changed,
    /// Pieces to buy.
    Bought,
    /// What they cost.
    Cost,
    /// How little is known of the least certain part that is put in.
    Certainty,
    /// Share of builds that foul.
    Builds,
    /// How far it stands out, seen by a viewer.
    Looks,
    /// The greatest effort.
    Effort,
}

/// How many aims there are.
pub(super) const AIMS: usize = Aim::ALL.len();

impl Aim {
    /// All, in the order that is taken where nothing is said.
    pub const ALL: [Self; 9] = [
        Self::Fails,
        Self::Marginal,
        Self::Changed,
        Self::Bought,
        Self::Cost,
        Self::Certainty,
        Self::Builds,
        Self::Looks,
        Self::Effort,
    ];

    /// Stable word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fails => "fails",
            Self::Marginal => "marginal",
            Self::Changed => "changed",
            Self::Bought => "bought",
            Self::Cost => "cost",
            Self::Certainty => "certainty",
            Self::Builds => "builds",
            Self::Looks => "looks",
            Self::Effort => "effort",
        }
    }

    /// The aim of a word.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|aim| aim.word() == word)
    }

    /// It in words, for a reader.
    pub const fn says(self) -> &'static str {
        match self {
            Self::Fails => "nothing fails",
            Self::Marginal => "nothing marginal",
            Self::Changed => "fewest things changed",
            Self::Bought => "fewest things to buy",
            Self::Cost => "least cost",
            Self::Certainty => "surest sizes",
            Self::Builds => "fewest builds that foul",
            Self::Looks => "standing out least",
            Self::Effort => "least effort",
        }
    }

    /// Whether it is known of a combination before it is analysed, at least how little it can be.
    const fn is_foreseen(self) -> bool {
        !matches!(self, Self::Builds | Self::Looks | Self::Effort)
    }
}

/// The order with what it leaves out at its end, each aim once.
pub(super) fn whole_order(order: &[Aim]) -> Vec<Aim> {
    let mut whole: Vec<Aim> = Vec::with_capacity(AIMS);
    for aim in order.iter().copied().chain(Aim::ALL) {
        if !whole.contains(&aim) {
            whole.push(aim);
        }
    }
    whole
}

/// How well a combination does at each aim, in the order in which a person cares; less is better and the first counts most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Key(pub [f64; AIMS]);

impl Key {
    /// Of what is known by aim.
    pub fn of(order: &[Aim], of: impl Fn(Aim) -> f64) -> Self {
        let mut key = [0.0; AIMS];
        for (slot, aim) in key.iter_mut().zip(order) {
            *slot = of(*aim);
        }
        Self(key)
    }

    /// Of a combination that has not been analysed: what is not foreseen of it is taken to be the best there can be.
    pub fn foreseen(order: &[Aim], of: impl Fn(Aim) -> f64) -> Self {
        Self::of(order, |aim| if aim.is_foreseen() { of(aim) } else { f64::NEG_INFINITY })
    }

    pub fn compare(&self, other: &Self) -> Ordering {
        let pairs = self.0.iter().zip(&other.0);
        pairs.map(|(a, b)| a.total_cmp(b)).find(|order| order.is_ne()).unwrap_or(Ordering::Equal)
    }
}
