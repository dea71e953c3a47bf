//! Newton steps of a rider on straight springs that can only push, to the exact minimum; the solver says of what.

use glam::DVec3;
use nalgebra::{Matrix2, SMatrix, Vector2};

use super::equilibrium::{Equilibrium, SolveEnding};
use super::linear::{Matrix, UNKNOWNS, Vector, normalised, solve_definite, solve_semidefinite};
use super::simplex::Simplex;
use super::springs::{SpringContact, Support, inverse};
use super::wrench::Motion;

/// Newton steps before giving up; a rider of eight flanks takes three to six.
const STEP_LIMIT: usize = 100;

/// Below this share of the largest, a stiffness counts as none.
const SINGULAR: f64 = 1e-10;

/// A force this much smaller than the load counts as no push against a free motion.
const NEGLIGIBLE: f64 = 1e-9;

/// What is left unbalanced may be this share of the forces in play: their sums' rounding.
const BALANCED: f64 = 1e-13;

/// A contact as a straight spring along its law's tangent.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spring {
    closure: f64,
    stiffness: f64,
    /// How much further it is closed than the contact is.
    pub(super) offset: f64,
}

impl Spring {
    /// Its force at a closure.
    fn force(&self, closure: f64) -> f64 {
        self.stiffness * closure.max(0.0)
    }

    /// Takes the contact along the tangent of its law at a force, given what it gives there by secant and by tangent.
    pub(super) fn straighten(&mut self, force: f64, (secant, tangent): (f64, f64)) {
        let fresh = force * (tangent - secant);
        let fresh = if fresh.is_finite() { fresh } else { 0.0 };
        self.closure += fresh - self.offset;
        self.offset = fresh;
        self.stiffness = 1.0 / tangent;
    }

    /// By how much its force at a closure misses what the law says of it (N), given the law's secant give there.
    pub(super) fn wrong(&self, closure: f64, force: f64, secant: f64) -> f64 {
        ((closure - self.offset).max(0.0) - secant * force).abs() * self.stiffness
    }
}

/// Working memory of a solver.
#[derive(Clone, Debug, Default)]
pub(super) struct Work {
    pub(super) springs: Vec<Spring>,
    /// Where it is, the next step, and the slope of Φ.
    pub(super) at: State,
    step: State,
    slope: State,
    pub(super) closures: Vec<f64>,
    /// What each contact bears where the last steps ended (N).
    pub(super) forces: Vec<f64>,
    /// What each gives there by its law: by secant and by tangent (mm/N).
    pub(super) laws: Vec<(f64, f64)>,
    pressing: Vec<bool>,
    blocks: Vec<Condensed>,
    /// How fast each contact closes along a step.
    rates: Vec<f64>,
    bends: Vec<(f64, usize, f64)>,
}

impl Work {
    pub(super) fn begin(&mut self, contacts: &[SpringContact], supports: &[Support]) {
        self.springs.clear();
        self.springs.extend(contacts.iter().map(|contact| Spring {
            closure: contact.closure,
            stiffness: contact.stiffness,
            offset: 0.0,
        }));
        self.closures.clear();
        self.closures.resize(contacts.len(), 0.0);
        self.pressing.clear();
        self.pressing.resize(contacts.len(), false);
        for state in [&mut self.at, &mut self.step, &mut self.slope] {
            state.rider = Vector::zeros();
            state.gives.clear();
            state.gives.resize(supports.len(), Vector2::zeros());
        }
    }
}

/// How the iteration ended.
pub(super) struct Rest {
    pub(super) residual: f64,
    pub(super) ending: SolveEnding,
    /// The motion that the load drives and nothing resists.
    pub(super) free: Option<Motion>,
    /// The contacts that press were seen to resist every motion.
    pub(super) is_rigid: bool,
}

/// A place of the rider, turns scaled to lengths, and of its supports.
#[derive(Clone, Debug, Default)]
pub(super) struct State {
    pub(super) rider: Vector,
    pub(super) gives: Vec<Vector2<f64>>,
}

impl State {
    fn advance(&mut self, step: &Self, share: f64) {
        self.rider += step.rider * share;
        for (v, d) in self.gives.iter_mut().zip(&step.gives) {
            *v += d * share;
        }
    }
}

