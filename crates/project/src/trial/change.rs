//! One change to a document.

use super::wheels::make_own;
use crate::document::{Change, Choice, Document, HeadSide, Named, PieceKind, Stack, piece_names};
use crate::path::is_within;
use crate::problem::{Problem, quoted};
use crate::size::Formula;
use crate::suggest::suggestion;
use crate::tables::built_in;
use crate::tolerance::Tolerance;
use crate::walk::{Slot, SlotMut};

/// Makes one change, or says why it does not apply. The document is as before in that case, except that a
/// wheel of a pair may have been made its own, which means the same.
pub(crate) fn apply(document: &mut Document, change: &Change) -> Result<(), Problem> {
    match change {
        Change::Swap { from, to, within } => swap(document, from, to, within),
        Change::Set { path, to } => set(document, path, to),
        Change::Shift { path, by } => {
            make_own(document, path);
            let by = match &by.formula {
                Formula::Number(number) => number.to_string(),
                Formula::Text(text) => text.clone(),
            };
            let old = formula_at(document, path)?;
            set(document, path, &Formula::Text(format!("({old}) + ({by})")))
        }
        Change::Turn { within } => turn(document, within),
        Change::Remove { path } => remove(document, path),
    }
}

/// The one name of a part, whichever of its names is used.
fn canonical(name: &str) -> &str {
    built_in().part(name).map_or(name, |part| part.name.as_str())
}

fn swap(document: &mut Document, from: &str, to: &str, within: &str) -> Result<(), Problem> {
    make_own(document, within);
    let mut count = 0;
    let wanted = canonical(from);
    document.visit_mut(&mut |path, slot| {
        if let SlotMut::Part(_, name) = slot
            && canonical(name) == wanted
            && is_within(path, within)
        {
            to.clone_into(name);
            count += 1;
        }
    });
    if count > 0 {
        return Ok(());
    }
    let place =
        if within.is_empty() { "nothing".to_owned() } else { format!("nothing within {}", quoted(within)) };
    let mut used = Vec::new();
    document.visit(&mut |path, slot| {
        if let Slot::Part(_, name) = slot
            && is_within(path, within)
            && !used.iter().any(|known| known == name)
        {
            used.push(name.to_owned());
        }
    });
    let remedy = suggestion(from, used.iter().map(String::as_str));
    Err(Problem::error(within, format!("{place} uses {}", quoted(from))).remedy(remedy))
}

/// The formula of the size at a path, as text.
fn formula_at(document: &Document, path: &str) -> Result<String, Problem> {
    let mut found = None;
    document.visit(&mut |at, slot| {
        if at == path
            && let Slot::Size(size) = slot
        {
            found = Some(size.formula().map(Formula::to_string));
        }
    });
    match found {
        Some(Some(formula)) => Ok(formula),
        Some(None) => {
            Err(Problem::error(path, format!("{} has no value to shift", quoted(path)))
                .remedy("set it instead"))
        }
        None => Err(no_such_path(document, path)),
    }
}

fn set(document: &mut Document, path: &str, to: &Formula) -> Result<(), Problem> {
    make_own(document, path);
    let mut result = None;
    document.visit_mut(&mut |at, slot| {
        if at != path {
            return;
        }
        result = Some(match slot {
            SlotMut::Size(size) => {
                size.set_formula(Some(to.clone()));
                // Limits and readings say what the size is, not only how far off it may be.
                if matches!(size.tolerance(), Some(Tolerance::Between(..) | Tolerance::Measured { .. })) {
                    size.set_tolerance(None);
                }
                Ok(())
            }
            SlotMut::Part(_, name) => match to {
                Formula::Text(text) => {
                    name.clone_from(text);
                    Ok(())
                }
                Formula::Number(_) => {
                    Err(Problem::error(path, format!("{} takes a name, not a number", quoted(path)))
                        .remedy("write the name of a part"))
                }
            },
            SlotMut::Choice(choice) => choose(choice, &to.to_string(), path),
        });
    });
    result.unwrap_or_else(|| Err(no_such_path(document, path)))
}

fn choose(choice: &mut dyn Choice, word: &str, path: &str) -> Result<(), Problem> {
    let words = choice.words();
    if choice.choose(word) {
        return Ok(());
    }
    Err(Problem::error(path, format!("{} cannot be {}", quoted(path), quoted(word)))
        .remedy(format!("choose one of {}", words.join(", "))))
}

/// A problem for a path at which there is nothing to set.
pub(crate) fn no_such_path(document: &Document, path: &str) -> Problem {
    let mut paths = Vec::new();
    document.visit(&mut |at, _| paths.push(at.to_owned()));
    let remedy = match crate::suggest::nearest(path, paths.iter().map(String::as_str)) {
        Some(near) => format!("did you mean {}?", quoted(near)),
        None => "look the path up in the document".to_owned(),
    };
    Problem::error(path, format!("there is nothing at {}", quoted(path))).remedy(remedy)
}

