//! Curves against the reach of sliding loads.

use glidewright_motion::{Fixture, Results, gap_against_reach};
use serde_json::{Value, json};

use super::effort::hold_bands;

/// The curves of every sliding load.
pub(super) fn reach(fixture: &Fixture, results: &Results) -> Value {
    let known = (&results.assembly, &results.interference);
    results
        .reach
        .iter()
        .map(|curves| {
            let rider = fixture.riders.get(curves.rider);
            let wheels = rider.map_or(&[][..], |rider| &rider.wheels);
            json!({
                "rider": rider.map(|rider| &rider.name),
                "load": rider.and_then(|rider| rider.loads.get(curves.load)).map(|load| &load.name),
                "reach_now_mm": curves.now,
                "reach_mm": curves.reach,
                "at_travels_mm": curves.travels,
                "gap_mm": gap_against_reach(fixture, known, (curves.rider, curves.load), &curves.reach),
                "greatest_effort_up_n": curves.effort_up,
                "greatest_effort_down_n": curves.effort_down,
                "greatest_imbalance_n": curves.imbalance,
                "least_hold_margin_n": curves.hold_margin,
                "holds": (0..curves.reach.len()).map(|i| curves.holds(i)).collect::<Vec<_>>(),
                "hold_bands": hold_bands(fixture, &curves.hold_bands),
                "greatest_tilt_rad": curves.tilt,
                "wheels": wheels.iter().enumerate().map(|(wheel, mount)| json!({
                    "name": mount.name,
                    "least_normal_sum_n": curves.wheel_loads.get(wheel),
                    "greatest_peak_pressure_mpa": curves.wheel_pressures.get(wheel),
                })).collect::<Vec<_>>(),
            })
        })
        .collect()
}
