//! How far does a rider rattle between its tracks?

use super::Known;
use crate::loads::{Play, PlayLimits};
use crate::phrase::{length, phrase};
use crate::{Finding, Remedy, Severity};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (rider, standing) in known.fixture.riders.iter().zip(known.riders) {
        let Some(limits) = standing.play_limits.filter(|_| matches!(standing.play, Play::Within(_))) else {
            continue;
        };
        let (most, tilt) = (known.fixture.limits.play, known.fixture.limits.tilt);
        let shift = limits.shift_y.width().max(limits.shift_z.width());
        let turn = limits.turn.iter().map(|range| range.width()).fold(0.0, f64::max);
        if !(shift > most || turn > tilt) {
            continue;
        }
        let by_turn = turn / tilt > shift / most;
        findings.push(Finding {
            code: "rider.play",
            severity: Severity::Marginal,
            title: if by_turn {
                format!("{} rocks by {:.2}° between its tracks", rider.name, turn.to_degrees()).into()
            } else {
                phrase![format!("{} rattles by ", rider.name), length(shift, 2), " between its tracks"]
            },
            reason: phrase![
                "Free of any load it moves from stop to stop by ",
                directions(&limits),
                ". Required: at most ",
                length(most, 2),
                format!(" and {:.2}°. It knocks from side to side whenever the load changes, and whatever it carries points elsewhere each time. Wheels set nearer to the rail, or further apart along it, take the play away.", tilt.to_degrees())
            ],
            paths: vec![rider.path.clone()],
            value: Some(if by_turn { turn.to_degrees() } else { shift }),
            limit: Some(if by_turn { tilt.to_degrees() } else { most }),
            unit: if by_turn { "°" } else { "mm" },
            remedies: vec![Remedy {
                text: "set the wheels of one side nearer to the rail".into(),
                path: rider.wheels.first().map(|wheel| wheel.path.clone()),
                by: None,
            }],
            ..Finding::blank()
        });
    }
    findings
}

/// "0.40 mm across, 0.10 mm out of the rail's face and 0.52°"
fn directions(limits: &PlayLimits) -> crate::Phrase {
    let turn = limits.turn.iter().map(|range| range.width()).fold(0.0, f64::max);
    phrase![
        length(limits.shift_y.width(), 2),
        " across the rail, ",
        length(limits.shift_z.width(), 2),
        format!(" out of its front face and {:.2}° about its freest axis", turn.to_degrees())
    ]
}