fn turn(document: &mut Document, within: &str) -> Result<(), Problem> {
    make_own(document, within);
    let mut count = 0;
    for rider in &mut document.riders {
        let base = format!("riders/{}", rider.name);
        let own = rider
            .wheels
            .iter_mut()
            .filter_map(|wheel| Some((format!("{base}/wheels/{}/stack", wheel.name), wheel.stack.as_mut()?)));
        let bolts =
            rider.bolts.iter_mut().map(|bolt| (format!("{base}/bolts/{}/stack", bolt.name), &mut bolt.stack));
        let default = rider.stack.iter_mut().map(|stack| (format!("{base}/stack"), stack));
        for (path, stack) in own.chain(bolts).chain(default) {
            if is_within(&path, within) && stack.ends_tapped() {
                let message = format!("the stack at {} ends in a tapped plate", quoted(&path));
                return Err(Problem::error(within, format!("{message}; its screw cannot be turned round"))
                    .remedy("name the stacks to turn one by one, or give it a clear hole and a nut"));
            }
            if is_within(&path, within) {
                turn_round(stack);
                count += 1;
            }
        }
    }
    if count > 0 {
        return Ok(());
    }
    Err(Problem::error(within, format!("there is no stack within {}", quoted(within)))
        .remedy("name a rider, one of its wheels or one of its bolts"))
}

/// Puts the head on the other side: the pieces before the nut come in the other order.
fn turn_round(stack: &mut Stack) {
    stack.head = match stack.head {
        HeadSide::Outside => HeadSide::Inside,
        HeadSide::Inside => HeadSide::Outside,
    };
    let nuts = stack.pieces.iter().rev().take_while(|piece| piece.kind == PieceKind::Nut).count();
    let before = stack.pieces.len() - nuts;
    if let Some(pieces) = stack.pieces.get_mut(..before) {
        pieces.reverse();
    }
}

fn remove(document: &mut Document, path: &str) -> Result<(), Problem> {
    make_own(document, path);
    let steps: Vec<&str> = path.split('/').collect();
    let removed = match steps.as_slice() {
        ["line"] => document.line.take().is_some(),
        ["line", "nodes", name] => document.line.as_mut().is_some_and(|line| take(&mut line.nodes, name)),
        ["obstacles", name] => take(&mut document.obstacles, name),
        ["parts", name] => take(&mut document.parts, name),
        ["materials", name] => take(&mut document.materials, name),
        ["sizes", name] => {
            let before = document.sizes.entries.len();
            document.sizes.entries.retain(|(known, _)| known != name);
            document.sizes.entries.len() < before
        }
        ["riders", name] => take(&mut document.riders, name),
        ["pulls", number] => take_pull(document, number),
        ["riders", rider, rest @ ..] => {
            document.riders.iter_mut().find(|known| known.name == *rider).is_some_and(|rider| match rest {
                ["grip"] => rider.grip.take().is_some(),
                ["wheels", name] => take(&mut rider.wheels, name),
                ["bolts", name] => take(&mut rider.bolts, name),
                ["shoes", name] => take(&mut rider.shoes, name),
                ["plates", name] => take(&mut rider.plates, name),
                ["loads", name] => take(&mut rider.loads, name),
                ["forces", name] => take(&mut rider.forces, name),
                ["points", name] => take(&mut rider.points, name),
                ["plates", plate, "features", name] => rider
                    .plates
                    .iter_mut()
                    .find(|known| known.name == *plate)
                    .is_some_and(|plate| take(&mut plate.features, name)),
                ["stack", piece] => rider.stack.as_mut().is_some_and(|stack| take_piece(stack, piece)),
                ["wheels", wheel, "stack", piece] => rider
                    .wheels
                    .iter_mut()
                    .find(|place| place.name == *wheel)
                    .and_then(|place| place.stack.as_mut())
                    .is_some_and(|stack| take_piece(stack, piece)),
                ["bolts", bolt, "stack", piece] => rider
                    .bolts
                    .iter_mut()
                    .find(|known| known.name == *bolt)
                    .is_some_and(|bolt| take_piece(&mut bolt.stack, piece)),
                _ => false,
            })
        }
        _ => false,
    };
    if !removed {
        return Err(no_such_path(document, path));
    }
    document.comments.forget(path);
    Ok(())
}

fn take<T: Named>(things: &mut Vec<T>, name: &str) -> bool {
    let before = things.len();
    things.retain(|thing| thing.name() != name);
    things.len() < before
}

/// Takes the pull with this number, counted from 1.
fn take_pull(document: &mut Document, number: &str) -> bool {
    let at = number.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
    let Some(at) = at.filter(|at| *at < document.pulls.len()) else { return false };
    document.pulls.remove(at);
    true
}

fn take_piece(stack: &mut Stack, name: &str) -> bool {
    let Some(at) = piece_names(&stack.pieces).iter().position(|known| known == name) else { return false };
    stack.pieces.remove(at);
    true
}
