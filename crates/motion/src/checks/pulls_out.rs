//! Does a plate hold the thread that is tightened in it?

use std::f64::consts::PI;

use super::clamping::{judged, tightened};
use super::one_title::add;
use super::{Known, StackHere};
use crate::phrase::{self, phrase};
use crate::{
    Finding, InsertSeat, Plate, Remedy, Rider, Severity, Stack, StackEnd, TORQUE_COEFFICIENT, Thread,
};

/// Shear strength over tensile strength (von Mises' criterion, 1/√3).
const SHEAR: f64 = 0.577_350_269;

/// Share of a pitch that the material of an internal thread fills at the major diameter, where a screw shears it: the
/// basic profile of ISO 68-1 has an eighth of the pitch flat there.
const FILLED: f64 = 7.0 / 8.0;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for StackHere { rider, placed, stack, path, .. } in known.stacks() {
        if let Some(finding) = pulled(rider, stack, placed.thread, path) {
            add(&mut findings, finding);
        }
    }
    findings
}

/// The area in a plate that shears when a thread is pulled out of it (mm²): the cylinder round an insert's knurls as
/// long as it is, or the thread's own material at the screw's diameter as far as it engages.
fn sheared(stack: &Stack, thread: Thread, insert: Option<InsertSeat>) -> f64 {
    match insert {
        Some(insert) => PI * insert.outer * stack.tapped_depth(),
        None => FILLED * PI * stack.screw.diameter * thread.engaged.max(0.0),
    }
}

fn pulled(rider: &Rider, stack: &Stack, thread: Thread, path: &str) -> Option<Finding> {
    let StackEnd::Tapped { .. } = stack.end else { return None };
    let (_, number) = stack.plates().last()?;
    let plate: &Plate = rider.plates.get(number)?;
    let strength = plate.material.strength.filter(|strength| *strength > 0.0)?;
    let fill = plate.solid_share();
    let area = sheared(stack, thread, stack.insert);
    let yields = SHEAR * strength * fill * area;
    let bears = SHEAR * plate.material.bears_for_long(fill)? * area;
    let screw = &stack.screw;
    let pull = screw.clamping();
    // One that does not reach its thread is told as such.
    if !(area > 0.0 && pull.is_finite()) {
        return None;
    }
    let severity = judged(pull, yields, bears, screw.torque.is_some())?;
    let (what, cylinder) = match stack.insert {
        Some(_) => ("threaded insert", "round its knurls"),
        None => ("thread", "at its diameter"),
    };
    let comes = if severity == Severity::Fails { "is pulled out" } else { "works loose" };
    let torque = TORQUE_COEFFICIENT * screw.diameter * bears;
    let longer = match stack.insert {
        Some(_) => "a longer insert, or one of a larger screw",
        None => "a thicker plate with more thread, a threaded insert, or a nut behind the plate",
    };
    let remedy = |text: &str| Remedy { text: text.into(), path: Some(plate.path.clone()), by: None };
    Some(Finding {
        code: "thread.pulled",
        severity,
        title: phrase![
            format!("{}: the {what} in {} {comes} when {} pulls with ", rider.name, plate.name, screw.name),
            phrase::force(pull, 0)
        ],
        reason: phrase![
            tightened(screw),
            ", pulls with ",
            phrase::force(pull, 0),
            " (F = T/(0.2 d)). ",
            format!("{} shears over {area:.0} mm² {cylinder} at ", plate.material.name),
            phrase::force(yields, 0),
            " (0.577 of what yields in tension) and bears ",
            phrase::force(bears, 0),
            " for long. As it is, tighten to no more than ",
            phrase::torque(torque, 2),
            "."
        ],
        paths: vec![path.to_owned(), plate.path.clone(), screw.path.clone()],
        value: Some(pull),
        limit: Some(bears),
        unit: "N",
        remedies: vec![remedy(longer), remedy("a fuller plate, or less torque")],
        ..Finding::blank()
    })
}
