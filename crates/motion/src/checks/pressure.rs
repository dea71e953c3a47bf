//! Is a tyre pressed harder than its material allows?

use super::Known;
use crate::{Finding, Severity};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (number, rider) in known.fixture.riders.iter().enumerate() {
        let Some(stations) = known.curves.loads.get(number) else { continue };
        for (wheel_number, mount) in rider.wheels.iter().enumerate() {
            let Some(wheel) = crate::loads::wheel_of(mount) else { continue };
            let Some(allowed) = wheel.tyre.allowable_pressure else { continue };
            let worst = stations
                .iter()
                .zip(&known.curves.travel)
                .filter_map(|(loads, travel)| Some((loads.wheels.get(wheel_number)?.pressure, *travel)))
                .max_by(|a, b| a.0.total_cmp(&b.0));
            let Some((pressure, travel)) = worst.filter(|(pressure, _)| *pressure > allowed) else {
                continue;
            };
            findings.push(Finding {
                code: "wheel.pressure",
                severity: Severity::Marginal,
                title: format!(
                    "{}: the {} wheel's tyre is pressed with {pressure:.0} MPa",
                    rider.name, mount.name
                ),
                reason: format!(
                    "{} is taken to bear {allowed:.0} MPa in rolling contact; parked under this load a plastic tyre creeps a flat. A larger wheel, a longer flank or less load helps.",
                    wheel.tyre.name
                ),
                paths: vec![mount.path.clone()],
                value: Some(pressure),
                limit: Some(allowed),
                unit: "MPa",
                at_travel: Some(travel),
                ..Finding::blank()
            });
        }
    }
    findings
}
