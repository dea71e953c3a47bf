//! What depends on what.

use std::collections::{HashMap, HashSet};

use super::references::names_in;
use crate::document::{Change, Document};
use crate::path::join;
use crate::size::Formula;
use crate::walk::Slot;

/// Which sizes are made of which shared sizes, both ways. Made once for a document and asked often.
#[derive(Clone, Debug, Default)]
pub struct Dependencies {
    /// Shared sizes named in the formula at a path.
    needs: HashMap<String, Vec<String>>,
    /// Paths whose formulas name a shared size, in the order of the file.
    users: HashMap<String, Vec<String>>,
}

impl Dependencies {
    /// Those of a document, changes of its trials included (`trials/name/changes/1`).
    pub fn of(document: &Document) -> Self {
        let mut all = Self::default();
        document.visit(&mut |path, slot| {
            if let Slot::Size(size) = slot
                && let Some(formula) = size.formula()
            {
                all.note(path, formula);
            }
        });
        for trial in &document.trials {
            for (number, change) in (1..).zip(&trial.changes) {
                let path = format!("trials/{}/changes/{number}", trial.name);
                match change {
                    Change::Set { to, .. } => all.note(&path, to),
                    Change::Shift { by, .. } => all.note(&path, &by.formula),
                    _ => {}
                }
            }
        }
        all
    }

    fn note(&mut self, path: &str, formula: &Formula) {
        let names = names_in(formula);
        for name in &names {
            self.users.entry(name.clone()).or_default().push(path.to_owned());
        }
        if !names.is_empty() {
            self.needs.insert(path.to_owned(), names);
        }
    }

    /// Shared sizes the size at a path is made of, those it names first, then those these name, and so on.
    pub fn needs(&self, path: &str) -> Vec<String> {
        closure(path, |at| self.needs.get(at).into_iter().flatten().cloned(), |name| join("sizes", name))
    }

    /// Paths of the sizes that move with a shared size, those that name it first, then those that name these,
    /// and so on.
    pub fn moves_with(&self, name: &str) -> Vec<String> {
        let users = |at: &str| {
            let name = at.strip_prefix("sizes/").map(str::to_owned);
            name.and_then(|name| self.users.get(&name)).into_iter().flatten().cloned()
        };
        closure(&join("sizes", name), users, str::to_owned)
    }
}

/// What is reached from `start`, nearest first, each once, `start` not again; `place` says where a thing found
/// stands.
fn closure<I: Iterator<Item = String>>(
    start: &str,
    next: impl Fn(&str) -> I,
    place: impl Fn(&str) -> String,
) -> Vec<String> {
    let mut seen = HashSet::from([start.to_owned()]);
    let mut found = Vec::new();
    let mut open = std::collections::VecDeque::from([start.to_owned()]);
    while let Some(at) = open.pop_front() {
        for thing in next(&at) {
            let stands = place(&thing);
            if seen.insert(stands.clone()) {
                open.push_back(stands);
                found.push(thing);
            }
        }
    }
    found
}
