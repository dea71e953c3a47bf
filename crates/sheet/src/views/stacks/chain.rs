//! The chain of sizes below the stacks, the track spacing above them, and the gap with its number.

use glam::DVec2;
use glidewright_motion::{Body, BodyId, Face, PieceKind, Role, touches};

use super::pairing::{Pairing, StackSide};
use crate::drawing::{Dimension, DimensionKind, End, Label, Panel, Path, Polyline, Rect, Shape};
use crate::look::{LengthUnit, Pen, ReaderUnits, Tone, Weight};
use crate::views::Pick;
use crate::views::scene::{Scene, gap_tones};
use crate::views::words::{place, size_of, spread, width_of};

const SIZE_PT: f64 = 8.0;
/// From the figure to the chain's line (pt).
const LINE_AT: f64 = 12.0;
/// Between two numbers of the chain, and kept free on either side of the gap's leader (pt).
const APART: f64 = 4.0;
const FREE: f64 = 3.0;

/// Distances below the chain's line, and the type of the gap (pt).
#[derive(Clone, Copy)]
pub(super) struct Spacing {
    /// To the numbers' top.
    numbers_at: f64,
    /// To the middle of the gap's number.
    gap_at: f64,
    gap_pt: f64,
}

impl Spacing {
    /// As roomy as the height of the picture allows (pt).
    pub(super) fn of(height: f64) -> Self {
        if height < 280.0 {
            Self { numbers_at: 13.0, gap_at: 30.0, gap_pt: 12.0 }
        } else {
            Self { numbers_at: 18.0, gap_at: 40.0, gap_pt: 15.0 }
        }
    }

    /// Room needed below the figure (pt).
    pub(super) fn room(&self) -> f64 {
        LINE_AT + self.gap_at + 0.7 * self.gap_pt
    }
}

/// A length in the chain: two world x, what is written, how.
struct Link {
    from: f64,
    to: f64,
    length: f64,
    tone: Tone,
    /// The gap: its number stands apart.
    is_gap: bool,
}

pub(super) fn draw(
    panel: &mut Panel,
    scene: &Scene<'_>,
    pairing: &Pairing<'_>,
    figure: &Rect,
    inner: &Rect,
    spacing: Spacing,
) {
    let mut links: Vec<Link> = Vec::new();
    let shown = if pairing.end_to_end() { pairing.sides.len() } else { 1 };
    for side in pairing.sides.iter().take(shown) {
        links.extend(pieces(side));
    }
    let faces = pairing.faces(scene);
    if let (Some((x0, x1)), Some(gap), true) = (faces, pairing.gap, pairing.end_to_end()) {
        let (tone, _, _) = gap_tones(gap, pairing.asked);
        links.push(Link { from: x0, to: x1, length: x1 - x0, tone, is_gap: true });
    }
    links.retain(|link| link.from.is_finite() && link.to.is_finite());
    links.sort_by(|a, b| (a.from + a.to).total_cmp(&(b.from + b.to)));
    if let Some(gap) = pairing.gap {
        track_spacing(panel, pairing, figure);
        aside(panel, pairing, inner);
        whiskers(panel, scene, pairing);
        big_number(panel, pairing, gap, faces, figure, inner, spacing);
    }
    line(panel, &links, pairing.unit, figure, inner, spacing);
}

/// The pieces of a stack as lengths.
fn pieces(side: &StackSide<'_>) -> Vec<Link> {
    let placed = side.placed;
    let link = |a: f64, b: f64| {
        let (x0, x1) = (side.x(a), side.x(b));
        let (from, to) = (x0.min(x1), x0.max(x1));
        Link { from, to, length: to - from, tone: Tone::Dimension, is_gap: false }
    };
    let mut links = vec![link(placed.seat_level, placed.head_level)];
    links.extend(placed.pieces.iter().map(|piece| link(piece.head_side, piece.tip_side)));
    if placed.thread.projection > 0.0 {
        let last = placed.pieces.last().map_or(placed.seat_level, |piece| piece.tip_side);
        links.push(link(last, placed.tip_level));
    }
    links.retain(|link| link.to > link.from);
    links
}

