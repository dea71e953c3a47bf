//! What could not be placed, and riders that leave the rail.

use super::Known;
use crate::{Finding, Severity, rider_x};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings: Vec<_> = known
        .assembly
        .faults
        .iter()
        .map(|fault| Finding {
            code: "place.impossible",
            severity: Severity::Fails,
            title: format!("{} cannot be placed", fault.path),
            reason: format!("{}. It is left out of everything else.", fault.what),
            paths: vec![fault.path.clone()],
            ..Finding::blank()
        })
        .collect();
    findings.extend(off_the_rail(known));
    findings
}

/// Wheels whose axle leaves the rail within the stroke.
fn off_the_rail(known: &Known<'_>) -> Vec<Finding> {
    let fixture = known.fixture;
    let mut findings = Vec::new();
    for (number, rider) in fixture.riders.iter().enumerate() {
        let mut worst: Option<(f64, f64, &str, &str)> = None;
        for travel in [fixture.stroke.from, fixture.stroke.to] {
            let x = rider_x(fixture, number, travel);
            for wheel in &rider.wheels {
                let at = x + wheel.along;
                let beyond = (-at).max(at - fixture.rail.length);
                if beyond > 0.0 && worst.is_none_or(|(seen, ..)| beyond > seen) {
                    worst = Some((beyond, travel, &wheel.name, &wheel.path));
                }
            }
        }
        let Some((beyond, travel, wheel, path)) = worst else { continue };
        let far = known.length(beyond, 1);
        findings.push(Finding {
            code: "travel.off_rail",
            severity: Severity::Fails,
            title: format!("{} runs off the rail: its {wheel} wheel by {far}", rider.name),
            reason: format!(
                "At travel {} the axle stands {far} beyond the rail's end. A longer rail, a shorter stroke or wheels closer together cure it.",
                known.length(travel, 1)
            ),
            paths: vec![path.to_owned(), "stroke".into()],
            value: Some(beyond),
            limit: Some(0.0),
            unit: "mm",
            at_travel: Some(travel),
            ..Finding::blank()
        });
    }
    findings
}
