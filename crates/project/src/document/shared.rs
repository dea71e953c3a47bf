//! Shared sizes: named sizes others refer to.

use std::fmt;

use serde::de::{self, MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::problem::quoted;
use crate::size::AnySize;

/// Shared sizes in the order they were written; on disk a map `{"plate": 6, "wall": "plate/2"}`.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct SharedSizes {
    /// Name and size; names differ.
    pub entries: Vec<(String, AnySize)>,
}

impl SharedSizes {
    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// The size with this name.
    pub fn get(&self, name: &str) -> Option<&AnySize> {
        self.entries.iter().find(|(n, _)| n == name).map(|(_, size)| size)
    }

    /// The size with this name, to change.
    pub fn get_mut(&mut self, name: &str) -> Option<&mut AnySize> {
        self.entries.iter_mut().find(|(n, _)| n == name).map(|(_, size)| size)
    }

    /// All names, in order.
    pub fn names(&self) -> impl Iterator<Item = &str> + Clone {
        self.entries.iter().map(|(name, _)| name.as_str())
    }
}

impl Serialize for SharedSizes {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.entries.iter().map(|(name, size)| (name, size)))
    }
}

impl<'de> Deserialize<'de> for SharedSizes {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Entries;
        impl<'de> Visitor<'de> for Entries {
            type Value = SharedSizes;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("shared sizes: {\"name\": size, …}")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<SharedSizes, A::Error> {
                let mut known = std::collections::HashSet::new();
                let mut entries = Vec::new();
                while let Some(name) = map.next_key::<String>()? {
                    if !known.insert(name.clone()) {
                        return Err(de::Error::custom(format!("the size {} is given twice", quoted(&name))));
                    }
                    entries.push((name, map.next_value()?));
                }
                Ok(SharedSizes { entries })
            }
        }
        deserializer.deserialize_map(Entries)
    }
}
