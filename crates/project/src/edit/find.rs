//! Named things by path.

use super::list::List;
use crate::document::{Document, Named, Rider, Stack, piece_names};

/// A thing's name and the names of its siblings.
pub(super) struct Found<'a> {
    pub name: &'a mut String,
    /// Names the things beside it have.
    pub siblings: Vec<String>,
}

/// The named thing at a path: riders, what is on them, obstacles, nodes, parts, materials, trials, pieces.
pub(super) fn named<'a>(document: &'a mut Document, path: &str) -> Option<Found<'a>> {
    let steps: Vec<&str> = path.split('/').collect();
    match steps.as_slice() {
        ["riders", name] => in_list(&mut document.riders, name),
        ["obstacles", name] => in_list(&mut document.obstacles, name),
        ["parts", name] => in_list(&mut document.parts, name),
        ["materials", name] => in_list(&mut document.materials, name),
        ["trials", name] => in_list(&mut document.trials, name),
        ["line", "nodes", name] => in_list(&mut document.line.as_mut()?.nodes, name),
        ["riders", rider, rest @ ..] => {
            let rider = document.riders.iter_mut().find(|known| known.name == *rider)?;
            match rest {
                ["wheels", name] => in_list(&mut rider.wheels, name),
                ["bolts", name] => in_list(&mut rider.bolts, name),
                ["shoes", name] => in_list(&mut rider.shoes, name),
                ["plates", name] => in_list(&mut rider.plates, name),
                ["loads", name] => in_list(&mut rider.loads, name),
                ["forces", name] => in_list(&mut rider.forces, name),
                ["points", name] => in_list(&mut rider.points, name),
                ["plates", plate, "features", name] => {
                    let plate = rider.plates.iter_mut().find(|known| known.name == *plate)?;
                    in_list(&mut plate.features, name)
                }
                [within @ .., "stack", piece] => {
                    let stack = stack_of(rider, within)?;
                    let mut siblings = piece_names(&stack.pieces);
                    let at = siblings.iter().position(|name| name == piece)?;
                    siblings.remove(at);
                    Some(Found { name: &mut stack.pieces.get_mut(at)?.name, siblings })
                }
                _ => None,
            }
        }
        _ => None,
    }
}

/// A rider's stack: its own, or that of one of its wheels or bolts.
pub(super) fn stack_of<'a>(rider: &'a mut Rider, within: &[&str]) -> Option<&'a mut Stack> {
    match within {
        [] => rider.stack.as_mut(),
        ["wheels", wheel] => rider.wheels.iter_mut().find(|known| known.name == *wheel)?.stack.as_mut(),
        ["bolts", bolt] => Some(&mut rider.bolts.iter_mut().find(|known| known.name == *bolt)?.stack),
        _ => None,
    }
}

/// The list the thing at a path stands in, and the thing's name.
pub(super) fn list_of<'a>(document: &'a mut Document, path: &str) -> Option<(&'a mut dyn List, String)> {
    let steps: Vec<&str> = path.split('/').collect();
    let (name, list): (&str, &mut dyn List) = match steps.as_slice() {
        ["sizes", name] => (name, &mut document.sizes.entries),
        ["riders", name] => (name, &mut document.riders),
        ["obstacles", name] => (name, &mut document.obstacles),
        ["parts", name] => (name, &mut document.parts),
        ["materials", name] => (name, &mut document.materials),
        ["trials", name] => (name, &mut document.trials),
        ["line", "nodes", name] => (name, &mut document.line.as_mut()?.nodes),
        ["riders", rider, rest @ ..] => {
            let rider = document.riders.iter_mut().find(|known| known.name == *rider)?;
            match rest {
                ["wheels", name] => (name, &mut rider.wheels),
                ["bolts", name] => (name, &mut rider.bolts),
                ["shoes", name] => (name, &mut rider.shoes),
                ["plates", name] => (name, &mut rider.plates),
                ["loads", name] => (name, &mut rider.loads),
                ["points", name] => (name, &mut rider.points),
                ["plates", plate, "features", name] => {
                    (name, &mut rider.plates.iter_mut().find(|known| known.name == *plate)?.features)
                }
                [within @ .., "stack", name] => (name, &mut stack_of(rider, within)?.pieces),
                _ => return None,
            }
        }
        _ => return None,
    };
    Some((list, name.to_owned()))
}

fn in_list<'a, T: Named>(things: &'a mut [T], name: &str) -> Option<Found<'a>> {
    let siblings = things.iter().map(Named::name).filter(|known| *known != name).map(str::to_owned).collect();
    let thing = things.iter_mut().find(|known| known.name() == name)?;
    Some(Found { name: thing.name_mut(), siblings })
}

/// `path` with its last step replaced.
pub(super) fn with_last(path: &str, name: &str) -> String {
    match path.rsplit_once('/') {
        Some((base, _)) => crate::path::join(base, name),
        None => name.to_owned(),
    }
}

/// The last step of a path.
pub(super) fn last(path: &str) -> &str {
    path.rsplit('/').next().unwrap_or(path)
}
