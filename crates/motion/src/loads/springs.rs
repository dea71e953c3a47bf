//! What a rider rests on: contacts as springs that only push, and the supports that carry them.

use glam::DVec3;

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
    pub per: [f64; 2],
}

/// Something elastic between the rider's body and its contacts: an axle that shifts (mm) and turns (rad).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Support {
    /// Symmetric positive definite stiffness for shift and turn (N/mm, N/rad, N·mm/rad).
    pub stiffness: [[f64; 2]; 2],
}

impl Support {
    /// From its compliance: shift and turn per force and moment.
    pub fn from_compliance(c: [[f64; 2]; 2]) -> Self {
        let det = c[0][0] * c[1][1] - c[0][1] * c[1][0];
        Self { stiffness: [[c[1][1] / det, -c[0][1] / det], [-c[1][0] / det, c[0][0] / det]] }
    }

    pub(super) fn is_sound(&self) -> bool {
        let [[a, b], [c, d]] = self.stiffness;
        a > 0.0 && a.is_finite() && d.is_finite() && b == c && a * d - b * c > 0.0
    }
}

/// The closing of a contact per unit of each of the rider's five motions, turns scaled by a typical distance (mm).
pub(super) fn row(contact: &SpringContact, reach: f64) -> Vector {
    let arm = contact.point.cross(contact.normal) / reach;
    [contact.normal.y, contact.normal.z, arm.x, arm.y, arm.z]
}
