//! Places.

use serde::{Deserialize, Serialize};

use crate::size::Length;

/// A place in a plane: along the rail, then across it; on disk `(45, -12)`.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
pub struct Spot(
    /// Along the rail.
    pub Length,
    /// Across, in the plane's other direction.
    pub Length,
);

/// A place in space; on disk `(x, y, z)`.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
pub struct Point(
    /// Along the rail.
    pub Length,
    /// Across the rail.
    pub Length,
    /// Out of the front face; on a rider, out from its plate.
    pub Length,
);

impl Spot {
    /// From plain numbers (mm).
    pub const fn of(along: f64, across: f64) -> Self {
        Self(Length::of(along), Length::of(across))
    }
}

impl Point {
    /// From plain numbers (mm).
    pub const fn of(x: f64, y: f64, z: f64) -> Self {
        Self(Length::of(x), Length::of(y), Length::of(z))
    }
}
