//! Which bodies are checked against which, and which of them are meant to touch.
//!
//! Everything solid is held against everything it is not fused with. What the design lets touch, a wheel in its
//! track or a load on its plate, is held against an overlap instead of a gap.

use glidewright_geometry::{Pose, Shape, Solid, separation};

use crate::assembly::turning_radius;
use crate::{Assembly, Body, Fixture, LineNode, Owner, Piece, PieceKind, Role, StackOf, Stretch};

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
    /// A still stretch of belt or cord and something fixed.
    LineAndFixed,
    /// A stretch of belt or cord whose length or direction changes along the stroke, and anything else.
    MovingLine,
}

impl Kinship {
    /// Whether the two stand to each other the same at every travel.
    pub const fn is_steady(self) -> bool {
        matches!(self, Self::OneRider | Self::RiderAndRail | Self::LineAndFixed)
    }
}

/// What two bodies may do to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Meeting {
    /// They keep clear of each other.
    Apart,
    /// Still parts fastened to one rider: they may touch.
    Fastened,
    /// A wheel or shoe on the rail: it touches where it is seated, as deep as it is pressed.
    Seated,
}

/// Parts that may touch overlap by no more than this as drawn (mm): the chords of two hollow arcs, and sizes rounded
/// to a hundredth.
pub(super) const TOUCH: f64 = 0.05;

/// Who is whose neighbour among a fixture's bodies.
pub(super) struct Relations<'a> {
    fixture: &'a Fixture,
    assembly: &'a Assembly,
    /// Of each body: the plates of its rider that its stack passes, the plate it is or is made in one piece with.
    plates: Vec<Plates>,
}

#[derive(Clone, Default)]
struct Plates {
    passed: Vec<usize>,
    own: Option<usize>,
}

impl<'a> Relations<'a> {
    pub(super) fn new(fixture: &'a Fixture, assembly: &'a Assembly) -> Self {
        let plates = assembly.bodies.iter().map(|body| Plates::of(fixture, assembly, body)).collect();
        Self { fixture, assembly, plates }
    }

    /// How two bodies, by number, are related and what they may do to each other; `None` for two that are not
    /// compared.
    pub(super) fn between(&self, a: usize, b: usize) -> Option<(Kinship, Meeting)> {
        let bodies = &self.assembly.bodies;
        let (body_a, body_b) = (bodies.get(a)?, bodies.get(b)?);
        let stretches = [self.stretch(a), self.stretch(b)];
        if stretches.iter().flatten().any(|stretch| stretch.changes) {
            return None;
        }
        let held = match stretches {
            [Some(stretch), _] => self.line_keeps_clear(stretch, b),
            [_, Some(stretch)] => self.line_keeps_clear(stretch, a),
            _ => true,
        };
        let is_line = stretches.iter().any(Option::is_some);
        match (body_a.owner, body_b.owner) {
            _ if !held => None,
            (Owner::Ground, Owner::Ground) if is_line => Some((Kinship::LineAndFixed, Meeting::Apart)),
            // What stands still stands as it was drawn.
            (Owner::Ground, Owner::Ground) => None,
            (Owner::Rider(m), Owner::Rider(n)) if m == n && is_line => {
                Some((Kinship::OneRider, Meeting::Apart))
            }
            (Owner::Rider(m), Owner::Rider(n)) if m == n => {
                let (plates_a, plates_b) = (self.plates.get(a)?, self.plates.get(b)?);
                let meeting = self.one_rider((body_a, plates_a), (body_b, plates_b))?;
                Some((Kinship::OneRider, meeting))
            }
            (Owner::Rider(_), Owner::Rider(_)) => Some((Kinship::RiderAndRider, Meeting::Apart)),
            _ => {
                let (fixed, moving) =
                    if body_a.owner == Owner::Ground { (body_a, body_b) } else { (body_b, body_a) };
                match (fixed.role, moving.role) {
                    (Role::Rail, Role::Tyre | Role::Shoe) => Some((Kinship::RiderAndRail, Meeting::Seated)),
                    (Role::Rail, _) => Some((Kinship::RiderAndRail, Meeting::Apart)),
                    _ => Some((Kinship::RiderAndFixed, Meeting::Apart)),
                }
            }
        }
    }

