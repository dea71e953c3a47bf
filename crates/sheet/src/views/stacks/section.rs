//! The stacks as a half-section: above the axis cut, below it as seen.
//!
//! Screws, nuts and heads are not cut lengthwise (ISO 128-3, from memory); what is threaded on them is.

use glam::{DAffine2, DVec2};
use glidewright_geometry::Side;
use glidewright_motion::{PieceKind, Role, StackEnd};

use super::pairing::{Pairing, StackSide};
use crate::drawing::{End, Panel, Path, Polyline, Rect, Shape};
use crate::look::{Dash, Fill, Hatch, Pen, Tone};
use crate::views::Pick;
use crate::views::figure::{AxisFrame, Sight, Sketch, cut_wheel, draw_hub, draw_piece, draw_tyre, half_bar};
use crate::views::scene::{Scene, gap_tones, rider_tones};

/// How far a plate is shown beyond the largest thing on the screw, as a share of it.
const PLATE_SHOWN: f64 = 0.92;

pub(super) fn draw(panel: &mut Panel, scene: &Scene<'_>, pairing: &Pairing<'_>) {
    let mut sketch = Sketch::new(panel.scale());
    for side in &pairing.sides {
        plates(&mut sketch, scene, side);
        as_seen(&mut sketch, scene, side);
        cut(&mut sketch, scene, side);
    }
    sketch.into_panel(panel);
    let past = 6.0 / panel.scale();
    for side in &pairing.sides {
        let (low, high) = side.reach();
        let line = vec![DVec2::new(low - past, side.axis), DVec2::new(high + past, side.axis)];
        panel.add(Polyline::new(line, Pen::narrow(Tone::Outline).dashed(Dash::Centre)));
    }
    gap(panel, scene, pairing);
}

/// The rail's section, faint, where the paper's plane lies across it.
pub(super) fn rail(panel: &mut Panel, scene: &Scene<'_>, pairing: &Pairing<'_>) {
    let (Some((at_zero, grows)), Some(side)) = (pairing.lateral, pairing.sides.first()) else { return };
    // The section is (y, z); the plate's lateral axis is one of them and the screws' axis the other.
    let lateral_is_y = side.rider.facing.lateral().y != 0.0;
    let flat = |p: DVec2| {
        let (lateral, along) = if lateral_is_y { (p.x, p.y) } else { (p.y, p.x) };
        DVec2::new(along, grows * (lateral - at_zero))
    };
    let mut path = Path::new();
    for outline in scene.fixture.rail.outlines() {
        let points: Vec<DVec2> = outline.flattened(0.05, Side::Middle).into_iter().map(flat).collect();
        path.append(&Path::polyline(&points, true));
    }
    let pen = Pen::new(Tone::Axis, 0.5).dashed(Dash::Phantom);
    panel.add(Shape::new(path).filled(Fill::faded(Tone::Rail, 0.35)).stroked(pen)).named("rail");
}

/// Paper from (height above a level in the sense of `grows`, out from the axis), out being up on paper.
fn frame_at(side: &StackSide<'_>, level: f64, grows: f64) -> DAffine2 {
    DAffine2::from_cols(DVec2::new(side.sign * grows, 0.0), DVec2::Y, DVec2::new(side.x(level), side.axis))
}

