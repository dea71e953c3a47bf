//! The rail and its tracks.

use glidewright_motion::{Fixture, TrackProfile};
use serde_json::{Value, json};

pub(super) fn rail(fixture: &Fixture) -> Value {
    let rail = &fixture.rail;
    json!({
        "name": rail.name,
        "length_mm": rail.length,
        "incline_rad": rail.stand.incline,
        "roll_rad": rail.stand.roll,
        "section_area_mm2": rail.section_area(),
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
