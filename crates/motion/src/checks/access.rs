//! Can key and spanner reach head and nut when the rider is put together, and an eccentric's when it is on the rail?

use std::f64::consts::TAU;

use glam::DVec3;
use glidewright_geometry::{Solid, separation};

use super::Known;
use crate::phrase::phrase;
use crate::{
    Body, Finding, HeadForm, Owner, PieceKind, PlacedStack, Remedy, Rider, Role, Severity, Stack, StackEnd,
    StackOf,
};

/// A hexagon key beyond its socket: radius and straight length in thread diameters (about ISO 2936, from memory: for
/// M5 a key of 4 mm, 4.6 over its corners, with an arm of 29).
const KEY: (f64, f64) = (0.5, 5.5);

/// A socket spanner over a hexagon: radius and length in widths across flats (about ISO 2725, from memory).
const SOCKET: (f64, f64) = (0.75, 2.5);

/// The head of an open spanner: width, thickness and how much of it with its handle must be clear, in widths across
/// flats (about ISO 3318, from memory).
const SPANNER: (f64, f64, f64) = (2.2, 0.5, 4.0);

/// Ways round a hexagon in which a spanner is tried.
const WAYS: u32 = 16;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (number, rider) in known.fixture.riders.iter().enumerate() {
        let Some(placed) = known.assembly.riders.get(number) else { continue };
        let own: Vec<&Body> = known
            .assembly
            .bodies
            .iter()
            .filter(|body| body.owner == Owner::Rider(number))
            // What it carries is put on last; ribs are one with their plate.
            .filter(|body| body.plate.is_some() || !is_put_on_last(body.role))
            .collect();
        let rail: Vec<&Body> = known.assembly.bodies.iter().filter(|body| body.role == Role::Rail).collect();
        let mut blocked: Vec<(&str, &str, &'static str, &Body)> = Vec::new();
        let mut unset: Vec<(&str, &str, &'static str)> = Vec::new();
        for (place, stack_placed) in placed.stacks.iter().enumerate() {
            let Some((name, path, stack)) = rider.stack(stack_placed.of) else { continue };
            let beside: Vec<&Body> = own.iter().copied().filter(|body| body.stack != Some(place)).collect();
            for end in [End::Head, End::Nut] {
                let tools = tools(rider, stack, stack_placed, end);
                // What the tool put on straight meets is told, if no other goes on either.
                let Some(first) = tools.first().map(|tool| in_the_way(tool, &beside)) else { continue };
                let goes_on = |tool: &Solid| in_the_way(tool, &beside).is_none();
                if let Some(body) = first
                    && !tools.iter().skip(1).any(goes_on)
                {
                    blocked.push((name, path, end.word(), body));
                    continue;
                }
                let is_set = matches!(stack_placed.of, StackOf::Wheel(_))
                    && stack.pieces.iter().any(|piece| matches!(piece.kind, PieceKind::Eccentric { .. }));
                let reaches =
                    !is_set || tools.iter().any(|tool| in_the_way(tool, &rail).is_none() && goes_on(tool));
                if !reaches {
                    unset.push((name, path, end.word()));
                }
            }
        }
        findings.extend(no_way(rider, &blocked));
        findings.extend(not_set(rider, &unset));
    }
    findings
}

/// Whether something is put on a rider when its plates and stacks are together.
const fn is_put_on_last(role: Role) -> bool {
    matches!(role, Role::Load | Role::Shoe | Role::Pulley | Role::Span)
}

/// What a tool is put on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum End {
    Head,
    Nut,
}

impl End {
    const fn word(self) -> &'static str {
        match self {
            Self::Head => "head",
            Self::Nut => "nut",
        }
    }
}

/// The tools that serve an end of a stack, each at its place: the straight one first.
fn tools(rider: &Rider, stack: &Stack, placed: &PlacedStack, end: End) -> Vec<Solid> {
    let screw = &stack.screw;
    let outward = rider.facing.outward();
    let (flats, levels, away) = match end {
        End::Head => {
            let away = -placed.points;
            if screw.head_form != HeadForm::Hexagon {
                let from = placed.point(rider.facing, placed.head_level);
                let reach = outward * (away * KEY.1 * screw.diameter);
                return vec![Solid::cylinder_between(from, from + reach, KEY.0 * screw.diameter)];
            }
            (screw.head_size, [placed.seat_level, placed.head_level], away)
        }
        End::Nut => {
            let (Some(piece), Some(at)) = (stack.pieces.last(), placed.pieces.last()) else {
                return Vec::new();
            };
            if stack.end != StackEnd::Nut || !matches!(piece.kind, PieceKind::Nut { .. }) {
                return Vec::new();
            }
            (piece.outer, [at.head_side, at.tip_side], placed.points)
        }
    };
    let from = placed.point(rider.facing, levels[0]);
    let straight =
        Solid::cylinder_between(from, from + outward * (away * SOCKET.1 * flats), SOCKET.0 * flats);
    let mut tools = vec![straight];
    let (width, thick, reach) = SPANNER;
    let height = (levels[1] - levels[0]).abs();
    let middle = placed.point(rider.facing, 0.5 * (levels[0] + levels[1]));
    let half = DVec3::new(0.5 * reach * flats, 0.5 * width * flats, 0.5 * (thick * flats).min(height));
    for way in 0..WAYS {
        let turn = TAU * f64::from(way) / f64::from(WAYS);
        let lateral = rider.facing.lateral();
        let along = DVec3::X * turn.cos() + lateral * turn.sin();
        let across = outward.cross(along);
        let axes = glam::DMat3::from_cols(along, across, outward);
        let pose = glidewright_geometry::Pose { turn: axes, shift: middle + along * half.x };
        tools.push(Solid { shape: glidewright_geometry::Shape::Cuboid { half }, pose });
    }
    tools
}