    /// The stretch of line a body is.
    fn stretch(&self, number: usize) -> Option<&'a Stretch> {
        // They come last, in the order of their bodies.
        let stretches = &self.assembly.stretches;
        let first = stretches.first()?.body.0 as usize;
        stretches.get(number.checked_sub(first)?)
    }

    /// Whether a stretch of line must keep clear of a body: of everything but the pulleys at its ends, the stretches
    /// that go on from it there, and what clamps it.
    pub(super) fn line_keeps_clear(&self, stretch: &Stretch, other: usize) -> bool {
        let (Some(line), Some(body)) = (&self.fixture.line, self.assembly.bodies.get(other)) else {
            return false;
        };
        let ends = [stretch.nodes.0, stretch.nodes.1];
        if let Some(next) = self.stretch(other) {
            return stretch.body.0 as usize != other
                && !ends.contains(&next.nodes.0)
                && !ends.contains(&next.nodes.1);
        }
        let nodes = ends.iter().filter_map(|&end| line.nodes.get(end));
        nodes.into_iter().all(|node| match node {
            LineNode::Pulley(pulley) => body.role != Role::Pulley || body.path != pulley.path,
            LineNode::Anchor { rider, at, .. } => {
                let clamp = Solid {
                    shape: Shape::Sphere { radius: 0.5 * line.width.max(line.thickness) },
                    pose: Pose::from_shift(line.plane.point(line.plane.flat(*at))),
                };
                let holds = |solid| separation(&clamp, solid).gap <= 0.0;
                body.owner != rider.map_or(Owner::Ground, Owner::Rider) || !body.solids.iter().any(holds)
            }
        })
    }

    fn one_rider(&self, a: (&Body, &Plates), b: (&Body, &Plates)) -> Option<Meeting> {
        let ((body_a, plates_a), (body_b, plates_b)) = (a, b);
        if body_a.stack.is_some() && body_a.stack == body_b.stack {
            return self.one_stack(body_a, body_b);
        }
        // A plate with its own ribs and clamps is one printed part; what is threaded through a plate lies on it.
        let in_one_piece = plates_a.own.is_some() && plates_a.own == plates_b.own;
        let threaded = |hardware: &Body, passed: &[usize], plate: &Body, own: Option<usize>| {
            hardware.role != Role::Tyre
                && plate.role == Role::Plate
                && own.is_some_and(|own| passed.contains(&own))
        };
        if in_one_piece
            || threaded(body_a, &plates_a.passed, body_b, plates_b.own)
            || threaded(body_b, &plates_b.passed, body_a, plates_a.own)
        {
            return None;
        }
        match (body_a.role, body_b.role) {
            (Role::Pulley, Role::Pulley) => Some(Meeting::Apart),
            (Role::Pulley, _) => (!self.bears(body_b, body_a)).then_some(Meeting::Apart),
            (_, Role::Pulley) => (!self.bears(body_a, body_b)).then_some(Meeting::Apart),
            (x, y) if x == Role::Tyre || y == Role::Tyre => Some(Meeting::Apart),
            (x, y) if x.is_hardware() && y.is_hardware() => Some(Meeting::Apart),
            (Role::Plate, role) | (role, Role::Plate) if role.is_hardware() => Some(Meeting::Apart),
            _ => Some(Meeting::Fastened),
        }
    }

    /// Two bodies threaded on one screw: only the turning tyre must keep free of the others, and of those only what
    /// reaches beyond the still rings of its bearings.
    fn one_stack(&self, a: &Body, b: &Body) -> Option<Meeting> {
        if (a.role == Role::Tyre) == (b.role == Role::Tyre) || a.piece == b.piece {
            return None;
        }
        let (tyre, other) = if a.role == Role::Tyre { (a, b) } else { (b, a) };
        let turning = match self.piece(tyre).map(|piece| &piece.kind) {
            Some(PieceKind::Wheel(wheel)) => turning_radius(&wheel.bearing),
            _ => 0.0,
        };
        let off = match self.piece(other).map(|piece| &piece.kind) {
            Some(PieceKind::Eccentric { offset, .. }) => offset.abs(),
            _ => 0.0,
        };
        let reach = other.solids.iter().map(radius_about_own_axis).fold(0.0, f64::max);
        (off + reach > turning).then_some(Meeting::Apart)
    }

    /// The piece of a stack that a body is.
    fn piece(&self, body: &Body) -> Option<&'a Piece> {
        let Owner::Rider(number) = body.owner else { return None };
        let placed = self.assembly.riders.get(number)?.stacks.get(body.stack?)?;
        let (_, _, stack) = self.fixture.riders.get(number)?.stack(placed.of)?;
        stack.pieces.get(body.piece?)
    }

    /// Whether a body holds the axle of a pulley: the axle, a little longer than the pulley is wide, passes through it.
    fn bears(&self, body: &Body, pulley: &Body) -> bool {
        /// How far beyond the pulley's faces its axle is looked for (mm).
        const BEYOND: f64 = 2.0;
        let Some(line) = &self.fixture.line else { return false };
        let bore = line.nodes.iter().find_map(|node| match node {
            LineNode::Pulley(own) if own.path == pulley.path => Some(own.bore),
            _ => None,
        });
        let Some(disc) = pulley.solids.first() else { return false };
        let bounds = disc.bounds();
        let normal = line.plane.normal();
        let half = 0.5 * (bounds.high - bounds.low).dot(normal).abs() + BEYOND;
        let radius = 0.5 * bore.unwrap_or_default().max(1.0);
        let middle = disc.pose.shift;
        let axle = Solid::cylinder_between(middle - half * normal, middle + half * normal, radius);
        body.solids.iter().any(|solid| separation(&axle, solid).gap <= 0.0)
    }
}

