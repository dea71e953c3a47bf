//! Findings: one result of one check, with its reason.

use super::{BodyId, Chain};
use crate::Phrase;

/// How bad a finding is, worst last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Good to know.
    Note,
    /// Works, but with less margin than asked.
    Marginal,
    /// Does not work as it stands.
    Fails,
}

/// One result of one check.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Stable code, e.g. `gap.fouls`.
    pub code: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// One line: what is the matter.
    pub title: Phrase,
    /// Why, in words and numbers.
    pub reason: Phrase,
    /// Whose fault it is or whom it concerns.
    pub bodies: Vec<BodyId>,
    /// Where in the document the cause is, as paths.
    pub paths: Vec<String>,
    /// The figure checked.
    pub value: Option<f64>,
    /// What it is held against.
    pub limit: Option<f64>,
    /// Unit of both.
    pub unit: &'static str,
    /// Travel at which it is worst (mm).
    pub at_travel: Option<f64>,
    /// Stretches of travel where it holds (mm).
    pub stretches: Vec<(f64, f64)>,
    /// The chain of sizes behind the figure.
    pub chain: Option<Chain>,
    /// What could cure it.
    pub remedies: Vec<Remedy>,
}

impl Finding {
    /// A finding that says nothing yet, to be filled in.
    pub(crate) fn blank() -> Self {
        Self {
            code: "",
            severity: Severity::Note,
            title: Phrase::default(),
            reason: Phrase::default(),
            bodies: Vec::new(),
            paths: Vec::new(),
            value: None,
            limit: None,
            unit: "",
            at_travel: None,
            stretches: Vec::new(),
            chain: None,
            remedies: Vec::new(),
        }
    }
}

/// Something that could cure a finding.
#[derive(Clone, Debug, PartialEq)]
pub struct Remedy {
    /// What to do, in words.
    pub text: Phrase,
    /// The part or size to change, as a path in the document, if it is one thing.
    pub path: Option<String>,
    /// How much less of it is needed (mm), if that is how it cures.
    pub by: Option<f64>,
}
