//! The names of the pieces, on leaders above the stacks.

use glam::DVec2;
use glidewright_motion::PieceKind;

use super::pairing::{Pairing, StackSide};
use crate::drawing::{End, Label, Panel, Polyline, Rect};
use crate::look::{Pen, Tone, Weight};
use crate::views::words::{place, shortened, width_of};

/// Height of a row of names (pt).
pub(super) const ROW: f64 = 11.0;
const NAME_PT: f64 = 8.0;

/// A name and the world point it points at.
struct Named<'a> {
    text: &'a str,
    tip: DVec2,
}

/// Writes the names of each side in rows above the figure, the innermost highest, so that no leader crosses a
/// name: a name reaches outwards over the leaders of pieces farther out, and so must stand higher than they.
pub(super) fn draw(
    panel: &mut Panel,
    pairing: &Pairing<'_>,
    figure: &Rect,
    inner: &Rect,
    rows: usize,
    top: f64,
) {
    if rows == 0 {
        return;
    }
    let middle = match &pairing.sides[..] {
        [a, b] if pairing.end_to_end() => {
            let ends = (a.reach().1, b.reach().0);
            panel.pt(DVec2::new(0.5 * (ends.0 + ends.1), 0.0)).x
        }
        _ => inner.max.x,
    };
    for (number, side) in pairing.sides.iter().take(if pairing.end_to_end() { 2 } else { 1 }).enumerate() {
        let leftwards = number == 0;
        let mut named = names(side);
        // The innermost first.
        named.sort_by(
            |a, b| if leftwards { b.tip.x.total_cmp(&a.tip.x) } else { a.tip.x.total_cmp(&b.tip.x) },
        );
        let room = if leftwards { (inner.min.x, middle) } else { (middle, inner.max.x) };
        let placed = rows_of(panel, &named, leftwards, room);
        let lowest = figure.min.y - 27.0;
        for (name, (row, text)) in named.iter().zip(placed) {
            let y = lowest - row as f64 * ROW;
            if row >= rows || y - ROW < top || text.is_empty() {
                continue;
            }
            let tip = panel.pt(name.tip);
            let anchor = panel.world_from_pt(panel.frame.min).unwrap_or_default();
            let origin = panel.pt(anchor);
            let line = vec![DVec2::new(tip.x, y - 0.4 * NAME_PT) - origin, tip - origin];
            panel.add(
                Polyline::in_pt(anchor, line, Pen::new(Tone::Dimension, 0.4)).ends(End::Plain, End::Dot),
            );
            let (shift, along) = if leftwards { (-3.0, 1.0) } else { (3.0, 0.0) };
            let at = place(panel, DVec2::new(tip.x + shift, y));
            panel.add(Label::new(text, at, NAME_PT).toned(Tone::Dimension).anchored(along, 0.0).on_plate());
        }
    }
}

/// The pieces' names and where on paper they are met.
fn names<'a>(side: &StackSide<'a>) -> Vec<Named<'a>> {
    let placed = side.placed;
    let at = |level: f64, radius: f64| DVec2::new(side.x(level), side.axis + radius);
    let screw = &side.stack.screw;
    let mut named = vec![Named {
        text: &screw.name,
        tip: at(0.5 * (placed.seat_level + placed.head_level), 0.3 * screw.head_size),
    }];
    for (piece, place) in side.stack.pieces.iter().zip(&placed.pieces) {
        let radius = match &piece.kind {
            PieceKind::Plate(_) => 0.62 * side.radius(),
            PieceKind::Wheel(wheel) => 0.86 * wheel.outer_radius.nominal,
            _ => 0.4 * piece.outer,
        };
        if place.head_side != place.tip_side {
            named
                .push(Named { text: &piece.name, tip: at(0.5 * (place.head_side + place.tip_side), radius) });
        }
    }
    named.retain(|name| name.tip.is_finite());
    named
}

/// The row of each name, counted from below, and its text cut to the room; the names come innermost first.
fn rows_of(panel: &Panel, named: &[Named<'_>], leftwards: bool, room: (f64, f64)) -> Vec<(usize, String)> {
    let mut placed: Vec<(usize, String)> = vec![(0, String::new()); named.len()];
    for (i, name) in named.iter().enumerate().rev() {
        let x = panel.pt(name.tip).x;
        let limit = if leftwards { x - room.0 } else { room.1 - x } - 4.0;
        let text = shortened(name.text, NAME_PT, Weight::Regular, limit);
        // A few letters name nothing.
        let kept = text.chars().count() as f64 / name.text.chars().count().max(1) as f64;
        let text = if kept < 0.8 { String::new() } else { text };
        let reach = if text.is_empty() { 0.0 } else { width_of(&text, NAME_PT, Weight::Regular) + 8.0 };
        let row = named
            .iter()
            .zip(&placed)
            .skip(i + 1)
            .filter(|(other, (_, text))| !text.is_empty() && (panel.pt(other.tip).x - x).abs() < reach)
            .map(|(_, (row, _))| row + 1)
            .max()
            .unwrap_or(0);
        if let Some(slot) = placed.get_mut(i) {
            *slot = (row, text);
        }
    }
    placed
}
