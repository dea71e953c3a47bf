//! Gravity.

use glam::DVec3;

use crate::Fixture;

/// Standard gravity (m/s²), ISO 80000-3.
pub const STANDARD_GRAVITY: f64 = 9.80665;

/// Gravity in the rail frame (m/s²).
pub fn gravity(fixture: &Fixture) -> DVec3 {
    fixture.rail.stand.down() * STANDARD_GRAVITY
}
