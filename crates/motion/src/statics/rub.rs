//! The friction of a rider's wheels and shoes, and the search for friction that fits the loads it makes.

use glam::DVec3;
use nalgebra::{DMatrix, DVector};

use crate::loads::Wrench;
use crate::resistance::RiderResistance;

/// Friction of a rider's running gear: how much of it there is, and where it acts.
#[derive(Clone, Debug, Default)]
pub(super) struct Rub {
    pub resistance: RiderResistance,
    /// All of it towards growing x, about the rider's origin.
    pub wrench: Wrench,
}

/// Friction along the rail is three numbers: its sum and its moments about y and z.
pub(super) const NUMBERS: usize = 3;

/// Moments are counted as forces at this arm, so that all numbers are forces (mm).
const ARM: f64 = 100.0;

/// The numbers of a wrench that acts along the rail.
pub(super) fn numbers(wrench: &Wrench) -> [f64; NUMBERS] {
    [wrench.force.x, wrench.moment.y / ARM, wrench.moment.z / ARM]
}

/// The wrench of such numbers.
pub(super) fn wrench(numbers: &[f64]) -> Wrench {
    let at = |index: usize| numbers.get(index).copied().unwrap_or(0.0);
    Wrench { force: DVec3::X * at(0), moment: DVec3::new(0.0, at(1), at(2)) * ARM }
}

/// The greatest of some numbers, either way.
pub(super) fn largest(numbers: &[f64]) -> f64 {
    numbers.iter().fold(0.0, |most, number| number.abs().max(most))
}

/// Steps of the quick search, then of the slow one.
const QUICK: usize = 40;
const SLOW: usize = 120;

/// Share of the way the slow search goes in a step: it closes in wherever one step turns less than six times the last
/// one back.
const DAMPED: f64 = 0.3;

/// Friction that has grown so many times beyond what it was and what acts grows without end.
const ENDLESS: f64 = 1e6;

/// Friction below this share of the forces that act may be off by `same` of it: where friction ends at nothing, no share
/// of itself is small enough.
const FLOOR: f64 = 1e-3;

/// Brings `x`, [`NUMBERS`] for each rider, to where `friction` gives back what it is given, to within `same` of the
/// greatest. `scale` is a force of the size of those that act (N).
///
/// Friction presses the contacts, and what presses them rubs: where a little more friction makes more than as much
/// again there is no such place, and the rider jams. Broyden's method (C. G. Broyden, Math. Comp. 19 (1965) 577) from
/// the plain step; sums never go below 0, as friction never pushes. Where it finds nothing, damped steps either close in
/// or grow beyond all measure.
///
/// # Errors
/// How far each number is from what `friction` makes of it, where no such place is found.
pub(super) fn settle(
    x: &mut [f64],
    scale: f64,
    same: f64,
    mut friction: impl FnMut(&[f64]) -> Vec<f64>,
) -> Result<(), Vec<f64>> {
    let count = x.len();
    let endless = ENDLESS * (scale + largest(x));
    let fits = |at: &DVector<f64>, missed: &DVector<f64>| {
        largest(missed.as_slice()) <= same * (largest(at.as_slice()) + FLOOR * scale)
    };
    let mut miss = |at: &DVector<f64>| DVector::from_vec(friction(at.as_slice())) - at;
    let mut at = DVector::from_column_slice(x);
    let mut missed = miss(&at);
    // Minus the inverse of the slope of what is missed: at first as if friction did not hang on itself.
    let mut inverse = DMatrix::identity(count, count);
    for _ in 0..QUICK {
        if fits(&at, &missed) {
            x.copy_from_slice(at.as_slice());
            return Ok(());
        }
        let mut next = &at + &inverse * &missed;
        next.iter_mut().step_by(NUMBERS).for_each(|sum| *sum = sum.max(0.0));
        if !(largest(next.as_slice()) < endless) {
            break;
        }
        let again = miss(&next);
        let step = &next - &at;
        let change = &again - &missed;
        let turned = &inverse * &change;
        let left = inverse.tr_mul(&step);
        let divisor = left.dot(&change);
        if divisor != 0.0 && divisor.is_finite() {
            inverse.ger(-1.0 / divisor, &(step + turned), &left, 1.0);
        }
        (at, missed) = (next, again);
    }
    at.copy_from_slice(x);
    for _ in 0..SLOW {
        missed = miss(&at);
        if fits(&at, &missed) {
            x.copy_from_slice(at.as_slice());
            return Ok(());
        }
        at.axpy(DAMPED, &missed, 1.0);
        if !(largest(at.as_slice()) < endless) {
            break;
        }
    }
    x.copy_from_slice(at.as_slice());
    Err(missed.data.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Friction that grows in proportion to itself, f = a + λ·f, ends at a/(1 − λ) for every λ below 1, also where it is
    /// turned round, λ = −5; from λ = 1 on there is no end to it (geometric series).
    #[test]
    fn friction_of_friction() {
        for share in [-5.0, -0.9, 0.0, 0.5, 0.99, 0.9999] {
            let mut x = [1.0, 0.0, 0.0];
            let found = settle(&mut x, 1.0, 1e-9, |x| vec![(2.0 + share * x[0]).max(0.0), 0.1 * x[0], 0.0]);
            assert!(found.is_ok(), "{share}");
            assert!((x[0] * (1.0 - share) - 2.0).abs() < 1e-5, "{share} {x:?}");
            assert!((x[1] - 0.1 * x[0]).abs() < 1e-6 * x[0]);
        }
        for share in [1.0, 1.001, 1.5, 8.0, 1e6] {
            let mut x = [1.0, 0.0, 0.0];
            assert!(settle(&mut x, 1.0, 1e-9, |x| vec![2.0 + share * x[0], 0.0, 0.0]).is_err(), "{share}");
        }
    }

    /// Two riders that rub each other's guides, and a kink: checked by putting the answer in.
    #[test]
    fn friction_with_a_kink() {
        let rub = |x: &[f64]| {
            let lift = (x[3] - 1.0).max(0.0);
            vec![1.0 + 0.8 * lift, 0.3 * x[0] - 0.2 * x[4], 0.0, 0.5 + 0.9 * x[0], 0.7 * x[1], 0.1]
        };
        let mut x = [0.0; 6];
        assert!(settle(&mut x, 1.0, 1e-10, rub).is_ok());
        for (x, made) in x.iter().zip(rub(&x)) {
            assert!((x - made).abs() < 1e-8, "{x} {made}");
        }
    }
}
