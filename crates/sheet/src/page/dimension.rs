//! Laying out dimensions on paper.
//!
//! After ISO 129-1 (from memory): narrow lines; extension lines start a small gap off the feature and
//! reach a little past the dimension line; filled arrowheads; text parallel to and above the line, so
//! that it reads from below or from the right; where room is short arrowheads move outside the
//! extension lines, then the text beside them over the lengthened line.

use std::f64::consts::TAU;

use glam::DVec2;

use super::TextInk;
use super::glyph::arrow;
use super::out::Out;
use crate::drawing::{CentreCross, Dimension, DimensionKind, Panel, Path, Rect};
use crate::look::{CAP_HEIGHT, Dash, Face, Fill, Pen, Tone, Weight};

/// Length of arrowheads (pt).
const ARROW: f64 = 6.5;
/// Between a feature and its extension line (pt).
const GAP: f64 = 1.5;
/// How far extension lines pass the dimension line (pt).
const PAST: f64 = 2.5;
/// Between the dimension line and the text's baseline (pt).
const RAISE: f64 = 2.0;
/// How far the plate that keeps text readable passes it on either side (pt): less than the text keeps
/// from extension lines.
const PLATE_SIDE: f64 = 1.0;

pub fn lower(out: &mut Out, dimension: &Dimension) {
    if let Some(laid) = Laid::of(out.panel(), dimension) {
        linear(out, dimension, laid);
        return;
    }
    let pt = |p: DVec2| out.panel().pt(p);
    match dimension.kind {
        DimensionKind::Horizontal { .. } | DimensionKind::Vertical { .. } | DimensionKind::Aligned { .. } => {
        }
        DimensionKind::Radius { centre, radius, angle } => {
            let (c, tip) = (pt(centre), pt(centre + radius * DVec2::from_angle(angle)));
            radial(out, dimension, c, tip, false);
        }
        DimensionKind::Diameter { centre, radius, angle } => {
            let (c, tip) = (pt(centre), pt(centre + radius * DVec2::from_angle(angle)));
            radial(out, dimension, c, tip, true);
        }
        DimensionKind::Angle { vertex, from, to, radius_pt } => {
            angular(out, dimension, vertex, [from, to], radius_pt);
        }
        DimensionKind::Leader { tip, elbow_pt, dot } => {
            let tip = pt(tip);
            leader(out, dimension, tip, tip + elbow_pt, dot);
        }
    }
}

fn pen(d: &Dimension) -> Pen {
    Pen::narrow(d.tone)
}

fn text(d: &Dimension, at: DVec2, along: f64, run: DVec2) -> TextInk {
    TextInk {
        text: d.text.clone(),
        at,
        along,
        size_pt: d.size_pt,
        face: Face::Condensed,
        weight: Weight::Regular,
        tone: d.tone,
        turn: (-run.y).atan2(run.x),
    }
}

fn set(out: &mut Out, ink: TextInk) {
    if !ink.text.trim().is_empty() {
        out.plate(&ink, Tone::Paper, PLATE_SIDE);
        out.text(ink);
    }
}

/// The direction in which text along a line reads: to the right, or upwards.
fn reading(run: DVec2) -> DVec2 {
    // A line within a thousandth of upright counts as upright.
    if run.x > 1e-3 || (run.x.abs() <= 1e-3 && run.y < 0.0) { run } else { -run }
}

/// The side on which text stands above a line that reads in this direction (y down).
fn above(reading: DVec2) -> DVec2 {
    DVec2::new(reading.y, -reading.x)
}

fn head(out: &mut Out, d: &Dimension, tip: DVec2, direction: DVec2) {
    out.fill(arrow(tip, direction, ARROW), Fill::flat(d.tone));
}

/// A dimension between two points as it lies on paper (pt).
struct Laid {
    feature: [DVec2; 2],
    /// The ends of its line, as the feature's in reading order, and the direction in which it reads.
    ends: [DVec2; 2],
    run: DVec2,
    arrows_inside: bool,
    /// The line with what it is lengthened by.
    line: [DVec2; 2],
    figure: TextInk,
}

