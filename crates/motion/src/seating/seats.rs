//! Seats found before, kept by value.

use super::{Seating, SeatingFault, seat};
use crate::{Running, Section, Track, Wheel};

/// Wheels already seated on a rail: the search is done once for like wheels in the same track.
#[derive(Clone, Debug, Default)]
pub struct Seats {
    bars: Vec<Section>,
    before: Vec<Known>,
    now: Vec<Known>,
}

/// What a seat depends on, and the seat.
#[derive(Clone, Debug)]
struct Known {
    running: Running,
    /// Outer radius, width, and the bearing's outer diameter, at which flanks end (mm).
    sizes: [f64; 3],
    track: Track,
    seat: Result<Seating, SeatingFault>,
}

impl Seats {
    /// Begins another round: what the last one did not ask for is forgotten.
    pub(crate) fn begin(&mut self) {
        self.before = std::mem::take(&mut self.now);
    }

    /// As [`seat`], with the rail's bars.
    ///
    /// # Errors
    /// As [`seat`].
    pub fn seat(&mut self, wheel: &Wheel, track: &Track, bars: &[Section]) -> Result<Seating, SeatingFault> {
        if self.bars != bars {
            *self = Self { bars: bars.to_vec(), ..Self::default() };
        }
        let sizes = [wheel.outer_radius.nominal, wheel.width, wheel.bearing.outer];
        let like =
            |known: &Known| known.running == wheel.running && known.sizes == sizes && known.track == *track;
        if let Some(known) = self.now.iter().find(|known| like(known)) {
            return known.seat.clone();
        }
        let known = match self.before.iter().position(like) {
            Some(place) => self.before.swap_remove(place),
            None => {
                Known { running: wheel.running, sizes, track: track.clone(), seat: seat(wheel, track, bars) }
            }
        };
        let seat = known.seat.clone();
        self.now.push(known);
        seat
    }
}
