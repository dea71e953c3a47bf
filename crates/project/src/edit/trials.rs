//! Trials as things to edit.

use std::collections::{HashMap, HashSet};

use super::{EditResult, Edited, describe};
use crate::document::{Change, Document, Piece, Stack, Trial, piece_names};
use crate::path::{is_within, join};
use crate::problem::{Problem, quoted};
use crate::size::Formula;
use crate::store::{changes_between, things};
use crate::suggest::suggestion;
use crate::trial;
use crate::walk::Slot;

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

/// Gives what stands at a path what a person typed, in a trial alone, with all that follows it as in
/// [`set_all`](super::set_all). Where a trial cannot hold what follows, the change stands alone and the description
/// says so.
///
/// # Errors
/// When there is no such trial, or one of the changes does not apply.
pub fn set_all_in_trial(document: &Document, name: &str, path: &str, to: &Formula) -> EditResult {
    let change = Change::Set { path: path.to_owned(), to: to.clone() };
    let edited = change_in_trial(document, name, &change)?;
    if !super::takes_along(path) {
        return Ok(edited);
    }
    let after = super::set_all(&trial::apply(document, name).0, path, to)?;
    let Ok(following) = changes_leading(&trial::apply(&edited.document, name).0, &after.document) else {
        let description = format!("{}; a trial cannot hold what would follow it", edited.description);
        return Ok(Edited { description, ..edited });
    };
    let mut changed = edited.document;
    for follows in following {
        changed = change_in_trial(&changed, name, &follows)?.document;
    }
    Ok(Edited { document: changed, description: format!("{} in {name}", after.description) })
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
        && let Ok(changes) = changes_leading(&changed, document)
    {
        let note = format!("As it was before {name} became the base.");
        let name = super::fresh_name(old_base, changed.trials.iter().map(|trial| trial.name.as_str()));
        changed.trials.push(Trial { name, note, over: Vec::new(), changes });
    }
    Ok(Edited { document: changed, description: format!("Make {name} the base") })
}

/// The changes, of the kinds trials are made of, that lead from one document to another. Names, notes, trials
/// and comments are left out of it.
///
/// # Errors
/// When changes alone cannot: something came that was not there, or a tolerance changed. The problem says what.
pub fn changes_leading(from: &Document, to: &Document) -> Result<Vec<Change>, Problem> {
    let mut at = from.clone();
    let mut changes = Vec::new();
    let make = |at: &mut Document, changes: &mut Vec<Change>, change: Change| {
        // One that cannot be made shows in the comparison below.
        if trial::make_change(at, &change).is_ok() {
            changes.push(change);
        }
    };
    for path in gone(from, to) {
        make(&mut at, &mut changes, Change::Remove { path });
    }
    while let Some(path) = surplus_piece(&at, to) {
        let before = changes.len();
        make(&mut at, &mut changes, Change::Remove { path });
        if changes.len() == before {
            break;
        }
    }
    let wanted: HashMap<String, Formula> = written(to).into_iter().collect();
    for (path, value) in written(&at) {
        if let Some(wanted) = wanted.get(&path).filter(|wanted| **wanted != value) {
            make(&mut at, &mut changes, Change::Set { path, to: wanted.clone() });
        }
    }
    // What is left to its default may be set too.
    let known: HashMap<String, Formula> = written(&at).into_iter().collect();
    for (path, to) in written(to).into_iter().filter(|(path, _)| !known.contains_key(path)) {
        make(&mut at, &mut changes, Change::Set { path, to });
    }
    let bare = |document: &Document| Document {
        name: String::new(),
        note: String::new(),
        trials: Vec::new(),
        comments: Default::default(),
        ..document.clone()
    };
    let (reached, wanted) = (bare(&at), bare(to));
    if reached == wanted {
        return Ok(changes);
    }
    let mut left = changes_between(&reached, &wanted);
    let count = left.len();
    left.truncate(3);
    let more = if count > left.len() { " …" } else { "" };
    Err(Problem::error("trials", format!("a trial cannot hold this: {}{more}", left.join("; ")))
        .remedy("make what is new part of the fixture first; a trial can then swap, set or remove it"))
}

