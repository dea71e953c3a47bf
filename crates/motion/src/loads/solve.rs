//! Equilibrium of a rigid body on springs that can only push.
//!
//! The rest position minimises Φ(ξ) = Σ ½k·max(0, c)² − w·ξ over the five motions a rider is not meant
//! to make, c = c₀ − n·(δ + θ×p) the closure of each contact. Φ is convex and piecewise quadratic, so a
//! Newton step on the contacts that now press, shortened until Φ falls, ends exactly as soon as the set
//! of pressing contacts repeats (semismooth Newton; L. Qi and J. Sun, Math. Program. 58 (1993) 353).

use glam::DVec3;

use super::wrench::{Motion, Wrench};

/// One contact as a spring that can push but not pull.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpringContact {
    /// Where it touches, in the rider frame (mm).
    pub point: DVec3,
    /// Unit direction in which the rail pushes the rider.
    pub normal: DVec3,
    /// Closure at the nominal place (mm): positive when pressed, negative for play.
    pub closure: f64,
    /// Stiffness (N/mm).
    pub stiffness: f64,
}

/// How a solution ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SolveEnding {
    /// At the exact minimum: the set of pressing contacts repeated.
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
    /// Force of each contact (N), in the order given.
    pub forces: Vec<f64>,
    /// What is left unbalanced: force (N), and moment (N·mm) over the reach of the contacts (mm).
    pub residual: f64,
    /// How the solution ended.
    pub ending: SolveEnding,
}

const UNKNOWNS: usize = 5;
type Vector = [f64; UNKNOWNS];
type Matrix = [[f64; UNKNOWNS]; UNKNOWNS];

/// Newton steps before giving up; a rider of eight flanks takes three to six.
const STEP_LIMIT: usize = 60;

/// Below this share of the largest, a stiffness counts as none.
const SINGULAR: f64 = 1e-10;

/// A force this much smaller than the load counts as no push against a free motion.
const NEGLIGIBLE: f64 = 1e-9;

/// Finds where a rider comes to rest under `wrench` (whose force along the rail is not looked at, but
/// whose moments are), starting from `guess`.
pub fn solve(contacts: &[SpringContact], wrench: &Wrench, guess: Option<&Motion>) -> Equilibrium {
    // Turns are scaled by a typical distance so that all five unknowns are lengths.
    let reach = contacts.iter().map(|c| c.point.length()).fold(1.0, f64::max);
    let rows: Vec<Vector> = contacts.iter().map(|c| row(c, reach)).collect();
    let load = [
        wrench.force.y,
        wrench.force.z,
        wrench.moment.x / reach,
        wrench.moment.y / reach,
        wrench.moment.z / reach,
    ];
    let finite = load.iter().all(|v| v.is_finite())
        && contacts.iter().zip(&rows).all(|(c, r)| {
            c.closure.is_finite()
                && c.stiffness.is_finite()
                && c.stiffness >= 0.0
                && r.iter().all(|v| v.is_finite())
        });
    if !finite {
        return Equilibrium {
            motion: Motion::default(),
            forces: vec![f64::NAN; contacts.len()],
            residual: f64::NAN,
            ending: SolveEnding::Invalid,
        };
    }

    let mut at = guess.map_or([0.0; UNKNOWNS], |m| {
        [m.shift.y, m.shift.z, m.turn.x * reach, m.turn.y * reach, m.turn.z * reach]
    });
    let problem = Problem { contacts, rows: &rows, load };
    let mut ending = SolveEnding::LimitReached;
    let mut pressing = problem.pressing(&at);
    for _ in 0..STEP_LIMIT {
        let gradient = problem.gradient(&at);
        let (step, free) = newton_step(&problem.stiffness(&pressing), &gradient, &load);
        if let Some(free) = free {
            // Follow the free motion: either a contact stops it, or nothing does.
            match problem.first_stop(&at, &free) {
                Some(distance) => {
                    at = add(&at, &free, distance);
                    pressing = problem.pressing(&at);
                    continue;
                }
                None => {
                    ending = SolveEnding::Unrestrained(motion_of(&normalised(&free), reach));
                    break;
                }
            }
        }
        let energy = problem.energy(&at);
        let mut share = 1.0;
        let mut next = add(&at, &step, share);
        // Φ is convex, so a Newton direction is one of descent; halve until it falls.
        while problem.energy(&next) > energy && share > 1e-12 {
            share *= 0.5;
            next = add(&at, &step, share);
        }
        at = next;
        let now = problem.pressing(&at);
        if share == 1.0 && now == pressing {
            ending = SolveEnding::Exact;
            break;
        }
        pressing = now;
    }
    let residual = problem.gradient(&at).iter().map(|v| v * v).sum::<f64>().sqrt();
    let scale = load.iter().map(|v| v.abs()).fold(0.0, f64::max)
        + contacts.iter().map(|c| c.stiffness * c.closure.max(0.0)).fold(0.0, f64::max);
    if ending == SolveEnding::LimitReached && residual <= 1e-12 * scale {
        ending = SolveEnding::Exact;
    }
    let forces =
        contacts.iter().zip(&rows).map(|(c, r)| c.stiffness * (c.closure - dot(r, &at)).max(0.0)).collect();
    Equilibrium { motion: motion_of(&at, reach), forces, residual, ending }
}

