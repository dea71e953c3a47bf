//! Making one wheel its own, so that a change can reach it alone.

use crate::document::{Document, Facing, Rider, WheelPlace};

/// Names of a pair's two wheels' sides, in the order of their tracks.
const fn sides(facing: Facing) -> [&'static str; 2] {
    match facing {
        Facing::Front | Facing::Rear => ["right", "left"],
        Facing::Right | Facing::Left => ["rear", "front"],
    }
}

/// If `path` leads to one wheel of a pair, or into the stack of a wheel that has none of its own, gives
/// that wheel its own place and stack.
pub(crate) fn make_own(document: &mut Document, path: &str) {
    let mut steps = path.split('/');
    let (Some("riders"), Some(rider), Some("wheels"), Some(wheel)) =
        (steps.next(), steps.next(), steps.next(), steps.next())
    else {
        return;
    };
    let into_stack = matches!(steps.next(), None | Some("stack"));
    let Some(rider) = document.riders.iter_mut().find(|r| r.name == rider) else { return };
    split_pair(rider, wheel);
    let Rider { wheels, stack, .. } = rider;
    if into_stack
        && let Some(place) = wheels.iter_mut().find(|place| place.name == wheel)
        && place.stack.is_none()
    {
        place.stack.clone_from(stack);
    }
}

/// Splits the pair one of whose wheels has this name.
fn split_pair(rider: &mut Rider, wheel: &str) {
    if rider.wheels.iter().any(|place| place.name == wheel) {
        return;
    }
    let sides = sides(rider.faces);
    let halves = |place: &WheelPlace| -> Option<Vec<WheelPlace>> {
        let pair = place.pair.as_ref()?;
        let halves: Vec<WheelPlace> = sides
            .iter()
            .map(|side| WheelPlace {
                name: format!("{} {side}", place.name),
                track: Some(format!("{side} {pair}")),
                pair: None,
                ..place.clone()
            })
            .collect();
        halves.iter().any(|half| half.name == wheel).then_some(halves)
    };
    let found = rider.wheels.iter().enumerate().find_map(|(at, place)| Some((at, halves(place)?)));
    if let Some((at, halves)) = found {
        rider.wheels.splice(at..=at, halves);
    }
}
