//! Equilibrium of a rigid body on springs that can only push.
//!
//! The rest position minimises Φ(ξ, v) = Σ ½k·max(0, c)² + Σ ½vᵀKv − w·ξ over the five motions ξ a rider is
//! not meant to make and the give v of what carries its contacts (an axle that bends), with
//! c = c₀ − n·(δ + θ×p) − g·v the closure of each contact. Φ is convex and piecewise quadratic. A Newton step
//! on the contacts that now press, its length found exactly, ends at the exact minimum as soon as a full step
//! leaves the set of pressing contacts as it was (semismooth Newton; L. Qi and J. Sun, Math. Program. 58
//! (1993) 353). The give of each support is eliminated before each step (Schur complement).

use glam::DVec3;

use super::linear::{Matrix, Solved, UNKNOWNS, Vector, add, dot, normalised, solve_semidefinite};
use super::simplex::Simplex;
use super::springs::{SpringContact, Support};
use super::wrench::{Motion, Wrench};

/// How a solution ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SolveEnding {
    /// At the exact minimum: a full step left the set of pressing contacts as it was.
    Exact,
    /// The contacts cannot carry the load: the rider is free to move as given (largest part scaled to 1).
    Unrestrained(Motion),
    /// The iteration limit was reached; the residual says how good it is.
    LimitReached,
    /// The input is not finite.
    Invalid,
}

/// A rider at rest on its contacts.
#[derive(Clone, Debug, PartialEq)]
pub struct Equilibrium {
    /// Small motion off the nominal place.
    pub motion: Motion,
    /// Give of each support: shift (mm) and turn (rad).
    pub gives: Vec<[f64; 2]>,
    /// Force of each contact (N), in the order given.
    pub forces: Vec<f64>,
    /// What is left unbalanced: force (N), and moment (N·mm) over the reach of the contacts (mm).
    pub residual: f64,
    /// How the solution ended.
    pub ending: SolveEnding,
    /// A motion that nothing resists although the load does not drive it (largest part scaled to 1).
    pub loose: Option<Motion>,
}

impl Equilibrium {
    /// Whether every motion but that along the rail is held.
    pub fn is_held(&self) -> bool {
        self.ending == SolveEnding::Exact && self.loose.is_none()
    }
}

/// Newton steps before giving up; a rider of eight flanks takes three to six.
const STEP_LIMIT: usize = 100;

/// Below this share of the largest, a stiffness counts as none.
const SINGULAR: f64 = 1e-10;

/// A force this much smaller than the load counts as no push against a free motion.
const NEGLIGIBLE: f64 = 1e-9;

/// What is left unbalanced may be this share of the forces in play: their sums' rounding.
const BALANCED: f64 = 1e-13;

/// Finds where a rider comes to rest under `wrench` (whose force along the rail is not looked at, but
/// whose moments are), starting from `guess`, a solution for a load near this one.
pub fn solve(
    contacts: &[SpringContact],
    supports: &[Support],
    wrench: &Wrench,
    guess: Option<&Equilibrium>,
) -> Equilibrium {
    let law = |contact: usize, _| {
        let stiffness = contacts.get(contact).map_or(0.0, |contact| contact.stiffness);
        (stiffness, stiffness)
    };
    solve_softening(contacts.to_vec(), supports, wrench, guess, law)
}

/// Rounds of taking contacts as straight springs at the forces found.
const ROUNDS: usize = 40;

/// Of these the first take the tangents, which comes near the end twice as many digits each time; should they go
/// round in a ring about a contact whose law bends, the rest take secants, which close in steadily.
const TANGENT_ROUNDS: usize = 8;

/// Forces that differ by less than this share of the greatest from what the contacts' laws say are in order.
const LAWFUL: f64 = 1e-10;

