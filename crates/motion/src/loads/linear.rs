//! Small dense algebra for the five motions of a rider.

/// How many motions a rider is not meant to make: all but that along the rail.
pub(super) const UNKNOWNS: usize = 5;
pub(super) type Vector = [f64; UNKNOWNS];
pub(super) type Matrix = [[f64; UNKNOWNS]; UNKNOWNS];

pub(super) fn dot(a: &Vector, b: &Vector) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

pub(super) fn add(a: &Vector, b: &Vector, factor: f64) -> Vector {
    std::array::from_fn(|i| a[i] + factor * b[i])
}

/// Scaled so that the largest part is 1.
pub(super) fn normalised(v: &Vector) -> Vector {
    let most = v.iter().map(|x| x.abs()).fold(0.0, f64::max);
    if most > 0.0 { v.map(|x| x / most) } else { *v }
}

/// Solves a symmetric positive definite system by Cholesky factors (Golub & Van Loan, Matrix Computations,
/// §4.2); `None` when a pivot falls below `least` times the largest diagonal: then the matrix is singular, or
/// too near it to tell.
pub(super) fn solve_definite(matrix: &Matrix, right: &Vector, least: f64) -> Option<Vector> {
    let largest = (0..UNKNOWNS).map(|i| matrix[i][i]).fold(0.0, f64::max);
    let mut factor = [[0.0; UNKNOWNS]; UNKNOWNS];
    for i in 0..UNKNOWNS {
        for j in 0..=i {
            let sum: f64 = (0..j).map(|k| factor[i][k] * factor[j][k]).sum();
            let rest = matrix[i][j] - sum;
            if i == j {
                if !(rest > least * largest) {
                    return None;
                }
                factor[i][i] = rest.sqrt();
            } else {
                factor[i][j] = rest / factor[j][j];
            }
        }
    }
    let mut x = *right;
    for i in 0..UNKNOWNS {
        let sum: f64 = (0..i).map(|k| factor[i][k] * x[k]).sum();
        x[i] = (x[i] - sum) / factor[i][i];
    }
    for i in (0..UNKNOWNS).rev() {
        let sum: f64 = (i + 1..UNKNOWNS).map(|k| factor[k][i] * x[k]).sum();
        x[i] = (x[i] - sum) / factor[i][i];
    }
    Some(x)
}

/// Eigenvalues and unit eigenvectors of a symmetric matrix by Jacobi rotations (Golub & Van Loan, Matrix
/// Computations, §8.5).
pub(super) fn eigen(matrix: &Matrix) -> (Vector, [Vector; UNKNOWNS]) {
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