impl Plates {
    fn of(fixture: &Fixture, assembly: &Assembly, body: &Body) -> Self {
        let Owner::Rider(number) = body.owner else { return Self::default() };
        let (Some(rider), Some(placed)) = (fixture.riders.get(number), assembly.riders.get(number)) else {
            return Self::default();
        };
        let passed = body
            .stack
            .and_then(|stack| placed.stacks.get(stack))
            .and_then(|stack| rider.stack(stack.of))
            .map(|(_, _, stack)| stack.plates().map(|(_, plate)| plate).collect())
            .unwrap_or_default();
        Self { passed, own: body.plate }
    }
}

impl Meeting {
    /// How deep two bodies may stand in each other as drawn before it counts (mm); `None` for two that keep clear.
    pub(super) fn allowed(self, fixture: &Fixture, assembly: &Assembly, a: &Body, b: &Body) -> Option<f64> {
        match self {
            Self::Apart => None,
            Self::Fastened => Some(TOUCH),
            Self::Seated => {
                let press = [a, b].map(|body| press(fixture, assembly, body)).into_iter().fold(0.0, f64::max);
                Some(press + TOUCH)
            }
        }
    }
}

/// How deep a wheel or shoe is pressed into its track (mm).
fn press(fixture: &Fixture, assembly: &Assembly, body: &Body) -> f64 {
    let Owner::Rider(number) = body.owner else { return 0.0 };
    let Some(rider) = fixture.riders.get(number) else { return 0.0 };
    if body.role == Role::Shoe {
        return rider.shoes.iter().find(|shoe| shoe.path == body.path).map_or(0.0, |shoe| shoe.press);
    }
    let placed = body.stack.and_then(|stack| assembly.riders.get(number)?.stacks.get(stack));
    match placed.map(|stack| stack.of) {
        Some(StackOf::Wheel(wheel)) => rider.wheels.get(wheel).map_or(0.0, |mount| mount.press),
        _ => 0.0,
    }
}

/// Greatest distance of a threaded piece's surface from its own axis (mm).
fn radius_about_own_axis(solid: &Solid) -> f64 {
    match &solid.shape {
        Shape::Cylinder { radius, .. } | Shape::Sphere { radius } => *radius,
        Shape::Frustum { lower_radius, upper_radius, .. } => lower_radius.max(*upper_radius),
        Shape::Cuboid { half } => half.x.hypot(half.y),
        Shape::Prism { .. } | Shape::Polyhedron(_) => f64::INFINITY,
    }
}
