//! The rail and its tracks.

use glidewright_motion::{Fixture, TrackProfile};
use serde_json::{Value, json};

pub(super) fn rail(fixture: &Fixture) -> Value {
    let rail = &fixture.rail;
    let [sideways, frontwards] = rail.bending();
    json!({
        "name": rail.name,
        "length_mm": rail.length,
        "incline_rad": rail.stand.incline,
        "roll_rad": rail.stand.roll,
        "section_area_mm2": rail.section_area(),
        "mass_per_m_kg": 1000.0 * rail.mass_per_length(),
        "second_moment_sideways_mm4": sideways.second_moment,
        "second_moment_frontwards_mm4": frontwards.second_moment,
        "tracks": rail.tracks.iter().map(|track| json!({
            "name": track.name,
            "middle_y_mm": track.middle.x,
            "middle_z_mm": track.middle.y,
            "normal_y": track.normal.x,
            "normal_z": track.normal.y,
            "mouth_width_mm": match track.profile {
                TrackProfile::Vee { mouth, .. } => Some(mouth.nominal),
                _ => None,
            },
        })).collect::<Vec<_>>(),
    })
}