fn line(panel: &mut Panel, links: &[Link], unit: ReaderUnits, figure: &Rect, inner: &Rect, spacing: Spacing) {
    let pt_from_world = panel.pt_from_world;
    let x = |world: f64| pt_from_world.transform_point2(DVec2::new(world, 0.0)).x;
    let y = figure.max.y + LINE_AT;
    let ends = links.iter().flat_map(|link| [x(link.from), x(link.to)]);
    let Some(span) = Rect::round(ends.map(|x| DVec2::new(x, y))) else { return };
    let anchor = panel.world_from_pt(panel.frame.min).unwrap_or_default();
    let origin = panel.pt(anchor);
    let mut lines = Path::line(span.min - origin, span.max - origin);
    for link in links {
        for at in [link.from, link.to] {
            // A short slanting stroke at each end: room for arrowheads is rare (ISO 129-1 allows it).
            let p = DVec2::new(x(at), y) - origin;
            lines.append(&Path::line(p + DVec2::new(-2.2, 2.2), p + DVec2::new(2.2, -2.2)));
            lines.append(&Path::line(p - DVec2::new(0.0, LINE_AT - 2.0), p + DVec2::new(0.0, 3.0)));
        }
    }
    panel.add(Shape::in_pt(anchor, lines).stroked(Pen::new(Tone::Dimension, 0.5)));
    // On both sides of the gap's leader, which must stay free.
    let gap = links.iter().position(|link| link.is_gap);
    let middle = |link: &Link| x(0.5 * (link.from + link.to));
    let halves = match gap.and_then(|at| links.get(at).map(|link| (at, middle(link)))) {
        Some((at, x)) => vec![
            (links.get(..at).unwrap_or_default(), inner.min.x, x - FREE),
            (links.get(at + 1..).unwrap_or_default(), x + FREE, inner.max.x),
        ],
        None => vec![(links, inner.min.x, inner.max.x)],
    };
    let number = |link: &Link, decimals: usize| {
        let whole = unit.bare(link.length, decimals);
        // Inches on drawings have no nought before the point (ASME Y14.5, from memory).
        if unit.length == LengthUnit::Inch && whole.starts_with("0.") {
            return whole.trim_start_matches('0').to_owned();
        }
        // Where room is short a nought at the end is the first to go.
        if decimals < 2 { whole.strip_suffix(".0").map_or(whole.clone(), str::to_owned) } else { whole }
    };
    let widths = |links: &[Link], decimals: usize| -> Vec<f64> {
        links.iter().map(|link| width_of(&number(link, decimals), SIZE_PT, Weight::Regular)).collect()
    };
    let fits = |decimals: usize| {
        halves.iter().all(|(links, from, to)| {
            widths(links, decimals).iter().map(|width| width + APART).sum::<f64>() <= to - from + APART
        })
    };
    // Whole millimetres would make nothing of a thin shim: better no numbers than wrong ones.
    let Some(decimals) = [2, 1].into_iter().find(|decimals| fits(*decimals)) else { return };
    for (links, from, to) in halves {
        let wishes: Vec<f64> = links.iter().map(middle).collect();
        let middles = spread(&wishes, &widths(links, decimals), APART, from, to);
        for ((link, wish), middle) in links.iter().zip(&wishes).zip(middles) {
            let from = DVec2::new(*wish, y) - origin;
            let knee = DVec2::new(middle, y + spacing.numbers_at - 3.0) - origin;
            // A number that stands under its own length needs no leader.
            if (middle - wish).abs() > 0.5 * (x(link.to) - x(link.from)).abs() {
                let line = Polyline::in_pt(anchor, vec![from, knee], Pen::new(link.tone, 0.4));
                panel.add(line.ends(End::Dot, End::Plain));
            }
            let at = place(panel, DVec2::new(middle, y + spacing.numbers_at));
            let text = number(link, decimals);
            panel.add(Label::new(text, at, SIZE_PT).toned(link.tone).anchored(0.5, 1.0));
        }
    }
}

