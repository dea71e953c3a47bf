//! Can key and spanner reach head and nut when the rider is put together, and an eccentric's when it is on the rail?

use glidewright_geometry::Solid;

use super::Known;
use crate::assembly_order::{bare, in_the_way, tools};
use crate::phrase::phrase;
use crate::{
    AssemblyOrder, Finding, PieceKind, PlacedRider, Remedy, Rider, Role, ScrewEnd, Severity, StackOf,
};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (number, rider) in known.fixture.riders.iter().enumerate() {
        let (Some(placed), Some(order)) = (known.assembly.riders.get(number), known.orders.get(number))
        else {
            continue;
        };
        findings.extend(no_way(known, rider, placed, order));
        findings.extend(in_turn(rider, placed, order));
        findings.extend(not_set(known, rider, number, placed));
    }
    findings
}

/// The name and path of a placed stack.
fn named<'a>(rider: &'a Rider, placed: &PlacedRider, stack: usize) -> Option<(&'a str, &'a str)> {
    let (name, path, _) = rider.stack(placed.stacks.get(stack)?.of)?;
    Some((name, path))
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
fn no_way(known: &Known<'_>, rider: &Rider, placed: &PlacedRider, order: &AssemblyOrder) -> Option<Finding> {
    let first = order.blocked.first()?;
    let body = known.assembly.body(first.by)?;
    let all: Vec<_> =
        order.blocked.iter().filter_map(|blocked| named(rider, placed, blocked.stack)).collect();
    Some(Finding {
        code: "access.tool",
        severity: Severity::Marginal,
        title: format!(
            "{}: no tool reaches the {} of {}",
            rider.name,
            first.end.word(),
            names(all.iter().map(|(name, _)| *name))
        )
        .into(),
        reason: phrase![format!(
            "Off the rail and before anything is put on it, {} stands in the way of a key or socket spanner put on straight, and an open spanner goes on from no side either (sizes about ISO 2936, ISO 2725 and ISO 3318, from memory). In no order of assembly can all of them be tightened.",
            body.label
        )],
        paths: all.iter().map(|(_, path)| (*path).to_owned()).chain([body.path.clone()]).collect(),
        remedies: vec![Remedy {
            text: "a hole for the key in what stands before it, or the screw turned round".into(),
            path: Some(body.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    })
}

/// Screws that must be tightened before others stand in their way.
fn in_turn(rider: &Rider, placed: &PlacedRider, order: &AssemblyOrder) -> Option<Finding> {
    let early: Vec<_> = order.early.iter().filter_map(|stack| named(rider, placed, *stack)).collect();
    let later = order.steps.iter().filter(|stack| !order.early.contains(*stack));
    let later: Vec<&str> =
        later.filter_map(|stack| named(rider, placed, *stack)).map(|(name, _)| name).collect();
    let all = names(early.iter().map(|(name, _)| *name));
    (!early.is_empty()).then(|| Finding {
        code: "access.order",
        severity: Severity::Note,
        title: format!("{}: {all} must be tightened before the rest", rider.name).into(),
        reason: format!(
            "Once everything stands no tool reaches there; it can be put together in this order: {all}, then {}. To change a wheel later they come off in the opposite order.",
            names(later.into_iter())
        )
        .into(),
        paths: early.iter().map(|(_, path)| (*path).to_owned()).collect(),
        ..Finding::blank()
    })
}

/// Eccentrics that cannot be set where they must be: on the rail.
fn not_set(known: &Known<'_>, rider: &Rider, number: usize, placed: &PlacedRider) -> Option<Finding> {
    let rail: Vec<_> = known.assembly.numbered().filter(|(_, body)| body.role == Role::Rail).collect();
    let own = bare(known.assembly, number);
    let mut unset: Vec<(&str, &str, ScrewEnd)> = Vec::new();
    for (place, at) in placed.stacks.iter().enumerate() {
        let Some((name, path, stack)) = rider.stack(at.of) else { continue };
        let turns = stack.pieces.iter().any(|piece| matches!(piece.kind, PieceKind::Eccentric { .. }));
        if !turns || !matches!(at.of, StackOf::Wheel(_)) {
            continue;
        }
        let beside: Vec<_> = own.iter().copied().filter(|(_, body)| body.stack != Some(place)).collect();
        for end in ScrewEnd::BOTH {
            let tools = tools(rider, stack, at, end);
            let off = |tool: &Solid| in_the_way(tool, &beside).is_none();
            // Where nothing goes on off the rail either, that is told already.
            if tools.iter().any(off)
                && !tools.iter().any(|tool| off(tool) && in_the_way(tool, &rail).is_none())
            {
                unset.push((name, path, end));
            }
        }
    }
    let (_, _, end) = unset.first()?;
    let all = names(unset.iter().map(|entry| entry.0));
    Some(Finding {
        code: "access.eccentric",
        severity: Severity::Marginal,
        title: format!("{}: on the rail no tool reaches the {} of {all}", rider.name, end.word()).into(),
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
