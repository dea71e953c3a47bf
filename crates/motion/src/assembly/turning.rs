//! How hard a wheel is to turn faster.

use std::f64::consts::PI;

use super::wheel_solids::INNER_RING_SHARE;
use crate::fixture::CUBIC_MILLIMETRE;
use crate::{Bearing, Wheel, WheelProfile};

/// Moment of inertia about the axle of what turns of a wheel (kg·mm²): the tyre round its bearings' seat, as its
/// profile and density say, and of its bearings the outer rings, and a quarter of what lies between the rings, since
/// balls and cage go round about half as fast.
///
/// What the wheel weighs beyond its tyre is taken to be its bearings, spread evenly over their section; a wheel that
/// weighs less than its tyre would is taken to be that much lighter throughout. 0 for a wheel without a sound profile.
/// Own derivation; the tests integrate the tyre ring by ring.
pub fn turning_inertia(wheel: &Wheel) -> f64 {
    let Some(profile) = WheelProfile::new(wheel) else { return 0.0 };
    let density = wheel.tyre.density * CUBIC_MILLIMETRE;
    let seat = 0.5 * wheel.bearing.outer;
    let tyre = density * (profile.volume() - PI * seat.powi(2) * wheel.width).max(0.0);
    let moment = density * (profile.polar_moment() - 0.5 * PI * seat.powi(4) * wheel.width).max(0.0);
    let inertia = if wheel.mass >= tyre {
        moment + (wheel.mass - tyre) * squared_gyration(&wheel.bearing)
    } else {
        moment * wheel.mass / tyre
    };
    if inertia.is_finite() { inertia.max(0.0) } else { 0.0 }
}

/// What of a bearing turns, as the square of a radius at which its whole mass would be as hard to turn (mm²).
fn squared_gyration(bearing: &Bearing) -> f64 {
    let (inner, outer) = (0.5 * bearing.bore, 0.5 * bearing.outer);
    let ring = INNER_RING_SHARE * (outer - inner);
    let (balls, race) = (inner + ring, outer - ring);
    // ½(R⁴ − r⁴) of an even disc over its R² − r².
    let moment = |from: f64, to: f64| 0.5 * (to.powi(4) - from.powi(4));
    let squared = (moment(race, outer) + 0.25 * moment(balls, race)) / (outer.powi(2) - inner.powi(2));
    if squared.is_finite() { squared.max(0.0) } else { 0.0 }
}
