//! Wheels that carry nothing, riders that are not held.

use super::Known;
use crate::{Finding, Severity};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (number, rider) in known.fixture.riders.iter().enumerate() {
        let Some(stations) = known.curves.loads.get(number) else { continue };
        let standing = known.riders.get(number);
        if let Some(free) = standing.and_then(|standing| standing.unrestrained.as_ref()) {
            let travel = known.curves.travel.get(free.station).copied().unwrap_or(f64::NAN);
            let (severity, reason) = if free.driven {
                (
                    Severity::Fails,
                    format!(
                        "At travel {travel:.1} mm its wheels and shoes cannot carry the load: nothing pushes back against this motion, so it will make it."
                    ),
                )
            } else {
                (
                    Severity::Marginal,
                    "The load does not drive this motion, but nothing holds it either: a touch moves it."
                        .into(),
                )
            };
            findings.push(Finding {
                code: "rider.unrestrained",
                severity,
                title: format!("{} is not held: it is free to {}", rider.name, free.words),
                reason,
                paths: vec![rider.path.clone()],
                at_travel: Some(travel),
                ..Finding::blank()
            });
            if free.driven {
                continue;
            }
        }
        for (wheel_number, wheel) in rider.wheels.iter().enumerate() {
            let idle: Vec<f64> = stations
                .iter()
                .zip(&known.curves.travel)
                .filter(|(loads, _)| loads.wheels.get(wheel_number).is_some_and(|load| !load.is_loaded()))
                .map(|(_, travel)| *travel)
                .collect();
            let (Some(first), Some(last)) = (idle.first(), idle.last()) else {
                findings.extend(lifts_while_moving(known, number, wheel_number));
                continue;
            };
            let preload = standing
                .and_then(|standing| standing.preload.get(wheel_number))
                .filter(|preload| preload.unloaded > 0.0)
                .map_or_else(
                    || "It is not pressed to the rail without load.".to_owned(),
                    |preload| format!("Its press of {:.1} N without load is used up.", preload.unloaded),
                );
            findings.push(Finding {
                code: "wheel.unloaded",
                severity: Severity::Marginal,
                title: format!("{}: the {} wheel lifts off the rail", rider.name, wheel.name),
                reason: format!(
                    "From travel {first:.1} to {last:.1} mm the load turns the rider so that this wheel carries nothing. {preload} More preload at the eccentrics or a wider wheelbase keeps it running."
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

/// A wheel that runs at rest and lifts off only while the rider is driven.
fn lifts_while_moving(known: &Known<'_>, number: usize, wheel_number: usize) -> Option<Finding> {
    let rider = known.fixture.riders.get(number)?;
    let wheel = rider.wheels.get(wheel_number)?;
    let moving = &known.riders.get(number)?.moving;
    let (station, way) =
        [(&moving.up, "growing"), (&moving.down, "falling")].iter().find_map(|(list, way)| {
            let lifts = |loads: &crate::loads::RiderLoads| {
                loads.equilibrium.ending == crate::loads::SolveEnding::Exact
                    && loads.wheels.get(wheel_number).is_some_and(|load| !load.is_loaded())
            };
            Some((list.iter().position(lifts)?, *way))
        })?;
    let travel = known.curves.travel.get(station).copied()?;
    Some(Finding {
        code: "wheel.unloaded_moving",
        severity: Severity::Note,
        title: format!("{}: the {} wheel lifts off while it is driven", rider.name, wheel.name),
        reason: format!(
            "At rest it runs; driven towards {way} travel, first at {travel:.1} mm, the drive's pull, friction and inertia turn the rider so that this wheel carries nothing."
        ),
        paths: vec![wheel.path.clone()],
        value: Some(0.0),
        limit: Some(0.0),
        unit: "N",
        at_travel: Some(travel),
        ..Finding::blank()
    })
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
