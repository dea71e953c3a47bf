//! What the tolerances of sizes do to a gap.

/// The interval of a gap from the tolerances of the sizes that make it.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Tolerance {
    /// Worst-case half-width, all sizes at their worst limits: Σ|sᵢ|tᵢ (mm).
    pub worst: f64,
    /// Root of the sum of squares, sizes varying independently: √Σ(sᵢtᵢ)² (mm).
    pub rss: f64,
    /// What contributes, greatest first.
    pub contributors: Vec<Contributor>,
}

/// One size's part in the tolerance of a gap.
#[derive(Clone, Debug, PartialEq)]
pub struct Contributor {
    /// What the size is, in the words of the person who reads it.
    pub label: String,
    /// Where the document defines it, as a path.
    pub path: String,
    /// Half-width of the size (mm).
    pub half_width: f64,
    /// Change of the gap per change of the size.
    pub sensitivity: f64,
    /// Its share of the worst case (0 to 1).
    pub share_of_worst: f64,
    /// Its share of the sum of squares (0 to 1).
    pub share_of_squares: f64,
}

impl Tolerance {
    /// From label, path, half-width and sensitivity of each size.
    pub(crate) fn of(sizes: Vec<(String, String, f64, f64)>) -> Self {
        let worst = sizes.iter().map(|(.., t, s)| s.abs() * t).fold(0.0, |sum, own| sum + own);
        let squares: f64 = sizes.iter().map(|(.., t, s)| (s * t).powi(2)).fold(0.0, |sum, own| sum + own);
        let mut contributors: Vec<_> = sizes
            .into_iter()
            .filter(|(.., t, s)| s.abs() * t > 0.0)
            .map(|(label, path, half_width, sensitivity)| {
                let own = sensitivity.abs() * half_width;
                Contributor {
                    label,
                    path,
                    half_width,
                    sensitivity,
                    share_of_worst: own / worst,
                    share_of_squares: own * own / squares,
                }
            })
            .collect();
        contributors.sort_by(|a, b| b.share_of_squares.total_cmp(&a.share_of_squares));
        Self { worst, rss: squares.sqrt(), contributors }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stack(half_widths: &[f64]) -> Tolerance {
        Tolerance::of(half_widths.iter().map(|t| ("part".into(), String::new(), *t, 1.0)).collect())
    }

    fn near(got: f64, expected: f64, within: f64) {
        assert!((got - expected).abs() <= within, "got {got}, expected {expected} ± {within}");
    }

    /// Textbook stacks (read): ten parts of ±0.1 give 1.0 and 0.3162; ±0.20, ±0.10, ±0.15 give 0.45 and 0.269 26.
    #[test]
    fn textbook_stacks() {
        let ten = stack(&[0.1; 10]);
        near(ten.worst, 1.0, 1e-12);
        near(ten.rss, 0.316_2, 5e-5);
        let three = stack(&[0.20, 0.10, 0.15]);
        near(three.worst, 0.45, 1e-12);
        near(three.rss, 0.269_26, 5e-6);
        assert_eq!(three.contributors.iter().map(|c| c.half_width).collect::<Vec<_>>(), [0.20, 0.15, 0.10]);
        near(three.contributors.iter().map(|c| c.share_of_squares).sum(), 1.0, 1e-12);
        near(three.contributors.iter().map(|c| c.share_of_worst).sum(), 1.0, 1e-12);
        near(three.contributors[0].share_of_squares, 0.04 / 0.0725, 1e-12);
    }

    /// Chase, Basic Tools for Tolerance Analysis of Mechanical Assemblies (from memory, arithmetic checked), inches:
    /// a gap of seven sizes, worst case 0.0245, root of sum of squares 0.011 08.
    #[test]
    fn chase_stack() {
        let sizes = [
            (-0.0505, 0.0015),
            (8.0, 0.008),
            (-0.5093, 0.0025),
            (0.4, 0.002),
            (-7.711, 0.006),
            (0.4, 0.002),
            (-0.5093, 0.0025),
        ];
        let nominal: f64 = sizes.iter().map(|(n, _)| n).sum();
        near(nominal, 0.0199, 1e-10);
        let tolerance = stack(&sizes.map(|(_, t)| t));
        near(tolerance.worst, 0.0245, 1e-12);
        near(tolerance.rss, 0.011_08, 5e-6);
    }
}
