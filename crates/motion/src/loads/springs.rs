//! What a rider rests on: contacts as springs that only push, and the supports that carry them.

use glam::DVec3;
use nalgebra::{Matrix2, Vector2};

use super::linear::Vector;

/// One contact as a spring that can push but not pull.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpringContact {
    /// Where it touches, in the rider frame (mm).
    pub point: DVec3,
    /// Unit direction in which the rail pushes the rider.
    pub normal: DVec3,
    /// Closure at the nominal place (mm): positive when pressed, negative for play.
    pub closure: f64,
    /// Stiffness (N/mm).
    pub stiffness: f64,
    /// What carries it, if that gives too.
    pub give: Option<Give>,
}

/// How a contact moves with the support that carries it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Give {
    /// Number of the support.
    pub support: usize,
    /// How far the contact moves along its normal for a unit of each of the support's two motions: its shift
    /// (mm per mm) and its turn (mm per rad).
    pub per: Vector2<f64>,
}

/// Something elastic between the rider's body and its contacts: an axle that shifts (mm) and turns (rad).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Support {
    /// Symmetric positive definite stiffness for shift and turn (N/mm, N/rad, N·mm/rad).
    pub stiffness: Matrix2<f64>,
}

impl Support {
    /// From its compliance: shift and turn per force and moment.
    ///
    /// ```
    /// use glidewright_motion::loads::Support;
    /// use nalgebra::Matrix2;
    ///
    /// // A cantilever with EI = 1000 N·mm² and 10 mm long: L³/3EI, L²/2EI, L/EI.
    /// let compliance = Matrix2::new(1.0 / 3.0, 0.05, 0.05, 0.01);
    /// let support = Support::from_compliance(compliance);
    /// assert!((support.stiffness * compliance - Matrix2::identity()).amax() < 1e-12);
    /// ```
    pub fn from_compliance(compliance: Matrix2<f64>) -> Self {
        Self { stiffness: inverse(&compliance) }
    }

    pub(super) fn is_sound(&self) -> bool {
        let k = &self.stiffness;
        k.m11 > 0.0 && k.m11.is_finite() && k.m22.is_finite() && k.m12 == k.m21 && k.determinant() > 0.0
    }
}

/// The inverse of a small matrix; not a number, and so to be told by whoever reads it, where there is none.
pub(super) fn inverse(matrix: &Matrix2<f64>) -> Matrix2<f64> {
    matrix.try_inverse().unwrap_or(Matrix2::from_element(f64::NAN))
}

/// The closing of a contact per unit of each of the rider's five motions, turns scaled by a typical distance (mm).
pub(super) fn row(contact: &SpringContact, reach: f64) -> Vector {
    let arm = contact.point.cross(contact.normal) / reach;
    Vector::new(contact.normal.y, contact.normal.z, arm.x, arm.y, arm.z)
}
