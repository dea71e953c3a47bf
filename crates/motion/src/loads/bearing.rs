//! A part of a wheel's contact that bears as one spring.

use glam::DVec2;

use crate::contact::{EllipticShape, Form};

/// A part of a wheel's contact that bears as one spring, in the section through the axle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Bearing {
    /// From the wheel's mid-plane along the face, and from the axle towards the rail (mm).
    pub(super) at: DVec2,
    /// Unit normal: along the face, and out of the track.
    pub(super) normal: DVec2,
    pub(super) radii: [f64; 2],
    pub(super) form: Form,
    /// What is open before any load, along the normal (mm).
    pub(super) gap: f64,
    /// Smallest radius of curvature in the section (mm).
    pub(super) least_radius: f64,
    pub(super) whole: Option<EllipticShape>,
}
