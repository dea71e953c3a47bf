//! What a wheel's contacts come to together.

use super::axle::Opening;
use super::contacts::{Contact, HERTZ_SHARE};
use crate::contact::Form;
use crate::seating::LYING;

/// What one wheel carries.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct WheelLoad {
    /// Push of the rail on the wheel square to the track's face (N).
    pub radial: f64,
    /// Push of the rail on the wheel along its axle, outwards positive (N).
    pub axial: f64,
    /// Sum of the normal forces at its contacts (N).
    pub normal: f64,
    /// The least normal force at a contact that touches before any load, a round groove being one (N); 0 when one lifts
    /// off.
    pub least: f64,
    /// Where the normal forces act together (mm, rider frame): there its friction acts. The origin without load.
    pub at: glam::DVec3,
    /// Greatest contact pressure (MPa).
    pub pressure: f64,
    /// Half the length of rail it presses on (mm).
    pub half_length: f64,
    /// How near what is clamped between plate and wheel is to opening, and whether it is taken as open; `None` where
    /// nothing is clamped there or the wheel's stiffness is given.
    pub opening: Option<Opening>,
    /// Whether a contact is too wide for the radii that meet in it to be one of Hertz's; see [`HERTZ_SHARE`].
    pub beyond_hertz: bool,
    /// Resistance from slip in its contacts and from hysteresis, per unit friction and per unit loss: sums
    /// of force × geometry, ready to be multiplied (N).
    pub(crate) slip: f64,
    pub(crate) hysteresis: f64,
}

impl WheelLoad {
    /// No figures at all.
    pub(super) const fn absent() -> Self {
        const NAN: f64 = f64::NAN;
        Self {
            radial: NAN,
            axial: NAN,
            normal: NAN,
            least: NAN,
            at: glam::DVec3::splat(NAN),
            pressure: NAN,
            half_length: NAN,
            opening: None,
            beyond_hertz: false,
            slip: NAN,
            hysteresis: NAN,
        }
    }

    /// Of a wheel's contacts under normal forces (N).
    pub(crate) fn new(contacts: &[Contact], forces: &[f64]) -> Self {
        let mut load = Self::default();
        let mut push = glam::DVec3::ZERO;
        let (mut least, mut groove) = (f64::INFINITY, None);
        for (contact, force) in contacts.iter().zip(forces) {
            push += contact.spring.normal * *force;
            load.normal += force;
            if *force > 0.0 {
                load.at += (contact.spring.point - load.at) * (force / load.normal);
            }
            if contact.whole.is_some() || matches!(contact.pairing.form, Form::Strip { .. }) {
                *groove.get_or_insert(0.0) += force;
            } else if contact.gap <= LYING {
                least = least.min(*force);
            }
            if !(*force > 0.0) {
                continue;
            }
            let patch = contact.patch(*force);
            load.pressure = load.pressure.max(patch.peak_pressure);
            load.half_length = load.half_length.max(patch.along);
            load.hysteresis += force
                * match contact.pairing.form {
                    Form::Line { radius, .. } | Form::Strip { radius, .. } => {
                        crate::contact::hysteresis_coefficient(1.0, patch.along, radius)
                    }
                    Form::Point(shape) => {
                        load.beyond_hertz |=
                            patch.across > contact.hertz_limit || patch.along > HERTZ_SHARE * shape.radii[0];
                        crate::contact::point_hysteresis_coefficient(1.0, patch.along, shape.radii[0])
                    }
                    Form::Face { .. } => 0.0,
                };
        }
        if let Some(first) = contacts.first() {
            load.radial = push.dot(first.radial);
            load.axial = push.dot(first.axial);
        }
        load.least =
            Some(groove.map_or(least, |sum: f64| least.min(sum))).filter(|n| n.is_finite()).unwrap_or(0.0);
        load.slip = slip(contacts, forces);
        load.in_groove(contacts, push.length());
        load
    }

    /// A groove presses on its rod in one of Hertz's ellipses while that is narrow; beyond, what its strips say holds.
    fn in_groove(&mut self, contacts: &[Contact], force: f64) {
        let Some(first) = contacts.iter().find(|contact| matches!(contact.pairing.form, Form::Strip { .. }))
        else {
            return;
        };
        if !(force > 0.0) {
            return;
        }
        let narrow = first
            .whole
            .map(|shape| shape.under(force, first.pairing.modulus()))
            .filter(|ellipse| ellipse.second <= first.hertz_limit);
        match narrow {
            Some(ellipse) => {
                self.pressure = ellipse.peak_pressure;
                self.half_length = ellipse.first;
            }
            None => self.beyond_hertz = true,
        }
    }

    /// Whether it touches the rail at all.
    pub fn is_loaded(&self) -> bool {
        self.normal > 0.0
    }
}

