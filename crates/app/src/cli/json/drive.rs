//! What the motor must give.

use glidewright_motion::{Move, Results};
use serde_json::{Value, json};

/// Torque against travel, and a stroke each way against time; `strokes` is empty without a motor.
pub(super) fn drive(results: &Results) -> Value {
    let curves = &results.curves;
    let figures = results.drive.as_ref();
    json!({
        "torque_up_nmm": curves.torque_up,
        "torque_down_nmm": curves.torque_down,
        "radius_mm": figures.map(|drive| drive.radius),
        "load_inertia_kgmm2": figures.map(|drive| drive.load_inertia),
        "rotor_inertia_kgmm2": figures.map(|drive| drive.rotor_inertia),
        "inertia_ratio": figures.and_then(|drive| drive.inertia_ratio()),
        "peak_torque_nmm": figures.map(|drive| drive.peak_torque),
        "rms_torque_nmm": figures.map(|drive| drive.rms_torque),
        "peak_speed_rev_per_min": figures.map(|drive| drive.peak_speed),
        "least_torque_margin": figures.and_then(|drive| drive.least_margin),
        "strokes": figures.map_or_else(Vec::new, |drive| vec![stroke(&drive.up), stroke(&drive.down)]),
    })
}

fn stroke(stroke: &Move) -> Value {
    json!({
        "towards": stroke.towards.word(),
        "duration_s": stroke.duration(),
        "peak_torque_nmm": stroke.peak_torque(),
        "rms_torque_nmm": stroke.rms_torque,
        "starting_torque_nmm": stroke.starting_torque,
        "time_s": stroke.time,
        "travel_mm": stroke.travel,
        "speed_mm_per_s": stroke.speed,
        "acceleration_mm_per_s2": stroke.acceleration,
        "force_n": stroke.force,
        "torque_nmm": stroke.torque,
        "pulley_speed_rev_per_min": stroke.pulley_speed,
        "available_torque_nmm": stroke.available,
    })
}
