//! A file of parts: a person's own library.

use serde::{Deserialize, Serialize};

use super::{FORMAT, Material, Measured, Part, Stocked};
use crate::comments::Comments;

/// A person's own parts and materials, with what they have measured and have of these and of the tables' parts, kept in a
/// file beside all projects.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartsFile {
    /// Version of the file format, as for projects.
    pub format: u32,
    /// The parts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<Part>,
    /// The materials.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub materials: Vec<Material>,
    /// Caliper readings.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub measured: Vec<Measured>,
    /// What is at hand and what it cost.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stock: Vec<Stocked>,
    /// Comments in the text it was read from.
    #[serde(skip)]
    pub comments: Comments,
}

impl PartsFile {
    /// What is noted of a part, under any of its names.
    pub fn stock_of(&self, part: &Part) -> Option<&Stocked> {
        self.stock.iter().find(|stock| stock.part == part.name || part.also.contains(&stock.part))
    }
}

impl Default for PartsFile {
    fn default() -> Self {
        Self {
            format: FORMAT,
            parts: Vec::new(),
            materials: Vec::new(),
            measured: Vec::new(),
            stock: Vec::new(),
            comments: Comments::default(),
        }
    }
}
