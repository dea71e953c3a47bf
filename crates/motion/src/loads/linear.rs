//! Small dense systems in the five motions of a rider.

use nalgebra::{Cholesky, FullPivLU, SMatrix, SVector};

/// How many motions a rider is not meant to make: all but that along the rail.
pub(super) const UNKNOWNS: usize = 5;
pub(super) type Vector = SVector<f64, UNKNOWNS>;
pub(super) type Matrix = SMatrix<f64, UNKNOWNS, UNKNOWNS>;

/// Scaled so that the largest part is 1.
pub(super) fn normalised(v: &Vector) -> Vector {
    let most = v.amax();
    if most > 0.0 { v / most } else { *v }
}

/// A symmetric positive semidefinite system, solved.
pub(super) struct Solved {
    /// The shortest x with A·x equal to the right side but for what no x reaches.
    pub(super) x: Vector,
    /// Unit vectors square to each other that A takes to nothing; none for a regular matrix.
    pub(super) null: [Vector; UNKNOWNS],
    /// How many of them count.
    pub(super) nullity: usize,
}

impl Solved {
    pub(super) fn null(&self) -> &[Vector] {
        self.null.get(..self.nullity).unwrap_or_default()
    }
}

/// A pivot this share of the greatest entry of the diagonal tells that a matrix is far from singular.
const PLAIN: f64 = 1e-4;

/// Solves a symmetric positive definite system by Cholesky's factors; `None` for a matrix that is not clearly regular.
pub(super) fn solve_definite(matrix: &Matrix, right: &Vector) -> Option<Vector> {
    let least = PLAIN * matrix.diagonal().max();
    let factors = Cholesky::new(*matrix)?;
    // The pivots of the elimination are the squares of the factor's diagonal.
    let is_regular = factors.l_dirty().diagonal().iter().all(|root| root * root > least);
    is_regular.then(|| factors.solve(right))
}

/// Solves a symmetric positive semidefinite system by elimination with the greatest pivot first, which such a matrix has on
/// its diagonal (Golub & Van Loan, Matrix Computations, §4.2). What is left once the pivots fall below `least` times the
/// first counts as nothing; the motions that belong to it are found by substitution, made square to each other, and
/// kept out of the solution.
pub(super) fn solve_semidefinite(matrix: &Matrix, right: &Vector, least: f64) -> Solved {
    let (rows, lower, upper, columns) = FullPivLU::new(*matrix).unpack();
    let pivot = |k: usize| upper[(k, k)].abs();
    let rank = (0..UNKNOWNS).take_while(|k| pivot(*k) > least * pivot(0) && pivot(*k) > 0.0).count();
    let (lower, leading) = (lower.view((0, 0), (rank, rank)), upper.view((0, 0), (rank, rank)));
    let mut order = SVector::<usize, UNKNOWNS>::from_fn(|i, _| i);
    columns.permute_rows(&mut order);

    // In the order of the motions: that of pivots that are but rounding says nothing.
    let mut null = [Vector::zeros(); UNKNOWNS];
    let mut nullity = 0;
    for free in (0..UNKNOWNS).filter_map(|motion| (rank..UNKNOWNS).find(|k| order[*k] == motion)) {
        let mut vector = Vector::zeros();
        let mut bound = vector.rows_mut(0, rank);
        bound.copy_from(&upper.column(free).rows(0, rank));
        leading.solve_upper_triangular_unchecked_mut(&mut bound);
        vector.neg_mut();
        vector[free] = 1.0;
        columns.inv_permute_rows(&mut vector);
        // Twice, against rounding.
        for _ in 0..2 {
            vector = without(&null[..nullity], vector);
        }
        null[nullity] = vector.normalize();
        nullity += 1;
    }
    let mut x = without(&null[..nullity], *right);
    rows.permute_rows(&mut x);
    let mut bound = x.rows_mut(0, rank);
    lower.solve_lower_triangular_unchecked_mut(&mut bound);
    leading.solve_upper_triangular_unchecked_mut(&mut bound);
    x.rows_mut(rank, UNKNOWNS - rank).fill(0.0);
    columns.inv_permute_rows(&mut x);
    Solved { x: without(&null[..nullity], x), null, nullity }
}

/// What is left of a vector square to some unit vectors.
fn without(known: &[Vector], mut vector: Vector) -> Vector {
    for unit in known {
        vector -= unit * unit.dot(&vector);
    }
    vector
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sums of squares of a few rows: of full rank, and of less. What is found solves the system, the null vectors
    /// come to nothing, and the solution has no part in them.
    #[test]
    fn solutions_are_shortest() {
        let mut seed = 5_u64;
        let mut next = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 11) as f64 / (1_u64 << 53) as f64 - 0.5
        };
        let mut regular = 0;
        for round in 0..500 {
            let rows = round % 7;
            let mut matrix = Matrix::zeros();
            for _ in 0..rows {
                let row = Vector::from_fn(|_, _| next());
                matrix += 1e3 * row * row.transpose();
            }
            let right = matrix * Vector::from_fn(|_, _| next());
            let solved = solve_semidefinite(&matrix, &right, 1e-10);
            if let Some(plain) = solve_definite(&matrix, &right) {
                assert_eq!(solved.nullity, 0);
                assert!((plain - solved.x).amax() < 1e-9, "{plain:?}");
                regular += 1;
            }
            assert_eq!(solved.nullity, UNKNOWNS - rows.min(UNKNOWNS));
            assert!((matrix * solved.x - right).amax() < 1e-6, "{right:?}");
            for (i, null) in solved.null().iter().enumerate() {
                assert!((matrix * null).amax() < 1e-6);
                assert!(null.dot(&solved.x).abs() < 1e-9);
                for (j, other) in solved.null().iter().enumerate() {
                    assert!((null.dot(other) - f64::from(u8::from(i == j))).abs() < 1e-12);
                }
            }
        }
        assert!(regular > 20, "{regular}");
    }
}
