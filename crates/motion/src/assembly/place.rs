//! Seats the wheels, threads the stacks and finds the plates' standoff.

use glam::DVec2;

use super::placed::{Fault, FaultKind, PlacedPiece, PlacedPlate, PlacedRider, PlacedStack, Thread};
use crate::{Bolt, Fixture, HeadForm, HeadSide, PieceKind, Rail, Rider, Seats, Stack, StackOf, WheelMount};

/// How far a track's normal may lean from the plate's lateral axis (sine; about 0.06°).
const NORMAL_TOLERANCE: f64 = 1e-3;

/// Places one rider; what cannot be placed is listed and left out.
pub(super) fn rider(
    fixture: &Fixture,
    number: usize,
    rider: &Rider,
    seats: &mut Seats,
    faults: &mut Vec<Fault>,
) -> PlacedRider {
    let rail = &fixture.rail;
    let mut stacks = Vec::with_capacity(rider.wheels.len() + rider.bolts.len());
    let mut levels = vec![None::<(f64, f64)>; rider.plates.len()];
    for (wheel, mount) in rider.wheels.iter().enumerate() {
        match wheel_stack(rail, rider, wheel, mount, seats) {
            Ok(stack) => {
                note_plate_levels(&stack, &mount.stack, &mount.path, &mut levels, faults);
                stacks.push(stack);
            }
            Err(what) => faults.push(Fault { path: mount.path.clone(), what }),
        }
    }
    let plates: Vec<_> = rider
        .plates
        .iter()
        .zip(&levels)
        .map(|(plate, seen)| {
            let thickness = plate.thickness.nominal;
            let (inner, disagreement) = match (*seen, plate.level) {
                (Some((least, greatest)), _) => (0.5 * (least + greatest), greatest - least),
                (None, Some(level)) => (level, 0.0),
                (None, None) => {
                    faults.push(Fault { path: plate.path.clone(), what: FaultKind::LoosePlate });
                    (f64::NAN, 0.0)
                }
            };
            PlacedPlate { inner, outer: inner + thickness, disagreement }
        })
        .collect();
    for (place, bolt) in rider.bolts.iter().enumerate() {
        match bolt_stack(place, bolt, &plates) {
            Ok(stack) => stacks.push(stack),
            Err(what) => faults.push(Fault { path: bolt.path.clone(), what }),
        }
    }
    let mut mass = super::mass::of_rider(rider, &stacks, &plates);
    mass.items.extend(fixture.line.iter().flat_map(|line| super::mass::of_line(line, number)));
    PlacedRider { facing: rider.facing, stacks, plates, mass }
}

fn wheel_stack(
    rail: &Rail,
    rider: &Rider,
    number: usize,
    mount: &WheelMount,
    seats: &mut Seats,
) -> Result<PlacedStack, FaultKind> {
    let track = rail.tracks.get(mount.track).ok_or(FaultKind::NoTrack)?;
    let wheels: Vec<_> = mount
        .stack
        .pieces
        .iter()
        .enumerate()
        .filter_map(|(i, p)| match &p.kind {
            PieceKind::Wheel(wheel) => Some((i, wheel)),
            _ => None,
        })
        .collect();
    let [(wheel_index, wheel)] = wheels[..] else { return Err(FaultKind::Wheels(wheels.len())) };
    let seating = seats.seat(wheel, track, &rail.bars).map_err(FaultKind::NotSeated)?;

    let lateral = rider.facing.lateral();
    let outward = rider.facing.outward();
    let normal = track.normal.x * glam::DVec3::Y + track.normal.y * glam::DVec3::Z;
    let middle = track.middle.x * glam::DVec3::Y + track.middle.y * glam::DVec3::Z;
    let side = normal.dot(lateral);
    if (side.abs() - 1.0).abs() > NORMAL_TOLERANCE {
        return Err(FaultKind::TrackTurnedAway);
    }
    let at =
        DVec2::new(mount.along, middle.dot(lateral) + side.signum() * (seating.axle_height - mount.press));
    let datum = middle.dot(outward);
    thread(StackOf::Wheel(number), &mount.stack, at, datum, Some(seating), |ahead| {
        ahead[wheel_index] + 0.5 * mount.stack.pieces[wheel_index].thickness.nominal
    })
}

