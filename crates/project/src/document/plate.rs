//! Plates.

use serde::{Deserialize, Serialize};

use super::{Spot, named};
use crate::size::{Length, Number};

/// A flat plate square to the way its rider looks.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Plate {
    /// What it is called.
    pub name: String,
    /// Its outline.
    pub outline: PlateOutline,
    /// Its thickness.
    pub thickness: Length,
    /// What it is made of.
    pub material: String,
    /// Share of its volume that is filled.
    #[serde(default = "full", skip_serializing_if = "is_full")]
    pub fill: Number,
    /// Distance of its inner face from the rail's centre plane, for a plate that no stack carries.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level: Option<Length>,
}

fn full() -> Number {
    Number::of(1.0)
}

fn is_full(fill: &Number) -> bool {
    fill.is_plainly(1.0)
}

/// How a plate is outlined.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
#[expect(clippy::large_enum_variant, reason = "a document holds few of them")]
pub enum PlateOutline {
    /// A rounded rectangle round the axles of every stack that passes through the plate.
    Around {
        /// From the outermost axles to the edge.
        margin: Length,
        /// Radius of the corners.
        corner: Length,
    },
    /// A rounded rectangle between two opposite corners.
    Rectangle {
        /// One corner.
        from: Spot,
        /// The other.
        to: Spot,
        /// Radius of the corners.
        corner: Length,
    },
}

impl PlateOutline {
    /// Mirrors every place of the outline.
    pub(crate) fn mirror(&mut self, place: &dyn Fn(&mut Spot)) {
        match self {
            Self::Around { .. } => {}
            Self::Rectangle { from, to, .. } => {
                place(from);
                place(to);
            }
        }
    }
}

named!(Plate);