/// Springs under a load.
pub(super) struct Problem<'a> {
    pub(super) contacts: &'a [SpringContact],
    pub(super) supports: &'a [Support],
    pub(super) rows: &'a [Vector],
    pub(super) load: Vector,
    pub(super) reach: f64,
}

impl Problem<'_> {
    pub(super) fn start(&self, guess: Option<&Equilibrium>, at: &mut State) {
        let Some(guess) = guess.filter(|g| g.gives.len() == self.supports.len()) else { return };
        let rider = guess.motion.scaled(self.reach);
        if rider.iter().chain(guess.gives.iter().flatten()).all(|v| v.is_finite()) {
            at.rider = rider;
            at.gives.copy_from_slice(&guess.gives);
        }
    }

    /// Newton steps from where the work is until the set of pressing contacts stays as it is.
    pub(super) fn settle(&self, work: &mut Work) -> Rest {
        self.look(work);
        // Contacts that just touch count as pressing until the first step says otherwise.
        for (presses, closure) in work.pressing.iter_mut().zip(&work.closures) {
            *presses = *closure >= 0.0;
        }
        let (mut ending, mut driven) = (SolveEnding::LimitReached, None);
        let mut residual = f64::INFINITY;
        let mut is_rigid = false;
        let scale = self.scale(&work.springs);
        for _ in 0..STEP_LIMIT {
            self.find_slope(work);
            residual = self.norm(&work.slope);
            // Contacts that just touch may come and go by rounding for ever: what is in balance is at rest.
            if residual <= BALANCED * scale {
                ending = SolveEnding::Exact;
                break;
            }
            match self.newton_step(work, scale) {
                Ok(resisted) => is_rigid = resisted,
                // Follow the free motion: either a contact stops it, or nothing does.
                Err(free) => match self.first_stop(work, &free) {
                    Some(distance) => {
                        work.at.rider += free * distance;
                        self.look(work);
                        is_rigid = false;
                        continue;
                    }
                    None => {
                        (ending, driven) = (SolveEnding::Unrestrained, Some(free));
                        break;
                    }
                },
            }
            // Falling without end means that nothing stops it.
            let Some(share) = self.best_share(work) else { break };
            work.at.advance(&work.step, share);
            let stays = self.look(work);
            is_rigid &= stays;
            if stays && (share - 1.0).abs() < 1e-9 {
                self.find_slope(work);
                residual = self.norm(&work.slope);
                ending = SolveEnding::Exact;
                break;
            }
        }
        if ending == SolveEnding::LimitReached
            && let Some(free) = self.escape(&work.springs)
        {
            (ending, driven) = (SolveEnding::Unrestrained, Some(free));
        }
        let Work { springs, closures, forces, .. } = work;
        forces.clear();
        forces.extend(springs.iter().zip(closures).map(|(spring, closure)| spring.force(*closure)));
        let free = driven.map(|free| self.motion_of(&normalised(&free)));
        Rest { residual, ending, free, is_rigid }
    }

    /// Looks how far the contacts are closed and which press; whether the same ones do as before.
    fn look(&self, work: &mut Work) -> bool {
        let mut same = true;
        let Work { springs, at, closures, pressing, .. } = work;
        let seen = closures.iter_mut().zip(pressing);
        for (((closure, presses), spring), opening) in seen.zip(springs).zip(self.openings(at)) {
            *closure = spring.closure - opening;
            let now = *closure > 0.0;
            same &= now == *presses;
            *presses = now;
        }
        same
    }

    pub(super) fn motion_of(&self, at: &Vector) -> Motion {
        Motion { shift: DVec3::new(0.0, at[0], at[1]), turn: DVec3::new(at[2], at[3], at[4]) / self.reach }
    }

    /// The forces in play, against which rounding is judged (N).
    fn scale(&self, springs: &[Spring]) -> f64 {
        self.load.amax() + springs.iter().map(|spring| spring.force(spring.closure)).fold(0.0, f64::max)
    }

    /// How far each contact opens as the state goes `along`.
    fn openings(&self, along: &State) -> impl Iterator<Item = f64> {
        self.contacts.iter().zip(self.rows).map(|(contact, row)| {
            let own = row.dot(&along.rider);
            match contact.give.and_then(|give| Some((give.per, along.gives.get(give.support)?))) {
                Some((per, v)) => own + per.dot(v),
                None => own,
            }
        })
    }

    /// Slope of Φ.
    fn find_slope(&self, work: &mut Work) {
        let Work { springs, at, slope, closures, .. } = work;
        slope.rider = -self.load;
        for ((support, v), g) in self.supports.iter().zip(&at.gives).zip(&mut slope.gives) {
            *g = support.stiffness * v;
        }
        for ((contact, row), (spring, closure)) in
            self.contacts.iter().zip(self.rows).zip(springs.iter().zip(closures.iter()))
        {
            if *closure > 0.0 {
                let force = spring.stiffness * closure;
                slope.rider -= row * force;
                if let Some(give) = contact.give {
                    slope.gives[give.support] -= give.per * force;
                }
            }
        }
    }

    /// Size of what is unbalanced (N).
    fn norm(&self, slope: &State) -> f64 {
        let own = slope.rider.norm_squared();
        let gives: f64 = slope.gives.iter().map(|g| g[0].powi(2) + (g[1] / self.reach).powi(2)).sum();
        (own + gives).sqrt()
    }

    /// The rider's stiffness on its pressing contacts with the supports' give eliminated, and the slope that
    /// goes with it; what was eliminated stays in the work's blocks.
    fn condensed(&self, work: &mut Work) -> (Matrix, Vector) {
        let Work { springs, slope, pressing, blocks, .. } = work;
        let mut matrix = Matrix::zeros();
        let mut right = slope.rider;
        blocks.clear();
        blocks.extend(
            self.supports.iter().map(|support| Condensed { own: support.stiffness, cross: Cross::zeros() }),
        );
        let contacts = self.contacts.iter().zip(self.rows).zip(springs.iter().zip(pressing.iter()));
        for ((contact, row), (spring, _)) in contacts.filter(|(_, (_, presses))| **presses) {
            let stiff = row * spring.stiffness;
            matrix += stiff * row.transpose();
            let Some(give) = contact.give else { continue };
            let Some(block) = blocks.get_mut(give.support) else { continue };
            let per = give.per.transpose();
            block.own += give.per * spring.stiffness * per;
            block.cross += stiff * per;
        }
        for (block, g) in blocks.iter_mut().zip(&slope.gives) {
            block.own = inverse(&block.own);
            let through = block.cross * block.own;
            matrix -= through * block.cross.transpose();
            right -= through * g;
        }
        (matrix, right)
    }

    /// The Newton step −H⁻¹g into the work, and whether every motion is resisted; or a free motion if the load pushes
    /// where nothing resists.
    fn newton_step(&self, work: &mut Work, push: f64) -> Result<bool, Vector> {
        let (matrix, right) = self.condensed(work);
        let (rider, resisted) = step_of(&matrix, &right, push)?;
        work.step.rider = rider;
        for ((v, block), g) in work.step.gives.iter_mut().zip(&work.blocks).zip(&work.slope.gives) {
            *v = -block.own * (g + block.cross.tr_mul(&rider));
        }
        Ok(resisted)
    }

    /// A motion that no contact resists, however far it goes: the pressing ones not at all, and no other comes to
    /// press by it. What another contact stops is play.
    pub(super) fn loose(&self, work: &mut Work) -> Option<Motion> {
        let (matrix, _) = self.condensed(work);
        let solved = solve_semidefinite(&matrix, &Vector::zeros(), SINGULAR);
        solved.null().iter().find_map(|vector| {
            [1.0, -1.0]
                .map(|sign| vector * sign)
                .into_iter()
                .find(|way| self.first_stop(work, way).is_none())
                .map(|way| self.motion_of(&normalised(&way)))
        })
    }

    /// A motion that opens or keeps every contact and lets the load do work, if there is one: then, and only then,
    /// no pushing forces balance the load (Farkas' lemma).
    fn escape(&self, springs: &[Spring]) -> Option<Vector> {
        let contacts = self.rows.iter().zip(springs).filter(|(_, spring)| spring.stiffness > 0.0);
        let opening = contacts.map(|(row, _)| (-row, 0.0));
        let bounds = (0..UNKNOWNS).flat_map(|i| [1.0, -1.0].map(|sign| (Vector::ith(i, sign), 1.0)));
        let (work, motion) = Simplex::new(opening.chain(bounds)).most(&self.load)?;
        let push = self.load.amax();
        (work > NEGLIGIBLE * push).then_some(motion)
    }

    /// How far the rider can follow `direction` before a contact that does not press yet begins to, and a
    /// little into it so that it counts.
    fn first_stop(&self, work: &Work, direction: &Vector) -> Option<f64> {
        let contacts = self.rows.iter().zip(&work.springs).zip(&work.closures);
        contacts
            .filter(|(_, closure)| **closure <= 0.0)
            .filter_map(|((row, spring), closure)| {
                let closing = -row.dot(direction);
                (closing > NEGLIGIBLE && spring.stiffness > 0.0)
                    .then(|| (-closure + f64::EPSILON.sqrt()) / closing)
            })
            .min_by(f64::total_cmp)
    }

    /// The share of the step at which Φ is least along it. Its slope there grows piecewise linearly, bending
    /// where a contact begins or ceases to press. `None` when it falls without end.
    fn best_share(&self, work: &mut Work) -> Option<f64> {
        let Work { springs, at, step, closures, pressing, rates, bends, .. } = work;
        rates.clear();
        rates.extend(self.openings(step).map(|opening| -opening));
        // Where nothing bends on the way, the step has been made for what is least.
        let mut ways = closures.iter().zip(rates.iter()).zip(pressing.iter());
        if ways.all(|((closure, rate), presses)| {
            *presses == (*closure > 0.0 || (*closure == 0.0 && *rate > 0.0))
                && *presses == (closure + rate > 0.0)
        }) {
            return Some(1.0);
        }
        let mut slope = -self.load.dot(&step.rider);
        let mut growth = 0.0;
        for ((support, v), d) in self.supports.iter().zip(&at.gives).zip(&step.gives) {
            let stiff = support.stiffness * d;
            slope += v.dot(&stiff);
            growth += d.dot(&stiff);
        }
        bends.clear();
        let mut nearest = f64::INFINITY;
        for (i, ((spring, closure), &rate)) in
            springs.iter().zip(closures.iter()).zip(rates.iter()).enumerate()
        {
            let presses = *closure > 0.0 || (*closure == 0.0 && rate > 0.0);
            if presses {
                slope += spring.stiffness * closure * rate;
                growth += spring.stiffness * rate * rate;
            }
            let meets = -closure / rate;
            if meets > 0.0 && meets.is_finite() && (presses == (rate < 0.0)) {
                nearest = nearest.min(meets);
                bends.push((meets, i, rate));
            }
        }
        let first_growth = growth;
        if !(growth > 0.0 && slope + growth * nearest >= 0.0) {
            bends.sort_by(|a, b| a.0.total_cmp(&b.0));
            for &(meets, i, rate) in bends.iter() {
                if growth > 0.0 && slope + growth * meets >= 0.0 {
                    break;
                }
                let change = springs[i].stiffness * rate * rate;
                let sign = if rate > 0.0 { 1.0 } else { -1.0 };
                growth += sign * change;
                slope -= sign * change * meets;
            }
        }
        if slope >= 0.0 {
            // Already at rest along the step, but for rounding.
            return Some(1.0);
        }
        // Once every contact has let go, what is left of the growth is rounding.
        (growth > SINGULAR * first_growth).then(|| -slope / growth)
    }
}

/// The step in the motions that are resisted and whether they all are, or else the motion that is not although the
/// load drives it; `push` is the size of the forces in play (N).
fn step_of(matrix: &Matrix, right: &Vector, push: f64) -> Result<(Vector, bool), Vector> {
    let wanted = -right;
    if let Some(x) = solve_definite(matrix, &wanted) {
        return Ok((x, true));
    }
    let solved = solve_semidefinite(matrix, &wanted, SINGULAR);
    if solved.null().is_empty() {
        return Ok((solved.x, true));
    }
    let mut free = Vector::zeros();
    let mut is_free = false;
    for vector in solved.null() {
        let along = vector.dot(right);
        if along.abs() > NEGLIGIBLE * push {
            free -= vector * along;
            is_free = true;
        }
    }
    if is_free { Err(normalised(&free)) } else { Ok((solved.x, false)) }
}

/// What is left of a support when its give is eliminated.
#[derive(Clone, Debug)]
struct Condensed {
    /// Its stiffness with the contacts on it, later the inverse of that.
    own: Matrix2<f64>,
    cross: Cross,
}

/// The stiffness that ties a support's shift and its turn to the rider's motions.
type Cross = SMatrix<f64, UNKNOWNS, 2>;
