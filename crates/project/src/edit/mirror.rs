//! Mirroring things.

use glam::DVec2;
use glidewright_motion as motion;

use super::mirror_plane::MirrorPlane;
use super::track_mirror::TrackMirror;
use super::{EditResult, Edited, short};
use crate::document::{
    Axis, Body, BodyMirror, Document, Facing, ForceAction, Obstacle, PieceKind, Point, Reach, Rider, Spot,
};
use crate::shapes::mirrored;
use crate::size::{Angle, Formula, Length};
use crate::trial::no_such_path;

/// Mirrors a rider or an obstacle in place.
///
/// # Errors
/// When there is neither at the path.
pub fn mirror(document: &Document, path: &str, plane: MirrorPlane) -> EditResult {
    let mut changed = document.clone();
    let steps: Vec<&str> = path.split('/').collect();
    let found = match steps.as_slice() {
        ["riders", name] => {
            let rail = crate::resolve(document, None).fixture.map(|fixture| fixture.rail);
            let rider = changed.riders.iter_mut().find(|rider| rider.name == *name);
            rider.map(|rider| mirror_rider(rider, plane, rail.as_ref()))
        }
        ["obstacles", name] => {
            let length = changed.rail.length.clone();
            let obstacle = changed.obstacles.iter_mut().find(|obstacle| obstacle.name == *name);
            obstacle.map(|obstacle| mirror_obstacle(obstacle, plane, &length))
        }
        _ => None,
    };
    match found {
        Some(()) => Ok(Edited { document: changed, description: format!("Mirror {}", short(path)) }),
        None => Err(no_such_path(document, path)),
    }
}

pub(crate) fn negated(formula: &Formula) -> Formula {
    match formula {
        Formula::Number(number) if *number == 0.0 => Formula::Number(0.0),
        Formula::Number(number) => Formula::Number(-number),
        // Undo an earlier mirroring rather than pile up signs.
        Formula::Text(text) => match text.strip_prefix("-(").and_then(|rest| rest.strip_suffix(')')) {
            Some(inner) if !inner.contains(['(', ')']) => Formula::typed(inner),
            _ => Formula::Text(format!("-({text})")),
        },
    }
}

fn negate(size: &mut Length) {
    size.formula = negated(&size.formula);
}

/// `total − size`.
fn complement(size: &mut Length, total: &Length) {
    size.formula = match (&total.formula, &size.formula) {
        (Formula::Number(total), Formula::Number(number)) => Formula::Number(total - number),
        (total, own) => Formula::Text(format!("({total}) - ({own})")),
    };
}

/// A direction from along towards across, in the mirror.
fn turn_round(turn: &mut Angle, along: bool, across: bool) {
    turn.formula = match (along, across, &turn.formula) {
        (false, false, formula) => formula.clone(),
        (true, false, Formula::Number(number)) => Formula::Number(180.0 - number),
        (true, false, Formula::Text(text)) => Formula::Text(format!("180 - ({text})")),
        (false, true, formula) => negated(formula),
        (true, true, Formula::Number(number)) => Formula::Number(number + 180.0),
        (true, true, Formula::Text(text)) => Formula::Text(format!("({text}) + 180")),
    };
}

fn turn_drawing(data: &mut String, right: bool, up: bool) {
    // A path that cannot be read is told of when its outline is made.
    if let Some(image) = mirrored(data, right, up) {
        *data = image;
    }
}

/// Mirrors bodies whose places `mirror` takes into the mirror.
fn mirror_bodies(bodies: &mut [Body], mirror: &BodyMirror<'_>) {
    let negate = |formula: &mut Formula| *formula = negated(formula);
    bodies.iter_mut().for_each(|body| body.mirror(mirror, &negate, &turn_drawing));
}

/// Which of the rail's coordinates a mirror turns round.
const fn turned_in(plane: MirrorPlane) -> [bool; 3] {
    [
        matches!(plane, MirrorPlane::Lengthwise),
        matches!(plane, MirrorPlane::LeftRight),
        matches!(plane, MirrorPlane::FrontRear),
    ]
}

/// Negates the coordinates that are turned round.
fn negated_in(turns: [bool; 3]) -> impl Fn(Axis, &mut Length) {
    move |axis, size| {
        if turns[axis as usize] {
            negate(size);
        }
    }
}

