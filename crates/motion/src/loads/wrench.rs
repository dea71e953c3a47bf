//! Forces with moments, and small rigid motions.

use std::ops::{Add, AddAssign};

use glam::DVec3;
use glidewright_geometry::Pose;

/// A force and a moment about the rider's origin.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Wrench {
    /// Force (N).
    pub force: DVec3,
    /// Moment about the rider's origin (N·mm).
    pub moment: DVec3,
}

impl Add for Wrench {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { force: self.force + other.force, moment: self.moment + other.moment }
    }
}

impl AddAssign for Wrench {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

/// A small rigid motion of a rider off its nominal place. Motion along the rail is not part of it.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Motion {
    /// Shift of the rider's origin (mm); x is 0.
    pub shift: DVec3,
    /// Turn about the rider's origin (rad, small).
    pub turn: DVec3,
}

impl Motion {
    /// How far a point of the rider moves (mm).
    pub fn of_point(&self, point: DVec3) -> DVec3 {
        self.shift + self.turn.cross(point)
    }

    /// The motion as a rigid placement, `nominal_from_loaded`: the turn as a whole rotation about its own axis.
    pub fn pose(&self) -> Pose {
        let angle = self.turn.length();
        let axis = self.turn.try_normalize();
        let turned = axis.map_or(Pose::IDENTITY, |axis| Pose::from_turn(axis, angle));
        turned.shifted(self.shift)
    }
}
