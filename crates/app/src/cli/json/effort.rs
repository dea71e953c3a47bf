//! Balance, effort, hold bands, jamming.

use glidewright_motion::{Fixture, HoldBand, Results};
use serde_json::{Value, json};

use super::rider_name;

/// Imbalance, resistance, effort against travel.
pub(super) fn effort(fixture: &Fixture, results: &Results) -> Value {
    let curves = &results.curves;
    let stations = 0..curves.travel.len();
    json!({
        "imbalance_n": curves.imbalance,
        "potential_energy_nmm": curves.energy,
        "running_resistance_up_n": curves.running_up,
        "running_resistance_down_n": curves.running_down,
        "breakaway_resistance_up_n": curves.breakaway_up,
        "breakaway_resistance_down_n": curves.breakaway_down,
        "line_loss_up_n": curves.line_loss_up,
        "line_loss_down_n": curves.line_loss_down,
        "effort_up_n": curves.effort_up,
        "effort_down_n": curves.effort_down,
        "holds": stations.clone().map(|i| curves.holds(i)).collect::<Vec<_>>(),
        "hold_margin_n": stations.map(|i| curves.hold_margin(i)).collect::<Vec<_>>(),
        "drifts": curves.drift_stretches().into_iter().map(|(from, to, way)| json!({
            "from_travel_mm": from,
            "to_travel_mm": to,
            "towards": way.word(),
        })).collect::<Vec<_>>(),
        "comfortable_effort_n": fixture.limits.effort,
        "effective_mass_kg": curves.effective_mass,
    })
}

/// Masses with which it stays where it is left.
pub(super) fn hold_bands(fixture: &Fixture, bands: &[HoldBand]) -> Value {
    bands
        .iter()
        .map(|band| {
            let payload = band.payload();
            json!({
                "rider": rider_name(fixture, band.rider),
                "exists": band.exists(),
                "mass_kg": band.now,
                "least_mass_kg": band.least,
                "greatest_mass_kg": band.greatest,
                "payload_kg": band.loads,
                "least_payload_kg": payload.0,
                "greatest_payload_kg": payload.1,
                "mass_to_centre_kg": band.to_centre(),
            })
        })
        .collect()
}

/// How near each rider is to jamming.
pub(super) fn binding(fixture: &Fixture, results: &Results) -> Value {
    let one = |binding: &glidewright_motion::Binding| {
        json!({
            "rider": rider_name(fixture, binding.rider),
            "towards": binding.towards.word(),
            "ratio": binding.ratio,
            "margin": binding.margin(),
            "push_growth": binding.growth(),
            "offset_mm": binding.offset,
            "length_mm": binding.length,
        })
    };
    results.binding.iter().map(one).collect()
}
