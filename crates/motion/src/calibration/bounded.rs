//! Linear least squares with bounds, for a handful of unknowns.

use crate::linear::ThinQr;

/// A bounded fit.
#[derive(Clone, Debug, PartialEq)]
pub struct BoundedFit {
    /// The values, in the order of the columns.
    pub values: Vec<f64>,
    /// Their standard errors from the scatter about the fit; `None` at a bound, or when nothing scatters
    /// because there are no more equations than free values.
    pub standard_errors: Vec<Option<f64>>,
    /// Which values ended at a bound.
    pub at_bound: Vec<bool>,
    /// Sum of the squared residuals.
    pub squares: f64,
}

/// Unknowns at most: every choice of bounds is tried.
const MOST: usize = 6;

/// The values x within `bounds` (least, greatest) that make Σ column·x come nearest to `right`.
///
/// Exact: for each choice of unknowns held at a bound the rest is solved without bounds (orthogonal triangle);
/// the problem is convex, so the best choice that stays within the bounds is the answer. With few unknowns
/// that is quicker than an iteration, and ends. Standard errors are those of linear regression on the free
/// unknowns, √(s²·((AᵀA)⁻¹)ᵢᵢ) with s² the squares over the degrees of freedom. `None` for more than six
/// unknowns, columns of unequal length, or numbers that are not finite.
pub fn bounded_least_squares(columns: &[&[f64]], right: &[f64], bounds: &[(f64, f64)]) -> Option<BoundedFit> {
    let (count, rows) = (columns.len(), right.len());
    let usable = count <= MOST
        && bounds.len() == count
        && columns.iter().all(|column| column.len() == rows && column.iter().all(|v| v.is_finite()))
        && right.iter().all(|v| v.is_finite())
        && bounds.iter().all(|(low, high)| low <= high);
    if !usable {
        return None;
    }
    let choices = 3usize.pow(u32::try_from(count).ok()?);
    (0..choices)
        .filter_map(|choice| with_choice(columns, right, bounds, choice))
        .min_by(|a, b| a.squares.total_cmp(&b.squares))
}

/// A value this much (of its size) beyond a bound is at it.
const AT_BOUND: f64 = 1e-12;

/// A column that lies in the span of the others but for this share of its length makes the system singular.
const SINGULAR: f64 = 1e-12;

/// `choice` in base 3: each unknown free, at its lower or at its upper bound.
fn with_choice(
    columns: &[&[f64]],
    right: &[f64],
    bounds: &[(f64, f64)],
    mut choice: usize,
) -> Option<BoundedFit> {
    let mut values = vec![0.0; columns.len()];
    let mut free = Vec::new();
    for (index, (low, high)) in bounds.iter().enumerate() {
        match choice % 3 {
            0 => free.push(index),
            1 => values[index] = *low,
            _ => values[index] = *high,
        }
        choice /= 3;
    }
    if values.iter().any(|value| !value.is_finite()) {
        return None;
    }
    let held = |row: usize, values: &[f64]| columns.iter().zip(values).map(|(c, x)| c[row] * x).sum::<f64>();
    let rest: Vec<f64> = right.iter().enumerate().map(|(row, right)| right - held(row, &values)).collect();
    let mut errors = vec![None; columns.len()];
    if !free.is_empty() {
        let chosen: Vec<&[f64]> = free.iter().map(|index| columns[*index]).collect();
        let parts = ThinQr::new(&chosen, SINGULAR)?;
        for (index, value) in free.iter().zip(parts.solve(&rest)) {
            let (low, high) = bounds[*index];
            let slack = AT_BOUND * value.abs();
            if value < low - slack || value > high + slack {
                return None;
            }
            values[*index] = value.clamp(low, high);
        }
        for (index, variance) in free.iter().zip(parts.inverse_normal_diagonal()) {
            errors[*index] = Some(variance.sqrt());
        }
    }
    let squares: f64 = (0..right.len()).map(|row| (right[row] - held(row, &values)).powi(2)).sum();
    let freedom = right.len().checked_sub(free.len()).filter(|left| *left > 0);
    let scatter = freedom.map(|left| (squares / left as f64).sqrt());
    let standard_errors = errors.iter().map(|error| Some(error.as_ref()? * scatter?)).collect();
    let at_bound = (0..columns.len()).map(|index| !free.contains(&index)).collect();
    Some(BoundedFit { values, standard_errors, at_bound, squares })
}
