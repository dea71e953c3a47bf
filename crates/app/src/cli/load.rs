//! From a file, or the built-in demo, to an analysed fixture.

use std::path::Path;

use glidewright_choice::{Builds, Question, Share};
use glidewright_motion::{Finding, Fixture, Results, analyse};
use glidewright_project::store::{Store, StoreError};
use glidewright_project::{Document, Problem, Resolved, Severity, demo, resolve};
use glidewright_sheet::views::ExtraFigure;

use super::output::{Console, Outcome};
use crate::compared::{extras, share_figure};

/// A fixture with its results, as a verb wants it.
pub struct Loaded {
    /// The resolved fixture.
    pub fixture: Fixture,
    /// What is known about it.
    pub results: Results,
    /// The trial asked for.
    pub trial: Option<String>,
    /// The names of all trials of the document.
    pub trials: Vec<String>,
    /// What is wrong with the document without making it unusable.
    pub warnings: Vec<Problem>,
    /// The document with the trial's changes, and what it comes to.
    pub resolved: Resolved,
}

/// Of a fixture of more bodies no builds are made unasked: a crowd of riders takes its time.
const MOST_BUILT: usize = 1_000;

impl Loaded {
    /// What it is compared by besides the engine's figures.
    pub fn extras(&self) -> Vec<ExtraFigure> {
        let share = self.builds().map(|(share, _)| share_figure(&share));
        let others = extras(&self.resolved.document, &self.fixture, &self.results);
        share.into_iter().chain(others).collect()
    }

    /// What becomes of the usual number of builds: nothing where nothing varies.
    pub fn builds(&self) -> Option<(Share, Option<Finding>)> {
        if self.results.assembly.bodies.len() > MOST_BUILT {
            return None;
        }
        let mut builds = Builds::of(&self.resolved, &Question::default()).ok()?;
        builds.advance(Builds::USUAL, &|| false);
        builds.halve(Builds::HALVED, &|| false);
        let outcome = builds.outcome();
        Some((outcome.fouls, outcome.finding(builds.sizes())))
    }
}

/// Reads a document, with notes on what was carried over from an older format; without a file, the built-in demo.
///
/// # Errors
/// Everything that is wrong with it.
pub fn document(file: Option<&Path>) -> Result<(Document, Vec<Problem>), Vec<Problem>> {
    let Some(file) = file else { return Ok((demo()?, Vec::new())) };
    match Store::disk().open(file) {
        Ok(opened) => Ok((opened.document, opened.notes)),
        Err(StoreError::Unreadable { problems, .. }) => Err(problems),
        Err(error) => Err(vec![Problem::error("", error.to_string()).remedy(error.remedy())]),
    }
}

/// Reads, resolves and analyses.
///
/// # Errors
/// Everything that is wrong with it, when it can't be used.
pub fn load(file: Option<&Path>, trial: Option<&str>) -> Result<Loaded, Vec<Problem>> {
    let (document, mut warnings) = document(file)?;
    let resolved = resolve(&document, trial);
    let unusable = resolved.has_errors();
    let Some(fixture) = resolved.fixture.as_ref().filter(|_| !unusable) else {
        return Err(resolved.problems);
    };
    let results = analyse(fixture);
    warnings.extend(resolved.problems.iter().cloned());
    let trials = document.trials.into_iter().map(|trial| trial.name).collect();
    Ok(Loaded {
        fixture: fixture.clone(),
        results,
        trial: trial.map(str::to_owned),
        trials,
        warnings,
        resolved,
    })
}

/// What a project is called in messages.
pub fn name_of(file: Option<&Path>) -> String {
    file.map_or_else(|| "built-in demo".to_owned(), |file| file.display().to_string())
}

/// Says why the input can't be used: in words, and as JSON where that was asked for.
pub fn refuse(
    console: &mut Console<'_>,
    verb: &str,
    file: Option<&Path>,
    trial: Option<&str>,
    as_json: bool,
    problems: &[Problem],
) -> Outcome {
    report(console, &name_of(file), problems);
    if as_json {
        let value = super::json::unusable(verb, trial, problems);
        console.print(&format!("{value:#}\n"));
    }
    Outcome::Unusable
}

/// Prints problems to standard error, the worst first.
pub fn report(console: &mut Console<'_>, name: &str, problems: &[Problem]) {
    let mut sorted: Vec<_> = problems.iter().collect();
    sorted.sort_by_key(|problem| std::cmp::Reverse(problem.severity));
    for problem in sorted {
        let word = match problem.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        };
        console.error(&format!("{word}: {} ({name})", problem.line()));
    }
}
