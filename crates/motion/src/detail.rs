//! How closely a fixture is looked at.

/// Stations along the stroke at which published curves are worked out.
pub const STATIONS: usize = 201;

/// The same of what follows a hand.
const FEW_STATIONS: usize = 41;

/// Reaches of a load that slides at which a hand is followed; the curves against reach have few bends.
const FEW_REACHES: usize = 11;

/// How closely a fixture is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Detail {
    /// Everything as it is published.
    #[default]
    Whole,
    /// Quick enough to follow a hand: curves at every fifth station, against reach at eleven; of what passes only what is
    /// not much farther apart than what was nearest before; gaps as drawn as they are, under load to first order
    /// in how the riders stand; of bodies of several pieces that overlap, a shift that parts the
    /// deepest at one travel.
    Quick,
}

impl Detail {
    /// Stations along the stroke at which curves are worked out.
    pub(crate) const fn stations(self) -> usize {
        match self {
            Self::Whole => STATIONS,
            Self::Quick => FEW_STATIONS,
        }
    }

    /// Reaches of a load that slides at which curves are worked out.
    pub(crate) const fn reaches(self) -> usize {
        match self {
            Self::Whole => STATIONS,
            Self::Quick => FEW_REACHES,
        }
    }
}
