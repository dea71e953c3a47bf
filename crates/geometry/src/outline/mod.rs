//! Closed planar outlines of straight lines and circular arcs.

mod build;
mod edge;
mod faults;
mod flatten;
mod measure;

use glam::DVec2;

pub(crate) use edge::{line_circle, nearest_on_segment, within_sweep};
pub use faults::Fault;
pub use flatten::Side;
pub(crate) use flatten::chord_count;
pub use measure::{Bounds2, SecondMoments};

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
/// [`Outline::faults`] before relying on it.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Outline {
    /// The edges in order (mm).
    pub edges: Vec<Edge>,
}

/// Two points closer than this are the same corner of an outline (mm): far below anything that can be
/// made, far above the rounding of sums and turns at the size of a bench (1e-12 mm at 1 m).
pub(crate) const SAME_POINT: f64 = 1e-9;
