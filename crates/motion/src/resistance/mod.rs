//! What resists motion: wheels and shoes by cause, jamming, and the coefficients it all hangs on.

mod binding;
mod coefficients;
mod wheel;

pub use binding::{Binding, binding_ratio};
pub use coefficients::{NamedCoefficient, coefficients};
pub use wheel::{WheelFactors, WheelResistance, bearing_torque};

use crate::Resistance;

/// The coefficients of friction as plain numbers.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Friction {
    /// Of a ball bearing at its bore, M = μ·P·d/2.
    pub bearing: f64,
    /// Torque of one bearing without load (N·mm).
    pub no_load_torque: f64,
    /// Sliding friction of tyre on rail.
    pub flank: f64,
    /// Loss factor of the tyre.
    pub hysteresis: f64,
    /// Sliding friction of a plain shoe.
    pub shoe: f64,
}

impl From<&Resistance> for Friction {
    fn from(resistance: &Resistance) -> Self {
        Self {
            bearing: resistance.bearing.value,
            no_load_torque: resistance.no_load_torque.value,
            flank: resistance.flank.value,
            hysteresis: resistance.hysteresis.value,
            shoe: resistance.shoe.value,
        }
    }
}

/// Running resistance of one rider, along the rail (N).
#[derive(Clone, Debug, PartialEq, Default)]
pub struct RiderResistance {
    /// Of each wheel, in the rider's order.
    pub wheels: Vec<WheelResistance>,
    /// Of each plain shoe, in the rider's order: F = μ·N.
    pub shoes: Vec<f64>,
    /// Of what drags on it against the motion: cables, wipers.
    pub dragged: f64,
}

impl RiderResistance {
    /// Of the shoes together (N).
    pub fn sliding(&self) -> f64 {
        self.shoes.iter().sum()
    }

    /// Of wheels and shoes (N).
    pub fn running_gear(&self) -> f64 {
        self.wheels.iter().map(WheelResistance::total).sum::<f64>() + self.sliding()
    }

    /// Whether no push moves the rider.
    pub fn jams(&self) -> bool {
        self.running_gear() == f64::INFINITY
    }

    /// Takes the resistance of wheels and shoes for endless.
    pub(crate) fn jam(&mut self) {
        self.shoes.iter_mut().for_each(|shoe| *shoe = f64::INFINITY);
        for wheel in &mut self.wheels {
            *wheel = WheelResistance { slip: f64::INFINITY, ..WheelResistance::default() };
        }
    }

    /// Sum of everything (N).
    pub fn total(&self) -> f64 {
        self.running_gear() + self.dragged
    }
}
