//! Is there anything to set the preload with, and what do tolerances make of it?

use super::Known;
use super::eccentric::{is_adjustable, misfit};
use crate::phrase::{length, phrase, stretch};
use crate::{Finding, Remedy, Rider, Severity, WheelMount};

/// Two wheels stand across from each other when their axles are no farther apart along the rail (mm; own choice: half
/// of the smallest wheel there is).
const ABREAST: f64 = 6.0;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    known.fixture.riders.iter().filter_map(|rider| fixed(known, rider)).collect()
}

/// Whether two wheels press on opposite tracks.
fn face(known: &Known<'_>, a: &WheelMount, b: &WheelMount) -> bool {
    let normal = |mount: &WheelMount| known.fixture.rail.tracks.get(mount.track).map(|track| track.normal);
    normal(a).zip(normal(b)).is_some_and(|(a, b)| a.dot(b) < -0.5)
}

/// Wheels across from each other of which none can be set.
fn fixed(known: &Known<'_>, rider: &Rider) -> Option<Finding> {
    let mut pairs: Vec<(&WheelMount, &WheelMount)> = Vec::new();
    for (number, a) in rider.wheels.iter().enumerate() {
        for b in rider.wheels.iter().skip(number + 1) {
            if face(known, a, b) && (a.along - b.along).abs() < ABREAST {
                pairs.push((a, b));
            }
        }
    }
    let stuck: Vec<_> = pairs.iter().filter(|(a, b)| !is_adjustable(a) && !is_adjustable(b)).collect();
    let worst = stuck
        .iter()
        .map(|(a, b)| (a.press + b.press, misfit(known, rider, a)))
        .max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))?;
    let (press, off) = worst;
    let names: Vec<String> = stuck.iter().map(|(a, b)| format!("{} and {}", a.name, b.name)).collect();
    Some(Finding {
        code: "preload.fixed",
        severity: Severity::Note,
        title: format!("{}: all axles are fixed, nothing sets its wheels to the rail", rider.name).into(),
        reason: phrase![
            format!("Of {} none stands on an eccentric. ", names.join(", ")),
            "As drawn such two are pressed together by ",
            length(press, 2),
            "; wheels, mouths and holes may be off by ",
            length(off, 2),
            ", which leaves from ",
            stretch(press - off, press + off, 2),
            if press - off < 0.0 { ": loose in one build, tight in the next. " } else { ". " },
            "Spaced by what is made, they can only be taken as they come; one eccentric in each pair lets them be set."
        ],
        paths: stuck.iter().map(|(a, _)| a.path.clone()).collect(),
        value: Some(press - off),
        limit: Some(0.0),
        unit: "mm",
        remedies: vec![Remedy {
            text: "an eccentric instead of the spacer on one of each two".into(),
            path: stuck.first().map(|(a, _)| a.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    })
}