/// The distance of the two wheels' mid-planes.
fn track_spacing(panel: &mut Panel, pairing: &Pairing<'_>, figure: &Rect) {
    let [a, b] = &pairing.sides[..] else { return };
    if !(a.has_wheel() && b.has_wheel() && pairing.end_to_end()) {
        return;
    }
    let top = |side: &StackSide<'_>| DVec2::new(side.x(side.placed.datum), side.axis + side.radius());
    let (from, to) = (top(a), top(b));
    if (to.x - from.x).abs() < 0.05 {
        return;
    }
    let up = panel.pt(from).y.min(panel.pt(to).y) - figure.min.y;
    let kind = DimensionKind::Horizontal { from, to, offset_pt: -(up + 12.0) };
    let number = pairing.unit.bare((to.x - from.x).abs(), 2);
    let whole = format!("{number} track spacing");
    // Words wider than the frame would be cut off at its edge.
    let (a, b) = (panel.pt(from).x, panel.pt(to).x);
    let width = width_of(&whole, SIZE_PT, Weight::Regular) + 12.0;
    // Between the arrows, or else beyond them to the right.
    let fits = width < (b - a).abs() || width < panel.frame.max.x - a.max(b);
    panel.add(Dimension::new(kind, if fits { whole } else { number }));
}

/// How far the two axes are apart, if they are.
fn aside(panel: &mut Panel, pairing: &Pairing<'_>, inner: &Rect) {
    let [a, b] = &pairing.sides[..] else { return };
    let apart = (b.axis - a.axis).abs();
    let right = a.reach().1.max(b.reach().1);
    if apart < 0.05
        || pairing.drawn_nearer.is_some()
        || panel.pt(DVec2::new(right, 0.0)).x > inner.max.x - 22.0
    {
        return;
    }
    let (from, to) = (DVec2::new(a.reach().1, a.axis), DVec2::new(b.reach().1, b.axis));
    let kind = DimensionKind::Vertical { from, to, offset_pt: 14.0 };
    panel.add(Dimension::new(kind, pairing.unit.bare(apart, 2)));
}

/// How far the facing ends may stand out more or less.
fn whiskers(panel: &mut Panel, scene: &Scene<'_>, pairing: &Pairing<'_>) {
    let Some(bodies) = pairing.bodies else { return };
    let anchor = panel.world_from_pt(panel.frame.min).unwrap_or_default();
    let origin = panel.pt(anchor);
    let mut words_of_first: Option<Rect> = None;
    for (number_of_side, (side, id)) in pairing.sides.iter().zip([bodies.0, bodies.1]).enumerate() {
        let Some((face, level)) = scene.body(id).and_then(|body| facing_end(side, body)) else { continue };
        let half = side.placed.reach(side.stack, face).half_width();
        if !(half > 0.0) {
            continue;
        }
        let at = panel.pt(DVec2::new(side.x(level), side.axis)) - origin;
        let reach = (half * panel.scale()).max(1.5);
        // One above, one below the axis, so that they stay apart when the ends overlap.
        let lift = if number_of_side == 0 { -7.0 } else { 7.0 };
        let (from, to) = (at + DVec2::new(-reach, lift), at + DVec2::new(reach, lift));
        let pen = Pen::new(Tone::Ink, 1.1);
        panel
            .add(Polyline::in_pt(anchor, vec![from, to], pen).ends(End::Bar, End::Bar))
            .named(format!("this end ±{}", pairing.unit.text(half, 2)));
        let outwards = if number_of_side == 0 { -1.0 } else { 1.0 };
        let words = at + origin + DVec2::new(outwards * (reach + 4.0), lift);
        let along = if number_of_side == 0 { 1.0 } else { 0.0 };
        let text = format!("±{}", pairing.unit.bare(half, 2));
        let size = size_of(&text, SIZE_PT, Weight::Regular);
        let own = Rect::about(words - DVec2::new((along - 0.5) * size.x, 0.0), size);
        // In a small figure both would lie over each other: the bars have their names under the pointer.
        if words_of_first.is_some_and(|first| first.overlaps(&own)) {
            continue;
        }
        words_of_first = Some(own);
        let at = place(panel, words);
        panel.add(Label::new(text, at, SIZE_PT).anchored(along, 0.5).on_plate());
    }
}

