//! Things on the clipboard: taken from one place of a document, put down in another, also of another document.

use serde::{Deserialize, Serialize};

use super::add::{Addition, added, stack_at};
use super::{EditResult, Edited, short};
use crate::document::{
    Bolt, Document, Feature, Load, Material, Named, Obstacle, Part, Piece, PieceKind, Plate, Rider, Shoe,
    Stack, Watched, WheelPlace, piece_names,
};
use crate::problem::Problem;
use crate::ron_options::options;
use crate::trial::{make_own, no_such_path};

/// More text than this is no part of a fixture (bytes).
const LONGEST: usize = 1 << 20;

/// What was copied.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[expect(clippy::large_enum_variant, reason = "one is held at a time")]
pub enum Clip {
    /// A rider with all that is on it.
    Rider(Rider),
    /// A wheel or pair of wheels.
    Wheel(WheelPlace),
    /// A stack without a wheel.
    Bolt(Bolt),
    /// A shoe.
    Shoe(Shoe),
    /// A plate.
    Plate(Plate),
    /// A feature of a plate.
    Feature(Feature),
    /// A load.
    Load(Load),
    /// A point to watch.
    Point(Watched),
    /// Something that stands still.
    Obstacle(Obstacle),
    /// A part.
    Part(Part),
    /// A material.
    Material(Material),
    /// A screw with everything threaded on it.
    Stack(Stack),
    /// One piece of a stack.
    Piece(Piece),
}

impl Clip {
    /// What stands at a path; nothing where that cannot be copied.
    pub fn taken(document: &Document, path: &str) -> Option<Self> {
        fn named<T: Named + Clone>(list: &[T], name: &str) -> Option<T> {
            list.iter().find(|thing| thing.name() == name).cloned()
        }
        let rider = |name: &str| document.riders.iter().find(|rider| rider.name == name);
        let steps: Vec<&str> = path.split('/').collect();
        Some(match steps.as_slice() {
            ["riders", name] => Self::Rider(rider(name)?.clone()),
            ["riders", .., "stack"] => Self::Stack(document.stack_at(path)?.clone()),
            ["riders", .., "stack", piece] => {
                let stack = document.stack_at(path.rsplit_once('/')?.0)?;
                let at = piece_names(&stack.pieces).iter().position(|name| name == piece)?;
                Self::Piece(stack.pieces.get(at)?.clone())
            }
            ["riders", of, "wheels", name] => Self::Wheel(named(&rider(of)?.wheels, name)?),
            ["riders", of, "bolts", name] => Self::Bolt(named(&rider(of)?.bolts, name)?),
            ["riders", of, "shoes", name] => Self::Shoe(named(&rider(of)?.shoes, name)?),
            ["riders", of, "plates", name] => Self::Plate(named(&rider(of)?.plates, name)?),
            ["riders", of, "plates", on, "features", name] => {
                let plate = rider(of)?.plates.iter().find(|plate| plate.name == *on)?;
                Self::Feature(named(&plate.features, name)?)
            }
            ["riders", of, "loads", name] => Self::Load(named(&rider(of)?.loads, name)?),
            ["riders", of, "points", name] => Self::Point(named(&rider(of)?.points, name)?),
            ["obstacles", name] => Self::Obstacle(named(&document.obstacles, name)?),
            ["parts", name] => Self::Part(named(&document.parts, name)?),
            ["materials", name] => Self::Material(named(&document.materials, name)?),
            _ => return None,
        })
    }

    /// What it is, in a word.
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Rider(_) => "rider",
            Self::Wheel(_) => "wheel",
            Self::Bolt(_) => "bolt",
            Self::Shoe(_) => "shoe",
            Self::Plate(_) => "plate",
            Self::Feature(_) => "feature of a plate",
            Self::Load(_) => "load",
            Self::Point(_) => "point to watch",
            Self::Obstacle(_) => "obstacle",
            Self::Part(_) => "part",
            Self::Material(_) => "material",
            Self::Stack(_) => "stack",
            Self::Piece(piece) => piece.kind.word(),
        }
    }

    /// As text, in the words of the project file.
    ///
    /// # Errors
    /// When it holds what cannot be written, such as a number that is not finite.
    pub fn text(&self) -> Result<String, Problem> {
        let pretty = ron::ser::PrettyConfig::default();
        options().to_string_pretty(self, pretty).map_err(|error| {
            Problem::error("clipboard", format!("this cannot be copied: {error}")).remedy("correct it first")
        })
    }

    /// What [`Self::text`] wrote.
    ///
    /// # Errors
    /// When the text is none of a part of a fixture.
    pub fn read(text: &str) -> Result<Self, Problem> {
        let refuse = || {
            Problem::error("clipboard", "what is on the clipboard is no part of a fixture")
                .remedy("select a part and copy it first")
        };
        if text.len() > LONGEST {
            return Err(refuse());
        }
        options().from_str(text).map_err(|_| refuse())
    }
}

/// Puts a copy down: on the rider, plate or stack that the path `onto` lies in, where it belongs to such a thing. A
/// stack takes the place of the one there. Gives the path of what was put down besides.
///
/// # Errors
/// When there is nothing at the path that could take it, or the document could not be read again with it.
pub fn paste(document: &Document, clip: &Clip, onto: &str) -> Result<(Edited, String), Problem> {
    let (edited, path) = put(document, clip, onto)?;
    // What comes from elsewhere must leave a document that can be read again.
    let text = crate::print(&edited.document);
    crate::parse(&text).map_err(|problems| first(problems, clip))?;
    Ok((Edited { description: format!("Paste the {}", clip.word()), ..edited }, path))
}

