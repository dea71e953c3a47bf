//! How far a wheel's axle gives: its screw as a cantilever or as a beam between plates, and the plates it stands in.

use std::f64::consts::PI;

use nalgebra::{Matrix2, RowVector2, Vector2};

use super::springs::{Support, inverse};
use crate::assembly::inner_ring_radius;
use crate::{
    Assembly, Fixture, Piece, PieceKind, PlacedPiece, PlacedStack, Stack, StackOf, WheelMount,
    stress_diameter,
};

/// Young's modulus of a steel screw (MPa); within 2 % for every steel (EN 1993-1-1, 3.2.6, from memory, has
/// 210 000, for austenitic steels EN 1993-1-4 has 200 000).
const STEEL: f64 = 205_000.0;

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

/// The tubes clamped between the plates and a wheel's middle, and what is left when they part.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Joint {
    /// Of the screw alone.
    bare: Support,
    tubes: Vec<Tube>,
}

/// A clamped tube: the bending moment at each of its ends (N·mm) per force (N) and per moment (N·mm) at the wheel's
/// middle, and the moment under which its edge is relieved.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Tube {
    ends: [RowVector2<f64>; 2],
    limit: f64,
}

impl Joint {
    /// The screw alone as a support.
    pub(super) const fn bare(&self) -> Support {
        self.bare
    }

