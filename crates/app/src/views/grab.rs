//! What a press of the pointer takes hold of, and where that takes the riders.

use glidewright_motion::{Coupling, Fixture};
use glidewright_sheet::views::{Pick, cursor_distance, rider_of, travel_after_drag, travel_from_pt};
use glidewright_sheet::{DVec2, Drawing};

use super::moving::{Moving, Readout};
use crate::state::Bench;

/// Something taken hold of.
#[derive(Clone, Debug, PartialEq)]
pub enum Grab {
    /// A rider: it follows the pointer along the rail, and those linked to it follow it.
    Rider {
        /// Its number.
        rider: usize,
        /// Where it was taken (pt).
        from_pt: DVec2,
        /// Travel of the lead then (mm).
        from_travel: f64,
    },
    /// The travel axis: travel is what the axis says under the pointer, less where it was taken.
    Axis {
        /// Travel under the pointer less that of the cursor when it was taken (mm).
        offset: f64,
    },
    /// Something built: its sizes follow the pointer.
    Built(Box<Held>),
    /// The view in space: it turns.
    Space,
    /// Nothing: the drag was given up and goes nowhere until the button is let go.
    Nothing,
}

/// Something built that is held.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// The drag.
    pub moving: Moving,
    /// What to show of it.
    pub readout: Readout,
    /// Where it was last (pt).
    pub at_pt: DVec2,
}

/// How near to the cursor's line a press takes hold of it (pt).
const CURSOR_REACH: f64 = 6.0;

impl Grab {
    /// What of the travel is taken hold of at a point of a drawing (pt): a rider, the cursor, or a strip.
    pub fn at(drawing: &Drawing, pick: Option<Pick>, pt: DVec2, bench: &Bench, travel: f64) -> Option<Self> {
        let under = travel_from_pt(drawing, pt)?;
        let near_cursor =
            cursor_distance(drawing, travel, pt).is_some_and(|distance| distance < CURSOR_REACH);
        let rider = pick.and_then(|pick| rider_of(&bench.results, pick));
        match (rider, pick) {
            (Some(rider), _) if follows_lead(&bench.fixture, rider) => {
                Some(Self::Rider { rider, from_pt: pt, from_travel: travel })
            }
            (_, Some(Pick::Cursor)) => Some(Self::Axis { offset: under - travel }),
            (_, Some(Pick::Strip(_) | Pick::Curve(..))) => {
                Some(Self::Axis { offset: if near_cursor { under - travel } else { 0.0 } })
            }
            (None, None) if near_cursor => Some(Self::Axis { offset: under - travel }),
            _ => None,
        }
    }

    /// The lead's travel with the pointer at a point (pt).
    pub fn travel(&self, fixture: &Fixture, drawing: &Drawing, pt: DVec2) -> Option<f64> {
        match self {
            Self::Rider { rider, from_pt, from_travel } => {
                travel_after_drag(fixture, drawing, *rider, *from_travel, *from_pt, pt)
            }
            Self::Axis { offset } => Some(travel_from_pt(drawing, pt)? - offset),
            Self::Built(_) | Self::Space | Self::Nothing => None,
        }
    }
}

fn follows_lead(fixture: &Fixture, rider: usize) -> bool {
    match fixture.riders.get(rider).map(|rider| rider.coupling) {
        Some(Coupling::Lead) => true,
        Some(Coupling::Linked { ratio }) => ratio != 0.0 && ratio.is_finite(),
        Some(Coupling::Free { .. }) | None => false,
    }
}