impl Laid {
    /// `None` for a dimension of another kind.
    fn of(panel: &Panel, d: &Dimension) -> Option<Self> {
        let pt = |p: DVec2| panel.pt(p);
        Some(match d.kind {
            DimensionKind::Horizontal { from, to, offset_pt } => {
                let (a, b) = (pt(from), pt(to));
                let y = if offset_pt < 0.0 { a.y.min(b.y) } else { a.y.max(b.y) } + offset_pt;
                Self::between(d, [a, b], [DVec2::new(a.x, y), DVec2::new(b.x, y)], DVec2::X)
            }
            DimensionKind::Vertical { from, to, offset_pt } => {
                let (a, b) = (pt(from), pt(to));
                let x = if offset_pt < 0.0 { a.x.min(b.x) } else { a.x.max(b.x) } + offset_pt;
                Self::between(d, [a, b], [DVec2::new(x, a.y), DVec2::new(x, b.y)], DVec2::NEG_Y)
            }
            DimensionKind::Aligned { from, to, offset_pt } => {
                let (a, b) = (pt(from), pt(to));
                let run = (b - a).try_normalize().unwrap_or(DVec2::X);
                // To the right of the walk as seen with y down.
                let off = run.perp() * offset_pt;
                Self::between(d, [a, b], [a + off, b + off], run)
            }
            _ => return None,
        })
    }

    /// Between two points, with its line between two others; `fallback` is its direction when it has no length.
    fn between(d: &Dimension, feature: [DVec2; 2], line: [DVec2; 2], fallback: DVec2) -> Self {
        let length = line[0].distance(line[1]);
        let run = reading((line[1] - line[0]).try_normalize().unwrap_or(fallback));
        // Both ends in reading order.
        let is_turned = (line[1] - line[0]).dot(run) < 0.0;
        let in_order = |[a, b]: [DVec2; 2]| if is_turned { [b, a] } else { [a, b] };
        let (feature, [start, end]) = (in_order(feature), in_order(line));
        let ink = text(d, DVec2::ZERO, 0.5, run);
        let width = ink.width();
        let arrows_inside = length >= 2.0 * ARROW + 3.0;
        let text_inside = length >= width + 2.0 * PLATE_SIDE + 1.0;
        let blunt = 0.7 * ARROW;
        let (mut from, mut to) = if arrows_inside {
            (start + run * blunt, end - run * blunt)
        } else {
            (start - run * (2.0 * ARROW), end + run * (2.0 * ARROW))
        };
        let (at, along) = if text_inside {
            (0.5 * (start + end), 0.5)
        } else {
            let first = end + run * if arrows_inside { PAST + 1.0 } else { ARROW + 1.5 };
            let last = first + run * width;
            if (last - to).dot(run) > 0.0 {
                to = last;
            }
            (first, 0.0)
        };
        if (to - from).dot(run) < 0.0 {
            (from, to) = (to, from);
        }
        let figure = TextInk { at: at + above(run) * RAISE, along, ..ink };
        Self { feature, ends: [start, end], run, arrows_inside, line: [from, to], figure }
    }
}

/// What the figure of a dimension between two points takes on paper (pt); `None` for other kinds, and where it is nowhere.
pub(crate) fn figure_box(panel: &Panel, dimension: &Dimension) -> Option<Rect> {
    Rect::round(Laid::of(panel, dimension)?.figure.corners()).filter(Rect::is_finite)
}

fn linear(out: &mut Out, d: &Dimension, laid: Laid) {
    let Laid { feature, ends: [start, end], run, arrows_inside, line: [from, to], figure } = laid;
    let pen = pen(d);
    for (feature, on_line) in feature.into_iter().zip([start, end]) {
        if let Some(away) = (on_line - feature).try_normalize()
            && feature.distance(on_line) > GAP
        {
            out.stroke(Path::line(feature + away * GAP, on_line + away * PAST), pen);
        }
    }
    let outwards = if arrows_inside { 1.0 } else { -1.0 };
    head(out, d, start, -run * outwards);
    head(out, d, end, run * outwards);
    out.stroke(Path::line(from, to), pen);
    set(out, figure);
}

/// A radius or a diameter towards a point on the circle.
fn radial(out: &mut Out, d: &Dimension, centre: DVec2, tip: DVec2, whole: bool) {
    let pen = pen(d);
    let radius = centre.distance(tip);
    let outward = (tip - centre).try_normalize().unwrap_or(DVec2::X);
    let run = reading(outward);
    let ink = text(d, DVec2::ZERO, 0.5, run);
    let width = ink.width();
    let blunt = 0.7 * ARROW;
    let room = if whole { 2.0 * radius } else { radius };
    if room < width + f64::from(1 + u8::from(whole)) * ARROW + 4.0 {
        // No room inside: the arrowhead comes from outside, the text on a shelf.
        leader(out, d, tip, tip + outward * (2.0 * ARROW), false);
        return;
    }
    head(out, d, tip, outward);
    let far = if whole {
        let far = centre - outward * radius;
        head(out, d, far, -outward);
        far + outward * blunt
    } else {
        centre
    };
    out.stroke(Path::line(far, tip - outward * blunt), pen);
    // A diameter's text keeps off the centre, where the centre lines cross, if half the line has room.
    let middle = if !whole || radius >= width + ARROW + 6.0 {
        centre + outward * (0.5 * (radius - if whole { ARROW } else { 0.0 }))
    } else {
        centre
    };
    set(out, TextInk { at: middle + above(run) * RAISE, ..ink });
}

