//! Putting things in another order.

use super::list::shift;
use super::references::rewrite_paths;
use super::{EditResult, Edited, find, short};
use crate::document::Document;
use crate::path::join;
use crate::trial::{make_own, no_such_path};

/// Moves what stands at a path to another place in its list: number `to`, counted from 0 without it; past the
/// end means last. Works for shared sizes, riders and what is on them, pieces of a stack, nodes of the line,
/// obstacles, parts, materials and trials.
///
/// # Errors
/// When there is nothing in a list at the path.
pub fn reorder(document: &Document, path: &str, to: usize) -> EditResult {
    let mut changed = document.clone();
    if path.contains("/stack/") {
        make_own(&mut changed, path);
    }
    let Some((list, name)) = find::list_of(&mut changed, path) else {
        return Err(no_such_path(document, path));
    };
    let before = list.names();
    let Some(from) = before.iter().position(|known| *known == name) else {
        return Err(no_such_path(document, path));
    };
    let to = to.min(before.len().saturating_sub(1));
    list.shift(from, to);
    let after = list.names();
    if let Some((stack, _)) = path.rsplit_once('/')
        && stack.ends_with("stack")
    {
        let mut order: Vec<usize> = (0..before.len()).collect();
        shift(&mut order, from, to);
        let renamed =
            order.iter().zip(&after).filter_map(|(old, new)| Some((before.get(*old)?.clone(), new.clone())));
        follow_pieces(&mut changed, stack, &renamed.collect::<Vec<_>>());
    }
    Ok(Edited { document: changed, description: format!("Move {} to place {}", short(path), to + 1) })
}

/// Lets the changes of trials, and comments, follow the pieces of the stack at a path whose names have changed:
/// unnamed pieces are called by their kind and number, which others coming and going change.
pub(super) fn follow_pieces(document: &mut Document, stack: &str, renamed: &[(String, String)]) {
    let renamed: Vec<&(String, String)> = renamed.iter().filter(|(old, new)| old != new).collect();
    if renamed.is_empty() {
        return;
    }
    // Wheels without a stack of their own have the rider's.
    let rider = stack
        .strip_suffix("/stack")
        .filter(|rider| !rider.contains("/wheels/") && !rider.contains("/bolts/"));
    let with_own: Vec<String> = rider
        .and_then(|path| document.riders.iter().find(|known| join("riders", &known.name) == path))
        .into_iter()
        .flat_map(|rider| rider.wheels.iter().filter(|wheel| wheel.stack.is_some()))
        .map(|wheel| wheel.name.clone())
        .collect();
    let within_stack = |path: &str| -> Option<(String, String)> {
        if let Some(rest) = path.strip_prefix(stack).and_then(|rest| rest.strip_prefix('/')) {
            return Some((stack.to_owned(), rest.to_owned()));
        }
        let rest = path.strip_prefix(rider?)?.strip_prefix("/wheels/")?;
        let (wheel, rest) = rest.split_once("/stack/")?;
        let base = path.get(..path.len() - rest.len() - 1)?;
        (!with_own.iter().any(|own| own == wheel)).then(|| (base.to_owned(), rest.to_owned()))
    };
    rewrite_paths(document, &|path| {
        let (base, rest) = within_stack(path)?;
        let (piece, below) =
            rest.split_once('/').map_or((rest.as_str(), None), |(piece, below)| (piece, Some(below)));
        let (_, new) = renamed.iter().find(|(old, _)| old == piece)?;
        let path = join(&base, new);
        Some(below.map_or_else(|| path.clone(), |below| join(&path, below)))
    });
}
