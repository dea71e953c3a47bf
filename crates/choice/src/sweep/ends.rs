//! Where something begins or ceases to be wrong: by halving on the full analysis.

use super::Point;
use super::figures::{Figures, Trouble};

/// A value at which something begins or ceases to be wrong as the size grows.
#[derive(Clone, Debug, PartialEq)]
pub struct End {
    /// The last value that was found to be as below, and the first as above: they lie no farther apart than 1e-4 of the size's
    /// unit.
    pub between: (f64, f64),
    /// What is wrong below it and no more above.
    pub ceases: Vec<Trouble>,
    /// What is wrong above it and not below.
    pub begins: Vec<Trouble>,
    /// Why no fixture can be made just below or above it, where it can be on the other side.
    pub impossible: [Option<String>; 2],
}

impl End {
    /// The value, halfway between those it lies between.
    pub fn value(&self) -> f64 {
        0.5 * (self.between.0 + self.between.1)
    }
}

type Outcome = Result<Figures, String>;

/// Two neighbouring values at which not the same is wrong.
pub(super) struct Stretch {
    low: (f64, Outcome),
    high: (f64, Outcome),
}

/// Ends lie no farther apart than this, in the size's unit.
const NARROW: f64 = 1e-4;

/// The stretches between values at whose ends not the same is wrong.
pub(super) fn turns(points: &[&Point]) -> Vec<Stretch> {
    let differ = |pair: &&[&Point]| matches!(pair, [a, b] if !is_same(&a.outcome, &b.outcome));
    points
        .windows(2)
        .filter(differ)
        .filter_map(|pair| {
            let [low, high] = pair else { return None };
            let of = |point: &Point| (point.value, point.outcome.clone());
            Some(Stretch { low: of(low), high: of(high) })
        })
        .collect()
}

fn is_same(a: &Outcome, b: &Outcome) -> bool {
    match (a, b) {
        (Ok(a), Ok(b)) => beyond(a, b).is_empty() && beyond(b, a).is_empty(),
        (Err(_), Err(_)) => true,
        _ => false,
    }
}

/// What is wrong in the first and not in the second.
fn beyond(a: &Figures, b: &Figures) -> Vec<Trouble> {
    let is_new = |trouble: &&Trouble| !b.troubles.iter().any(|known| known.is_same(trouble));
    a.troubles.iter().filter(is_new).cloned().collect()
}

/// The ends within a stretch: it is halved, and the halves whose ends differ again, until they are narrow.
pub(super) fn search(stretch: &Stretch, outcome: &mut dyn FnMut(f64) -> Outcome) -> Vec<End> {
    let mut found = Vec::new();
    let mut open = vec![(stretch.low.clone(), stretch.high.clone())];
    while let Some((low, high)) = open.pop() {
        if is_same(&low.1, &high.1) {
            continue;
        }
        let middle = 0.5 * (low.0 + high.0);
        if high.0 - low.0 <= NARROW || !(low.0 < middle && middle < high.0) {
            found.push(end(&low, &high));
            continue;
        }
        let middle = (middle, outcome(middle));
        open.push((middle.clone(), high));
        open.push((low, middle));
    }
    found
}

fn end(low: &(f64, Outcome), high: &(f64, Outcome)) -> End {
    let (ceases, begins) = match (&low.1, &high.1) {
        (Ok(low), Ok(high)) => (beyond(low, high), beyond(high, low)),
        _ => (Vec::new(), Vec::new()),
    };
    let why = |outcome: &Outcome| outcome.as_ref().err().cloned();
    End { between: (low.0, high.0), ceases, begins, impossible: [why(&low.1), why(&high.1)] }
}