/// The face of a body that looks at the other stack, and its level.
fn facing_end(side: &StackSide<'_>, body: &Body) -> Option<(Face, f64)> {
    let placed = side.placed;
    Some(match (body.role, body.piece) {
        (Role::ScrewEnd, _) => (Face::ScrewTip, placed.tip_level),
        (Role::Head, _) => (Face::HeadTop, placed.head_level),
        (_, Some(piece)) => {
            let place = placed.pieces.get(piece)?;
            // Facing stacks meet at their inner ends: the lower level.
            if place.tip_side < place.head_side {
                (Face::TipSide(piece), place.tip_side)
            } else {
                (Face::HeadSide(piece), place.head_side)
            }
        }
        _ => return None,
    })
}

impl Pairing<'_> {
    /// World x of the two faces between which the gap lies, left one first.
    pub(super) fn faces(&self, scene: &Scene<'_>) -> Option<(f64, f64)> {
        let [a, b] = &self.sides[..] else { return None };
        let bodies = self.bodies?;
        if !self.end_to_end() {
            return None;
        }
        let face = |side: &StackSide<'_>, id: BodyId| {
            let body = scene.body(id)?;
            let (_, level) = facing_end(side, body)?;
            // A tyre is narrower than the hub its piece is measured by.
            let inset = match body.piece.and_then(|piece| side.stack.pieces.get(piece)).map(|p| &p.kind) {
                Some(PieceKind::Wheel(wheel)) if body.role == Role::Tyre => {
                    0.5 * (wheel.hub_width.nominal - wheel.width)
                }
                _ => 0.0,
            };
            Some(side.x(level + inset))
        };
        Some((face(a, bodies.0)?, face(b, bodies.1)?))
    }
}

/// The gap in large figures, below the chain.
fn big_number(
    panel: &mut Panel,
    pairing: &Pairing<'_>,
    gap: f64,
    faces: Option<(f64, f64)>,
    figure: &Rect,
    inner: &Rect,
    spacing: Spacing,
) {
    let (tone, _, word) = gap_tones(gap, pairing.asked);
    let text = if touches(gap) {
        format!("{word} {}", pairing.unit.text((-gap).max(0.0), 2))
    } else {
        format!("{word} {}", pairing.unit.text(gap, 2))
    };
    let middle = match (pairing.witness, faces) {
        (Some([p, q]), _) => 0.5 * (p + q),
        (None, Some((x0, x1))) => {
            DVec2::new(0.5 * (x0 + x1), pairing.sides.iter().map(|s| s.axis).sum::<f64>() / 2.0)
        }
        (None, None) => panel.world_from_pt(figure.middle()).unwrap_or_default(),
    };
    let tip = panel.pt(middle);
    let half = 0.5 * width_of(&text, spacing.gap_pt, Weight::SemiBold) + 4.0;
    let x = tip.x.max(inner.min.x + half).min(inner.max.x - half);
    let at = DVec2::new(x, figure.max.y + LINE_AT + spacing.gap_at);
    if faces.is_some() || pairing.witness.is_some() {
        let anchor = panel.world_from_pt(panel.frame.min).unwrap_or_default();
        let origin = panel.pt(anchor);
        let line = vec![DVec2::new(tip.x, at.y - 0.65 * spacing.gap_pt) - origin, tip - origin];
        panel
            .add(Polyline::in_pt(anchor, line, Pen::new(tone, 0.9)).ends(End::Plain, End::Dot))
            .part(Pick::Gap.part());
    }
    let at = place(panel, at);
    panel
        .add(Label::new(text.clone(), at, spacing.gap_pt).bold().toned(tone).on_plate())
        .part(Pick::Gap.part())
        .named(text);
}
