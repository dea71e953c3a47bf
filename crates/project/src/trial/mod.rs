//! Trials: changes applied over the base fixture.

mod change;
mod wheels;

pub(crate) use change::{apply as make_change, no_such_path};
pub(crate) use wheels::make_own;

use std::collections::{HashMap, HashSet};

use crate::document::{Document, Trial};
use crate::path::{is_within, join};
use crate::problem::{Problem, quoted};
use crate::suggest::suggestion;

/// The document with a trial's changes, after those of the trials it stands on. Changes that no longer
/// apply are reported; the others are made.
pub fn apply(document: &Document, trial: &str) -> (Document, Vec<Problem>) {
    apply_all(document, &[trial])
}

/// Most changes that do not apply are told of one trial.
const MOST_FAILED: usize = 20;
/// Most trials a document may have.
pub(crate) const MOST_TRIALS: usize = 500;
/// Most steps the changes of trials may take: each looks at every place of the document.
const MOST_STEPS: usize = 5_000_000;

/// The document with the changes of several trials, in order; a trial that others stand on counts once.
pub fn apply_all(document: &Document, trials: &[&str]) -> (Document, Vec<Problem>) {
    let mut changed = document.clone();
    let mut problems = Vec::new();
    let mut places = 1_usize;
    document.visit(&mut |_, _| places += 1);
    let mut steps = 0_usize;
    for trial in order(document, trials, &mut problems) {
        let mut failed = 0;
        for (number, change) in (1..).zip(&trial.changes) {
            let place = format!("trials/{}/changes/{number}", trial.name);
            steps = steps.saturating_add(places);
            if steps > MOST_STEPS || failed >= MOST_FAILED {
                let message = if failed >= MOST_FAILED {
                    "so many changes of this trial do not apply that the rest was not tried"
                } else {
                    "the trials have more changes than can be made in a project of this size"
                };
                problems.push(Problem::error(place, message).remedy("remove changes that are of no use"));
                break;
            }
            if let Err(problem) = change::apply(&mut changed, change) {
                failed += 1;
                let message = format!("this change no longer applies: {}", problem.message);
                problems.push(Problem::error(place, message).remedy(problem.remedy));
            }
        }
    }
    (changed, problems)
}

/// Tries every trial on the base and reports every change that no longer applies, each once: changes of a
/// trial that others stand on are reported with that trial.
pub fn check_all(document: &Document) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut places = 1_usize;
    document.visit(&mut |_, _| places += 1);
    let mut steps = 0_usize;
    // More of them are an error already.
    for trial in document.trials.iter().take(MOST_TRIALS) {
        let below = order(document, &[&trial.name], &mut Vec::new());
        let changes: usize = below.iter().map(|trial| trial.changes.len()).sum();
        steps = steps.saturating_add(places.saturating_mul(changes + 1));
        if steps > MOST_STEPS {
            let message = "the trials have more changes than can be tried in a project of this size";
            problems.push(Problem::error("trials", message).remedy("remove trials that are of no use"));
            break;
        }
        let base = join("trials", &trial.name);
        problems.extend(apply(document, &trial.name).1.into_iter().filter(|problem| {
            problem.place.path().is_some_and(|path| path == "trials" || is_within(path, &base))
        }));
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
    let known = by_name(document);
    while let Some((name, below_done)) = open.pop() {
        let Some(&trial) = known.get(name) else {
            if !seen.insert(name) || problems.len() >= MOST_FAILED {
                continue;
            }
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

/// The trials by name; of several with one name the first counts.
fn by_name(document: &Document) -> HashMap<&str, &Trial> {
    let mut known = HashMap::new();
    for trial in &document.trials {
        known.entry(trial.name.as_str()).or_insert(trial);
    }
    known
}

/// Reports trials that stand on themselves or on none there is.
pub(crate) fn check(document: &Document, problems: &mut Vec<Problem>) {
    let known = by_name(document);
    for trial in &document.trials {
        let path = join(&join("trials", &trial.name), "over");
        for below in &trial.over {
            if !known.contains_key(below.as_str()) {
                let names = document.trials.iter().map(|trial| trial.name.as_str());
                let remedy =
                    if problems.len() < MOST_FAILED { suggestion(below, names) } else { String::new() };
                problems.push(
                    Problem::error(&path, format!("there is no trial called {}", quoted(below)))
                        .remedy(remedy),
                );
            }
        }
        if stands_on_itself(&known, trial) {
            problems.push(
                Problem::error(&path, format!("the trial {} stands on itself", quoted(&trial.name)))
                    .remedy("take one name out of over"),
            );
        }
    }
}

fn stands_on_itself(known: &HashMap<&str, &Trial>, trial: &Trial) -> bool {
    let mut seen = HashSet::new();
    let mut open: Vec<&str> = trial.over.iter().map(String::as_str).collect();
    while let Some(name) = open.pop() {
        if name == trial.name {
            return true;
        }
        if seen.insert(name)
            && let Some(below) = known.get(name)
        {
            open.extend(below.over.iter().map(String::as_str));
        }
    }
    false
}
