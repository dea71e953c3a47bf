//! How far a wheel's axle gives: its screw as a cantilever, and the plate it stands on.

use std::f64::consts::PI;

use super::springs::Support;
use crate::assembly::inner_ring_radius;
use crate::{Assembly, Fixture, Piece, PieceKind, PlacedStack, Stack, StackOf, WheelMount};

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
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Axle {
    /// With what is clamped round the screw bending along.
    pub(super) support: Support,
    /// +1 when the free end, with the wheel, lies outwards of the plate, −1 when it lies towards the rail.
    pub(super) points: f64,
    /// What is clamped round the screw and until when; `None` when nothing is.
    pub(super) joint: Option<Joint>,
}

/// The tubes clamped between a plate and a wheel's middle, and what is left when they part.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Joint {
    /// Of the screw alone.
    bare: Support,
    tubes: Vec<Tube>,
}

/// A clamped tube: its ends' distances from the wheel's middle (mm), and the bending moment under which its edge is
/// relieved (N·mm).
#[derive(Clone, Copy, Debug, PartialEq)]
struct Tube {
    arms: [f64; 2],
    limit: f64,
}

impl Joint {
    /// The screw alone as a support.
    pub(super) const fn bare(&self) -> Support {
        self.bare
    }

    /// The bending moment (N·mm) where the joint is nearest to opening, and that under which it opens there, for a
    /// force across the screw (N) and a moment (N·mm) at the wheel's middle.
    pub(super) fn opening(&self, force: f64, moment: f64) -> Opening {
        let mut worst = Opening { moment: 0.0, limit: f64::INFINITY };
        for tube in &self.tubes {
            for arm in tube.arms {
                let here = Opening { moment: (force * arm + moment).abs(), limit: tube.limit };
                if here.used() > worst.used() {
                    worst = here;
                }
            }
        }
        worst
    }
}

/// How near a clamped joint is to opening, were it closed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// Bending moment (N·mm).
    pub moment: f64,
    /// Bending moment under which an edge of what is clamped is relieved (N·mm).
    pub limit: f64,
}

impl Opening {
    /// The share of the limit that is used; above 1 the joint is open.
    pub fn used(&self) -> f64 {
        if self.limit > 0.0 { self.moment / self.limit } else { f64::INFINITY }
    }

    /// Whether it opens.
    pub fn is_open(&self) -> bool {
        self.used() > 1.0
    }
}

/// A stretch of an axle of one section: its ends' distances from the wheel's middle (mm), the farther first, and its
/// bending stiffness EI with and without what is clamped round the screw (N·mm²).
#[derive(Clone, Copy, Debug)]
struct Stretch {
    arms: [f64; 2],
    clamped: f64,
    bare: f64,
}

/// The axle of a wheel; `None` when the wheel sits on its plate's face and nothing can bend.
///
/// The screw stands out of the plate as a cantilever with the wheel's middle at its end. For a force F across it and a
/// moment M about the tangent there, u the distance from the wheel's middle: shift F∫u²/EI + M∫u/EI, turn
/// F∫u/EI + M∫1/EI, stretch by stretch (Mohr's integrals). The screw's I is πd⁴/64, of its diameter on the plain shank
/// and of the stress area's on the thread. Tubes clamped round it (spacers, rings, washers, the bearings' inner rings)
/// add their own EI, π(D⁴ − d⁴)/64 each, as long as the clamping force F_V keeps them closed: bending by M relieves
/// an edge of a tube where M = F_V·W/A = F_V(D² + d²)/(8D). What the axial force on the wheel takes from F_V and shear
/// are left out. The plate turns where the screw stands: see [`plate_turn`].
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
    let (stretches, tubes) = stretches(&mount.stack, placed, root);
    let sound = |bending: f64| bending > 0.0 && bending.is_finite();
    if stretches.is_empty() || !stretches.iter().all(|s| sound(s.bare) && sound(s.clamped)) {
        return None;
    }
    let turn = plate_turn(fixture, assembly, rider, number).unwrap_or(0.0);
    let length = (placed.datum - root).abs();
    let support = |bending: fn(&Stretch) -> f64| {
        let mut compliance = [[turn * length * length, turn * length], [turn * length, turn]];
        for stretch in &stretches {
            let ([far, near], give) = (stretch.arms, 1.0 / bending(stretch));
            let cross = 0.5 * (far * far - near * near) * give;
            compliance[0][0] += (far.powi(3) - near.powi(3)) / 3.0 * give;
            compliance[0][1] += cross;
            compliance[1][0] += cross;
            compliance[1][1] += (far - near) * give;
        }
        Support::from_compliance(compliance)
    };
    Some(Axle {
        support: support(|stretch| stretch.clamped),
        points: if placed.datum >= root { 1.0 } else { -1.0 },
        joint: (!tubes.is_empty()).then(|| Joint { bare: support(|stretch| stretch.bare), tubes }),
    })
}

