//! What a person keeps as it is, and what they leave open.

use glidewright_project::document::{Document, Part};
use glidewright_project::{Problem, Slot, parts_in_use};

use super::asked::Asked;
use super::moves::is_within;
use super::place::PlaceKind;

/// What stays and what is open, checked against the document.
pub(super) struct Locks {
    riders: Vec<String>,
    parts: Vec<String>,
    kinds: Vec<PlaceKind>,
    paths: Vec<String>,
    open: Vec<String>,
}

impl Locks {
    /// Of what is asked.
    ///
    /// # Errors
    /// What is named that is not there, and what is both kept and left open.
    pub fn of(document: &Document, asked: &Asked) -> Result<Self, Vec<Problem>> {
        let mut locks = Self {
            riders: Vec::new(),
            parts: Vec::new(),
            kinds: Vec::new(),
            paths: Vec::new(),
            open: Vec::new(),
        };
        let mut problems = Vec::new();
        let (mut sizes, mut all) = (Vec::new(), Vec::new());
        document.visit(&mut |path, slot| {
            if matches!(slot, Slot::Size(_)) {
                sizes.push(path.to_owned());
            }
            all.push(path.to_owned());
        });
        let leads_somewhere = |path: &str| all.iter().any(|known| is_within(known, path));
        let used = parts_in_use(document);
        for lock in &asked.locked {
            let kind = PlaceKind::ALL.into_iter().find(|kind| kind.word() == lock);
            if document.riders.iter().any(|rider| rider.name == *lock) {
                locks.riders.push(lock.clone());
            } else if used.iter().any(|part| part.name == *lock) {
                locks.parts.push(lock.clone());
            } else if let Some(kind) = kind {
                locks.kinds.push(kind);
            } else if leads_somewhere(lock) {
                locks.paths.push(lock.clone());
            } else {
                let kinds: Vec<&str> = PlaceKind::ALL.iter().map(|kind| kind.word()).collect();
                problems.push(Problem::error(lock, "there is nothing here to keep as it is").remedy(
                    format!(
                        "name a rider, a part in use, a path of the document, or one of {}",
                        kinds.join(", ")
                    ),
                ));
            }
        }
        for open in &asked.open {
            if !leads_somewhere(open) {
                problems.push(
                    Problem::error(open, "there is nothing here to leave open")
                        .remedy("name a size or the stack of a bolt by its path"),
                );
            }
            locks.open.push(open.clone());
        }
        for (path, range) in &asked.ranges {
            if !sizes.contains(path) {
                problems.push(
                    Problem::error(path, "there is no size here to give a range")
                        .remedy("name one by its path, e.g. sizes/spacer"),
                );
            }
            if range.values().is_empty() {
                let message = format!(
                    "from {} to {} in steps of {} there is no value, or there are more than {}",
                    range.from,
                    range.to,
                    range.step,
                    super::asked::Range::MOST
                );
                problems.push(
                    Problem::error(path, message)
                        .remedy("let it end above where it begins, in a step above 0"),
                );
            }
        }
        for path in asked.ranges.keys().chain(&asked.open) {
            let rider =
                path.strip_prefix("riders/").and_then(|rest| rest.split('/').next()).unwrap_or_default();
            if locks.holds(path, rider) || locks.holds_path(path) {
                problems.push(
                    Problem::error(path, "it is to stay as it is and to be left open as well")
                        .remedy("ask for one of the two"),
                );
            }
        }
        if problems.is_empty() { Ok(locks) } else { Err(problems) }
    }

    /// Whether a rider or a whole stack stays.
    pub fn holds(&self, path: &str, rider: &str) -> bool {
        self.riders.iter().any(|locked| locked == rider)
            || self.paths.iter().any(|locked| is_within(path, locked))
    }

    /// Whether what stands at a path stays.
    pub fn holds_path(&self, path: &str) -> bool {
        self.paths.iter().any(|locked| is_within(path, locked))
    }

    /// Whether places of a kind stay.
    pub fn holds_kind(&self, kind: PlaceKind) -> bool {
        self.kinds.contains(&kind)
    }

    /// Whether a place on a stack stays: by its kind, its path or its part.
    pub fn holds_place(&self, kind: PlaceKind, stack: &str, name: &str, part: &Part) -> bool {
        self.holds_kind(kind)
            || self.holds_path(&format!("{stack}/{name}"))
            || self.parts.iter().any(|locked| *locked == part.name || part.also.contains(locked))
    }

    /// Whether a path is left open by name.
    pub fn opens(&self, path: &str) -> bool {
        self.open.iter().any(|open| is_within(path, open) || is_within(open, path))
    }
}
