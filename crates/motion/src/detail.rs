//! How closely a fixture is looked at.

/// Stations along the stroke at which published curves are worked out.
pub const STATIONS: usize = 201;

/// The same of what follows a hand.
const FEW_STATIONS: usize = 41;

/// How closely a fixture is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Detail {
    /// Everything as it is published.
    #[default]
    Whole,
    /// Quick enough to follow a hand: curves at every fifth station; gaps as drawn as they are, under load to first order
    /// in how the riders stand; of bodies of several pieces that overlap, a shift that parts them at one travel.
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
}