fn angular(out: &mut Out, d: &Dimension, vertex: DVec2, legs: [f64; 2], radius: f64) {
    let v = out.panel().pt(vertex);
    let on_paper = |angle: f64| {
        let p = out.panel().pt_from_world.transform_vector2(DVec2::from_angle(angle));
        p.y.atan2(p.x)
    };
    let [first, second] = legs.map(on_paper);
    if !(radius.is_finite() && radius > 0.0 && first.is_finite() && second.is_finite()) {
        return;
    }
    // Counter-clockwise in the world may be either sense on paper.
    let sense = if out.panel().pt_from_world.matrix2.determinant() < 0.0 { -1.0 } else { 1.0 };
    let sweep = ((second - first) * sense).rem_euclid(TAU) * sense;
    let pen = pen(d);
    for leg in [first, second] {
        out.stroke(Path::line(v, v + DVec2::from_angle(leg) * (radius + PAST)), pen);
    }
    let point = |angle: f64| v + DVec2::from_angle(angle) * radius;
    let along = |angle: f64| DVec2::from_angle(angle).perp() * sense;
    let length = sweep.abs() * radius;
    let inside = length >= 2.0 * ARROW + 3.0;
    // The head follows the arc: it points along the chord of its own length.
    let half_head = 0.5 * ARROW / radius * sense;
    let (mut from, mut to) = (first, first + sweep);
    if inside {
        head(out, d, point(from), -along(from + half_head));
        head(out, d, point(to), along(to - half_head));
        (from, to) = (from + 1.4 * half_head, to - 1.4 * half_head);
    } else {
        head(out, d, point(from), along(from - half_head));
        head(out, d, point(to), -along(to + half_head));
        (from, to) = (from - 4.0 * half_head, to + 4.0 * half_head);
    }
    let mut arc = Path::new();
    arc.arc(v, radius, from, to - from);
    out.stroke(arc, pen);
    let ink = text(d, DVec2::ZERO, 0.5, DVec2::X);
    let out_by = if length >= ink.width() + 2.0 * ARROW + 2.0 { 0.0 } else { 0.5 * ink.width() + 5.0 };
    let middle = v + DVec2::from_angle(first + 0.5 * sweep) * (radius + out_by);
    set(out, TextInk { at: middle + DVec2::new(0.0, 0.5 * CAP_HEIGHT * d.size_pt), ..ink });
}

/// A line from a point to a shelf with the text above it.
fn leader(out: &mut Out, d: &Dimension, tip: DVec2, elbow: DVec2, dot: bool) {
    let ink = text(d, DVec2::ZERO, 0.0, DVec2::X);
    let to_left = elbow.x < tip.x;
    let shelf = elbow + DVec2::new(if to_left { -1.0 } else { 1.0 } * (ink.width() + 3.0), 0.0);
    let mut start = tip;
    if let Some(inward) = (tip - elbow).try_normalize() {
        if dot {
            out.fill(Path::circle(tip, 1.3), Fill::flat(d.tone));
        } else {
            head(out, d, tip, inward);
            start = tip - inward * (0.7 * ARROW).min(tip.distance(elbow));
        }
    }
    out.stroke(Path::polyline(&[start, elbow, shelf], false), pen(d));
    let left = if to_left { shelf } else { elbow };
    set(out, TextInk { at: left + DVec2::new(1.5, -RAISE), ..ink });
}

/// How far centre lines pass the circle (pt).
const CROSS_PAST: f64 = 3.0;
/// Arms shorter than this are drawn solid (pt): a long dash would not end in them.
const CROSS_SOLID: f64 = 16.0;

pub fn centre_cross(out: &mut Out, cross: &CentreCross) {
    let centre = out.panel().pt(cross.centre);
    for axis in [DVec2::X, DVec2::Y, DVec2::NEG_X, DVec2::NEG_Y] {
        let arm = out.panel().pt_from_world.transform_vector2(axis * cross.radius);
        let Some(direction) = arm.try_normalize() else { continue };
        let length = arm.length() + CROSS_PAST;
        let dash = if length < CROSS_SOLID { Dash::Solid } else { Dash::Centre };
        // Each arm starts in the middle of a long dash, so that the lines cross in dashes.
        let offset = 0.5 * dash.pattern(Pen::NARROW_PT).first().copied().unwrap_or(0.0);
        let pen = Pen::narrow(Tone::Outline).dashed(dash);
        out.stroke_from(Path::line(centre, centre + direction * length), pen, offset);
    }
}
