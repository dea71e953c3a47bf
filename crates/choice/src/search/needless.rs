//! Takes away what cannot be of use in any combination.

use super::space::Space;

/// Takes away rings that are too wide for every wheel there could be beside them.
pub(super) fn drop_wide_rings(space: &mut Space) {
    let Space { places, stacks, .. } = space;
    for stack in stacks {
        let Some(wheel) = stack.wheel else { continue };
        let most =
            stack.wheels.iter().flatten().map(|wheel| wheel.inner_ring).fold(f64::NEG_INFINITY, f64::max);
        if !most.is_finite() {
            continue;
        }
        for beside in [wheel.checked_sub(1), Some(wheel + 1)].into_iter().flatten() {
            let Some(slot) = stack.pieces.get_mut(beside).filter(|slot| slot.is_ring) else { continue };
            let Some(place) = slot.place.and_then(|place| places.get_mut(place)) else { continue };
            let fits = |number: usize| {
                let ring = slot.numbers.get(number).copied().flatten();
                number == 0 || ring.is_some_and(|ring| ring.outer <= most + 1e-3)
            };
            let kept: Vec<usize> = (0..place.offers.len()).filter(|number| fits(*number)).collect();
            place.offers = kept.iter().filter_map(|number| place.offers.get(*number).cloned()).collect();
            slot.numbers = kept.iter().filter_map(|number| slot.numbers.get(*number).copied()).collect();
            slot.parts = kept.iter().filter_map(|number| slot.parts.get(*number).copied()).collect();
        }
    }
}

/// Takes away places where nothing else can stand after all.
pub(super) fn drop_idle(space: &mut Space) {
    let mut moved: Vec<Option<usize>> = Vec::with_capacity(space.places.len());
    let mut left = 0;
    for place in &space.places {
        moved.push((place.offers.len() > 1).then_some(left));
        left += usize::from(place.offers.len() > 1);
    }
    let to = |place: &mut Option<usize>| *place = place.and_then(|place| moved.get(place).copied().flatten());
    for stack in &mut space.stacks {
        to(&mut stack.screw);
        to(&mut stack.round);
        stack.pieces.iter_mut().for_each(|slot| to(&mut slot.place));
    }
    space.places.retain(|place| place.offers.len() > 1);
}
