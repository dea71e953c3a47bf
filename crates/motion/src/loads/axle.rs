//! How far a wheel's axle gives: its screw as a cantilever, and the plate it stands on.

use std::f64::consts::PI;

use super::springs::Support;
use crate::{Assembly, Fixture, PieceKind, PlacedStack, Stack, StackOf, WheelMount};

/// Young's modulus of a steel screw (MPa); within 2 % for every steel (EN 1993-1-1, 3.2.6, from memory, has
/// 210 000, for austenitic steels EN 1993-1-4 has 200 000).
const STEEL: f64 = 205_000.0;

/// Stress area of a metric screw thread (mm²): π/4·((d₂ + d₃)/2)², ISO 898-1, with the basic profile of
/// ISO 68-1: d₂ = d − 0.649 519 P, d₃ = d − 1.226 869 P.
pub fn stress_area(diameter: f64, pitch: f64) -> f64 {
    0.25 * PI * stress_diameter(diameter, pitch).powi(2)
}

fn stress_diameter(diameter: f64, pitch: f64) -> f64 {
    diameter - 0.5 * (0.649_519 + 1.226_869) * pitch
}

/// An axle as a support of its wheel's contacts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Axle {
    pub(super) support: Support,
    /// +1 when the free end, with the wheel, lies outwards of the plate, −1 when it lies towards the rail.
    pub(super) points: f64,
}

/// The axle of a wheel; `None` when the wheel sits on its plate's face and nothing can bend.
///
/// For a force F across the screw and a moment M about the tangent at the wheel's middle, L from the plate:
/// shift FL³/3EI + ML²/2EI, turn FL²/2EI + ML/EI (cantilever), I = πd⁴/64 of the stress area's diameter,
/// since screws of this kind are threaded through. The clamped tube round the screw is not counted: it helps
/// only while the stack's clamping force lasts. The plate turns where the screw stands: see
/// [`plate_turn`].
pub(super) fn axle(
    fixture: &Fixture,
    assembly: &Assembly,
    rider: usize,
    mount: &WheelMount,
    placed: &PlacedStack,
) -> Option<Axle> {
    let (number, place) = plate_of(&mount.stack, placed)?;
    let (low, high) = place;
    // The free length begins at the plate's nearer face.
    let root = if (low - placed.datum).abs() <= (high - placed.datum).abs() { low } else { high };
    let length = (placed.datum - root).abs();
    let screw = &mount.stack.screw;
    let second_moment = PI * stress_diameter(screw.diameter, screw.pitch).powi(4) / 64.0;
    let bending = STEEL * second_moment;
    if !(length > 0.0 && length.is_finite() && bending > 0.0 && bending.is_finite()) {
        return None;
    }
    let turn = plate_turn(fixture, assembly, rider, number).unwrap_or(0.0);
    let cross = length * length / (2.0 * bending) + turn * length;
    let compliance = [
        [length.powi(3) / (3.0 * bending) + turn * length * length, cross],
        [cross, length / bending + turn],
    ];
    Some(Axle {
        support: Support::from_compliance(compliance),
        points: if placed.datum >= root { 1.0 } else { -1.0 },
    })
}

/// The plate of a stack: its number, and the levels of its faces.
fn plate_of(stack: &Stack, placed: &PlacedStack) -> Option<(usize, (f64, f64))> {
    stack.pieces.iter().zip(&placed.pieces).find_map(|(piece, place)| match piece.kind {
        PieceKind::Plate(number) => Some((number, place.span())),
        _ => None,
    })
}

/// How far a plate turns at a screw per moment there (rad per N·mm).
///
/// Wheels on both sides of the rail bend the strip of plate between their screws evenly: a beam of span a under
/// end moments M turns by Ma/(2EI) at each end, I = bt³/12, b the plate's length along the rail shared by the
/// wheels of one side (own use of the beam formula: holes and ribs are not counted, and wheels on one side
/// only are taken to bend the whole width). `None` for a plate without known stiffness.
fn plate_turn(fixture: &Fixture, assembly: &Assembly, rider: usize, number: usize) -> Option<f64> {
    let owner = fixture.riders.get(rider)?;
    let plate = owner.plates.get(number)?;
    let bounds = plate.outline.bounds();
    let laterals: Vec<f64> = assembly
        .riders
        .get(rider)?
        .stacks
        .iter()
        .filter(|stack| {
            matches!(stack.of, StackOf::Wheel(_))
                && owner.stack(stack.of).is_some_and(|(_, _, pieces)| {
                    pieces.pieces.iter().any(|piece| piece.kind == PieceKind::Plate(number))
                })
        })
        .map(|stack| stack.at.y)
        .collect();
    let least = laterals.iter().copied().fold(f64::INFINITY, f64::min);
    let most = laterals.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let on_one_side = laterals.iter().filter(|y| **y < 0.5 * (least + most)).count();
    let (span, sharing) = if on_one_side > 0 {
        (most - least, on_one_side.max(laterals.len() - on_one_side))
    } else {
        (bounds.high.y - bounds.low.y, laterals.len())
    };
    let width = (bounds.high.x - bounds.low.x) / sharing.max(1) as f64;
    let second_moment = width * plate.thickness.nominal.powi(3) / 12.0;
    let turn = span / (2.0 * plate.material.youngs * second_moment);
    (turn > 0.0 && turn.is_finite()).then_some(turn)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stress areas of ISO 898-1 (table read): M3 5.03, M4 8.78, M5 14.2, M6 20.1, M8 36.6 mm².
    #[test]
    fn stress_areas() {
        for (diameter, pitch, area) in [
            (3.0, 0.5, 5.0308),
            (4.0, 0.7, 8.7787),
            (5.0, 0.8, 14.1825),
            (6.0, 1.0, 20.1234),
            (8.0, 1.25, 36.6085),
        ] {
            let got = stress_area(diameter, pitch);
            assert!((got - area).abs() < 1e-3, "M{diameter}: {got}, expected {area}");
        }
    }
}
