//! How stiff a contact is at the force it bears.

use super::{Form, Pairing};

/// The give of a contact as a law with its constants gathered, for many evaluations.
///
/// Along a line the approach is F·(a − s·ln F): half the logarithm of the force is in the half-width, and a half-width
/// in the logarithm of either body's share (Johnson §5.6), so s is the sum of both compliances over π times the length.
/// At a point it grows with the force's power ⅔, over a face or a strip with the force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Softening {
    law: Law,
    /// No stiffness is taken below this load (N): a point contact is infinitely soft at nothing.
    least: f64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Law {
    /// `first`: the approach under 1 N (mm).
    Line {
        first: f64,
        softer: f64,
    },
    Point {
        first: f64,
    },
    Straight {
        give: f64,
    },
}

impl Softening {
    /// Of a pairing; below `least` N it is as stiff as there.
    pub fn new(pairing: &Pairing, least: f64) -> Self {
        let first = pairing.approach(1.0);
        let law = match pairing.form {
            Form::Line { length, .. } => {
                let compliance = pairing.runner.compliance() + pairing.rail.compliance();
                Law::Line { first, softer: compliance / (std::f64::consts::PI * length) }
            }
            Form::Point(_) => Law::Point { first },
            Form::Strip { .. } | Form::Face { .. } => Law::Straight { give: first },
        };
        Self { law, least }
    }

    /// A straight spring of a stiffness (N/mm).
    ///
    /// ```
    /// use glidewright_motion::contact::Softening;
    ///
    /// assert_eq!(Softening::straight(400.0).stiffness(25.0), (400.0, 400.0));
    /// ```
    pub fn straight(stiffness: f64) -> Self {
        Self { law: Law::Straight { give: 1.0 / stiffness }, least: 0.0 }
    }

    /// Secant give at a normal force (N), approach over force, and the tangent's, the slope of approach over force
    /// (mm/N). Below the least load both are the secant there.
    pub fn give(&self, force: f64) -> (f64, f64) {
        let bends = force > self.least;
        let force = if bends { force } else { self.least };
        let (secant, tangent) = match self.law {
            Law::Line { first, softer } => {
                let give = first - softer * force.ln();
                (give, give - softer)
            }
            Law::Point { first } => {
                let secant = first / force.cbrt();
                (secant, secant / 1.5)
            }
            Law::Straight { give } => (give, give),
        };
        (secant, if bends { tangent } else { secant })
    }

    /// Secant and tangent stiffness at a normal force (N), one over what gives (N/mm).
    ///
    /// ```
    /// use glidewright_motion::contact::{Elastic, EllipticShape, Form, Pairing, Softening};
    ///
    /// let body = Elastic { youngs: 2900.0, poisson: 0.35 };
    /// let form = EllipticShape::new([12.0, 50.0]).map(Form::Point).ok_or("no ellipse")?;
    /// let law = Softening::new(&Pairing { form, runner: body, rail: body }, 1.0);
    /// // Approach grows with the force's power 2/3, so the tangent is half as stiff again as the secant.
    /// let (secant, tangent) = law.stiffness(20.0);
    /// assert!((tangent / secant - 1.5).abs() < 1e-12);
    /// # Ok::<(), &str>(())
    /// ```
    pub fn stiffness(&self, force: f64) -> (f64, f64) {
        let (secant, tangent) = self.give(force);
        (1.0 / secant, 1.0 / tangent)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::contact::{Elastic, EllipticShape};

    /// The secant against the approach itself, the tangent against central differences of it.
    #[test]
    fn tangents_are_slopes() {
        let runner = Elastic { youngs: 2900.0, poisson: 0.35 };
        let rail = Elastic { youngs: 68_900.0, poisson: 0.33 };
        let point = EllipticShape::new([12.0, 50.0]).unwrap();
        for form in [
            Form::Line { length: 1.98, radius: 25.0 },
            Form::Point(point),
            Form::Strip { length: 1.2, radius: 11.0, foundation: 900.0, peak: 1.2 },
            Form::Face { area: 50.0, depth: 6.0 },
        ] {
            let pairing = Pairing { form, runner, rail };
            let softening = Softening::new(&pairing, 1.0);
            for force in [1.5, 8.0, 60.0] {
                let step = 1e-4 * force;
                let slope = 2.0 * step / (pairing.approach(force + step) - pairing.approach(force - step));
                let (secant, tangent) = softening.stiffness(force);
                assert!((tangent - slope).abs() < 1e-6 * slope, "{form:?} {force}: {tangent} {slope}");
                assert!((secant * pairing.approach(force) - force).abs() < 1e-12 * force);
            }
            let (secant, tangent) = softening.stiffness(0.2);
            assert_eq!((secant, tangent), (softening.stiffness(1.0).0, secant));
        }
    }
}
