//! What is wrong with a document, where, and what to do about it.

use std::fmt;

/// How bad a problem is, worst last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Good to know.
    Note,
    /// Probably not what was meant; it can be calculated with.
    Warning,
    /// It cannot be used as it stands.
    Error,
}

/// Where a problem is.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Place {
    /// Line and column in the text, both from 1; the column counts characters.
    Text {
        /// Line, from 1.
        line: usize,
        /// Column in characters, from 1.
        column: usize,
    },
    /// A path in the document, e.g. `riders/camera head/at`; empty for the whole of it.
    Path(String),
    /// A character of the formula at a path, counted from 1.
    Formula {
        /// The path of the size.
        path: String,
        /// Character in the formula, from 1.
        column: usize,
    },
}

impl Place {
    /// The path in the document, if the place has one.
    pub fn path(&self) -> Option<&str> {
        match self {
            Self::Text { .. } => None,
            Self::Path(path) | Self::Formula { path, .. } => Some(path),
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Text { line, column } => write!(f, "line {line}, column {column}"),
            Self::Path(path) if path.is_empty() => write!(f, "the document"),
            Self::Path(path) => write!(f, "{path}"),
            Self::Formula { path, column } => write!(f, "{path}, character {column}"),
        }
    }
}

/// One thing that is wrong with a document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// How bad it is.
    pub severity: Severity,
    /// Where it is.
    pub place: Place,
    /// What is the matter.
    pub message: String,
    /// What to do about it; empty when nothing better than the message can be said.
    pub remedy: String,
}

impl Problem {
    /// An error at a path.
    pub fn error(path: impl Into<String>, message: impl Into<String>) -> Self {
        Self::new(Severity::Error, Place::Path(path.into()), message)
    }

    /// A warning at a path.
    pub fn warning(path: impl Into<String>, message: impl Into<String>) -> Self {
        Self::new(Severity::Warning, Place::Path(path.into()), message)
    }

    /// A note at a path.
    pub fn note(path: impl Into<String>, message: impl Into<String>) -> Self {
        Self::new(Severity::Note, Place::Path(path.into()), message)
    }

    /// A problem at any place.
    pub fn new(severity: Severity, place: Place, message: impl Into<String>) -> Self {
        Self { severity, place, message: message.into(), remedy: String::new() }
    }

    /// The same problem with what to do about it.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = remedy.into();
        self
    }
}

/// What is the matter and what to do about it, as a reader is told: "message: remedy".
pub fn told(message: &str, remedy: &str) -> String {
    if remedy.is_empty() { message.to_owned() } else { format!("{message}: {remedy}") }
}

impl Problem {
    /// What is the matter and what to do about it, without its place.
    pub fn told(&self) -> String {
        told(&self.message, &self.remedy)
    }

    /// The same in a line of a list, with its place.
    pub fn line(&self) -> String {
        let remedy = if self.remedy.is_empty() { String::new() } else { format!(" – {}", self.remedy) };
        format!("{}: {}{remedy}", self.place, self.message)
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let severity = match self.severity {
            Severity::Note => "note",
            Severity::Warning => "warning",
            Severity::Error => "error",
        };
        write!(f, "{severity}: {}: {}", self.place, self.message)?;
        if !self.remedy.is_empty() {
            write!(f, " ({})", self.remedy)?;
        }
        Ok(())
    }
}

/// The longest piece of the user's own text that a message repeats (characters).
const LONGEST_QUOTE: usize = 60;

/// The user's own text, fit to stand in a message: one line, not too long.
pub(crate) fn quoted(text: &str) -> String {
    let mut shown: String =
        text.chars().take(LONGEST_QUOTE).map(|c| if c.is_control() { '\u{FFFD}' } else { c }).collect();
    if text.chars().nth(LONGEST_QUOTE).is_some() {
        shown.push('…');
    }
    format!("'{shown}'")
}
