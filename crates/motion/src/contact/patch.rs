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
    /// A strip of a round groove, bearing on its rod as on an even foundation.
    Strip {
        /// Length round the rod (mm).
        length: f64,
        /// Relative radius of curvature in the section along the rail (mm).
        radius: f64,
        /// Stiffness per length (N/mm²).
        foundation: f64,
        /// By how much the load per length in the middle exceeds what the foundation bears there: Hertz's ellipse is
        /// narrower than the overlap of the unloaded profiles.
        peak: f64,
    },
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
}

/// Depth below its surface at which a rail counts as still, for its share of the approach (mm): about the
/// wall of an extrusion.
pub const RAIL_DATUM: f64 = 10.0;

impl Pairing {
    /// E* of the two (MPa).
    pub fn modulus(&self) -> f64 {
        contact_modulus(self.runner, self.rail)
    }

    /// The patch under a normal force (N); nothing without one. Line and point: Johnson §4.2. Face: even pressure.
    ///
    /// ```
    /// use glidewright_motion::contact::{Elastic, Form, Pairing};
    ///
    /// let shoe = Elastic { youngs: 2000.0, poisson: 0.4 };
    /// let rail = Elastic { youngs: 69_000.0, poisson: 0.33 };
    /// let pairing = Pairing { form: Form::Face { area: 50.0, depth: 6.0 }, runner: shoe, rail };
    /// assert_eq!(pairing.under(100.0).peak_pressure, 2.0);
    /// ```
    pub fn under(&self, force: f64) -> Patch {
        if !(force > 0.0 && force.is_finite()) {
            return Patch::default();
        }
        match self.form {
            Form::Line { length, radius } => {
                let line = line_contact(force / length, radius, self.modulus());
                Patch {
                    along: line.half_width,
                    across: 0.5 * length,
                    peak_pressure: line.peak_pressure,
                    mean_pressure: line.mean_pressure,
                }
            }
            Form::Point(shape) => {
                let point = shape.under(force, self.modulus());
                Patch {
                    along: point.first,
                    across: point.second,
                    peak_pressure: point.peak_pressure,
                    mean_pressure: point.mean_pressure,
                }
            }
            Form::Strip { length, radius, peak, .. } => {
                let line = line_contact(peak * force / length, radius, self.modulus());
                Patch {
                    along: line.half_width,
                    across: 0.5 * length,
                    peak_pressure: line.peak_pressure,
                    mean_pressure: line.mean_pressure,
                }
            }
            Form::Face { area, .. } => {
                let pressure = force / area;
                Patch { along: 0.0, across: 0.0, peak_pressure: pressure, mean_pressure: pressure }
            }
        }
    }

    /// How far the wheel's axle, or the back of the shoe, comes closer to the rail under a normal force (N), in mm.
    ///
    /// Line: approach of the wheel and of the rail to [`RAIL_DATUM`], Johnson §5.6. Point: Johnson §4.2. Strip: its
    /// foundation's. Face: strain σ/E through the depth of the shoe (the rail's is left out).
    ///
    /// ```
    /// use glidewright_motion::contact::{Elastic, Form, Pairing};
    ///
    /// let shoe = Elastic { youngs: 2000.0, poisson: 0.4 };
    /// let rail = Elastic { youngs: 69_000.0, poisson: 0.33 };
    /// let pairing = Pairing { form: Form::Face { area: 50.0, depth: 6.0 }, runner: shoe, rail };
    /// // 2 MPa through 6 mm of 2000 MPa.
    /// assert!((pairing.approach(100.0) - 0.006).abs() < 1e-15);
    /// ```
    pub fn approach(&self, force: f64) -> f64 {
        if !(force > 0.0 && force.is_finite()) {
            return 0.0;
        }
        match self.form {
            Form::Line { length, radius } => {
                let load = force / length;
                let half_width = line_contact(load, radius, self.modulus()).half_width;
                cylinder_approach(load, radius, half_width, self.runner)
                    + half_space_approach(load, RAIL_DATUM, half_width, self.rail)
            }
            Form::Point(shape) => shape.under(force, self.modulus()).approach,
            Form::Strip { length, foundation, .. } => force / (foundation * length),
            Form::Face { area, depth } => force / area * depth / self.runner.youngs,
        }
    }
}
