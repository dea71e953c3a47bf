//! A trial's changes one by one, and what it stands on.

use super::{EditResult, Edited};
use crate::document::Document;
use crate::problem::{Problem, quoted};

/// Takes one change out of a trial; `number` counts from 0.
///
/// # Errors
/// When there is no such trial or change.
pub fn drop_change(document: &Document, trial: &str, number: usize) -> EditResult {
    let mut changed = document.clone();
    let changes = changed.trials.iter_mut().find(|known| known.name == trial).map(|known| &mut known.changes);
    match changes {
        Some(changes) if number < changes.len() => {
            changes.remove(number);
        }
        _ => {
            let message = format!("the trial {} has no change number {}", quoted(trial), number + 1);
            return Err(Problem::error("trials", message).remedy("choose one of its changes"));
        }
    }
    Ok(Edited { document: changed, description: format!("Take a change out of {trial}") })
}

/// Lets a trial stand on another, or no longer.
///
/// # Errors
/// When there is no such trial, or it would stand on itself.
pub fn stand_on(document: &Document, trial: &str, below: &str, stands: bool) -> EditResult {
    let mut changed = document.clone();
    let Some(known) = changed.trials.iter_mut().find(|known| known.name == trial) else {
        return Err(Problem::error("trials", format!("there is no trial called {}", quoted(trial)))
            .remedy("choose one of the trials there are"));
    };
    known.over.retain(|name| name != below);
    if stands {
        known.over.push(below.to_owned());
    }
    let path = format!("trials/{trial}/over");
    let mut problems = Vec::new();
    crate::trial::check(&changed, &mut problems);
    if let Some(problem) = problems.into_iter().find(|problem| problem.place.path() == Some(&path)) {
        return Err(problem);
    }
    let description = if stands { "Let {} stand on {}" } else { "Let {} no longer stand on {}" };
    let description = description.replacen("{}", trial, 1).replacen("{}", below, 1);
    Ok(Edited { document: changed, description })
}
