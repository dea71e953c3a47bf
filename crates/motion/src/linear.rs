//! Small dense linear algebra: a handful of unknowns, solved many times.

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
}
