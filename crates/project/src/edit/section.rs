//! Another section of the rail, with what hangs on it: tracks, wheels, spacers, and what stands off its faces.

use glam::DVec2;
use glidewright_motion::Rail;

use super::change_thread;
use super::face::pairs_from;
use super::{EditResult, Edited, change};
use crate::Suiting;
use crate::document::{Change, Document, Facing, Part, PartForm, PieceKind, Rider};
use crate::size::Formula;
use crate::tables::built_in;
use crate::values::Values;
use crate::walk::SlotMut;

/// Lengths that differ by less are the same (mm).
const SAME: f64 = 1e-9;
/// A spacer is made no shorter than this (mm).
const LEAST_SPACER: f64 = 1.0;

/// Gives the rail another section. Wheels take the tracks that stand where theirs stood, and a wheel that runs there,
/// spacers keep the plates clear of the rail, and what stands off a face goes out or in with it. What cannot follow is
/// named in the description.
///
/// # Errors
/// When the section cannot be taken.
pub fn take_section(document: &Document, to: &Formula) -> EditResult {
    let edited = change(document, &Change::Set { path: "rail/section".to_owned(), to: to.clone() })?;
    let rails = [bare_rail(document), bare_rail(&edited.document)];
    let [Some(old), Some(new)] = rails else { return Ok(edited) };
    let mut document = edited.document;
    let mut left = Vec::new();
    let names: Vec<String> = document.riders.iter().map(|rider| rider.name.clone()).collect();
    for name in &names {
        let Some(rider) = document.riders.iter_mut().find(|rider| rider.name == *name) else { continue };
        let Some(by) = on_tracks(rider, &old, &new) else {
            left.push(format!("{name}: there is no track for its wheels"));
            continue;
        };
        document = on_wheels(document, name, &mut left);
        if let Some(rider) = document.riders.iter_mut().find(|rider| rider.name == *name) {
            space(rider, by, &mut left);
        }
    }
    let by = half(&new) - half(&old);
    if by.abs().max_element() > SAME {
        stand_off(&mut document, half(&old), by);
    }
    let mut description = edited.description;
    if !left.is_empty() {
        left.sort();
        left.dedup();
        description.push_str(&format!("; what could not follow: {}", left.join("; ")));
    }
    Ok(Edited { document, description })
}

/// The rail by itself, whatever runs on it.
fn bare_rail(document: &Document) -> Option<Rail> {
    let mut bare = document.clone();
    bare.riders.clear();
    bare.line = None;
    bare.obstacles.clear();
    bare.trials.clear();
    bare.pulls.clear();
    crate::resolve::rail_of(&bare)
}

/// How far the section reaches from its middle, across and out (y, z in mm).
fn half(rail: &Rail) -> DVec2 {
    let bounds = rail.bounds();
    let reach = bounds.low.abs().max(bounds.high.abs());
    if reach.is_finite() { reach } else { DVec2::ZERO }
}

/// Puts wheels on the tracks of the new rail that stand where theirs stood; how much farther the rail reaches beyond
/// them (mm).
fn on_tracks(rider: &mut Rider, old: &Rail, new: &Rail) -> Option<f64> {
    let (before, after) = (pairs_from(old, rider.faces), pairs_from(new, rider.faces));
    let reach = |rail: &Rail| match rider.faces {
        Facing::Front | Facing::Rear => half(rail).y,
        Facing::Left | Facing::Right => half(rail).x,
    };
    let mut by = None;
    for wheel in &mut rider.wheels {
        let Some(pair) = &mut wheel.pair else { continue };
        let place = before.iter().position(|(_, name)| name == pair).unwrap_or(0);
        let same = after.iter().position(|(_, name)| name == pair);
        let there = same.unwrap_or(place.min(after.len().checked_sub(1)?));
        let (now, name) = after.get(there)?;
        pair.clone_from(name);
        if let Some((then, _)) = before.get(place) {
            let more = (reach(new) - now) - (reach(old) - then);
            by = Some(by.map_or(more, |by: f64| by.max(more)));
        }
    }
    Some(by.unwrap_or(0.0))
}

/// Swaps wheels that do not run on the new rail, with the whole stack where another bore is wanted.
fn on_wheels(document: Document, rider: &str, left: &mut Vec<String>) -> Document {
    let mut document = document;
    let Some(known) = document.riders.iter().find(|known| known.name == rider) else { return document };
    let stacks: Vec<String> = known.stacks().map(|(below, _)| format!("riders/{rider}/{below}")).collect();
    for base in stacks {
        let Some(swap) = better_wheel(&document, &base) else { continue };
        match swap {
            Swap::To { path, wheel, thread } => {
                let threaded = thread.map(|thread| change_thread(&document, &base, &thread));
                if let Some(Ok(edited)) = threaded {
                    document = edited.document;
                }
                let set = Change::Set { path, to: Formula::Text(wheel) };
                if let Ok(edited) = change(&document, &set) {
                    document = edited.document;
                }
            }
            Swap::None(wheel) => left.push(format!("{wheel} on {rider}: no wheel of its kind runs there")),
        }
    }
    document
}

