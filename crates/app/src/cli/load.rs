//! From a file, or the built-in demo, to an analysed fixture.

use std::path::Path;

use glidewright_motion::{Fixture, Results, analyse};
use glidewright_project::{Document, LARGEST_FILE, Problem, Severity, demo, read_bytes, resolve};

use super::output::Console;

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
}

/// Reads a document, with notes on what was carried over from an older format; without a file, the built-in demo.
///
/// # Errors
/// Everything that is wrong with it.
pub fn document(file: Option<&Path>) -> Result<(Document, Vec<Problem>), Vec<Problem>> {
    let Some(file) = file else { return Ok((demo()?, Vec::new())) };
    let trouble = |message: String, remedy: &str| vec![Problem::error("", message).remedy(remedy)];
    let size = std::fs::metadata(file)
        .map_err(|error| {
            trouble(format!("can't open it: {error}"), "check the file's name and that it may be read")
        })?
        .len();
    if size > LARGEST_FILE as u64 {
        return Err(trouble(
            format!("it is {} MB large, more than any project needs", size / 1_000_000),
            "check that this is a project file",
        ));
    }
    let bytes = std::fs::read(file).map_err(|error| {
        trouble(format!("can't read it: {error}"), "check the file's name and that it may be read")
    })?;
    read_bytes(&bytes).map(|read| (read.document, read.notes))
}

/// Reads, resolves and analyses; prints what is wrong when it can't be used.
pub fn load(console: &mut Console<'_>, file: Option<&Path>, trial: Option<&str>) -> Option<Loaded> {
    let name = file.map_or_else(|| "built-in demo".to_owned(), |file| file.display().to_string());
    let (document, mut warnings) = match document(file) {
        Ok(read) => read,
        Err(problems) => {
            report(console, &name, &problems);
            return None;
        }
    };
    let resolved = resolve(&document, trial);
    let unusable = resolved.has_errors();
    let Some(fixture) = resolved.fixture.filter(|_| !unusable) else {
        report(console, &name, &resolved.problems);
        return None;
    };
    let results = analyse(&fixture);
    warnings.extend(resolved.problems);
    let trials = document.trials.into_iter().map(|trial| trial.name).collect();
    Some(Loaded { fixture, results, trial: trial.map(str::to_owned), trials, warnings })
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
        let remedy =
            if problem.remedy.is_empty() { String::new() } else { format!(" – {}", problem.remedy) };
        console.error(&format!("{word}: {}: {}{remedy} ({name})", problem.place, problem.message));
    }
}
