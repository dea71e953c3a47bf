//! Is a screw tightened further than it should be?

use super::one_title::add;
use super::{Known, StackHere};
use crate::phrase::{self, figure, phrase};
use crate::{Finding, Measure, Remedy, Screw, Severity, stress_area};

/// A torque given may be so much more than the usual one: torques are set by hand (common practice, no source).
const LEEWAY: f64 = 1.1;

/// Share of its yield strength that tightening alone may bring into a screw's stress area (VDI 2230 practice, from
/// memory: turning it takes up the rest).
const TIGHTENED: f64 = 0.9;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for StackHere { rider, stack, path, .. } in known.stacks() {
        if let Some(finding) = tight(&rider.name, &stack.screw, path) {
            add(&mut findings, finding);
        }
    }
    findings
}

fn tight(rider: &str, screw: &Screw, path: &str) -> Option<Finding> {
    let (torque, usual) = (screw.torque?, screw.usual_torque?);
    let stress = screw.clamping() / stress_area(screw.diameter, screw.pitch);
    let bears = screw.yields.map(|yields| TIGHTENED * yields);
    let breaks = bears.is_some_and(|bears| stress > bears);
    if !(torque > LEEWAY * usual || breaks) {
        return None;
    }
    let pulled = bears.map_or_else(String::new, |bears| {
        format!(
            " It pulls the thread's stress area with {stress:.0} MPa (F = T/(0.2 d)); tightening should leave it below {bears:.0} MPa, 0.9 of what its class yields at."
        )
    });
    Some(Finding {
        code: "screw.torque",
        severity: if breaks { Severity::Fails } else { Severity::Marginal },
        title: phrase![
            format!("{rider}: {} is tightened with ", screw.name),
            phrase::torque(torque, 2),
            ", usual are ",
            figure(Measure::NewtonMetre, usual, 2)
        ],
        reason: phrase![
            "A screw of its class and head takes about ",
            phrase::torque(usual, 2),
            format!(
                " dry (see where the table's value comes from).{pulled} Beyond, thread or socket give way."
            )
        ],
        paths: vec![path.to_owned(), screw.path.clone()],
        value: Some(torque),
        limit: Some(LEEWAY * usual),
        unit: "N·mm",
        remedies: vec![Remedy {
            text: phrase!["no more than ", phrase::torque(usual, 2)],
            path: Some(screw.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    })
}