/// The same with contacts whose stiffness depends on what they bear: `law` gives the secant and the tangent
/// stiffness (N/mm) for the contact of a number under a force (N).
pub(super) fn solve_softening(
    contacts: Vec<SpringContact>,
    supports: &[Support],
    wrench: &Wrench,
    guess: Option<&Equilibrium>,
    law: impl Fn(usize, f64) -> (f64, f64),
) -> Equilibrium {
    let count = contacts.len();
    let Some(mut problem) = Problem::new(contacts, supports, wrench) else {
        return Equilibrium {
            motion: Motion::default(),
            gives: vec![[0.0; 2]; supports.len()],
            forces: vec![f64::NAN; count],
            residual: f64::NAN,
            ending: SolveEnding::Invalid,
            loose: None,
        };
    };
    // How much further each contact is closed, as a straight spring along its law's tangent, than it is.
    let mut offsets = vec![0.0; count];
    if let Some(known) = guess.filter(|known| known.forces.len() == count) {
        for (number, force) in known.forces.iter().enumerate().filter(|(_, force)| force.is_finite()) {
            problem.straighten(number, *force, law(number, *force), &mut offsets);
        }
    }
    let mut rest = problem.settle(problem.start(guess));
    for round in 0..ROUNDS {
        if rest.ending != SolveEnding::Exact {
            break;
        }
        let most = rest.forces.iter().copied().fold(0.0, f64::max);
        let mut wrong = 0.0_f64;
        for number in 0..count {
            let (Some(force), Some(closure), Some(offset)) =
                (rest.forces.get(number), rest.closures.get(number), offsets.get(number))
            else {
                continue;
            };
            let (secant, tangent) = law(number, *force);
            wrong = wrong.max((secant * (closure - offset).max(0.0) - force).abs());
            let tangent = if round < TANGENT_ROUNDS { tangent } else { secant };
            problem.straighten(number, *force, (secant, tangent), &mut offsets);
        }
        if !(wrong > LAWFUL * most) {
            break;
        }
        rest = problem.settle(rest.at);
    }
    let loose = (rest.ending == SolveEnding::Exact && !rest.is_rigid)
        .then(|| problem.loose(&rest.pressing, &rest.closures))
        .flatten();
    Equilibrium {
        motion: problem.motion_of(&rest.at.rider),
        gives: rest.at.gives,
        forces: rest.forces,
        residual: rest.residual,
        ending: rest.ending,
        loose,
    }
}

/// Where the iteration ended.
struct Rest {
    at: State,
    pressing: Vec<bool>,
    closures: Vec<f64>,
    forces: Vec<f64>,
    residual: f64,
    ending: SolveEnding,
    /// The contacts that press were seen to resist every motion.
    is_rigid: bool,
}

/// A place of the rider, turns scaled to lengths, and of its supports.
struct State {
    rider: Vector,
    gives: Vec<[f64; 2]>,
}

impl State {
    fn advance(&mut self, step: &Self, share: f64) {
        self.rider = add(&self.rider, &step.rider, share);
        for (v, d) in self.gives.iter_mut().zip(&step.gives) {
            *v = [v[0] + share * d[0], v[1] + share * d[1]];
        }
    }
}

enum Newton {
    /// The step, and whether every motion is resisted.
    Step(State, bool),
    Free(Vector),
}

struct Problem<'a> {
    contacts: Vec<SpringContact>,
    supports: &'a [Support],
    rows: Vec<Vector>,
    load: Vector,
    /// A typical distance, by which turns are scaled so that all five unknowns are lengths (mm).
    reach: f64,
}

