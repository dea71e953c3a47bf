//! A free motion in words.

use glam::DVec3;

use super::wrench::Motion;
use crate::{Fixture, Rider, listed};

/// An axis that passes a wheel's axle or a track within this is said to be there (mm).
const NEAR: f64 = 1.5;

/// What a rider is free to do, e.g. "turn about the upper left axle": the words that follow "it is free to".
///
/// Motion along the rail is not part of `motion`, so a turn about an axis across the rail has its axis in a
/// plane square to the rail: where across the rail it lies cannot be said, and need not.
pub fn loose_words(fixture: &Fixture, rider: &Rider, motion: &Motion) -> String {
    let Motion { shift, turn } = *motion;
    // Turns count by what they do at the rider's furthest wheel or shoe.
    let reach = rider
        .wheels
        .iter()
        .map(|wheel| wheel.along.abs())
        .chain(rider.shoes.iter().map(|shoe| shoe.along.abs() + 0.5 * shoe.length))
        .fold(20.0, f64::max);
    let outward = rider.facing.outward();
    let lateral = rider.facing.lateral();
    let (roll, yaw, pitch) = (turn.x, turn.dot(outward), turn.dot(lateral));
    let most = roll.abs().max(yaw.abs()).max(pitch.abs());
    if !(most * reach > 0.05 * shift.length()) {
        return if shift.dot(lateral).abs() >= shift.dot(outward).abs() {
            "shift sideways, across the rail".into()
        } else {
            "lift off its track, out from its plate or in towards the rail".into()
        };
    }
    if roll.abs() >= most {
        // The flanks' normals meet some millimetres off the middle of the groove.
        let stays = |track: &&crate::Track| {
            let at = DVec3::new(0.0, track.middle.x, track.middle.y);
            motion.of_point(at).length() < 8.0 * NEAR * roll.abs()
        };
        let track = fixture.rail.tracks.iter().find(stays);
        return track.map_or_else(
            || "roll about the rail".into(),
            |track| format!("roll about the {} track", track.name),
        );
    }
    // A wheel about which it turns does not move across that turn's axis and the rail.
    let (rate, along_axis) = if yaw.abs() >= most { (yaw, lateral) } else { (pitch, outward) };
    let mut names: Vec<&str> = rider
        .wheels
        .iter()
        .filter(|wheel| {
            let Some(track) = fixture.rail.tracks.get(wheel.track) else { return false };
            let at = DVec3::new(wheel.along, track.middle.x, track.middle.y);
            motion.of_point(at).dot(along_axis).abs() < NEAR * rate.abs()
        })
        .map(|wheel| wheel.name.as_str())
        .collect();
    names.sort_unstable();
    let wheels = if names.is_empty() { String::new() } else { format!("the {} ", listed(&names)) };
    let plural = if names.len() > 1 { "s" } else { "" };
    match (yaw.abs() >= most, names.is_empty()) {
        (true, true) => "turn in the plane of its plate".into(),
        (true, false) => format!("turn about {wheels}axle{plural}"),
        (false, true) => "tip towards the rail or away from it".into(),
        (false, false) => format!("tip over {wheels}wheel{plural}"),
    }
}
