//! Equilibrium of a rigid body on springs that can only push.
//!
//! The rest position minimises Φ(ξ, v) = Σ ½k·max(0, c)² + Σ ½vᵀKv − w·ξ over the five motions ξ a rider is
//! not meant to make and the give v of what carries its contacts (an axle that bends), with
//! c = c₀ − n·(δ + θ×p) − g·v the closure of each contact. Φ is convex and piecewise quadratic. A Newton step
//! on the contacts that now press, its length found exactly, ends at the exact minimum as soon as a full step
//! leaves the set of pressing contacts as it was (semismooth Newton; L. Qi and J. Sun, Math. Program. 58
//! (1993) 353). The give of each support is eliminated before each step (Schur complement).

use nalgebra::Vector2;

use super::equilibrium::{Equilibrium, SolveEnding};
use super::linear::Vector;
use super::newton::{Problem, Work};
use super::springs::{SpringContact, Support, row};
use super::wrench::{Motion, Wrench};

/// Finds where a rider comes to rest under `wrench` (whose force along the rail is not looked at, but
/// whose moments are), starting from `guess`, a solution for a load near this one.
///
/// ```
/// use glam::DVec3;
/// use glidewright_motion::loads::{SolveEnding, SpringContact, force_at, solve};
///
/// // A body on four springs at its corners, loaded in the middle: each bears a quarter.
/// let corner = |x: f64, y: f64| SpringContact {
///     point: DVec3::new(x, y, 0.0),
///     normal: DVec3::Z,
///     closure: 0.0,
///     stiffness: 10.0,
///     give: None,
/// };
/// let springs = [corner(3.0, 2.0), corner(3.0, -2.0), corner(-3.0, 2.0), corner(-3.0, -2.0)];
/// let rest = solve(&springs, &[], &force_at(DVec3::new(0.0, 0.0, -100.0), DVec3::ZERO), None);
/// assert_eq!(rest.ending, SolveEnding::Exact);
/// assert!(rest.forces.iter().all(|force| (force - 25.0).abs() < 1e-9));
/// assert!((rest.motion.shift.z + 2.5).abs() < 1e-9);
/// ```
pub fn solve(
    contacts: &[SpringContact],
    supports: &[Support],
    wrench: &Wrench,
    guess: Option<&Equilibrium>,
) -> Equilibrium {
    let law = |contact: usize, _| {
        let give = contacts.get(contact).map_or(f64::INFINITY, |contact| 1.0 / contact.stiffness);
        (give, give)
    };
    Solver::new(contacts.to_vec(), supports.to_vec()).solve(wrench, guess, law)
}

/// Rounds of taking contacts as straight springs at the forces found.
const ROUNDS: usize = 40;

/// Of these the first take the tangents, which comes near the end twice as many digits each time; should they go
/// round in a ring about a contact whose law bends, the rest take secants, which close in steadily.
const TANGENT_ROUNDS: usize = 8;

/// Forces that differ by less than this share of the greatest from what the contacts' laws say are in order.
const LAWFUL: f64 = 1e-10;

/// The springs a rider rests on, made ready for many loads, with the working memory for them.
#[derive(Clone, Debug)]
pub(super) struct Solver {
    contacts: Vec<SpringContact>,
    supports: Vec<Support>,
    rows: Vec<Vector>,
    /// A typical distance, by which turns are scaled so that all five unknowns are lengths (mm).
    reach: f64,
    is_sound: bool,
    work: Work,
}

impl Solver {
    pub(super) fn new(contacts: Vec<SpringContact>, supports: Vec<Support>) -> Self {
        let reach = contacts.iter().map(|c| c.point.length()).fold(1.0, f64::max);
        let rows: Vec<Vector> = contacts.iter().map(|c| row(c, reach)).collect();
        let is_sound = supports.iter().all(Support::is_sound)
            && contacts.iter().zip(&rows).all(|(c, r)| {
                c.closure.is_finite()
                    && c.stiffness.is_finite()
                    && c.stiffness >= 0.0
                    && r.iter().all(|v| v.is_finite())
                    && c.give
                        .is_none_or(|g| g.support < supports.len() && g.per.iter().all(|v| v.is_finite()))
            });
        Self { contacts, supports, rows, reach, is_sound, work: Work::default() }
    }

    /// The same springs on other supports.
    pub(super) fn resting_on(&self, supports: Vec<Support>) -> Self {
        Self::new(self.contacts.clone(), supports)
    }

    /// The springs as they are when nothing presses them.
    pub(super) fn contacts(&self) -> &[SpringContact] {
        &self.contacts
    }

    /// What carries them.
    pub(super) fn supports(&self) -> &[Support] {
        &self.supports
    }

