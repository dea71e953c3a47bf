//! Loads followed from one place to the next.

use super::equilibrium::Equilibrium;
use super::{Motion, RiderLoads, SolveEnding, Wrench};

/// The last loads of a rider along a way, from which the next are guessed: straight on from the last two, where the
/// wrench goes straight on too.
///
/// What is guessed only tells the solver where to start.
#[derive(Clone, Debug, Default)]
pub struct Trail {
    pub(super) last: Option<RiderLoads>,
    before: Option<RiderLoads>,
    ahead: Option<Equilibrium>,
}

/// No further ahead than so many times the way between the last two.
const FAR: f64 = 4.0;

/// A wrench goes straight on if it stands off the line through the last two by less than this share of the way.
const STRAIGHT: f64 = 0.05;

impl Trail {
    /// Where the solver may start under a wrench.
    pub(super) fn ahead(&mut self, wrench: &Wrench) -> Option<&Equilibrium> {
        let last = self.last.as_ref()?;
        let Some((before, share)) =
            self.before.as_ref().and_then(|before| Some((before, straight_on(before, last, wrench)?)))
        else {
            return Some(&last.equilibrium);
        };
        let (old, new) = (&before.equilibrium, &last.equilibrium);
        let ahead = self.ahead.get_or_insert_with(|| new.clone());
        let on = |old: f64, new: f64| new + share * (new - old);
        ahead.motion = Motion {
            shift: new.motion.shift + (new.motion - old.motion).shift * share,
            turn: new.motion.turn + (new.motion - old.motion).turn * share,
        };
        ahead.gives.clear();
        ahead.gives.extend(old.gives.iter().zip(&new.gives).map(|(o, n)| n + (n - o) * share));
        ahead.forces.clear();
        ahead.forces.extend(old.forces.iter().zip(&new.forces).map(|(o, n)| on(*o, *n).max(0.0)));
        Some(ahead)
    }

    /// Remembers what was found, unless it was nothing.
    pub(super) fn keep(&mut self, loads: &RiderLoads) {
        if !loads.equilibrium.residual.is_finite() {
            return;
        }
        std::mem::swap(&mut self.last, &mut self.before);
        match &mut self.last {
            Some(last) => last.copy_from(loads),
            none => *none = Some(loads.clone()),
        }
    }
}

/// How far a wrench lies beyond the last, as a share of the way from the one before it; `None` where it does not lie in
/// line with them.
fn straight_on(before: &RiderLoads, last: &RiderLoads, wrench: &Wrench) -> Option<f64> {
    let exact = |loads: &RiderLoads| loads.equilibrium.ending == SolveEnding::Exact;
    if !(exact(before) && exact(last)) {
        return None;
    }
    let step = |from: &Wrench, to: &Wrench| (to.force - from.force, to.moment - from.moment);
    let (way, next) = (step(&before.wrench, &last.wrench), step(&last.wrench, wrench));
    // What acts along the rail does not count; moments weigh as forces at an arm of 100 mm.
    const ARM: f64 = 100.0;
    let flat = |(force, moment): (glam::DVec3, glam::DVec3)| (force.with_x(0.0), moment / ARM);
    let (way, next) = (flat(way), flat(next));
    let dot = |a: (glam::DVec3, glam::DVec3), b: (glam::DVec3, glam::DVec3)| a.0.dot(b.0) + a.1.dot(b.1);
    let share = dot(way, next) / dot(way, way);
    let off = (next.0 - way.0 * share, next.1 - way.1 * share);
    (share.abs() < FAR && dot(off, off) <= STRAIGHT * STRAIGHT * dot(next, next)).then_some(share)
}

impl RiderLoads {
    /// Takes over another's values into memory of its own that is there already.
    fn copy_from(&mut self, other: &Self) {
        // Every part by name, so that none that is added is forgotten.
        let Self { wheels, shoes, equilibrium, wrench, held } = other;
        let Equilibrium { motion, gives, forces, residual, ending, free } = equilibrium;
        self.wheels.clone_from(wheels);
        self.shoes.clone_from(shoes);
        self.wrench = *wrench;
        self.held = *held;
        let own = &mut self.equilibrium;
        own.gives.clone_from(gives);
        own.forces.clone_from(forces);
        own.free.clone_from(free);
        (own.motion, own.residual, own.ending) = (*motion, *residual, *ending);
    }
}
