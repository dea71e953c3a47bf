//! Places of a fixture where something else could stand.

use glidewright_project::document::{Certainty, Change};

/// What kind of place it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum PlaceKind {
    /// The screw of a stack, its standard; its length follows from what is on it.
    Screw,
    /// A nut.
    Nut,
    /// A washer.
    Washer,
    /// A thin ring.
    Shim,
    /// A spacer.
    Spacer,
    /// A wheel.
    Wheel,
    /// Which way round screws are.
    Round,
    /// A size with a range.
    Size,
    /// What a finding offers as its cure besides: a mass, a thickness.
    Remedy,
}

impl PlaceKind {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::Screw,
        Self::Nut,
        Self::Washer,
        Self::Shim,
        Self::Spacer,
        Self::Wheel,
        Self::Round,
        Self::Size,
        Self::Remedy,
    ];

    /// Stable word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Screw => "screw",
            Self::Nut => "nut",
            Self::Washer => "washer",
            Self::Shim => "shim",
            Self::Spacer => "spacer",
            Self::Wheel => "wheel",
            Self::Round => "round",
            Self::Size => "size",
            Self::Remedy => "remedy",
        }
    }
}

/// A place where something else could stand.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// What kind it is.
    pub kind: PlaceKind,
    /// Where it is in the document; of several that change together, the first.
    pub path: String,
    /// What a reader calls it, e.g. "front tray: nut".
    pub label: String,
    /// What could stand there; the first is what stands there now.
    pub offers: Vec<Offer>,
}

/// What could stand at a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// It in a few words, e.g. "DIN 985 M5" or "15.5 mm".
    pub words: String,
    /// What makes it so; nothing for what stands there now. A screw's length comes on top.
    pub changes: Vec<Change>,
    /// How sure the size of the part is that makes the stack as long as it is; `None` where nothing is put in or nothing is
    /// said.
    pub certainty: Option<Certainty>,
    /// The part's name, if it is one.
    pub part: Option<String>,
    /// Of a size, how far it is off what it is now, in its own unit.
    pub off: Option<f64>,
    /// Something a person should know, e.g. that a nut is thin.
    pub note: Option<&'static str>,
}
