//! Fixtures that are much alike, placed one after the other.

use std::sync::Arc;

use super::convex_parts::ConvexParts;
use super::place_stacks;
use super::{Assembly, PlacedPlate};
use crate::{Fixture, Followed, Seats};

/// Places fixtures one after the other; the convex pieces of outlines that come again are kept.
#[derive(Clone, Default)]
pub struct Placer(ConvexParts);

impl Placer {
    /// Everything at its place, as [`Assembly::new`] has it, without [`Assembly::movements`].
    pub fn place(&mut self, fixture: &Fixture) -> Assembly {
        Assembly::placed(fixture, &mut self.0)
    }

    /// A fixture as it comes out when some sizes are made greater than drawn by so much (mm): what stands on a plate goes
    /// with the plate, everything that is drawn by itself stays as drawn.
    pub fn built(&mut self, drawn: &Fixture, greater: &[(Followed, f64)]) -> Fixture {
        let mut built = Fixture { variations: Arc::default(), ..drawn.clone() };
        for (which, by) in greater {
            built.make_greater(*which, *by);
        }
        let seats = &mut self.0.seats;
        for number in 0..built.riders.len() {
            let levels = [drawn, &built].map(|fixture| plates(fixture, number, seats));
            let facing = drawn.riders.get(number).map(|rider| rider.facing);
            let (Some(rider), Some(facing)) = (built.riders.get_mut(number), facing) else { continue };
            for load in &mut rider.loads {
                let outer = |plates: &[PlacedPlate]| Some(plates.get(load.on?)?.outer);
                let [Some(from), Some(to)] = levels.each_ref().map(|plates| outer(plates)) else { continue };
                let by = (to - from) * facing.outward();
                if by.is_finite() && to != from {
                    load.solids.iter_mut().for_each(|solid| *solid = solid.shifted(by));
                    load.extruded.iter_mut().for_each(|body| *body = body.shifted(by));
                    load.centre += by;
                }
            }
        }
        built
    }
}

fn plates(fixture: &Fixture, rider: usize, seats: &mut Seats) -> Vec<PlacedPlate> {
    let Some(rider) = fixture.riders.get(rider) else { return Vec::new() };
    place_stacks(&fixture.rail, rider, seats, &mut Vec::new()).1
}
