//! Does it stay where it is left?

use super::Known;
use crate::phrase::{force, grams, length, phrase, stretch};
use crate::{Drive, Finding, HoldBand, Phrase, Remedy, Severity};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let level = known.fixture.rail.stand.down().x.abs() < 1e-6;
    let pushed = known.fixture.riders.iter().any(|rider| !rider.forces.is_empty());
    let mut findings = Vec::new();
    match drifts(known) {
        Some(finding) => findings.push(finding),
        None if !level || pushed => findings.push(holds(known)),
        None => {}
    }
    findings.extend(reaches(known));
    findings
}

/// Most of what a rider carries that it is told to leave behind (own choice).
const TAKEN: f64 = 0.7;

fn drifts(known: &Known<'_>) -> Option<Finding> {
    let curves = known.curves;
    let stretches = curves.drift_stretches();
    let (worst, margin) = (0..curves.travel.len())
        .filter_map(|index| Some((index, curves.hold_margin(index)?)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .filter(|(_, margin)| *margin < 0.0)?;
    let way = curves.drifts(worst)?;
    let imbalance = curves.imbalance.get(worst).copied().unwrap_or(f64::NAN).abs();
    let travel = curves.travel.get(worst).copied().unwrap_or(f64::NAN);
    let both = stretches.iter().any(|stretch| stretch.2 != way);
    let ways = stretches
        .iter()
        .map(|(from, to, way)| phrase![stretch(*from, *to, 0), " ", known.fixture.rail.stand.way(*way)]);
    let mut reason = phrase![
        "At travel ",
        length(travel, 1),
        phrase![
            " weights, line and springs are out of balance by ",
            force(imbalance, 2),
            "; friction holds ",
            force(imbalance + margin, 2),
            ". It drifts at travel "
        ],
        Phrase::join(ways, "; "),
        "."
    ];
    for band in known.hold_bands.iter().filter(|band| band.exists()) {
        reason.push(phrase![
            format!(" {} would hold everywhere with ", rider_name(known, band)),
            masses(band),
            "."
        ]);
    }
    let by_motor = matches!(known.fixture.drive, Drive::Motor(_));
    if by_motor {
        reason.push(" With the motor off only its own holding torque or a brake keeps it.");
    }
    Some(Finding {
        code: "balance.drifts",
        severity: if by_motor { Severity::Marginal } else { Severity::Fails },
        title: if both {
            "It does not stay where it is left: it drifts both ways".into()
        } else {
            format!("It does not stay where it is left: it drifts {}", known.fixture.rail.stand.way(way))
                .into()
        },
        reason,
        value: Some(imbalance),
        limit: Some(imbalance + margin),
        unit: "N",
        at_travel: Some(travel),
        stretches: stretches.iter().map(|(from, to, _)| (*from, *to)).collect(),
        remedies: known
            .hold_bands
            .iter()
            .filter(|band| band.exists())
            .filter_map(|band| {
                let rider = known.fixture.riders.get(band.rider)?;
                let change = band.advised_change();
                let verb = if change >= 0.0 { "add" } else { "take off" };
                // Nobody takes off what is hardly there.
                let bearable = change >= 0.0 || -change <= TAKEN * band.loads;
                bearable.then(|| Remedy {
                    text: phrase![format!("{verb} "), grams(change.abs(), 0), format!(" on {}", rider.name)],
                    path: Some(rider.path.clone()),
                    by: None,
                })
            })
            .collect(),
        ..Finding::blank()
    })
}

fn rider_name<'a>(known: &Known<'a>, band: &HoldBand) -> &'a str {
    known.fixture.riders.get(band.rider).map_or("", |rider| rider.name.as_str())
}

/// "930 to 1330 g (now 1307 g; payload 645 to 1045 g, now 1010 g)"
fn masses(band: &HoldBand) -> Phrase {
    let carried = if band.loads > 0.0 {
        phrase!["; of it carried ", band.payloads(), ", now ", grams(band.loads, 0)]
    } else {
        Phrase::default()
    };
    phrase![band.masses(), " (now ", grams(band.now, 0), carried, ")"]
}

fn holds(known: &Known<'_>) -> Finding {
    let curves = known.curves;
    let bands = known
        .hold_bands
        .iter()
        .map(|band| {
            let middle = band.to_centre().map_or_else(Phrase::default, |centre| {
                let verb = if centre >= 0.0 { "more" } else { "less" };
                phrase![", ", grams(centre.abs(), 0), format!(" {verb} centres it")]
            });
            phrase![rider_name(known, band), ": ", masses(band), middle]
        })
        .collect::<Vec<Phrase>>();
    let bands = if bands.is_empty() {
        Phrase::default()
    } else {
        phrase![" Masses with which it holds: ", Phrase::join(bands, ". "), "."]
    };
    let worst = curves.imbalance.iter().fold(0.0f64, |most, u| most.max(u.abs()));
    let least = curves.breakaway_up.iter().chain(&curves.breakaway_down).copied().reduce(f64::min);
    Finding {
        code: "balance.holds",
        severity: Severity::Note,
        title: "It stays where it is left".into(),
        reason: phrase![
            "Out of balance by ",
            force(worst, 2),
            " at most, less than what it takes to break away anywhere.",
            bands
        ],
        value: Some(worst),
        // What jams does not break away at all.
        limit: least.filter(|least| least.is_finite()),
        unit: "N",
        ..Finding::blank()
    }
}

/// Does it hold at every reach of its sliding loads?
fn reaches(known: &Known<'_>) -> Vec<Finding> {
    known
        .reach
        .iter()
        .filter_map(|curves| {
            let load = known.fixture.riders.get(curves.rider)?.loads.get(curves.load)?;
            let failing: Vec<usize> = (0..curves.reach.len()).filter(|i| !curves.holds(*i)).collect();
            let (first, last) = (failing.first()?, failing.last()?);
            // Where nothing holds at all the finding on the fixture as set says so already.
            if failing.len() == curves.reach.len() {
                return None;
            }
            let (from, to) = (curves.reach.get(*first)?, curves.reach.get(*last)?);
            let worst =
                failing.iter().filter_map(|i| curves.hold_margin.get(*i)).copied().reduce(f64::min)?;
            Some(Finding {
                code: "balance.reach",
                severity: Severity::Marginal,
                title: phrase![format!("It drifts with {} at reach ", load.name), stretch(*from, *to, 0)],
                reason: phrase![
                    "How far the load reaches changes what the wheels carry and so what friction holds: ",
                    force(-worst, 2),
                    " are missing at worst."
                ],
                paths: vec![load.path.clone()],
                value: Some(worst),
                limit: Some(0.0),
                unit: "N",
                ..Finding::blank()
            })
        })
        .collect()
}
