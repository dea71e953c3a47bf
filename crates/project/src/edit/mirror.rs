//! Mirroring things.

use super::{EditResult, Edited, short};
use crate::document::{Body, Document, Facing, ForceAction, Obstacle, PieceKind, Point, Reach, Rider, Spot};
use crate::shapes::mirrored;
use crate::size::{Angle, Formula, Length};
use crate::trial::no_such_path;

/// The plane to mirror in; it holds the rail's centre line, or for [`MirrorPlane::Lengthwise`] stands square
/// to it at the rider's origin or the rail's middle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MirrorPlane {
    /// Front becomes rear.
    FrontRear,
    /// Left becomes right.
    LeftRight,
    /// The two ends change places.
    Lengthwise,
}

/// Mirrors a rider or an obstacle in place.
///
/// # Errors
/// When there is neither at the path.
pub fn mirror(document: &Document, path: &str, plane: MirrorPlane) -> EditResult {
    let mut changed = document.clone();
    let steps: Vec<&str> = path.split('/').collect();
    let found = match steps.as_slice() {
        ["riders", name] => changed
            .riders
            .iter_mut()
            .find(|rider| rider.name == *name)
            .map(|rider| mirror_rider(rider, plane)),
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

fn points(body: &mut Body) -> Vec<&mut Point> {
    match body {
        Body::Box { from, to } | Body::Cylinder { from, to, .. } | Body::Cone { from, to, .. } => {
            vec![from, to]
        }
        Body::Ball { at, .. } => vec![at],
    }
}

fn mirror_obstacle(obstacle: &mut Obstacle, plane: MirrorPlane, length: &Length) {
    for point in obstacle.bodies.iter_mut().flat_map(points) {
        match plane {
            MirrorPlane::FrontRear => negate(&mut point.2),
            MirrorPlane::LeftRight => negate(&mut point.1),
            MirrorPlane::Lengthwise => complement(&mut point.0, length),
        }
    }
}

/// The other of two words that stand at the start or end of a track's or pair's name.
pub(crate) fn swap_words(name: &str, a: &str, b: &str) -> String {
    name.split(' ')
        .map(|word| {
            if word == a {
                b
            } else if word == b {
                a
            } else {
                word
            }
        })
        .collect::<Vec<_>>()
        .join(" ")
}

fn mirror_rider(rider: &mut Rider, plane: MirrorPlane) {
    let words = match plane {
        MirrorPlane::FrontRear => Some(("front", "rear")),
        MirrorPlane::LeftRight => Some(("left", "right")),
        MirrorPlane::Lengthwise => None,
    };
    if let Some((a, b)) = words {
        let tracks = rider.wheels.iter_mut().flat_map(|wheel| [&mut wheel.track, &mut wheel.pair]).flatten();
        let shoes = rider.shoes.iter_mut().map(|shoe| &mut shoe.track);
        for name in tracks.chain(shoes) {
            *name = swap_words(name, a, b);
        }
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
    // A path that cannot be read is told of when the plate is made.
    let drawn = |data: &mut String| {
        if let Some(image) = mirrored(data, along, drawing) {
            *data = image;
        }
    };
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
    for load in &mut rider.loads {
        load.bodies.iter_mut().flat_map(points).for_each(place);
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
    for point in rider.shoes.iter_mut().flat_map(|shoe| &mut shoe.bodies).flat_map(points) {
        match plane {
            MirrorPlane::FrontRear => negate(&mut point.2),
            MirrorPlane::LeftRight => negate(&mut point.1),
            MirrorPlane::Lengthwise => negate(&mut point.0),
        }
    }
    for plate in &mut rider.plates {
        plate.outline.mirror(&spot, &drawn);
        plate.features.iter_mut().for_each(|feature| feature.mirror(&spot, &drawn));
    }
}
