//! What is threaded on one screw.

use serde::{Deserialize, Serialize};

use super::{Piece, PieceKind, is_default};
use crate::choice::choice;
use crate::size::{Length, Torque};

/// Everything on one screw, from its head to what ends it: a nut, or a plate that is tapped or has an insert.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stack {
    /// Name of a screw part, e.g. `"ISO 4762 M6"`.
    pub screw: String,
    /// Length of the screw; left out, the shortest standard length that does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<Length>,
    /// Torque it is tightened with, where that is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub torque: Option<Torque>,
    /// Which side of the plate the head is on.
    #[serde(default, skip_serializing_if = "is_default")]
    pub head: HeadSide,
    /// The pieces from the head on.
    pub pieces: Vec<Piece>,
}

impl Stack {
    /// Whether it ends in a plate's thread, its own or an insert's, rather than in a nut.
    pub fn ends_tapped(&self) -> bool {
        self.pieces.last().is_some_and(|piece| piece.kind == PieceKind::Plate && piece.hole.holds())
    }
}

choice! {
    /// Which side of the plate a screw's head is on.
    #[derive(Default)]
    HeadSide {
        /// Outside: the nut is on the rail's side.
        #[default]
        Outside = "outside",
        /// On the rail's side: the nut is outside.
        Inside = "inside",
    }
}
