//! Is a wheel seated deep enough, on a track made for it?

use super::Known;
use crate::loads::wheel_of;
use crate::phrase::{length, phrase};
use crate::{Finding, PlacedStack, Remedy, Running, Severity, StackOf, Touch, TrackProfile, WheelMount};

/// Least length of flank on flank (mm; own assumption: less wears to an edge and climbs out under a side load).
const LEAST_FLANK: f64 = 1.0;

/// A wheel that lies on its flanks by less than this share of what is required fails (own assumption).
const HARDLY: f64 = 0.3;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (rider, placed) in known.fixture.riders.iter().zip(&known.assembly.riders) {
        let mut wrong: Vec<(&WheelMount, Mismatch<'_>)> = Vec::new();
        let mut shallow: Vec<(&WheelMount, Shallow)> = Vec::new();
        for stack in &placed.stacks {
            let StackOf::Wheel(place) = stack.of else { continue };
            let Some(mount) = rider.wheels.get(place) else { continue };
            match mismatch(known, mount) {
                Some(found) => wrong.push((mount, found)),
                None => shallow.extend(is_shallow(stack).map(|found| (mount, found))),
            }
        }
        findings.extend(wrong_profile(&rider.name, &wrong));
        findings.extend(lies_shallow(&rider.name, &shallow));
    }
    findings
}

/// "the upper left wheel", "the upper left wheel and 3 others"
fn wheels(first: &WheelMount, all: usize) -> String {
    match all {
        0 | 1 => format!("the {} wheel", first.name),
        2 => format!("the {} wheel and another", first.name),
        more => format!("the {} wheel and {} others", first.name, more - 1),
    }
}

/// A wheel on a track of another form: what it is, what it runs on, what would suit.
struct Mismatch<'a> {
    wheel: &'static str,
    rides: &'static str,
    cure: &'static str,
    track: &'a str,
}

fn mismatch<'a>(known: &Known<'a>, mount: &WheelMount) -> Option<Mismatch<'a>> {
    let track = known.fixture.rail.tracks.get(mount.track)?;
    let (wheel, rides, cure) = match (wheel_of(mount)?.running, track.profile) {
        (Running::Vee { .. }, TrackProfile::Flat { .. }) => {
            ("a vee wheel", "a plain face", "a cylindrical or crowned wheel, or a track with a vee groove")
        }
        (Running::Vee { .. }, TrackProfile::Round { .. }) => {
            ("a vee wheel", "a rod", "a wheel with a round groove for this rod")
        }
        (Running::Grooved { .. }, TrackProfile::Flat { .. }) => {
            ("a wheel with a round groove", "a plain face", "a cylindrical or crowned wheel, or a rod")
        }
        (Running::Grooved { .. }, TrackProfile::Vee { .. }) => {
            ("a wheel with a round groove", "a vee groove", "a vee wheel")
        }
        (Running::Flat | Running::Crowned { .. }, TrackProfile::Vee { .. }) => {
            ("a wheel without a vee", "the mouth of a vee groove", "a vee wheel")
        }
        _ => return None,
    };
    Some(Mismatch { wheel, rides, cure, track: &track.name })
}

fn wrong_profile(rider: &str, all: &[(&WheelMount, Mismatch<'_>)]) -> Option<Finding> {
    let (first, Mismatch { wheel, rides, cure, track }) = all.first()?;
    let is = if all.len() > 1 { "run as" } else { "is" };
    Some(Finding {
        code: "wheel.wrong_profile",
        severity: Severity::Marginal,
        title: format!("{rider}: {} {is} {wheel} on {rides}", wheels(first, all.len())).into(),
        reason: format!(
            "The two profiles do not fit each other: it runs on its edges, nothing guides it across the track {track}, and what it presses on is a line where it should be a face."
        )
        .into(),
        paths: all.iter().map(|(mount, _)| mount.path.clone()).collect(),
        remedies: vec![Remedy { text: (*cure).into(), path: Some(first.path.clone()), by: None }],
        ..Finding::blank()
    })
}

/// How little of its flanks a wheel lies on, and how deep its tip is (mm).
#[derive(Clone, Copy)]
struct Shallow {
    least: f64,
    depth: f64,
}

fn is_shallow(stack: &PlacedStack) -> Option<Shallow> {
    let seating = stack.seating.as_ref().filter(|seating| seating.sunk.is_none())?;
    let flanks = seating.contacts.iter().filter(|contact| matches!(contact.touch, Touch::Flank));
    let least = flanks.map(|contact| contact.length).reduce(f64::min)?;
    (least < LEAST_FLANK).then_some(Shallow { least, depth: seating.depth })
}

/// Vee wheels that lie on little of their flanks.
fn lies_shallow(rider: &str, all: &[(&WheelMount, Shallow)]) -> Option<Finding> {
    let (mount, Shallow { least, depth }) = all.iter().min_by(|a, b| a.1.least.total_cmp(&b.1.least))?;
    let (least, depth) = (*least, *depth);
    let lie = if all.len() > 1 { "lie" } else { "lies" };
    Some(Finding {
        code: "wheel.shallow",
        severity: if least < HARDLY * LEAST_FLANK { Severity::Fails } else { Severity::Marginal },
        title: phrase![
            format!("{rider}: {} {lie} on only ", wheels(mount, all.len())),
            length(least, 2),
            " of flank"
        ],
        reason: phrase![
            "The tip enters the groove by ",
            length(depth, 2),
            ". So short a line of contact is pressed hard, wears to an edge, and a side load or a wheel that lifts a little lets it climb out. Required: ",
            length(LEAST_FLANK, 0),
            " of flank on flank (own assumption). A narrower tip or a wider mouth seats it deeper."
        ],
        paths: all.iter().map(|(mount, _)| mount.path.clone()).collect(),
        value: Some(least),
        limit: Some(LEAST_FLANK),
        unit: "mm",
        remedies: vec![Remedy {
            text: "a wheel with a narrower tip".into(),
            path: Some(mount.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    })
}
