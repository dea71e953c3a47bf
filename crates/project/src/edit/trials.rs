//! Trials as things to edit.

use super::{EditResult, Edited, describe};
use crate::document::{Change, Document};
use crate::problem::{Problem, quoted};
use crate::size::Formula;
use crate::suggest::suggestion;
use crate::trial;

/// Makes a change part of a trial. A later setting of a path takes the place of an earlier one.
///
/// # Errors
/// When there is no such trial, or the change does not apply over it.
pub fn change_in_trial(document: &Document, name: &str, change: &Change) -> EditResult {
    let (mut tried, _) = trial::apply(document, name);
    trial::make_change(&mut tried, change)?;
    let mut changed = document.clone();
    let Some(trial) = changed.trials.iter_mut().find(|trial| trial.name == name) else {
        return Err(no_such_trial(document, name));
    };
    let earlier = trial.changes.iter_mut().find(|known| match (&**known, change) {
        (Change::Set { path: known, .. }, Change::Set { path, .. }) => known == path,
        _ => false,
    });
    match earlier {
        Some(earlier) => *earlier = change.clone(),
        None => trial.changes.push(change.clone()),
    }
    Ok(Edited { document: changed, description: format!("{} in {name}", describe(change)) })
}

fn no_such_trial(document: &Document, name: &str) -> Problem {
    let remedy = suggestion(name, document.trials.iter().map(|trial| trial.name.as_str()));
    Problem::error("trials", format!("there is no trial called {}", quoted(name))).remedy(remedy)
}

/// Makes a trial the base: its changes are made for good and it goes. Trials that stood on it stand on the new
/// base. Where possible the old base becomes a trial called `old_base`.
///
/// # Errors
/// When there is no such trial, or one of its changes does not apply.
pub fn adopt(document: &Document, name: &str, old_base: Option<&str>) -> EditResult {
    if !document.trials.iter().any(|trial| trial.name == name) {
        return Err(no_such_trial(document, name));
    }
    let (mut changed, problems) = trial::apply(document, name);
    if let Some(problem) = problems.into_iter().next() {
        return Err(problem);
    }
    changed.trials.retain(|trial| trial.name != name);
    changed.trials.iter_mut().for_each(|trial| trial.over.retain(|below| below != name));
    if let Some(old_base) = old_base
        && let Some(changes) = way_back(document, &changed)
    {
        let note = format!("As it was before {name} became the base.");
        let name = super::fresh_name(old_base, changed.trials.iter().map(|trial| trial.name.as_str()));
        changed.trials.push(crate::document::Trial { name, note, over: Vec::new(), changes });
    }
    Ok(Edited { document: changed, description: format!("Make {name} the base") })
}

/// Settings that lead from the new base back to the old one; `None` if settings alone cannot.
fn way_back(old: &Document, new: &Document) -> Option<Vec<Change>> {
    use crate::walk::Slot;
    let mut was = Vec::new();
    old.visit(&mut |path, slot| {
        let value = match slot {
            Slot::Size(size) => size.formula().cloned(),
            Slot::Part(_, name) => Some(Formula::Text(name.to_owned())),
            Slot::Choice(choice) => Some(Formula::Text(choice.word().to_owned())),
        };
        was.push((path.to_owned(), value));
    });
    let mut at = was.into_iter();
    let mut changes = Vec::new();
    let mut same_shape = true;
    new.visit(&mut |path, slot| {
        let value = match slot {
            Slot::Size(size) => size.formula().cloned(),
            Slot::Part(_, name) => Some(Formula::Text(name.to_owned())),
            Slot::Choice(choice) => Some(Formula::Text(choice.word().to_owned())),
        };
        match at.next() {
            Some((known, before)) if known == path => match before {
                Some(before) if Some(&before) != value.as_ref() => {
                    changes.push(Change::Set { path: path.to_owned(), to: before });
                }
                None if value.is_some() => same_shape = false,
                _ => {}
            },
            _ => same_shape = false,
        }
    });
    (same_shape && at.next().is_none()).then_some(changes)
}
