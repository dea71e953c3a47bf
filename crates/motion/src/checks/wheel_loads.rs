//! Wheels that carry nothing, riders that are not held.

use super::Known;
use crate::loads::Motion;
use crate::phrase::{force, length, phrase, stretch};
use crate::{Finding, Severity, Way, listed};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (number, rider) in known.fixture.riders.iter().enumerate() {
        let standing = known.riders.get(number);
        if let Some(free) = standing.and_then(|standing| standing.unrestrained.as_ref()) {
            let travel = known.curves.travel.get(free.station).copied().unwrap_or(f64::NAN);
            let (severity, reason) = if free.driven {
                (
                    Severity::Fails,
                    phrase![
                        "At travel ",
                        length(travel, 1),
                        " its wheels and shoes cannot carry the load: nothing pushes back against this motion, so it will make it."
                    ],
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
                title: format!("{} is not held: it is free to {}", rider.name, free.words).into(),
                reason,
                paths: vec![rider.path.clone()],
                at_travel: Some(travel),
                ..Finding::blank()
            });
            if free.driven {
                continue;
            }
        }
        if let Some(finding) = tips_while_moving(known, number) {
            findings.push(finding);
        }
        findings.extend(lifts(known, number));
        findings.extend(lifts_while_moving(known, number));
        findings.extend(tilt(known, number));
    }
    findings
}

/// "the upper left wheel lifts off", "the upper left and upper right wheels lift off"
fn lift_off(names: &[&str]) -> String {
    match names.len() {
        0 => String::new(),
        1 => format!("the {} wheel lifts off", listed(names)),
        _ => format!("the {} wheels lift off", listed(names)),
    }
}

/// Wheels that carry nothing somewhere, at rest.
fn lifts(known: &Known<'_>, number: usize) -> Option<Finding> {
    let (rider, stations) = (known.fixture.riders.get(number)?, known.curves.loads.get(number)?);
    let (mut names, mut paths, mut used) = (Vec::new(), Vec::new(), 0.0_f64);
    let (mut from, mut to) = (f64::INFINITY, f64::NEG_INFINITY);
    for (place, wheel) in rider.wheels.iter().enumerate() {
        let idle = stations
            .iter()
            .zip(&known.curves.travel)
            .filter(|(loads, _)| loads.wheels.get(place).is_some_and(|load| !load.is_loaded()))
            .map(|(_, travel)| *travel);
        let Some((first, last)) =
            idle.fold(None, |seen: Option<(f64, f64)>, at| Some((seen.map_or(at, |s| s.0), at)))
        else {
            continue;
        };
        (from, to) = (from.min(first), to.max(last));
        names.push(wheel.name.as_str());
        paths.push(wheel.path.clone());
        let preload = known.riders.get(number).and_then(|standing| standing.preload.get(place));
        used = used.max(preload.map_or(0.0, |preload| preload.unloaded));
    }
    if names.is_empty() {
        return None;
    }
    let preload = if used > 0.0 {
        phrase!["A preload of up to ", force(used, 1), " without load is used up."]
    } else {
        "It is not pressed to the rail without load.".into()
    };
    Some(Finding {
        code: "wheel.unloaded",
        severity: Severity::Marginal,
        title: format!("{}: {} the rail", rider.name, lift_off(&names)).into(),
        reason: phrase![
            "From travel ",
            stretch(from, to, 1),
            " the load turns the rider so that nothing is carried there. ",
            preload,
            " More preload at the eccentrics or a wider wheelbase keeps it running."
        ],
        paths,
        value: Some(0.0),
        limit: Some(0.0),
        unit: "N",
        at_travel: Some(from),
        stretches: vec![(from, to)],
        ..Finding::blank()
    })
}

/// Wheels that run at rest but carry nothing somewhere while the rider is driven.
fn lifts_while_moving(known: &Known<'_>, number: usize) -> Option<Finding> {
    let (rider, rest) = (known.fixture.riders.get(number)?, known.curves.loads.get(number)?);
    let moving = known.curves.moving.get(number)?;
    let (mut names, mut paths) = (Vec::new(), Vec::new());
    let mut first: Option<(f64, Way)> = None;
    for (place, wheel) in rider.wheels.iter().enumerate() {
        let lifts = |loads: &crate::loads::RiderLoads| {
            loads.equilibrium.ending == crate::loads::SolveEnding::Exact
                && loads.wheels.get(place).is_some_and(|load| !load.is_loaded())
        };
        if rest.iter().any(lifts) {
            continue;
        }
        let found = [(&moving.up, Way::Growing), (&moving.down, Way::Falling)]
            .iter()
            .find_map(|(list, way)| Some((*known.curves.travel.get(list.iter().position(lifts)?)?, *way)));
        let Some(found) = found else { continue };
        if first.is_none_or(|known| found.0 < known.0) {
            first = Some(found);
        }
        names.push(wheel.name.as_str());
        paths.push(wheel.path.clone());
    }
    let (travel, way) = first.map(|(travel, way)| (travel, known.fixture.rail.stand.way(way)))?;
    Some(Finding {
        code: "wheel.unloaded_moving",
        severity: Severity::Marginal,
        title: format!("{}: {} while it is driven", rider.name, lift_off(&names)).into(),
        reason: phrase![
            format!("At rest all run; driven {way}, first at "),
            length(travel, 1),
            ", the drive's pull, friction and inertia turn the rider so that nothing is carried there."
        ],
        paths,
        value: Some(0.0),
        limit: Some(0.0),
        unit: "N",
        at_travel: Some(travel),
        ..Finding::blank()
    })
}

