//! Deleting things with what depends on them.

use super::add::stack_at;
use super::references::{rewrite_formulas, uses_of_part, uses_of_size};
use super::reorder::follow_pieces;
use super::{EditResult, Edited, short};
use crate::document::{Change, Document, Node, PieceKind, piece_names};
use crate::formula;
use crate::path::join;
use crate::problem::{Problem, quoted};
use crate::trial;

/// Paths of what would go, or be changed, with what stands at a path: what could not stand without it.
pub fn goes_with(document: &Document, path: &str) -> Vec<String> {
    let steps: Vec<&str> = path.split('/').collect();
    match steps.as_slice() {
        ["riders", rider] => {
            let Some(line) = &document.line else { return Vec::new() };
            if line_falls(document, rider) {
                return vec!["line".to_owned()];
            }
            let nodes = line.nodes.iter().filter(|node| node.rider() == Some(*rider));
            nodes.map(|node| join("line/nodes", crate::document::Named::name(node))).collect()
        }
        ["riders", rider, "plates", plate] => {
            let base = join("riders", rider);
            let Some(rider) = document.riders.iter().find(|known| known.name == *rider) else {
                return Vec::new();
            };
            let mut paths = Vec::new();
            let loads = rider.loads.iter().filter(|load| load.on.as_deref() == Some(*plate));
            paths.extend(loads.map(|load| join(&join(&base, "loads"), &load.name)));
            if rider.grip.as_ref().is_some_and(|grip| grip.on.as_deref() == Some(*plate)) {
                paths.push(join(&base, "grip"));
            }
            let forces = rider.forces.iter().filter(|force| force.on.as_deref() == Some(*plate));
            paths.extend(forces.map(|force| join(&join(&base, "forces"), &force.name)));
            let points = rider.points.iter().filter(|point| point.on.as_deref() == Some(*plate));
            paths.extend(points.map(|point| join(&join(&base, "points"), &point.name)));
            paths.extend(
                uses_of_part(document, plate)
                    .into_iter()
                    .filter(|used| used.starts_with(&format!("{base}/")) && used.contains("/stack/")),
            );
            paths
        }
        ["sizes", name] => uses_of_size(document, name),
        ["parts" | "materials", name] => uses_of_part(document, name),
        ["trials", name] => document
            .trials
            .iter()
            .filter(|other| other.over.iter().any(|below| below == name))
            .map(|other| join(&join("trials", &other.name), "over"))
            .collect(),
        _ => Vec::new(),
    }
}

/// Whether the line has too few clamps left without a rider.
fn line_falls(document: &Document, rider: &str) -> bool {
    document.line.as_ref().is_some_and(|line| {
        let stays = |node: &Node| node.rider() != Some(rider);
        let is_anchor = |node: &Node| matches!(node, Node::Anchor(_));
        let mut left = line.nodes.iter().filter(|node| stays(node));
        !(left.next().is_some_and(is_anchor) && left.next_back().is_some_and(is_anchor))
    })
}

/// Deletes what stands at a path with what could not stand without it. A shared size is replaced by its
/// own formula wherever it was named. Trials keep their changes: those that no longer apply are reported.
///
/// # Errors
/// When there is nothing to delete at the path, or a part or material that is still used.
pub fn delete(document: &Document, path: &str) -> EditResult {
    let mut changed = document.clone();
    let steps: Vec<&str> = path.split('/').collect();
    match steps.as_slice() {
        ["sizes", name] => {
            let Some(size) = document.sizes.get(name) else {
                return Err(trial::no_such_path(document, path));
            };
            let inside = format!("({})", size.formula);
            rewrite_formulas(&mut changed, &|text| formula::with_name(text, name, &inside));
        }
        ["riders", name] => {
            changed.pulls.retain(|pull| pull.rider != *name);
            if line_falls(document, name) {
                changed.line = None;
            } else if let Some(line) = &mut changed.line {
                line.nodes.retain(|node| node.rider() != Some(*name));
            }
        }
        ["riders", rider, "plates", plate] => {
            if let Some(rider) = changed.riders.iter_mut().find(|known| known.name == *rider) {
                rider.loads.retain(|load| load.on.as_deref() != Some(*plate));
                rider.grip.take_if(|grip| grip.on.as_deref() == Some(*plate));
                rider.forces.retain(|force| force.on.as_deref() != Some(*plate));
                rider.points.retain(|point| point.on.as_deref() != Some(*plate));
                let own = rider.wheels.iter_mut().filter_map(|wheel| wheel.stack.as_mut());
                let bolts = rider.bolts.iter_mut().map(|bolt| &mut bolt.stack);
                for stack in rider.stack.iter_mut().chain(own).chain(bolts) {
                    stack.pieces.retain(|piece| piece.kind != PieceKind::Plate || piece.part != *plate);
                }
            }
        }
        ["parts" | "materials", name] => {
            let uses = uses_of_part(document, name);
            if let Some(first) = uses.first() {
                return Err(Problem::error(
                    path,
                    format!("{} is still used at {}", quoted(name), short(first)),
                )
                .remedy("put another in its place first"));
            }
        }
        ["trials", name] => {
            let before = changed.trials.len();
            changed.trials.retain(|trial| trial.name != *name);
            if changed.trials.len() == before {
                return Err(trial::no_such_path(document, path));
            }
            changed.trials.iter_mut().for_each(|trial| trial.over.retain(|below| below != name));
            return Ok(Edited { document: changed, description: format!("Delete the trial {name}") });
        }
        _ => {}
    }
    let stack = path.rsplit_once('/').filter(|(stack, _)| stack.ends_with("/stack"));
    let names = |document: &mut Document| {
        stack.and_then(|(stack, _)| stack_at(document, stack)).map(|stack| piece_names(&stack.pieces))
    };
    trial::make_own(&mut changed, path);
    let before = names(&mut changed);
    trial::make_change(&mut changed, &Change::Remove { path: path.to_owned() })?;
    if let (Some((stack, piece)), Some(mut before), Some(after)) = (stack, before, names(&mut changed)) {
        before.retain(|name| name != piece);
        follow_pieces(&mut changed, stack, &before.into_iter().zip(after).collect::<Vec<_>>());
    }
    Ok(Edited { document: changed, description: format!("Delete {}", short(path)) })
}