fn plates(sketch: &mut Sketch, scene: &Scene<'_>, side: &StackSide<'_>) {
    let shown = PLATE_SHOWN * side.radius();
    for (number, (piece, place)) in side.stack.pieces.iter().zip(&side.placed.pieces).enumerate() {
        if !matches!(piece.kind, PieceKind::Plate(_)) {
            continue;
        }
        let part = side.body_of(scene, number).map(|id| Pick::Body(id).part());
        sketch.begin_part(part, Some(piece.name.as_str().into()), 0.0);
        let (x0, x1) = (side.x(place.head_side), side.x(place.tip_side));
        let (low, high) = (x0.min(x1), x0.max(x1));
        let (fill, line) = rider_tones(side.owner);
        let at = |x: f64, r: f64| DVec2::new(x, side.axis + r);
        // Broken off at its ends, in a freehand wave.
        let wave = |path: &mut Path, r: f64, from: f64, to: f64| {
            let swing = 0.25 * (to - from).abs().min(8.0);
            let x = |share: f64| from + share * (to - from);
            path.line_to(at(from, r));
            path.cubic_to(at(x(0.2), r + swing), at(x(0.35), r + swing), at(x(0.5), r));
            path.cubic_to(at(x(0.65), r - swing), at(x(0.8), r - swing), at(to, r));
        };
        let mut body = Path::new();
        wave(&mut body, -shown, low, high);
        wave(&mut body, shown, high, low);
        body.close();
        sketch.area(body, fill);
        let hole = 0.5 * piece.bore.max(side.stack.screw.diameter);
        let wall = match side.stack.end {
            // The bottom of a thread that does not go right through.
            StackEnd::Tapped { depth: Some(depth) } if number + 1 == side.stack.pieces.len() => {
                let bottom = side.x(place.head_side + side.placed.points * depth).max(low).min(high);
                if x0 <= x1 {
                    vec![at(low, hole), at(bottom, hole), at(bottom, 0.0), at(high, 0.0)]
                } else {
                    vec![at(low, 0.0), at(bottom, 0.0), at(bottom, hole), at(high, hole)]
                }
            }
            _ => vec![at(low, hole), at(high, hole)],
        };
        let mut cut = Path::polyline(&wall, false);
        wave(&mut cut, shown, high, low);
        cut.close();
        let hatch = Hatch { width_pt: 0.5, ..Hatch::section(line).spaced(sketch.hatch_spacing()) };
        let pen = sketch.edge();
        sketch.shape(Shape::new(cut).hatched(hatch).stroked(pen));
        if let (Some(insert), StackEnd::Tapped { depth }) = (side.stack.insert, side.stack.end)
            && number + 1 == side.stack.pieces.len()
        {
            // The insert's wall between the plate's hole and its thread.
            let deep = depth.unwrap_or((high - low).abs());
            let bottom = side.x(place.head_side + side.placed.points * deep).max(low).min(high);
            let (from, to) = (x0.min(bottom), x0.max(bottom));
            let wall = Rect::between(at(from, hole), at(to, (0.5 * insert.outer).max(hole)));
            let hatch =
                Hatch { width_pt: 0.5, ..Hatch::section(Tone::Outline).spaced(sketch.hatch_spacing()) };
            let pen = sketch.edge();
            let shape = Shape::new(Path::rect(wall)).filled(Tone::Hardware);
            sketch.shape(shape.hatched(hatch.leaning_back()).stroked(pen));
        }
    }
}

/// Everything from outside.
fn as_seen(sketch: &mut Sketch, scene: &Scene<'_>, side: &StackSide<'_>) {
    for (id, body) in side.bodies(scene) {
        let frame =
            AxisFrame::seen(scene, body, |_, base, grows| Some(Sight::Edge(frame_at(side, base, grows))));
        let Some(frame) = frame else { continue };
        // Nuts and heads stay as they are; they lie over what is cut.
        let depth = if is_cut(body.role) { 1.0 } else { 4.0 };
        sketch.begin(id, body, depth);
        match body.role {
            Role::Tyre => draw_tyre(sketch, &frame),
            Role::Hub => draw_hub(sketch, &frame),
            _ => draw_piece(sketch, &frame, body),
        }
    }
}

const fn is_cut(role: Role) -> bool {
    matches!(role, Role::Washer | Role::Spacer | Role::Shim | Role::Tyre | Role::Hub)
}

/// The upper half, cut.
fn cut(sketch: &mut Sketch, scene: &Scene<'_>, side: &StackSide<'_>) {
    let thread = 0.5 * side.stack.screw.diameter;
    for (id, body) in side.bodies(scene) {
        if !is_cut(body.role) || body.role == Role::Hub {
            continue;
        }
        let frame =
            AxisFrame::seen(scene, body, |_, base, grows| Some(Sight::Edge(frame_at(side, base, grows))));
        let Some(frame) = frame else { continue };
        let Sight::Edge(to_paper) = frame.sight else { continue };
        let Some(piece) = frame.piece else { continue };
        sketch.begin(id, body, 2.0);
        match &piece.kind {
            PieceKind::Wheel(wheel) => cut_wheel(sketch, wheel, frame.height, &to_paper),
            _ => {
                let outer = 0.5 * piece.outer;
                let inner = (0.5 * piece.bore).max(thread).min(outer);
                let whole = half_bar(0.0, frame.height, 0.0, outer).transformed(&to_paper);
                sketch.shape(Shape::new(whole).filled(Tone::Paper));
                let tone = if body.role == Role::Washer { Tone::Hardware } else { Tone::Spacer };
                let mut wall =
                    Shape::new(half_bar(0.0, frame.height, inner, outer).transformed(&to_paper)).filled(tone);
                // In a thin piece hatching would only be dirt.
                if sketch.shows(frame.height.min(outer - inner), 5.0) {
                    let hatch =
                        Hatch { width_pt: 0.5, ..Hatch::section(Tone::Tyre).spaced(sketch.hatch_spacing()) };
                    wall = wall.hatched(hatch.leaning_back());
                }
                let pen = sketch.edge();
                sketch.shape(wall.stroked(pen));
            }
        }
    }
    shank(sketch, side);
}

