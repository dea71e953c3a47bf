//! Changes to the document, as functions from one document to the next.

use glidewright_project::document::{Change, Trial};
use glidewright_project::size::Formula;
use glidewright_project::{Document, SlotMut};

/// A change a person makes.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    /// Gives a size another number or formula, or leaves it to its default.
    SetSize {
        /// Where it stands.
        path: String,
        /// What is written there.
        formula: Option<String>,
    },
    /// Puts another part, material or plate in a place.
    SetPart {
        /// Where it stands.
        path: String,
        /// Its name.
        part: String,
    },
    /// Chooses another word.
    SetChoice {
        /// Where it stands.
        path: String,
        /// The word.
        word: String,
    },
}

impl Edit {
    /// Where it changes something.
    pub fn path(&self) -> &str {
        match self {
            Self::SetSize { path, .. } | Self::SetPart { path, .. } | Self::SetChoice { path, .. } => path,
        }
    }

    /// What it does, for undo.
    pub fn description(&self) -> String {
        let place = readable(self.path());
        match self {
            Self::SetSize { formula: Some(formula), .. } => format!("{place}: {formula}"),
            Self::SetSize { formula: None, .. } => format!("{place}: default"),
            Self::SetPart { part, .. } => format!("{place}: {part}"),
            Self::SetChoice { word, .. } => format!("{place}: {word}"),
        }
    }

    /// The document with the change: in the trial where one is being tried, else in the fixture itself.
    ///
    /// # Errors
    /// Why it cannot be made.
    pub fn apply(&self, document: &Document, trial: Option<&str>) -> Result<Document, String> {
        let mut changed = document.clone();
        match trial {
            Some(name) => {
                let trial = changed.trials.iter_mut().find(|trial| trial.name == name);
                self.apply_to_trial(trial.ok_or_else(|| format!("there is no trial '{name}'"))?)?;
            }
            None => self.apply_to_base(&mut changed)?,
        }
        Ok(changed)
    }

    fn apply_to_trial(&self, trial: &mut Trial) -> Result<(), String> {
        let value = match self {
            Self::SetSize { formula: Some(formula), .. } => Formula::typed(formula),
            Self::SetSize { formula: None, .. } => {
                return Err(
                    "a trial gives sizes values; only the fixture itself can leave one to its default"
                        .to_owned(),
                );
            }
            Self::SetPart { part: text, .. } | Self::SetChoice { word: text, .. } => {
                Formula::Text(text.clone())
            }
        };
        let known = trial.changes.iter_mut().find_map(|change| match change {
            Change::Set { path, to } if path == self.path() => Some(to),
            _ => None,
        });
        match known {
            Some(to) => *to = value,
            None => trial.changes.push(Change::Set { path: self.path().to_owned(), to: value }),
        }
        Ok(())
    }

    fn apply_to_base(&self, document: &mut Document) -> Result<(), String> {
        let mut made = false;
        document.visit_mut(&mut |path, slot| {
            if path != self.path() {
                return;
            }
            made |= match (self, slot) {
                (Self::SetSize { formula, .. }, SlotMut::Size(size)) => {
                    size.set_formula(formula.as_deref().map(Formula::typed));
                    true
                }
                (Self::SetPart { part, .. }, SlotMut::Part(_, name)) => {
                    part.clone_into(name);
                    true
                }
                (Self::SetChoice { word, .. }, SlotMut::Choice(choice)) => choice.choose(word),
                _ => false,
            };
        });
        if made { Ok(()) } else { Err(format!("nothing at {} can take this", self.path())) }
    }
}

/// A path for a reader: its steps with arrows between.
pub fn readable(path: &str) -> String {
    path.split('/')
        .filter(|step| !matches!(*step, "riders" | "wheels" | "plates" | "sizes"))
        .collect::<Vec<_>>()
        .join(" › ")
}
