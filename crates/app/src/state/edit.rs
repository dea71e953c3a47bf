//! Changes to the document, as functions from one document to the next.

use glidewright_project::document::Change;
use glidewright_project::edit::{self, EditResult, Edited};
use glidewright_project::size::Formula;
use glidewright_project::tolerance::Tolerance;
use glidewright_project::{Document, Problem, SlotMut};

/// A change a person makes.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    /// A change of the kinds trials are made of: in the trial where one is tried, else in the fixture.
    Change(Change),
    /// Gives several sizes formulas at once.
    Sizes {
        /// What that does, in words.
        what: String,
        /// Where they stand, and what they become.
        sets: Vec<(String, Formula)>,
    },
    /// Leaves a size to its default.
    Default {
        /// Where it stands.
        path: String,
    },
    /// Gives a size another tolerance.
    Tolerance {
        /// Where it stands.
        path: String,
        /// What is known of it.
        tolerance: Option<Tolerance>,
    },
}

impl Edit {
    /// Gives a size, a part or a choice what was typed or chosen.
    pub fn set(path: &str, typed: &str) -> Self {
        Self::Change(Change::Set { path: path.to_owned(), to: Formula::typed(typed) })
    }

    /// What it is about: changes of the same thing in a row are one step of undo.
    pub fn about(&self) -> String {
        match self {
            Self::Change(Change::Set { path, .. }) | Self::Default { path } => path.clone(),
            Self::Sizes { what, .. } => what.clone(),
            Self::Change(change) => edit::describe(change),
            Self::Tolerance { path, .. } => format!("{path} ±"),
        }
    }

    /// The document with the change made.
    ///
    /// # Errors
    /// Why it cannot be made.
    pub fn apply(&self, document: &Document, trial: Option<&str>) -> EditResult {
        match (self, trial) {
            (Self::Change(change), Some(name)) => edit::change_in_trial(document, name, change),
            (Self::Change(change), None) => edit::change(document, change),
            (Self::Sizes { what, sets }, _) => set_all(document, trial, what, sets),
            (Self::Default { path }, Some(_)) => {
                Err(Problem::error(path, "a trial gives sizes values; it cannot leave one to its default")
                    .remedy("choose “As drawn” first"))
            }
            (Self::Default { path }, None) => to_default(document, path),
            (Self::Tolerance { path, tolerance }, _) => {
                edit::set_tolerance(document, path, tolerance.clone())
            }
        }
    }
}

fn set_all(document: &Document, trial: Option<&str>, what: &str, sets: &[(String, Formula)]) -> EditResult {
    let mut changed = document.clone();
    for (path, to) in sets {
        let change = Change::Set { path: path.clone(), to: to.clone() };
        changed = match trial {
            Some(name) => edit::change_in_trial(&changed, name, &change)?.document,
            None => edit::change(&changed, &change)?.document,
        };
    }
    let description = match trial {
        Some(name) => format!("{what} in {name}"),
        None => what.to_owned(),
    };
    Ok(Edited { document: changed, description })
}

fn to_default(document: &Document, path: &str) -> EditResult {
    let mut changed = document.clone();
    changed.visit_mut(&mut |at, slot| {
        if at == path
            && let SlotMut::Size(size) = slot
        {
            size.set_formula(None);
        }
    });
    Ok(Edited { document: changed, description: format!("Leave {path} to its default") })
}
