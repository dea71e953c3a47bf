//! Sizes with a tolerance that the engine meets as plain numbers: what the fixture is with each a little less and a little
//! more.
//!
//! What the engine is given with its tolerance (the pieces of stacks, plates, wheels, mouths) it follows itself; of
//! everything else (places of holes, bodies, idlers, sections, and shared sizes in all of them) the document is worked out
//! twice more, and gaps change by how far the bodies have moved between.

use std::collections::HashSet;
use std::sync::Arc;

use glidewright_motion as motion;

use super::label::label;
use super::{made, measured_sizes};
use crate::document::Document;
use crate::path::join;
use crate::problem::Problem;
use crate::quantity::Quantity;
use crate::values::Values;
use crate::walk::Slot;

/// How far a size is moved to either side, as a share of its tolerance: so near that places go with it in proportion.
const SHARE: f64 = 0.125;

/// Most sizes looked at; a document with more is no one's handwriting.
const MOST: usize = 400;

/// A size with its half-width, in the document's unit for its kind.
struct Candidate {
    path: String,
    is_length: bool,
    half_width: f64,
}

/// The fixture of a sound document with what it is on either side of each such size, if one can be made; adds what is
/// wrong.
pub(super) fn fixture(
    document: &Document,
    values: &Values,
    problems: &mut Vec<Problem>,
) -> Option<motion::Fixture> {
    let candidates = candidates(document, values);
    if candidates.is_empty() {
        return made(document, values, problems);
    }
    let nominal = Arc::new(values.noting());
    let still = made(document, &nominal, problems)?;
    let mut varied = Vec::new();
    let mut left_out = 0;
    for Candidate { path, is_length, half_width } in candidates {
        let is_shared = path.starts_with("sizes/");
        if !is_shared && !nominal.was_asked(&path) {
            continue;
        }
        let step = SHARE * half_width;
        let ends = [-step, step].map(|by| Values::moved(&nominal, document, &path, by));
        if is_shared && !ends.iter().any(|end| end.differs(&nominal)) {
            continue;
        }
        if varied.len() == MOST {
            left_out += 1;
            continue;
        }
        // What is wrong on either side alone is of no one's making.
        let [less, more] = ends.map(|values| made(document, &values, &mut Vec::new()));
        // At the edge of what can be built one side alone tells.
        let (ends, apart) = match (less, more) {
            (Some(less), Some(more)) => ([less, more], 2.0 * step),
            (Some(less), None) => ([less, still.clone()], step),
            (None, Some(more)) => ([still.clone(), more], step),
            (None, None) => continue,
        };
        varied.push(motion::Variation { label: label(&path), path, is_length, half_width, apart, ends });
    }
    if left_out > 0 {
        let message = format!(
            "{left_out} tolerances are left out of gaps: at most {MOST} sizes that move bodies are followed"
        );
        problems
            .push(Problem::warning("sizes", message).remedy("give the sizes that matter least no tolerance"));
    }
    Some(motion::Fixture { variations: varied.into(), ..still })
}

fn candidates(document: &Document, values: &Values) -> Vec<Candidate> {
    let mut found = Vec::new();
    let mut known = HashSet::new();
    let mut add = |path: String, is_length: bool, half_width: f64| {
        if half_width > 0.0 && known.insert(path.clone()) {
            found.push(Candidate { path, is_length, half_width });
        }
    };
    if !document.measured.is_empty() {
        for size in measured_sizes(document) {
            let path = join(&join("parts", &size.part), &size.size);
            add(path, true, size.measured.half_width());
        }
    }
    document.visit(&mut |path, slot| {
        if let Slot::Size(size) = slot
            && size.tolerance().is_some()
            && let Some(value) = values.at(path)
            && let Some(is_length) = is_length(values, path, size.quantity())
        {
            add(path.to_owned(), is_length, value.half_width());
        }
    });
    found
}

/// Whether a size is a length; `None` for one that says neither where something is nor how large.
fn is_length(values: &Values, path: &str, quantity: Quantity) -> Option<bool> {
    match quantity {
        Quantity::Length => Some(true),
        Quantity::Angle | Quantity::Number => Some(false),
        Quantity::Any => {
            let shared = values.shared(path.strip_prefix("sizes/")?)?;
            // A shared number without a unit is one of mm where lengths are made of it.
            Some(Quantity::of_dimension(shared.dimension) != Some(Quantity::Angle))
        }
        _ => None,
    }
}
