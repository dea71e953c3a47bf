//! Linear equations made ready for many right sides.

use nalgebra::{DMatrix, DVector};

/// Linear equations, a column of coefficients for each. Equations that others imply, to within rounding, are left out.
#[derive(Clone, Debug)]
pub(crate) struct Equations {
    coefficients: DMatrix<f64>,
    kept: Vec<Equation>,
    /// Of each that is kept the direction: the part of its coefficients square to those before it, of length 1.
    directions: DMatrix<f64>,
}

/// An equation, and the length of the part of its coefficients that is square to those before it.
#[derive(Clone, Copy, Debug)]
struct Equation {
    number: usize,
    size: f64,
}

impl Equations {
    /// From a column of coefficients for each, a row for each unknown.
    pub fn new(coefficients: DMatrix<f64>) -> Self {
        // Gram–Schmidt on the columns, in their order, so that an earlier equation goes before what it implies:
        // Householder's reflections would leave the noise of the implied ones among the directions.
        const IMPLIED: f64 = 1e-9;
        let mut directions = DMatrix::zeros(coefficients.nrows(), coefficients.ncols());
        let mut kept = Vec::with_capacity(coefficients.ncols());
        for (number, column) in coefficients.column_iter().enumerate() {
            let (known, mut fresh) = directions.columns_range_pair_mut(..kept.len(), kept.len());
            fresh.copy_from(&column);
            for _ in 0..2 {
                for direction in known.column_iter() {
                    let part = fresh.dot(&direction);
                    fresh.axpy(-part, &direction, 1.0);
                }
            }
            let size = fresh.norm();
            if size > IMPLIED * column.norm().max(IMPLIED) {
                fresh /= size;
                kept.push(Equation { number, size });
            }
        }
        Self { coefficients, kept, directions }
    }

    /// The coefficients, a column for each equation.
    pub const fn coefficients(&self) -> &DMatrix<f64> {
        &self.coefficients
    }

    /// Takes `x` to the solution nearest to it: x + A(AᵀA)⁻¹(right − Aᵀ·x), `right` for each equation's number.
    pub fn solve(&self, x: &mut DVector<f64>, right: impl Fn(usize) -> f64) {
        for (Equation { number, size }, direction) in self.kept.iter().zip(self.directions.column_iter()) {
            let missing = (right(*number) - self.coefficients.column(*number).dot(x)) / size;
            x.axpy(missing, &direction, 1.0);
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
            let mut x = DVector::from_column_slice(start);
            Equations::new(DMatrix::from_vec(start.len(), rows.len(), rows.concat()))
                .solve(&mut x, |row| right[row]);
            x.data.as_vec().clone()
        };
        assert_eq!(nearest(&[vec![1.0, -1.0]], &[6.0], &[10.0, 10.0]), vec![13.0, 7.0]);
        // As many as unknowns, and one that says the same twice.
        let rows = [vec![2.0, 1.0], vec![1.0, 3.0], vec![3.0, 4.0]];
        let x = nearest(&rows, &[4.0, 7.0, 11.0], &[5.0, -2.0]);
        assert!((x[0] - 1.0).abs() < 1e-12 && (x[1] - 2.0).abs() < 1e-12, "{x:?}");
        assert_eq!(nearest(&[vec![0.0, 0.0]], &[1.0], &[3.0, 4.0]), vec![3.0, 4.0]);
    }
}
