//! Small dense linear algebra: a handful of unknowns, solved many times.

/// Columns as an orthonormal basis times an upper triangle.
///
/// Gram–Schmidt done twice, which keeps the basis orthonormal to rounding (Å. Björck, Numerical Methods for
/// Least Squares Problems, 1996, §2.4).
#[derive(Clone, Debug)]
pub(crate) struct ThinQr {
    basis: Vec<Vec<f64>>,
    /// Row by row; entry `[i][j]` for i ≤ j.
    triangle: Vec<Vec<f64>>,
}

impl ThinQr {
    /// `None` when a column lies in the span of those before it, but for `tolerance` of its length.
    pub fn new(columns: &[&[f64]], tolerance: f64) -> Option<Self> {
        let count = columns.len();
        let mut made = Self { basis: Vec::with_capacity(count), triangle: vec![vec![0.0; count]; count] };
        for (number, column) in columns.iter().enumerate() {
            let whole = length(column);
            let (rest, along) = made.split(column);
            let left = length(&rest);
            if !(left > tolerance * whole) {
                return None;
            }
            for (row, share) in along.into_iter().enumerate() {
                made.triangle[row][number] = share;
            }
            made.triangle[number][number] = left;
            made.basis.push(rest.iter().map(|value| value / left).collect());
        }
        Some(made)
    }

    /// What is left of a column beside the basis, and its components in it.
    fn split(&self, column: &[f64]) -> (Vec<f64>, Vec<f64>) {
        let mut rest = column.to_vec();
        let mut along = vec![0.0; self.basis.len()];
        for _ in 0..2 {
            for (direction, sum) in self.basis.iter().zip(&mut along) {
                let part = dot(&rest, direction);
                *sum += part;
                for (value, of) in rest.iter_mut().zip(direction) {
                    *value -= part * of;
                }
            }
        }
        (rest, along)
    }

    /// The x that brings Σ column·x nearest to `right`.
    pub fn solve(&self, right: &[f64]) -> Vec<f64> {
        let (_, along) = self.split(right);
        self.back(along)
    }

    /// Diagonal of (AᵀA)⁻¹: the squares of the rows of the inverse triangle.
    pub fn inverse_normal_diagonal(&self) -> Vec<f64> {
        let count = self.basis.len();
        let mut sums = vec![0.0; count];
        for unit in 0..count {
            let right = (0..count).map(|row| if row == unit { 1.0 } else { 0.0 }).collect();
            for (sum, value) in sums.iter_mut().zip(self.back(right)) {
                *sum += value * value;
            }
        }
        sums
    }

    /// Solves triangle·x = `x` from the last row up.
    fn back(&self, mut x: Vec<f64>) -> Vec<f64> {
        for row in (0..x.len()).rev() {
            let above: f64 = (row + 1..x.len()).map(|column| self.triangle[row][column] * x[column]).sum();
            x[row] = (x[row] - above) / self.triangle[row][row];
        }
        x
    }
}

pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

pub(crate) fn length(column: &[f64]) -> f64 {
    dot(column, column).sqrt()
}

/// Linear equations rows·x = right, made ready for many right sides. Equations that others imply, to within rounding,
/// are left out.
#[derive(Clone, Debug)]
pub(crate) struct Equations {
    unknowns: usize,
    kept: Vec<Equation>,
    /// Of each that is kept its row, then the direction: the part of its row square to the rows before it, of length 1.
    values: Vec<f64>,
}

/// An equation, and the length of the part of its row that is square to the rows before it.
#[derive(Clone, Copy, Debug)]
struct Equation {
    number: usize,
    size: f64,
}