fn row(contact: &SpringContact, reach: f64) -> Vector {
    let arm = contact.point.cross(contact.normal) / reach;
    [contact.normal.y, contact.normal.z, arm.x, arm.y, arm.z]
}

fn motion_of(at: &Vector, reach: f64) -> Motion {
    Motion { shift: DVec3::new(0.0, at[0], at[1]), turn: DVec3::new(at[2], at[3], at[4]) / reach }
}

fn dot(a: &Vector, b: &Vector) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

fn add(a: &Vector, b: &Vector, factor: f64) -> Vector {
    std::array::from_fn(|i| a[i] + factor * b[i])
}

fn normalised(v: &Vector) -> Vector {
    let most = v.iter().map(|x| x.abs()).fold(0.0, f64::max);
    if most > 0.0 { v.map(|x| x / most) } else { *v }
}

struct Problem<'a> {
    contacts: &'a [SpringContact],
    rows: &'a [Vector],
    load: Vector,
}

impl Problem<'_> {
    fn closures<'s>(&'s self, at: &'s Vector) -> impl Iterator<Item = (usize, f64)> + 's {
        self.contacts.iter().zip(self.rows).enumerate().map(move |(i, (c, r))| (i, c.closure - dot(r, at)))
    }

    fn pressing(&self, at: &Vector) -> Vec<bool> {
        self.closures(at).map(|(_, closure)| closure > 0.0).collect()
    }

    fn energy(&self, at: &Vector) -> f64 {
        self.closures(at)
            .map(|(i, closure)| 0.5 * self.contacts[i].stiffness * closure.max(0.0).powi(2))
            .sum::<f64>()
            - dot(&self.load, at)
    }

    fn gradient(&self, at: &Vector) -> Vector {
        let mut sum = self.load.map(|v| -v);
        for (i, closure) in self.closures(at) {
            if closure > 0.0 {
                sum = add(&sum, &self.rows[i], -self.contacts[i].stiffness * closure);
            }
        }
        sum
    }

    fn stiffness(&self, pressing: &[bool]) -> Matrix {
        let mut sum = [[0.0; UNKNOWNS]; UNKNOWNS];
        for ((contact, row), _) in self.contacts.iter().zip(self.rows).zip(pressing).filter(|(_, on)| **on) {
            for (line, a) in sum.iter_mut().zip(row) {
                for (cell, b) in line.iter_mut().zip(row) {
                    *cell += contact.stiffness * a * b;
                }
            }
        }
        sum
    }

    /// How far the rider can follow `direction` before a contact that does not press yet begins to, and a
    /// little into it so that it counts.
    fn first_stop(&self, at: &Vector, direction: &Vector) -> Option<f64> {
        self.closures(at)
            .filter(|(_, closure)| *closure <= 0.0)
            .filter_map(|(i, closure)| {
                let closing = -dot(&self.rows[i], direction);
                (closing > NEGLIGIBLE && self.contacts[i].stiffness > 0.0)
                    .then(|| (-closure + f64::EPSILON.sqrt()) / closing)
            })
            .min_by(f64::total_cmp)
    }
}

