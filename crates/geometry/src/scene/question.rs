//! The question put to a scene: who moves how, over which travel, with which limits.

/// A group of solids that move together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct GroupId(pub u32);

/// A solid of the scene.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SolidId(pub u32);

/// A watched pair of groups.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ChannelId(pub u32);

/// A group's shift along the scene's direction as a function of the travel `s` (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Motion {
    /// Shift = `offset` + `ratio`·s. A ratio of 0 stands still.
    Linked {
        /// Shift at s = 0 (mm).
        offset: f64,
        /// Shift per travel.
        ratio: f64,
    },
    /// May stand at any shift between two, whatever the travel: every result is the worst over them.
    Free {
        /// Least shift (mm).
        from: f64,
        /// Greatest shift (mm).
        to: f64,
    },
}

impl Motion {
    /// Stands still.
    pub const FIXED: Self = Self::Linked { offset: 0.0, ratio: 0.0 };
}

/// The question put to a sweep.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ask {
    /// Travel at the first position (mm).
    pub from: f64,
    /// Travel at the last position (mm).
    pub to: f64,
    /// Number of positions, evenly spaced, both ends included; at least 1.
    pub positions: usize,
    /// Report the intervals in which a pair's gap is at most this (mm), beside those in which it touches; minus
    /// infinity: report neither.
    pub below: f64,
    /// List every pair of bodies whose least gap over the travel is at most this (mm).
    pub horizon: f64,
    /// The envelope says nothing at positions where no gap is below this (mm); infinity: only where there is no pair.
    pub ceiling: f64,
}
