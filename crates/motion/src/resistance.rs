//! What resists a rider's motion, split by cause.

use crate::loads::WheelLoad;
use crate::{Resistance, SeatContact, Seating, Wheel};

/// Running resistance of one wheel, split by cause (N, along the rail).
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct WheelResistance {
    /// Friction of its bearings under load.
    pub bearing: f64,
    /// Grease and seals: there without load too.
    pub no_load: f64,
    /// Slip of the vee's flanks on the rail.
    pub slip: f64,
    /// Hysteresis of the tyre.
    pub hysteresis: f64,
}

impl WheelResistance {
    /// Sum of all causes (N).
    pub fn total(&self) -> f64 {
        self.bearing + self.no_load + self.slip + self.hysteresis
    }
}

/// Running resistance of a wheel under `load`.
///
/// With r₀ the radius it rolls on: bearing M = μ·P·d/2 plus a no-load torque per bearing, over r₀; flank
/// slip μ·N·Δr/(4r₀) per flank (own derivation); hysteresis N·2αb/(3πR) per contact line (Johnson,
/// Contact Mechanics, §9.4).
pub fn of_wheel(
    wheel: &Wheel,
    seating: &Seating,
    load: &WheelLoad,
    coefficients: &Resistance,
) -> WheelResistance {
    let radius = seating.rolling_radius();
    if !(radius > 0.0) {
        return WheelResistance::default();
    }
    let carried = load.radial.hypot(load.axial);
    let slip = match seating.contact {
        SeatContact::Flanks { .. } => coefficients.flank.value * load.slip,
        SeatContact::Edges { .. } | SeatContact::Rim { .. } | SeatContact::Crest { .. } => 0.0,
    };
    WheelResistance {
        bearing: bearing_torque(coefficients.bearing.value, carried, wheel.bearing.bore) / radius,
        no_load: f64::from(wheel.bearings) * coefficients.no_load_torque.value / radius,
        slip,
        hysteresis: coefficients.hysteresis.value * load.hysteresis,
    }
}

/// Friction torque of a ball bearing under load `force` (N) at its bore (mm): M = μ·P·d/2 (N·mm).
pub fn bearing_torque(friction: f64, force: f64, bore: f64) -> f64 {
    0.5 * friction * force * bore
}

#[cfg(test)]
mod tests {
    use super::bearing_torque;

    /// Single-row ball bearing, μ = 0.0015 without seals (open tribology notes, read): 100 N on a 5 mm
    /// bore takes 0.375 N·mm, at a wheel radius of 12 mm 0.031 25 N.
    #[test]
    fn bearing_friction() {
        let torque = bearing_torque(0.0015, 100.0, 5.0);
        assert!((torque - 0.375).abs() < 1e-12);
        assert!((torque / 12.0 - 0.031_25).abs() < 1e-12);
    }
}
