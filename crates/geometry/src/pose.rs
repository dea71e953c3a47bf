//! Rigid placements.

use glam::{DMat3, DVec3};

/// A rigid placement: turn, then shift. Written `outer_from_inner`, it maps coordinates of the inner
/// frame (mm) to the outer frame (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// Turns inner directions into outer directions; orthonormal, determinant +1.
    pub turn: DMat3,
    /// Where the inner frame's origin stands in the outer frame (mm).
    pub shift: DVec3,
}

impl Pose {
    /// The placement that changes nothing.
    pub const IDENTITY: Self = Self { turn: DMat3::IDENTITY, shift: DVec3::ZERO };

    /// A shift without a turn (mm).
    pub const fn from_shift(shift: DVec3) -> Self {
        Self { turn: DMat3::IDENTITY, shift }
    }

    /// The placement whose inner x, y and z axes stand along the given outer directions, which the
    /// caller guarantees to be orthonormal and right-handed.
    pub const fn from_axes(x: DVec3, y: DVec3, z: DVec3, shift: DVec3) -> Self {
        Self { turn: DMat3::from_cols(x, y, z), shift }
    }

    /// Outer coordinates of an inner point (mm).
    pub fn point(&self, inner: DVec3) -> DVec3 {
        self.turn * inner + self.shift
    }

    /// Outer components of an inner direction.
    pub fn direction(&self, inner: DVec3) -> DVec3 {
        self.turn * inner
    }

    /// `outer_from_inner` ∘ `inner_from_innermost`.
    ///
    /// ```
    /// use glidewright_geometry::{DVec3, Pose};
    /// let bench_from_rail = Pose::from_turn(DVec3::Y, -std::f64::consts::FRAC_PI_2);
    /// let rail_from_rider = Pose::from_shift(DVec3::new(250.0, 0.0, 0.0));
    /// let bench_from_rider = bench_from_rail.then_inner(&rail_from_rider);
    /// // The rail stands upright: the rider is 250 mm up.
    /// assert!((bench_from_rider.point(DVec3::ZERO) - DVec3::new(0.0, 0.0, 250.0)).length() < 1e-12);
    /// ```
    pub fn then_inner(&self, inner_from_innermost: &Self) -> Self {
        Self { turn: self.turn * inner_from_innermost.turn, shift: self.point(inner_from_innermost.shift) }
    }

    /// `inner_from_outer`.
    ///
    /// ```
    /// use glidewright_geometry::{DVec3, Pose};
    /// let outer_from_inner = Pose::from_turn(DVec3::Z, 0.3).shifted(DVec3::new(5.0, 0.0, 1.0));
    /// let there = outer_from_inner.point(DVec3::ONE);
    /// assert!((outer_from_inner.inverse().point(there) - DVec3::ONE).length() < 1e-12);
    /// ```
    pub fn inverse(&self) -> Self {
        let turn = self.turn.transpose();
        Self { turn, shift: -(turn * self.shift) }
    }

    /// True if every number is finite and the turn is orthonormal and right-handed, to 1e-9.
    pub fn is_rigid(&self) -> bool {
        let [x, y, z] = [self.turn.x_axis, self.turn.y_axis, self.turn.z_axis];
        let off = (x.cross(y) - z).abs().max_element()
            + (x.dot(x) - 1.0).abs()
            + (y.dot(y) - 1.0).abs()
            + x.dot(y).abs();
        self.shift.is_finite() && off < 1e-9
    }

    /// A turn by `angle` (rad) about the unit `axis` through the origin, right-handed.
    pub fn from_turn(axis: DVec3, angle: f64) -> Self {
        Self { turn: DMat3::from_axis_angle(axis, angle), shift: DVec3::ZERO }
    }

    /// The same placement shifted further by `by` in the outer frame (mm).
    pub fn shifted(&self, by: DVec3) -> Self {
        Self { turn: self.turn, shift: self.shift + by }
    }
}
