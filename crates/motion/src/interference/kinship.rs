//! Which bodies are checked against which.

use crate::{Assembly, Body, Fixture, Owner, Role};

/// How two bodies are related.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kinship {
    /// On two riders.
    RiderAndRider,
    /// A rider and something fixed.
    RiderAndFixed,
    /// A rider and the rail it runs along.
    RiderAndRail,
    /// Both on one rider.
    OneRider,
}

/// Whether two bodies are checked against each other, and as what.
pub(super) fn kinship(fixture: &Fixture, assembly: &Assembly, a: &Body, b: &Body) -> Option<Kinship> {
    match (a.owner, b.owner) {
        (Owner::Ground, Owner::Ground) => None,
        (Owner::Rider(m), Owner::Rider(n)) if m == n => one_rider(fixture, assembly, m, a, b),
        (Owner::Rider(_), Owner::Rider(_)) => Some(Kinship::RiderAndRider),
        _ => {
            let (fixed, moving) = if a.owner == Owner::Ground { (a, b) } else { (b, a) };
            match (fixed.role, moving.role) {
                // A wheel rolls on the rail and a shoe slides on it: their seat says how they touch.
                (Role::Rail, Role::Tyre | Role::Shoe) => None,
                (Role::Rail, Role::Span) => None,
                (Role::Rail, _) => Some(Kinship::RiderAndRail),
                // A line runs onto its own pulleys, and beyond them in its longest state.
                (_, Role::Span) => None,
                _ => Some(Kinship::RiderAndFixed),
            }
        }
    }
}

/// Two bodies of one rider: neighbours that are not clamped to each other.
fn one_rider(fixture: &Fixture, assembly: &Assembly, rider: usize, a: &Body, b: &Body) -> Option<Kinship> {
    let same_stack = a.stack.is_some() && a.stack == b.stack;
    if same_stack {
        // Only the turning tyre must keep free of what is threaded beside it.
        let tyre_and_other = (a.role == Role::Tyre) != (b.role == Role::Tyre);
        return (tyre_and_other && a.piece != b.piece).then_some(Kinship::OneRider);
    }
    let holds_plate = |hardware: &Body, plate: &Body| -> bool {
        let placed = assembly.riders.get(rider).and_then(|r| r.stacks.get(hardware.stack?));
        let Some((_, _, stack)) = placed.and_then(|p| fixture.riders.get(rider)?.stack(p.of)) else {
            return false;
        };
        stack.pieces.iter().any(|piece| piece.path == plate.path || names_plate(fixture, rider, piece, plate))
    };
    match (a.role, b.role) {
        (Role::Plate, Role::Tyre) | (Role::Tyre, Role::Plate) => Some(Kinship::OneRider),
        (Role::Plate, role) if role.is_hardware() => (!holds_plate(b, a)).then_some(Kinship::OneRider),
        (role, Role::Plate) if role.is_hardware() => (!holds_plate(a, b)).then_some(Kinship::OneRider),
        (x, y) if x.is_hardware() && y.is_hardware() => Some(Kinship::OneRider),
        // Loads, shoes, pulleys and belt clamps are fastened to their rider: where they touch it is meant.
        _ => None,
    }
}

fn names_plate(fixture: &Fixture, rider: usize, piece: &crate::Piece, plate: &Body) -> bool {
    let crate::PieceKind::Plate(number) = piece.kind else { return false };
    fixture.riders.get(rider).and_then(|r| r.plates.get(number)).is_some_and(|p| p.path == plate.path)
}
