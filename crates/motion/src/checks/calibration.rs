//! What do the measured pulls say?

use super::Known;
use crate::phrase::{length, phrase};
use crate::{Finding, FitOutcome, Fittable, FittedCoefficient, NextPull, Phrase, Severity, plain};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let Some(calibration) = known.calibration else { return Vec::new() };
    let mut told = Vec::new();
    let mut untold = Vec::new();
    for coefficient in &calibration.coefficients {
        let text = with_interval(coefficient);
        match &coefficient.outcome {
            FitOutcome::Fitted => told.push(text),
            FitOutcome::AtBound => told.push(format!(
                "{text}, where the pulls by themselves ask for what is not possible: they and the model do not agree there"
            )),
            FitOutcome::NoInfluence => {
                untold.push(format!("{text}: it hardly changes any of these pulls, or by less than they scatter"));
            }
            FitOutcome::Entangled(with) => untold
                .push(format!("{text}: these pulls only tell what it does together with the {}", names(with))),
            FitOutcome::TooFewPulls => {
                untold.push(format!("{text}: a single pull does not show how far it scatters"));
            }
        }
    }
    let mut sentences: Vec<Phrase> = Vec::new();
    if !told.is_empty() {
        sentences
            .push(format!("Best fit (95 % of truths lie between the limits): {}.", told.join("; ")).into());
    }
    if let Some(deviation) = calibration.deviation {
        sentences.push(format!("The pulls scatter by {deviation:.3} N about it.").into());
    }
    if !untold.is_empty() {
        sentences.push(
            format!(
                "Not told, kept as they are, with what is open about them in the limits of the others: {}.",
                untold.join("; ")
            )
            .into(),
        );
    }
    match &calibration.next {
        Some(next) => sentences.push(advice(known, next)),
        None if calibration.coefficients.iter().any(|c| matches!(c.outcome, FitOutcome::Entangled(_))) => {
            sentences.push("No single further pull on this fixture would tell much more.".into());
        }
        None => {}
    }
    let errors = calibration.pulls.iter().filter_map(|pull| Some((pull.measured - pull.before?).abs()));
    let worst = errors.fold(0.0, f64::max);
    vec![Finding {
        code: "calibration.fit",
        severity: Severity::Note,
        title: format!(
            "{} measured pull{}: calculated with up to {worst:.2} N of error as it stands",
            calibration.pulls.len(),
            if calibration.pulls.len() == 1 { "" } else { "s" }
        )
        .into(),
        reason: Phrase::join(sentences, " "),
        paths: known.fixture.pulls.iter().map(|pull| pull.path.clone()).collect(),
        value: Some(worst),
        unit: "N",
        ..Finding::blank()
    }]
}

/// "no-load torque of a bearing 0.62 N·mm (0.31 to 1.1)".
fn with_interval(coefficient: &FittedCoefficient) -> String {
    let FittedCoefficient { which, value, least, greatest, .. } = coefficient;
    let unit = which.unit();
    let gap = if unit.is_empty() { "" } else { " " };
    format!("{} {}{gap}{unit} ({} to {})", which.name(), short(*value), short(*least), short(*greatest))
}

/// Three decimals, fewer of what is large.
fn short(value: f64) -> String {
    match value.abs() {
        size if size < 1.0 => format!("{value:.3}"),
        size if size < 10.0 => format!("{value:.2}"),
        _ => format!("{value:.1}"),
    }
}

fn names(of: &[Fittable]) -> String {
    of.iter().map(|other| other.name()).collect::<Vec<_>>().join(" and the ")
}

/// The next pull in words.
fn advice(known: &Known<'_>, next: &NextPull) -> Phrase {
    let rider = known.fixture.riders.get(next.rider).map_or("the rider", |rider| rider.name.as_str());
    let load =
        if next.payload > 0.0 { format!("{} put on", mass(next.payload)) } else { "nothing put on".into() };
    let way = known.fixture.rail.stand.way(next.towards);
    let line = if next.line_off { " with the line off" } else { "" };
    let held = if next.force < 0.0 { " (held back)" } else { "" };
    phrase![
        format!("A pull on {rider} with {load}, at travel "),
        length(next.at_travel, 0),
        format!(
            " {way}{line}, about {:.1} N{held}, would tell the {} from the {}: about {:.0} % of its standard error would be left.",
            next.force.abs(),
            next.tells.name(),
            names(&next.apart_from),
            100.0 * next.leaves
        )
    ]
}

fn mass(kilograms: f64) -> String {
    if kilograms < 1.0 { format!("{:.0} g", 1000.0 * kilograms) } else { format!("{} kg", plain(kilograms)) }
}
