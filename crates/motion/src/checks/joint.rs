//! Do the joints between plates and wheels stay closed?

use super::Known;
use crate::loads::Opening;
use crate::phrase::{force, phrase, torque};
use crate::{Finding, Phrase, Screw, Severity, TORQUE_COEFFICIENT};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    for (number, rider) in known.fixture.riders.iter().enumerate() {
        let worst = rider.wheels.iter().enumerate().filter_map(|(place, mount)| {
            let worst = |case: super::Case<'_>| {
                case.held(&known.curves.travel)
                    .filter_map(|(loads, travel)| {
                        Some((loads.wheels.get(place)?.opening.filter(Opening::is_open)?, *travel))
                    })
                    .max_by(|a, b| a.0.used().total_cmp(&b.0.used()))
            };
            let openings = known.cases(number).filter_map(worst);
            let (opening, travel) = openings.max_by(|a, b| a.0.used().total_cmp(&b.0.used()))?;
            Some((mount, opening, travel))
        });
        let open: Vec<_> = worst.collect();
        let Some((mount, opening, travel)) =
            open.iter().max_by(|a, b| a.1.used().total_cmp(&b.1.used())).copied()
        else {
            continue;
        };
        let names: Vec<&str> = open.iter().map(|(mount, ..)| mount.name.as_str()).collect();
        findings.push(Finding {
            code: "wheel.joint",
            severity: Severity::Marginal,
            title: format!(
                "{}: what is clamped on the screw of {} opens under load",
                rider.name,
                names.join(", ")
            ).into(),
            reason: phrase!["Bending there reaches ", torque(opening.moment, 2), format!(" on {}, and ", mount.name), torque(opening.limit, 2), " lift an edge off (F(D² + d²)/8D for a tube of diameters D and d) at a clamping force of ", force(mount.stack.screw.clamping(), 0), " (", basis(&mount.stack.screw), "). From there on the screw bends alone, which the loads allow for. A higher torque, a wider or a shorter spacer keeps it closed."],
            paths: open.iter().map(|(mount, ..)| mount.path.clone()).collect(),
            value: Some(1e-3 * opening.moment),
            limit: Some(1e-3 * opening.limit),
            unit: "N·m",
            at_travel: Some(travel),
            ..Finding::blank()
        });
    }
    findings
}

/// What the clamping force of a screw is known by.
fn basis(screw: &Screw) -> Phrase {
    match screw.torque {
        Some(given) => phrase![torque(given, 2), format!(" given, F = T/({TORQUE_COEFFICIENT} d)")],
        None => phrase![
            "assumed: ",
            torque(TORQUE_COEFFICIENT * screw.diameter * screw.clamping(), 1),
            ", careful tightening; give the stack a torque if you know it"
        ],
    }
}
