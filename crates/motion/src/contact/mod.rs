//! Contact of a wheel with its track: Hertz contact along a line and at a point.
//!
//! Source: K. L. Johnson, *Contact Mechanics*, Cambridge 1985, §4.2 and §5.6. Half-widths throughout;
//! 1/E* = (1 − ν₁²)/E₁ + (1 − ν₂²)/E₂.

mod elliptic;
mod patch;
mod softening;

pub use elliptic::{
    EllipticContact, EllipticShape, complete as complete_elliptic_integrals, elliptic_contact,
};
pub use patch::{Form, Pairing, Patch, RAIL_DATUM};
pub use softening::Softening;

/// Elastic constants of one body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Elastic {
    /// Young's modulus (MPa); infinite for a rigid body.
    pub youngs: f64,
    /// Poisson's ratio.
    pub poisson: f64,
}

impl Elastic {
    /// (1 − ν²)/E (1/MPa).
    ///
    /// ```
    /// use glidewright_motion::contact::Elastic;
    ///
    /// let steel = Elastic { youngs: 210_000.0, poisson: 0.3 };
    /// assert!((steel.compliance() - 0.91 / 210_000.0).abs() < 1e-18);
    /// ```
    pub fn compliance(&self) -> f64 {
        if self.youngs.is_infinite() { 0.0 } else { (1.0 - self.poisson * self.poisson) / self.youngs }
    }
}

/// The contact modulus E* of two bodies (MPa).
///
/// ```
/// use glidewright_motion::contact::{Elastic, contact_modulus};
///
/// let steel = Elastic { youngs: 210_000.0, poisson: 0.3 };
/// let rigid = Elastic { youngs: f64::INFINITY, poisson: 0.3 };
/// // Steel on steel is half as stiff as steel on a rigid body.
/// assert!((2.0 * contact_modulus(steel, steel) - contact_modulus(steel, rigid)).abs() < 1e-6);
/// ```
pub fn contact_modulus(a: Elastic, b: Elastic) -> f64 {
    1.0 / (a.compliance() + b.compliance())
}

/// A line contact under load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineContact {
    /// Half the width of the contact strip (mm).
    pub half_width: f64,
    /// Greatest pressure (MPa).
    pub peak_pressure: f64,
    /// Mean pressure over the strip (MPa).
    pub mean_pressure: f64,
}

/// Two cylinders of relative radius `radius` (mm) pressed together with `load` per length (N/mm):
/// b = √(4wR/(πE*)), p₀ = 2w/(πb). All zero without load.
///
/// ```
/// use glidewright_motion::contact::line_contact;
///
/// let line = line_contact(10.0, 12.0, 3000.0);
/// // The mean pressure is π/4 of the greatest.
/// assert!((line.mean_pressure / line.peak_pressure - std::f64::consts::FRAC_PI_4).abs() < 1e-12);
/// assert_eq!(line_contact(0.0, 12.0, 3000.0).half_width, 0.0);
/// ```
pub fn line_contact(load: f64, radius: f64, modulus: f64) -> LineContact {
    if !(load > 0.0 && radius > 0.0 && modulus > 0.0) {
        return LineContact { half_width: 0.0, peak_pressure: 0.0, mean_pressure: 0.0 };
    }
    let half_width = (4.0 * load * radius / (std::f64::consts::PI * modulus)).sqrt();
    LineContact {
        half_width,
        peak_pressure: 2.0 * load / (std::f64::consts::PI * half_width),
        mean_pressure: load / (2.0 * half_width),
    }
}

/// How far a cylinder's axis approaches the contact, from its own compression (mm):
/// w(1 − ν²)/(πE)·(2 ln(4R/b) − 1), Johnson §5.6.
///
/// ```
/// use glidewright_motion::contact::{Elastic, cylinder_approach};
///
/// let tyre = Elastic { youngs: 2900.0, poisson: 0.35 };
/// let approach = cylinder_approach(10.0, 12.0, 0.2, tyre);
/// let by_hand = 10.0 * 0.8775 / (2900.0 * std::f64::consts::PI) * (2.0 * 240_f64.ln() - 1.0);
/// assert!((approach - by_hand).abs() < 1e-12);
/// ```
pub fn cylinder_approach(load: f64, radius: f64, half_width: f64, body: Elastic) -> f64 {
    if !(load > 0.0 && half_width > 0.0) {
        return 0.0;
    }
    load * body.compliance() / std::f64::consts::PI * (2.0 * (4.0 * radius / half_width).ln() - 1.0)
}

/// How far a half-space gives way under a line contact, against a datum `depth` below it (mm):
/// w(1 − ν²)/(πE)·(2 ln(2D/b) − ν/(1 − ν)), Johnson §5.6.
///
/// ```
/// use glidewright_motion::contact::{Elastic, half_space_approach};
///
/// let rail = Elastic { youngs: 69_000.0, poisson: 0.33 };
/// let [near, far] = [5.0, 10.0].map(|depth| half_space_approach(10.0, depth, 0.2, rail));
/// // The deeper the datum, the more of the rail gives.
/// assert!(near < far);
/// ```
pub fn half_space_approach(load: f64, depth: f64, half_width: f64, body: Elastic) -> f64 {
    if !(load > 0.0 && half_width > 0.0 && depth > 0.0) {
        return 0.0;
    }
    let nu = body.poisson;
    load * body.compliance() / std::f64::consts::PI
        * (2.0 * (2.0 * depth / half_width).ln() - nu / (1.0 - nu))
}