/// Σ N·|r − r₀|/r₀ over a wheel's contacts (N): times the sliding friction it is what slip takes.
///
/// A point at radius r slides on the rail at v(r − r₀)/r₀. Each normal force is spread evenly between the radii of its
/// contact; r₀, at which the wheel rolls, halves the normal force, since friction then pulls as much forwards as
/// backwards. On two like flanks it is the middle of their radii, and the sum μNΔr/(4r₀). Own derivation; the tests
/// integrate it.
fn slip(contacts: &[Contact], forces: &[f64]) -> f64 {
    /// Halvings: the sum is level at r₀, so that half the digits are enough.
    const HALVINGS: usize = 24;
    let loaded =
        || contacts.iter().zip(forces).filter(|(_, force)| **force > 0.0).map(|(c, f)| (c.radii, *f));
    let (least, greatest) = loaded().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (radii, _)| {
        (low.min(radii[0]), high.max(radii[1]))
    });
    if !(greatest > least && least > 0.0) {
        return 0.0;
    }
    let rolls = if loaded().all(|(radii, _)| radii == [least, greatest]) {
        0.5 * (least + greatest)
    } else {
        let half: f64 = 0.5 * loaded().map(|(_, force)| force).sum::<f64>();
        let below = |at: f64| {
            let share = |[low, high]: [f64; 2]| {
                if high > low { ((at - low) / (high - low)).clamp(0.0, 1.0) } else { f64::from(at >= low) }
            };
            loaded().map(|(radii, force)| force * share(radii)).sum::<f64>()
        };
        let (mut low, mut high) = (least, greatest);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if below(middle) < half { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    };
    // ∫|r − r₀| over the stretch, in parts on either side of r₀.
    let mean = |[low, high]: [f64; 2]| {
        if !(high > low) {
            return (low - rolls).abs();
        }
        let signed = |r: f64| 0.5 * (r - rolls) * (r - rolls).abs();
        (signed(high) - signed(low)) / (high - low)
    };
    loaded().map(|(radii, force)| force * mean(radii)).sum::<f64>() / rolls
}

#[cfg(test)]
mod tests {
    use glam::DVec3;

    use super::*;
    use crate::contact::{Elastic, Pairing, flank_slip_ratio};
    use crate::loads::{Carrier, SpringContact};

    fn contact(radii: [f64; 2]) -> Contact {
        let tyre = Elastic { youngs: 2900.0, poisson: 0.35 };
        let rail = Elastic { youngs: 68_900.0, poisson: 0.33 };
        Contact {
            carrier: Carrier::Wheel(0),
            spring: SpringContact {
                point: DVec3::ZERO,
                normal: DVec3::Z,
                closure: 0.0,
                stiffness: 1.0,
                give: None,
            },
            radial: DVec3::Z,
            axial: DVec3::Y,
            radii,
            pairing: Pairing { form: Form::Line { length: 1.0, radius: 20.0 }, runner: tyre, rail },
            gap: 0.0,
            given: false,
            whole: None,
            hertz_limit: f64::INFINITY,
        }
    }

    /// Two like flanks, unequally loaded, against the closed form of one flank; flanks at different radii against a sum
    /// over many thin slices with the rolling radius that takes least work, found by trying.
    #[test]
    fn slip_of_several_contacts() {
        let like = [contact([10.0, 12.0]), contact([10.0, 12.0])];
        let expected = 14.0 * flank_slip_ratio([10.0, 12.0]);
        assert!((slip(&like, &[10.0, 4.0]) - expected).abs() < 1e-12 * expected);
        assert_eq!(slip(&[contact([10.0; 2])], &[5.0]), 0.0);
        let cases: [(Vec<[f64; 2]>, Vec<f64>); 3] = [
            (vec![[9.0, 10.0], [10.0, 12.0], [9.5, 9.5]], vec![3.0, 8.0, 5.0]),
            (vec![[9.0, 10.0], [11.0, 12.0]], vec![3.0, 8.0]),
            (vec![[9.0, 9.0], [11.0, 11.0], [9.2, 9.2]], vec![3.0, 4.0, 2.0]),
        ];
        for (radii, forces) in cases {
            let contacts: Vec<Contact> = radii.iter().map(|r| contact(*r)).collect();
            let work = |rolls: f64| {
                let slices = 2000;
                let one = |(r, force): (&[f64; 2], &f64)| {
                    (0..slices)
                        .map(|i| r[0] + (r[1] - r[0]) * (f64::from(i) + 0.5) / f64::from(slices))
                        .map(|at| force * (at - rolls).abs() / f64::from(slices))
                        .sum::<f64>()
                };
                radii.iter().zip(&forces).map(one).sum::<f64>()
            };
            let least = (0..=3000)
                .map(|i| 9.0 + f64::from(i) * 1e-3)
                .map(|rolls| (work(rolls), rolls))
                .min_by(|a, b| a.0.total_cmp(&b.0))
                .unwrap_or_default();
            let got = slip(&contacts, &forces);
            assert!((got - least.0 / least.1).abs() < 2e-3 * got, "{got} {least:?}");
        }
    }
}
