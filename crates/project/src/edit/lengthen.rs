//! Another length of the rail, with all that is placed from its far end.

use std::collections::BTreeSet;

use super::{EditResult, Edited, change};
use crate::document::{Change, Document, Moves, Named, Node};
use crate::size::Formula;
use crate::values::Values;
use crate::walk::SlotMut;

const LENGTH: &str = "rail/length";
/// Sizes that differ by less are the same (mm).
const SAME: f64 = 1e-6;

/// Gives the rail another length. What stands beyond its middle keeps its distance from the far end: obstacles, rollers
/// and clamps of the line that stand still, riders, the end of the stroke. What is written as a formula that follows
/// the length already is left to it.
///
/// # Errors
/// When the length cannot be read.
pub fn lengthen(document: &Document, to: &Formula) -> EditResult {
    let edited = change(document, &Change::Set { path: LENGTH.to_owned(), to: to.clone() })?;
    let Some((old, new, far)) = far_things(document, &edited.document) else { return Ok(edited) };
    let by = new - old;
    let mut changed = edited.document;
    changed.visit_mut(&mut |path, slot| {
        if let SlotMut::Size(size) = slot
            && let Some(sign) = far.sign(path)
            && let Some(formula) = size.formula().cloned()
        {
            size.set_formula(Some(formula.shifted(sign * by)));
        }
    });
    let mut description = edited.description;
    if !far.names.is_empty() {
        let names: Vec<&str> = far.names.iter().map(String::as_str).collect();
        description.push_str(&format!("; with its far end move: {}", names.join(", ")));
    }
    Ok(Edited { document: changed, description })
}

/// What would keep its distance from the rail's far end, by name.
pub fn goes_with_rail(document: &Document) -> Vec<String> {
    far_now(document).names.into_iter().collect()
}

/// The sizes that would keep their distance from the rail's far end, with +1 for those that grow with it and −1 for those
/// that grow against it.
pub(super) fn far_sizes(document: &Document) -> Vec<(String, f64)> {
    let far = far_now(document);
    far.grow
        .into_iter()
        .map(|path| (path, 1.0))
        .chain(far.shrink.into_iter().map(|path| (path, -1.0)))
        .collect()
}

/// What is placed from the far end of the rail as it is.
fn far_now(document: &Document) -> Far {
    let mut longer = document.clone();
    longer.rail.length.formula = document.rail.length.formula.shifted(1.0);
    far_things(document, &longer).map(|(_, _, far)| far).unwrap_or_default()
}

/// Sizes to shift with the far end, and what they belong to.
#[derive(Default)]
struct Far {
    grow: BTreeSet<String>,
    shrink: BTreeSet<String>,
    names: BTreeSet<String>,
}

impl Far {
    fn sign(&self, path: &str) -> Option<f64> {
        if self.grow.contains(path) { Some(1.0) } else { self.shrink.contains(path).then_some(-1.0) }
    }
}

fn far_things(before: &Document, after: &Document) -> Option<(f64, f64, Far)> {
    let ((then, _), (now, _)) = (Values::of(before, None), Values::of(after, None));
    let at = |values: &Values, path: &str| values.at(path).map(|value| value.nominal);
    let (old, new) = (at(&then, LENGTH)?, at(&now, LENGTH)?);
    let sound = old.is_finite() && new.is_finite() && old > 0.0 && new > 0.0;
    if !sound || (new - old).abs() < SAME {
        return None;
    }
    // What a formula moves already is not moved once more.
    let stays = |path: &str| match (at(&then, path), at(&now, path)) {
        (Some(then), Some(now)) => (then - now).abs() < SAME,
        _ => false,
    };
    let mut far = Far::default();
    let beyond = |path: &str| at(&then, path).is_some_and(|x| x > 0.5 * old);
    for obstacle in &before.obstacles {
        let base = format!("obstacles/{}/", obstacle.name);
        let mut places = Vec::new();
        before.visit(&mut |path, _| {
            if path.starts_with(&base) && path.ends_with("/x") {
                places.push(path.to_owned());
            }
        });
        // A thing that reaches across the middle is of neither end.
        if !places.is_empty() && places.iter().all(|path| beyond(path) && stays(path)) {
            far.grow.extend(places);
            far.names.insert(obstacle.name.clone());
        }
    }
    for node in before.line.iter().flat_map(|line| &line.nodes) {
        let stands_still = match node {
            Node::Anchor(anchor) => anchor.rider.is_none(),
            Node::Idler(roller) | Node::Post(roller) | Node::Driven(roller) => roller.rider.is_none(),
        };
        let path = format!("line/nodes/{}/at/along", node.name());
        if stands_still && beyond(&path) && stays(&path) {
            far.grow.insert(path);
            far.names.insert(node.name().to_owned());
        }
    }
    let stroke = at(&then, "stroke/to").unwrap_or(0.0) - at(&then, "stroke/from").unwrap_or(0.0);
    if stays("stroke/to") {
        far.grow.insert("stroke/to".to_owned());
        far.names.insert("stroke".to_owned());
    }
    for rider in &before.riders {
        let path = format!("riders/{}/at", rider.name);
        // What runs against the lead comes from the far end.
        let comes_towards = match &rider.moves {
            Moves::Lead => false,
            Moves::Linked(_) => {
                at(&then, &format!("riders/{}/moves/ratio", rider.name)).is_some_and(|ratio| ratio < 0.0)
            }
            Moves::Free { .. } => true,
        };
        if comes_towards && beyond(&path) && stays(&path) {
            far.grow.insert(path);
            far.names.insert(rider.name.clone());
        }
        if let Moves::Free { .. } = rider.moves {
            // One that has the whole stroke to itself keeps it.
            for (end, sign) in [("from", -1.0), ("to", 1.0)] {
                let path = format!("riders/{}/moves/{end}", rider.name);
                let is_whole = at(&then, &path).is_some_and(|x| (x - sign * stroke).abs() < SAME);
                if is_whole && stroke > SAME && stays(&path) {
                    let set = if sign > 0.0 { &mut far.grow } else { &mut far.shrink };
                    set.insert(path);
                    far.names.insert(rider.name.clone());
                }
            }
        }
    }
    Some((old, new, far))
}
