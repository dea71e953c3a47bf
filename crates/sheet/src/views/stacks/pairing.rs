//! Which two stacks, and how they stand to each other on paper.

use glam::{DVec2, DVec3};
use glidewright_motion::{Body, BodyId, Owner, PieceKind, PlacedStack, Rider, Role, Stack, StackOf};

use crate::drawing::Rect;
use crate::look::ReaderUnits;
use crate::views::scene::Scene;
use crate::views::{Moment, PairChoice};

/// One stack on paper. The panel's world: x along the screws' axis (mm), y from one axis towards the other.
pub(super) struct StackSide<'a> {
    pub(super) rider: &'a Rider,
    pub(super) owner: usize,
    /// Its number in the placed rider.
    pub(super) number: usize,
    pub(super) placed: &'a PlacedStack,
    pub(super) stack: &'a Stack,
    pub(super) name: &'a str,
    /// World x per level: +1 or −1.
    pub(super) sign: f64,
    /// World y of its axis.
    pub(super) axis: f64,
}

/// Two facing stacks, or one alone.
pub(super) struct Pairing<'a> {
    /// From left to right.
    pub(super) sides: Vec<StackSide<'a>>,
    /// The bodies between which the gap is shown, the first on the first side.
    pub(super) bodies: Option<(BodyId, BodyId)>,
    /// Gap of these two at that travel (mm).
    pub(super) gap: Option<f64>,
    /// Where the two are nearest: a point on each.
    pub(super) witness: Option<[DVec2; 2]>,
    /// The least gap asked between them (mm).
    pub(super) asked: f64,
    /// The unit lengths are written in.
    pub(super) unit: ReaderUnits,
    /// The travel shown (mm).
    pub(super) travel: f64,
    /// How far the axes really are apart (mm), if they are drawn nearer.
    pub(super) drawn_nearer: Option<f64>,
    /// When y on paper is the rail's lateral axis, so that the rail can be shown: its value at y = 0, and
    /// +1 or −1 as it grows up or down the paper.
    pub(super) lateral: Option<(f64, f64)>,
}

impl<'a> Pairing<'a> {
    pub(super) fn new(scene: &Scene<'a>) -> Option<Self> {
        let Some((bodies, at_travel)) = chosen(scene) else { return Self::alone(scene) };
        let travel = match scene.state.moment {
            Moment::Closest => at_travel,
            Moment::Now => scene.travel,
        };
        let mut ends = [bodies.0, bodies.1].map(|id| Some((id, side(scene, id)?, place(scene, id, travel)?)));
        // The stack that stands lower along the axis to the left.
        let low = |end: &Option<(BodyId, StackSide<'a>, DVec2)>| {
            end.as_ref().map_or(f64::NAN, |(_, side, _)| side.sign * side.placed.datum)
        };
        if low(&ends[0]) > low(&ends[1]) {
            ends.swap(0, 1);
        }
        let [Some((first, mut a, at_a)), Some((second, mut b, at_b))] = ends else {
            return Self::alone(scene);
        };
        let apart = at_b - at_a;
        let distance = apart.length();
        // Two parallel axes span a plane; coaxial ones are seen in the plane across the rail.
        let up = if distance > 1e-6 { apart / distance } else { DVec2::Y };
        // The rail above, else growing travel upwards.
        let rail_below = up.y * (at_a.y + at_b.y) > 1e-9;
        let up = if rail_below || (up.y.abs() <= 1e-9 && up.x < 0.0) { -up } else { up };
        let most = a.radius() + b.radius() + 4.0;
        let shown = distance.min(most);
        let half = 0.5 * shown * if apart.dot(up) < 0.0 { -1.0 } else { 1.0 };
        (a.axis, b.axis) = (-half, half);
        let lateral = distance <= most && up.x.abs() < 1e-6;
        let lateral = lateral.then_some((0.5 * (at_a.y + at_b.y), up.y));
        let separation = scene.separation_at((first, second), travel);
        let middle = 0.5 * (at_a + at_b);
        let lateral_axis = a.rider.facing.lateral();
        let axis = a.rider.facing.outward() * a.sign;
        let flat =
            |p: DVec3| DVec2::new(p.dot(axis), (DVec2::new(p.x, p.dot(lateral_axis)) - middle).dot(up));
        let witness = separation
            .filter(|_| distance <= most)
            .map(|s| [flat(s.on_a), flat(s.on_b)])
            .filter(|[p, q]| p.is_finite() && q.is_finite());
        Some(Self {
            witness,
            sides: vec![a, b],
            bodies: Some((first, second)),
            gap: separation.map(|s| s.gap),
            asked: scene.pair_result((first, second)).map_or(scene.fixture.limits.gap, |r| r.asked),
            unit: scene.unit(),
            travel,
            drawn_nearer: (distance > most).then_some(distance),
            lateral,
        })
    }

