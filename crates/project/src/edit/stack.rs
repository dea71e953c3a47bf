//! Stacks: whose they are, and the order of their pieces.

use super::add::stack_at;
use super::{EditResult, Edited, short};
use crate::document::{Document, Piece};
use crate::problem::Problem;
use crate::trial::{make_own, no_such_path};

/// Gives a wheel a stack of its own: a copy of its rider's.
///
/// # Errors
/// When there is no wheel at the path, or its rider has no stack to copy.
pub fn own_stack(document: &Document, wheel: &str) -> EditResult {
    let mut changed = document.clone();
    make_own(&mut changed, wheel);
    if stack_at(&mut changed, &format!("{wheel}/stack")).is_none() {
        return Err(no_such_path(document, wheel));
    }
    Ok(Edited { document: changed, description: format!("Give {} a stack of its own", short(wheel)) })
}

/// Lets a wheel have its rider's stack again.
///
/// # Errors
/// When there is no wheel at the path, or its rider has no stack to share.
pub fn share_stack(document: &Document, wheel: &str) -> EditResult {
    let mut changed = document.clone();
    let mut steps = wheel.split('/');
    let (Some("riders"), Some(rider), Some("wheels"), Some(name), None) =
        (steps.next(), steps.next(), steps.next(), steps.next(), steps.next())
    else {
        return Err(no_such_path(document, wheel));
    };
    let Some(rider) = changed.riders.iter_mut().find(|known| known.name == rider) else {
        return Err(no_such_path(document, wheel));
    };
    if rider.stack.is_none() {
        return Err(Problem::error(wheel, "the rider has no stack that wheels could share")
            .remedy("make this wheel's stack the rider's first"));
    }
    let Some(place) = rider.wheels.iter_mut().find(|place| place.name == name) else {
        return Err(no_such_path(document, wheel));
    };
    place.stack = None;
    Ok(Edited { document: changed, description: format!("Let {} share its rider's stack", short(wheel)) })
}

/// Makes a wheel's own stack the one all wheels of the rider share that have none of their own.
///
/// # Errors
/// When there is no wheel at the path, or it has no stack of its own.
pub fn share_from(document: &Document, wheel: &str) -> EditResult {
    let mut changed = document.clone();
    let Some(stack) = stack_at(&mut changed, &format!("{wheel}/stack")).cloned() else {
        return Err(no_such_path(document, &format!("{wheel}/stack")));
    };
    let steps: Vec<&str> = wheel.split('/').collect();
    let ["riders", rider, "wheels", name] = steps.as_slice() else {
        return Err(no_such_path(document, wheel));
    };
    let Some(rider) = changed.riders.iter_mut().find(|known| known.name == *rider) else {
        return Err(no_such_path(document, wheel));
    };
    rider.stack = Some(stack);
    for place in rider.wheels.iter_mut().filter(|place| place.name == *name) {
        place.stack = None;
    }
    Ok(Edited { document: changed, description: format!("Share the stack of {}", short(wheel)) })
}

/// Moves a piece of the stack at a path to another place: `to` counts the pieces as they stand before it.
///
/// # Errors
/// When there is no stack at the path or no such piece in it.
pub fn move_piece(document: &Document, stack: &str, from: usize, to: usize) -> EditResult {
    let mut changed = document.clone();
    make_own(&mut changed, stack);
    let Some(pieces) = stack_at(&mut changed, stack).map(|stack| &mut stack.pieces) else {
        return Err(no_such_path(document, stack));
    };
    let Some(kind) = shift(pieces, from, to) else {
        return Err(Problem::error(stack, format!("the stack has no piece number {}", from + 1)));
    };
    Ok(Edited { document: changed, description: format!("Move the {kind} of {}", short(stack)) })
}

/// Moves an item before the one that stands at `to`; the word of its kind, `None` if it is not there.
fn shift(pieces: &mut Vec<Piece>, from: usize, to: usize) -> Option<&'static str> {
    if from >= pieces.len() {
        return None;
    }
    let piece = pieces.remove(from);
    let word = piece.kind.word();
    let to = if to > from { to - 1 } else { to };
    pieces.insert(to.min(pieces.len()), piece);
    Some(word)
}
