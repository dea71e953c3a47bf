//! Wheels that carry nothing, riders that are not held.

use super::Known;
use crate::loads::SolveEnding;
use crate::{Finding, Severity};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (number, rider) in known.fixture.riders.iter().enumerate() {
        let Some(stations) = known.curves.loads.get(number) else { continue };
        if rider.wheels.is_empty() {
            continue;
        }
        let unrestrained = stations.iter().zip(&known.curves.travel).find_map(|(loads, travel)| match loads
            .equilibrium
            .ending
        {
            SolveEnding::Unrestrained(motion) => Some((motion, *travel)),
            _ => None,
        });
        if let Some((motion, travel)) = unrestrained {
            findings.push(Finding {
                code: "rider.unrestrained",
                severity: Severity::Fails,
                title: format!("{} is not held: it can {}", rider.name, motion_words(&motion)),
                reason: format!(
                    "At travel {travel:.1} mm its wheels cannot carry the load: nothing pushes back against this motion."
                ),
                paths: vec![rider.path.clone()],
                at_travel: Some(travel),
                ..Finding::blank()
            });
            continue;
        }
        for (wheel_number, wheel) in rider.wheels.iter().enumerate() {
            let idle: Vec<f64> = stations
                .iter()
                .zip(&known.curves.travel)
                .filter(|(loads, _)| loads.wheels.get(wheel_number).is_some_and(|load| !load.is_loaded()))
                .map(|(_, travel)| *travel)
                .collect();
            let (Some(first), Some(last)) = (idle.first(), idle.last()) else { continue };
            findings.push(Finding {
                code: "wheel.unloaded",
                severity: Severity::Marginal,
                title: format!("{}: the {} wheel lifts off the rail", rider.name, wheel.name),
                reason: format!(
                    "From travel {first:.1} to {last:.1} mm the load turns the rider so that this wheel carries nothing. More preload at the eccentrics or a wider wheelbase keeps it running."
                ),
                paths: vec![wheel.path.clone()],
                value: Some(0.0),
                limit: Some(0.0),
                unit: "N",
                at_travel: Some(*first),
                stretches: vec![(*first, *last)],
                ..Finding::blank()
            });
        }
        findings.extend(tilt(known, number));
    }
    findings
}

/// Tilt beyond what is asked.
fn tilt(known: &Known<'_>, number: usize) -> Option<Finding> {
    let rider = known.fixture.riders.get(number)?;
    let (angle, travel) = known
        .curves
        .loads
        .get(number)?
        .iter()
        .zip(&known.curves.travel)
        .map(|(loads, travel)| (loads.equilibrium.motion.turn.length(), *travel))
        .filter(|(angle, _)| angle.is_finite())
        .max_by(|a, b| a.0.total_cmp(&b.0))?;
    let limit = known.fixture.limits.tilt;
    (angle > limit).then(|| Finding {
        code: "rider.tilt",
        severity: Severity::Marginal,
        title: format!("{} tilts by {:.2}° under its load", rider.name, angle.to_degrees()),
        reason: format!(
            "Asked: at most {:.2}°. It is worst at travel {travel:.1} mm. Wheels further apart along the rail, the load closer to it or stiffer axles reduce it.",
            limit.to_degrees()
        ),
        paths: vec![rider.path.clone()],
        value: Some(angle.to_degrees()),
        limit: Some(limit.to_degrees()),
        unit: "°",
        at_travel: Some(travel),
        ..Finding::blank()
    })
}

fn motion_words(motion: &crate::loads::Motion) -> &'static str {
    let reach = 50.0;
    let parts = [
        (motion.shift.y.abs(), "slide off sideways (across the rail)"),
        (motion.shift.z.abs(), "lift off front to back"),
        (motion.turn.x.abs() * reach, "roll about the rail"),
        (motion.turn.y.abs() * reach, "pitch about the cross axis"),
        (motion.turn.z.abs() * reach, "turn in the plane of the rail's face"),
    ];
    parts.iter().max_by(|a, b| a.0.total_cmp(&b.0)).map_or("move", |part| part.1)
}
