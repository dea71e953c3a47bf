//! What a size's tolerance takes of a gap, on fixtures nobody drew: against building everything anew with the size changed.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout, reason = "tests fail by panicking")]

use std::collections::HashMap;

use glidewright_generated::usable;
use glidewright_motion::{BodyId, Interference, InterferenceCache, analyse, analyse_quickly};
use glidewright_project::document::Document;
use glidewright_project::quantity::Quantity;
use glidewright_project::size::Formula;
use glidewright_project::tolerance::Tolerance;
use glidewright_project::{Slot, SlotMut, resolve, resolve_quickly};

/// So many fixtures; `GLIDEWRIGHT_GENERATED` for another number.
fn count() -> usize {
    std::env::var("GLIDEWRIGHT_GENERATED").ok().and_then(|count| count.parse().ok()).unwrap_or(25)
}

/// How far a size is moved (mm).
const STEP: f64 = 0.125 * TOLERANCE;

/// Half the width of every tolerance (mm).
const TOLERANCE: f64 = 0.1;

/// Sizes of one document that are looked at.
const SIZES: usize = 6;

/// Lengths written as plain numbers, in every list that places something, spread over the document.
fn sizes(document: &Document) -> Vec<(String, f64)> {
    let mut found = Vec::new();
    document.visit(&mut |path, slot| {
        let Slot::Size(size) = slot else { return };
        let Some(Formula::Number(number)) = size.formula() else { return };
        let places = ["obstacles/", "riders/", "line/", "sizes/"].iter().any(|list| path.starts_with(list));
        if size.quantity() == Quantity::Length && size.tolerance().is_none() && places && !in_several(path) {
            found.push((path.to_owned(), *number));
        }
    });
    let every = found.len().div_ceil(SIZES).max(1);
    found.into_iter().step_by(every).collect()
}

/// Whether a size is one of the stacks that carry plates: where one stands off the others a plate lies half-way between,
/// and its tolerance is that of any one of them.
fn in_several(path: &str) -> bool {
    path.contains("/stack/") && !path.contains("/bolts/")
}

fn changed(
    document: &Document,
    path: &str,
    change: &mut dyn FnMut(&mut dyn glidewright_project::SizeSlot),
) -> Document {
    let mut document = document.clone();
    document.visit_mut(&mut |at, slot| {
        if at == path
            && let SlotMut::Size(size) = slot
        {
            change(size);
        }
    });
    document
}

fn gaps(interference: &Interference) -> HashMap<(BodyId, BodyId), f64> {
    interference.passing.iter().chain(&interference.steady).map(|pair| (pair.bodies, pair.gap)).collect()
}

#[test]
fn contributors_agree_with_rebuilding() {
    let (mut compared, mut felt, mut kinks, mut off) = (0, 0, 0, Vec::new());
    for generated in usable(0).take(count()) {
        let (seed, document) = (generated.seed, &generated.document);
        let sizes = sizes(document);
        let mut toleranced = document.clone();
        for (path, _) in &sizes {
            toleranced = changed(&toleranced, path, &mut |size| {
                size.set_tolerance(Some(Tolerance::PlusMinus(TOLERANCE)))
            });
        }
        let whole = analyse(&resolve(&toleranced, None).fixture.unwrap());
        for (path, number) in sizes {
            let at = |by: f64| {
                let moved = changed(document, &path, &mut |size| {
                    size.set_formula(Some(Formula::Number(number + by)))
                });
                let fixture = resolve_quickly(&moved, None, None).fixture?;
                let results = analyse_quickly(&fixture, &mut InterferenceCache::default(), None);
                (results.assembly.bodies.len() == whole.assembly.bodies.len())
                    .then(|| gaps(&results.interference))
            };
            let (Some(less), Some(same), Some(more)) = (at(-STEP), at(0.0), at(STEP)) else { continue };
            for pair in whole.interference.passing.iter().chain(&whole.interference.steady) {
                // A depth is an upper bound while it follows a hand, and that of whole bodies elsewhere.
                if pair.gap <= 0.0 || same.get(&pair.bodies).is_none_or(|gap| (gap - pair.gap).abs() > 1e-6) {
                    continue;
                }
                let (Some(a), Some(b)) = (less.get(&pair.bodies), more.get(&pair.bodies)) else { continue };
                let slopes = [(pair.gap - a) / STEP, (b - pair.gap) / STEP];
                // Where the nearest place goes over from one to another there is no one slope.
                if (slopes[0] - slopes[1]).abs() > 0.02 {
                    kinks += 1;
                    continue;
                }
                // A piece's own contributor is named by the piece, a plate's by the plate in the stacks that carry it.
                let piece = path.strip_suffix("/length");
                let plate = path.strip_suffix("/thickness").and_then(|path| {
                    let mut names = path.split('/').skip(1).step_by(2);
                    names.next().zip(names.next()).map(|(rider, plate)| format!("{plate} of {rider}"))
                });
                let ours = pair.tolerance.contributors.iter().filter(|c| {
                    c.path == path || Some(c.path.as_str()) == piece || Some(&c.label) == plate.as_ref()
                });
                let own: f64 = ours.map(|c| c.sensitivity).sum();
                let slope = 0.5 * (slopes[0] + slopes[1]);
                compared += 1;
                felt += usize::from(slope.abs() > 0.01);
                if (slope - own).abs() > 0.02 {
                    let label = |id: BodyId| &whole.assembly.bodies[id.0 as usize].label;
                    let bodies = (label(pair.bodies.0), label(pair.bodies.1));
                    let gap = pair.gap;
                    off.push(format!(
                        "{seed} {path}: {slope} by rebuilding, {own} here, gap {gap} of {bodies:?}"
                    ));
                }
            }
        }
    }
    println!("{compared} compared, {felt} felt, {kinks} at a kink, {} off", off.len());
    assert!(compared > 100 * count() && felt > 10 * count(), "{compared} {felt}");
    assert!(
        off.len() * 500 < felt,
        "{} of {felt}: {:#?}",
        off.len(),
        off.iter().take(20).collect::<Vec<_>>()
    );
}
