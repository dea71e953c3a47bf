//! Sizes that come out otherwise from build to build, and what of the fixture goes with each.
//!
//! Each is moved to both its limits and the document worked out anew: what the engine is given with its tolerance is told
//! size by size, as each may come from a piece of its own; all the rest as the fixture at either limit.

use std::collections::HashSet;
use std::sync::Arc;

use glidewright_motion as motion;
use motion::{Followed, Toleranced};

use super::catalogue::Catalogue;
use super::label::label;
use super::{Resolved, made, measured_sizes};
use crate::document::Document;
use crate::path::join;
use crate::quantity::Quantity;
use crate::values::Values;
use crate::walk::Slot;

/// Where a size is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Origin {
    /// Among the shared sizes: what is made of them is made alike.
    Shared,
    /// With a part: what is bought comes out piece by piece.
    Part,
    /// Where it is used.
    Own,
}

/// A size with a spread, and what goes with it.
#[derive(Clone, Debug)]
pub struct SpreadSize {
    /// Where the document, or the table of the part, has it, as a path.
    pub path: String,
    /// What a reader calls it.
    pub label: String,
    /// The unit it is written in; empty for a number.
    pub unit: &'static str,
    /// Where it is written.
    pub origin: Origin,
    /// What it comes to with its spread, in its unit.
    pub size: Toleranced,
    /// What of the sizes that the engine is given with their tolerance goes with it, with how much of each (mm, of angles
    /// rad) goes with one unit of it.
    pub followed: Vec<(Followed, f64)>,
    /// The greatest that any of these lies off a straight line at the limits (mm).
    pub bend: f64,
    /// The fixture with the size at its lower and its upper limit and all that the engine is given with a tolerance as
    /// drawn; `None` where nothing else goes with it.
    pub limits: Option<[motion::Fixture; 2]>,
    /// Why it can't be followed, where it can't.
    pub fault: Option<&'static str>,
}

/// Most sizes followed; a document with more is no one's handwriting.
const MOST: usize = 400;

/// A size with a spread that may be in use.
struct Candidate {
    path: String,
    unit: &'static str,
    size: Toleranced,
    /// A table's size is met with its tolerance or taken as exact.
    is_of_table: bool,
}

/// Every size with a spread that the fixture of a resolved document hangs on, in the order of the file, then those of
/// measured parts and of parts from the tables; and how many more there are than are followed.
pub fn spread_sizes(resolved: &Resolved) -> (Vec<SpreadSize>, usize) {
    let document = &resolved.document;
    let nominal = Arc::new(resolved.values.noting());
    let Some(drawn) = made(document, &nominal, &mut Vec::new()) else { return (Vec::new(), 0) };
    let toleranced: Vec<_> = drawn
        .followed()
        .into_iter()
        .filter_map(|which| Some((which, drawn.followed_size(which)?)))
        .filter(|(_, size)| size.half_width() > 0.0)
        .collect();
    let mut found = Vec::new();
    let mut left_out = 0;
    for candidate in candidates(document, &resolved.values) {
        if found.len() == MOST {
            left_out += 1;
            continue;
        }
        found.extend(followed(document, &nominal, &toleranced, candidate));
    }
    (found, left_out)
}

