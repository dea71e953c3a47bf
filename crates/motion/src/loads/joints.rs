//! Which clamped axles open under the loads found.

use nalgebra::Vector2;

use super::axle::{Joint, Opening};
use super::contacts::Contact;
use super::equilibrium::Equilibrium;
use super::solve::Solver;
use super::springs::Support;

/// The clamped axles of a rider, one for each support, with the solver for those that were found open last.
#[derive(Clone, Debug)]
pub(super) struct Joints {
    all: Vec<(usize, Option<Joint>)>,
    closed: Vec<Support>,
    relieved: Option<(Vec<bool>, Solver)>,
}

impl Joints {
    /// From the wheel and joint of each support, and the supports with every joint closed.
    pub(super) const fn new(all: Vec<(usize, Option<Joint>)>, closed: Vec<Support>) -> Self {
        Self { all, closed, relieved: None }
    }

    /// The wheel of each support.
    pub(super) fn wheels(&self) -> impl Iterator<Item = usize> {
        self.all.iter().map(|(wheel, _)| *wheel)
    }

    /// From the rest with every joint closed, found by `solver`, to that with the screws alone where joints open, and
    /// how near each joint is to opening. `solve` finds a rest with another solver, starting from one like it.
    ///
    /// A joint that would open closed is open; each round finds one more at least, or ends.
    pub(super) fn settle(
        &mut self,
        contacts: &[Contact],
        solver: &Solver,
        mut rest: Equilibrium,
        solve: impl Fn(&mut Solver, &Equilibrium) -> Equilibrium,
    ) -> (Equilibrium, Vec<Option<Opening>>) {
        let mut found = self.openings(contacts, &rest.forces);
        let mut before = vec![false; found.len()];
        loop {
            let open: Vec<bool> = found.iter().map(|opening| opening.is_some_and(|o| o.is_open())).collect();
            if open == before {
                return (rest, found);
            }
            if self.relieved.as_ref().is_none_or(|(known, _)| *known != open) {
                let supports =
                    self.all.iter().zip(&self.closed).zip(&open).map(|(((_, joint), closed), open)| {
                        joint.as_ref().filter(|_| *open).map_or(*closed, Joint::bare)
                    });
                self.relieved = Some((open.clone(), solver.resting_on(supports.collect())));
            }
            if let Some((_, relieved)) = &mut self.relieved {
                rest = solve(relieved, &rest);
            }
            for (known, fresh) in found.iter_mut().zip(self.openings(contacts, &rest.forces)) {
                if !known.is_some_and(|known| known.is_open()) {
                    *known = fresh;
                }
            }
            before = open;
        }
    }

    /// How near each is to opening under these forces of the contacts (N).
    fn openings(&self, contacts: &[Contact], forces: &[f64]) -> Vec<Option<Opening>> {
        let mut bending = vec![Vector2::zeros(); self.all.len()];
        for (contact, force) in contacts.iter().zip(forces) {
            let Some(give) = contact.spring.give else { continue };
            if let Some(sum) = bending.get_mut(give.support) {
                *sum += give.per * *force;
            }
        }
        let joints = self.all.iter().zip(bending);
        joints.map(|((_, joint), bending)| Some(joint.as_ref()?.opening(bending))).collect()
    }
}