/// A tool may be in something by this much (mm): its sizes are round figures.
const ROUGH: f64 = 0.5;

/// The first of some bodies that a tool would meet.
fn in_the_way<'a>(tool: &Solid, bodies: &[&'a Body]) -> Option<&'a Body> {
    let around = tool.bounds();
    bodies.iter().copied().find(|body| {
        body.solids.iter().any(|solid| {
            let own = solid.bounds();
            let apart = own.low.cmpgt(around.high).any() || around.low.cmpgt(own.high).any();
            !apart && separation(tool, solid).gap < -ROUGH
        })
    })
}

/// "upper left, lower left"
fn names<'a>(all: impl Iterator<Item = &'a str>) -> String {
    let mut known: Vec<&str> = Vec::new();
    for name in all {
        if !known.contains(&name) {
            known.push(name);
        }
    }
    known.join(", ")
}

/// Heads and nuts that no tool reaches, the rider being off its rail and bare of what it carries.
fn no_way(rider: &Rider, blocked: &[(&str, &str, &'static str, &Body)]) -> Option<Finding> {
    let (_, _, end, body) = blocked.first()?;
    let all = names(blocked.iter().map(|entry| entry.0));
    Some(Finding {
        code: "access.tool",
        severity: Severity::Marginal,
        title: format!("{}: no tool reaches the {end} of {all}", rider.name).into(),
        reason: phrase![format!(
            "Off the rail and before anything is put on it, {} stands in the way of a key or socket spanner put on straight, and an open spanner goes on from no side either (sizes about ISO 2936, ISO 2725 and ISO 3318, from memory). So it cannot be tightened in any order of assembly.",
            body.label
        )],
        paths: blocked.iter().map(|entry| entry.1.to_owned()).chain([body.path.clone()]).collect(),
        remedies: vec![Remedy {
            text: "a hole for the key in what stands before it, or the screw turned round".into(),
            path: Some(body.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    })
}

/// Eccentrics that cannot be set where they must be: on the rail.
fn not_set(rider: &Rider, unset: &[(&str, &str, &'static str)]) -> Option<Finding> {
    let (_, _, end) = unset.first()?;
    let all = names(unset.iter().map(|entry| entry.0));
    Some(Finding {
        code: "access.eccentric",
        severity: Severity::Marginal,
        title: format!("{}: on the rail no tool reaches the {end} of {all}", rider.name).into(),
        reason: "An eccentric is set with its rider on the rail: its screw is held at the head, turned and tightened at the nut. There the rail stands in the way of every tool that would go on (sizes about ISO 2936, ISO 2725 and ISO 3318, from memory).".into(),
        paths: unset.iter().map(|entry| entry.1.to_owned()).collect(),
        remedies: vec![Remedy {
            text: "the screw turned round, or larger wheels that bring it away from the rail".into(),
            path: unset.first().map(|entry| entry.1.to_owned()),
            by: None,
        }],
        ..Finding::blank()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Keys of 2.5, 3, 4, 5 and 6 mm serve M3 to M8 and are as wide over their corners as 2/√3 of that, with arms of 20,
    /// 23, 29, 33 and 38 mm (ISO 2936, from memory); nuts M3 to M8 are 6.01, 7.66, 8.79, 11.05 and 14.38 over theirs (ISO
    /// 4032, read): a socket goes round all of them.
    #[test]
    fn tools_are_as_large_as_they_must_be() {
        for (thread, key, arm) in
            [(3.0, 2.5, 20.0), (4.0, 3.0, 23.0), (5.0, 4.0, 29.0), (6.0, 5.0, 33.0), (8.0, 6.0, 38.0)]
        {
            assert!(2.0 * KEY.0 * thread > key * 2.0 / 3f64.sqrt(), "M{thread}");
            assert!((KEY.1 * thread - arm).abs() < 0.2 * arm, "M{thread}");
        }
        for (flats, corners) in [(5.5, 6.01), (7.0, 7.66), (8.0, 8.79), (10.0, 11.05), (13.0, 14.38)] {
            assert!(2.0 * SOCKET.0 * flats > 1.2 * corners && 2.0 * SOCKET.0 * flats < 1.6 * corners);
        }
    }
}