impl Equations {
    /// From rows of so many unknowns each, one after the other.
    pub fn new(rows: &[f64], unknowns: usize) -> Self {
        // Gram–Schmidt on the rows: the change along each new direction is fixed by its own row.
        const IMPLIED: f64 = 1e-9;
        let count = rows.len().checked_div(unknowns).unwrap_or(0);
        let mut made =
            Self { unknowns, kept: Vec::with_capacity(count), values: Vec::with_capacity(2 * rows.len()) };
        for (number, row) in rows.chunks_exact(unknowns.max(1)).enumerate() {
            let before = made.values.len();
            made.values.extend_from_slice(row);
            made.values.extend_from_slice(row);
            let (known, fresh) = made.values.split_at_mut(before);
            let rest = &mut fresh[unknowns..];
            for _ in 0..2 {
                for direction in known.chunks_exact(unknowns).skip(1).step_by(2) {
                    let part = dot(rest, direction);
                    rest.iter_mut().zip(direction).for_each(|(value, of)| *value -= part * of);
                }
            }
            let size = length(rest);
            if size > IMPLIED * length(row).max(IMPLIED) {
                rest.iter_mut().for_each(|value| *value /= size);
                made.kept.push(Equation { number, size });
            } else {
                made.values.truncate(before);
            }
        }
        made
    }

    /// Whether these are the equations of such rows, none left out.
    pub fn are_of(&self, rows: &[f64]) -> bool {
        let unknowns = self.unknowns.max(1);
        rows.len() == self.kept.len() * self.unknowns
            && self
                .values
                .chunks_exact(2 * unknowns)
                .zip(rows.chunks_exact(unknowns))
                .all(|(known, row)| known.get(..row.len()) == Some(row))
    }

    /// Takes `x` to the solution nearest to it: x + Aᵀ(AAᵀ)⁻¹(right − A·x), `right` for each row's number.
    pub fn solve(&self, x: &mut [f64], right: impl Fn(usize) -> f64) {
        for (Equation { number, size }, values) in
            self.kept.iter().zip(self.values.chunks_exact(2 * self.unknowns.max(1)))
        {
            let (row, direction) = values.split_at(self.unknowns);
            let missing = (right(*number) - dot(row, x)) / size;
            for (value, of) in x.iter_mut().zip(direction) {
                *value += missing * of;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nearest_solutions_meet_their_equations() {
        // One equation, two unknowns: T₁ − T₂ = 6 from a pretension of 10 each.
        let nearest = |rows: &[Vec<f64>], right: &[f64], start: &[f64]| {
            let mut x = start.to_vec();
            Equations::new(&rows.concat(), start.len()).solve(&mut x, |row| right[row]);
            x
        };
        assert_eq!(nearest(&[vec![1.0, -1.0]], &[6.0], &[10.0, 10.0]), vec![13.0, 7.0]);
        // As many as unknowns, and one that says the same twice.
        let rows = [vec![2.0, 1.0], vec![1.0, 3.0], vec![3.0, 4.0]];
        let x = nearest(&rows, &[4.0, 7.0, 11.0], &[5.0, -2.0]);
        assert!((x[0] - 1.0).abs() < 1e-12 && (x[1] - 2.0).abs() < 1e-12, "{x:?}");
        assert_eq!(nearest(&[vec![0.0, 0.0]], &[1.0], &[3.0, 4.0]), vec![3.0, 4.0]);
    }

    #[test]
    fn triangles_solve_least_squares() {
        // A straight line through (0, 1), (1, 3), (2, 4): slope 1.5, at 0: 7/6.
        let (ones, x) = ([1.0; 3], [0.0, 1.0, 2.0]);
        let qr = ThinQr::new(&[&ones, &x], 1e-12).unwrap();
        let got = qr.solve(&[1.0, 3.0, 4.0]);
        assert!((got[0] - 7.0 / 6.0).abs() < 1e-12 && (got[1] - 1.5).abs() < 1e-12, "{got:?}");
        // (AᵀA)⁻¹ = [[5, −3], [−3, 3]]/6.
        let diagonal = qr.inverse_normal_diagonal();
        assert!((diagonal[0] - 5.0 / 6.0).abs() < 1e-12 && (diagonal[1] - 0.5).abs() < 1e-12);
        assert!(ThinQr::new(&[&x, &[0.0, 2.0, 4.0]], 1e-9).is_none());
    }
}
