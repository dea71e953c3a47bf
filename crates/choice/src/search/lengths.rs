//! How long what is on screws is, by the sizes it hangs on.

use std::collections::HashMap;

use glidewright_project::{Problem, edit, resolve_quickly};

use super::moves::stack_in;
use super::place::PlaceKind;
use super::space::{Space, StackPlaces};

/// So many combinations of sizes that stacks are as long as may be open at once.
const MOST_LENGTHS: usize = 1024;

/// What stands at the places stacks hang on, and how long what is on each stack is then (mm).
type Measured = (Vec<u8>, Vec<Option<Vec<f64>>>);

/// Works out how long what stands there now is for all values of the sizes it hangs on.
pub(super) fn lengths(space: &mut Space) -> Result<(), Vec<Problem>> {
    let measure = |space: &Space, chosen: &[(usize, u8)]| -> Vec<Option<Vec<f64>>> {
        let mut document = space.base.clone();
        for (place, offer) in chosen {
            let changes = space.places.get(*place).and_then(|place| place.offers.get(usize::from(*offer)));
            for change in changes.into_iter().flat_map(|offer| &offer.changes) {
                match edit::change(&document, change) {
                    Ok(edited) => document = edited.document,
                    Err(_) => return vec![None; space.stacks.len()],
                }
            }
        }
        let resolved = resolve_quickly(&document, None, None);
        let fixture = resolved.fixture.as_ref().filter(|_| !resolved.has_errors());
        let of = |stack: &StackPlaces| {
            let now = stack_in(fixture?, stack.paths.first()?)?;
            Some(now.pieces.iter().map(|piece| piece.thickness.nominal).collect())
        };
        space.stacks.iter().map(of).collect()
    };
    let now = measure(space, &[]);
    let free: Vec<usize> = (0..space.places.len())
        .filter(|place| {
            let kind = space.places.get(*place).map(|place| place.kind);
            matches!(kind, Some(PlaceKind::Size | PlaceKind::Remedy))
        })
        .collect();
    let mut hangs: Vec<Vec<usize>> = vec![Vec::new(); space.stacks.len()];
    for place in free {
        let offers = space.places.get(place).map_or(0, |place| place.offers.len());
        for offer in 1..offers {
            let other = measure(space, &[(place, offer as u8)]);
            for ((hangs, now), other) in hangs.iter_mut().zip(&now).zip(other) {
                // A value that leaves no fixture says nothing of what hangs on it; it is found when it is analysed.
                if other.is_some() && other != *now && !hangs.contains(&place) {
                    hangs.push(place);
                }
            }
        }
    }
    let mut measured: Vec<(Vec<usize>, Vec<Measured>)> = Vec::new();
    for (stack, hangs) in hangs.into_iter().enumerate() {
        let counts =
            hangs.iter().filter_map(|place| space.places.get(*place)).map(|place| place.offers.len());
        let all: usize = counts.clone().fold(1, usize::saturating_mul);
        if all > MOST_LENGTHS {
            let names: Vec<&str> = hangs
                .iter()
                .filter_map(|place| space.places.get(*place))
                .map(|place| place.path.as_str())
                .collect();
            let message =
                format!("{all} combinations of sizes that one stack is as long as are open at once");
            let remedy =
                format!("lock some of {}, or give them a shorter range or a coarser step", names.join(", "));
            return Err(vec![Problem::error("", message).remedy(remedy)]);
        }
        // Stacks that hang on the same sizes are measured together.
        if !measured.iter().any(|(of, _)| *of == hangs) {
            let counts: Vec<usize> = counts.collect();
            let keys = (0..all).map(|number| {
                let mut rest = number;
                let key: Vec<u8> = counts
                    .iter()
                    .map(|count| {
                        let offer = (rest % count) as u8;
                        rest /= count;
                        offer
                    })
                    .collect();
                let chosen: Vec<(usize, u8)> = hangs.iter().copied().zip(key.iter().copied()).collect();
                (key, measure(space, &chosen))
            });
            let keys = keys.collect();
            measured.push((hangs.clone(), keys));
        }
        let mut own = HashMap::new();
        for (key, lengths) in measured.iter().filter(|(of, _)| *of == hangs).flat_map(|(_, keys)| keys) {
            own.insert(key.clone(), lengths.get(stack).cloned().flatten());
        }
        if let Some(stack) = space.stacks.get_mut(stack) {
            stack.hangs_on = hangs;
            stack.own = own;
        }
    }
    Ok(())
}