fn mirror_obstacle(obstacle: &mut Obstacle, plane: MirrorPlane, length: &Length) {
    let turns = turned_in(plane);
    let place = |axis: Axis, size: &mut Length| match axis {
        Axis::X if turns[0] => complement(size, length),
        axis => negated_in(turns)(axis, size),
    };
    mirror_bodies(&mut obstacle.bodies, &BodyMirror { place: &place, turns, turns_over: false });
}

fn mirror_rider(rider: &mut Rider, plane: MirrorPlane, rail: Option<&motion::Rail>) {
    let across = match rider.faces {
        Facing::Front | Facing::Rear => DVec2::X,
        Facing::Left | Facing::Right => DVec2::Y,
    };
    let tracks = TrackMirror::new(plane, rail);
    if let Some(tracks) = &tracks {
        let own = rider.wheels.iter_mut().filter_map(|wheel| wheel.track.as_mut());
        let shoes = rider.shoes.iter_mut().map(|shoe| &mut shoe.track);
        own.chain(shoes).for_each(|name| *name = tracks.track(name));
        let pairs = rider.wheels.iter_mut().filter_map(|wheel| wheel.pair.as_mut());
        pairs.for_each(|name| *name = tracks.pair(name, across));
    }
    // On a rider y counts along the positive axis across the rail and z out of the plate, so a mirror in a
    // plane square to the plate's normal only turns the rider over.
    let across = match (plane, rider.faces) {
        (MirrorPlane::FrontRear, Facing::Front) => Err(Facing::Rear),
        (MirrorPlane::FrontRear, Facing::Rear) => Err(Facing::Front),
        (MirrorPlane::LeftRight, Facing::Right) => Err(Facing::Left),
        (MirrorPlane::LeftRight, Facing::Left) => Err(Facing::Right),
        (MirrorPlane::Lengthwise, _) => Ok(false),
        _ => Ok(true),
    };
    let (across, turned_over) = match across {
        Ok(across) => (across, false),
        Err(faces) => {
            rider.faces = faces;
            (false, true)
        }
    };
    let along = plane == MirrorPlane::Lengthwise;
    // A plate's drawing is seen from outside: where the rider turns over, it is seen from the other side.
    let drawing = across != turned_over;
    let place = |point: &mut Point| {
        if along {
            negate(&mut point.0);
        }
        if across {
            negate(&mut point.1);
        }
    };
    let spot = |spot: &mut Spot| {
        if along {
            negate(&mut spot.0);
        }
        if across {
            negate(&mut spot.1);
        }
    };
    let drawn = |data: &mut String| turn_drawing(data, along, drawing);
    if along {
        rider.wheels.iter_mut().for_each(|wheel| negate(&mut wheel.along));
        rider.shoes.iter_mut().for_each(|shoe| negate(&mut shoe.along));
    }
    rider.bolts.iter_mut().for_each(|bolt| spot(&mut bolt.at));
    let stacks =
        rider.stack.iter_mut().chain(rider.wheels.iter_mut().filter_map(|wheel| wheel.stack.as_mut()));
    for piece in stacks.chain(rider.bolts.iter_mut().map(|bolt| &mut bolt.stack)).flat_map(|s| &mut s.pieces)
    {
        if piece.kind == PieceKind::Eccentric {
            turn_round(&mut piece.turn, along, across);
        }
    }
    let turns = [along, across, false];
    let on_rider = BodyMirror { place: &negated_in(turns), turns, turns_over: turned_over };
    for load in &mut rider.loads {
        mirror_bodies(&mut load.bodies, &on_rider);
        load.centre.iter_mut().for_each(place);
        load.reach.iter_mut().for_each(|Reach { direction, .. }| place(direction));
    }
    rider.grip.iter_mut().for_each(|grip| place(&mut grip.at));
    for force in &mut rider.forces {
        force.at.iter_mut().for_each(place);
        if along && force.acts == ForceAction::Push {
            force.table.iter_mut().for_each(|point| point.1.formula = negated(&point.1.formula));
        }
    }
    rider.points.iter_mut().for_each(|point| place(&mut point.at));
    // A shoe's bodies stand in the rail's directions.
    let turns = turned_in(plane);
    let on_rail = BodyMirror { place: &negated_in(turns), turns, turns_over: false };
    rider.shoes.iter_mut().for_each(|shoe| mirror_bodies(&mut shoe.bodies, &on_rail));
    for plate in &mut rider.plates {
        plate.outline.mirror(&spot, &drawn);
        plate.features.iter_mut().for_each(|feature| feature.mirror(&spot, &drawn));
    }
}
