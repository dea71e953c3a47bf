//! What resists a wheel, split by cause.

use super::Friction;
use crate::Wheel;
use crate::loads::WheelLoad;

/// Running resistance of one wheel, split by cause (N, along the rail).
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct WheelResistance {
    /// Friction of its bearings under load.
    pub bearing: f64,
    /// Grease and seals: there without load too.
    pub no_load: f64,
    /// Slip on the rail where it touches at different radii: on a vee's flanks, in a round groove.
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

/// Resistance of a wheel per unit of each coefficient: everything is linear in them.
///
/// With r₀ the radius it rolls on: bearing M = μ·P·d/2 plus a no-load torque per bearing, over r₀; slip
/// μ·ΣN·|r − r₀|/r₀ over the contacts, μ·N·Δr/(4r₀) per flank (own derivation); hysteresis N·2αb/(3πR) per contact line (Johnson,
/// Contact Mechanics, §9.4).
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct WheelFactors {
    /// Force per friction coefficient of its bearings (N).
    pub bearing: f64,
    /// Force per no-load torque of the fixture's bearings (1/mm); 0 where its bearings have their own.
    pub no_load: f64,
    /// Force from its bearings' own no-load torque (N).
    pub own_no_load: f64,
    /// Force per sliding friction of tyre on rail (N).
    pub slip: f64,
    /// Force per loss factor (N).
    pub hysteresis: f64,
}

impl WheelFactors {
    /// Of a wheel that rolls on `radius` (mm) under `load`.
    pub fn new(wheel: &Wheel, radius: f64, load: &WheelLoad) -> Self {
        if !(radius > 0.0) {
            return Self::default();
        }
        let carried = (load.radial * load.radial + load.axial * load.axial).sqrt();
        let bearings = f64::from(wheel.bearings) / radius;
        let own = wheel.bearing.no_load_torque.as_ref().map(|torque| torque.value);
        Self {
            bearing: bearing_torque(1.0, carried, wheel.bearing.bore) / radius,
            no_load: if own.is_none() { bearings } else { 0.0 },
            own_no_load: own.map_or(0.0, |torque| torque * bearings),
            slip: load.slip,
            hysteresis: load.hysteresis,
        }
    }

    /// The resistance with these coefficients.
    pub fn with(&self, friction: &Friction) -> WheelResistance {
        WheelResistance {
            bearing: self.bearing * friction.bearing,
            no_load: self.no_load * friction.no_load_torque + self.own_no_load,
            slip: self.slip * friction.flank,
            hysteresis: self.hysteresis * friction.hysteresis,
        }
    }
}

/// Friction torque of a ball bearing under load `force` (N) at its bore (mm): M = μ·P·d/2 (N·mm).
///
/// ```
/// use glidewright_motion::resistance::bearing_torque;
///
/// // M = μ·P·d/2.
/// assert!((bearing_torque(0.0015, 100.0, 5.0) - 0.375).abs() < 1e-12);
/// ```
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
