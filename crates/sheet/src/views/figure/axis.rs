//! The frame of a piece on a screw: along the axis, and out from it.

use glam::{DAffine2, DVec2, DVec3};
use glidewright_geometry::Shape;
use glidewright_motion::{Body, Owner, Piece, PieceKind, PlacedStack, Role, Stack};

use crate::views::projection::Projector;
use crate::views::scene::Scene;

/// A piece on its screw as seen in a view. Lengths mm.
pub(in crate::views) struct AxisFrame<'a> {
    pub(in crate::views) stack: &'a Stack,
    /// The piece; none for the screw itself.
    pub(in crate::views) piece: Option<&'a Piece>,
    /// How it is seen.
    pub(in crate::views) sight: Sight,
    /// From its base (nearer the head; for the head its seat) to its other face.
    pub(in crate::views) height: f64,
    /// Radius of the body's own solid: over the corners of hexagons.
    pub(in crate::views) radius: f64,
}

/// How an axis is seen.
#[derive(Clone, Copy, Debug)]
pub(in crate::views) enum Sight {
    /// Lying in the paper: paper from (height above the base, out from the axis).
    Edge(DAffine2),
    /// As a point.
    End {
        /// The point.
        centre: DVec2,
        /// Whether the face away from the base looks at the reader.
        faces_reader: bool,
    },
}

impl<'a> AxisFrame<'a> {
    /// The frame of a body on a stack; `None` when the stack is not known or seen aslant.
    pub(in crate::views) fn new(
        scene: &Scene<'a>,
        view: &Projector,
        body: &Body,
        home: DVec3,
    ) -> Option<Self> {
        let Owner::Rider(number) = body.owner else { return None };
        let facing = scene.fixture.riders.get(number)?.facing;
        let outward = facing.outward();
        Self::seen(scene, body, |placed, base, grows| {
            // An eccentric spacer stands off the screw's axis; its solid says where.
            let aside = match body.role {
                Role::Spacer => body.solids.first().map_or(DVec3::ZERO, |solid| {
                    let off = solid.pose.shift - placed.point(facing, 0.0);
                    off - outward * off.dot(outward)
                }),
                _ => DVec3::ZERO,
            };
            let at = view.flat(placed.point(facing, base) + home + aside);
            if view.is_end_on(outward) {
                Some(Sight::End { centre: at, faces_reader: view.depth(outward) * grows > 0.0 })
            } else if view.is_edge_on(outward) {
                let along = view.flat(outward * grows);
                Some(Sight::Edge(DAffine2::from_cols(along, along.perp(), at)))
            } else {
                None
            }
        })
    }

    /// The frame of a body on a stack, seen as `sight` says from the placed stack, the level of the piece's
    /// base, and +1 or −1 as levels grow or fall from there.
    pub(in crate::views) fn seen(
        scene: &Scene<'a>,
        body: &Body,
        sight: impl FnOnce(&PlacedStack, f64, f64) -> Option<Sight>,
    ) -> Option<Self> {
        let Owner::Rider(number) = body.owner else { return None };
        let rider = scene.fixture.riders.get(number)?;
        let placed = scene.results.assembly.riders.get(number)?.stacks.get(body.stack?)?;
        let (_, _, stack) = rider.stack(placed.of)?;
        let (base, end) = ends(body, placed)?;
        let radius = body.solids.first().and_then(|solid| match solid.shape {
            Shape::Cylinder { radius, .. } => Some(radius),
            _ => None,
        });
        Some(Self {
            stack,
            piece: body.piece.and_then(|piece| stack.pieces.get(piece)),
            sight: sight(placed, base, if end < base { -1.0 } else { 1.0 })?,
            height: (end - base).abs(),
            radius: radius.unwrap_or(0.0),
        })
    }
}

impl AxisFrame<'_> {
    /// The piece as a circle about its axis, when it is seen end-on.
    pub(in crate::views) fn circle(&self) -> Option<(DVec2, f64)> {
        let Sight::End { centre, .. } = self.sight else { return None };
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
