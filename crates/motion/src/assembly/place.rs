//! Seats the wheels, threads the stacks and finds the plates' standoff.

use glam::DVec2;

use super::placed::{Fault, FaultKind, PlacedPiece, PlacedPlate, PlacedRider, PlacedStack, Thread};
use crate::{
    Bolt, Fixture, HeadForm, HeadSide, PieceKind, Plate, Rail, Rider, Seats, Stack, StackOf, WheelMount,
};

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
    let (stacks, plates) = stacks(&fixture.rail, rider, seats, faults);
    let mut mass = super::mass::of_rider(rider, &stacks, &plates);
    mass.items.extend(fixture.line.iter().flat_map(|line| super::mass::of_line(line, number)));
    PlacedRider { facing: rider.facing, stacks, plates, mass }
}

/// Places a rider's stacks, those with wheels first, and its plates; what cannot be placed is listed and left out.
///
/// Wheels stand on their tracks and carry the plates their screws pass. A bolt stands in the first of its plates, from
/// its head on, that has a place, and carries the others; so bolts hold plates on plates. A plate that nothing carries
/// has a level of its own.
pub fn stacks(
    rail: &Rail,
    rider: &Rider,
    seats: &mut Seats,
    faults: &mut Vec<Fault>,
) -> (Vec<PlacedStack>, Vec<PlacedPlate>) {
    let mut stacks = Vec::with_capacity(rider.wheels.len() + rider.bolts.len());
    let mut levels = Levels::default();
    levels.all.resize_with(rider.plates.len(), Level::default);
    let mut fault = |name: &str, path: &str, what| {
        let name = format!("{}: {name}", rider.name);
        faults.push(Fault { name, path: path.to_owned(), what });
    };
    for (wheel, mount) in rider.wheels.iter().enumerate() {
        let name = || format!("the {} wheel", mount.name);
        match wheel_stack(rail, rider, wheel, mount, seats) {
            Ok(stack) => {
                if !levels.note(&stack, &mount.stack) {
                    fault(&name(), &mount.path, FaultKind::NoPlate);
                }
                stacks.push(stack);
            }
            Err(what) => fault(&name(), &mount.path, what),
        }
    }
    levels.settle();
    let mut bolts = vec![None; rider.bolts.len()];
    bolt_stacks(rider, &mut levels, &mut bolts);
    // What no wheel holds, near or far, stands where it is said to.
    for (plate, number) in rider.plates.iter().zip(0..) {
        if let (None, Some(level)) = (levels.level(number), plate.level) {
            levels.see(number, level, None);
        }
    }
    levels.settle();
    bolt_stacks(rider, &mut levels, &mut bolts);
    for (bolt, placed) in rider.bolts.iter().zip(bolts) {
        match placed.unwrap_or(Err(FaultKind::NoPlate)) {
            Ok(stack) => stacks.push(stack),
            Err(what) => fault(&bolt.name, &bolt.path, what),
        }
    }
    let place = |(number, plate): (usize, &Plate)| {
        let inner = levels.level(number).unwrap_or_else(|| {
            fault(&plate.name, &plate.path, FaultKind::LoosePlate);
            f64::NAN
        });
        let (disagreement, carrier) = levels.all.get(number).map_or((0.0, None), Level::summary);
        PlacedPlate { inner, outer: inner + plate.thickness.nominal, disagreement, carrier }
    };
    let plates = rider.plates.iter().enumerate().map(place).collect();
    (stacks, plates)
}

/// Places the bolts that can be, until no more can; each round stands on the plates that had a place before it, so
/// that the order of the bolts does not matter.
fn bolt_stacks(rider: &Rider, levels: &mut Levels, placed: &mut [Option<Result<PlacedStack, FaultKind>>]) {
    loop {
        let mut more = false;
        for (number, (bolt, slot)) in rider.bolts.iter().zip(placed.iter_mut()).enumerate() {
            if slot.is_some() {
                continue;
            }
            let found = bolt.stack.plates().find_map(|(piece, plate)| Some((piece, levels.level(plate)?)));
            let Some((piece, level)) = found else { continue };
            let stack = bolt_stack(number, bolt, piece, level);
            if let Ok(stack) = &stack {
                levels.note(stack, &bolt.stack);
            }
            *slot = Some(stack);
            more = true;
        }
        if !more {
            return;
        }
        levels.settle();
    }
}

