//! The belt or cord that links riders.

use serde::{Deserialize, Serialize};

use super::{Named, Spot};
use crate::choice::choice;
use crate::size::{Force, Length, Number};

/// A belt or cord in one plane.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Line {
    /// What it is called.
    pub name: String,
    /// Name of a belt part.
    pub part: String,
    /// The plane it runs in.
    pub plane: LinePlane,
    /// What it passes, in order.
    pub nodes: Vec<Node>,
    /// Share of the pull lost where it bends round a turning pulley.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bending_loss: Option<Number>,
    /// Sliding friction on a fixed post.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub post_friction: Option<Number>,
    /// Even pull put into the line when it is clamped; where a weight hangs on it, the weight decides.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pretension: Option<Force>,
}

/// The plane a line runs in: it holds the rail's direction.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum LinePlane {
    /// Square to the side faces, at this distance right of the rail's middle: places are (x, z).
    Upright {
        /// Where the plane stands.
        y: Length,
    },
    /// Parallel to the front face, at this distance before the rail's middle: places are (x, y).
    Flat {
        /// Where the plane stands.
        z: Length,
    },
}

/// Something a line passes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Node {
    /// It is clamped here.
    Anchor(Anchor),
    /// It runs over a freely turning pulley.
    Idler(Roller),
    /// It slides round a fixed post.
    Post(Roller),
    /// It runs over the driven pulley.
    Driven(Roller),
}

/// Where a line is clamped.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Anchor {
    /// What it is called.
    pub name: String,
    /// The rider it is clamped to; left out, the rail's frame.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rider: Option<String>,
    /// Where: along the rider (or the rail), then across in the line's plane.
    pub at: Spot,
    /// Length of line beyond this place, held in the clamp; left out, 20 mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tail: Option<Length>,
}

/// A pulley, idler or post.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Roller {
    /// What it is called.
    pub name: String,
    /// Name of a pulley part.
    pub part: String,
    /// The rider that carries it; left out, it stands on the rail's frame.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rider: Option<String>,
    /// Its centre: along the rail (or the rider), then across in the line's plane.
    pub at: Spot,
    /// Which way the line turns round it.
    pub turn: Turn,
}

choice! {
    /// Which way a line turns round a pulley, walked from its first node, seen with x to the right and the
    /// plane's other axis up.
    Turn {
        /// Counter-clockwise.
        Left = "left",
        /// Clockwise.
        Right = "right",
    }
}

impl Node {
    /// The pulley, if it is one.
    pub const fn roller(&self) -> Option<&Roller> {
        match self {
            Self::Anchor(_) => None,
            Self::Idler(roller) | Self::Post(roller) | Self::Driven(roller) => Some(roller),
        }
    }

    /// The rider it is on.
    pub fn rider(&self) -> Option<&str> {
        match self {
            Self::Anchor(anchor) => anchor.rider.as_deref(),
            Self::Idler(roller) | Self::Post(roller) | Self::Driven(roller) => roller.rider.as_deref(),
        }
    }

    /// The rider it is on, to change.
    pub const fn rider_mut(&mut self) -> &mut Option<String> {
        match self {
            Self::Anchor(anchor) => &mut anchor.rider,
            Self::Idler(roller) | Self::Post(roller) | Self::Driven(roller) => &mut roller.rider,
        }
    }
}

impl Named for Node {
    fn name(&self) -> &str {
        match self {
            Self::Anchor(anchor) => &anchor.name,
            Self::Idler(roller) | Self::Post(roller) | Self::Driven(roller) => &roller.name,
        }
    }

    fn name_mut(&mut self) -> &mut String {
        match self {
            Self::Anchor(anchor) => &mut anchor.name,
            Self::Idler(roller) | Self::Post(roller) | Self::Driven(roller) => &mut roller.name,
        }
    }
}
