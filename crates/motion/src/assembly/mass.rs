//! Masses of riders and where they are.

use glam::DVec3;

use super::mass_summary::{MassItem, MassSummary};
use super::placed::{PlacedPlate, PlacedStack};
use crate::{Extruded, Line, PieceKind, Rider};

pub(super) fn of_rider(rider: &Rider, stacks: &[PlacedStack], plates: &[PlacedPlate]) -> MassSummary {
    let facing = rider.facing;
    let mut items = Vec::new();
    for (plate, placed) in rider.plates.iter().zip(plates) {
        let (at, level) = plate.centroid();
        items.push(MassItem {
            label: plate.name.clone(),
            path: plate.path.clone(),
            mass: plate.mass(),
            centre: facing.point(at, placed.inner + level),
            is_load: false,
        });
    }
    for placed in stacks {
        let Some((name, path, stack)) = rider.stack(placed.of) else { continue };
        let mut mass = stack.screw.mass;
        let mut moment = stack.screw.mass * 0.5 * (placed.head_level + placed.tip_level);
        for (piece, place) in stack.pieces.iter().zip(&placed.pieces) {
            let own = match &piece.kind {
                PieceKind::Plate(_) => 0.0,
                PieceKind::Wheel(wheel) => wheel.mass,
                _ => piece.mass,
            };
            mass += own;
            moment += own * 0.5 * (place.head_side + place.tip_side);
        }
        if mass > 0.0 {
            items.push(MassItem {
                label: format!("{name} stack"),
                path: path.to_owned(),
                mass,
                centre: facing.point(placed.at, moment / mass),
                is_load: false,
            });
        }
    }
    for shoe in &rider.shoes {
        let volumes = || {
            let whole = shoe.extruded.iter().map(|body| (body.volume(), body.centroid()));
            let others = Extruded::others(&shoe.extruded, &shoe.solids);
            whole.chain(others.map(|solid| (solid.volume(), solid.centroid())))
        };
        let whole: f64 = volumes().map(|(volume, _)| volume).sum();
        let middle = if whole > 0.0 {
            volumes().map(|(volume, centroid)| centroid * volume).sum::<DVec3>() / whole
        } else {
            DVec3::ZERO
        };
        items.push(MassItem {
            label: shoe.name.clone(),
            path: shoe.path.clone(),
            mass: shoe.mass,
            centre: middle,
            is_load: false,
        });
    }
    for load in &rider.loads {
        let slid = load.reach.map_or(DVec3::ZERO, |reach| reach.direction * reach.at);
        items.push(MassItem {
            label: load.name.clone(),
            path: load.path.clone(),
            mass: load.mass,
            centre: load.centre + slid,
            is_load: true,
        });
    }
    MassSummary { items }
}

/// What rider number `rider` carries of a line: its pulleys, and the ends of the line in its clamps.
pub(super) fn of_line(line: &Line, rider: usize) -> impl Iterator<Item = MassItem> {
    let pulleys = line.carried_by(rider).map(|pulley| MassItem {
        label: pulley.name.clone(),
        path: pulley.path.clone(),
        mass: pulley.mass,
        centre: line.plane.point(pulley.centre),
        is_load: false,
    });
    let tails = line.tails().filter(move |tail| tail.rider == Some(rider)).map(|tail| MassItem {
        label: format!("{} in {}", line.name, tail.clamp),
        path: line.path.clone(),
        mass: line.mass_of(tail.length),
        centre: tail.at,
        is_load: false,
    });
    pulleys.chain(tails).filter(|item| item.mass != 0.0)
}
