//! Do the figures mean anything: are they numbers, and within the reach of the models behind them?

use super::Known;
use crate::phrase::{length, phrase};
use crate::{Finding, Phrase, Remedy, Severity, StackOf};

/// Press up to which the contact law holds, as a share of the running radius. Hertz's law asks for a contact small
/// against the radii: with half-width a and approach δ = a²/R, a tenth of R is a = 0.32 R (a/R ≤ 0.3 is common
/// practice, no source).
const GREATEST_PRESS: f64 = 0.1;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = not_finite(known);
    for number in 0..known.fixture.riders.len() {
        findings.extend(presses(known, number));
    }
    findings
}

/// Whether nothing says already why figures of a rider are missing.
fn is_held(known: &Known<'_>, number: usize) -> bool {
    known.riders.get(number).is_none_or(|rider| rider.unrestrained.is_none())
}

/// Figures that are not finite: sizes so far apart that their differences or products are lost.
fn not_finite(known: &Known<'_>) -> Vec<Finding> {
    let curves = known.curves;
    let all_held = (0..known.fixture.riders.len()).all(|number| is_held(known, number));
    let mut missing: Vec<(&str, &[f64])> = Vec::new();
    if all_held {
        missing.extend([("the imbalance", curves.imbalance.as_slice()), ("the energy", &curves.energy)]);
    }
    // What no push moves is told as that.
    if all_held && !curves.jams_somewhere() {
        missing.extend([
            ("the running resistance", curves.running_up.as_slice()),
            ("the running resistance", &curves.running_down),
            ("the breakaway resistance", &curves.breakaway_up),
            ("the breakaway resistance", &curves.breakaway_down),
            ("the effort", &curves.effort_up),
            ("the effort", &curves.effort_down),
            ("the torque", &curves.torque_up),
            ("the torque", &curves.torque_down),
        ]);
    }
    let mut findings: Vec<Finding> = Vec::new();
    for (what, curve) in missing {
        let Some(station) = curve.iter().position(|value| !value.is_finite()) else { continue };
        let travel = curves.travel.get(station).copied();
        let title = Phrase::from(format!("{what} cannot be worked out"));
        if findings.iter().all(|known| known.title != title) {
            findings.push(blank(title, travel));
        }
    }
    for (rider, placed) in known.fixture.riders.iter().zip(&known.assembly.riders) {
        if !placed.mass.total().is_finite() {
            let mut finding = blank(format!("the mass of {} cannot be worked out", rider.name).into(), None);
            finding.paths = vec![rider.path.clone()];
            findings.push(finding);
        }
    }
    for (number, rider) in known.fixture.riders.iter().enumerate() {
        let poses = known.riders.get(number).map_or(&[][..], |standing| &standing.poses);
        let Some(station) = poses.iter().position(|pose| !pose.is_finite()) else { continue };
        if is_held(known, number) {
            let travel = curves.travel.get(station).copied();
            let mut finding = blank(format!("how {} stands cannot be worked out", rider.name).into(), travel);
            finding.paths = vec![rider.path.clone()];
            findings.push(finding);
        }
    }
    findings
}

fn blank(title: Phrase, travel: Option<f64>) -> Finding {
    Finding {
        code: "figures.not_finite",
        severity: Severity::Fails,
        title,
        reason: "The calculation gives no finite number, so nothing that hangs on it can be believed. Sizes, masses or stiffnesses too far from those of a real fixture are the usual cause.".into(),
        at_travel: travel.filter(|travel| travel.is_finite()),
        remedies: vec![Remedy {
            text: "look for a size that is far too large or too small".into(),
            path: None,
            by: None,
        }],
        ..Finding::blank()
    }
}

/// Wheels pressed beyond what the contact law is good for, and wheels that stand outside their groove.
fn presses(known: &Known<'_>, number: usize) -> Vec<Finding> {
    let (Some(rider), Some(placed)) = (known.fixture.riders.get(number), known.assembly.riders.get(number))
    else {
        return Vec::new();
    };
    let mut findings = Vec::new();
    for stack in &placed.stacks {
        let (StackOf::Wheel(wheel), Some(seating)) = (stack.of, &stack.seating) else { continue };
        let Some(mount) = rider.wheels.get(wheel) else { continue };
        let most = GREATEST_PRESS * seating.axle_height.abs();
        let (title, reason, limit) = if mount.press > most {
            (
                phrase![
                    format!("{}: the {} wheel is pressed ", rider.name, mount.name),
                    length(mount.press, 2),
                    " into the rail"
                ],
                phrase![
                    "The contact law holds for approaches small against the radius, here up to ",
                    length(most, 2),
                    ". Figures beyond are not to be believed; a real wheel is pressed by hundredths of a millimetre."
                ],
                most,
            )
        } else if seating.depth > 0.0 && -mount.press >= seating.depth {
            (
                format!("{}: the {} wheel stands outside its groove", rider.name, mount.name).into(),
                phrase![
                    "It reaches ",
                    length(seating.depth, 2),
                    " into the groove and is set ",
                    length(-mount.press, 2),
                    " away from it: nothing guides it. Figures beyond are not to be believed."
                ],
                -seating.depth,
            )
        } else {
            continue;
        };
        findings.push(Finding {
            code: "wheel.press",
            severity: Severity::Fails,
            title,
            reason,
            paths: vec![mount.path.clone()],
            value: Some(mount.press),
            limit: Some(limit),
            unit: "mm",
            remedies: vec![Remedy {
                text: format!("set the {} wheel's preload nearer to 0", mount.name).into(),
                path: Some(mount.path.clone()),
                by: None,
            }],
            ..Finding::blank()
        });
    }
    findings
}
