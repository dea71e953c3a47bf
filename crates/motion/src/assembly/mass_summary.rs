//! The mass of a rider and where it is.

use glam::DVec3;

/// A rider's mass and where it is.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct MassSummary {
    /// What makes it up.
    pub items: Vec<MassItem>,
}

/// One mass on a rider.
#[derive(Clone, Debug, PartialEq)]
pub struct MassItem {
    /// What it is.
    pub label: String,
    /// Where the document defines it, as a path.
    pub path: String,
    /// Mass (kg).
    pub mass: f64,
    /// Its centre in the rider frame, reach as set (mm).
    pub centre: DVec3,
    /// Whether it is payload or ballast rather than the rider itself.
    pub is_load: bool,
}

impl MassSummary {
    /// Whole mass (kg).
    pub fn total(&self) -> f64 {
        self.items.iter().map(|item| item.mass).sum()
    }

    /// Mass of the loads alone (kg).
    pub fn loads(&self) -> f64 {
        self.items.iter().filter(|item| item.is_load).map(|item| item.mass).sum()
    }

    /// Centre of mass in the rider frame (mm); the origin when there is no mass.
    pub fn centre(&self) -> DVec3 {
        let total = self.total();
        if total > 0.0 {
            self.items.iter().map(|item| item.centre * item.mass).sum::<DVec3>() / total
        } else {
            DVec3::ZERO
        }
    }
}
