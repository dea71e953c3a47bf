//! Loads while the fixture is moved.

use super::RiderLoads;

/// The loads of one rider at each station while the lead is driven towards growing and towards falling travel: by
/// hand at steady speed, by a motor with its acceleration.
///
/// What moves a rider acts where it takes hold: the hand at the grip, the line at its clamps with the pulls that
/// friction and inertia of everything leave in it. Friction acts where wheels and shoes touch, inertia at every mass.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Moving {
    /// Towards growing travel.
    pub up: Vec<RiderLoads>,
    /// Towards falling travel.
    pub down: Vec<RiderLoads>,
}

impl Moving {
    /// Both directions.
    pub fn all(&self) -> impl Iterator<Item = &RiderLoads> {
        self.up.iter().chain(&self.down)
    }
}