enum Swap {
    To { path: String, wheel: String, thread: Option<String> },
    None(String),
}

/// The wheel to put in a stack instead of one that does not run on the rail.
fn better_wheel(document: &Document, base: &str) -> Option<Swap> {
    let (values, _) = Values::of(document, None);
    let suiting = Suiting::of(document, &values);
    let stack = document.stack_at(base)?;
    let names = crate::document::piece_names(&stack.pieces);
    let (piece, name) = stack.pieces.iter().zip(&names).find(|(piece, _)| piece.kind == PieceKind::Wheel)?;
    let own = document
        .parts
        .iter()
        .find(|part| part.name == piece.part)
        .or_else(|| built_in().part(&piece.part))?;
    if suiting.runs(own).is_ok() {
        return None;
    }
    let PartForm::Wheel(form) = &own.form else { return None };
    let [outer, bore] = suiting.sizes(own);
    let fits = |part: &&Part| match &part.form {
        PartForm::Wheel(wheel) => wheel.running.is_like(&form.running) && suiting.runs(part).is_ok(),
        _ => false,
    };
    let far = |part: &&Part| {
        let [theirs, their_bore] = suiting.sizes(part);
        // Another bore asks for another stack: only where there is no other way.
        (theirs - outer).abs() + if (their_bore - bore).abs() > 0.1 { 1000.0 } else { 0.0 }
    };
    let best = built_in().parts().iter().filter(fits).min_by(|a, b| far(a).total_cmp(&far(b)));
    let Some(best) = best else { return Some(Swap::None(piece.part.clone())) };
    let their_bore = suiting.sizes(best)[1];
    let thread =
        ((their_bore - bore).abs() > 0.1).then(|| format!("M{}", glidewright_motion::plain(their_bore)));
    Some(Swap::To { path: format!("{base}/{name}"), wheel: best.name.clone(), thread })
}

/// Lengthens or shortens the spacers that keep a rider's plates clear of the rail.
fn space(rider: &mut Rider, by: f64, left: &mut Vec<String>) {
    if by.abs() < SAME {
        return;
    }
    let name = rider.name.clone();
    let own = rider.wheels.iter_mut().filter_map(|wheel| wheel.stack.as_mut());
    for stack in rider.stack.iter_mut().chain(own) {
        let Some(spacer) = stack.pieces.iter_mut().find(|piece| piece.kind == PieceKind::Spacer) else {
            left.push(format!("{name}: no spacer to keep its plate clear"));
            continue;
        };
        if let Some(length) = &mut spacer.length {
            length.formula = longer(&length.formula, by);
        } else {
            left.push(format!("{name}: a spacer whose length is left open"));
        }
        // What was long enough need not be any more.
        stack.length = None;
    }
}

fn longer(formula: &Formula, by: f64) -> Formula {
    match formula {
        Formula::Number(number) => Formula::Number(((number + by).max(LEAST_SPACER) * 1e6).round() / 1e6),
        text => text.shifted(by),
    }
}

/// Moves what stands off the faces of the rail out or in with them: obstacles wholly beyond a face, and the line.
fn stand_off(document: &mut Document, half: DVec2, by: DVec2) {
    let (values, _) = Values::of(document, None);
    let at = |path: &str| values.at(path).map(|value| value.nominal);
    let mut shifts: Vec<(String, f64)> = Vec::new();
    for obstacle in &document.obstacles {
        let base = format!("obstacles/{}/", obstacle.name);
        for (axis, half, by) in [("/y", half.x, by.x), ("/z", half.y, by.y)] {
            let mut places = Vec::new();
            document.visit(&mut |path, _| {
                if path.starts_with(&base) && path.ends_with(axis) {
                    places.push(path.to_owned());
                }
            });
            for sign in [-1.0, 1.0] {
                let beyond = |path: &String| at(path).is_some_and(|x| sign * x >= half - 1e-6);
                if !places.is_empty() && places.iter().all(beyond) {
                    shifts.extend(places.iter().map(|path| (path.clone(), sign * by)));
                }
            }
        }
    }
    if let Some(line) = &document.line {
        let upright = matches!(line.plane, crate::document::LinePlane::Upright { .. });
        // Places in an upright plane are (x, z), in a flat one (x, y).
        let (across, half_across) = if upright { (by.y, half.y) } else { (by.x, half.x) };
        let (plane, off, half_off) = if upright { ("y", by.x, half.x) } else { ("z", by.y, half.y) };
        let mut shift = |path: String, half: f64, by: f64| {
            if let Some(x) = at(&path).filter(|x| x.abs() > 0.5 * half) {
                shifts.push((path, x.signum() * by));
            }
        };
        shift(format!("line/plane/{plane}"), half_off, off);
        for node in &line.nodes {
            let name = crate::document::Named::name(node);
            shift(format!("line/nodes/{name}/at/across"), half_across, across);
        }
    }
    document.visit_mut(&mut |path, slot| {
        if let SlotMut::Size(size) = slot
            && let Some((_, by)) = shifts.iter().find(|(known, _)| known == path)
            && let Some(formula) = size.formula().cloned()
        {
            size.set_formula(Some(formula.shifted(*by)));
        }
    });
}
