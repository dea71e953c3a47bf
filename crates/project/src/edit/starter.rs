//! Things to start from: a new project, a rider that is complete from the start.

use super::thread::bore_of;
use super::{EditResult, MirrorPlane, add, fresh_name, mirror};
use crate::document::{
    Document, Drive, FORMAT, Facing, Limits, Moves, PartForm, Piece, PieceKind, Plate, PlateOutline, Rail,
    Resistance, Rider, SharedSizes, Stack, Stand, Stroke, WheelPlace,
};
use crate::edit::Addition;
use crate::problem::{Problem, quoted};
use crate::size::{AnySize, Length, Number};
use crate::tables::built_in;

/// Plate thickness and corner radius to start from (mm): usual for printed plates, common practice.
const PLATE: f64 = 6.0;
const CORNER: f64 = 6.0;
/// From axle to plate edge to start from (mm).
const MARGIN: f64 = 14.0;
/// Room between plate and rail to start from (mm).
const STANDOFF: f64 = 8.0;

/// A project with a rail and nothing on it.
pub fn new_document(name: &str, section: &str, length: f64, stand: Stand) -> Document {
    Document {
        format: FORMAT,
        name: name.to_owned(),
        note: String::new(),
        sizes: SharedSizes {
            entries: vec![
                ("plate".to_owned(), AnySize::of(PLATE)),
                ("corner".to_owned(), AnySize::of(CORNER)),
            ],
        },
        rail: Rail { section: section.to_owned(), length: Length::of(length), stand, supports: Vec::new() },
        riders: Vec::new(),
        line: None,
        obstacles: Vec::new(),
        stroke: Stroke { from: Length::of(0.0), to: Length::of((0.5 * length).round()) },
        limits: Limits::default(),
        drive: Drive::default(),
        resistance: Resistance::default(),
        parts: Vec::new(),
        materials: Vec::new(),
        pulls: Vec::new(),
        measured: Vec::new(),
        costs: Default::default(),
        currency: String::new(),
        trials: Vec::new(),
        comments: Default::default(),
    }
}

/// A complete stack for a wheel: the screw that fits its bearings with washer, plate, spacer, shims and a
/// thin lock nut; the spacer keeps the plate clear of a rail that reaches `beyond` the track's mid-plane (mm).
///
/// # Errors
/// When there is no such wheel, or no screw for its bore.
pub fn stack_for(wheel: &str, plate: &str, beyond: f64) -> Result<Stack, Problem> {
    let no_wheel = || {
        Problem::error("", format!("there is no wheel called {}", quoted(wheel)))
            .remedy("choose a wheel from the parts tables")
    };
    let part = built_in().part(wheel).ok_or_else(no_wheel)?;
    let PartForm::Wheel(form) = &part.form else { return Err(no_wheel()) };
    let bore = bore_of(form);
    let thread = format!("M{bore}");
    let named = |standard: &str| format!("{standard} {thread}");
    if built_in().part(&named("ISO 4762")).is_none() {
        return Err(Problem::error(
            "",
            format!(
                "there is no screw for the bore of {}, {} mm",
                quoted(wheel),
                glidewright_motion::plain(bore)
            ),
        )
        .remedy("choose another wheel"));
    }
    // Half the hub and one ring lie between mid-plane and spacer.
    let spacer = (beyond + STANDOFF - 0.5 * form.hub.plainly() - 1.0).max(1.0).ceil();
    let pieces = vec![
        Piece::new(PieceKind::Washer, named("ISO 7089")),
        Piece::new(PieceKind::Plate, plate),
        Piece::new(PieceKind::Spacer, named("tube")).with_length(spacer),
        Piece { name: "plate-side shim".to_owned(), ..Piece::new(PieceKind::Shim, named("ring")) },
        Piece::new(PieceKind::Wheel, part.name.clone()),
        Piece { name: "nut-side shim".to_owned(), ..Piece::new(PieceKind::Shim, named("ring")) },
        Piece::new(PieceKind::Nut, named("DIN 985")),
    ];
    Ok(Stack { screw: named("ISO 4762"), length: None, torque: None, head: Default::default(), pieces })
}