/// A rider that its contacts hold at rest but not as it is driven.
fn tips_while_moving(known: &Known<'_>, number: usize) -> Option<Finding> {
    let rider = known.fixture.riders.get(number)?;
    known.cases(number).filter(|case| case.way.is_some()).find_map(|case| {
        let station = case.loads.iter().position(|loads| !loads.is_held())?;
        let free = case.loads.get(station)?.equilibrium.free.as_deref()?;
        let travel = *known.curves.travel.get(station)?;
        let words = crate::loads::loose_words(known.fixture, rider, free);
        Some(Finding {
            code: "rider.unrestrained_moving",
            severity: Severity::Fails,
            title: format!("{} is not held {}: it is free to {words}", rider.name, case.words(known)).into(),
            reason: phrase![
                "It stands at rest; but at travel ",
                length(travel, 1),
                " its wheels and shoes cannot carry the drive's pull, friction and inertia: nothing pushes back against this motion. Less acceleration, or a pull nearer to the rail, cures it."
            ],
            paths: vec![rider.path.clone()],
            at_travel: Some(travel),
            ..Finding::blank()
        })
    })
}

/// Tilt beyond what is asked, at rest or as it is driven.
fn tilt(known: &Known<'_>, number: usize) -> Option<Finding> {
    let rider = known.fixture.riders.get(number)?;
    let worst = |case: super::Case<'_>| {
        case.loads
            .iter()
            .zip(&known.curves.travel)
            .filter(|(loads, _)| loads.is_held() || case.way.is_none())
            .map(|(loads, travel)| {
                let motion = loads.equilibrium.motion;
                // One that shifts beyond all measure counts with those that tilt so.
                let far = if motion.shift.length() > Motion::SMALL_SHIFT { f64::INFINITY } else { 0.0 };
                (motion.turn.length().max(far), *travel)
            })
            .filter(|(angle, _)| !angle.is_nan())
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(angle, travel)| (angle, travel, case.words(known)))
    };
    // At rest counts where moving is no worse.
    let (angle, travel, how) = known
        .cases(number)
        .filter_map(worst)
        .reduce(|most, other| if other.0 > most.0 { other } else { most })?;
    let limit = known.fixture.limits.tilt;
    let beyond = angle > Motion::SMALL_TURN;
    let cure = "Wheels further apart along the rail, the load closer to it or stiffer axles reduce it.";
    (angle > limit || beyond).then(|| Finding {
        code: "rider.tilt",
        severity: if beyond { Severity::Fails } else { Severity::Marginal },
        title: if beyond {
            let (turn, shift) = (Motion::SMALL_TURN.to_degrees(), length(Motion::SMALL_SHIFT, 0));
            if angle.is_finite() {
                format!("{} tilts by more than {turn:.0}° {how}", rider.name).into()
            } else {
                phrase![format!("{} shifts by more than ", rider.name), shift, format!(" {how}")]
            }
        } else {
            format!("{} tilts by {:.2}° {how}", rider.name, angle.to_degrees()).into()
        },
        reason: if beyond {
            phrase![
                format!(
                    "Motions off the nominal place are taken as small, up to {:.0}° and ",
                    Motion::SMALL_TURN.to_degrees()
                ),
                length(Motion::SMALL_SHIFT, 0),
                "; at travel ",
                length(travel, 1),
                format!(
                    " it goes further, so its loads and efforts are not to be believed, and its gaps are told as drawn. {cure}"
                )
            ]
        } else {
            phrase![
                format!("Required: at most {:.2}°. It is worst at travel ", limit.to_degrees()),
                length(travel, 1),
                format!(". {cure}")
            ]
        },
        paths: vec![rider.path.clone()],
        // Beyond the model only that it is beyond is known.
        value: Some(angle.min(Motion::SMALL_TURN).to_degrees()),
        limit: Some(limit.min(Motion::SMALL_TURN).to_degrees()),
        unit: "°",
        at_travel: Some(travel),
        ..Finding::blank()
    })
}
