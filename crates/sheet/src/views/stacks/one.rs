//! One stack by itself, lying with its head to the left, and where each of its pieces stands along it.

use glam::DVec2;
use glidewright_motion::{Fixture, PieceKind, Results};

use super::pairing::{Pairing, StackSide};
use super::section;
use crate::drawing::{Drawing, Panel, Rect};
use crate::views::scene::Scene;
use crate::views::state::ViewState;

/// No stack is drawn larger than this (pt per mm), so that short screws stay in proportion to what is written beside.
const MOST_SCALE: f64 = 6.0;
/// Room round the figure (pt).
const MARGIN: f64 = 6.0;

/// A stack drawn by itself, as the close-up of facing stacks draws it.
pub struct OneStack {
    /// The picture; no higher than it needs.
    pub drawing: Drawing,
    /// The screw's head (pt).
    pub head: Rect,
    /// The pieces from the head on, each as long as it is along the screw and as wide as it is across (pt).
    pub pieces: Vec<Rect>,
    /// What of the screw stands out beyond the last piece (pt); flat where nothing does.
    pub end: Rect,
}

/// Draws the stack `number` of a rider's placed stacks, `width` wide and at most `height` high (pt); nothing where
/// there is no such stack or it could not be placed.
pub fn one_stack(
    fixture: &Fixture,
    results: &Results,
    (owner, number): (usize, usize),
    width: f64,
    height: f64,
) -> Option<OneStack> {
    let rider = fixture.riders.get(owner)?;
    let placed = results.assembly.riders.get(owner)?.stacks.get(number)?;
    let (name, _, stack) = rider.stack(placed.of)?;
    let side = StackSide { rider, owner, number, placed, stack, name, sign: placed.points, axis: 0.0 };
    let state = ViewState { size_pt: DVec2::new(width, height), ..ViewState::default() };
    let scene = Scene::new(fixture, results, &state);
    let pairing = Pairing::of_one(side, &scene);
    let mut world = pairing.world();
    // What lies above the axis is cut and tells all; below it the hardware is enough.
    world.min.y = world.min.y.max(pairing.hardware_low());
    let size = world.size();
    if !(size.is_finite() && size.min_element() > 0.0 && width > 3.0 * MARGIN && height > 3.0 * MARGIN) {
        return None;
    }
    let scale = ((width - 2.0 * MARGIN) / size.x).min((height - 2.0 * MARGIN) / size.y).min(MOST_SCALE);
    let frame = Rect::at(0.0, 0.0, width, scale * size.y + 2.0 * MARGIN);
    let mut panel = Panel::centred(super::PANEL, frame, 0.5 * (world.min + world.max), scale);
    section::draw(&mut panel, &scene, &pairing);
    let side = pairing.sides.first()?;
    let column = |a: f64, b: f64, radius: f64| {
        let (low, high) = (side.x(a), side.x(b));
        let corner = |x: f64, y: f64| panel.pt(DVec2::new(x, y.clamp(world.min.y, world.max.y)));
        Rect::between(corner(low, -radius), corner(high, radius))
    };
    let pieces = stack.pieces.iter().zip(&placed.pieces).map(|(piece, place)| {
        let radius = match &piece.kind {
            PieceKind::Plate(_) => f64::MAX,
            PieceKind::Wheel(wheel) => wheel.outer_radius.nominal,
            PieceKind::Nut { form, .. } => form.corner_radius(piece.outer),
            _ => 0.5 * piece.outer,
        };
        column(place.head_side, place.tip_side, radius)
    });
    let pieces: Vec<Rect> = pieces.collect();
    let last = placed.pieces.last().map_or(placed.seat_level, |place| place.tip_side);
    let stands_out = placed.points * (placed.tip_level - last) > 0.0;
    let end = column(last, if stands_out { placed.tip_level } else { last }, 0.5 * stack.screw.diameter);
    let head = column(placed.head_level, placed.seat_level, 0.5 * stack.screw.head_size);
    let mut drawing = Drawing::new(format!("{}, {name}", rider.name), frame.size());
    drawing.panels.push(panel);
    Some(OneStack { drawing, head, pieces, end })
}
