//! The frame of a piece on a screw: along the axis, and out from it.

use glam::{DAffine2, DVec2, DVec3};
use glidewright_motion::{Body, Piece, PieceKind, PlacedStack, Role, Stack};

use crate::views::scene::Scene;
use crate::views::space::Projector;

/// A piece on its screw as seen in a view. Lengths mm.
pub(in crate::views) struct AxisFrame<'a> {
    pub(in crate::views) stack: &'a Stack,
    /// The piece; none for the screw itself.
    pub(in crate::views) piece: Option<&'a Piece>,
    /// How it is seen.
    pub(in crate::views) sight: Sight,
    /// From its base (nearer the head; for the head its seat) to its other face.
    pub(in crate::views) height: f64,
    /// Whether the outer face (away from the base) looks at the reader, when seen end-on.
    pub(in crate::views) faces_reader: bool,
    /// Radius of the body's own solid: over the corners of hexagons.
    pub(in crate::views) radius: f64,
}

/// How an axis is seen.
#[derive(Clone, Copy, Debug)]
pub(in crate::views) enum Sight {
    /// Lying in the paper: paper from (height above the base, out from the axis).
    Edge(DAffine2),
    /// As a point.
    End(DVec2),
}

impl<'a> AxisFrame<'a> {
    /// The frame of a body on a stack; `None` when the stack is not known or seen aslant.
    pub(in crate::views) fn new(
        scene: &Scene<'a>,
        view: &Projector,
        body: &Body,
        home: DVec3,
    ) -> Option<Self> {
        let glidewright_motion::Owner::Rider(number) = body.owner else { return None };
        let rider = scene.fixture.riders.get(number)?;
        let placed = scene.results.assembly.riders.get(number)?.stacks.get(body.stack?)?;
        let (_, _, stack) = rider.stack(placed.of)?;
        let (base, end) = ends(body, placed)?;
        let piece = body.piece.and_then(|piece| stack.pieces.get(piece));
        let outward = rider.facing.outward();
        let grows = if end < base { -outward } else { outward };
        // An eccentric spacer stands off the screw's axis; its solid says where.
        let aside = match body.role {
            Role::Spacer => body.solids.first().map_or(DVec3::ZERO, |solid| {
                let off = solid.pose.shift - placed.point(rider.facing, 0.0);
                off - outward * off.dot(outward)
            }),
            _ => DVec3::ZERO,
        };
        let at = placed.point(rider.facing, base) + home + aside;
        let sight = if view.is_end_on(outward) {
            Sight::End(view.flat(at))
        } else if view.is_edge_on(outward) {
            let along = view.flat(grows);
            Sight::Edge(DAffine2::from_cols(along, along.perp(), view.flat(at)))
        } else {
            return None;
        };
        let radius = body.solids.first().and_then(|solid| match solid.shape {
            glidewright_geometry::Shape::Cylinder { radius, .. } => Some(radius),
            _ => None,
        });
        Some(Self {
            stack,
            piece,
            sight,
            height: (end - base).abs(),
            faces_reader: grows.dot(view.toward) > 0.0,
            radius: radius.unwrap_or(0.0),
        })
    }
}

impl AxisFrame<'_> {
    /// The piece as a circle about its axis, when it is seen end-on.
    pub(in crate::views) fn circle(&self) -> Option<(DVec2, f64)> {
        let Sight::End(centre) = self.sight else { return None };
        let radius = match self.piece.map(|piece| &piece.kind) {
            Some(PieceKind::Wheel(wheel)) => wheel.outer_radius.nominal,
            _ => self.radius,
        };
        Some((centre, radius))
    }
}

/// Levels of a body's base and of its other face.
fn ends(body: &Body, placed: &PlacedStack) -> Option<(f64, f64)> {
    let ends = match (body.role, body.piece) {
        (Role::Head, _) => (placed.seat_level, placed.head_level),
        (Role::ScrewEnd, _) => {
            (placed.pieces.last().map_or(placed.seat_level, |piece| piece.tip_side), placed.tip_level)
        }
        (_, Some(piece)) => placed.pieces.get(piece).map(|place| (place.head_side, place.tip_side))?,
        _ => return None,
    };
    (ends.0.is_finite() && ends.1.is_finite()).then_some(ends)
}
