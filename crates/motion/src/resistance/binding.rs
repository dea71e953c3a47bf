//! Whether a rider jams when it is pushed beside its guides.

use glam::DVec3;

use super::{Friction, WheelFactors};
use crate::loads::{
    Carrier, Contact, LoadCase, SolveEnding, SpringContact, WheelLoad, Wrench, force_at, solve, wheel_of,
};
use crate::{Assembly, Coupling, Drive, Fixture, LineModel, StackOf, Way, Wheel};

/// How near a rider is to jamming when it is pushed or pulled along where hand or line take hold.
#[derive(Clone, Debug, PartialEq)]
pub struct Binding {
    /// Number of the rider.
    pub rider: usize,
    /// Which way it is pushed.
    pub towards: Way,
    /// Share of the push that comes back as friction of the guides it wedges the rider against: 2μe/L for
    /// a guide with two ends. At 1 no push moves it.
    pub ratio: f64,
    /// Distance of the push from the middle of the friction, square to the rail (mm).
    pub offset: f64,
    /// Length over the contacts along the rail (mm).
    pub length: f64,
}

impl Binding {
    /// How many times the friction could grow before it jams.
    pub fn margin(&self) -> f64 {
        1.0 / self.ratio
    }

    /// How many times the push grows over what it would be if it pulled in line with the friction:
    /// 1/(1 − ratio); infinite when it jams.
    pub fn growth(&self) -> f64 {
        if self.ratio < 1.0 { 1.0 / (1.0 - self.ratio) } else { f64::INFINITY }
    }
}

impl Binding {
    /// How near every rider is to jamming; riders nothing takes hold of, or whose contacts do not hold them,
    /// are left out.
    pub fn all(fixture: &Fixture, assembly: &Assembly) -> Vec<Self> {
        let friction = Friction::from(&fixture.resistance);
        (0..fixture.riders.len())
            .filter_map(|rider| {
                let case = LoadCase::new(fixture, assembly, rider);
                let centre = assembly.riders.get(rider)?.mass.centre();
                of_rider(fixture, assembly, rider, &case, &friction, centre)
            })
            .collect()
    }
}

/// A guide contact as a unilateral spring, with its friction.
pub type Guide = (SpringContact, f64);

/// Share of a push at `at` towards `towards` (unit, along x) that comes back as friction of `guides`:
/// Σ μN for a push of 1, with neither weight nor preload, the push being met by the friction itself.
///
/// For a guide of length L pushed at distance e this is 2μe/L (Beer & Johnston, Statics, the collar on a
/// pipe of chapter 8), whatever the springs; with more contacts the springs decide how they share. `None`
/// when the contacts do not hold the rider.
pub fn binding_ratio(guides: &[Guide], at: DVec3, towards: f64) -> Option<f64> {
    wedged(guides, at, towards).map(|wedged| wedged.ratio)
}

struct Wedged {
    ratio: f64,
    /// Middle of the friction (mm).
    middle: DVec3,
}

fn wedged(guides: &[Guide], at: DVec3, towards: f64) -> Option<Wedged> {
    let springs: Vec<SpringContact> =
        guides.iter().map(|(spring, _)| SpringContact { closure: 0.0, give: None, ..*spring }).collect();
    let count = springs.len().max(1) as f64;
    let mut middle = springs.iter().map(|spring| spring.point).sum::<DVec3>() / count;
    let push = force_at(DVec3::X * towards, at);
    // Where the friction acts depends on how the contacts share, and that on where it acts: for guides on
    // both sides of the rail the first answer is the last.
    const ROUNDS: usize = 30;
    const SAME: f64 = 1e-9;
    let mut ratio = 0.0;
    let mut guess = None;
    for _ in 0..ROUNDS {
        let wrench: Wrench = push + force_at(DVec3::X * -towards, middle);
        let found = solve(&springs, &[], &wrench, guess.as_ref());
        if !matches!(found.ending, SolveEnding::Exact | SolveEnding::LimitReached) {
            return None;
        }
        let friction: Vec<f64> = guides.iter().zip(&found.forces).map(|((_, mu), n)| mu * n).collect();
        guess = Some(found);
        ratio = friction.iter().sum();
        if !(ratio > 0.0) {
            return Some(Wedged { ratio: 0.0, middle });
        }
        let next = springs.iter().zip(&friction).map(|(spring, f)| spring.point * *f).sum::<DVec3>() / ratio;
        // Friction has no moment about the rail's direction that a shift along it would change.
        let moved = (next - middle).with_x(0.0).length();
        middle = next;
        if moved <= SAME * (1.0 + middle.length()) {
            break;
        }
    }
    Some(Wedged { ratio, middle })
}

/// Where hand or line take hold of a rider, in its frame (mm).
fn push_point(fixture: &Fixture, rider: usize, centre: DVec3) -> Option<DVec3> {
    let known = fixture.riders.get(rider)?;
    let grip = || known.grip.as_ref().map_or(centre, |grip| grip.at);
    let on_line = || {
        let model = LineModel::new(fixture, fixture.stroke.from)?.ok()?;
        let pulls = model.pulls(0.0, &vec![0.0; fixture.riders.len()], &Default::default());
        let places: Vec<DVec3> = model.on_rider(rider, &pulls).map(|(_, at)| at).collect();
        let count = places.len();
        (count > 0).then(|| places.into_iter().sum::<DVec3>() / count as f64)
    };
    match known.coupling {
        Coupling::Lead if fixture.drive == Drive::Hand => Some(grip()),
        Coupling::Free { .. } => Some(grip()),
        Coupling::Lead | Coupling::Linked { .. } => on_line(),
    }
}

