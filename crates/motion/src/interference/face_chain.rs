//! The chain of sizes behind a gap that lies along the axis of a stack.

use glam::DVec3;
use glidewright_geometry::Separation;

use crate::{Assembly, Body, Chain, Face, Fixture, Owner, PieceKind, Role, Stack, Term, Toleranced};

/// A gap counts as lying along an axis when its direction leans from it by less than this (sine).
const ALONG: f64 = 1e-6;

/// The chain of the gap between `a` and `b`, when both belong to stacks, or one to a stack and the other is a plate or
/// stands on the ground, and the gap lies along the stack's axis.
pub(super) fn gap_chain(
    fixture: &Fixture,
    assembly: &Assembly,
    a: &Body,
    b: &Body,
    separation: &Separation,
) -> Option<Chain> {
    let normal = separation.normal;
    let on_a = side(fixture, assembly, a, (separation.on_a, normal))?;
    let on_b = side(fixture, assembly, b, (separation.on_b, -normal))?;
    let mut terms = Vec::new();
    let spacing = (on_b.datum - on_a.datum).dot(normal);
    terms.push(Term {
        label: spacing_label(fixture, a, b),
        path: fixture.rail.path.clone(),
        size: Toleranced::exact(spacing.abs()),
        sensitivity: spacing.signum(),
    });
    for side in [on_a, on_b] {
        // Each side's terms measure how far its face stands out towards the other: they eat the gap.
        terms.extend(side.terms.into_iter().map(|term| Term { sensitivity: -term.sensitivity, ..term }));
    }
    terms.shrink_to_fit();
    let chain = Chain { terms };
    // A chain that does not add up to the gap does not explain it.
    const AGREEMENT: f64 = 1e-6;
    ((chain.nominal() - separation.gap).abs() < AGREEMENT).then_some(chain)
}

fn spacing_label(fixture: &Fixture, a: &Body, b: &Body) -> String {
    let ground = [a, b].into_iter().find(|body| body.owner == Owner::Ground && body.role != Role::Rail);
    if let Some(body) = ground {
        return format!("to {}", body.label);
    }
    let words = match (a.owner, b.owner) {
        (Owner::Rider(m), Owner::Rider(n)) if m == n => "between the stacks' planes",
        (Owner::Rider(m), Owner::Rider(n)) => {
            let facing = |n: usize| fixture.riders.get(n).map(|r| r.facing);
            if facing(m) == facing(n) { "between the tracks' planes" } else { "track spacing" }
        }
        _ => "to the rail's centre",
    };
    words.to_owned()
}

struct Side {
    /// A point of the datum plane the terms start from, in the rail frame but for x.
    datum: DVec3,
    /// Terms whose sum is how far the face stands out from the datum along the gap.
    terms: Vec<Term>,
}

fn side(
    fixture: &Fixture,
    assembly: &Assembly,
    body: &Body,
    (point, towards): (DVec3, DVec3),
) -> Option<Side> {
    let number = match (body.owner, body.role) {
        (Owner::Rider(number), _) => number,
        // What stands by itself begins and ends at its face.
        (Owner::Ground, Role::Obstacle | Role::Stop) => {
            return Some(Side { datum: point, terms: Vec::new() });
        }
        (Owner::Ground, _) => return None,
    };
    let rider = fixture.riders.get(number)?;
    let placed_rider = assembly.riders.get(number)?;
    let outward = rider.facing.outward();
    let along = outward.dot(towards);
    if along.abs() < 1.0 - ALONG {
        return None;
    }
    if body.role == Role::Plate {
        return plate_side(fixture, assembly, number, body, along);
    }
    let placed = placed_rider.stacks.get(body.stack?)?;
    let (_, _, stack) = rider.stack(placed.of)?;
    // Does the face look towards the free end, or towards the head?
    let to_tip = placed.points * along > 0.0;
    let terms = match (body.role, body.piece) {
        (Role::ScrewEnd, _) if to_tip => placed.terms_to(stack, Face::ScrewTip),
        (Role::Head, _) if !to_tip => placed.terms_to(stack, Face::HeadTop),
        (Role::Tyre, Some(piece)) => vec![tyre_term(stack, piece, to_tip)?],
        (_, Some(piece)) => {
            placed.terms_to(stack, if to_tip { Face::TipSide(piece) } else { Face::HeadSide(piece) })
        }
        _ => return None,
    };
    // Terms add up along `points`; towards the head the sum is negative, and out of the face it is not.
    let sign = if to_tip { 1.0 } else { -1.0 };
    let terms = terms.into_iter().map(|t| Term { sensitivity: sign * t.sensitivity, ..t }).collect();
    Some(Side { datum: outward * placed.datum, terms })
}

fn tyre_term(stack: &Stack, piece: usize, to_tip: bool) -> Option<Term> {
    let piece = stack.pieces.get(piece)?;
    let PieceKind::Wheel(wheel) = &piece.kind else { return None };
    Some(Term {
        label: format!("half tyre {}", piece.name),
        path: piece.path.clone(),
        size: Toleranced::exact(0.5 * wheel.width),
        sensitivity: if to_tip { 1.0 } else { -1.0 },
    })
}

/// A plate's face, by way of the first stack that carries the plate; a bolt's own datum is taken as it stands.
fn plate_side(
    fixture: &Fixture,
    assembly: &Assembly,
    number: usize,
    body: &Body,
    along: f64,
) -> Option<Side> {
    let rider = fixture.riders.get(number)?;
    let placed_rider = assembly.riders.get(number)?;
    let plate = body.plate?;
    let (_, placed) = placed_rider.carrier(plate)?;
    let (_, _, stack) = rider.stack(placed.of)?;
    let piece = stack.place_of(plate)?;
    let to_tip = placed.points * along > 0.0;
    let face = if to_tip { Face::TipSide(piece) } else { Face::HeadSide(piece) };
    let sign = if to_tip { 1.0 } else { -1.0 };
    let terms = placed
        .terms_to(stack, face)
        .into_iter()
        .map(|t| Term { sensitivity: sign * t.sensitivity, ..t })
        .collect();
    Some(Side { datum: rider.facing.outward() * placed.datum, terms })
}