    /// As [`solve`], with contacts whose stiffness depends on what they bear: `law` says what the contact of a number
    /// gives under a force (N) by secant and by tangent (mm/N).
    pub(super) fn solve(
        &mut self,
        wrench: &Wrench,
        guess: Option<&Equilibrium>,
        law: impl Fn(usize, f64) -> (f64, f64),
    ) -> Equilibrium {
        let Self { contacts, supports, rows, reach, is_sound, work } = self;
        let count = contacts.len();
        let (force, moment) = (wrench.force, wrench.moment / *reach);
        let load = Vector::new(force.y, force.z, moment.x, moment.y, moment.z);
        if !(*is_sound && load.iter().all(|v| v.is_finite())) {
            return Equilibrium {
                motion: Motion::default(),
                gives: vec![Vector2::zeros(); supports.len()],
                forces: vec![f64::NAN; count],
                residual: f64::NAN,
                ending: SolveEnding::Invalid,
                free: None,
            };
        }
        let problem = Problem { contacts, supports, rows, load, reach: *reach };
        work.begin(contacts, supports);
        if let Some(known) = guess.filter(|known| known.forces.len() == count) {
            for (number, (spring, force)) in work.springs.iter_mut().zip(&known.forces).enumerate() {
                if force.is_finite() {
                    spring.straighten(*force, law(number, *force));
                }
            }
        }
        problem.start(guess, &mut work.at);
        let mut rest = problem.settle(work);
        for round in 0..ROUNDS {
            if rest.ending != SolveEnding::Exact {
                break;
            }
            let most = work.forces.iter().copied().fold(0.0, f64::max);
            work.laws.clear();
            work.laws.extend(work.forces.iter().enumerate().map(|(number, force)| law(number, *force)));
            let mut wrong = 0.0_f64;
            let found = work.closures.iter().zip(&work.forces).zip(&work.laws);
            for (spring, ((closure, force), (secant, _))) in work.springs.iter().zip(found) {
                wrong = wrong.max(spring.wrong(*closure, *force, *secant));
            }
            if !(wrong > LAWFUL * most) {
                break;
            }
            for ((spring, force), &(secant, tangent)) in
                work.springs.iter_mut().zip(&work.forces).zip(&work.laws)
            {
                spring.straighten(*force, (secant, if round < TANGENT_ROUNDS { tangent } else { secant }));
            }
            rest = problem.settle(work);
        }
        let loose =
            (rest.ending == SolveEnding::Exact && !rest.is_rigid).then(|| problem.loose(work)).flatten();
        let free = rest.free.or(loose).map(Box::new);
        Equilibrium {
            motion: problem.motion_of(&work.at.rider),
            gives: work.at.gives.clone(),
            forces: work.forces.clone(),
            residual: rest.residual,
            ending: rest.ending,
            free,
        }
    }
}

#[cfg(test)]
mod tests {
    use glam::DVec3;

    use super::*;

    /// Four springs under a plate in the plane z = 0, at (±3, ±2), pushing up. With five unknowns and no
    /// motion along x, the plate is laid so that its normal is z.
    fn plate_springs() -> Vec<SpringContact> {
        [(3.0, 2.0), (3.0, -2.0), (-3.0, 2.0), (-3.0, -2.0)]
            .map(|(x, y)| SpringContact {
                point: DVec3::new(x, y, 0.0),
                normal: DVec3::Z,
                closure: 0.0,
                stiffness: 10.0,
                give: None,
            })
            .to_vec()
    }

    fn weight_at(x: f64, y: f64) -> Wrench {
        super::super::force_at(DVec3::new(0.0, 0.0, -100.0), DVec3::new(x, y, 0.0))
    }

    fn near(got: &[f64], expected: &[f64]) {
        for (g, e) in got.iter().zip(expected) {
            assert!((g - e).abs() < 1e-4, "got {got:?}, expected {expected:?}");
        }
    }

    /// Statics of a rigid plate on springs, read and recomputed. Preload makes the springs work both ways:
    /// with 50 N in each, the forces are 50 + (54.1667, 29.1667, 20.8333, −4.1667).
    #[test]
    fn four_springs_that_pull_and_push() {
        // Preload by opposing springs above the plate, of no stiffness share: raise the closure instead
        // and take the preload off the result.
        let mut springs = plate_springs();
        for spring in &mut springs {
            spring.closure = 5.0;
        }
        let mut wrench = weight_at(2.0, 1.0);
        wrench.force.z -= 4.0 * 50.0;
        let got = solve(&springs, &[], &wrench, None);
        assert_eq!(got.ending, SolveEnding::Exact);
        let free: Vec<_> = got.forces.iter().map(|f| f - 50.0).collect();
        near(&free, &[54.1667, 29.1667, 20.8333, -4.1667]);
    }

    /// The same with springs that can only push: the lifted support removed.
    #[test]
    fn four_springs_that_only_push() {
        let got = solve(&plate_springs(), &[], &weight_at(2.0, 1.0), None);
        assert_eq!(got.ending, SolveEnding::Exact);
        near(&got.forces, &[58.3333, 25.0, 16.6667, 0.0]);
        // Sharing by bilinear weights also balances, but is not where springs come to rest.
        assert!((got.forces[0] - 62.5).abs() > 1.0);
        assert!(got.residual < 1e-9);
    }

    #[test]
    fn a_weight_outside_its_supports_is_not_held() {
        let got = solve(&plate_springs(), &[], &weight_at(9.0, 0.0), None);
        assert_eq!(got.ending, SolveEnding::Unrestrained);
        let motion = got.free.unwrap();
        // It tips over the supports at x = +3: turning about +y lowers positive x.
        assert!(motion.turn.y > 0.0, "{motion:?}");
    }

    #[test]
    fn bad_numbers_are_said_to_be_bad() {
        let mut springs = plate_springs();
        springs[1].stiffness = f64::NAN;
        assert_eq!(solve(&springs, &[], &weight_at(0.0, 0.0), None).ending, SolveEnding::Invalid);
        assert_eq!(
            solve(&plate_springs(), &[], &weight_at(f64::INFINITY, 0.0), None).ending,
            SolveEnding::Invalid
        );
        let none = solve(&[], &[], &weight_at(0.0, 0.0), None);
        assert_eq!(none.ending, SolveEnding::Unrestrained);
    }
}
