//! Does it stay where it is left when it is shaken?

use super::Known;
use crate::phrase::{force, length, phrase};
use crate::{Drive, Finding, Severity};

/// A stretch of travel that holds by less than this share of its running friction is on the edge, not beyond it: below
/// the last digit of any friction (own choice).
const EDGE: f64 = 1e-3;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let curves = known.curves;
    // A motor holds, and what drifts anyway is told as that; of what jams there is nothing to tell.
    if matches!(known.fixture.drive, Drive::Motor(_)) || curves.jams_somewhere() {
        return Vec::new();
    }
    if (0..curves.travel.len()).any(|index| !curves.holds(index)) {
        return Vec::new();
    }
    let left = |index: usize| {
        let imbalance = *curves.imbalance.get(index)?;
        // What must be pushed up creeps down.
        let runs = if imbalance > 0.0 { &curves.running_down } else { &curves.running_up };
        let runs = *runs.get(index)?;
        Some((runs - imbalance.abs(), imbalance.abs(), runs))
    };
    let Some((travel, (margin, pulls, runs))) = (0..curves.travel.len())
        .filter_map(|index| Some((*curves.travel.get(index)?, left(index)?)))
        .min_by(|a, b| a.1.0.total_cmp(&b.1.0))
    else {
        return Vec::new();
    };
    if !(margin < -EDGE * runs) {
        return Vec::new();
    }
    vec![Finding {
        code: "balance.creeps",
        severity: Severity::Marginal,
        title: "It holds at rest and creeps when it is shaken".into(),
        reason: phrase![
            "At travel ",
            length(travel, 1),
            phrase![
                " weights, line and springs pull with ",
                force(pulls, 2),
                ". That is less than it takes to break away, and more than the ",
                force(runs, 2),
                " of friction while it runs: a knock or a passing lorry sets it going and it does not stop by itself. Required: held by its running friction alone. More balance, more friction or a brake keeps it."
            ]
        ],
        value: Some(pulls),
        limit: Some(runs),
        unit: "N",
        at_travel: Some(travel),
        remedies: known
            .hold_bands
            .iter()
            .filter_map(|band| {
                let rider = known.fixture.riders.get(band.rider)?;
                Some(crate::Remedy {
                    text: format!("bring {} to the middle of its hold band", rider.name).into(),
                    path: Some(rider.path.clone()),
                    by: None,
                })
            })
            .take(1)
            .collect(),
        ..Finding::blank()
    }]
}
