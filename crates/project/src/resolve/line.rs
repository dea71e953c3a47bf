//! The belt or cord.

use std::collections::HashMap;
use std::f64::consts::{PI, TAU};

use glam::DVec2;
use glidewright_motion as motion;
use motion::plain;

use super::{Context, coefficient};
use crate::document::{
    BeltKind, Line, LinePlane, Node, PartForm, PartKind, PulleyPart, PulleyRim, Roller, Spot, Turn,
};
use crate::path::join;
use crate::problem::{Problem, quoted};
use crate::suggest::suggestion;

/// A pulley's pitch may differ from its belt's by this much (mm) from rounding alone.
const SAME_PITCH: f64 = 1e-6;

pub(super) fn resolve(context: &mut Context<'_>, line: &Line, riders: &HashMap<&str, usize>) -> motion::Line {
    let belt = belt(context, line);
    let plane = match &line.plane {
        LinePlane::Upright { y } => motion::LinePlane::Upright { y: context.number(y, "line/plane", "y") },
        LinePlane::Flat { z } => motion::LinePlane::Flat { z: context.number(z, "line/plane", "z") },
    };
    let ends_in_anchors =
        matches!((line.nodes.first(), line.nodes.last()), (Some(Node::Anchor(_)), Some(Node::Anchor(_))))
            && line.nodes.len() > 1;
    if !ends_in_anchors {
        context.report(
            Problem::error("line/nodes", "a line starts and ends at an anchor")
                .remedy("let its first and last node be anchor(…)"),
        );
        context.unusable = true;
    }
    let mut nodes = Vec::with_capacity(line.nodes.len());
    for node in &line.nodes {
        let path = join("line/nodes", crate::document::Named::name(node));
        let rider = node.rider().and_then(|name| rider_number(context, name, riders, &path));
        nodes.extend(match node {
            Node::Anchor(anchor) => Some(motion::LineNode::Anchor {
                name: anchor.name.clone(),
                path: path.clone(),
                rider,
                at: plane.point(spot(context, &anchor.at, &path)),
                tail: anchor.tail.as_ref().map_or(TAIL, |tail| context.number(tail, &path, "tail")),
            }),
            Node::Idler(roller) => pulley(context, roller, &belt, rider, &path, motion::PulleyKind::Idler),
            Node::Post(roller) => pulley(context, roller, &belt, rider, &path, motion::PulleyKind::Post),
            Node::Driven(roller) => pulley(context, roller, &belt, rider, &path, motion::PulleyKind::Driven),
        });
    }
    motion::Line {
        name: line.name.clone(),
        path: "line".to_owned(),
        kind: belt.kind,
        width: belt.width,
        thickness: belt.thickness,
        mass_per_metre: belt.mass_per_metre,
        plane,
        nodes,
        bending_loss: coefficient(
            context,
            line.bending_loss.as_ref(),
            "line/bending_loss",
            motion::Coefficient::assumed(0.01),
        ),
        post_friction: coefficient(
            context,
            line.post_friction.as_ref(),
            "line/post_friction",
            motion::Coefficient::assumed(0.25),
        ),
        pretension: coefficient(
            context,
            line.pretension.as_ref(),
            "line/pretension",
            motion::Coefficient::assumed(PRETENSION),
        ),
        working_pull: belt.working_pull,
        least_teeth: belt.least_teeth,
        part_path: "line/part".to_owned(),
    }
}

/// Line held in a clamp beyond the place where it is clamped, if nothing is said (mm): ten teeth of a small
/// belt, own choice.
const TAIL: f64 = 20.0;

/// Pull put into a line on which no weight hangs, if nothing is said (N): own assumption for small belts.
const PRETENSION: f64 = 10.0;

struct Belt {
    kind: motion::LineKind,
    width: f64,
    thickness: f64,
    mass_per_metre: f64,
    working_pull: Option<f64>,
    /// From the tips of a toothed pulley out to the line along which the belt bends (mm).
    pitch_line: f64,
    least_teeth: Option<f64>,
}

fn belt(context: &mut Context<'_>, line: &Line) -> Belt {
    let part = context.part(PartKind::Belt, &line.part, "line/part");
    let Some((part, PartForm::Belt(belt))) = part.map(|part| (part, &part.form)) else {
        context.unusable = true;
        return Belt {
            kind: motion::LineKind::Flat,
            width: 0.0,
            thickness: 0.0,
            mass_per_metre: 0.0,
            working_pull: None,
            pitch_line: 0.0,
            least_teeth: None,
        };
    };
    let catalogue = &context.catalogue;
    let thickness = catalogue.number(part, &belt.thickness, "thickness");
    Belt {
        pitch_line: belt
            .pitch_line
            .as_ref()
            .map_or(0.5 * thickness, |offset| catalogue.number(part, offset, "pitch_line")),
        least_teeth: belt.least_teeth.as_ref().map(|teeth| catalogue.number(part, teeth, "least_teeth")),
        kind: match &belt.kind {
            BeltKind::Toothed { pitch } => {
                motion::LineKind::Toothed { pitch: catalogue.number(part, pitch, "kind/pitch") }
            }
            BeltKind::Flat => motion::LineKind::Flat,
            BeltKind::Cord => motion::LineKind::Cord,
        },
        width: catalogue.number(part, &belt.width, "width"),
        thickness,
        mass_per_metre: catalogue.number(part, &belt.mass_per_length, "mass_per_length"),
        working_pull: belt.working_pull.as_ref().map(|pull| catalogue.number(part, pull, "working_pull")),
    }
}