/// The stretches of a wheel's screw from its plate's face at the level `root` to the wheel's middle, and the tubes
/// clamped there.
fn stretches(stack: &Stack, placed: &PlacedStack, root: f64) -> (Vec<Stretch>, Vec<Tube>) {
    let screw = &stack.screw;
    let bending = |diameter: f64| STEEL * PI * diameter.powi(4) / 64.0;
    let (plain, threaded) = (bending(screw.diameter), bending(stress_diameter(screw.diameter, screw.pitch)));
    let arm = |level: f64| (level - placed.datum).abs();
    let shank_end = placed.seat_level + placed.points * screw.shank;
    let is_plain = |level: f64| (level - placed.seat_level) * placed.points < screw.shank;
    let free = (root.min(placed.datum), root.max(placed.datum));
    let (mut all, mut tubes) = (Vec::new(), Vec::new());
    for (piece, place) in stack.pieces.iter().zip(&placed.pieces) {
        let (low, high) = place.span();
        let (low, high) = (low.max(free.0), high.min(free.1));
        if !(low < high) {
            continue;
        }
        let tube = section(piece);
        let extra =
            tube.map_or(0.0, |(outer, bore, youngs)| youngs * PI * (outer.powi(4) - bore.powi(4)) / 64.0);
        if let Some((outer, bore, _)) = tube {
            let limit = screw.clamping() * (outer * outer + bore * bore) / (8.0 * outer);
            tubes.push(Tube { arms: [arm(low), arm(high)], limit });
        }
        let middle = if shank_end > low && shank_end < high { Some(shank_end) } else { None };
        let ends = [Some(low), middle, Some(high)];
        let ends: Vec<f64> = ends.into_iter().flatten().collect();
        for pair in ends.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let bare = if is_plain(0.5 * (a + b)) { plain } else { threaded };
            let (near, far) = (arm(a).min(arm(b)), arm(a).max(arm(b)));
            all.push(Stretch { arms: [far, near], clamped: bare + extra, bare });
        }
    }
    (all, tubes)
}

/// Outer diameter, bore (mm) and Young's modulus (MPa) of the tube that a clamped piece makes round its screw; `None`
/// for what makes none or is of unknown stuff.
fn section(piece: &Piece) -> Option<(f64, f64, f64)> {
    let (outer, youngs) = match &piece.kind {
        PieceKind::Washer | PieceKind::Spacer | PieceKind::Shim => (piece.outer, piece.youngs),
        // What lies evenly round the screw.
        PieceKind::Eccentric { offset, .. } => (piece.outer - 2.0 * offset.abs(), piece.youngs),
        PieceKind::Wheel(wheel) => (2.0 * inner_ring_radius(&wheel.bearing), STEEL),
        PieceKind::Plate(_) | PieceKind::Nut { .. } => return None,
    };
    let sound =
        outer > piece.bore && piece.bore > 0.0 && outer.is_finite() && youngs > 0.0 && youngs.is_finite();
    sound.then_some((outer, piece.bore, youngs))
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
/// only are taken to bend the whole width). A printed plate's modulus is taken to be that of its material times the
/// share that is filled (own assumption: its skins are denser than its middle, which would make it stiffer). `None` for a plate without known stiffness.
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
    let turn = span / (2.0 * plate.material.youngs * plate.fill * second_moment);
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