/// Rolling resistance of a line contact from hysteresis, per unit normal load: 2αb/(3πR), Johnson §9.4,
/// α the share of the strain energy lost.
///
/// ```
/// use glidewright_motion::contact::hysteresis_coefficient;
///
/// // Nothing is lost in a tyre that gives back all its strain energy.
/// assert_eq!(hysteresis_coefficient(0.0, 0.2, 12.0), 0.0);
/// assert!((hysteresis_coefficient(0.1, 0.2, 12.0) - 0.04 / (36.0 * std::f64::consts::PI)).abs() < 1e-15);
/// ```
pub fn hysteresis_coefficient(loss: f64, half_width: f64, radius: f64) -> f64 {
    2.0 * loss * half_width / (3.0 * std::f64::consts::PI * radius)
}

/// Rolling resistance of a contact at a point from hysteresis, per unit normal load: 3αa/(16R), Johnson §9.4
/// (from memory), a the semi-axis and R the relative radius in the section along the way.
///
/// ```
/// use glidewright_motion::contact::point_hysteresis_coefficient;
///
/// assert!((point_hysteresis_coefficient(0.1, 0.4, 12.0) - 0.12 / 192.0).abs() < 1e-15);
/// ```
pub fn point_hysteresis_coefficient(loss: f64, semi_axis: f64, radius: f64) -> f64 {
    3.0 * loss * semi_axis / (16.0 * radius)
}

/// Slip resistance on a flank, per unit normal load and unit friction: the mean of |r − r₀|/r₀ over even
/// pressure between the radii, r₀ their middle: Δr/(4 r₀). Own derivation; the tests integrate it.
///
/// ```
/// use glidewright_motion::contact::flank_slip_ratio;
///
/// // A flank from 9 to 11 mm rolls at 10 mm and slips by 5 % on average: 2/(4 · 10).
/// assert!((flank_slip_ratio([9.0, 11.0]) - 0.05).abs() < 1e-15);
/// ```
pub fn flank_slip_ratio(radii: [f64; 2]) -> f64 {
    let middle = 0.5 * (radii[0] + radii[1]);
    if middle > 0.0 { (radii[1] - radii[0]).abs() / (4.0 * middle) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: f64, expected: f64, relative: f64) {
        assert!(
            (got - expected).abs() <= relative * expected.abs(),
            "got {got}, expected {expected} within {relative} of it"
        );
    }

    const INCH: f64 = 25.4;
    const PSI: f64 = 0.006_894_757_293_168;
    const POUND: f64 = 4.448_221_615_260_5;

    /// Norton, Machine Design, 4th ed., example 7-2 (0.0518 in, 55 169 psi, 70 243 psi).
    #[test]
    fn hertz_line_of_norton() {
        let body = Elastic { youngs: 30e6 * PSI, poisson: 0.28 };
        let load = 5000.0 * POUND / (0.875 * INCH);
        let contact = line_contact(load, 6.0 * INCH, contact_modulus(body, body));
        close(contact.half_width / INCH, 0.051_789_0, 1e-6);
        close(contact.mean_pressure / PSI, 55_168.95, 1e-6);
        close(contact.peak_pressure / PSI, 70_243.28, 1e-6);
    }

    /// Brown, Marks' Calculations for Machine Design, chapter 3, example 2 (half-width read there, peak
    /// pressure computed).
    #[test]
    fn hertz_line_of_marks() {
        let body = Elastic { youngs: 210e3, poisson: 0.3 };
        let contact = line_contact(147_500.0 / 100.0, 500.0, contact_modulus(body, body));
        close(contact.half_width, 2.852_74, 2e-6);
        close(contact.peak_pressure, 329.162, 2e-6);
    }

    /// Johnson, Contact Mechanics, §5.6: formula from memory, values verified by integrating the strain.
    #[test]
    fn approach_of_johnson() {
        let tyre = Elastic { youngs: 2900.0, poisson: 0.35 };
        let rigid = Elastic { youngs: f64::INFINITY, poisson: 0.3 };
        let b = line_contact(5.0, 12.0, contact_modulus(tyre, rigid)).half_width;
        close(b, 0.152_039, 3e-6);
        close(cylinder_approach(5.0, 12.0, b, tyre), 5.061_24e-3, 3e-6);

        let rail = Elastic { youngs: 68_900.0, poisson: 0.33 };
        let contact = line_contact(5.0, 12.0, contact_modulus(tyre, rail));
        close(contact.half_width, 0.155_254, 3e-6);
        close(contact.peak_pressure, 20.502_5, 3e-6);
        close(cylinder_approach(5.0, 12.0, contact.half_width, tyre), 5.041_085e-3, 3e-6);
        close(half_space_approach(5.0, 10.0, contact.half_width, rail), 1.898_721e-4, 3e-6);
    }

    /// Johnson, Contact Mechanics, §9.4 (from memory).
    #[test]
    fn hysteresis_of_johnson() {
        close(hysteresis_coefficient(0.1, 0.155_254, 12.0), 2.7455e-4, 1e-4);
    }

    /// The slip formula against the mean of |r − r₀|/r₀ by midpoint quadrature.
    #[test]
    fn flank_slip_by_quadrature() {
        for radii in [[10.0, 12.0], [21.9, 23.9], [4.0, 9.0], [7.0, 7.0]] {
            let middle = 0.5 * (radii[0] + radii[1]);
            let steps = 20_000;
            let mean: f64 = (0..steps)
                .map(|i| {
                    let r = radii[0] + (radii[1] - radii[0]) * (f64::from(i) + 0.5) / f64::from(steps);
                    (r - middle).abs() / middle
                })
                .sum::<f64>()
                / f64::from(steps);
            assert!((flank_slip_ratio(radii) - mean).abs() < 1e-9, "{radii:?}");
        }
    }
}
