//! Do plates bear what is tightened on them?

use std::f64::consts::PI;

use super::one_title::add;
use super::{Known, StackHere};
use crate::phrase::{self, phrase};
use crate::{
    Finding, HeadForm, Phrase, PieceKind, Plate, Remedy, Rider, Screw, Severity, Stack, TORQUE_COEFFICIENT,
};

/// A screw of which no torque is given is reported where less than this share of a careful tightening crushes the
/// plate: nobody tightens so lightly and so evenly (own assumption).
const CAREFUL: f64 = 1.0 / 6.0;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for StackHere { rider, placed, stack, path, .. } in known.stacks() {
        for seat in seats(rider, stack, placed.at) {
            if let Some(finding) = crushed(rider, stack, &seat, path) {
                add(&mut findings, finding);
            }
        }
    }
    findings
}

/// A face of a plate that something is tightened on.
struct Seat<'a> {
    plate: &'a Plate,
    on: &'a str,
    path: &'a str,
    /// The ring that bears (mm²).
    area: f64,
}

/// Ring between two diameters (mm²).
fn ring(outer: f64, hole: f64) -> f64 {
    0.25 * PI * (outer * outer - hole * hole)
}

/// The smaller of what lies on either face of each plate of a stack.
fn seats<'a>(rider: &'a Rider, stack: &'a Stack, at: glam::DVec2) -> Vec<Seat<'a>> {
    let screw = &stack.screw;
    let outer_of = |place: Option<usize>| match place.map(|place| stack.pieces.get(place)) {
        None => match screw.head_form {
            HeadForm::Countersunk => None,
            _ => Some((screw.name.as_str(), screw.path.as_str(), screw.head_size)),
        },
        Some(Some(piece)) => match &piece.kind {
            PieceKind::Wheel(wheel) => Some((
                piece.name.as_str(),
                piece.path.as_str(),
                2.0 * crate::assembly::inner_ring_radius(&wheel.bearing),
            )),
            PieceKind::Plate(_) => None,
            _ => Some((piece.name.as_str(), piece.path.as_str(), piece.outer)),
        },
        Some(None) => None,
    };
    // An insert takes its screw's pull itself, metal on metal.
    let held_by_insert = |place: usize| stack.insert.is_some() && place + 1 == stack.pieces.len();
    stack
        .plates()
        .filter(|(place, _)| !held_by_insert(*place))
        .filter_map(|(place, number)| {
            let plate = rider.plates.get(number)?;
            let hole = plate
                .holes
                .iter()
                .find(|hole| hole.contains(at))
                .map_or(screw.diameter, |hole| hole.bounds().high.x - hole.bounds().low.x);
            let before = outer_of(place.checked_sub(1));
            let after = if place + 1 < stack.pieces.len() { outer_of(Some(place + 1)) } else { None };
            let (on, path, outer) =
                [before, after].into_iter().flatten().min_by(|a, b| a.2.total_cmp(&b.2))?;
            let area = ring(outer, hole.max(screw.diameter));
            (area > 0.0).then_some(Seat { plate, on, path, area })
        })
        .collect()
}

/// How bad it is that a screw's tightening loads something with `load` that yields at `yields` and bears `bears` for long,
/// by its torque: one that is given, or the assumed careful one.
pub(super) fn judged(load: f64, yields: f64, bears: f64, given: bool) -> Option<Severity> {
    match given {
        true if load > yields => Some(Severity::Fails),
        true if load > bears => Some(Severity::Marginal),
        false if yields < CAREFUL * load => Some(Severity::Marginal),
        false if load > bears => Some(Severity::Note),
        _ => None,
    }
}

/// How a screw comes to pull as it does, in words that go on with "pulls with …".
pub(super) fn tightened(screw: &Screw) -> Phrase {
    let torque = TORQUE_COEFFICIENT * screw.diameter * screw.clamping();
    match screw.torque {
        Some(_) => phrase![phrase::torque(torque, 2), " given"],
        None => phrase![phrase::torque(torque, 1), " assumed, careful tightening"],
    }
}

fn crushed(rider: &Rider, stack: &Stack, seat: &Seat<'_>, path: &str) -> Option<Finding> {
    let (screw, plate) = (&stack.screw, seat.plate);
    let strength = plate.material.strength.filter(|strength| *strength > 0.0)?;
    let fill = plate.solid_share();
    let bears = plate.material.bears_for_long(fill)?;
    let pressure = screw.clamping() / seat.area;
    let torque = |pressure: f64| TORQUE_COEFFICIENT * screw.diameter * pressure * seat.area;
    let given = screw.torque.is_some();
    let severity = judged(pressure, strength * fill, bears, given)?;
    let filled = if plate.material.is_metal() || fill >= 1.0 {
        String::new()
    } else {
        format!(" of which {:.0} % is there", 100.0 * fill)
    };
    Some(Finding {
        code: "plate.crushed",
        severity,
        title: format!(
            "{}: {} presses on {} with {pressure:.0} MPa when its screw is tightened",
            rider.name, seat.on, plate.name
        )
        .into(),
        reason: phrase![
            phrase![
                tightened(screw),
                ", pulls with ",
                phrase::force(screw.clamping(), 0),
                format!(
                    " (F = T/(0.2 d)) on a ring of {:.0} mm². {}{filled} yields at {:.0} MPa and bears {bears:.0} MPa for long",
                    seat.area,
                    plate.material.name,
                    strength * fill
                )
            ],
            if plate.material.is_metal() {
                ".".to_owned()
            } else {
                " (a third: beyond, a plastic creeps and the screw works loose; common practice, no source)."
                    .to_owned()
            },
            phrase![" As it is, tighten to no more than ", phrase::torque(torque(bears), 2), "."]
        ],
        paths: vec![path.to_owned(), plate.path.clone(), seat.path.to_owned()],
        value: Some(pressure),
        limit: Some(bears),
        unit: "MPa",
        remedies: vec![
            Remedy {
                text: "a large washer (ISO 7093-1) there".into(),
                path: Some(seat.path.to_owned()),
                by: None,
            },
            Remedy {
                text: "a fuller plate, or less torque".into(),
                path: Some(plate.path.clone()),
                by: None,
            },
        ],
        ..Finding::blank()
    })
}

#[cfg(test)]
mod tests {
    use super::ring;

    /// 2.5 N·m on M5, F = T/(0.2 d): 45.6 MPa under an ISO 7089 washer (10 over a hole of 5.5), 16.3 MPa under a large
    /// one (ISO 7093, 15) on a hole of 5.3 (VDI 2230 practice; computed).
    #[test]
    fn pressure_under_washers() {
        let force = 2500.0 / (0.2 * 5.0);
        assert!((force / ring(10.0, 5.5) - 45.6).abs() < 0.1, "{}", force / ring(10.0, 5.5));
        assert!((force / ring(15.0, 5.5) - 16.3).abs() < 0.1, "{}", force / ring(15.0, 5.5));
    }
}