fn spot(context: &Context<'_>, spot: &Spot, path: &str) -> DVec2 {
    let base = join(path, "at");
    DVec2::new(context.number(&spot.0, &base, "along"), context.number(&spot.1, &base, "across"))
}

fn rider_number(
    context: &mut Context<'_>,
    name: &str,
    riders: &HashMap<&str, usize>,
    path: &str,
) -> Option<usize> {
    let number = riders.get(name).copied();
    if number.is_none() {
        let mut names: Vec<&str> = riders.keys().copied().collect();
        names.sort_unstable();
        let remedy = suggestion(name, names.iter().copied());
        context.report(
            Problem::error(join(path, "rider"), format!("there is no rider called {}", quoted(name)))
                .remedy(remedy),
        );
        context.unusable = true;
    }
    number
}

fn pulley(
    context: &mut Context<'_>,
    roller: &Roller,
    belt: &Belt,
    rider: Option<usize>,
    path: &str,
    kind: motion::PulleyKind,
) -> Option<motion::LineNode> {
    let part = context.part(PartKind::Pulley, &roller.part, &join(path, "part"));
    let Some((part, PartForm::Pulley(pulley))) = part.map(|part| (part, &part.form)) else {
        context.unusable = true;
        return None;
    };
    let (radius, rim, teeth) = radii(context, part, pulley, belt, path);
    let catalogue = &context.catalogue;
    let width = catalogue.number(part, &pulley.width, "width");
    let bore = catalogue.number(part, &pulley.bore, "bore");
    let bearings = catalogue.number(part, &pulley.bearings, "bearings");
    if width < belt.width {
        context.report(
            Problem::warning(
                join(path, "part"),
                format!(
                    "{} is {} mm wide, the line {} mm",
                    quoted(&part.name),
                    plain(width),
                    plain(belt.width)
                ),
            )
            .remedy("choose a wider pulley or a narrower line"),
        );
    }
    // A solid disc with a bore, ½·m·(R² + r²), where the part states nothing.
    let inner = 0.5 * bore;
    let mass = context.mass_of(part, PI * (rim * rim - inner * inner).max(0.0) * width);
    let inertia = match &pulley.inertia {
        Some(inertia) => context.catalogue.number(part, inertia, "inertia"),
        None => 0.5 * mass * (rim * rim + inner * inner),
    };
    Some(motion::LineNode::Pulley(motion::Pulley {
        name: roller.name.clone(),
        path: path.to_owned(),
        rider,
        centre: spot(context, &roller.at, path),
        radius,
        turn: match roller.turn {
            Turn::Left => motion::Turn::Left,
            Turn::Right => motion::Turn::Right,
        },
        kind,
        width,
        bore,
        // The cast saturates.
        bearings: bearings.round() as u32,
        inertia,
        mass,
        teeth,
    }))
}

/// Radius of the line's neutral axis, radius of the rim, and number of teeth.
///
/// A flat rim carries the line's middle half a thickness above itself; the pitch line of a toothed pulley
/// is z·p/2π by definition (ISO 5288).
fn radii(
    context: &mut Context<'_>,
    part: &crate::document::Part,
    pulley: &PulleyPart,
    belt: &Belt,
    path: &str,
) -> (f64, f64, u32) {
    match &pulley.rim {
        PulleyRim::Plain { diameter } => {
            let rim = 0.5 * context.catalogue.number(part, diameter, "rim/diameter");
            (rim + 0.5 * belt.thickness, rim, 0)
        }
        PulleyRim::Toothed { teeth, pitch } => {
            let teeth = context.catalogue.number(part, teeth, "rim/teeth");
            let pitch = context.catalogue.number(part, pitch, "rim/pitch");
            let fits = matches!(belt.kind, motion::LineKind::Toothed { pitch: own } if (own - pitch).abs() <= SAME_PITCH);
            if !fits {
                context.report(
                    Problem::error(
                        join(path, "part"),
                        format!(
                            "the teeth of {} have a pitch of {} mm; the line does not fit them",
                            quoted(&part.name),
                            plain(pitch)
                        ),
                    )
                    .remedy("choose a pulley with the belt's pitch"),
                );
            }
            if !super::is_whole(teeth) {
                context.report(
                    Problem::error(
                        format!("parts/{}/rim/teeth", part.name),
                        "the number of teeth must be whole",
                    )
                    .remedy("write a whole number"),
                );
            }
            let radius = teeth * pitch / TAU;
            (radius, (radius - belt.pitch_line).max(0.0), teeth.round() as u32)
        }
    }
}
