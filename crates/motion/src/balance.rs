//! Whether the fixture stays where it is left, and by how much.

use crate::forces::{gravity, ratio};
use crate::{Assembly, Fixture, TravelCurves};

/// The masses for which a rider stays where it is left at every travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoldBand {
    /// Number of the rider whose mass is varied.
    pub rider: usize,
    /// Its mass as it is (kg).
    pub now: f64,
    /// Least mass at which it holds (kg).
    pub least: f64,
    /// Greatest mass at which it holds (kg); less than `least` when none holds at every travel.
    pub greatest: f64,
}

impl HoldBand {
    /// Whether any mass holds at every travel.
    pub fn exists(&self) -> bool {
        self.least <= self.greatest
    }

    /// Mass to add (or to take off, negative) to stand in the middle of the band (kg).
    pub fn to_centre(&self) -> f64 {
        0.5 * (self.least + self.greatest) - self.now
    }
}

/// The hold band of each linked rider and of the lead, the resistance taken as it is now.
///
/// Adding Δm to a rider shifts the imbalance by −ρ·g_x·Δm at every travel, so with U(s) between its
/// bounds ±F_break(s) the band's ends follow at once (static Atwood machine with friction; own
/// derivation, checked by solving with the masses changed). On a rail that lies level no mass matters.
pub fn hold_bands(fixture: &Fixture, assembly: &Assembly, curves: &TravelCurves) -> Vec<HoldBand> {
    let gravity = gravity(fixture).x;
    (0..fixture.riders.len())
        .filter_map(|rider| {
            let per_kilogram = -gravity * ratio(fixture, rider);
            const LEVEL: f64 = 1e-6;
            if per_kilogram.abs() < LEVEL {
                return None;
            }
            let now = assembly.riders.get(rider)?.mass.total();
            let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
            for (imbalance, breakaway) in curves.imbalance.iter().zip(&curves.breakaway) {
                let ends = [(-breakaway - imbalance) / per_kilogram, (breakaway - imbalance) / per_kilogram];
                low = low.max(ends[0].min(ends[1]));
                high = high.min(ends[0].max(ends[1]));
            }
            (low.is_finite() && high.is_finite()).then_some(HoldBand {
                rider,
                now,
                least: now + low,
                greatest: now + high,
            })
        })
        .collect()
}
