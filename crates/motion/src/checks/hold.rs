//! Does it stay where it is left?

use super::Known;
use crate::{Finding, Severity};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let curves = known.curves;
    let drifting: Vec<usize> = (0..curves.travel.len()).filter(|index| !curves.holds(*index)).collect();
    let level = known.fixture.rail.stand.down().x.abs() < 1e-6;
    let Some(&worst) = drifting.iter().max_by(|a, b| {
        let excess = |i: usize| curves.imbalance[i].abs() - curves.breakaway[i];
        excess(**a).total_cmp(&excess(**b))
    }) else {
        return if level { Vec::new() } else { vec![holds(known)] };
    };
    let imbalance = curves.imbalance[worst];
    let breakaway = curves.breakaway[worst];
    let way = if imbalance > 0.0 { "back (towards falling travel)" } else { "on (towards growing travel)" };
    let mut reason = format!(
        "At travel {:.1} mm weights and belt are out of balance by {:.2} N, friction holds {:.2} N.",
        curves.travel[worst],
        imbalance.abs(),
        breakaway
    );
    for band in known.hold_bands.iter().filter(|band| band.exists()) {
        let Some(rider) = known.fixture.riders.get(band.rider) else { continue };
        reason.push_str(&format!(
            " {} would hold everywhere with {:.0} to {:.0} g (now {:.0} g).",
            rider.name,
            band.least * 1e3,
            band.greatest * 1e3,
            band.now * 1e3
        ));
    }
    let ends = (curves.travel[drifting[0]], curves.travel[drifting[drifting.len() - 1]]);
    vec![Finding {
        code: "balance.drifts",
        severity: Severity::Fails,
        title: format!("It does not stay where it is left: it drifts {way}"),
        reason,
        value: Some(imbalance.abs()),
        limit: Some(breakaway),
        unit: "N",
        at_travel: Some(curves.travel[worst]),
        stretches: vec![ends],
        remedies: known
            .hold_bands
            .iter()
            .filter(|band| band.exists())
            .filter_map(|band| {
                let rider = known.fixture.riders.get(band.rider)?;
                let change = band.to_centre() * 1e3;
                let verb = if change >= 0.0 { "add" } else { "take off" };
                Some(crate::Remedy {
                    text: format!("{verb} {:.0} g on {}", change.abs(), rider.name),
                    path: Some(rider.path.clone()),
                    by: None,
                })
            })
            .collect(),
        ..Finding::blank()
    }]
}

fn holds(known: &Known<'_>) -> Finding {
    let bands = known
        .hold_bands
        .iter()
        .filter_map(|band| {
            let rider = known.fixture.riders.get(band.rider)?;
            Some(format!(
                "{}: {:.0} to {:.0} g (now {:.0} g)",
                rider.name,
                band.least * 1e3,
                band.greatest * 1e3,
                band.now * 1e3
            ))
        })
        .collect::<Vec<_>>()
        .join("; ");
    let worst = known.curves.imbalance.iter().fold(0.0f64, |most, u| most.max(u.abs()));
    Finding {
        code: "balance.holds",
        severity: Severity::Note,
        title: "It stays where it is left".into(),
        reason: format!(
            "Out of balance by {worst:.2} N at most, less than breakaway friction everywhere. Masses for which it holds: {bands}. Friction coefficients without a measurement are assumptions."
        ),
        value: Some(worst),
        limit: known.curves.breakaway.iter().copied().reduce(f64::min),
        unit: "N",
        ..Finding::blank()
    }
}
