//! Chains of sizes: why a gap is what it is.

use crate::Toleranced;

/// A sum of sizes that makes a result, e.g. 30.00 track spacing − 2 × (6.50 half wheel + …).
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Chain {
    /// The terms, in the order they are met.
    pub terms: Vec<Term>,
}

/// One size in a chain.
#[derive(Clone, Debug, PartialEq)]
pub struct Term {
    /// What the size is, in the words of the person who reads it.
    pub label: String,
    /// Where the document defines it, as a path.
    pub path: String,
    /// The size (mm).
    pub size: Toleranced,
    /// Change of the result per change of the size: +1, −1, −½ …
    pub sensitivity: f64,
}

impl Chain {
    /// The result at nominal sizes (mm).
    pub fn nominal(&self) -> f64 {
        self.terms.iter().map(|t| t.sensitivity * t.size.nominal).sum()
    }

    /// Worst-case half-width: Σ|sᵢ|tᵢ (mm).
    pub fn worst_case(&self) -> f64 {
        self.terms.iter().map(|t| t.sensitivity.abs() * t.size.half_width()).sum()
    }

    /// Root of the sum of squares: √Σ(sᵢtᵢ)² (mm).
    pub fn root_sum_square(&self) -> f64 {
        self.terms.iter().map(|t| (t.sensitivity * t.size.half_width()).powi(2)).sum::<f64>().sqrt()
    }
}
