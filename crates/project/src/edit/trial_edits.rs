//! Trials made of what was changed, and their changes one by one.

use super::{EditResult, Edited, fresh_name};
use crate::document::{Change, Document, Trial};
use crate::problem::{Problem, quoted};
use crate::size::Formula;
use crate::walk::Slot;

/// Takes what was changed since `before` out of the fixture and makes a trial of it: the fixture is as it was
/// before, and the trial leads to how it is now.
///
/// # Errors
/// When nothing was changed, or what was changed is more than sizes, parts and choices can say.
pub fn trial_of_changes(before: &Document, now: &Document, name: &str) -> EditResult {
    // Trials made or changed since then stay as they are now.
    let mut changed = Document { trials: now.trials.clone(), ..before.clone() };
    let Some(changes) = settings_between(before, now) else {
        return Err(Problem::error("trials", "something was added, taken away or renamed since then")
            .remedy("a trial holds sizes, parts and choices: start one before changing these"));
    };
    if changes.is_empty() {
        return Err(Problem::error("trials", "nothing was changed that a trial could hold"));
    }
    let name = fresh_name(name, changed.trials.iter().map(|trial| trial.name.as_str()));
    let description = format!("Make the trial {name} of what was changed");
    changed.trials.push(Trial { name, note: String::new(), over: Vec::new(), changes });
    Ok(Edited { document: changed, description })
}

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
            return Err(Problem::error("trials", message));
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
        return Err(Problem::error("trials", format!("there is no trial called {}", quoted(trial))));
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

/// Every size, part and choice of a document with what is written there; `None` for a size left to its
/// default.
fn written(document: &Document) -> Vec<(String, Option<Formula>)> {
    let mut all = Vec::new();
    document.visit(&mut |path, slot| {
        let value = match slot {
            Slot::Size(size) => size.formula().cloned(),
            Slot::Part(_, name) => Some(Formula::Text(name.to_owned())),
            Slot::Choice(choice) => Some(Formula::Text(choice.word().to_owned())),
        };
        all.push((path.to_owned(), value));
    });
    all
}

/// Settings that lead from one document to another; `None` if settings alone cannot.
fn settings_between(from: &Document, to: &Document) -> Option<Vec<Change>> {
    let (was, is) = (written(from), written(to));
    if was.len() != is.len() {
        return None;
    }
    let mut changes = Vec::new();
    for ((known, before), (path, after)) in was.into_iter().zip(is) {
        if known != path {
            return None;
        }
        match after {
            after if after == before => {}
            Some(after) => changes.push(Change::Set { path, to: after }),
            // A size left to its default cannot be set to that.
            None => return None,
        }
    }
    Some(changes)
}
