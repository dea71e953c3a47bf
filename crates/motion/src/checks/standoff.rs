//! Do all stacks through a plate agree on how far it stands off?

use super::Known;
use crate::phrase::{length, phrase};
use crate::{Finding, Severity};

/// Disagreement below this is taken up by the plate's give (mm; common practice, no source).
const GIVE: f64 = 0.05;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (rider, placed) in known.fixture.riders.iter().zip(&known.assembly.riders) {
        for (plate, place) in rider.plates.iter().zip(&placed.plates) {
            if place.disagreement <= GIVE {
                continue;
            }
            let skew = length(place.disagreement, 2);
            findings.push(Finding {
                code: "plate.skew",
                severity: Severity::Fails,
                title: phrase![format!("{}: the stacks hold {} ", rider.name, plate.name), &skew, " skew"],
                reason: phrase![
                    "The sizes between wheel and plate differ from stack to stack by ",
                    skew,
                    ", so the plate would be bent or the wheels cocked. Give all stacks the same sum of shim, spacer and half wheel."
                ],
                paths: vec![plate.path.clone()],
                value: Some(place.disagreement),
                limit: Some(GIVE),
                unit: "mm",
                ..Finding::blank()
            });
        }
    }
    findings
}
