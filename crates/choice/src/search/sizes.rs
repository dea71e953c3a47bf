//! Sizes that could be otherwise.

use glidewright_motion::{Results, Severity};
use glidewright_project::document::{Change, Document, PieceKind};
use glidewright_project::quantity::Quantity;
use glidewright_project::size::Formula;
use glidewright_project::{Problem, Slot, Values, edit};

use super::asked::{Asked, Range};
use super::locks::Locks;
use super::moves::is_within;
use super::place::{Offer, Place, PlaceKind};

/// A spacer may come out longer or shorter by so much where nothing is said (mm; own choice).
const SPACER: f64 = 2.0;
/// What a finding is about may become so much less, a share of it and no more than this (mm; own choice).
const LESS: f64 = 4.0;
const SHARE: f64 = 0.05;

/// Places of sizes: those with a range, those a person opens, shared lengths of spacers, and shared sizes that bodies of
/// riders hang on that a finding is about.
///
/// # Errors
/// A size without a number to begin from.
pub(super) fn size_places(
    document: &Document,
    values: &Values,
    results: &Results,
    asked: &Asked,
    locks: &Locks,
) -> Result<Vec<Place>, Vec<Problem>> {
    let mut wanted: Vec<(String, Range)> =
        asked.ranges.iter().map(|(path, range)| (path.clone(), *range)).collect();
    let mut problems = Vec::new();
    let mut add = |path: String, range: Range| {
        if !wanted.iter().any(|(known, _)| *known == path) {
            wanted.push((path, range));
        }
    };
    let mut sizes: Vec<(String, Option<Formula>, Quantity)> = Vec::new();
    document.visit(&mut |path, slot| {
        if let Slot::Size(size) = slot {
            sizes.push((path.to_owned(), size.formula().cloned(), size.quantity()));
        }
    });
    for open in asked.open.iter().filter(|open| sizes.iter().any(|(path, ..)| path == *open)) {
        match now(document, values, open) {
            Some(now) => add(open.clone(), around(now, SPACER, SPACER)),
            None => problems.push(
                Problem::error(open, "the size has no number to begin from")
                    .remedy("give it a range with --range"),
            ),
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    if !locks.holds_kind(PlaceKind::Size) {
        for (name, before, after) in by_themselves(document, results, &sizes) {
            let path = format!("sizes/{name}");
            let Some(now) = now(document, values, &path) else { continue };
            if !locks.holds_path(&path) && now > 0.0 {
                add(path, around(now, before.min(tidy(SHARE.max(before / now) * now)), after));
            }
        }
    }
    let mut places = Vec::new();
    for (path, range) in wanted {
        let Some(now) = now(document, values, &path) else {
            problems.push(
                Problem::error(&path, "the size has no number to begin from").remedy("give it a value"),
            );
            continue;
        };
        let label = path.strip_prefix("sizes/").map_or_else(|| path.replace('/', ", "), str::to_owned);
        let mut offers = vec![Offer {
            words: glidewright_motion::plain(now),
            changes: Vec::new(),
            certainty: None,
            part: None,
            off: None,
            note: None,
        }];
        let values = range.values();
        let others = values.into_iter().filter(|value| (value - now).abs() > 1e-9);
        offers.extend(others.map(|value| Offer {
            words: glidewright_motion::plain(value),
            changes: vec![Change::Set { path: path.clone(), to: Formula::Number(value) }],
            certainty: None,
            part: None,
            off: Some(value - now),
            note: None,
        }));
        // The nearest come first: of two that do the same the lesser change is told.
        if let Some(others) = offers.get_mut(1..) {
            others.sort_by(|a, b| off(a).total_cmp(&off(b)));
        }
        places.push(Place { kind: PlaceKind::Size, path, label, offers });
    }
    if problems.is_empty() { Ok(places) } else { Err(problems) }
}

fn off(offer: &Offer) -> f64 {
    offer.off.map_or(f64::INFINITY, f64::abs)
}

fn around(now: f64, below: f64, above: f64) -> Range {
    let step = Range::STEP;
    let from = now - (below / step).floor() * step;
    let from =
        if from > 0.0 || now <= 0.0 { from } else { now - ((now / step).ceil() - 1.0).max(0.0) * step };
    Range { from, to: now + above, step }
}

fn tidy(length: f64) -> f64 {
    (length / Range::STEP).floor() * Range::STEP
}

/// What a size is now, in its own unit, where it is a number.
fn now(document: &Document, values: &Values, path: &str) -> Option<f64> {
    let mut found = None;
    document.visit(&mut |at, slot| {
        if at == path
            && let Slot::Size(size) = slot
        {
            found = values.of_slot(size).map(|size| size.nominal);
        }
    });
    found.or_else(|| {
        let name = path.strip_prefix("sizes/")?;
        match document.sizes.get(name).map(|size| &size.formula) {
            Some(Formula::Number(number)) => Some(*number),
            _ => None,
        }
    })
}

/// Shared sizes that are open by themselves, each with how much less and more it may become: lengths of spacers, and what
/// bodies of riders measure that a finding is about.
fn by_themselves(
    document: &Document,
    results: &Results,
    sizes: &[(String, Option<Formula>, Quantity)],
) -> Vec<(String, f64, f64)> {
    let mut found: Vec<(String, f64, f64)> = Vec::new();
    let mut add = |name: String, below: f64, above: f64| {
        let is_number =
            document.sizes.get(&name).is_some_and(|size| matches!(size.formula, Formula::Number(_)));
        if is_number && !found.iter().any(|(known, ..)| *known == name) {
            found.push((name, below, above));
        }
    };
    for rider in &document.riders {
        let pieces = rider.stacks().flat_map(|(_, stack)| stack.pieces.clone());
        for piece in pieces.filter(|piece| piece.kind == PieceKind::Spacer) {
            for name in piece.length.iter().flat_map(|length| edit::names_in(&length.formula)) {
                add(name, SPACER, SPACER);
            }
        }
    }
    let gaps = results
        .findings
        .iter()
        .filter(|finding| finding.severity >= Severity::Marginal && finding.code.starts_with("gap."));
    for path in gaps.flat_map(|finding| &finding.paths) {
        if !path.starts_with("riders/") || path.contains("/stack") {
            continue;
        }
        let below =
            sizes.iter().filter(|(at, _, quantity)| is_within(at, path) && *quantity == Quantity::Length);
        for name in below.filter_map(|(_, formula, _)| formula.as_ref()).flat_map(edit::names_in) {
            add(name, LESS, 0.0);
        }
    }
    found
}
