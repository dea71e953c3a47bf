//! What is asked of builds.

use std::collections::BTreeMap;

use glidewright_project::{Origin, SpreadSize};

/// Whether pieces of one size come out each by itself or all the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Likeness {
    /// Each piece by itself: bought parts, cut lengths.
    Each,
    /// All of one lot, one print or one setting of the saw: the same in a build, another in the next.
    Alike,
}

impl Likeness {
    /// What is taken where nothing is said: shared sizes are made alike, everything else piece by piece.
    pub const fn usual(size: &SpreadSize) -> Self {
        match size.origin {
            Origin::Shared => Self::Alike,
            Origin::Part | Origin::Own => Self::Each,
        }
    }

    /// It in words, for a reader.
    pub const fn says(self) -> &'static str {
        match self {
            Self::Each => "each piece by itself",
            Self::Alike => "all alike",
        }
    }

    /// Stable word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Each => "each",
            Self::Alike => "alike",
        }
    }
}

/// Whose gaps count.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Between {
    /// Everything that passes, and what stands near the rail.
    #[default]
    All,
    /// Riders against riders alone.
    Riders,
}

/// How the riders stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Standing {
    /// As load and play make them stand: what these take of each gap as drawn is taken off in every build alike.
    #[default]
    Loaded,
    /// As drawn.
    Drawn,
}

/// What is asked of builds.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Question {
    /// Begins the random numbers: the same seed gives the same builds.
    pub seed: u64,
    /// How the riders stand.
    pub standing: Standing,
    /// Whose gaps count.
    pub between: Between,
    /// How pieces come out, by the path of the size, where it is not as usual.
    pub likeness: BTreeMap<String, Likeness>,
}
