//! What could not be placed, and riders that leave the rail.

use super::Known;
use crate::phrase::{length, phrase};
use crate::{Finding, Severity, rider_x};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings: Vec<_> = known
        .assembly
        .faults
        .iter()
        .map(|fault| Finding {
            code: "place.impossible",
            severity: Severity::Fails,
            title: format!("{} cannot be placed", fault.name).into(),
            reason: phrase![fault.what.phrase(), ". It is left out of everything else."],
            paths: vec![fault.path.clone()],
            ..Finding::blank()
        })
        .collect();
    findings.extend(off_the_rail(known));
    findings
}

/// What of a rider overhangs the rail's end.
struct Overhang<'a> {
    /// How far (mm).
    beyond: f64,
    travel: f64,
    name: &'a str,
    path: &'a str,
    /// Half the length of its contact (mm).
    half_length: f64,
    is_shoe: bool,
}

/// Wheels and shoes whose contact leaves the rail within the stroke. What moves along the rail moves evenly with
/// travel, so that the stroke's ends are the worst.
fn off_the_rail(known: &Known<'_>) -> Vec<Finding> {
    let fixture = known.fixture;
    let mut findings = Vec::new();
    let last = known.curves.travel.len().saturating_sub(1);
    for (number, rider) in fixture.riders.iter().enumerate() {
        let mut worst: Option<Overhang<'_>> = None;
        for (travel, station) in [(fixture.stroke.from, 0), (fixture.stroke.to, last)] {
            let x = rider_x(fixture, number, travel);
            let pressed = |wheel: usize| {
                known
                    .cases(number)
                    .filter_map(|case| Some(case.loads.get(station)?.wheels.get(wheel)?.half_length))
                    .fold(0.0, f64::max)
            };
            let wheels = rider.wheels.iter().enumerate().map(|(place, wheel)| {
                (x + wheel.along, pressed(place), wheel.name.as_str(), wheel.path.as_str(), false)
            });
            let shoes = rider.shoes.iter().map(|shoe| {
                (x + shoe.along, 0.5 * shoe.length, shoe.name.as_str(), shoe.path.as_str(), true)
            });
            for (at, half_length, name, path, is_shoe) in wheels.chain(shoes) {
                let beyond = (-at).max(at - fixture.rail.length) + half_length;
                if beyond > BEYOND && worst.as_ref().is_none_or(|seen| beyond > seen.beyond) {
                    worst = Some(Overhang { beyond, travel, name, path, half_length, is_shoe });
                }
            }
        }
        if let Some(worst) = worst {
            findings.push(overhang(known, &rider.name, &worst));
        }
    }
    findings
}

/// Overhang that is only rounding (mm).
const BEYOND: f64 = 1e-6;

fn overhang(known: &Known<'_>, rider: &str, worst: &Overhang<'_>) -> Finding {
    let Overhang { beyond, travel, name, path, half_length, is_shoe } = *worst;
    let (what, far, how) = if is_shoe {
        let far = length(beyond, 1);
        let how = phrase!["a stretch of ", &far, " of its sliding face stands beyond the rail's end"];
        ("shoe", far, how)
    } else if beyond > half_length {
        let far = length(beyond - half_length, 1);
        let how = phrase!["the axle stands ", &far, " beyond the rail's end"];
        ("wheel", far, how)
    } else {
        // A contact is some tenths long.
        let far = length(beyond, 2);
        let how = phrase![
            "its contact is ",
            length(2.0 * half_length, 2),
            " long under its load, and ",
            &far,
            " of that stands beyond the rail's end: the edge presses into the tyre"
        ];
        ("wheel", far, how)
    };
    let beyond = if is_shoe || beyond <= half_length { beyond } else { beyond - half_length };
    Finding {
        code: "travel.off_rail",
        severity: Severity::Fails,
        title: phrase![format!("{rider} runs off the rail: its {name} {what} by "), far],
        reason: phrase![
            "At travel ",
            length(travel, 1),
            " ",
            how,
            format!(". A longer rail, a shorter stroke or {what}s closer together help.")
        ],
        paths: vec![path.to_owned(), known.fixture.paths.stroke.clone()],
        value: Some(beyond),
        limit: Some(0.0),
        unit: "mm",
        at_travel: Some(travel),
        ..Finding::blank()
    }
}
