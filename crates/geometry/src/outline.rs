//! Closed planar outlines of straight lines and circular arcs.

use glam::DVec2;

/// One edge of an [`Outline`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Edge {
    /// A straight line between two points (mm).
    Line {
        /// Start (mm).
        from: DVec2,
        /// End (mm).
        to: DVec2,
    },
    /// A circular arc, walked from angle `start` through `sweep`.
    Arc {
        /// Centre (mm).
        centre: DVec2,
        /// Radius (mm), positive.
        radius: f64,
        /// Angle of the first point about the centre (rad), from +x towards +y.
        start: f64,
        /// Angle walked (rad); positive is counter-clockwise. At most one full turn.
        sweep: f64,
    },
}

/// A closed chain of edges, each starting where the one before ends. Counter-clockwise outlines bound
/// material; a hole is the same thing walked the same way and named as a hole by its owner.
///
/// A value of this type is data: it may be broken (open, crossing itself, not finite). Ask
/// `Outline::faults` before relying on it.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Outline {
    /// The edges in order (mm).
    pub edges: Vec<Edge>,
}

impl Edge {
    /// First point (mm).
    pub fn from(&self) -> DVec2 {
        match *self {
            Self::Line { from, .. } => from,
            Self::Arc { centre, radius, start, .. } => centre + radius * DVec2::from_angle(start),
        }
    }

    /// Last point (mm).
    pub fn to(&self) -> DVec2 {
        match *self {
            Self::Line { to, .. } => to,
            Self::Arc { centre, radius, start, sweep } => centre + radius * DVec2::from_angle(start + sweep),
        }
    }
}
