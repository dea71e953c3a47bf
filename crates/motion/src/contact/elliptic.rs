//! Hertz contact of two bodies curved both ways: an elliptic patch.
//!
//! Source: K. L. Johnson, *Contact Mechanics*, Cambridge 1985, §4.2, with complete elliptic integrals of the
//! modulus e, e² = 1 − (b/a)², a ≥ b the semi-axes: the ratio of the relative curvatures fixes b/a by
//! B/A = ((a/b)²E − K)/(K − E), A ≤ B; then a³ = 3F(K − E)/(2πE*·A·e²), p₀ = 3F/(2πab), δ = 3FK/(2πE*·a).

use std::f64::consts::{FRAC_PI_2, PI};

/// An elliptic contact under load.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct EllipticContact {
    /// Semi-axis in the section with the first radius (mm).
    pub first: f64,
    /// Semi-axis in the section with the second radius (mm).
    pub second: f64,
    /// Greatest pressure (MPa).
    pub peak_pressure: f64,
    /// Mean pressure over the patch (MPa).
    pub mean_pressure: f64,
    /// How far the bodies approach (mm).
    pub approach: f64,
}

/// The shape of an elliptic contact, which does not depend on the load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EllipticShape {
    /// Relative radii of curvature in two sections square to each other (mm).
    pub radii: [f64; 2],
    /// Short over long semi-axis.
    ratio: f64,
    /// Complete elliptic integral K.
    k: f64,
    /// (K − E)/e².
    shape: f64,
}

impl EllipticShape {
    /// The shape for relative radii of curvature in two sections square to each other (mm); `None` unless both
    /// are positive and finite.
    ///
    /// ```
    /// use glidewright_motion::contact::EllipticShape;
    ///
    /// assert!(EllipticShape::new([12.0, 50.0]).is_some());
    /// assert!(EllipticShape::new([12.0, -50.0]).is_none());
    /// ```
    pub fn new(radii: [f64; 2]) -> Option<Self> {
        if !radii.iter().all(|r| *r > 0.0 && r.is_finite()) {
            return None;
        }
        let (large, small) = (radii[0].max(radii[1]), radii[0].min(radii[1]));
        let ratio = axis_ratio(large / small);
        let (k, e) = complete(ratio);
        // (K − E)/e² tends to π/4 as the ellipse becomes a circle.
        let eccentricity = (1.0 - ratio) * (1.0 + ratio);
        let shape = if eccentricity < 1e-8 { 0.25 * PI } else { (k - e) / eccentricity };
        Some(Self { radii, ratio, k, shape })
    }

    /// The contact under `force` (N) with the contact modulus E* (MPa). All zero without load.
    ///
    /// ```
    /// use glidewright_motion::contact::EllipticShape;
    ///
    /// let shape = EllipticShape::new([10.0, 10.0]).ok_or("no ellipse")?;
    /// // Ball on flat: the approach is a²/R, and grows with the force's power 2/3.
    /// let [once, eightfold] = [100.0, 800.0].map(|force| shape.under(force, 115_385.0));
    /// assert!((once.approach - once.first.powi(2) / 10.0).abs() < 1e-9);
    /// assert!((eightfold.approach / once.approach - 4.0).abs() < 1e-9);
    /// # Ok::<(), &str>(())
    /// ```
    pub fn under(&self, force: f64, modulus: f64) -> EllipticContact {
        let positive = |v: f64| v > 0.0 && v.is_finite();
        if !(positive(force) && positive(modulus)) {
            return EllipticContact::default();
        }
        // The long axis lies in the section that is curved less.
        let least_curvature = 0.5 / self.radii[0].max(self.radii[1]);
        let long = (3.0 * force * self.shape / (2.0 * PI * modulus * least_curvature)).cbrt();
        let short = long * self.ratio;
        let (first, second) = if self.radii[0] >= self.radii[1] { (long, short) } else { (short, long) };
        let mean_pressure = force / (PI * long * short);
        EllipticContact {
            first,
            second,
            peak_pressure: 1.5 * mean_pressure,
            mean_pressure,
            approach: 3.0 * force * self.k / (2.0 * PI * modulus * long),
        }
    }
}

/// Two bodies with relative radii of curvature `radii` in two sections square to each other (mm), pressed
/// together with `force` (N). All zero without load or with a radius that is not positive and finite.
///
/// ```
/// use glidewright_motion::contact::elliptic_contact;
///
/// let contact = elliptic_contact(10.0, [50.0, 12.0], 3169.0);
/// // The long axis lies where the curvature is less.
/// assert!(contact.first > contact.second);
/// ```
pub fn elliptic_contact(force: f64, radii: [f64; 2], modulus: f64) -> EllipticContact {
    EllipticShape::new(radii).map_or_else(EllipticContact::default, |shape| shape.under(force, modulus))
}

