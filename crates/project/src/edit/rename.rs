//! Renaming: references follow.

use super::references::{rewrite_formulas, rewrite_paths};
use super::{EditResult, Edited, find, short};
use crate::document::{Change, Document, PieceKind};
use crate::formula;
use crate::path::{is_within, join};
use crate::problem::{Problem, quoted};
use crate::size::Formula;
use crate::trial::no_such_path;
use crate::values::check_shared_name;
use crate::walk::{PartUse, SlotMut};

/// Renames a shared size; every formula follows.
///
/// # Errors
/// When there is no such size, or the new name is taken or cannot stand in a formula.
pub fn rename_size(document: &Document, old: &str, new: &str) -> EditResult {
    let path = join("sizes", old);
    check_shared_name(new).map_err(|message| Problem::error(&path, message).remedy("choose another name"))?;
    let mut changed = document.clone();
    if new != old && changed.sizes.get(new).is_some() {
        return Err(Problem::error(&path, format!("there is a size {} already", quoted(new)))
            .remedy("choose another name"));
    }
    let Some(entry) = changed.sizes.entries.iter_mut().find(|(name, _)| name == old) else {
        return Err(no_such_path(document, &path));
    };
    new.clone_into(&mut entry.0);
    rewrite_formulas(&mut changed, &|text| formula::with_name(text, old, new));
    changed.comments.follow(&path, &join("sizes", new));
    rewrite_paths(&mut changed, &|path| (path == join("sizes", old)).then(|| join("sizes", new)));
    Ok(Edited { document: changed, description: format!("Rename {old} to {new}") })
}

/// Renames what stands at a path; references to it follow.
///
/// # Errors
/// When there is nothing with a name at the path, or the new name is empty, taken or contains a `/`.
pub fn rename(document: &Document, path: &str, new: &str) -> EditResult {
    if let Some(size) = path.strip_prefix("sizes/") {
        return rename_size(document, size, new);
    }
    let new = new.trim();
    if new.is_empty() || new.contains('/') || new.chars().any(char::is_control) {
        return Err(Problem::error(path, format!("{} cannot be a name", quoted(new)))
            .remedy("use letters, digits and spaces, no /"));
    }
    let mut changed = document.clone();
    let Some(found) = find::named(&mut changed, path) else { return Err(no_such_path(document, path)) };
    if found.siblings.iter().any(|name| name == new) {
        return Err(
            Problem::error(path, format!("the name {} is taken", quoted(new))).remedy("choose another name")
        );
    }
    new.clone_into(found.name);
    let old = find::last(path);
    follow(&mut changed, path, old, new);
    let new_path = find::with_last(path, new);
    changed.comments.follow(path, &new_path);
    let is_pair = document.riders.iter().any(|rider| {
        let wheel = |name: &str| format!("riders/{}/wheels/{name}", rider.name);
        rider.wheels.iter().any(|place| place.pair.is_some() && wheel(&place.name) == path)
    });
    rewrite_paths(&mut changed, &|used| {
        if is_within(used, path) {
            return Some(format!("{new_path}{}", used.get(path.len()..)?));
        }
        // The wheels of a pair have names made from the pair's.
        let rest = used.strip_prefix(path).filter(|rest| is_pair && rest.starts_with(' '))?;
        Some(format!("{new_path}{rest}"))
    });
    Ok(Edited { document: changed, description: format!("Rename {} to {new}", short(path)) })
}

/// Lets everything that refers by name refer to the new one.
fn follow(document: &mut Document, path: &str, old: &str, new: &str) {
    let rename = |name: &mut String| {
        if name == old {
            new.clone_into(name);
        }
    };
    let steps: Vec<&str> = path.split('/').collect();
    match steps.as_slice() {
        ["riders", _] => {
            for node in document.line.iter_mut().flat_map(|line| &mut line.nodes) {
                node.rider_mut().as_mut().map(rename);
            }
            document.pulls.iter_mut().for_each(|pull| rename(&mut pull.rider));
        }
        ["riders", rider, "plates", _] => {
            let Some(rider) = document.riders.iter_mut().find(|known| known.name == *rider) else { return };
            let own = rider.wheels.iter_mut().filter_map(|wheel| wheel.stack.as_mut());
            let bolts = rider.bolts.iter_mut().map(|bolt| &mut bolt.stack);
            for stack in rider.stack.iter_mut().chain(own).chain(bolts) {
                stack
                    .pieces
                    .iter_mut()
                    .filter(|p| p.kind == PieceKind::Plate)
                    .for_each(|p| rename(&mut p.part));
            }
            rider.loads.iter_mut().filter_map(|load| load.on.as_mut()).for_each(rename);
            rider.grip.iter_mut().filter_map(|grip| grip.on.as_mut()).for_each(rename);
            rider.forces.iter_mut().filter_map(|force| force.on.as_mut()).for_each(rename);
            rider.points.iter_mut().filter_map(|point| point.on.as_mut()).for_each(rename);
        }
        ["parts", _] => {
            rename_parts(document, &|used| matches!(used, PartUse::Kind(_)), &rename);
            document.measured.iter_mut().for_each(|measured| rename(&mut measured.part));
        }
        ["materials", _] => {
            rename_parts(document, &|used| used == PartUse::Material, &rename);
            document.parts.iter_mut().for_each(|part| rename(&mut part.material));
        }
        ["trials", _] => document.trials.iter_mut().flat_map(|trial| &mut trial.over).for_each(rename),
        _ => {}
    }
}

fn rename_parts(document: &mut Document, which: &dyn Fn(PartUse) -> bool, rename: &dyn Fn(&mut String)) {
    document.visit_mut(&mut |_, slot| {
        if let SlotMut::Part(used, name) = slot
            && which(used)
        {
            rename(name);
        }
    });
    for change in document.trials.iter_mut().flat_map(|trial| &mut trial.changes) {
        match change {
            Change::Swap { from, to, .. } => {
                rename(from);
                rename(to);
            }
            Change::Set { to: Formula::Text(to), .. } => rename(to),
            _ => {}
        }
    }
}