/// What goes with a size; `None` if nothing does.
fn followed(
    document: &Document,
    nominal: &Arc<Values>,
    toleranced: &[(Followed, Toleranced)],
    candidate: Candidate,
) -> Option<SpreadSize> {
    let Candidate { path, unit, size, is_of_table } = candidate;
    let half = size.half_width();
    let made_at = |values: &Values| made(document, values, &mut Vec::new());
    let whole = [-half, half].map(|by| made_at(&Values::moved_with_all(nominal, document, &path, by)));
    let (mut followed, mut bend) = (Vec::new(), 0.0_f64);
    for &(which, drawn) in toleranced {
        let at = |fixture: &Option<motion::Fixture>| Some(fixture.as_ref()?.followed_size(which)?.nominal);
        let per_unit = match whole.each_ref().map(at) {
            [Some(less), Some(more)] => {
                bend = bend.max((0.5 * (less + more) - drawn.nominal).abs());
                (more - less) / (2.0 * half)
            }
            // At the edge of what can be built one side alone tells.
            [Some(less), None] => (drawn.nominal - less) / half,
            [None, Some(more)] => (more - drawn.nominal) / half,
            [None, None] => continue,
        };
        /// What moves by less at its limits is rounding (mm).
        const NOTHING: f64 = 1e-9;
        if (per_unit * half).abs() > NOTHING {
            followed.push((which, per_unit));
        }
    }
    let is_shared = path.starts_with("sizes/");
    let ends = [-half, half].map(|by| Values::moved(nominal, document, &path, by));
    let is_plain = !is_of_table
        && if is_shared { ends.iter().any(|end| end.differs(nominal)) } else { nominal.was_asked(&path) };
    let mut fault = None;
    let limits = if is_plain {
        match ends.each_ref().map(made_at) {
            [Some(less), Some(more)] => Some([less, more]),
            _ => {
                fault = Some("at one of its limits it cannot be built");
                None
            }
        }
    } else {
        None
    };
    if followed.is_empty() && limits.is_none() && fault.is_none() {
        return None;
    }
    let origin = match path.split('/').next() {
        Some("sizes") => Origin::Shared,
        Some("parts") => Origin::Part,
        _ => Origin::Own,
    };
    Some(SpreadSize { label: label(&path), path, unit, origin, size, followed, bend, limits, fault })
}

fn candidates(document: &Document, values: &Values) -> Vec<Candidate> {
    let mut found: Vec<Candidate> = Vec::new();
    let mut known = HashSet::new();
    let measured = measured_sizes(document);
    let is_measured =
        |path: &str| measured.iter().any(|size| join(&join("parts", &size.part), &size.size) == path);
    let mut parts = Vec::new();
    document.visit(&mut |path, slot| {
        if path.starts_with("trials/") || path.starts_with("pulls/") {
            return;
        }
        match slot {
            Slot::Size(size) if size.tolerance().is_some() && !is_measured(path) => {
                let (Some(value), Some(unit)) = (values.at(path), unit(values, path, size.quantity())) else {
                    return;
                };
                if known.insert(path.to_owned()) {
                    found.push(Candidate { path: path.to_owned(), unit, size: value, is_of_table: false });
                }
            }
            Slot::Part(_, name) if !parts.iter().any(|known| known == name) => parts.push(name.to_owned()),
            _ => {}
        }
    });
    for size in &measured {
        let path = join(&join("parts", &size.part), &size.size);
        if known.insert(path.clone()) {
            let unit = Quantity::Length.unit();
            found.push(Candidate { path, unit, size: size.measured, is_of_table: false });
        }
    }
    let catalogue = Catalogue::new(document, values);
    for part in parts.iter().filter_map(|name| catalogue.part(name)) {
        part.visit(&mut |name, slot| {
            let Slot::Size(size) = slot else { return };
            let path = join(&join("parts", &part.name), name);
            if size.tolerance().is_none() || known.contains(&path) {
                return;
            }
            let Some(value) = catalogue.nominal_size(part, size, name) else { return };
            if known.insert(path.clone()) {
                found.push(Candidate { path, unit: size.quantity().unit(), size: value, is_of_table: true });
            }
        });
    }
    found.retain(|candidate| candidate.size.half_width() > 0.0 && candidate.size.half_width().is_finite());
    found
}

/// The unit of a size that says where something is or how large; `None` of any other.
fn unit(values: &Values, path: &str, quantity: Quantity) -> Option<&'static str> {
    let quantity = match quantity {
        Quantity::Any => {
            let shared = values.shared(path.strip_prefix("sizes/")?)?;
            Quantity::of_dimension(shared.dimension).unwrap_or(Quantity::Number)
        }
        quantity => quantity,
    };
    matches!(quantity, Quantity::Length | Quantity::Angle | Quantity::Number).then(|| match quantity.unit() {
        // A shared number without a unit is one of mm where lengths are made of it.
        "" if path.starts_with("sizes/") => Quantity::Length.unit(),
        unit => unit,
    })
}
