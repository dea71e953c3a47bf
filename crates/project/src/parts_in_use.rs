//! Which parts a document names, and where.

use crate::document::{Document, PartKind};
use crate::walk::{PartUse, Slot};

/// A part that a document names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartInUse {
    /// Its name as it is written; empty where a place is left open.
    pub name: String,
    /// What kind stands at the first of its places.
    pub kind: PartKind,
    /// Where it is named.
    pub places: Vec<String>,
}

/// The parts a document names, each once, in the order in which they are met.
pub fn parts_in_use(document: &Document) -> Vec<PartInUse> {
    let mut used: Vec<PartInUse> = Vec::new();
    document.visit(&mut |path, slot| {
        let Slot::Part(PartUse::Kind(kind), name) = slot else { return };
        match used.iter_mut().find(|known| known.name == name) {
            Some(known) => known.places.push(path.to_owned()),
            None => used.push(PartInUse { name: name.to_owned(), kind, places: vec![path.to_owned()] }),
        }
    });
    used
}
