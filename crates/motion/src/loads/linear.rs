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

/// Solves a symmetric positive definite system by L·D·Lᵀ without exchanging rows (Golub & Van Loan, Matrix
/// Computations, §4.1); `None` for a matrix that is not clearly regular.
pub(super) fn solve_definite(matrix: &Matrix, right: &Vector) -> Option<Vector> {
    let most = (0..UNKNOWNS).map(|i| matrix[i][i]).fold(0.0, f64::max);
    let mut a = *matrix;
    let mut x = *right;
    for k in 0..UNKNOWNS {
        let pivot = a[k][k];
        if !(pivot > PLAIN * most) {
            return None;
        }
        let inverse = 1.0 / pivot;
        let (above, top) = (a[k], x[k]);
        for (i, line) in a.iter_mut().enumerate().skip(k + 1) {
            let share = above[i] * inverse;
            for (cell, other) in line.iter_mut().zip(&above).skip(i) {
                *cell -= share * other;
            }
            x[i] -= share * top;
        }
        a[k][k] = inverse;
    }
    for k in (0..UNKNOWNS).rev() {
        let after: f64 = (k + 1..UNKNOWNS).map(|j| a[k][j] * x[j]).sum();
        x[k] = (x[k] - after) * a[k][k];
    }
    Some(x)
}

/// Solves a symmetric positive semidefinite system by Cholesky factors with the greatest pivot first (Golub & Van
/// Loan, Matrix Computations, §4.2). What is left once the pivots fall below `least` times the first counts as
/// nothing; the motions that belong to it are found by substitution, made square to each other, and kept out of
/// the solution.
pub(super) fn solve_semidefinite(matrix: &Matrix, right: &Vector, least: f64) -> Solved {
    let mut a = *matrix;
    let mut order: [usize; UNKNOWNS] = std::array::from_fn(|i| i);
    let mut rank = UNKNOWNS;
    let mut first = 0.0;
    for k in 0..UNKNOWNS {
        let pivot = (k..UNKNOWNS).fold(k, |best, i| if a[i][i] > a[best][best] { i } else { best });
        let size = a[pivot][pivot];
        if k == 0 {
            first = size;
        }
        if !(size > least * first && size > 0.0) {
            rank = k;
            break;
        }
        if pivot != k {
            a.swap(pivot, k);
            for line in &mut a {
                line.swap(pivot, k);
            }
            order.swap(pivot, k);
        }
        let root = size.sqrt();
        a[k][k] = root;
        let mut column = [0.0; UNKNOWNS];
        for (line, value) in a.iter_mut().zip(&mut column).skip(k + 1) {
            line[k] /= root;
            *value = line[k];
        }
        for line in a.iter_mut().skip(k + 1) {
            let own = line[k];
            for (cell, other) in line.iter_mut().zip(&column).skip(k + 1) {
                *cell -= own * other;
            }
        }
    }
    // Solves Lᵀ·x = x for the leading part.
    let back = |x: &mut Vector| {
        for i in (0..rank).rev() {
            let below: f64 = (i + 1..rank).map(|k| a[k][i] * x[k]).sum();
            x[i] = (x[i] - below) / a[i][i];
        }
    };
    let mut null = [[0.0; UNKNOWNS]; UNKNOWNS];
    let mut nullity = 0;
    for free in rank..UNKNOWNS {
        let mut x = [0.0; UNKNOWNS];
        for (i, value) in x.iter_mut().enumerate().take(rank) {
            *value = -a[free][i];
        }
        back(&mut x);
        x[free] = 1.0;
        let mut vector = [0.0; UNKNOWNS];
        for (place, value) in order.iter().zip(x) {
            vector[*place] = value;
        }
        // Twice, against rounding.
        for _ in 0..2 {
            for known in &null[..nullity] {
                vector = add(&vector, known, -dot(&vector, known));
            }
        }
        let length = dot(&vector, &vector).sqrt();
        null[nullity] = vector.map(|v| v / length);
        nullity += 1;
    }
    let clean = |mut v: Vector| {
        for known in &null[..nullity] {
            v = add(&v, known, -dot(&v, known));
        }
        v
    };
    let reached = clean(*right);
    let mut x: Vector = std::array::from_fn(|i| reached[order[i]]);
    for i in 0..rank {
        let before: f64 = (0..i).map(|k| a[i][k] * x[k]).sum();
        x[i] = (x[i] - before) / a[i][i];
    }
    for value in &mut x[rank..] {
        *value = 0.0;
    }
    back(&mut x);
    let mut solution = [0.0; UNKNOWNS];
    for (place, value) in order.iter().zip(x) {
        solution[*place] = value;
    }
    Solved { x: clean(solution), null, nullity }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn times(matrix: &Matrix, x: &Vector) -> Vector {
        std::array::from_fn(|i| dot(&matrix[i], x))
    }

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
            let mut matrix = [[0.0; UNKNOWNS]; UNKNOWNS];
            for _ in 0..rows {
                let row: Vector = std::array::from_fn(|_| next());
                for (line, a) in matrix.iter_mut().zip(row) {
                    for (cell, b) in line.iter_mut().zip(row) {
                        *cell += 1e3 * a * b;
                    }
                }
            }
            let right = times(&matrix, &std::array::from_fn(|_| next()));
            let solved = solve_semidefinite(&matrix, &right, 1e-10);
            if let Some(plain) = solve_definite(&matrix, &right) {
                assert_eq!(solved.nullity, 0);
                assert!(plain.iter().zip(solved.x).all(|(p, x)| (p - x).abs() < 1e-9), "{plain:?}");
                regular += 1;
            }
            assert_eq!(solved.nullity, UNKNOWNS - rows.min(UNKNOWNS));
            for (got, wanted) in times(&matrix, &solved.x).iter().zip(right) {
                assert!((got - wanted).abs() < 1e-6, "{got} {wanted}");
            }
            for (i, null) in solved.null().iter().enumerate() {
                assert!(times(&matrix, null).iter().all(|v| v.abs() < 1e-6));
                assert!(dot(null, &solved.x).abs() < 1e-9);
                for (j, other) in solved.null().iter().enumerate() {
                    assert!((dot(null, other) - f64::from(u8::from(i == j))).abs() < 1e-12);
                }
            }
        }
        assert!(regular > 20, "{regular}");
    }
}
