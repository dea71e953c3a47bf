//! Wheels that change everywhere alike.

use glidewright_project::document::Change;

use super::place::Place;
use super::space::StackPlaces;

/// One place for all wheels: those that every stack could have.
pub(super) fn join_wheels(places: &mut [Place], stacks: &mut [StackPlaces], left_out: &mut Vec<String>) {
    let wheel_place = |stack: &StackPlaces| stack.pieces.get(stack.wheel?)?.place;
    let own: Vec<usize> = stacks.iter().filter_map(wheel_place).collect();
    let with_wheel = stacks.iter().filter(|stack| stack.wheel.is_some()).count();
    let Some((&first, others)) = own.split_first() else { return };
    let names = |place: usize, places: &[Place]| -> Vec<Option<String>> {
        places
            .get(place)
            .map(|place| place.offers.iter().map(|o| o.part.clone()).collect())
            .unwrap_or_default()
    };
    let first_names = names(first, places);
    let others: Vec<(usize, Vec<Option<String>>)> =
        others.iter().map(|place| (*place, names(*place, places))).collect();
    // Where one stack's wheel stays, or where wheels differ now, no other can be everywhere alike.
    let is_one =
        own.len() == with_wheel && others.iter().all(|(_, names)| names.first() == first_names.first());
    let mut kept = vec![0_usize];
    if is_one {
        kept.extend((1..first_names.len()).filter(|offer| {
            first_names.get(*offer).is_some_and(|name| others.iter().all(|(_, names)| names.contains(name)))
        }));
    } else {
        left_out.push("wheels: they are not of one kind now, or some of them stay".to_owned());
    }
    let changes_of = |place: usize, name: &Option<String>, places: &[Place]| -> Vec<Change> {
        let offers = places.get(place).map(|place| place.offers.as_slice()).unwrap_or_default();
        offers.iter().find(|offer| offer.part == *name).map(|o| o.changes.clone()).unwrap_or_default()
    };
    let mut offers = Vec::new();
    for &offer in &kept {
        let Some(known) = places.get(first).and_then(|place| place.offers.get(offer)) else {
            continue;
        };
        let mut joined = known.clone();
        for (place, _) in &others {
            joined.changes.extend(changes_of(*place, &known.part, places));
        }
        offers.push(joined);
    }
    for stack in stacks {
        let Some(slot) = stack.wheel.and_then(|wheel| stack.pieces.get_mut(wheel)) else { continue };
        let Some(place) = slot.place else { continue };
        let own = names(place, places);
        let order: Vec<usize> = kept
            .iter()
            .filter_map(|offer| own.iter().position(|name| Some(name) == first_names.get(*offer)))
            .collect();
        slot.numbers = order.iter().map(|at| slot.numbers.get(*at).copied().flatten()).collect();
        slot.parts = order.iter().map(|at| slot.parts.get(*at).copied().flatten()).collect();
        stack.wheels = order.iter().map(|at| stack.wheels.get(*at).copied().flatten()).collect();
        slot.place = Some(first);
    }
    if let Some(place) = places.get_mut(first) {
        place.offers = offers;
        place.label = "all wheels:".to_owned();
    }
    for (place, _) in others {
        if let Some(place) = places.get_mut(place) {
            place.offers.truncate(1);
        }
    }
}
