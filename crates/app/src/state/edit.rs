//! Changes to the document, as functions from one document to the next.

use std::fmt;
use std::sync::Arc;

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
    /// Any other change; it is made in the fixture itself, whatever is tried.
    Make {
        /// What it is about.
        about: String,
        /// The change.
        change: Make,
    },
}

/// A change as a function.
#[derive(Clone)]
pub struct Make(Arc<dyn Fn(&Document) -> EditResult + Send + Sync>);

impl fmt::Debug for Make {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Make(…)")
    }
}

impl PartialEq for Make {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

impl Edit {
    /// Gives a size, a part or a choice what was typed or chosen.
    pub fn set(path: &str, typed: &str) -> Self {
        Self::Change(Change::Set { path: path.to_owned(), to: Formula::typed(typed) })
    }

    /// A change as a function of the document.
    pub fn make(
        about: impl Into<String>,
        change: impl Fn(&Document) -> EditResult + Send + Sync + 'static,
    ) -> Self {
        Self::Make { about: about.into(), change: Make(Arc::new(change)) }
    }

    /// A change of what stands at a path: `alter` says whether it was there.
    pub fn alter(
        path: impl Into<String>,
        description: impl Into<String>,
        alter: impl Fn(&mut Document) -> Option<()> + Send + Sync + 'static,
    ) -> Self {
        let (path, description) = (path.into(), description.into());
        let about = path.clone();
        Self::make(about, move |document| {
            let mut document = document.clone();
            match alter(&mut document) {
                Some(()) => Ok(Edited { document, description: description.clone() }),
                None => Err(Problem::error(&path, "it is not there in the fixture as drawn")
                    .remedy("choose “As drawn” to change what a trial only swaps")),
            }
        })
    }

    /// What it is about: changes of the same thing in a row are one step of undo.
    pub fn about(&self) -> String {
        match self {
            Self::Change(Change::Set { path, .. }) | Self::Default { path } => path.clone(),
            Self::Sizes { what, .. } => what.clone(),
            Self::Change(change) => edit::describe(change),
            Self::Tolerance { path, .. } => format!("{path} ±"),
            Self::Make { about, .. } => about.clone(),
        }
    }

    /// Whether other things follow the change: it is of the rail's length or section, or of a rider's face.
    pub fn takes_along(&self) -> bool {
        match self {
            Self::Change(Change::Set { path, .. }) => edit::takes_along(path),
            _ => false,
        }
    }

    /// The document with the change made.
    ///
    /// # Errors
    /// Why it cannot be made.
    pub fn apply(&self, document: &Document, trial: Option<&str>) -> EditResult {
        match (self, trial) {
            (Self::Change(Change::Set { path, to }), Some(name)) => {
                edit::set_all_in_trial(document, name, path, to)
            }
            (Self::Change(change), Some(name)) => edit::change_in_trial(document, name, change),
            (Self::Change(Change::Set { path, to }), None) => edit::set_all(document, path, to),
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
            (Self::Make { change, .. }, _) => (change.0)(document),
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
