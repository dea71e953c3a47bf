//! What a person has of a part.

use serde::{Deserialize, Serialize};

/// What a person has, pays and calls a part, their own or one of the tables.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stocked {
    /// Name of the part.
    pub part: String,
    /// What the person calls it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub own_name: String,
    /// How many are at hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// What one cost, in the person's currency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<f64>,
    /// The day this was noted, e.g. `2026-01-31`.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub date: String,
    /// Anything worth saying about it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}