    /// The bending moment (N·mm) where the joint is nearest to opening, and that under which it opens there, for a
    /// force across the screw (N) and a moment (N·mm) at the wheel's middle.
    pub(super) fn opening(&self, load: Vector2<f64>) -> Opening {
        let mut worst = Opening { moment: 0.0, limit: f64::INFINITY };
        for tube in &self.tubes {
            for per_load in tube.ends {
                let here = Opening { moment: per_load.tr_dot(&load).abs(), limit: tube.limit };
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
    ///
    /// ```
    /// use glidewright_motion::loads::Opening;
    ///
    /// let opening = Opening { moment: 150.0, limit: 200.0 };
    /// assert_eq!(opening.used(), 0.75);
    /// assert!(!opening.is_open());
    /// ```
    pub fn used(&self) -> f64 {
        if self.limit > 0.0 { self.moment / self.limit } else { f64::INFINITY }
    }

    /// Whether it opens.
    pub fn is_open(&self) -> bool {
        self.used() > 1.0
    }
}

/// A stretch of an axle of one section: its ends' distances from the place looked at (mm), the farther first, and its
/// bending stiffness EI with and without what is clamped round the screw (N·mm²).
#[derive(Clone, Copy, Debug)]
struct Stretch {
    arms: [f64; 2],
    clamped: f64,
    bare: f64,
}

/// A tube clamped round a screw: its ends' distances from the place looked at (mm), and the bending moment under which
/// its edge is relieved (N·mm).
#[derive(Clone, Copy, Debug)]
struct Clamped {
    arms: [f64; 2],
    limit: f64,
}

/// Whether what is clamped round a screw bends along with it.
#[derive(Clone, Copy, Debug)]
enum State {
    Closed,
    Open,
}

impl Stretch {
    const fn bending(&self, state: State) -> f64 {
        match state {
            State::Closed => self.clamped,
            State::Open => self.bare,
        }
    }
}

/// The axle of a wheel; `None` when the wheel sits on its plate's face and nothing can bend.
///
/// With plates on one side only the screw stands out of the nearest as a cantilever with the wheel's middle at its end.
/// For a force F across it and a moment M about the tangent there, u the distance from the wheel's middle: shift
/// F∫u²/EI + M∫u/EI, turn F∫u/EI + M∫1/EI, stretch by stretch (Mohr's integrals). With plates on both sides two such
/// cantilevers meet in the wheel's middle and share its shift and turn, so their stiffnesses add up: the beam built in
/// at both ends (192EI/L³ in the middle of the span L), or as far as its plates let it turn. A further plate on the same
/// side holds the nearest against turning, through the span between them.
///
/// The screw's I is πd⁴/64, of its diameter on the plain shank and of the stress area's on the thread. Tubes clamped
/// round it (spacers, rings, washers, the bearings' inner rings) add their own EI, π(D⁴ − d⁴)/64 each, as long as the
/// clamping force F_V keeps them closed: bending by M relieves an edge of a tube where M = F_V·W/A = F_V(D² + d²)/(8D).
/// What the axial force on the wheel takes from F_V and shear are left out, and of tubes beyond the nearest plates their
/// opening. The plates turn where the screw stands: see [`plate_turn`]; they are taken to keep their places on the
/// rider, which holds for wheels that press against each other, and for a net load where more than the screws joins
/// the plates.
pub(super) fn axle(
    fixture: &Fixture,
    assembly: &Assembly,
    rider: usize,
    mount: &WheelMount,
    placed: &PlacedStack,
) -> Option<Axle> {
    let held = plates_of(&mount.stack, placed);
    let turn = |number: usize| plate_turn(fixture, assembly, rider, number).unwrap_or(0.0);
    let sides: Vec<Side> = held
        .iter()
        .filter(|plates| !plates.is_empty())
        .map(|plates| Side::of(&mount.stack, placed, plates, turn))
        .collect::<Option<_>>()?;
    let points = if held.first().is_some_and(|above| !above.is_empty()) { -1.0 } else { 1.0 };
    let [closed, bare] = [State::Closed, State::Open]
        .map(|state| sides.iter().map(|side| side.support(state)).collect::<Vec<_>>());
    let (support, tubes) = match (&sides[..], &closed[..]) {
        ([side], [support]) => (*support, side.tubes(&Matrix2::identity())),
        ([above, below], [upper, lower]) => {
            let both = together(upper, lower);
            let give = inverse(&both.stiffness);
            let mut tubes = above.tubes(&(upper.stiffness * give));
            tubes.extend(below.tubes(&(lower.stiffness * seen_from_behind() * give)));
            (both, tubes)
        }
        _ => return None,
    };
    let bare = match &bare[..] {
        [support] => *support,
        [upper, lower] => together(upper, lower),
        _ => return None,
    };
    let joint = (!tubes.is_empty()).then_some(Joint { bare, tubes });
    Some(Axle { support, points, joint })
}

/// Two supports of one wheel from opposite sides, in the sense of the first.
fn together(first: &Support, second: &Support) -> Support {
    let turned = seen_from_behind();
    Support { stiffness: first.stiffness + turned * second.stiffness * turned }
}

/// Shift and turn as they are seen from the other side, where a turn has the other sign.
fn seen_from_behind() -> Matrix2<f64> {
    Matrix2::from_diagonal(&Vector2::new(1.0, -1.0))
}

/// What holds a wheel from one side: the stretches of its screw from the nearest plate on, and how far that lets it turn.
struct Side {
    stretches: Vec<Stretch>,
    tubes: Vec<Clamped>,
    /// From the plate's nearer face to the wheel's middle (mm).
    length: f64,
    /// How far the screw turns in the plate per moment (rad per N·mm), closed and open.
    turn: [f64; 2],
}

impl Side {
    /// From the plates on one side, the nearest first, and how far each turns at the screw per moment. `None` when
    /// nothing can bend.
    fn of(
        stack: &Stack,
        placed: &PlacedStack,
        plates: &[PlateHold],
        turn: impl Fn(usize) -> f64,
    ) -> Option<Self> {
        let (nearest, _) = plates.split_first()?;
        let (stretches, tubes) = stretches(stack, placed, nearest.near, placed.datum);
        if stretches.is_empty() || !sound(&stretches) {
            return None;
        }
        let turn = [State::Closed, State::Open].map(|state| root_turn(stack, placed, plates, state, &turn));
        Some(Self { stretches, tubes, length: (placed.datum - nearest.near).abs(), turn })
    }

    fn support(&self, state: State) -> Support {
        let turn = self.turn[state as usize];
        Support::from_compliance(compliance(&self.stretches, self.length, turn, state))
    }

    /// Its tubes, where `share` gives this side's force and moment per force and moment at the wheel.
    fn tubes(&self, share: &Matrix2<f64>) -> Vec<Tube> {
        let end = |arm: f64| RowVector2::new(arm, 1.0) * share;
        self.tubes.iter().map(|tube| Tube { ends: tube.arms.map(end), limit: tube.limit }).collect()
    }
}

/// How far a screw turns in the first of some plates per moment there, each next one farther off on the same side.
fn root_turn(
    stack: &Stack,
    placed: &PlacedStack,
    plates: &[PlateHold],
    state: State,
    turn: impl Fn(usize) -> f64,
) -> f64 {
    let mut farther: Option<(&PlateHold, f64)> = None;
    for plate in plates.iter().rev() {
        let own = turn(plate.number);
        let here = farther.map_or(own, |(next, turn)| {
            let (span, _) = stretches(stack, placed, next.near, plate.far);
            // The span's end is held in its place: it turns by 1/K₂₂ per moment. Plates that touch turn as one.
            let beyond = if span.is_empty() || !sound(&span) {
                turn
            } else {
                let length = (next.near - plate.far).abs();
                let give = compliance(&span, length, turn, state);
                give.m22 - give.m12 * give.m21 / give.m11
            };
            // Two springs side by side.
            if own + beyond > 0.0 { own * beyond / (own + beyond) } else { 0.0 }
        });
        farther = Some((plate, here));
    }
    farther.map_or(0.0, |(_, turn)| turn)
}

fn sound(stretches: &[Stretch]) -> bool {
    let sound = |bending: f64| bending > 0.0 && bending.is_finite();
    stretches.iter().all(|s| sound(s.bare) && sound(s.clamped))
}

/// Shift and turn at the end of a cantilever per force and moment there; its root, `length` away, turns by `turn` per
/// moment.
fn compliance(stretches: &[Stretch], length: f64, turn: f64, state: State) -> Matrix2<f64> {
    let arm = Vector2::new(length, 1.0);
    let mut compliance = arm * turn * arm.transpose();
    for stretch in stretches {
        let ([far, near], give) = (stretch.arms, 1.0 / stretch.bending(state));
        let cross = 0.5 * (far * far - near * near) * give;
        compliance +=
            Matrix2::new((far.powi(3) - near.powi(3)) / 3.0 * give, cross, cross, (far - near) * give);
    }
    compliance
}

/// The stretches of a screw from a plate's face at the level `root` to the level `end`, and the tubes clamped there.
fn stretches(stack: &Stack, placed: &PlacedStack, root: f64, end: f64) -> (Vec<Stretch>, Vec<Clamped>) {
    let screw = &stack.screw;
    let bending = |diameter: f64| STEEL * PI * diameter.powi(4) / 64.0;
    let shank = screw.shoulder.map_or(screw.diameter, |shoulder| shoulder.nominal);
    let (plain, threaded) = (bending(shank), bending(stress_diameter(screw.diameter, screw.pitch)));
    let arm = |level: f64| (level - end).abs();
    let shank_end = placed.seat_level + placed.points * screw.shank;
    let is_plain = |level: f64| (level - placed.seat_level) * placed.points < screw.shank;
    let free = (root.min(end), root.max(end));
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
            tubes.push(Clamped { arms: [arm(low), arm(high)], limit });
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

/// A plate that holds a screw: its number, and the levels of its faces towards the wheel and away from it (mm).
#[derive(Clone, Copy, Debug)]
struct PlateHold {
    number: usize,
    near: f64,
    far: f64,
}

/// The plates of a wheel's stack outwards of the wheel's middle and towards the rail's far side, the nearest first.
fn plates_of(stack: &Stack, placed: &PlacedStack) -> [Vec<PlateHold>; 2] {
    let mut sides = [Vec::new(), Vec::new()];
    for (place, number) in stack.plates() {
        let Some((low, high)) = placed.pieces.get(place).map(PlacedPiece::span) else { continue };
        let above = 0.5 * (low + high) > placed.datum;
        let (near, far) = if above { (low, high) } else { (high, low) };
        sides[usize::from(!above)].push(PlateHold { number, near, far });
    }
    let off = |hold: &PlateHold| (hold.near - placed.datum).abs();
    for side in &mut sides {
        side.sort_by(|a, b| off(a).total_cmp(&off(b)));
    }
    sides
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
                && owner.stack(stack.of).is_some_and(|(_, _, pieces)| pieces.place_of(number).is_some())
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