/// Adds a rider with four wheels on a pair of tracks, complete stacks and a plate. The first rider leads;
/// others move with it.
///
/// # Errors
/// When there is no such wheel, or no screw for its bore.
pub fn rider(
    document: &Document,
    name: &str,
    faces: Facing,
    pair: &str,
    wheel: &str,
    beyond: f64,
) -> EditResult {
    let plate = "plate";
    let stack = stack_for(wheel, plate, beyond)?;
    let outer = match built_in().part(wheel).map(|part| &part.form) {
        Some(PartForm::Wheel(wheel)) => wheel.outer.plainly(),
        _ => 0.0,
    };
    // Wheels in a row stand at least half a diameter apart.
    let half_base = (0.75 * outer).max(30.0).ceil();
    let place = |name: &str, along: f64| WheelPlace {
        name: name.to_owned(),
        track: None,
        pair: Some(pair.to_owned()),
        along: Length::of(along),
        press: Length::default(),
        stiffness: None,
        stack: None,
    };
    let shared = |name: &str, else_value: f64| match document.sizes.get(name) {
        Some(_) => Length::typed(name),
        None => Length::of(else_value),
    };
    let leads = document.riders.iter().any(|rider| rider.moves == Moves::Lead);
    let rider = Rider {
        name: name.to_owned(),
        note: String::new(),
        faces,
        at: Length::of(half_base + 0.5 * outer + MARGIN),
        moves: if leads { Moves::Linked(Number::of(1.0)) } else { Moves::Lead },
        stiffness: None,
        stack: Some(stack),
        wheels: vec![place("leading", half_base), place("trailing", -half_base)],
        bolts: Vec::new(),
        shoes: Vec::new(),
        plates: vec![Plate {
            name: plate.to_owned(),
            outline: PlateOutline::Around { margin: Length::of(MARGIN), corner: shared("corner", CORNER) },
            thickness: shared("plate", PLATE),
            material: "PETG".to_owned(),
            fill: Number::of(1.0),
            features: Vec::new(),
            level: None,
        }],
        loads: Vec::new(),
        grip: None,
        forces: Vec::new(),
        points: Vec::new(),
    };
    add(document, Addition::Rider(rider))
}

/// Adds a counterweight for a rider: its mirror image on the rail's other side, with its hardware but not its
/// loads, moving the opposite way and standing where the rider comes to at the end of the stroke.
///
/// # Errors
/// When there is no rider of that name.
pub fn counterweight(document: &Document, of: &str) -> EditResult {
    let Some(original) = document.riders.iter().find(|rider| rider.name == of) else {
        return Err(Problem::error("riders", format!("there is no rider called {}", quoted(of)))
            .remedy("choose one of the riders there are"));
    };
    let name = fresh_name("counterweight", document.riders.iter().map(|rider| rider.name.as_str()));
    let mut copy = original.clone();
    copy.name.clone_from(&name);
    copy.loads.clear();
    copy.grip = None;
    copy.forces.clear();
    copy.points.clear();
    copy.moves = Moves::Linked(Number::of(-1.0));
    copy.at = Length::typed(&format!(
        "({}) + ({}) - ({})",
        original.at.formula, document.stroke.to.formula, document.stroke.from.formula
    ));
    let plane = match original.faces {
        Facing::Front | Facing::Rear => MirrorPlane::FrontRear,
        Facing::Right | Facing::Left => MirrorPlane::LeftRight,
    };
    let added = add(document, Addition::Rider(copy))?;
    let mut edited = mirror(&added.document, &format!("riders/{name}"), plane)?;
    edited.description = added.description;
    Ok(edited)
}
