//! Duplicating things.

use super::add::{Addition, add, fresh_name, stack_at};
use super::{EditResult, Edited, short};
use crate::document::{Document, Moves, Named, Node, piece_names};
use crate::size::{Length, Number};
use crate::trial::{make_own, no_such_path};

/// How far along the rail a copy stands from what it was made of (mm).
const BESIDE: f64 = 20.0;

/// A copy of what stands at a path, under a name of its own and a little way along. A copy of the lead rider
/// travels with it.
///
/// # Errors
/// When there is nothing at the path that can be copied.
pub fn duplicate(document: &Document, path: &str) -> EditResult {
    let mut changed = document.clone();
    let steps: Vec<&str> = path.split('/').collect();
    let copied = match steps.as_slice() {
        ["sizes", name] => {
            let copy = changed.sizes.get(name).cloned();
            copy.map(|size| {
                let taken = changed.sizes.names();
                let fresh = fresh_name(name, taken).replace(' ', "_");
                changed.sizes.entries.push((fresh, size));
            })
        }
        ["riders", name] => copy(&mut changed.riders, name, |rider| {
            shift(&mut rider.at, 10.0 * BESIDE);
            if rider.moves == Moves::Lead {
                rider.moves = Moves::Linked(Number::of(1.0));
            }
        }),
        ["obstacles", name] => copy(&mut changed.obstacles, name, |_| {}),
        ["parts", name] => copy(&mut changed.parts, name, |_| {}),
        ["materials", name] => copy(&mut changed.materials, name, |_| {}),
        ["trials", name] => copy(&mut changed.trials, name, |_| {}),
        ["line", "nodes", name] => changed.line.as_mut().and_then(|line| {
            copy(&mut line.nodes, name, |node| match node {
                Node::Anchor(anchor) => shift(&mut anchor.at.0, BESIDE),
                Node::Idler(roller) | Node::Post(roller) | Node::Driven(roller) => {
                    shift(&mut roller.at.0, BESIDE);
                }
            })
        }),
        ["riders", .., "stack", _] => return piece(document, path),
        ["riders", rider, list, name] => {
            let rider = changed.riders.iter_mut().find(|known| known.name == *rider);
            rider.and_then(|rider| match *list {
                "wheels" => copy(&mut rider.wheels, name, |wheel| shift(&mut wheel.along, BESIDE)),
                "bolts" => copy(&mut rider.bolts, name, |bolt| shift(&mut bolt.at.0, BESIDE)),
                "shoes" => copy(&mut rider.shoes, name, |shoe| shift(&mut shoe.along, BESIDE)),
                "plates" => copy(&mut rider.plates, name, |_| {}),
                "loads" => copy(&mut rider.loads, name, |_| {}),
                "forces" => copy(&mut rider.forces, name, |_| {}),
                "points" => copy(&mut rider.points, name, |point| shift(&mut point.at.0, BESIDE)),
                _ => None,
            })
        }
        ["riders", rider, "plates", plate, "features", name] => {
            let rider = changed.riders.iter_mut().find(|known| known.name == *rider);
            let plate = rider.and_then(|rider| rider.plates.iter_mut().find(|known| known.name == *plate));
            plate.and_then(|plate| copy(&mut plate.features, name, |_| {}))
        }
        _ => None,
    };
    match copied {
        Some(()) => Ok(Edited { document: changed, description: format!("Duplicate {}", short(path)) }),
        None => Err(no_such_path(document, path)),
    }
}

/// A copy of a piece, right behind it on its screw.
fn piece(document: &Document, path: &str) -> EditResult {
    let mut with_own = document.clone();
    make_own(&mut with_own, path);
    let not_there = || no_such_path(document, path);
    let (base, name) = path.rsplit_once('/').ok_or_else(not_there)?;
    let stack = stack_at(&mut with_own, base).ok_or_else(not_there)?;
    let names = piece_names(&stack.pieces);
    let at = names.iter().position(|known| known == name).ok_or_else(not_there)?;
    let mut piece = stack.pieces.get(at).cloned().ok_or_else(not_there)?;
    if !piece.name.is_empty() {
        piece.name = fresh_name(&piece.name, names.iter().map(String::as_str));
    }
    let edited = add(&with_own, Addition::Piece(base.to_owned(), at + 1, piece))?;
    Ok(Edited { description: format!("Duplicate {}", short(path)), ..edited })
}

fn copy<T: Named + Clone>(things: &mut Vec<T>, name: &str, change: impl FnOnce(&mut T)) -> Option<()> {
    let at = things.iter().position(|thing| thing.name() == name)?;
    let mut copy = things.get(at)?.clone();
    *copy.name_mut() = fresh_name(name, things.iter().map(Named::name));
    change(&mut copy);
    things.insert(at + 1, copy);
    Some(())
}

fn shift(size: &mut Length, by: f64) {
    size.formula = size.formula.shifted(by);
}