/// Resistance of a wheel's contact per normal force on it: slip, hysteresis at a usual load, bearings.
fn wheel_friction(contact: &Contact, wheel: &Wheel, rolls: f64, friction: &Friction) -> f64 {
    /// What a small wheel's flank bears (N); hysteresis grows with its root.
    const USUAL: f64 = 10.0;
    let load = WheelLoad::new(std::slice::from_ref(contact), &[USUAL]);
    let resists = WheelFactors::new(wheel, rolls, &load).with(friction);
    (resists.bearing + resists.slip + resists.hysteresis) / USUAL
}

/// How near rider number `rider` is to jamming, the worse of both ways. `None` where nothing takes hold of
/// it or its contacts do not hold it.
fn of_rider(
    fixture: &Fixture,
    assembly: &Assembly,
    rider: usize,
    case: &LoadCase,
    friction: &Friction,
    centre: DVec3,
) -> Option<Binding> {
    let at = push_point(fixture, rider, centre)?;
    let known = fixture.riders.get(rider)?;
    let stacks = &assembly.riders.get(rider)?.stacks;
    let of_contact = |contact: &Contact| -> Option<f64> {
        match contact.carrier {
            Carrier::Wheel(number) => {
                let wheel = wheel_of(known.wheels.get(number)?)?;
                let stack = stacks.iter().find(|stack| stack.of == StackOf::Wheel(number))?;
                let rolls = stack.seating.as_ref()?.rolling_radius();
                Some(wheel_friction(contact, wheel, rolls, friction))
            }
            Carrier::Shoe(number) => {
                let own = known.shoes.get(number)?.friction.as_ref();
                Some(own.map_or(friction.shoe, |own| own.value))
            }
        }
    };
    let guides: Vec<Guide> =
        case.contacts().iter().map(|contact| (contact.spring, of_contact(contact).unwrap_or(0.0))).collect();
    let along = guides.iter().map(|(spring, _)| spring.point.x);
    let (low, high) =
        along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)));
    Way::BOTH
        .into_iter()
        .filter_map(|towards| {
            let found = wedged(&guides, at, towards.sign())?;
            Some(Binding {
                rider,
                towards,
                ratio: found.ratio,
                offset: (at - found.middle).with_x(0.0).length(),
                length: high - low,
            })
        })
        .max_by(|a, b| a.ratio.total_cmp(&b.ratio))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A collar of height `length` on a pipe of diameter `bore`: it touches on opposite sides at its two
    /// ends, whichever way it cants.
    fn collar(length: f64, bore: f64, mu: f64) -> Vec<Guide> {
        let half = 0.5 * length;
        [(-half, 1.0), (-half, -1.0), (half, 1.0), (half, -1.0)]
            .into_iter()
            .flat_map(|(x, side)| {
                // A second line of contact beside each holds the collar sideways too.
                [-1.0, 1.0].map(|lateral| {
                    let normal = DVec3::new(0.0, lateral * 0.1, -side).normalize();
                    let point = DVec3::new(x, -lateral * 0.5, 0.5 * bore * side);
                    (SpringContact { point, normal, closure: 0.0, stiffness: 1000.0, give: None }, mu)
                })
            })
            .collect()
    }

    /// Beer & Johnston, Statics, sample problem 8.3 (read, recomputed): a bracket of height 6 in with
    /// μ = 0.25 holds by friction alone when loaded 12 in from the pipe's middle, whatever the load:
    /// x = L/(2μ). There the ratio is 1.
    #[test]
    fn bracket_of_beer_and_johnston() {
        const INCH: f64 = 25.4;
        let guides = collar(6.0 * INCH, 3.0 * INCH, 0.25);
        // The contacts lean by atan 0.1, which raises the normal forces by 0.5 %.
        let lean = 1.0 / 1.01f64.sqrt();
        let ratio = |e: f64| binding_ratio(&guides, DVec3::new(0.0, 0.0, e), 1.0).unwrap_or(f64::NAN) * lean;
        assert!((ratio(12.0 * INCH) - 1.0).abs() < 1e-9, "{}", ratio(12.0 * INCH));
        // And in proportion to the offset, the same both ways.
        assert!((ratio(3.0 * INCH) - 0.25).abs() < 1e-9);
        let back = binding_ratio(&guides, DVec3::new(0.0, 0.0, 12.0 * INCH), -1.0).unwrap_or(f64::NAN);
        assert!((back * lean - 1.0).abs() < 1e-9);
    }

    /// The 2:1 guideline of plain-bearing practice (read): with μ = 0.25 a push beside the guide by twice
    /// its length jams, e/L = 2.
    #[test]
    fn two_to_one_guideline() {
        let lean = 1.0 / 1.01f64.sqrt();
        for length in [20.0, 55.0, 140.0] {
            let guides = collar(length, 12.0, 0.25);
            let ratio = binding_ratio(&guides, DVec3::new(0.0, 0.0, 2.0 * length), 1.0);
            assert!((ratio.unwrap_or(f64::NAN) * lean - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn no_contacts_hold_nothing() {
        assert_eq!(binding_ratio(&[], DVec3::Z, 1.0), None);
    }
}
