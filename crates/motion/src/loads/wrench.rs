//! Forces with moments, and small rigid motions.

use std::ops::{Add, AddAssign, Sub};

use glam::{DMat3, DVec3};
use glidewright_geometry::Pose;

use super::linear::Vector;

/// A force and a moment about the rider's origin.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Wrench {
    /// Force (N).
    pub force: DVec3,
    /// Moment about the rider's origin (N·mm).
    pub moment: DVec3,
}

impl Wrench {
    /// So many times as much.
    #[must_use]
    pub(crate) fn scaled(self, factor: f64) -> Self {
        Self { force: self.force * factor, moment: self.moment * factor }
    }

    /// The same without parts that are but the rounding of forces (N) and moments (N·mm) of this size: a rider that
    /// is held just where its weight acts would otherwise be moved through its play by them.
    #[must_use]
    pub(crate) fn without_rounding(self, force: f64, moment: f64) -> Self {
        const ROUNDING: f64 = 1e-12;
        let clean =
            |v: DVec3, size: f64| DVec3::select(v.abs().cmplt(DVec3::splat(ROUNDING * size)), DVec3::ZERO, v);
        Self { force: clean(self.force, force), moment: clean(self.moment, moment) }
    }
}

impl Wrench {
    /// Whether another is the same but for rounding.
    pub(crate) fn is_like(&self, other: &Self) -> bool {
        const ROUNDING: f64 = 1e-13;
        let same = |a: DVec3, b: DVec3| (a - b).length() <= ROUNDING * a.length();
        same(self.force, other.force) && same(self.moment, other.moment)
    }
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
    ///
    /// ```
    /// use glam::DVec3;
    /// use glidewright_motion::loads::Motion;
    ///
    /// let motion = Motion { shift: DVec3::new(0.0, 0.1, 0.0), turn: DVec3::new(0.0, 0.0, 0.01) };
    /// assert!((motion.of_point(DVec3::new(20.0, 0.0, 0.0)) - DVec3::new(0.0, 0.3, 0.0)).length() < 1e-15);
    /// ```
    pub fn of_point(&self, point: DVec3) -> DVec3 {
        self.shift + self.turn.cross(point)
    }
}

impl Motion {
    /// The motion as a placement `nominal_from_moved` of the rider's frame, its turn taken as a rotation.
    pub fn pose(&self) -> Pose {
        let angle = self.turn.length();
        let turn = if angle > 0.0 && angle.is_finite() {
            DMat3::from_axis_angle(self.turn / angle, angle)
        } else {
            DMat3::IDENTITY
        };
        let shift = if self.shift.is_finite() { self.shift } else { DVec3::ZERO };
        Pose { turn, shift }
    }

    /// A turn up to which motions off the nominal place are taken as small (rad): 3°. There the sine differs from the
    /// angle by 0.05 %, and the cosine from one by 0.14 %: below what stiffnesses are known to.
    pub const SMALL_TURN: f64 = 0.052_36;
    /// A shift up to which they are (mm): no wheel stays on its rail so far off.
    pub const SMALL_SHIFT: f64 = 20.0;

    /// The five motions of a rider as lengths: shifts, and turns times `reach` (mm).
    pub(super) fn scaled(&self, reach: f64) -> Vector {
        let turn = self.turn * reach;
        Vector::new(self.shift.y, self.shift.z, turn.x, turn.y, turn.z)
    }

    /// Whether every number is finite.
    pub fn is_finite(&self) -> bool {
        self.shift.is_finite() && self.turn.is_finite()
    }

    /// Whether the model of small motions holds for it.
    ///
    /// ```
    /// use glam::DVec3;
    /// use glidewright_motion::loads::Motion;
    ///
    /// let turned = |angle: f64| Motion { shift: DVec3::ZERO, turn: DVec3::Z * angle };
    /// assert!(turned(2_f64.to_radians()).is_small() && !turned(4_f64.to_radians()).is_small());
    /// ```
    pub fn is_small(&self) -> bool {
        self.turn.length() <= Self::SMALL_TURN && self.shift.length() <= Self::SMALL_SHIFT
    }
}

impl Sub for Motion {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self { shift: self.shift - other.shift, turn: self.turn - other.turn }
    }
}
