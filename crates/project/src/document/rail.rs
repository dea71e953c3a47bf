//! The rail and how it stands.

use serde::{Deserialize, Serialize};

use super::is_default;
use crate::size::{Angle, Length};

/// The rail everything runs on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rail {
    /// Name of a rail part, e.g. `"grooved 30x60"`.
    pub section: String,
    /// Length.
    pub length: Length,
    /// How it stands.
    #[serde(default, skip_serializing_if = "is_default")]
    pub stand: Stand,
    /// Where it is held, from its lower or left end; left out, a lying rail is taken to be held at its ends.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub supports: Vec<Length>,
}

/// How the rail stands.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Stand {
    /// Travel grows upwards.
    Upright,
    /// Level, its front face up.
    #[default]
    Lying,
    /// At angles.
    Inclined {
        /// Angle of growing travel above the level.
        incline: Angle,
        /// Turn about the rail; at 0 the front face of a lying rail looks up, at 90° its left face.
        #[serde(default, skip_serializing_if = "is_default")]
        roll: Angle,
    },
}
