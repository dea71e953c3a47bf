//! Trials: changes applied over the base fixture.

mod change;
mod wheels;

pub(crate) use change::{apply as make_change, no_such_path};
pub(crate) use wheels::make_own;

use std::collections::HashSet;

use crate::document::{Document, Trial};
use crate::problem::{Problem, quoted};
use crate::suggest::suggestion;
use crate::walk::join;

/// The document with a trial's changes, after those of the trials it stands on. Changes that no longer
/// apply are reported; the others are made.
pub fn apply(document: &Document, trial: &str) -> (Document, Vec<Problem>) {
    apply_all(document, &[trial])
}

/// The document with the changes of several trials, in order; a trial that others stand on counts once.
pub fn apply_all(document: &Document, trials: &[&str]) -> (Document, Vec<Problem>) {
    let mut changed = document.clone();
    let mut problems = Vec::new();
    for trial in order(document, trials, &mut problems) {
        for (number, change) in (1..).zip(&trial.changes) {
            if let Err(problem) = change::apply(&mut changed, change) {
                let place = format!("trials/{}/changes/{number}", trial.name);
                let message = format!("this change no longer applies: {}", problem.message);
                problems.push(Problem::error(place, message).remedy(problem.remedy));
            }
        }
    }
    (changed, problems)
}

/// Tries every trial on the base and reports every change that no longer applies.
pub fn check_all(document: &Document) -> Vec<Problem> {
    let mut problems = Vec::new();
    for trial in &document.trials {
        problems.extend(apply(document, &trial.name).1);
    }
    problems.dedup();
    problems
}

/// The trials wanted with those they stand on, each once, each after those it stands on.
fn order<'d>(document: &'d Document, wanted: &[&str], problems: &mut Vec<Problem>) -> Vec<&'d Trial> {
    let mut ordered: Vec<&Trial> = Vec::new();
    let mut seen = HashSet::new();
    // Depth first without recursion: a trial is taken up again once those below it are in.
    let mut open: Vec<(&str, bool)> = wanted.iter().rev().map(|name| (*name, false)).collect();
    while let Some((name, below_done)) = open.pop() {
        let Some(trial) = document.trials.iter().find(|trial| trial.name == name) else {
            let names = document.trials.iter().map(|trial| trial.name.as_str());
            let remedy = suggestion(name, names);
            problems.push(
                Problem::error("trials", format!("there is no trial called {}", quoted(name))).remedy(remedy),
            );
            continue;
        };
        if below_done {
            ordered.push(trial);
        } else if seen.insert(trial.name.as_str()) {
            open.push((trial.name.as_str(), true));
            open.extend(trial.over.iter().rev().map(|below| (below.as_str(), false)));
        }
    }
    ordered
}

/// Reports trials that stand on themselves or on none there is.
pub(crate) fn check(document: &Document, problems: &mut Vec<Problem>) {
    for trial in &document.trials {
        let path = join(&join("trials", &trial.name), "over");
        for below in &trial.over {
            if !document.trials.iter().any(|other| other.name == *below) {
                let names = document.trials.iter().map(|trial| trial.name.as_str());
                let remedy = suggestion(below, names);
                problems.push(
                    Problem::error(&path, format!("there is no trial called {}", quoted(below)))
                        .remedy(remedy),
                );
            }
        }
        if stands_on_itself(document, trial) {
            problems.push(
                Problem::error(&path, format!("the trial {} stands on itself", quoted(&trial.name)))
                    .remedy("take one name out of over"),
            );
        }
    }
}

fn stands_on_itself(document: &Document, trial: &Trial) -> bool {
    let mut seen = HashSet::new();
    let mut open: Vec<&str> = trial.over.iter().map(String::as_str).collect();
    while let Some(name) = open.pop() {
        if name == trial.name {
            return true;
        }
        if seen.insert(name)
            && let Some(below) = document.trials.iter().find(|other| other.name == name)
        {
            open.extend(below.over.iter().map(String::as_str));
        }
    }
    false
}
