//! What differs between two trials: parts, sizes, rail and what is carried.

use std::collections::{BTreeMap, HashMap};

use glidewright_motion::{NamedSize, Rider};

use crate::look::ReaderUnits;
use crate::views::scene::Scene;

/// Most sizes told one by one.
const MOST_SIZES: usize = 12;

/// Names of what is on a rider's screws, and how often.
fn parts(rider: &Rider, unit: ReaderUnits) -> BTreeMap<String, i64> {
    let mut counts = BTreeMap::new();
    let wheels = rider.wheels.iter().map(|mount| &mount.stack);
    for stack in wheels.chain(rider.bolts.iter().map(|bolt| &bolt.stack)) {
        *counts.entry(stack.screw.name.clone()).or_insert(0) += 1;
        for piece in &stack.pieces {
            let thickness = unit.bare(piece.thickness.nominal, 2);
            let thickness = thickness.trim_end_matches('0').trim_end_matches('.');
            *counts.entry(format!("{} ({thickness} {})", piece.name, unit.symbol())).or_insert(0) += 1;
        }
    }
    counts
}

/// In words: what the second has instead of what the first has.
pub(super) fn between(first: &Scene<'_>, second: &Scene<'_>) -> Vec<String> {
    let mut told = Vec::new();
    for (a, b) in first.fixture.riders.iter().zip(&second.fixture.riders) {
        let (had, has) = (parts(a, second.unit()), parts(b, second.unit()));
        let beyond = |these: &BTreeMap<String, i64>, those: &BTreeMap<String, i64>| {
            let more = these.iter().filter_map(|(name, count)| {
                let left = count - those.get(name).copied().unwrap_or(0);
                (left > 0).then(|| if left > 1 { format!("{left} × {name}") } else { name.clone() })
            });
            more.collect::<Vec<_>>().join(", ")
        };
        let (gone, new) = (beyond(&had, &has), beyond(&has, &had));
        match (gone.is_empty(), new.is_empty()) {
            (true, true) => {}
            (false, true) => told.push(format!("{} without {gone}", b.name)),
            (true, false) => told.push(format!("{} also with {new}", b.name)),
            (false, false) => told.push(format!("{} with {new} instead of {gone}", b.name)),
        }
    }
    let swapped = !told.is_empty();
    // What was changed on the screws has been told by the parts.
    let is_told = |size: &NamedSize| swapped && size.path.split('/').any(|step| step == "stack");
    let changed: Vec<String> = sizes(first, second, is_told);
    let by_sizes = !changed.is_empty();
    told.extend(changed);
    for (a, b) in first.fixture.riders.iter().zip(&second.fixture.riders) {
        let (before, after) = (loads(a), loads(b));
        if !by_sizes && (before - after).abs() > 5e-4 {
            let [before, after] = [before, after].map(|mass| second.unit().mass(mass, 0));
            told.push(format!("{} carries {after} instead of {before}", b.name));
        }
    }
    let (a, b) = (&first.fixture.rail, &second.fixture.rail);
    if a.name != b.name || (!by_sizes && (a.length - b.length).abs() > 5e-3) {
        let rail =
            |rail: &glidewright_motion::Rail| format!("{}, {}", rail.name, second.text(rail.length, 0));
        told.push(format!("rail {} instead of {}", rail(b), rail(a)));
    }
    let names = |scene: &Scene<'_>| -> Vec<String> {
        scene.fixture.obstacles.iter().map(|obstacle| obstacle.name.clone()).collect()
    };
    let (had, has) = (names(first), names(second));
    told.extend(had.iter().filter(|name| !has.contains(name)).map(|name| format!("without {name}")));
    told.extend(has.iter().filter(|name| !had.contains(name)).map(|name| format!("also with {name}")));
    told
}

/// Sizes that say something else in the second, with what they come to in both.
fn sizes(first: &Scene<'_>, second: &Scene<'_>, is_told: impl Fn(&NamedSize) -> bool) -> Vec<String> {
    let before: HashMap<&str, &NamedSize> =
        first.fixture.sizes.iter().map(|size| (size.path.as_str(), size)).collect();
    let unit = second.unit();
    let changed = second.fixture.sizes.iter().filter(|size| !is_told(size)).filter_map(|size| {
        let old = before.get(size.path.as_str()).filter(|old| old.written != size.written)?;
        let (old, new) = (unit.phrase(&old.value), unit.phrase(&size.value));
        (old != new).then(|| format!("{} {old} → {new}", size.label))
    });
    let mut told: Vec<String> = changed.collect();
    if told.len() > MOST_SIZES {
        let more = told.len() - MOST_SIZES;
        told.truncate(MOST_SIZES);
        told.push(format!("and {more} more sizes"));
    }
    told
}

/// Mass a rider carries (kg).
fn loads(rider: &Rider) -> f64 {
    rider.loads.iter().map(|load| load.mass).sum()
}