fn bolt_stack(number: usize, bolt: &Bolt, plates: &[PlacedPlate]) -> Result<PlacedStack, FaultKind> {
    let found = bolt.stack.pieces.iter().enumerate().find_map(|(i, p)| match p.kind {
        PieceKind::Plate(plate) => Some((i, plate)),
        _ => None,
    });
    let (index, plate) = found.ok_or(FaultKind::NoPlate)?;
    let level = plates.get(plate).ok_or(FaultKind::NoPlate)?.inner;
    let inward = bolt.stack.head == HeadSide::Outside;
    thread(StackOf::Bolt(number), &bolt.stack, bolt.at, level, None, |ahead| {
        // The plate's inner face is its tip side when the screw points to the rail.
        ahead[index] + if inward { bolt.stack.pieces[index].thickness.nominal } else { 0.0 }
    })
}

/// Threads the pieces of a stack; `datum_height` gives the datum's height above the head's seat from the
/// heights at which the pieces begin.
fn thread(
    of: StackOf,
    stack: &Stack,
    at: DVec2,
    datum: f64,
    seating: Option<crate::Seating>,
    datum_height: impl Fn(&[f64]) -> f64,
) -> Result<PlacedStack, FaultKind> {
    let points = match stack.head {
        HeadSide::Outside => -1.0,
        HeadSide::Inside => 1.0,
    };
    let mut heights = Vec::with_capacity(stack.pieces.len());
    let mut grip = 0.0;
    for piece in &stack.pieces {
        if !(piece.thickness.nominal >= 0.0 && piece.thickness.nominal.is_finite()) {
            return Err(FaultKind::BadSize);
        }
        heights.push(grip);
        grip += piece.thickness.nominal;
    }
    let screw = &stack.screw;
    if !(screw.length.nominal > 0.0
        && screw.length.nominal.is_finite()
        && at.is_finite()
        && datum.is_finite())
    {
        return Err(FaultKind::BadSize);
    }
    let datum_height = datum_height(&heights);
    let level = |height: f64| datum + points * (height - datum_height);
    let pieces = stack
        .pieces
        .iter()
        .zip(&heights)
        .map(|(piece, &height)| PlacedPiece {
            head_side: level(height),
            tip_side: level(height + piece.thickness.nominal),
        })
        .collect();
    let head_height = if screw.head_form == HeadForm::Countersunk { 0.0 } else { screw.head_height.nominal };
    Ok(PlacedStack {
        of,
        at,
        datum,
        seating,
        pieces,
        seat_level: level(0.0),
        head_level: level(-head_height),
        tip_level: level(screw.length.nominal),
        points,
        thread: Thread { grip, projection: screw.length.nominal - grip, asked: screw.pitch },
    })
}

/// Records the level this stack gives to the inner face of each plate it holds.
fn note_plate_levels(
    placed: &PlacedStack,
    stack: &Stack,
    path: &str,
    levels: &mut [Option<(f64, f64)>],
    faults: &mut Vec<Fault>,
) {
    for (piece, place) in stack.pieces.iter().zip(&placed.pieces) {
        let PieceKind::Plate(number) = piece.kind else { continue };
        let Some(seen) = levels.get_mut(number) else {
            faults.push(Fault { path: path.to_owned(), what: FaultKind::NoPlate });
            continue;
        };
        let inner = place.span().0;
        *seen =
            Some(seen.map_or((inner, inner), |(least, greatest)| (least.min(inner), greatest.max(inner))));
    }
}
