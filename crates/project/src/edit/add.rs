//! Adding things.

use super::{EditResult, Edited, find, reorder, short};
use crate::document::{
    Bolt, Document, Feature, Load, Material, Measured, Named, Node, Obstacle, Part, Piece, Plate, Rider,
    Shoe, Stack, Trial, Watched, WheelPlace, piece_names,
};
use crate::problem::{Problem, quoted};
use crate::readings::join_readings;
use crate::size::AnySize;
use crate::trial::{make_own, no_such_path};
use crate::values::check_shared_name;

/// Something to add.
#[derive(Clone, Debug, PartialEq)]
#[expect(clippy::large_enum_variant, reason = "one is held at a time")]
pub enum Addition {
    /// A shared size.
    Size(String, AnySize),
    /// A rider.
    Rider(Rider),
    /// A wheel or pair of wheels on the rider of this name.
    Wheel(String, WheelPlace),
    /// A stack without a wheel on the rider of this name.
    Bolt(String, Bolt),
    /// A shoe on the rider of this name.
    Shoe(String, Shoe),
    /// A plate on the rider of this name.
    Plate(String, Plate),
    /// A feature of a plate: rider, plate.
    Feature(String, String, Feature),
    /// A load on the rider of this name.
    Load(String, Load),
    /// A point to watch on the rider of this name.
    Point(String, Watched),
    /// Something that stands still.
    Obstacle(Obstacle),
    /// A node of the line, before the one with this number (from 0).
    Node(usize, Node),
    /// A part.
    Part(Part),
    /// A material.
    Material(Material),
    /// Readings; they join those of the same size of the same part.
    Measured(Measured),
    /// A trial.
    Trial(Trial),
    /// A piece in the stack at this path, before the one with this number (from 0).
    Piece(String, usize, Piece),
}

/// Adds something; where its name is taken it gets a number.
///
/// # Errors
/// When what it belongs to is not there, or its name cannot be used.
pub fn add(document: &Document, addition: Addition) -> EditResult {
    added(document, addition).map(|(edited, _)| edited)
}

/// The same, with the path of what was added.
pub(super) fn added(document: &Document, addition: Addition) -> Result<(Edited, String), Problem> {
    let mut changed = document.clone();
    let (description, path) = insert(&mut changed, addition)?;
    Ok((Edited { document: changed, description }, path))
}

/// Inserts it; says what was done, and where it stands.
fn insert(document: &mut Document, addition: Addition) -> Result<(String, String), Problem> {
    Ok(match addition {
        Addition::Size(name, size) => {
            check_shared_name(&name)
                .map_err(|message| Problem::error("sizes", message).remedy("choose another name"))?;
            if document.sizes.get(&name).is_some() {
                return Err(Problem::error("sizes", format!("there is a size {} already", quoted(&name)))
                    .remedy("choose another name"));
            }
            let (description, path) = (format!("Add the size {name}"), format!("sizes/{name}"));
            document.sizes.entries.push((name, size));
            (description, path)
        }
        Addition::Rider(rider) => push(&mut document.riders, rider, "rider", "riders"),
        Addition::Point(rider, point) => push(
            &mut rider_named(document, &rider)?.points,
            point,
            "point",
            &format!("riders/{rider}/points"),
        ),
        Addition::Wheel(rider, wheel) => push(
            &mut rider_named(document, &rider)?.wheels,
            wheel,
            "wheel",
            &format!("riders/{rider}/wheels"),
        ),
        Addition::Bolt(rider, bolt) => {
            push(&mut rider_named(document, &rider)?.bolts, bolt, "bolt", &format!("riders/{rider}/bolts"))
        }
        Addition::Shoe(rider, shoe) => {
            push(&mut rider_named(document, &rider)?.shoes, shoe, "shoe", &format!("riders/{rider}/shoes"))
        }
        Addition::Plate(rider, plate) => push(
            &mut rider_named(document, &rider)?.plates,
            plate,
            "plate",
            &format!("riders/{rider}/plates"),
        ),
        Addition::Feature(rider, plate, feature) => {
            let list = format!("riders/{rider}/plates/{plate}/features");
            let rider = rider_named(document, &rider)?;
            let Some(plate) = rider.plates.iter_mut().find(|known| known.name == plate) else {
                let message = format!("{} has no plate called {}", quoted(&rider.name), quoted(&plate));
                return Err(Problem::error("riders", message).remedy("choose one of its plates"));
            };
            push(&mut plate.features, feature, "feature", &list)
        }
        Addition::Load(rider, load) => {
            push(&mut rider_named(document, &rider)?.loads, load, "load", &format!("riders/{rider}/loads"))
        }
        Addition::Obstacle(obstacle) => push(&mut document.obstacles, obstacle, "obstacle", "obstacles"),
        Addition::Part(part) => push(&mut document.parts, part, "part", "parts"),
        Addition::Material(material) => push(&mut document.materials, material, "material", "materials"),
        Addition::Trial(trial) => push(&mut document.trials, trial, "trial", "trials"),
        Addition::Node(at, mut node) => {
            let Some(line) = &mut document.line else {
                return Err(
                    Problem::error("line", "the fixture has no line to add to").remedy("add a line first")
                );
            };
            let name = fresh_name(node.name(), line.nodes.iter().map(Named::name));
            *node.name_mut() = name.clone();
            line.nodes.insert(at.min(line.nodes.len()), node);
            (format!("Add {name} to the line"), format!("line/nodes/{name}"))
        }
        Addition::Measured(measured) => {
            let description = format!("Note readings of {} {}", measured.part, measured.size);
            join_readings(&mut document.measured, measured).map_err(|measured| too_many(&measured))?;
            (description, "measured".to_owned())
        }
        Addition::Piece(path, at, piece) => {
            make_own(document, &path);
            let description = format!("Add a {} to {}", piece.kind.word(), short(&path));
            let Some(stack) = stack_at(document, &path) else { return Err(no_such_path(document, &path)) };
            let before = piece_names(&stack.pieces);
            let at = at.min(stack.pieces.len());
            stack.pieces.insert(at, piece);
            let mut after = piece_names(&stack.pieces);
            let name = after.remove(at);
            reorder::follow_pieces(document, &path, &before.into_iter().zip(after).collect::<Vec<_>>());
            (description, format!("{path}/{name}"))
        }
    })
}