/// The levels of a rider's plates' inner faces.
#[derive(Default)]
struct Levels {
    all: Vec<Level>,
}

/// The level of a plate's inner face as its stacks give it (mm).
#[derive(Default)]
struct Level {
    /// The least and the greatest seen.
    seen: Option<(f64, f64)>,
    /// The first seen; of all, how much they are above it together, and how many they are.
    first: f64,
    above: f64,
    count: f64,
    /// Where it stands.
    known: Option<f64>,
    carrier: Option<StackOf>,
}

impl Level {
    fn summary(&self) -> (f64, Option<StackOf>) {
        (self.seen.map_or(0.0, |(least, greatest)| greatest - least), self.carrier)
    }
}

impl Levels {
    fn level(&self, plate: usize) -> Option<f64> {
        self.all.get(plate)?.known
    }

    /// Notes a level of a plate; gives whether there is such a plate.
    fn see(&mut self, plate: usize, level: f64, carrier: Option<StackOf>) -> bool {
        let Some(plate) = self.all.get_mut(plate) else { return false };
        let (least, greatest) = plate.seen.unwrap_or_else(|| {
            (plate.carrier, plate.first) = (carrier, level);
            (level, level)
        });
        (plate.above, plate.count) = (plate.above + (level - plate.first), plate.count + 1.0);
        plate.seen = Some((least.min(level), greatest.max(level)));
        true
    }

    /// Notes the level a stack gives to each plate it passes; gives whether the rider has them all.
    fn note(&mut self, placed: &PlacedStack, stack: &Stack) -> bool {
        let mut all = true;
        for (place, number) in stack.plates() {
            let Some(place) = placed.pieces.get(place) else { continue };
            all &= self.see(number, place.span().0, Some(placed.of));
        }
        all
    }

    /// Puts plates that have no place yet at the mean of the levels seen for them: where equal springs hold what stays
    /// level (least squares). Levels that agree give themselves.
    fn settle(&mut self) {
        for plate in &mut self.all {
            plate.known = plate.known.or(plate.seen.map(|_| plate.first + plate.above / plate.count));
        }
    }
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
    thread(StackOf::Wheel(number), &mount.stack, at, (wheel_index, datum), Some(seating), |ahead| {
        ahead[wheel_index] + 0.5 * mount.stack.pieces[wheel_index].thickness.nominal
    })
}

/// A bolt in the plate that is this piece of its stack, whose inner face stands at this level.
fn bolt_stack(number: usize, bolt: &Bolt, piece: usize, level: f64) -> Result<PlacedStack, FaultKind> {
    let inward = bolt.stack.head == HeadSide::Outside;
    thread(StackOf::Bolt(number), &bolt.stack, bolt.at, (piece, level), None, |ahead| {
        // The plate's inner face is its tip side when the screw points to the rail.
        ahead[piece] + if inward { bolt.stack.pieces[piece].thickness.nominal } else { 0.0 }
    })
}

/// Threads the pieces of a stack, whose datum belongs to a piece and stands at a level; `datum_height` gives the datum's
/// height above the head's seat from the heights at which the pieces begin.
fn thread(
    of: StackOf,
    stack: &Stack,
    at: DVec2,
    (datum_piece, datum): (usize, f64),
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
    let head_height = if matches!(screw.head_form, HeadForm::Countersunk | HeadForm::None) {
        0.0
    } else {
        screw.head_height.nominal
    };
    Ok(PlacedStack {
        of,
        at,
        datum,
        datum_piece,
        seating,
        pieces,
        seat_level: level(0.0),
        head_level: level(-head_height),
        tip_level: level(screw.length.nominal),
        points,
        thread: Thread::of(stack, grip),
    })
}