impl<'a> Problem<'a> {
    fn new(contacts: Vec<SpringContact>, supports: &'a [Support], wrench: &Wrench) -> Option<Self> {
        let reach = contacts.iter().map(|c| c.point.length()).fold(1.0, f64::max);
        let rows: Vec<Vector> = contacts.iter().map(|c| row(c, reach)).collect();
        let load = [
            wrench.force.y,
            wrench.force.z,
            wrench.moment.x / reach,
            wrench.moment.y / reach,
            wrench.moment.z / reach,
        ];
        let sound = load.iter().all(|v| v.is_finite())
            && supports.iter().all(Support::is_sound)
            && contacts.iter().zip(&rows).all(|(c, r)| {
                c.closure.is_finite()
                    && c.stiffness.is_finite()
                    && c.stiffness >= 0.0
                    && r.iter().all(|v| v.is_finite())
                    && c.give
                        .is_none_or(|g| g.support < supports.len() && g.per.iter().all(|v| v.is_finite()))
            });
        sound.then_some(Self { contacts, supports, rows, load, reach })
    }

    fn start(&self, guess: Option<&Equilibrium>) -> State {
        let rest = State { rider: [0.0; UNKNOWNS], gives: vec![[0.0; 2]; self.supports.len()] };
        let Some(guess) = guess.filter(|g| g.gives.len() == self.supports.len()) else { return rest };
        let Motion { shift, turn } = guess.motion;
        let rider = [shift.y, shift.z, turn.x * self.reach, turn.y * self.reach, turn.z * self.reach];
        let state = State { rider, gives: guess.gives.clone() };
        let finite = state.rider.iter().chain(state.gives.iter().flatten()).all(|v| v.is_finite());
        if finite { state } else { rest }
    }

    /// Takes a contact as a straight spring along the tangent of its law at a force.
    fn straighten(&mut self, number: usize, force: f64, (secant, tangent): (f64, f64), offsets: &mut [f64]) {
        let (Some(contact), Some(offset)) = (self.contacts.get_mut(number), offsets.get_mut(number)) else {
            return;
        };
        let fresh = force / tangent - force / secant;
        let fresh = if fresh.is_finite() { fresh } else { 0.0 };
        contact.closure += fresh - *offset;
        *offset = fresh;
        contact.stiffness = tangent;
    }

    /// Newton steps from `at` until the set of pressing contacts stays as it is.
    fn settle(&self, mut at: State) -> Rest {
        let mut closures = self.closures(&at);
        // Contacts that just touch count as pressing until the first step says otherwise.
        let mut pressing: Vec<bool> = closures.iter().map(|closure| *closure >= 0.0).collect();
        let mut ending = SolveEnding::LimitReached;
        let mut residual = f64::INFINITY;
        let mut is_rigid = false;
        for _ in 0..STEP_LIMIT {
            let slope = self.slope(&at, &closures);
            residual = self.norm(&slope);
            // Contacts that just touch may come and go by rounding for ever: what is in balance is at rest.
            if residual <= BALANCED * self.scale() {
                ending = SolveEnding::Exact;
                break;
            }
            let step = match self.newton_step(&pressing, &slope) {
                Newton::Step(step, resisted) => {
                    is_rigid = resisted;
                    step
                }
                // Follow the free motion: either a contact stops it, or nothing does.
                Newton::Free(free) => match self.first_stop(&closures, &free) {
                    Some(distance) => {
                        at.rider = add(&at.rider, &free, distance);
                        self.look(&at, &mut closures, &mut pressing);
                        is_rigid = false;
                        continue;
                    }
                    None => {
                        ending = SolveEnding::Unrestrained(self.motion_of(&normalised(&free)));
                        break;
                    }
                },
            };
            // Falling without end means that nothing stops it.
            let Some(share) = self.best_share(&at, &closures, &step) else { break };
            at.advance(&step, share);
            let stays = self.look(&at, &mut closures, &mut pressing);
            is_rigid &= stays;
            if stays && (share - 1.0).abs() < 1e-9 {
                residual = self.norm(&self.slope(&at, &closures));
                ending = SolveEnding::Exact;
                break;
            }
        }
        if ending == SolveEnding::LimitReached
            && let Some(free) = self.escape()
        {
            ending = SolveEnding::Unrestrained(self.motion_of(&normalised(&free)));
        }
        let forces = closures.iter().zip(&self.contacts).map(|(c, k)| k.stiffness * c.max(0.0)).collect();
        Rest { at, pressing, closures, forces, residual, ending, is_rigid }
    }

