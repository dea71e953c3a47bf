//! Bodies, and things that stand still.

use serde::{Deserialize, Serialize};

use super::{Point, is_default, named};
use crate::size::Length;

/// A convex body.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Body {
    /// A box between two opposite corners.
    Box {
        /// One corner.
        from: Point,
        /// The other.
        to: Point,
    },
    /// A cylinder between two points on its axis.
    Cylinder {
        /// One end.
        from: Point,
        /// The other.
        to: Point,
        /// Its diameter.
        diameter: Length,
    },
    /// A cone frustum between two points on its axis.
    Cone {
        /// One end.
        from: Point,
        /// The other.
        to: Point,
        /// Diameter at the first end.
        from_diameter: Length,
        /// Diameter at the other.
        to_diameter: Length,
    },
    /// A ball.
    Ball {
        /// Its middle.
        at: Point,
        /// Its diameter.
        diameter: Length,
    },
}

/// Something that stands still: an end stop, a bracket, a neighbour.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Obstacle {
    /// What it is called.
    pub name: String,
    /// An end stop is there to be met at the very end of the stroke.
    #[serde(default, skip_serializing_if = "is_default")]
    pub stop: bool,
    /// Its form, in the rail's frame.
    pub bodies: Vec<Body>,
}

named!(Obstacle);
