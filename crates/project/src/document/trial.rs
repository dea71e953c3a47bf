//! Trials: named sets of changes to the fixture.

use serde::{Deserialize, Serialize};

use super::named;
use crate::size::{AnySize, Formula};

/// A named set of changes over the base fixture.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Trial {
    /// What it is called.
    pub name: String,
    /// Why it is tried.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// Trials whose changes come first, by name.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub over: Vec<String>,
    /// The changes, in order.
    pub changes: Vec<Change>,
}

/// One change.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Change {
    /// Puts another part wherever one is used.
    Swap {
        /// The part to replace.
        from: String,
        /// The part to put there.
        to: String,
        /// Only below this path, e.g. `riders/counterweight`; left out, everywhere.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        within: String,
    },
    /// Gives a size, a part or a choice another value.
    Set {
        /// Its path, e.g. `sizes/spacer` or `riders/counterweight/stack/head`.
        path: String,
        /// The new value: a number or formula for a size, else a name or word.
        to: Formula,
    },
    /// Shifts a size by an amount.
    Shift {
        /// Its path.
        path: String,
        /// By how much.
        by: AnySize,
    },
    /// Turns screws round: the head goes to the plate's other side, and the pieces below it with it.
    Turn {
        /// Every stack below this path, e.g. `riders/camera head`; left out, everywhere.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        within: String,
    },
    /// Takes something away.
    Remove {
        /// Its path, e.g. `obstacles/bridge`.
        path: String,
    },
}

named!(Trial);