/// Short over long semi-axis for a ratio of curvatures B/A ≥ 1, by bisection in its logarithm: the left
/// side falls steadily as the ellipse gets rounder.
fn axis_ratio(curvatures: f64) -> f64 {
    const ROUND: f64 = 1e-9;
    if curvatures < 1.0 + ROUND {
        return 1.0;
    }
    let of = |ratio: f64| {
        let (k, e) = complete(ratio);
        (e / (ratio * ratio) - k) / (k - e)
    };
    // b/a lies near (A/B)^⅔ and above it; far beyond that the patch is a line for all purposes.
    let (mut low, mut high) = ((0.1 * curvatures.powf(-2.0 / 3.0)).ln(), -1e-12_f64);
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if of(middle.exp()) > curvatures {
            low = middle;
        } else {
            high = middle;
        }
    }
    (0.5 * (low + high)).exp()
}

/// Complete elliptic integrals K and E of the modulus e = √(1 − ratio²), by the arithmetic–geometric mean
/// (Abramowitz & Stegun, 17.6).
///
/// ```
/// use glidewright_motion::contact::complete_elliptic_integrals;
///
/// // Of a circle both are π/2.
/// assert_eq!(complete_elliptic_integrals(1.0), (std::f64::consts::FRAC_PI_2, std::f64::consts::FRAC_PI_2));
/// ```
pub fn complete(ratio: f64) -> (f64, f64) {
    let (mut a, mut b) = (1.0, ratio.clamp(f64::MIN_POSITIVE, 1.0));
    let mut c2 = (1.0 - b) * (1.0 + b);
    let (mut sum, mut weight) = (0.5 * c2, 0.5);
    for _ in 0..40 {
        if c2 <= f64::EPSILON * f64::EPSILON {
            break;
        }
        let c = 0.5 * (a - b);
        (a, b) = (0.5 * (a + b), (a * b).sqrt());
        c2 = c * c;
        weight *= 2.0;
        sum += weight * c2;
    }
    let k = FRAC_PI_2 / a;
    (k, k * (1.0 - sum))
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

    /// Ball on flat, E* of steel on steel (computed): a = (3FR/4E*)^⅓, p₀ = 3F/2πa², δ = a²/R.
    #[test]
    fn hertz_circular() {
        let contact = elliptic_contact(100.0, [10.0, 10.0], 115_385.0);
        close(contact.first, 0.186_625_4, 1e-6);
        close(contact.second, 0.186_625_4, 1e-6);
        close(contact.peak_pressure, 1370.882, 1e-6);
        close(contact.approach, 3.482_902e-3, 1e-6);
    }

    /// A crowned wheel of 12 and 50 mm on flat (computed from the elliptic integrals).
    #[test]
    fn hertz_elliptic() {
        for (radii, swap) in [([50.0, 12.0], false), ([12.0, 50.0], true)] {
            let contact = elliptic_contact(10.0, radii, 3169.377);
            let (long, short) =
                if swap { (contact.second, contact.first) } else { (contact.first, contact.second) };
            close(long, 0.603_763_6, 1e-6);
            close(short, 0.235_109_8, 1e-6);
            close(contact.peak_pressure, 33.635_95, 1e-6);
            close(contact.approach, 5.948_498e-3, 1e-6);
        }
    }

    /// Complete elliptic integrals: K and E at k² = ½ (Abramowitz & Stegun, table 17.1: 1.854 074 68 and
    /// 1.350 643 88; from memory), and their limits.
    #[test]
    fn elliptic_integrals() {
        let (k, e) = complete(0.5f64.sqrt());
        close(k, 1.854_074_677, 1e-9);
        close(e, 1.350_643_881, 1e-9);
        let (k, e) = complete(1.0);
        close(k, FRAC_PI_2, 1e-15);
        close(e, FRAC_PI_2, 1e-15);
        let (k, e) = complete(1e-6);
        close(k, (4.0f64 / 1e-6).ln(), 1e-9);
        close(e, 1.0, 1e-9);
    }

    /// The semi-axes satisfy the equation of the curvatures, from nearly round to nearly a line.
    #[test]
    fn axes_fit_the_curvatures() {
        for curvatures in [1.0 + 1e-6, 1.01, 2.0, 50.0 / 12.0, 100.0, 1e4, 1e6] {
            let ratio = axis_ratio(curvatures);
            let (k, e) = complete(ratio);
            close((e / (ratio * ratio) - k) / (k - e), curvatures, 1e-4);
        }
    }

    #[test]
    fn nothing_comes_of_bad_numbers() {
        for radii in [[0.0, 1.0], [f64::NAN, 1.0], [1.0, f64::INFINITY]] {
            assert_eq!(elliptic_contact(1.0, radii, 1000.0), EllipticContact::default());
        }
        assert_eq!(elliptic_contact(-1.0, [1.0, 1.0], 1000.0), EllipticContact::default());
    }
}
