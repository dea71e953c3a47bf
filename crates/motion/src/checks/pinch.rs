//! Where could a finger be caught?

use glam::DVec3;
use glidewright_geometry::Bounds;

use super::Known;
use super::falling::FINGER;
use crate::phrase::{length, phrase};
use crate::{Body, Finding, Owner, Phrase, Role, Severity, rider_x};

/// Least gaps against crushing (mm), ISO 13854 as printed by an accident insurer.
const LEAST_GAPS: [(&str, f64); 2] = [("finger", FINGER), ("hand", 100.0)];

/// A gap that closes by less than this over the stroke does not close (mm).
const CLOSES: f64 = 1.0;

/// Two groups of bodies that come near each other.
struct Pinch<'a> {
    names: [&'a str; 2],
    /// Least gap over the stroke (mm), and the travel where it is reached.
    least: f64,
    at_travel: f64,
    paths: [&'a str; 2],
}

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut pinches = pinches(known);
    pinches.sort_by(|a, b| a.least.total_cmp(&b.least));
    let Some(worst) = pinches.first() else { return Vec::new() };
    const NAMED: usize = 4;
    let list = pinches.iter().take(NAMED).map(|pinch| {
        let gap = if pinch.least <= 0.0 { "meet".into() } else { length(pinch.least, 0) };
        phrase![format!("{} and {}: ", pinch.names[0], pinch.names[1]), gap]
    });
    let more = pinches.len().saturating_sub(NAMED);
    let more = if more > 0 { format!("; and {more} more") } else { String::new() };
    let nips = if known.fixture.line.is_some() {
        " Where the belt runs onto its pulleys and wheels run onto the rail they draw in what touches them."
    } else {
        " Where wheels run onto the rail they draw in what touches them."
    };
    let gaps = LEAST_GAPS.map(|(part, gap)| phrase![part, " ", length(gap, 0)]);
    vec![Finding {
        code: "hazard.pinch",
        severity: Severity::Note,
        title: format!(
            "Fingers can be caught in {} place{}",
            pinches.len(),
            if pinches.len() == 1 { "" } else { "s" }
        )
        .into(),
        reason: phrase![
            "Gaps that close to less than a finger needs as it moves: ",
            Phrase::join(list, "; "),
            format!("{more}. Least gaps against crushing: "),
            Phrase::join(gaps, ", "),
            format!(
                " (ISO 13854, as printed by an accident insurer).{nips} Keep hands clear while it moves, guard what can be reached, assess the risk (ISO 12100). Local codes and licensed practice come first."
            )
        ],
        paths: worst.paths.map(str::to_owned).to_vec(),
        value: Some(worst.least.max(0.0)),
        limit: Some(FINGER),
        unit: "mm",
        at_travel: Some(worst.at_travel),
        ..Finding::blank()
    }]
}

/// Whose gap it is: two owners, and which fixed thing.
type Between<'a> = (Owner, Owner, Option<&'a str>);

/// Every two riders, and every rider and fixed thing, whose gap closes over the stroke to less than a finger needs; gaps
/// between the boxes that enclose their bodies, never more than the real gap.
fn pinches<'a>(known: &Known<'a>) -> Vec<Pinch<'a>> {
    let fixture = known.fixture;
    let watched = |body: &&Body| !matches!(body.role, Role::Rail | Role::Span | Role::Pulley);
    let bodies: Vec<(&'a Body, Bounds)> = known
        .assembly
        .bodies
        .iter()
        .zip(known.boxes)
        .filter(|(body, _)| watched(body))
        .filter_map(|(body, around)| Some((body, (*around)?)))
        .collect();
    let mut found: Vec<(Between<'a>, Pinch<'a>)> = Vec::new();
    for (index, &(a, box_a)) in bodies.iter().enumerate() {
        for &(b, box_b) in bodies.iter().skip(index + 1) {
            if a.owner == b.owner || (a.owner == Owner::Ground && b.owner == Owner::Ground) {
                continue;
            }
            let Some(gap) = closing(known, (a.owner, box_a), (b.owner, box_b)) else { continue };
            // Riders as a whole, fixed things one by one.
            let fixed = [a, b].into_iter().find(|body| body.owner == Owner::Ground);
            let key = (a.owner.min(b.owner), a.owner.max(b.owner), fixed.map(|body| body.path.as_str()));
            let name = |body: &'a Body| match body.owner {
                Owner::Rider(number) => fixture.riders.get(number).map_or("", |rider| rider.name.as_str()),
                Owner::Ground => body.label.as_str(),
            };
            let pinch = Pinch {
                names: [name(a), name(b)],
                least: gap.0,
                at_travel: gap.1,
                paths: [a.path.as_str(), b.path.as_str()],
            };
            match found.iter_mut().find(|(known, _)| *known == key) {
                Some((_, worst)) if worst.least <= pinch.least => {}
                Some((_, worst)) => *worst = pinch,
                None => found.push((key, pinch)),
            }
        }
    }
    found.into_iter().map(|(_, pinch)| pinch).collect()
}

/// How far one box stands beside another along an axis, 0 where they overlap (mm).
fn aside(a: Bounds, b: Bounds, axis: DVec3) -> f64 {
    (b.low - a.high).dot(axis).max((a.low - b.high).dot(axis)).max(0.0)
}

/// Least gap of two boxes over the stroke and where, each with its owner; `None` where it does not close, or leaves room
/// for a finger.
fn closing(known: &Known<'_>, a: (Owner, Bounds), b: (Owner, Bounds)) -> Option<(f64, f64)> {
    let fixture = known.fixture;
    let ((a, box_a), (b, box_b)) = (a, b);
    let place = |owner: Owner, travel: f64| match owner {
        Owner::Ground => 0.0,
        Owner::Rider(number) => rider_x(fixture, number, travel),
    };
    let across = aside(box_a, box_b, DVec3::Y).hypot(aside(box_a, box_b, DVec3::Z));
    if !(across < FINGER) {
        return None;
    }
    let along = |travel: f64| {
        let placed = |owner: Owner, own: Bounds| {
            let x = DVec3::X * place(owner, travel);
            Bounds { low: own.low + x, high: own.high + x }
        };
        aside(placed(a, box_a), placed(b, box_b), DVec3::X)
    };
    let (from, to) = (fixture.stroke.from, fixture.stroke.to);
    // How far b stands before a changes evenly with travel: the gap is least at an end or where they pass.
    let offset = |travel: f64| {
        let middle = |own: Bounds| 0.5 * (own.low.x + own.high.x);
        place(b, travel) + middle(box_b) - place(a, travel) - middle(box_a)
    };
    let (first, last) = (offset(from), offset(to));
    let pass = if first * last < 0.0 { from + (to - from) * first / (first - last) } else { from };
    let gaps = [from, pass, to].map(|travel| (along(travel).hypot(across), travel));
    let least = gaps.into_iter().min_by(|a, b| a.0.total_cmp(&b.0))?;
    let greatest = gaps.into_iter().map(|gap| gap.0).fold(0.0, f64::max);
    (least.0 < FINGER && greatest - least.0 > CLOSES).then_some(least)
}
