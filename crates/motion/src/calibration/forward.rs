//! The pull that follows from the coefficients.

use super::fittable::Fittable;
use super::posterior::LinearPull;
use crate::resistance::{Friction, WheelFactors};
use crate::statics::Statics;
use crate::{Assembly, Coupling, Drive, Fixture, MeasuredPull, Way, rider_ratio};

/// A pull as it follows from the coefficients at the loads of some of them: `fixed` + Σ factor × coefficient (N).
pub(super) struct Model {
    pub fixed: f64,
    pub factors: [f64; Fittable::ALL.len()],
}

impl Model {
    pub fn value(&self, friction: &Friction) -> f64 {
        let sum: f64 =
            Fittable::ALL.iter().zip(&self.factors).map(|(which, factor)| which.of(friction) * factor).sum();
        self.fixed + sum
    }

    /// Beside the measured pull, of the `wanted` coefficients; the others are as in `friction`.
    pub fn linear(&self, pull: &MeasuredPull, wanted: &[usize], friction: &Friction) -> LinearPull {
        let own = |index: &usize| self.factors[*index] * Fittable::ALL[*index].of(friction);
        let factors = wanted.iter().map(|index| self.factors[*index]).collect();
        let value = pull.force - self.value(friction) + wanted.iter().map(own).sum::<f64>();
        LinearPull { factors, value, deviation: pull.deviation.filter(|known| *known > 0.0) }
    }
}

/// A measured pull, with the fixture as it was then made ready for many coefficients.
pub(super) struct Measured<'a> {
    fixture: &'a Fixture,
    statics: Statics<'a>,
    pull: &'a MeasuredPull,
    /// Travel of the rider that was pulled per travel of the lead.
    own: f64,
}

/// The fixture as it is for a pull on one rider alone; `None` where the others move with it.
pub(super) fn alone(fixture: &Fixture, pull: &MeasuredPull) -> Option<Fixture> {
    if !pull.line_off && rider_ratio(fixture, pull.rider) != 0.0 {
        return None;
    }
    // The line is off and only this rider moves, by hand.
    let mut alone = fixture.clone();
    alone.line = None;
    alone.drive = Drive::Hand;
    for (number, known) in alone.riders.iter_mut().enumerate() {
        known.coupling = if number == pull.rider {
            Coupling::Lead
        } else {
            Coupling::Free { from: 0.0, to: 0.0, at: 0.0 }
        };
    }
    Some(alone)
}

impl<'a> Measured<'a> {
    /// `alone` is what [`alone`] gave.
    pub fn new(
        fixture: &'a Fixture,
        alone: Option<&'a Fixture>,
        assembly: &Assembly,
        pull: &'a MeasuredPull,
    ) -> Self {
        let own = if alone.is_some() { 1.0 } else { rider_ratio(fixture, pull.rider) };
        let line = fixture.line.as_ref().filter(|_| alone.is_some());
        let fixture = alone.unwrap_or(fixture);
        let mut statics = Statics::new(fixture, assembly);
        // The ends of a line that is off are not in its clamps; its pulleys stay.
        for (line, tail) in line.into_iter().flat_map(|line| line.tails().map(move |tail| (line, tail))) {
            if let Some(rider) = tail.rider {
                statics.put(rider, -line.mass_of(tail.length), tail.at);
            }
        }
        statics.add_mass(pull.rider, pull.payload);
        Self { fixture, statics, pull, own }
    }

    /// The pull at the loads that go with these coefficients.
    pub fn model(&mut self, friction: &Friction) -> Model {
        let Self { fixture, statics, pull, own } = self;
        statics.set_friction(*friction);
        let line = statics.line_at(pull.at_travel);
        // The lead goes the same way, or the other where the rider runs against it.
        let lead = if pull.towards.sign() * *own > 0.0 { Way::Growing } else { Way::Falling };
        let (_, way) = statics.steady_towards(pull.at_travel, line.as_ref(), lead);
        let scale = 1.0 / own.abs();
        let mut factors = [0.0; Fittable::ALL.len()];
        // At steady speed.
        let (pulls, loads) = &way.driven;
        for (rider, loads) in loads.iter().enumerate() {
            let wheels: Vec<WheelFactors> = statics.factors(rider, loads).collect();
            let share = rider_ratio(fixture, rider).abs() * scale;
            let sum = |of: fn(&WheelFactors) -> f64| wheels.iter().map(of).sum::<f64>() * share;
            factors[0] += sum(|f| f.slip);
            factors[1] += sum(|f| f.no_load);
            factors[2] += sum(|f| f.hysteresis);
            factors[3] += statics.shoe_normal(rider, loads) * share;
        }
        if friction.no_load_torque > 0.0 {
            let grease: f64 = pulls.losses.iter().map(|loss| loss.no_load).sum();
            factors[1] += grease / friction.no_load_torque * scale;
        }
        let model = Model { fixed: 0.0, factors };
        Model { fixed: way.effort * scale - model.value(friction), ..model }
    }

    /// The pull and its slopes about these coefficients, in which the loads change with the friction: central differences
    /// over a tenth of each either way. Where they cannot be told, as near jamming, the slopes at given loads.
    pub fn tangent(&mut self, friction: &Friction, wanted: &[usize]) -> Model {
        const STEP: f64 = 0.1;
        let mut model = self.model(friction);
        let here = model.value(friction);
        for index in wanted {
            let which = Fittable::ALL[*index];
            let value = which.of(friction);
            let at = |share: f64| {
                let mut other = *friction;
                which.set(&mut other, value * share);
                other
            };
            let (above, below) = (at(1.0 + STEP), at(1.0 - STEP));
            let slope =
                (self.model(&above).value(&above) - self.model(&below).value(&below)) / (2.0 * STEP * value);
            if slope.is_finite() {
                model.factors[*index] = slope;
            }
        }
        let sum = Model { fixed: 0.0, factors: model.factors }.value(friction);
        Model { fixed: here - sum, ..model }
    }
}