fn first(problems: Vec<Problem>, clip: &Clip) -> Problem {
    let unknown = || Problem::error("clipboard", format!("this {} cannot be put down here", clip.word()));
    problems.into_iter().next().unwrap_or_else(unknown)
}

fn put(document: &Document, clip: &Clip, onto: &str) -> Result<(Edited, String), Problem> {
    let steps: Vec<&str> = onto.split('/').collect();
    let rider = || match steps.as_slice() {
        ["riders", name, ..] => Ok((*name).to_owned()),
        _ => match document.riders.as_slice() {
            // Where there is but one, it is meant.
            [only] => Ok(only.name.clone()),
            _ => Err(Problem::error("clipboard", format!("a {} belongs on a rider", clip.word()))
                .remedy("select the rider to put it on")),
        },
    };
    // The stack that a path lies in, else the one that the rider's wheels share.
    let stack = || match steps.iter().position(|step| *step == "stack").and_then(|at| steps.get(..=at)) {
        Some(steps) => Ok(steps.join("/")),
        None => rider().map(|of| format!("riders/{of}/stack")),
    };
    let on = |of: &str, on: Option<&String>| stands_on(document, of, on);
    let addition = match clip {
        Clip::Rider(rider) => Addition::Rider(rider.clone()),
        Clip::Obstacle(obstacle) => Addition::Obstacle(obstacle.clone()),
        Clip::Part(part) => Addition::Part(part.clone()),
        Clip::Material(material) => Addition::Material(material.clone()),
        Clip::Wheel(wheel) => Addition::Wheel(rider()?, wheel.clone()),
        Clip::Bolt(bolt) => Addition::Bolt(rider()?, bolt.clone()),
        Clip::Shoe(shoe) => Addition::Shoe(rider()?, shoe.clone()),
        Clip::Plate(plate) => Addition::Plate(rider()?, plate.clone()),
        Clip::Load(load) => {
            let of = rider()?;
            let on = on(&of, load.on.as_ref());
            Addition::Load(of, Load { on, ..load.clone() })
        }
        Clip::Point(point) => {
            let of = rider()?;
            let on = on(&of, point.on.as_ref());
            Addition::Point(of, Watched { on, ..point.clone() })
        }
        Clip::Feature(feature) => {
            let ["riders", of, "plates", on, ..] = steps.as_slice() else {
                return Err(Problem::error("clipboard", "a feature belongs on a plate")
                    .remedy("select the plate to put it on"));
            };
            Addition::Feature((*of).to_owned(), (*on).to_owned(), feature.clone())
        }
        Clip::Stack(own) => {
            let (of, path) = (rider()?, stack()?);
            return Ok((replace_stack(document, &of, &path, own)?, path));
        }
        Clip::Piece(piece) => {
            let base = stack()?;
            let mut own = document.clone();
            make_own(&mut own, &base);
            let stack = own.stack_at(&base).ok_or_else(|| no_such_path(document, &base))?;
            let names = piece_names(&stack.pieces);
            let behind = onto.strip_prefix(&base).and_then(|rest| rest.strip_prefix('/'));
            let behind = behind.and_then(|name| names.iter().position(|known| known == name));
            let nut = stack.pieces.iter().rposition(|piece| piece.kind == PieceKind::Nut);
            let at = behind.map(|at| at + 1).or(nut).unwrap_or(stack.pieces.len());
            let name = if names.contains(&piece.name) { String::new() } else { piece.name.clone() };
            Addition::Piece(base, at, Piece { name, ..piece.clone() })
        }
    };
    added(document, addition)
}

/// The plate a thing stands on once it is on this rider: the one of the same name, else its first.
fn stands_on(document: &Document, rider: &str, on: Option<&String>) -> Option<String> {
    let plates = &document.riders.iter().find(|known| known.name == rider)?.plates;
    let same = plates.iter().find(|plate| Some(&plate.name) == on);
    on.and(same.or(plates.first())).map(|plate| plate.name.clone())
}

/// Another stack in place of one; plates it goes through become those that are there.
fn replace_stack(document: &Document, of: &str, path: &str, stack: &Stack) -> EditResult {
    let mut changed = document.clone();
    make_own(&mut changed, path);
    let rider = changed.riders.iter().find(|rider| rider.name == of);
    let plates: Vec<String> =
        rider.into_iter().flat_map(|rider| &rider.plates).map(|plate| plate.name.clone()).collect();
    let mut stack = stack.clone();
    for piece in stack.pieces.iter_mut().filter(|piece| piece.kind == PieceKind::Plate) {
        if let (false, Some(first)) = (plates.contains(&piece.part), plates.first()) {
            piece.part.clone_from(first);
        }
    }
    let shared = changed.riders.iter_mut().find(|rider| rider.name == of);
    match shared.filter(|rider| rider.stack.is_none() && path == format!("riders/{of}/stack")) {
        Some(rider) => rider.stack = Some(stack),
        None => *stack_at(&mut changed, path).ok_or_else(|| no_such_path(document, path))? = stack,
    }
    Ok(Edited { document: changed, description: format!("Paste the stack into {}", short(path)) })
}
