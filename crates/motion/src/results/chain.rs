//! Chains of sizes: why a gap is what it is.

use crate::phrase::{bare, length, phrase};
use crate::{Phrase, Toleranced};

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

impl Chain {
    /// The chain as one line of arithmetic, e.g.
    /// `30.00 track spacing − 2 × (6.50 half wheel + 1.00 shim + 7.71 nut) = −0.42 mm`.
    pub fn sentence(&self) -> Phrase {
        let mut counted: Vec<(&Term, usize)> = Vec::new();
        for term in self.terms.iter().filter(|term| term.sensitivity * term.size.nominal != 0.0) {
            let same = |other: &Term| {
                other.label == term.label
                    && other.size.nominal == term.size.nominal
                    && other.sensitivity == term.sensitivity
            };
            match counted.iter_mut().find(|(other, _)| same(other)) {
                Some((_, count)) => *count += 1,
                None => counted.push((term, 1)),
            }
        }
        let (gives, takes): (Vec<_>, Vec<_>) = counted.iter().partition(|(term, _)| term.sensitivity > 0.0);
        let mut text = Phrase::join(gives.iter().map(|(term, count)| counted_term(term, *count)), " + ");
        let count = takes.first().map_or(0, |(_, count)| *count);
        if takes.len() > 1 && takes.iter().all(|(_, other)| *other == count) {
            let inside = Phrase::join(takes.iter().map(|(term, _)| counted_term(term, 1)), " + ");
            let times = if count > 1 { format!("{count} × ") } else { String::new() };
            text.push(phrase![" − ", times, "(", inside, ")"]);
        } else {
            for (term, count) in &takes {
                text.push(phrase![" − ", counted_term(term, *count)]);
            }
        }
        phrase![text, " = ", length(self.nominal(), 2)]
    }
}

fn counted_term(term: &Term, count: usize) -> Phrase {
    let size = bare((term.sensitivity * term.size.nominal).abs(), 2);
    let times = if count > 1 { format!("{count} × ") } else { String::new() };
    phrase![times, size, " ", &term.label]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn term(label: &str, nominal: f64, half_width: f64, sensitivity: f64) -> Term {
        Term {
            label: label.into(),
            path: String::new(),
            size: Toleranced { nominal, spread: crate::Spread::Uniform { half_width } },
            sensitivity,
        }
    }

    /// Textbook stack of ten parts of ±0.1 (read): worst case 1.0, root of sum of squares 0.3162.
    #[test]
    fn ten_equal_parts() {
        let chain = Chain { terms: (0..10).map(|_| term("part", 1.0, 0.1, 1.0)).collect() };
        assert!((chain.worst_case() - 1.0).abs() < 1e-12);
        assert!((chain.root_sum_square() - 0.316_2).abs() < 5e-5);
    }

    #[test]
    fn reads_as_arithmetic() {
        let mut terms = vec![term("track spacing", 30.0, 0.0, 1.0)];
        for _ in 0..2 {
            terms.extend([
                term("half wheel", 6.5, 0.0, -1.0),
                term("shim", 1.0, 0.0, -1.0),
                term("nut", 7.71, 0.0, -1.0),
            ]);
        }
        let chain = Chain { terms };
        assert_eq!(
            chain.sentence().to_string(),
            "30.00 track spacing − 2 × (6.50 half wheel + 1.00 shim + 7.71 nut) = −0.42 mm"
        );
    }
}
