//! What do the measured pulls say?

use super::Known;
use crate::{Finding, FitOutcome, Fittable, Severity};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let Some(calibration) = known.calibration else { return Vec::new() };
    let mut told = Vec::new();
    let mut untold = Vec::new();
    for coefficient in &calibration.coefficients {
        let name = coefficient.which.name();
        let unit = coefficient.which.unit();
        let gap = if unit.is_empty() { "" } else { " " };
        match &coefficient.outcome {
            FitOutcome::Fitted => told.push(match coefficient.standard_error {
                Some(error) => format!("{name} {:.3} ± {error:.3}{gap}{unit}", coefficient.value),
                None => format!("{name} {:.3}{gap}{unit}", coefficient.value),
            }),
            FitOutcome::AtBound => told.push(format!(
                "{name} {:.3}{gap}{unit}, the end of what is possible: the pulls and the model do not agree there",
                coefficient.value
            )),
            FitOutcome::NoInfluence => untold.push(format!("{name}: it hardly changes any of these pulls")),
            FitOutcome::Entangled(with) => untold.push(format!(
                "{name}: these pulls only tell what it does together with the {}; pulls with other payloads tell them apart",
                with.iter().map(|other| Fittable::name(*other)).collect::<Vec<_>>().join(" and the ")
            )),
            FitOutcome::TooFewPulls => untold.push(format!("{name}: there are too few pulls to fit it too")),
        }
    }
    let mut reason = String::new();
    if !told.is_empty() {
        reason.push_str(&format!("Best fit (± standard error): {}. ", told.join("; ")));
    }
    if let Some(deviation) = calibration.deviation {
        reason.push_str(&format!("The pulls scatter by {deviation:.3} N about it. "));
    }
    if !untold.is_empty() {
        reason.push_str(&format!("Not told, kept as they are: {}.", untold.join("; ")));
    }
    let worst = calibration.pulls.iter().map(|pull| (pull.measured - pull.before).abs()).fold(0.0, f64::max);
    vec![Finding {
        code: "calibration.fit",
        severity: Severity::Note,
        title: format!(
            "{} measured pull{}: calculated with up to {worst:.2} N of error as it stands",
            calibration.pulls.len(),
            if calibration.pulls.len() == 1 { "" } else { "s" }
        ),
        reason: reason.trim_end().to_owned(),
        paths: known.fixture.pulls.iter().map(|pull| pull.path.clone()).collect(),
        value: Some(worst),
        unit: "N",
        ..Finding::blank()
    }]
}
