//! Is there anything to set the preload with, and what do tolerances make of it?

use super::Known;
use super::eccentric::{is_adjustable, misfit};
use crate::loads::{LoadCase, Wrench};
use crate::phrase::{length, phrase, stretch};
use crate::{Finding, Phrase, Remedy, Rider, Severity, WheelMount};

/// Two wheels stand across from each other when their axles are no farther apart along the rail (mm; own choice: half
/// of the smallest wheel there is).
const ABREAST: f64 = 6.0;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    known
        .fixture
        .riders
        .iter()
        .enumerate()
        .filter_map(|(number, rider)| fixed(known, number, rider))
        .collect()
}

/// Whether two wheels press on opposite tracks.
fn face(known: &Known<'_>, a: &WheelMount, b: &WheelMount) -> bool {
    let normal = |mount: &WheelMount| known.fixture.rail.tracks.get(mount.track).map(|track| track.normal);
    normal(a).zip(normal(b)).is_some_and(|(a, b)| a.dot(b) < -0.5)
}

/// The greater of the forces (N) with which two wheels are pressed without load when both stand nearer to the rail by half
/// of what the sizes may be off; `None` where nothing presses.
fn tightest(known: &Known<'_>, rider: usize, pair: [usize; 2], off: f64) -> Option<f64> {
    let more = |wheel: usize| if pair.contains(&wheel) { 0.5 * off } else { 0.0 };
    let loads = LoadCase::pressed(known.fixture, known.assembly, rider, more).loads(&Wrench::default());
    let forces = pair.iter().filter_map(|wheel| loads.wheels.get(*wheel)).map(|load| load.normal);
    forces.filter(|force| force.is_finite()).reduce(f64::max).filter(|force| *force > 0.5)
}

/// Wheels across from each other of which none can be set.
fn fixed(known: &Known<'_>, number: usize, rider: &Rider) -> Option<Finding> {
    let mut pairs: Vec<[(usize, &WheelMount); 2]> = Vec::new();
    for (one, a) in rider.wheels.iter().enumerate() {
        for (other, b) in rider.wheels.iter().enumerate().skip(one + 1) {
            if face(known, a, b) && (a.along - b.along).abs() < ABREAST {
                pairs.push([(one, a), (other, b)]);
            }
        }
    }
    let stuck: Vec<_> =
        pairs.iter().filter(|pair| pair.iter().all(|(_, mount)| !is_adjustable(mount))).collect();
    let worst = stuck
        .iter()
        .map(|pair| (pair[0].1.press + pair[1].1.press, misfit(known, rider, pair[0].1), pair))
        .max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))?;
    let (press, off, pair) = worst;
    let names: Vec<String> =
        stuck.iter().map(|[(_, a), (_, b)]| format!("{} and {}", a.name, b.name)).collect();
    let tight = tightest(known, number, pair.map(|(wheel, _)| wheel), off);
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
            if press - off < 0.0 { ": loose in one build, tight in the next" } else { "" },
            tight.map_or_else(Phrase::default, |force| phrase![
                ", where each is pressed with ",
                crate::phrase::force(force, 0)
            ]),
            ". Spaced by what is made, they can only be taken as they come; one eccentric in each pair lets them be set."
        ],
        paths: stuck.iter().map(|[(_, a), _]| a.path.clone()).collect(),
        value: Some(press - off),
        limit: Some(0.0),
        unit: "mm",
        remedies: vec![Remedy {
            text: "an eccentric instead of the spacer on one of each two".into(),
            path: stuck.first().map(|[(_, a), _]| a.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    })
}
