//! Whose a stack is: a wheel's own, or its rider's.

use super::add::stack_at;
use super::{EditResult, Edited, short};
use crate::document::Document;
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