/// The screw's shank where what is cut lays it open, with its thread.
fn shank(sketch: &mut Sketch, side: &StackSide<'_>) {
    let screw = &side.stack.screw;
    let placed = side.placed;
    let radius = 0.5 * screw.diameter;
    // Up to the nut, which covers the rest; in a tapped plate to its end.
    let nut =
        side.stack.pieces.iter().zip(&placed.pieces).rfind(|(p, _)| matches!(p.kind, PieceKind::Nut { .. }));
    let end = nut.map_or(placed.tip_level, |(_, place)| place.head_side);
    let length = (end - placed.seat_level).abs();
    let to_paper = frame_at(side, placed.seat_level, placed.points);
    sketch.begin_part(None, Some(screw.name.as_str().into()), 3.0);
    let lit = (
        to_paper.transform_point2(DVec2::new(0.0, radius)),
        to_paper.transform_point2(DVec2::new(0.0, -radius)),
    );
    let path = half_bar(0.0, length, 0.0, radius).transformed(&to_paper);
    let pen = sketch.edge();
    sketch.area_with(path, Fill::round(Tone::Hardware, lit.0, lit.1), pen);
    // The thread begins where the plain shank ends; the thin line of its root (ISO 6410-1).
    let start = screw.shank;
    if let Some(shoulder) = screw.shoulder {
        let path = half_bar(0.0, start.min(length), 0.0, 0.5 * shoulder.nominal).transformed(&to_paper);
        let pen = sketch.edge();
        sketch.area_with(path, Fill::round(Tone::Hardware, lit.0, lit.1), pen);
    }
    let root = (radius - 0.6134 * screw.pitch).max(0.5 * radius);
    if start < length {
        let mut thread = Path::line(DVec2::new(start.max(0.0), root), DVec2::new(length, root));
        if start > 0.0 {
            thread.append(&Path::line(DVec2::new(start, 0.0), DVec2::new(start, radius)));
        }
        sketch.detail(thread.transformed(&to_paper), Pen::new(Tone::Outline, 0.4));
    }
}

/// The gap between the two faces, or their overlap.
fn gap(panel: &mut Panel, scene: &Scene<'_>, pairing: &Pairing<'_>) {
    if let (Some([p, q]), Some(gap), false) = (pairing.witness, pairing.gap, pairing.along_the_screws()) {
        // Aside or aslant: the shortest way between the two.
        let (line, _, word) = gap_tones(gap, pairing.asked);
        let pen = Pen::new(line, 1.6);
        let item = panel.add(Polyline::new(vec![p, q], pen).ends(End::Bar, End::Bar));
        item.part(Pick::Gap.part()).named(word);
        return;
    }
    let (Some((x0, x1)), Some(gap), Some(bodies)) = (pairing.faces(scene), pairing.gap, pairing.bodies)
    else {
        return;
    };
    let reach = |id, side: &StackSide<'_>| {
        let radius = scene
            .body(id)
            .and_then(|body| AxisFrame::seen(scene, body, |_, _, _| Some(Sight::Edge(DAffine2::IDENTITY))));
        let radius = radius.map_or(1.0, |frame| frame.radius.max(0.5));
        (side.axis - radius, side.axis + radius)
    };
    let [a, b] = &pairing.sides[..] else { return };
    let (a, b) = (reach(bodies.0, a), reach(bodies.1, b));
    let (low, high) = (a.0.max(b.0), a.1.min(b.1));
    if low >= high {
        return;
    }
    let (line, fill, word) = gap_tones(gap, pairing.asked);
    let path = Path::rect(Rect::between(DVec2::new(x0, low), DVec2::new(x1, high)));
    let mut shape = Shape::new(path).filled(Fill::faded(fill, 0.75)).stroked(Pen::new(line, 0.8));
    if x1 < x0 {
        shape = shape.hatched(Hatch { width_pt: 0.7, ..Hatch::section(line).spaced(3.0) }.crossed());
    }
    panel.add(shape).part(Pick::Gap.part()).named(word);
}