    /// One stack: the selected body's, else the lead's first.
    fn alone(scene: &Scene<'a>) -> Option<Self> {
        let selected = scene.state.selected.and_then(|id| side(scene, id));
        let first = || {
            let lead = scene.lead()?;
            let id =
                scene.bodies().find(|(_, body)| body.owner == Owner::Rider(lead) && body.stack.is_some())?.0;
            side(scene, id)
        };
        let any = || scene.bodies().find_map(|(id, _)| side(scene, id));
        let side = selected.or_else(first).or_else(any)?;
        let lateral = side.placed.at.y;
        let grows = if lateral > 0.0 { -1.0 } else { 1.0 };
        Some(Self { lateral: Some((lateral, grows)), ..Self::of_one(side, scene) })
    }

    /// A stack with nothing facing it.
    pub(super) fn of_one(side: StackSide<'a>, scene: &Scene<'a>) -> Self {
        Self {
            sides: vec![side],
            bodies: None,
            gap: None,
            witness: None,
            asked: scene.fixture.limits.gap,
            unit: scene.unit(),
            travel: scene.travel,
            drawn_nearer: None,
            lateral: None,
        }
    }

    /// What is drawn (mm).
    pub(super) fn world(&self) -> Rect {
        let all = self.sides.iter().flat_map(|side| {
            let (low, high) = side.reach();
            let r = side.radius();
            [DVec2::new(low, side.axis - r), DVec2::new(high, side.axis + r)]
        });
        Rect::round(all).unwrap_or(Rect::at(-10.0, -10.0, 20.0, 20.0))
    }

    /// A little below the lowest piece that is neither wheel nor plate (mm).
    pub(super) fn hardware_low(&self) -> f64 {
        let low = |side: &StackSide<'_>| {
            let pieces = side.stack.pieces.iter().map(|piece| match piece.kind {
                PieceKind::Wheel(_) | PieceKind::Plate(_) => 0.0,
                PieceKind::Nut { form, .. } => form.corner_radius(piece.outer),
                _ => 0.5 * piece.outer,
            });
            side.axis - pieces.fold(0.5 * side.stack.screw.head_size, f64::max) - 2.0
        };
        self.sides.iter().map(low).fold(f64::INFINITY, f64::min)
    }

    /// Whether the gap lies along the screws, so that the chain of sizes makes it.
    pub(super) fn along_the_screws(&self) -> bool {
        self.witness.is_some_and(|[p, q]| (q - p).y.abs() < 1e-6)
    }

    /// Whether the stacks stand end to end, so that one chain of sizes runs through both.
    pub(super) fn end_to_end(&self) -> bool {
        match &self.sides[..] {
            [a, b] => a.sign != b.sign,
            _ => true,
        }
    }

    pub(super) fn title(&self, scene: &Scene<'_>) -> String {
        let who: Vec<String> =
            self.sides.iter().map(|side| format!("{}, {}", side.rider.name, side.name)).collect();
        let mut text = who.join("  ·  ");
        if self.bodies.is_some() {
            let when = match scene.state.moment {
                Moment::Closest => "closest, at travel",
                Moment::Now => "at travel",
            };
            text.push_str(&format!("  ·  {when} {}", self.unit.text(self.travel, 1)));
        }
        if let Some(distance) = self.drawn_nearer {
            text.push_str(&format!("  ·  axes {} apart, drawn nearer", self.unit.text(distance, 1)));
        }
        text
    }
}

/// The pair shown and where it comes closest: the chosen one, else the tightest of two stacks.
fn chosen(scene: &Scene<'_>) -> Option<((BodyId, BodyId), f64)> {
    let stacked = |id: BodyId| side(scene, id).is_some();
    if let PairChoice::Chosen(a, b) = scene.state.pair
        && stacked(a)
        && stacked(b)
    {
        let at = scene.pair_result((a, b)).map_or(scene.travel, |result| result.at_travel);
        return Some(((a, b), at));
    }
    let pairs = scene.results.interference.passing.iter();
    let facing = |id: BodyId| scene.body(id).is_some_and(|body| body.stack.is_some());
    let of_riders = |a: &Body, b: &Body| a.owner != b.owner;
    pairs
        .filter(|pair| facing(pair.bodies.0) && facing(pair.bodies.1))
        .find(|pair| match (scene.body(pair.bodies.0), scene.body(pair.bodies.1)) {
            (Some(a), Some(b)) => of_riders(a, b) && parallel(scene, a, b),
            _ => false,
        })
        .map(|pair| (pair.bodies, pair.at_travel))
}

