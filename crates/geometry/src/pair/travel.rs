//! A straight travel of one solid past another.

use glam::DVec3;

/// A travel of B: every shift `u·direction` (mm) with `u` between two values.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Travel {
    /// Unit vector.
    pub direction: DVec3,
    /// Shift at one end (mm).
    pub from: f64,
    /// Shift at the other end (mm).
    pub to: f64,
}
