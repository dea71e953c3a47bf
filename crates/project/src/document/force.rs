//! Forces on a rider that depend on travel.

use serde::{Deserialize, Serialize};

use super::{Point, named};
use crate::choice::choice;
use crate::size::{Force, Length};

/// A force along the rail on a rider: a cable's drag, a spring, a wiper.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AppliedForce {
    /// What it is called.
    pub name: String,
    /// How it acts.
    pub acts: ForceAction,
    /// The plate its place counts from, as for a load.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on: Option<String>,
    /// Where it takes hold; left out, at the rider's centre of mass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Point>,
    /// Force against the fixture's travel, by growing travel.
    pub table: Vec<ForcePoint>,
}

choice! {
    /// How an applied force acts.
    ForceAction {
        /// Along the rail whichever way the rider moves; positive towards growing travel of the rail.
        Push = "push",
        /// Against the motion.
        Drag = "drag",
    }
}

/// One point of a force table; on disk `(240, 0.4)`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ForcePoint(
    /// Travel of the fixture.
    pub Length,
    /// Force there.
    pub Force,
);

named!(AppliedForce);
