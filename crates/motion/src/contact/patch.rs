//! The patch in which a tyre or shoe and its track press on each other.

use super::{Elastic, EllipticShape, contact_modulus, cylinder_approach, half_space_approach, line_contact};

/// What a contact looks like before it is loaded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Form {
    /// Along a line across the rail: a flank, a rim.
    Line {
        /// Length of the line (mm).
        length: f64,
        /// Relative radius of curvature in the section along the rail (mm).
        radius: f64,
    },
    /// At a point: a crown, a wheel on a rod.
    /// Its radii are those in the section along the rail and across it.
    Point(EllipticShape),
    /// Over a face that bears evenly: one half of a shoe.
    Face {
        /// Area (mm²).
        area: f64,
        /// How thick the shoe is behind it (mm).
        depth: f64,
    },
}

/// Form and materials of a contact.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pairing {
    /// How the two meet.
    pub form: Form,
    /// Tyre or shoe.
    pub runner: Elastic,
    /// Rail.
    pub rail: Elastic,
}

/// A contact under load.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Patch {
    /// Half its extent along the rail (mm).
    pub along: f64,
    /// Half its extent across the rail, along the flank (mm).
    pub across: f64,
    /// Greatest pressure (MPa).
    pub peak_pressure: f64,
    /// Mean pressure (MPa).
    pub mean_pressure: f64,
    /// How far the wheel's axle, or the back of the shoe, comes closer to the rail (mm).
    pub approach: f64,
}

/// Depth below its surface at which a rail counts as still, for its share of the approach (mm): about the
/// wall of an extrusion.
pub const RAIL_DATUM: f64 = 10.0;

impl Pairing {
    /// E* of the two (MPa).
    pub fn modulus(&self) -> f64 {
        contact_modulus(self.runner, self.rail)
    }

    /// The patch under a normal force (N); nothing without one.
    ///
    /// Line: Johnson §4.2, approach of the wheel §5.6 and of the rail to [`RAIL_DATUM`]. Point: Johnson §4.2.
    /// Face: even pressure, and strain σ/E through the depth of the shoe (the rail's is left out).
    pub fn under(&self, force: f64) -> Patch {
        if !(force > 0.0 && force.is_finite()) {
            return Patch::default();
        }
        match self.form {
            Form::Line { length, radius } => {
                let load = force / length;
                let line = line_contact(load, radius, self.modulus());
                Patch {
                    along: line.half_width,
                    across: 0.5 * length,
                    peak_pressure: line.peak_pressure,
                    mean_pressure: line.mean_pressure,
                    approach: cylinder_approach(load, radius, line.half_width, self.runner)
                        + half_space_approach(load, RAIL_DATUM, line.half_width, self.rail),
                }
            }
            Form::Point(shape) => {
                let point = shape.under(force, self.modulus());
                Patch {
                    along: point.first,
                    across: point.second,
                    peak_pressure: point.peak_pressure,
                    mean_pressure: point.mean_pressure,
                    approach: point.approach,
                }
            }
            Form::Face { area, depth } => {
                let pressure = force / area;
                Patch {
                    along: 0.0,
                    across: 0.0,
                    peak_pressure: pressure,
                    mean_pressure: pressure,
                    approach: pressure * depth / self.runner.youngs,
                }
            }
        }
    }

    /// Secant stiffness at a normal force, and the tangent's, the slope of force over approach (N/mm). Along a line
    /// the approach grows by δ/w − (c₁ + c₂)/π for a unit of w = force per length, c the compliances, for half the
    /// logarithm of w is in it; at a point it grows with the force's power ⅔. Below `least` N both are the
    /// stiffness at `least`.
    pub fn stiffness(&self, force: f64, least: f64) -> (f64, f64) {
        let secant = self.secant(force, least);
        if !(force > least) {
            return (secant, secant);
        }
        let tangent = match self.form {
            Form::Line { length, .. } => {
                let softer = (self.runner.compliance() + self.rail.compliance()) / std::f64::consts::PI;
                1.0 / (1.0 / secant - softer / length)
            }
            Form::Point(_) => 1.5 * secant,
            Form::Face { .. } => secant,
        };
        (secant, tangent)
    }

    /// Secant stiffness at a normal force: force over approach (N/mm). Below `least` N the stiffness at `least`
    /// is taken: a point contact is infinitely soft at nothing.
    pub fn secant(&self, force: f64, least: f64) -> f64 {
        let force = if force > least { force } else { least };
        force / self.under(force).approach
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The tangent against central differences of the approach.
    #[test]
    fn tangents_are_slopes() {
        let runner = Elastic { youngs: 2900.0, poisson: 0.35 };
        let rail = Elastic { youngs: 68_900.0, poisson: 0.33 };
        let point = EllipticShape::new([12.0, 50.0]).unwrap();
        for form in [
            Form::Line { length: 1.98, radius: 25.0 },
            Form::Point(point),
            Form::Face { area: 50.0, depth: 6.0 },
        ] {
            let pairing = Pairing { form, runner, rail };
            for force in [1.5, 8.0, 60.0] {
                let step = 1e-4 * force;
                let slope = 2.0 * step
                    / (pairing.under(force + step).approach - pairing.under(force - step).approach);
                let (secant, tangent) = pairing.stiffness(force, 1.0);
                assert!((tangent - slope).abs() < 1e-6 * slope, "{form:?} {force}: {tangent} {slope}");
                assert!((secant * pairing.under(force).approach - force).abs() < 1e-9 * force);
            }
            let (secant, tangent) = pairing.stiffness(0.2, 1.0);
            assert_eq!((secant, tangent), (pairing.secant(1.0, 1.0), secant));
        }
    }
}