/// The Newton step −H⁻¹g, and a free motion if the load pushes where nothing resists.
fn newton_step(stiffness: &Matrix, gradient: &Vector, load: &Vector) -> (Vector, Option<Vector>) {
    let (values, vectors) = eigen(stiffness);
    let largest = values.iter().copied().fold(0.0, f64::max);
    let push = load.iter().map(|v| v.abs()).fold(0.0, f64::max);
    let mut step = [0.0; UNKNOWNS];
    let mut free = [0.0; UNKNOWNS];
    let mut is_free = false;
    for (value, vector) in values.iter().zip(&vectors) {
        let along = dot(vector, gradient);
        if *value > SINGULAR * largest && *value > 0.0 {
            step = add(&step, vector, -along / value);
        } else if along.abs() > NEGLIGIBLE * push {
            free = add(&free, vector, -along);
            is_free = true;
        }
    }
    (step, is_free.then(|| normalised(&free)))
}

/// Eigenvalues and unit eigenvectors of a symmetric matrix by Jacobi rotations (Golub & Van Loan, Matrix
/// Computations, §8.5).
fn eigen(matrix: &Matrix) -> (Vector, [Vector; UNKNOWNS]) {
    let mut a = *matrix;
    let mut vectors = [[0.0; UNKNOWNS]; UNKNOWNS];
    for (i, vector) in vectors.iter_mut().enumerate() {
        vector[i] = 1.0;
    }
    const SWEEPS: usize = 40;
    for _ in 0..SWEEPS {
        let off: f64 =
            (0..UNKNOWNS).flat_map(|i| (0..i).map(move |j| (i, j))).map(|(i, j)| a[i][j].powi(2)).sum();
        let trace: f64 = (0..UNKNOWNS).map(|i| a[i][i].powi(2)).sum();
        if off <= f64::EPSILON * f64::EPSILON * trace || off == 0.0 {
            break;
        }
        for p in 0..UNKNOWNS {
            for q in p + 1..UNKNOWNS {
                if a[p][q] == 0.0 {
                    continue;
                }
                let theta = 0.5 * (a[q][q] - a[p][p]) / a[p][q];
                let t = theta.signum() / (theta.abs() + theta.hypot(1.0));
                let c = 1.0 / t.hypot(1.0);
                let s = t * c;
                for line in &mut a {
                    let (at_p, at_q) = (line[p], line[q]);
                    line[p] = c * at_p - s * at_q;
                    line[q] = s * at_p + c * at_q;
                }
                let (row_p, row_q) = (a[p], a[q]);
                a[p] = std::array::from_fn(|k| c * row_p[k] - s * row_q[k]);
                a[q] = std::array::from_fn(|k| s * row_p[k] + c * row_q[k]);
                let (vp, vq) = (vectors[p], vectors[q]);
                vectors[p] = std::array::from_fn(|k| c * vp[k] - s * vq[k]);
                vectors[q] = std::array::from_fn(|k| s * vp[k] + c * vq[k]);
            }
        }
    }
    (std::array::from_fn(|i| a[i][i]), vectors)
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
        let got = solve(&springs, &wrench, None);
        assert_eq!(got.ending, SolveEnding::Exact);
        let free: Vec<_> = got.forces.iter().map(|f| f - 50.0).collect();
        near(&free, &[54.1667, 29.1667, 20.8333, -4.1667]);
    }

    /// The same with springs that can only push: the lifted support removed.
    #[test]
    fn four_springs_that_only_push() {
        let got = solve(&plate_springs(), &weight_at(2.0, 1.0), None);
        assert_eq!(got.ending, SolveEnding::Exact);
        near(&got.forces, &[58.3333, 25.0, 16.6667, 0.0]);
        // Sharing by bilinear weights also balances, but is not where springs come to rest.
        assert!((got.forces[0] - 62.5).abs() > 1.0);
        assert!(got.residual < 1e-9);
    }

    #[test]
    fn a_weight_outside_its_supports_is_not_held() {
        let got = solve(&plate_springs(), &weight_at(9.0, 0.0), None);
        let SolveEnding::Unrestrained(motion) = got.ending else { panic!("{:?}", got.ending) };
        // It tips over the supports at x = +3: turning about +y lowers positive x.
        assert!(motion.turn.y > 0.0, "{motion:?}");
    }

    #[test]
    fn bad_numbers_are_said_to_be_bad() {
        let mut springs = plate_springs();
        springs[1].stiffness = f64::NAN;
        assert_eq!(solve(&springs, &weight_at(0.0, 0.0), None).ending, SolveEnding::Invalid);
        assert_eq!(
            solve(&plate_springs(), &weight_at(f64::INFINITY, 0.0), None).ending,
            SolveEnding::Invalid
        );
        let none = solve(&[], &weight_at(0.0, 0.0), None);
        assert!(matches!(none.ending, SolveEnding::Unrestrained(_)));
    }
}
