//! The coefficients everything hangs on, and what measured pulls say about them.

use glidewright_motion::{Basis, FitOutcome, Fittable, Fixture, Results};
use serde_json::{Value, json};

/// Every coefficient with where it comes from.
pub(super) fn coefficients(results: &Results) -> Value {
    results
        .coefficients
        .iter()
        .map(|named| {
            let (basis, source, error) = match &named.coefficient.basis {
                Basis::Assumed => ("assumed", None, None),
                Basis::Given => ("given", None, None),
                Basis::Source(source) => ("source", Some(source), None),
                Basis::Fitted { standard_error } => ("fitted", None, Some(standard_error)),
            };
            json!({
                "name": named.name,
                "path": named.coefficient.path,
                "value": named.coefficient.value,
                "unit": named.unit,
                "basis": basis,
                "source": source,
                "standard_error": error,
            })
        })
        .collect()
}

/// The fit to the measured pulls; null without pulls.
pub(super) fn calibration(fixture: &Fixture, results: &Results) -> Value {
    let Some(calibration) = &results.calibration else { return Value::Null };
    json!({
        "deviation_n": calibration.deviation,
        "coefficients": calibration.coefficients.iter().map(|fitted| {
            let (outcome, with) = match &fitted.outcome {
                FitOutcome::Fitted => ("fitted", Vec::new()),
                FitOutcome::AtBound => ("at bound", Vec::new()),
                FitOutcome::NoInfluence => ("no influence", Vec::new()),
                FitOutcome::Entangled(with) => ("entangled", with.clone()),
                FitOutcome::TooFewPulls => ("too few pulls", Vec::new()),
            };
            json!({
                "name": fitted.which.name(),
                "path": glidewright_project::resistance_path(fitted.which),
                "unit": fitted.which.unit(),
                "before": fitted.before,
                "value": fitted.value,
                "standard_error": fitted.standard_error,
                "least": fitted.least,
                "greatest": fitted.greatest,
                "outcome": outcome,
                "entangled_with": with.into_iter().map(Fittable::name).collect::<Vec<_>>(),
            })
        }).collect::<Vec<_>>(),
        "pulls": calibration.pulls.iter().map(|pull| json!({
            "measured_n": pull.measured,
            "calculated_n": pull.before,
            "fitted_n": pull.fitted,
        })).collect::<Vec<_>>(),
        "next_pull": calibration.next.as_ref().map(|next| json!({
            "rider": fixture.riders.get(next.rider).map(|rider| &rider.name),
            "towards": next.towards.word(),
            "payload_kg": next.payload,
            "at_travel_mm": next.at_travel,
            "line_off": next.line_off,
            "force_n": next.force,
            "tells": next.tells.name(),
            "apart_from": next.apart_from.iter().copied().map(Fittable::name).collect::<Vec<_>>(),
            "leaves": next.leaves,
        })),
    })
}