    /// Looks which contacts press at `at`; whether they are the same as before.
    fn look(&self, at: &State, closures: &mut [f64], pressing: &mut [bool]) -> bool {
        let mut same = true;
        for (number, (closure, presses)) in closures.iter_mut().zip(pressing).enumerate() {
            *closure = self.contacts[number].closure - self.opening(number, at);
            let now = *closure > 0.0;
            same &= now == *presses;
            *presses = now;
        }
        same
    }

    fn motion_of(&self, at: &Vector) -> Motion {
        Motion { shift: DVec3::new(0.0, at[0], at[1]), turn: DVec3::new(at[2], at[3], at[4]) / self.reach }
    }

    /// The forces in play, against which rounding is judged (N).
    fn scale(&self) -> f64 {
        self.load.iter().map(|v| v.abs()).fold(0.0, f64::max)
            + self.contacts.iter().map(|c| c.stiffness * c.closure.max(0.0)).fold(0.0, f64::max)
    }

    /// How fast a contact closes as state `along` grows, with its sign turned.
    fn opening(&self, contact: usize, along: &State) -> f64 {
        let own = dot(&self.rows[contact], &along.rider);
        self.contacts[contact].give.map_or(own, |give| {
            let v = along.gives[give.support];
            own + give.per[0] * v[0] + give.per[1] * v[1]
        })
    }

    fn closures(&self, at: &State) -> Vec<f64> {
        self.contacts.iter().enumerate().map(|(i, c)| c.closure - self.opening(i, at)).collect()
    }

    /// Slope of Φ.
    fn slope(&self, at: &State, closures: &[f64]) -> State {
        let mut rider = self.load.map(|v| -v);
        let mut gives: Vec<[f64; 2]> =
            self.supports.iter().zip(&at.gives).map(|(support, v)| times(&support.stiffness, v)).collect();
        for ((contact, row), closure) in self.contacts.iter().zip(&self.rows).zip(closures) {
            if *closure > 0.0 {
                let force = contact.stiffness * closure;
                rider = add(&rider, row, -force);
                if let Some(give) = contact.give {
                    let slot = &mut gives[give.support];
                    slot[0] -= force * give.per[0];
                    slot[1] -= force * give.per[1];
                }
            }
        }
        State { rider, gives }
    }

    /// Size of what is unbalanced (N).
    fn norm(&self, slope: &State) -> f64 {
        let own = dot(&slope.rider, &slope.rider);
        let gives: f64 = slope.gives.iter().map(|g| g[0].powi(2) + (g[1] / self.reach).powi(2)).sum();
        (own + gives).sqrt()
    }

    /// The rider's stiffness on its pressing contacts with the supports' give eliminated, and the slope that
    /// goes with it.
    fn condensed(&self, pressing: &[bool], slope: &State) -> (Matrix, Vector, Vec<Condensed>) {
        let mut matrix = [[0.0; UNKNOWNS]; UNKNOWNS];
        let mut right = slope.rider;
        let mut blocks: Vec<Condensed> = self
            .supports
            .iter()
            .map(|support| Condensed { own: support.stiffness, cross: [[0.0; 2]; UNKNOWNS] })
            .collect();
        for ((contact, row), _) in self.contacts.iter().zip(&self.rows).zip(pressing).filter(|(_, on)| **on) {
            for (line, a) in matrix.iter_mut().zip(row) {
                for (cell, b) in line.iter_mut().zip(row) {
                    *cell += contact.stiffness * a * b;
                }
            }
            let Some(give) = contact.give else { continue };
            let block = &mut blocks[give.support];
            for (i, p) in give.per.iter().enumerate() {
                for (j, q) in give.per.iter().enumerate() {
                    block.own[i][j] += contact.stiffness * p * q;
                }
                for (line, a) in block.cross.iter_mut().zip(row) {
                    line[i] += contact.stiffness * a * p;
                }
            }
        }
        for (block, g) in blocks.iter_mut().zip(&slope.gives) {
            let inverse = inverse(&block.own);
            let through: [[f64; 2]; UNKNOWNS] = std::array::from_fn(|i| {
                std::array::from_fn(|j| (0..2).map(|k| block.cross[i][k] * inverse[k][j]).sum())
            });
            for ((line, right), own) in matrix.iter_mut().zip(&mut right).zip(&through) {
                for (cell, cross) in line.iter_mut().zip(&block.cross) {
                    *cell -= own[0] * cross[0] + own[1] * cross[1];
                }
                *right -= own[0] * g[0] + own[1] * g[1];
            }
            block.own = inverse;
        }
        (matrix, right, blocks)
    }

