//! Is a tyre pressed harder than its material allows, or so hard that a flat forms while it stands?

use super::Known;
use crate::{Finding, Material, Severity};

/// Contact pressure a plastic is taken to bear for long, as a share of its modulus, where none is given: plastics
/// are designed to a strain of about 1 % (common practice, no source).
const STRAIN: f64 = 0.01;

/// Above this modulus (MPa) a tyre is no plastic, and nothing is assumed about it.
const PLASTIC: f64 = 20_000.0;

/// Above this share of what is allowed, standing still leaves its mark (own assumption).
const PARKED: f64 = 0.5;

/// The pressure allowed and whether it is assumed.
fn allowed(tyre: &Material) -> Option<(f64, bool)> {
    match tyre.allowable_pressure {
        Some(given) => Some((given, false)),
        None => (tyre.youngs > 0.0 && tyre.youngs < PLASTIC).then_some((STRAIN * tyre.youngs, true)),
    }
}

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (number, rider) in known.fixture.riders.iter().enumerate() {
        let mut parked: Option<Finding> = None;
        let mut pressed: Option<(Finding, Vec<String>)> = None;
        for (wheel_number, mount) in rider.wheels.iter().enumerate() {
            let Some(wheel) = crate::loads::wheel_of(mount) else { continue };
            let Some((allowed, assumed)) = allowed(&wheel.tyre) else { continue };
            let worst = |case: super::Case<'_>| {
                case.held(&known.curves.travel)
                    .filter_map(|(loads, travel)| Some((loads.wheels.get(wheel_number)?.pressure, *travel)))
                    .filter(|(pressure, _)| !pressure.is_nan())
                    .max_by(|a, b| a.0.total_cmp(&b.0))
                    .map(|(pressure, travel)| (pressure, travel, case.way.map(|_| case.words(known))))
            };
            let mut cases = known.cases(number).filter_map(worst);
            let Some((parked_pressure, parked_travel, at_rest)) = cases.next() else { continue };
            let (pressure, travel, driven) =
                cases.fold((parked_pressure, parked_travel, at_rest), |most, other| {
                    if other.0 > most.0 { other } else { most }
                });
            let basis = if assumed {
                format!(
                    "{} is taken to bear {allowed:.0} MPa (assumed: 1 % of its modulus; give its material an allowable pressure if you know one)",
                    wheel.tyre.name
                )
            } else {
                format!("{} is taken to bear {allowed:.0} MPa", wheel.tyre.name)
            };
            let finding = |code, severity, title: String, reason: String, (pressure, travel)| Finding {
                code,
                severity,
                title: title.into(),
                reason: reason.into(),
                paths: vec![mount.path.clone()],
                value: Some(pressure),
                limit: Some(allowed),
                unit: "MPa",
                at_travel: Some(travel),
                ..Finding::blank()
            };
            if pressure > allowed {
                let found = finding(
                    "wheel.pressure",
                    Severity::Marginal,
                    format!(
                        "{}: the {} wheel's tyre is pressed with {pressure:.0} MPa{}",
                        rider.name,
                        mount.name,
                        driven.map_or_else(String::new, |how| format!(" {how}"))
                    ),
                    format!(
                        "{basis} in rolling contact. A larger wheel, a longer flank, less preload or less load helps; parked like this a plastic tyre creeps a flat."
                    ),
                    (pressure, travel),
                );
                // One finding a rider, that of the wheel pressed hardest.
                match &mut pressed {
                    Some((worst, others)) => {
                        if found.value > worst.value {
                            others.extend(std::mem::replace(worst, found).paths);
                        } else {
                            others.extend(found.paths);
                        }
                    }
                    None => pressed = Some((found, Vec::new())),
                }
            } else if parked_pressure > PARKED * allowed {
                match &mut parked {
                    Some(parked) => {
                        parked.paths.push(mount.path.clone());
                        if Some(parked_pressure) > parked.value {
                            parked.value = Some(parked_pressure);
                            parked.at_travel = Some(parked_travel);
                        }
                    }
                    None => {
                        parked = Some(finding(
                            "wheel.parked",
                            Severity::Note,
                            format!("{}: parked for long, its tyres may take a flat", rider.name),
                            format!(
                                "{basis}, and more than half of that presses on it at rest: enough for a plastic to creep where it stands. Ease the preload, or park it elsewhere from time to time."
                            ),
                            (parked_pressure, parked_travel),
                        ));
                    }
                }
            }
        }
        findings.extend(pressed.map(|(mut worst, others)| {
            worst.paths.extend(others);
            worst
        }));
        findings.extend(parked);
    }
    findings
}
