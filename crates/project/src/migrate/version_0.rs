//! Version 0, the draft of the format.
//!
//! Beside what changed after version 1 it differs in that shared sizes are a list, a rider says `place` and `facing` for `at` and
//! `faces` and gives a plain `ratio` for `moves`, and the least gap stands alone.

use serde::Deserialize;

use super::version_1;
use crate::comments::scan;
use crate::document::{
    Bolt, Document, Drive, FORMAT, Facing, Grip, Limits, Line, Load, Material, Moves, Obstacle, Part, Plate,
    Rail, Resistance, Rider, SharedSizes, Shoe, Stack, Stroke, Trial, WheelPlace,
};
use crate::path::join;
use crate::problem::Problem;
use crate::ron_options::options;
use crate::size::{AnySize, Length, Number};

#[derive(Deserialize)]
#[serde(rename = "Document", deny_unknown_fields)]
struct Draft {
    #[serde(default)]
    #[expect(dead_code, reason = "read before, to choose this version")]
    format: u32,
    name: String,
    #[serde(default)]
    note: String,
    #[serde(default)]
    sizes: Vec<DraftSize>,
    rail: Rail,
    #[serde(default)]
    riders: Vec<DraftRider>,
    #[serde(default)]
    line: Option<Line>,
    #[serde(default)]
    obstacles: Vec<Obstacle>,
    stroke: Stroke,
    #[serde(default)]
    gap: Option<Length>,
    #[serde(default)]
    drive: Drive,
    #[serde(default)]
    resistance: Resistance,
    #[serde(default)]
    parts: Vec<Part>,
    #[serde(default)]
    materials: Vec<Material>,
    #[serde(default)]
    trials: Vec<Trial>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DraftSize {
    name: String,
    value: AnySize,
}

#[derive(Deserialize)]
#[serde(rename = "Rider", deny_unknown_fields)]
struct DraftRider {
    name: String,
    facing: Facing,
    place: Length,
    /// Left out by the lead.
    #[serde(default)]
    ratio: Option<Number>,
    #[serde(default)]
    stack: Option<Stack>,
    #[serde(default)]
    wheels: Vec<WheelPlace>,
    #[serde(default)]
    bolts: Vec<Bolt>,
    #[serde(default)]
    shoes: Vec<Shoe>,
    #[serde(default)]
    plates: Vec<Plate>,
    #[serde(default)]
    loads: Vec<Load>,
    #[serde(default)]
    grip: Option<Grip>,
}

/// Reads a draft and brings it to the present format.
pub(super) fn read(text: &str) -> Result<(Document, Vec<Problem>), ron::error::SpannedError> {
    let draft: Draft = options().from_str(text)?;
    let mut notes = vec![
        Problem::note(
            "format",
            format!("the file has format 0, the draft; it was carried over to format {FORMAT}"),
        )
        .remedy("save it to keep the new format"),
    ];
    if !draft.sizes.is_empty() {
        notes.push(Problem::note("sizes", format!("{} shared sizes became a map", draft.sizes.len())));
    }
    let mut sizes = SharedSizes::default();
    for size in draft.sizes {
        if sizes.get(&size.name).is_some() {
            let message = format!("the size {} was given twice; the first is kept", size.name);
            notes.push(Problem::warning(join("sizes", &size.name), message).remedy("check its value"));
            continue;
        }
        sizes.entries.push((size.name, size.value));
    }
    let limits = match draft.gap {
        Some(gap) => {
            notes.push(Problem::note("limits/gap", "the least gap moved to the limits"));
            Limits { gap, ..Limits::default() }
        }
        None => Limits::default(),
    };
    let riders = draft
        .riders
        .into_iter()
        .map(|rider| {
            let message = "place, facing and ratio became at, faces and moves";
            notes.push(Problem::note(join("riders", &rider.name), message));
            Rider {
                name: rider.name,
                note: String::new(),
                faces: rider.facing,
                at: rider.place,
                moves: rider.ratio.map_or(Moves::Lead, Moves::Linked),
                stiffness: None,
                stack: rider.stack,
                wheels: rider.wheels,
                bolts: rider.bolts,
                shoes: rider.shoes,
                plates: rider.plates,
                loads: rider.loads,
                grip: rider.grip,
                forces: Vec::new(),
                points: Vec::new(),
            }
        })
        .collect();
    let mut document = Document {
        format: FORMAT,
        name: draft.name,
        note: draft.note,
        sizes,
        rail: draft.rail,
        riders,
        line: draft.line,
        obstacles: draft.obstacles,
        stroke: draft.stroke,
        limits,
        drive: draft.drive,
        resistance: draft.resistance,
        parts: draft.parts,
        materials: draft.materials,
        pulls: Vec::new(),
        measured: Vec::new(),
        costs: Default::default(),
        currency: String::new(),
        trials: draft.trials,
        comments: scan(text),
    };
    version_1::upgrade(&mut document, &mut notes);
    Ok((document, notes))
}