fn parallel(scene: &Scene<'_>, a: &Body, b: &Body) -> bool {
    let outward = |body: &Body| match body.owner {
        Owner::Rider(number) => scene.fixture.riders.get(number).map(|rider| rider.facing.outward()),
        Owner::Ground => None,
    };
    outward(a).zip(outward(b)).is_some_and(|(a, b)| a.cross(b).length() < 1e-6)
}

/// The side of a body's stack.
fn side<'a>(scene: &Scene<'a>, id: BodyId) -> Option<StackSide<'a>> {
    let body = scene.body(id)?;
    let Owner::Rider(owner) = body.owner else { return None };
    let rider = scene.fixture.riders.get(owner)?;
    let number = body.stack?;
    let placed = scene.results.assembly.riders.get(owner)?.stacks.get(number)?;
    let (name, _, stack) = rider.stack(placed.of)?;
    let outward = rider.facing.outward();
    let sign = if outward.cmplt(DVec3::ZERO).any() { -1.0 } else { 1.0 };
    Some(StackSide { rider, owner, number, placed, stack, name, sign, axis: 0.0 })
}

/// Where a body's stack stands across its axis at a travel: along the rail, lateral (mm).
fn place(scene: &Scene<'_>, id: BodyId, travel: f64) -> Option<DVec2> {
    let body = scene.body(id)?;
    let side = side(scene, id)?;
    let at = side.placed.at + DVec2::new(scene.home(body.owner, travel), 0.0);
    at.is_finite().then_some(at)
}

impl StackSide<'_> {
    /// World x of a level.
    pub(super) fn x(&self, level: f64) -> f64 {
        self.sign * level
    }

    /// Least and greatest world x of anything on it.
    pub(super) fn reach(&self) -> (f64, f64) {
        let placed = self.placed;
        let levels = placed.pieces.iter().flat_map(|p| [p.head_side, p.tip_side]);
        levels
            .chain([placed.seat_level, placed.head_level, placed.tip_level])
            .map(|level| self.x(level))
            .filter(|x| x.is_finite())
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)))
    }

    /// Greatest radius of anything on it but the plate (mm).
    pub(super) fn radius(&self) -> f64 {
        let pieces = self.stack.pieces.iter().map(|piece| match &piece.kind {
            PieceKind::Plate(_) => 0.0,
            PieceKind::Wheel(wheel) => wheel.outer_radius.nominal,
            PieceKind::Nut { form, .. } => form.corner_radius(piece.outer),
            _ => 0.5 * piece.outer,
        });
        let head = 0.5 * self.stack.screw.head_size;
        pieces.chain([head, 3.0]).filter(|r| r.is_finite()).fold(0.0, f64::max).min(500.0)
    }

    /// The bodies threaded on it, with their numbers.
    pub(super) fn bodies<'s>(&self, scene: &Scene<'s>) -> Vec<(BodyId, &'s Body)> {
        scene
            .bodies()
            .filter(|(_, body)| body.owner == Owner::Rider(self.owner) && body.stack == Some(self.number))
            .collect()
    }

    /// The body of one of its pieces: tyre for a wheel.
    pub(super) fn body_of(&self, scene: &Scene<'_>, piece: usize) -> Option<BodyId> {
        let (_, stack_piece) = (piece, self.stack.pieces.get(piece)?);
        if let PieceKind::Plate(number) = stack_piece.kind {
            let path = &self.rider.plates.get(number)?.path;
            return scene
                .bodies()
                .find(|(_, body)| {
                    body.role == Role::Plate && body.owner == Owner::Rider(self.owner) && body.path == *path
                })
                .map(|(id, _)| id);
        }
        self.bodies(scene)
            .into_iter()
            .find(|(_, body)| body.piece == Some(piece) && body.role != Role::Hub)
            .map(|(id, _)| id)
    }

    /// Whether a wheel is on it.
    pub(super) fn has_wheel(&self) -> bool {
        matches!(self.placed.of, StackOf::Wheel(_))
    }
}
