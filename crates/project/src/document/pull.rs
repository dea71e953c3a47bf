//! Pulls measured with a spring scale.

use serde::{Deserialize, Serialize};

use super::is_default;
use crate::choice::choice;
use crate::size::{Force, Length, Mass};

/// The force it took to keep a rider moving steadily.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeasuredPull {
    /// The rider that was pulled.
    pub rider: String,
    /// Which way along the rail it moved.
    pub towards: Way,
    /// Mass put on beside what the rider carries already, where its loads are.
    #[serde(default, skip_serializing_if = "is_default")]
    pub payload: Mass,
    /// Travel of the fixture where it was measured.
    #[serde(default, skip_serializing_if = "is_default")]
    pub at: Length,
    /// Whether the line was off, so that only this rider moved.
    #[serde(default, skip_serializing_if = "is_default")]
    pub line_off: bool,
    /// What the scale showed, along the way of the motion; negative if the rider had to be held back.
    pub force: Force,
    /// Standard deviation of what the scale shows; without it, it is estimated from how the pulls scatter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub deviation: Option<Force>,
    /// Anything worth saying about it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

choice! {
    /// A way along the rail.
    Way {
        /// Towards growing travel along the rail: up an upright rail.
        Growing = "growing",
        /// The other way.
        Falling = "falling",
    }
}
