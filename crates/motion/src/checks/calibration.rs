//! What do the measured pulls say?

use super::Known;
use crate::phrase::{figure, force, grams, length, measured, needed, phrase};
use crate::{Finding, FitOutcome, Fittable, FittedCoefficient, Measure, NextPull, Phrase, Severity, number};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let Some(calibration) = known.calibration else { return Vec::new() };
    let mut told = Vec::new();
    let mut untold = Vec::new();
    for coefficient in &calibration.coefficients {
        let text = with_interval(coefficient);
        match &coefficient.outcome {
            FitOutcome::Fitted => told.push(text),
            FitOutcome::AtBound => told.push(phrase![
                text,
                ", where the pulls by themselves ask for what is not possible: they and the model do not agree there"
            ]),
            FitOutcome::NoInfluence => {
                untold.push(phrase![
                    text,
                    ": it hardly changes any of these pulls, or by less than they scatter"
                ]);
            }
            FitOutcome::Entangled(with) => untold
                .push(phrase![text, ": these pulls only tell what it does together with the ", names(with)]),
            FitOutcome::TooFewPulls => {
                untold.push(phrase![text, ": a single pull does not show how far it scatters"]);
            }
        }
    }
    let mut sentences: Vec<Phrase> = Vec::new();
    if !told.is_empty() {
        sentences.push(phrase![
            "Best fit (95 % of truths lie between the limits): ",
            Phrase::join(told, "; "),
            "."
        ]);
    }
    if let Some(deviation) = calibration.deviation {
        sentences.push(phrase!["The pulls scatter by ", force(deviation, 3), " about it."]);
    }
    if !untold.is_empty() {
        sentences.push(phrase![
            "Not told, kept as they are, with what is open about them in the limits of the others: ",
            Phrase::join(untold, "; "),
            "."
        ]);
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
        title: phrase![
            format!(
                "{} measured pull{}: calculated with up to ",
                calibration.pulls.len(),
                if calibration.pulls.len() == 1 { "" } else { "s" }
            ),
            force(worst, 2),
            " of error as it stands"
        ],
        reason: Phrase::join(sentences, " "),
        paths: known.fixture.pulls.iter().map(|pull| pull.path.clone()).collect(),
        value: Some(worst),
        unit: "N",
        ..Finding::blank()
    }]
}

/// "no-load torque of a bearing 0.62 N·mm (0.31 to 1.1)".
fn with_interval(coefficient: &FittedCoefficient) -> Phrase {
    let FittedCoefficient { which, value, least, greatest, .. } = coefficient;
    let [value, least, greatest] = [value, least, greatest].map(|value| *value);
    let name = format!("{} ", which.name());
    if let Some(measure) = Measure::of_symbol(which.unit()) {
        let bare = |value: f64| figure(measure, measure.value(value), decimals(value));
        let whole = measured(measure, measure.value(value), decimals(value));
        return phrase![name, whole, " (", bare(least), " to ", bare(greatest), ")"];
    }
    let unit = which.unit();
    let gap = if unit.is_empty() { "" } else { " " };
    phrase![name, format!("{}{gap}{unit} ({} to {})", short(value), short(least), short(greatest))]
}

/// Three decimals, fewer of what is large.
fn short(value: f64) -> String {
    number(value, decimals(value))
}

fn decimals(value: f64) -> usize {
    match value.abs() {
        size if size < 1.0 => 3,
        size if size < 10.0 => 2,
        _ => 1,
    }
}

fn names(of: &[Fittable]) -> String {
    of.iter().map(|other| other.name()).collect::<Vec<_>>().join(" and the ")
}

/// The next pull in words.
fn advice(known: &Known<'_>, next: &NextPull) -> Phrase {
    let rider = known.fixture.riders.get(next.rider).map_or("the rider", |rider| rider.name.as_str());
    let load =
        if next.payload > 0.0 { phrase![mass(next.payload), " put on"] } else { "nothing put on".into() };
    let way = known.fixture.rail.stand.way(next.towards);
    let line = if next.line_off { " with the line off" } else { "" };
    let held = if next.force < 0.0 { " (held back)" } else { "" };
    phrase![
        format!("A pull on {rider} with "),
        load,
        ", at travel ",
        length(next.at_travel, 0),
        phrase![
            format!(" {way}{line}, about "),
            force(next.force.abs(), 1),
            format!(
                "{held}, would tell the {} from the {}: about {:.0} % of its standard error would be left.",
                next.tells.name(),
                names(&next.apart_from),
                100.0 * next.leaves
            )
        ]
    ]
}

fn mass(kilograms: f64) -> Phrase {
    if kilograms < 1.0 { grams(kilograms, 0) } else { needed(Measure::Kilogram, kilograms) }
}