/// Takes caliper readings in, as [`crate::read_readings`] gives them; they join those that are there.
///
/// # Errors
/// When there would be more of one size than are worked with.
pub fn take_readings(document: &Document, readings: Vec<Measured>) -> EditResult {
    let (sizes, count) = (readings.len(), readings.iter().map(|m| m.readings.len()).sum::<usize>());
    let mut changed = document.clone();
    for measured in readings {
        join_readings(&mut changed.measured, measured).map_err(|measured| too_many(&measured))?;
    }
    let description = format!("Take in {} of {}", counted(count, "reading"), counted(sizes, "size"));
    Ok(Edited { document: changed, description })
}

fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// Why readings are not taken in.
pub(super) fn too_many(measured: &Measured) -> Problem {
    let (part, size) = (quoted(&measured.part), quoted(&measured.size));
    Problem::error("measured", format!("there are too many readings of {size} of {part}"))
        .remedy("remove the oldest of them")
}

fn rider_named<'d>(document: &'d mut Document, name: &str) -> Result<&'d mut Rider, Problem> {
    document.riders.iter_mut().find(|rider| rider.name == name).ok_or_else(|| {
        Problem::error("riders", format!("there is no rider called {}", quoted(name)))
            .remedy("choose one of the riders there are")
    })
}

fn push<T: Named>(things: &mut Vec<T>, mut thing: T, what: &str, list: &str) -> (String, String) {
    let name = fresh_name(thing.name(), things.iter().map(Named::name));
    thing.name_mut().clone_from(&name);
    things.push(thing);
    (format!("Add the {what} {name}"), format!("{list}/{name}"))
}

/// The stack at a path.
pub(super) fn stack_at<'d>(document: &'d mut Document, path: &str) -> Option<&'d mut Stack> {
    let steps: Vec<&str> = path.split('/').collect();
    let ["riders", rider, within @ .., "stack"] = steps.as_slice() else { return None };
    find::stack_of(document.riders.iter_mut().find(|known| known.name == *rider)?, within)
}

/// `wanted` if it is free, else with the least number from 2 up that makes it so.
pub fn fresh_name<'n>(wanted: &str, taken: impl Iterator<Item = &'n str>) -> String {
    let taken: std::collections::HashSet<&str> = taken.collect();
    if !taken.contains(wanted) {
        return wanted.to_owned();
    }
    // A name that ends in a number counts on from it.
    let base = match wanted.rsplit_once(' ') {
        Some((base, number)) if number.parse::<u32>().is_ok() => base,
        _ => wanted,
    };
    (2_u64..)
        .map(|number| format!("{base} {number}"))
        .find(|name| !taken.contains(name.as_str()))
        .unwrap_or_else(|| wanted.to_owned())
}
