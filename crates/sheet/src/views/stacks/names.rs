//! The names of the pieces, on leaders above the stacks.

use std::cmp::Ordering;

use glam::DVec2;
use glidewright_motion::PieceKind;

use super::pairing::{Pairing, StackSide};
use crate::drawing::{End, Label, Panel, Polyline, Rect};
use crate::look::{Pen, Tone, Weight};
use crate::views::words::{place, shortened, width_of};

/// Height of a row of names (pt).
pub(super) const ROW: f64 = 11.0;
const NAME_PT: f64 = 8.0;
/// No name stands farther off.
const MOST_ROWS: f64 = 14.0;
/// From a leader to its name, and between two names of a row (pt).
const ASIDE: f64 = 3.0;
const APART: f64 = 5.0;

/// A name and the world point it points at.
struct Named<'a> {
    text: &'a str,
    tip: DVec2,
}

/// Writes the names of each side in rows above the figure, so that no leader crosses a name and no two names meet: a name
/// reaches outwards over the leaders of pieces farther out, and so must stand higher than they.
pub(super) fn draw(
    panel: &mut Panel,
    pairing: &Pairing<'_>,
    figure: &Rect,
    inner: &Rect,
    rows: usize,
    top: f64,
) {
    let lowest = figure.min.y - 27.0;
    // All the room there is up to the title, where there is to be any.
    let room = ((lowest - top) / ROW).floor().clamp(0.0, MOST_ROWS) as usize;
    let rows = if rows == 0 { 0 } else { room };
    let mut placed: Vec<Written> = Vec::new();
    for (number, side) in pairing.sides.iter().take(if pairing.end_to_end() { 2 } else { 1 }).enumerate() {
        let leftwards = number == 0;
        let mut named = names(side);
        // The outermost first: the innermost stand highest.
        named.sort_by(
            |a, b| if leftwards { a.tip.x.total_cmp(&b.tip.x) } else { b.tip.x.total_cmp(&a.tip.x) },
        );
        for name in &named {
            placed.extend(written(panel, name, leftwards, inner, rows, &placed));
        }
    }
    for Written { text, tip, row, leftwards, .. } in placed {
        let y = lowest - row as f64 * ROW;
        let anchor = panel.world_from_pt(panel.frame.min).unwrap_or_default();
        let origin = panel.pt(anchor);
        let line = vec![DVec2::new(tip.x, y - 0.4 * NAME_PT) - origin, tip - origin];
        panel.add(Polyline::in_pt(anchor, line, Pen::new(Tone::Dimension, 0.4)).ends(End::Plain, End::Dot));
        let (shift, along) = if leftwards { (-ASIDE, 1.0) } else { (ASIDE, 0.0) };
        let at = place(panel, DVec2::new(tip.x + shift, y));
        panel.add(Label::new(text, at, NAME_PT).toned(Tone::Dimension).anchored(along, 0.0).on_plate());
    }
}

/// A name in its row, counted from below.
struct Written {
    text: String,
    /// What it points at (pt).
    tip: DVec2,
    row: usize,
    leftwards: bool,
    /// From where to where it reaches (pt).
    from: f64,
    to: f64,
}

/// The lowest of so many rows in which a name and its leader meet nothing that is written; `None` if there is none, or
/// no room for most of the name.
fn written(
    panel: &Panel,
    name: &Named<'_>,
    leftwards: bool,
    inner: &Rect,
    rows: usize,
    others: &[Written],
) -> Option<Written> {
    let tip = panel.pt(name.tip);
    let limit = if leftwards { tip.x - inner.min.x } else { inner.max.x - tip.x } - ASIDE - 1.0;
    let text = shortened(name.text, NAME_PT, Weight::Regular, limit);
    // A few letters name nothing.
    let kept = text.chars().count() as f64 / name.text.chars().count().max(1) as f64;
    if kept < 0.8 {
        return None;
    }
    let reach = ASIDE + width_of(&text, NAME_PT, Weight::Regular) + APART;
    let (from, to) = if leftwards { (tip.x - reach, tip.x) } else { (tip.x, tip.x + reach) };
    let crosses = |from: f64, to: f64, x: f64| from - 1.0 < x && x < to + 1.0;
    let free = |row: &usize| {
        others.iter().all(|other| match other.row.cmp(row) {
            Ordering::Equal => other.to <= from || to <= other.from,
            // Its leader comes down through the row of the other, or the other's through its own.
            Ordering::Less => !crosses(other.from, other.to, tip.x),
            Ordering::Greater => !crosses(from, to, other.tip.x),
        })
    };
    let row = (0..rows).find(free)?;
    Some(Written { text, tip, row, leftwards, from, to })
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
