//! Does anything hold a rider along the rail while it stands?

use super::Known;
use crate::phrase::{force, length, phrase};
use crate::{Coupling, Finding, Severity};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    (0..known.fixture.riders.len()).filter_map(|rider| slides(known, rider)).collect()
}

/// A rider that neither its friction nor a line nor a grip holds somewhere.
fn slides(known: &Known<'_>, number: usize) -> Option<Finding> {
    let (rider, stations) = (known.fixture.riders.get(number)?, known.curves.loads.get(number)?);
    let unheld = stations
        .iter()
        .zip(&known.curves.travel)
        .map(|(loads, travel)| (loads.held, *travel))
        .filter(|(held, _)| held.nothing != 0.0);
    let stretch = unheld.clone().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (_, travel)| {
        (travel.min(low), travel.max(high))
    });
    let (held, travel) = unheld.max_by(|a, b| a.0.nothing.abs().total_cmp(&b.0.nothing.abs()))?;
    // What is missing pulls the other way.
    let towards = if held.nothing > 0.0 { "lower or left" } else { "upper or right" };
    let needed = (held.friction + held.nothing).abs();
    let is_free = matches!(rider.coupling, Coupling::Free { .. });
    let holder = if is_free || known.fixture.line.is_none() {
        "No line or grip holds it there"
    } else {
        "What the line does not balance has no grip to hold it"
    };
    Some(Finding {
        code: "rider.slides",
        severity: Severity::Fails,
        title: format!("{} slides: nothing holds it along the rail", rider.name).into(),
        reason: phrase![
            "At travel ",
            length(travel, 1),
            phrase![
                " ",
                force(needed, 2),
                " along the rail are to be held; friction at its contacts holds ",
                force(held.friction.abs(), 2),
                format!(
                    ". {holder}, so it slides towards the rail's {towards} end, and its loads at rest are those of a rider that slides freely. A grip, a line, a stop or more friction holds it."
                )
            ]
        ],
        paths: vec![rider.path.clone()],
        value: Some(needed),
        limit: Some(held.friction.abs()),
        unit: "N",
        at_travel: Some(travel),
        stretches: vec![stretch],
        ..Finding::blank()
    })
}