/// The base with a new trial that leads from it to a document changed from it: what was changed by hand is
/// kept as a trial, and the base stays as it was. Other trials made or changed meanwhile stay as they are now.
///
/// # Errors
/// When nothing differs, or as [`changes_leading`].
pub fn trial_from(base: &Document, changed: &Document, name: &str, note: &str) -> EditResult {
    let changes = changes_leading(base, changed)?;
    if changes.is_empty() {
        return Err(Problem::error("trials", "nothing differs from the fixture as drawn")
            .remedy("change something first"));
    }
    let name = super::fresh_name(name, changed.trials.iter().map(|trial| trial.name.as_str()));
    let mut document = Document { trials: changed.trials.clone(), ..base.clone() };
    let trial = Trial { name: name.clone(), note: note.to_owned(), over: Vec::new(), changes };
    document.trials.push(trial);
    Ok(Edited { document, description: format!("Keep the changes as the trial {name}") })
}

/// Everything written in a document that a change can set, by path.
fn written(document: &Document) -> Vec<(String, Formula)> {
    let mut written = Vec::new();
    document.visit(&mut |path, slot| {
        let value = match slot {
            Slot::Size(size) => size.formula().cloned(),
            Slot::Part(_, name) => Some(Formula::Text(name.to_owned())),
            Slot::Choice(choice) => Some(Formula::Text(choice.word().to_owned())),
        };
        written.extend(value.map(|value| (path.to_owned(), value)));
    });
    written
}

/// Paths of things one document has and the other has not; what goes with something is not named again.
fn gone(from: &Document, to: &Document) -> Vec<String> {
    let left: HashSet<String> = things(to).into_iter().collect();
    let mut gone: Vec<String> = Vec::new();
    for path in things(from).into_iter().filter(|path| !path.starts_with("trials/")) {
        if !left.contains(&path) && !gone.iter().any(|above| is_within(&path, above)) {
            gone.push(path);
        }
    }
    for (old, new) in
        from.riders.iter().filter_map(|old| Some((old, to.riders.iter().find(|new| new.name == old.name)?)))
    {
        if old.grip.is_some() && new.grip.is_none() {
            gone.push(join(&join("riders", &old.name), "grip"));
        }
    }
    gone
}

/// Path of a piece one document has in a stack and the other has not, if its stack there has fewer.
fn surplus_piece(at: &Document, to: &Document) -> Option<String> {
    let wanted: HashMap<String, &Stack> = stacks(to).into_iter().collect();
    stacks(at).into_iter().find_map(|(path, stack)| {
        let wanted = wanted.get(&path).filter(|wanted| wanted.pieces.len() < stack.pieces.len())?;
        let same = |a: &Piece, b: &Piece| a.kind == b.kind && a.part == b.part && a.name == b.name;
        let agree = stack.pieces.iter().zip(&wanted.pieces).take_while(|(a, b)| same(a, b)).count();
        Some(join(&path, piece_names(&stack.pieces).get(agree)?))
    })
}

/// Every stack with its path.
fn stacks(document: &Document) -> Vec<(String, &Stack)> {
    let mut stacks = Vec::new();
    for rider in &document.riders {
        let base = join("riders", &rider.name);
        stacks.extend(rider.stack.iter().map(|stack| (join(&base, "stack"), stack)));
        for wheel in &rider.wheels {
            let path = format!("{base}/wheels/{}/stack", wheel.name);
            stacks.extend(wheel.stack.iter().map(|stack| (path.clone(), stack)));
        }
        stacks.extend(
            rider.bolts.iter().map(|bolt| (format!("{base}/bolts/{}/stack", bolt.name), &bolt.stack)),
        );
    }
    stacks
}
