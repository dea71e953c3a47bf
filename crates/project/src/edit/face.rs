//! A rider put on another face of the rail, with the tracks its wheels run on.

use glam::DVec2;
use glidewright_motion::Rail;

use super::{EditResult, Edited, MirrorPlane, change, mirror, short};
use crate::document::{Change, Document, Facing};
use crate::problem::{Problem, quoted};
use crate::size::Formula;

/// Puts a rider on another face: its wheels take the pair of tracks that stands there as theirs does here. What is on
/// it goes with it, as it is placed from the plate.
///
/// # Errors
/// When there is no such rider or face, or that face has no pair of tracks for its wheels.
pub fn put_on_face(document: &Document, rider: &str, to: &Formula) -> EditResult {
    let path = format!("riders/{rider}");
    let set = Change::Set { path: format!("{path}/faces"), to: to.clone() };
    let plainly = change(document, &set)?;
    let facing = |document: &Document| {
        document.riders.iter().find(|known| known.name == rider).map(|known| known.faces)
    };
    let (Some(from), Some(to)) = (facing(document), facing(&plainly.document)) else { return Ok(plainly) };
    if from == to {
        return Ok(plainly);
    }
    let description = format!("Put {} on the {} face", short(&path), word(to));
    let opposite = |plane: MirrorPlane| {
        mirror(document, &path, plane).map(|edited| Edited { description: description.clone(), ..edited })
    };
    match (from, to) {
        (Facing::Front, Facing::Rear) | (Facing::Rear, Facing::Front) => opposite(MirrorPlane::FrontRear),
        (Facing::Left, Facing::Right) | (Facing::Right, Facing::Left) => opposite(MirrorPlane::LeftRight),
        _ => {
            // Without a rail there is nothing to ask for its tracks.
            let Some(rail) = crate::resolve(document, None).fixture.map(|fixture| fixture.rail) else {
                return Ok(plainly);
            };
            let mut changed = plainly.document;
            let Some(known) = changed.riders.iter_mut().find(|known| known.name == rider) else {
                return Ok(Edited { document: changed, description });
            };
            for wheel in &mut known.wheels {
                if let Some(pair) = &mut wheel.pair {
                    *pair = turned(&rail, pair, from, to).ok_or_else(|| no_tracks(to, &wheel.name))?;
                }
                if let Some(track) = &mut wheel.track {
                    *track =
                        turned_track(&rail, track, from, to).ok_or_else(|| no_tracks(to, &wheel.name))?;
                }
            }
            for shoe in &mut known.shoes {
                shoe.track =
                    turned_track(&rail, &shoe.track, from, to).ok_or_else(|| no_tracks(to, &shoe.name))?;
            }
            Ok(Edited { document: changed, description })
        }
    }
}

fn no_tracks(to: Facing, wheel: &str) -> Problem {
    Problem::error("riders", format!("the {} face has no track for {}", word(to), quoted(wheel)))
        .remedy("take a rail with tracks on that face, or take the wheel away first")
}

const fn word(facing: Facing) -> &'static str {
    match facing {
        Facing::Front => "front",
        Facing::Rear => "rear",
        Facing::Left => "left",
        Facing::Right => "right",
    }
}

/// Across the rail, along the plate (y, z).
const fn across(facing: Facing) -> DVec2 {
    match facing {
        Facing::Front | Facing::Rear => DVec2::X,
        Facing::Left | Facing::Right => DVec2::Y,
    }
}

/// Out of the face (y, z). Left is +y.
const fn outward(facing: Facing) -> DVec2 {
    match facing {
        Facing::Front => DVec2::Y,
        Facing::Rear => DVec2::NEG_Y,
        Facing::Left => DVec2::X,
        Facing::Right => DVec2::NEG_X,
    }
}

/// The pairs of tracks beside a face, the one next to the face first: place and name.
pub(super) fn pairs_from(rail: &Rail, facing: Facing) -> Vec<(f64, String)> {
    let out = outward(facing);
    let mut pairs: Vec<(f64, String)> = rail
        .pairs(across(facing))
        .into_iter()
        .map(|pair| {
            let middles = pair.tracks.iter().filter_map(|(_, track)| rail.tracks.get(*track));
            (middles.map(|track| track.middle.dot(out)).fold(f64::NEG_INFINITY, f64::max), pair.name)
        })
        .collect();
    pairs.sort_by(|a, b| b.0.total_cmp(&a.0));
    pairs
}

fn turned(rail: &Rail, pair: &str, from: Facing, to: Facing) -> Option<String> {
    let own = rail.pair_named(across(from), pair)?;
    let place = pairs_from(rail, from).iter().position(|(_, name)| *name == own.name)?;
    let there = pairs_from(rail, to);
    there.get(place.min(there.len().checked_sub(1)?)).map(|(_, name)| name.clone())
}

/// The track that faces as this one does once the rail is turned, and is nearest to where it would stand.
fn turned_track(rail: &Rail, track: &str, from: Facing, to: Facing) -> Option<String> {
    let own = rail.tracks.get(rail.track_named(track)?)?;
    // A quarter turn takes one outward direction to the other.
    let (a, b) = (outward(from), outward(to));
    let turn = DVec2::new(a.dot(b), a.perp_dot(b));
    let (middle, normal) = (turn.rotate(own.middle), turn.rotate(own.normal));
    rail.tracks
        .iter()
        .filter(|other| other.normal.dot(normal) > 0.5)
        .min_by(|x, y| x.middle.distance(middle).total_cmp(&y.middle.distance(middle)))
        .map(|track| track.name.clone())
}
