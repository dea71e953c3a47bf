//! What a sweep is asked.

use glidewright_project::quantity::Quantity;
use glidewright_project::{NumberSize, Problem, nearest};

use super::Sweep;

/// What is swept, and how finely.
#[derive(Clone, Debug, PartialEq)]
pub struct SweepQuestion {
    /// Where the size stands, as a path; the bare name of a shared size will do.
    pub path: String,
    /// The first value, in the size's unit.
    pub from: f64,
    /// The last value, in the size's unit.
    pub to: f64,
    /// How many values, both ends among them.
    pub count: usize,
    /// Whether all values are looked at in passing before they are worked out in full: that shows most of it in a fraction of
    /// the time, and what comes out in the end is the same.
    pub in_passing: bool,
    /// How many builds are made at each value; 0 leaves shares out.
    pub builds: u64,
    /// Where their random numbers begin.
    pub seed: u64,
}

impl SweepQuestion {
    /// How many values are usual.
    pub const USUAL: usize = 101;

    /// The usual question over a range.
    pub fn over(path: impl Into<String>, from: f64, to: f64) -> Self {
        Self { path: path.into(), from, to, count: Self::USUAL, in_passing: false, builds: 0, seed: 0 }
    }

    /// The usual question about a size: from half of what it is to half as much again, or ten of its unit either way of
    /// nothing.
    pub fn about(size: &NumberSize) -> Self {
        let reach = if size.now == 0.0 { 10.0 } else { 0.5 * size.now.abs() };
        Self::over(size.path.clone(), size.now - reach, size.now + reach)
    }

    /// The values, growing evenly from one end to the other.
    pub(super) fn values(&self) -> Vec<f64> {
        let last = self.count.saturating_sub(1).max(1) as f64;
        (0..self.count)
            .map(|number| {
                let share = number as f64 / last;
                // Exact at both ends, and no dust between them.
                let value = self.from * (1.0 - share) + self.to * share;
                (value * 1e9).round() / 1e9
            })
            .collect()
    }

    /// The size that is meant.
    pub(super) fn size<'a>(&self, sizes: &'a [NumberSize]) -> Result<&'a NumberSize, Problem> {
        let shared = format!("sizes/{}", self.path);
        let found = sizes.iter().find(|size| size.path == self.path);
        found.or_else(|| sizes.iter().find(|size| size.path == shared)).ok_or_else(|| {
            let near = nearest(&self.path, sizes.iter().map(|size| size.path.as_str()));
            let remedy = near.map_or_else(
                || "name a size by its path, as `sweep` without a size lists them".to_owned(),
                |near| format!("did you mean “{near}”?"),
            );
            Problem::error(&self.path, "there is no size here that has a value").remedy(remedy)
        })
    }

    /// Whether it can be answered.
    pub(super) fn check(&self, size: &NumberSize) -> Result<(), Problem> {
        let wrong = |message: String, remedy: &str| Err(Problem::error(&size.path, message).remedy(remedy));
        if !(self.from.is_finite() && self.to.is_finite()) {
            return wrong("the range does not end in numbers".to_owned(), "give it two numbers");
        }
        if !(self.from < self.to) {
            return wrong(
                format!("the range from {} to {} holds nothing", self.from, self.to),
                "give the lower end first",
            );
        }
        let most = match size.quantity {
            Quantity::Any => Quantity::Length.most(),
            quantity => quantity.most(),
        };
        if self.from.abs().max(self.to.abs()) > most {
            return wrong(
                format!("no size of this kind on a bench reaches {most} {}", size.unit()),
                "give it a range that means something",
            );
        }
        if !(2..=Sweep::MOST).contains(&self.count) {
            return wrong(
                format!("{} values are none that can be swept", self.count),
                "ask for 2 to 2000 values",
            );
        }
        Ok(())
    }
}