    /// The Newton step −H⁻¹g, or a free motion if the load pushes where nothing resists.
    fn newton_step(&self, pressing: &[bool], slope: &State) -> Newton {
        let (matrix, right, blocks) = self.condensed(pressing, slope);
        let (rider, resisted) = match self.step_of(&matrix, &right) {
            Ok(found) => found,
            Err(free) => return Newton::Free(free),
        };
        let gives = blocks
            .iter()
            .zip(&slope.gives)
            .map(|(block, g)| {
                let rest: [f64; 2] = std::array::from_fn(|i| {
                    -g[i] - (0..UNKNOWNS).map(|k| block.cross[k][i] * rider[k]).sum::<f64>()
                });
                times(&block.own, &rest)
            })
            .collect();
        Newton::Step(State { rider, gives }, resisted)
    }

    /// The step in the motions that are resisted and whether they all are, or else the motion that is not although the
    /// load drives it.
    fn step_of(&self, matrix: &Matrix, right: &Vector) -> Result<(Vector, bool), Vector> {
        let solved = solve_semidefinite(matrix, &right.map(|v| -v), SINGULAR);
        if solved.null().is_empty() {
            return Ok((solved.x, true));
        }
        let push = self.scale();
        let mut free = [0.0; UNKNOWNS];
        let mut is_free = false;
        for vector in solved.null() {
            let along = dot(vector, right);
            if along.abs() > NEGLIGIBLE * push {
                free = add(&free, vector, -along);
                is_free = true;
            }
        }
        if is_free { Err(normalised(&free)) } else { Ok((solved.x, false)) }
    }

    /// A motion that no contact resists, however far it goes: the pressing ones not at all, and no other comes to
    /// press by it. What another contact stops is play.
    fn loose(&self, pressing: &[bool], closures: &[f64]) -> Option<Motion> {
        let nothing = State { rider: [0.0; UNKNOWNS], gives: vec![[0.0; 2]; self.supports.len()] };
        let (matrix, _, _) = self.condensed(pressing, &nothing);
        let solved: Solved = solve_semidefinite(&matrix, &[0.0; UNKNOWNS], SINGULAR);
        solved.null().iter().find_map(|vector| {
            [1.0, -1.0]
                .map(|sign| vector.map(|v| sign * v))
                .into_iter()
                .find(|way| self.first_stop(closures, way).is_none())
                .map(|way| self.motion_of(&normalised(&way)))
        })
    }

    /// A motion that opens or keeps every contact and lets the load do work, if there is one: then, and only then,
    /// no pushing forces balance the load (Farkas' lemma).
    fn escape(&self) -> Option<Vector> {
        let contacts = self.rows.iter().zip(&self.contacts).filter(|(_, c)| c.stiffness > 0.0);
        let opening = contacts.map(|(row, _)| (row.map(|a| -a), 0.0));
        let bounds = (0..UNKNOWNS).flat_map(|i| {
            [1.0, -1.0].map(|sign| (std::array::from_fn(|k| if k == i { sign } else { 0.0 }), 1.0))
        });
        let (work, motion) = Simplex::new(opening.chain(bounds)).most(&self.load)?;
        let push = self.load.iter().map(|v| v.abs()).fold(0.0, f64::max);
        (work > NEGLIGIBLE * push).then_some(motion)
    }

