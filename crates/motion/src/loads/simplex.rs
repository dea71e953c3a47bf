//! A small dense linear program: max c·x with A·x ≤ b, b ≥ 0, over the five motions of a rider.
//!
//! Dictionary form of the simplex method with Bland's rule, which cannot cycle (R. G. Bland, Math. Oper. Res. 2
//! (1977) 103). Every x is free and stands as the difference of two that are not negative. Since x = 0 is
//! allowed, the slacks are a first basis, and the basis of one objective starts the next.

use nalgebra::SVector;

use super::linear::{UNKNOWNS, Vector};

const COLUMNS: usize = 2 * UNKNOWNS;
type Row = SVector<f64, COLUMNS>;

/// Coefficients of rows scaled to the order of 1 below this are rounding.
const NOTHING: f64 = 1e-11;

/// Pivots before giving up: far above what a few dozen rows need.
const PIVOT_LIMIT: usize = 10_000;

/// A point that exceeds a limit by more than this share of the sizes at hand is rounding's, that of many pivots.
const DRIFT: f64 = 1e-7;

/// The region A·x ≤ b.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Simplex {
    /// `basic = right − Σ row·nonbasic`.
    rows: Vec<Row>,
    right: Vec<f64>,
    /// Variables 0 to 4 are x⁺, 5 to 9 x⁻, then the slacks.
    basic: Vec<usize>,
    nonbasic: [usize; COLUMNS],
    /// The rows and limits as they were given.
    given: Vec<(Vector, f64)>,
}

impl Simplex {
    /// The region of these rows and limits; a limit below 0 is taken as 0.
    pub(super) fn new(rows: impl Iterator<Item = (Vector, f64)>) -> Self {
        Self::from_rows(rows.map(|(row, limit)| (row, limit.max(0.0))).collect())
    }

    fn from_rows(given: Vec<(Vector, f64)>) -> Self {
        let row = |row: &Vector| Row::from_fn(|i, _| if i < UNKNOWNS { row[i] } else { -row[i - UNKNOWNS] });
        Self {
            rows: given.iter().map(|(own, _)| row(own)).collect(),
            right: given.iter().map(|(_, limit)| *limit).collect(),
            basic: (COLUMNS..COLUMNS + given.len()).collect(),
            nonbasic: std::array::from_fn(|i| i),
            given,
        }
    }

    /// The greatest c·x and where it is reached; `None` when there is no bound.
    pub(super) fn most(&mut self, objective: &Vector) -> Option<(f64, Vector)> {
        // Every answer starts from the last, and rounding adds up: what cannot be is sought anew.
        let found = self.sought(objective);
        if found.as_ref().is_some_and(|(_, place)| self.holds(place)) {
            return found;
        }
        *self = Self::from_rows(std::mem::take(&mut self.given));
        self.sought(objective)
    }

    /// Whether a place keeps to the limits as they were given.
    fn holds(&self, place: &Vector) -> bool {
        self.given.iter().all(|(row, limit)| {
            let terms = row.component_mul(place);
            terms.sum() <= limit + DRIFT * (1.0 + limit + terms.abs().sum())
        })
    }

    fn sought(&mut self, objective: &Vector) -> Option<(f64, Vector)> {
        let of = |variable: usize| {
            if variable < UNKNOWNS {
                objective[variable]
            } else if variable < COLUMNS {
                -objective[variable - UNKNOWNS]
            } else {
                0.0
            }
        };
        let mut cost = Row::from_fn(|i, _| of(self.nonbasic[i]));
        for (row, variable) in self.rows.iter().zip(&self.basic) {
            let own = of(*variable);
            if own != 0.0 {
                cost -= row * own;
            }
        }
        let size = objective.amax();
        for _ in 0..PIVOT_LIMIT {
            let entering =
                (0..COLUMNS).filter(|i| cost[*i] > NOTHING * size).min_by_key(|i| self.nonbasic[*i]);
            let Some(column) = entering else {
                let x = self.place();
                return Some((x.dot(objective), x));
            };
            let mut leaving: Option<(f64, usize)> = None;
            for (number, row) in self.rows.iter().enumerate() {
                if row[column] <= NOTHING {
                    continue;
                }
                let ratio = self.right[number] / row[column];
                let better = leaving.is_none_or(|(least, other)| {
                    ratio < least || (ratio == least && self.basic[number] < self.basic[other])
                });
                if better {
                    leaving = Some((ratio, number));
                }
            }
            let (_, row) = leaving?;
            self.pivot(row, column, &mut cost);
        }
        None
    }

    fn pivot(&mut self, row: usize, column: usize, cost: &mut Row) {
        let factor = 1.0 / self.rows[row][column];
        let mut pivot = self.rows[row] * factor;
        pivot[column] = factor;
        let right = self.right[row] * factor;
        for number in (0..self.rows.len()).filter(|number| *number != row) {
            let a = self.rows[number][column];
            if a != 0.0 {
                self.rows[number] -= pivot * a;
                self.rows[number][column] = -a * factor;
                self.right[number] = (self.right[number] - a * right).max(0.0);
            }
        }
        let c = cost[column];
        *cost -= pivot * c;
        cost[column] = -c * factor;
        self.rows[row] = pivot;
        self.right[row] = right;
        std::mem::swap(&mut self.basic[row], &mut self.nonbasic[column]);
    }

    fn place(&self) -> Vector {
        let mut x = Vector::zeros();
        for (variable, value) in self.basic.iter().zip(&self.right) {
            if *variable < UNKNOWNS {
                x[*variable] += value;
            } else if *variable < COLUMNS {
                x[*variable - UNKNOWNS] -= value;
            }
        }
        x
    }
}
