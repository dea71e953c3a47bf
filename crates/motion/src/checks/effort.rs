//! Is it moved with a comfortable effort?

use super::Known;
use crate::phrase::{force, length, phrase};
use crate::{Drive, Finding, Phrase, Severity};

/// What a hand may be asked for often (N): university ergonomics notes.
const OFTEN: f64 = 10.0;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    // What jams takes no effort that could be told, nor does what tips off its rail.
    let tips = known.riders.iter().any(|rider| rider.unrestrained.as_ref().is_some_and(|free| free.driven));
    if known.fixture.drive != Drive::Hand || tips || known.curves.jams_somewhere() {
        return Vec::new();
    }
    let curves = known.curves;
    let limit = known.fixture.limits.effort;
    let (up, down) = (curves.greatest(&curves.effort_up), curves.greatest(&curves.effort_down));
    let Some((effort, travel)) = [up, down].into_iter().flatten().max_by(|a, b| a.0.total_cmp(&b.0)) else {
        return Vec::new();
    };
    if effort <= limit {
        return Vec::new();
    }
    vec![Finding {
        code: "effort.high",
        severity: Severity::Marginal,
        title: phrase!["Moving it takes up to ", force(effort, 1)],
        reason: phrase![
            phrase![
                "More than the ",
                force(limit, 1),
                " required (a control that one hand moves often: below ",
                force(OFTEN, 0),
                ", university ergonomics notes). It is most at travel "
            ],
            length(travel, 1),
            ", ",
            causes(known, travel)
        ],
        paths: vec![known.fixture.paths.limits.clone()],
        value: Some(effort),
        limit: Some(limit),
        unit: "N",
        at_travel: Some(travel),
        ..Finding::blank()
    }]
}

/// What the greatest effort is made of.
fn causes(known: &Known<'_>, travel: f64) -> Phrase {
    let curves = known.curves;
    let Some(index) = curves.travel.iter().position(|at| *at >= travel) else { return Phrase::default() };
    let get = |curve: &[f64]| curve.get(index).copied().unwrap_or(f64::NAN);
    let upwards = get(&curves.effort_up) >= get(&curves.effort_down);
    let (running, loss) = if upwards {
        (get(&curves.running_up), get(&curves.line_loss_up))
    } else {
        (get(&curves.running_down), get(&curves.line_loss_down))
    };
    phrase![
        "where ",
        force(get(&curves.imbalance).abs(), 1),
        " balance weights, line and springs, ",
        force(running - loss, 1),
        " move wheels and shoes and ",
        force(loss, 1),
        " the line over its pulleys."
    ]
}