    /// How far the rider can follow `direction` before a contact that does not press yet begins to, and a
    /// little into it so that it counts.
    fn first_stop(&self, closures: &[f64], direction: &Vector) -> Option<f64> {
        closures
            .iter()
            .enumerate()
            .filter(|(_, closure)| **closure <= 0.0)
            .filter_map(|(i, closure)| {
                let closing = -dot(&self.rows[i], direction);
                (closing > NEGLIGIBLE && self.contacts[i].stiffness > 0.0)
                    .then(|| (-closure + f64::EPSILON.sqrt()) / closing)
            })
            .min_by(f64::total_cmp)
    }

    /// The share of `step` at which Φ is least along it. Its slope there grows piecewise linearly, bending
    /// where a contact begins or ceases to press. `None` when it falls without end.
    fn best_share(&self, at: &State, closures: &[f64], step: &State) -> Option<f64> {
        let mut slope = -dot(&self.load, &step.rider);
        let mut growth = 0.0;
        for ((support, v), d) in self.supports.iter().zip(&at.gives).zip(&step.gives) {
            let stiff = times(&support.stiffness, d);
            slope += v[0] * stiff[0] + v[1] * stiff[1];
            growth += d[0] * stiff[0] + d[1] * stiff[1];
        }
        let mut bends: Vec<(f64, usize, f64)> = Vec::new();
        for (i, closure) in closures.iter().enumerate() {
            let rate = -self.opening(i, step);
            let stiffness = self.contacts[i].stiffness;
            let presses = *closure > 0.0 || (*closure == 0.0 && rate > 0.0);
            if presses {
                slope += stiffness * closure * rate;
                growth += stiffness * rate * rate;
            }
            let meets = -closure / rate;
            if meets > 0.0 && meets.is_finite() && (presses == (rate < 0.0)) {
                bends.push((meets, i, rate));
            }
        }
        let first_growth = growth;
        bends.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (meets, i, rate) in bends {
            if growth > 0.0 && slope + growth * meets >= 0.0 {
                break;
            }
            let change = self.contacts[i].stiffness * rate * rate;
            let sign = if rate > 0.0 { 1.0 } else { -1.0 };
            growth += sign * change;
            slope -= sign * change * meets;
        }
        if slope >= 0.0 {
            // Already at rest along the step, but for rounding.
            return Some(1.0);
        }
        // Once every contact has let go, what is left of the growth is rounding.
        (growth > SINGULAR * first_growth).then(|| -slope / growth)
    }
}

/// What is left of a support when its give is eliminated.
struct Condensed {
    /// Its stiffness with the contacts on it, later the inverse of that.
    own: [[f64; 2]; 2],
    /// The stiffness that ties it to the rider's motions.
    cross: [[f64; 2]; UNKNOWNS],
}

pub(super) fn row(contact: &SpringContact, reach: f64) -> Vector {
    let arm = contact.point.cross(contact.normal) / reach;
    [contact.normal.y, contact.normal.z, arm.x, arm.y, arm.z]
}

fn times(m: &[[f64; 2]; 2], v: &[f64; 2]) -> [f64; 2] {
    [m[0][0] * v[0] + m[0][1] * v[1], m[1][0] * v[0] + m[1][1] * v[1]]
}

fn inverse(m: &[[f64; 2]; 2]) -> [[f64; 2]; 2] {
    Support::from_compliance(*m).stiffness
}

#[cfg(test)]
mod tests {
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
        let SolveEnding::Unrestrained(motion) = got.ending else { panic!("{:?}", got.ending) };
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
        assert!(matches!(none.ending, SolveEnding::Unrestrained(_)));
    }
}
