//! Wheels with their bearings.

use glam::{DAffine2, DVec2};
use glidewright_motion::{PieceKind, Running, Wheel, WheelProfile, inner_ring_radius};

use super::Sketch;
use super::axis::{AxisFrame, Sight};
use super::silhouette::bar_edges;
use crate::drawing::{Path, Rect, Shape};
use crate::look::{Fill, Hatch, Tone};

/// Share of the way from bore to outer ring that the inner ring takes, as the assembly has it.
pub(in crate::views) const INNER_RING_SHARE: f64 = 0.3;

/// Half the profile of a tyre: (from the mid-plane, from the axle), from one side to the other (mm).
pub(in crate::views) fn tyre_profile(wheel: &Wheel) -> Vec<DVec2> {
    /// Chords leave arcs by this (mm): a hair's breadth on paper even when much enlarged.
    const SAGITTA: f64 = 0.01;
    WheelProfile::new(wheel).map(|profile| profile.corners(SAGITTA)).unwrap_or_default()
}

fn wheel_of<'a>(frame: &AxisFrame<'a>) -> Option<&'a Wheel> {
    match &frame.piece?.kind {
        PieceKind::Wheel(wheel) => Some(wheel),
        _ => None,
    }
}

/// Draws the turning part of a wheel.
pub(in crate::views) fn draw_tyre(sketch: &mut Sketch, frame: &AxisFrame<'_>) {
    let Some(wheel) = wheel_of(frame) else { return };
    match frame.sight {
        Sight::Edge(to_paper) => from_the_side(sketch, frame, wheel, &to_paper),
        Sight::End { centre, .. } => end_on(sketch, wheel, centre),
    }
}

fn from_the_side(sketch: &mut Sketch, frame: &AxisFrame<'_>, wheel: &Wheel, to_paper: &DAffine2) {
    let profile = tyre_profile(wheel);
    let middle = 0.5 * frame.height;
    let upper = profile.iter().map(|p| DVec2::new(middle + p.x, p.y));
    let lower = profile.iter().rev().map(|p| DVec2::new(middle + p.x, -p.y));
    let outline: Vec<DVec2> = upper.chain(lower).collect();
    let lit = bar_edges(to_paper, wheel.outer_radius.nominal);
    sketch.area(Path::polyline(&outline, true).transformed(to_paper), Fill::round(Tone::Tyre, lit.0, lit.1));
    // Where flank and tip meet there is an edge all round.
    if let (Running::Vee { .. }, true) = (wheel.running, sketch.shows(wheel.width, 5.0)) {
        let mut edges = Path::new();
        for p in profile.iter().skip(1).take(profile.len().saturating_sub(2)) {
            let x = middle + p.x;
            edges.append(&Path::line(DVec2::new(x, -p.y), DVec2::new(x, p.y)));
        }
        let pen = sketch.edge();
        sketch.detail(edges.transformed(to_paper), pen);
    }
}

fn end_on(sketch: &mut Sketch, wheel: &Wheel, centre: DVec2) {
    sketch.area(Path::circle(centre, wheel.outer_radius.nominal), Tone::Tyre);
    let foot = tyre_profile(wheel).first().map_or(0.0, |p| p.y);
    let pen = sketch.edge();
    if sketch.shows(wheel.outer_radius.nominal - foot, 1.5) {
        sketch.detail(Path::circle(centre, foot), pen);
    }
    let bearing = &wheel.bearing;
    let (bore, outer) = (0.5 * bearing.bore, 0.5 * bearing.outer);
    let ring = |share: f64| bore + share * (outer - bore);
    if !sketch.shows(outer, 2.5) {
        return;
    }
    sketch.area_with(Path::circle(centre, outer), Tone::Bearing, pen);
    if sketch.shows(outer, 7.0) {
        let mut rings = Path::circle(centre, inner_ring_radius(bearing));
        rings.append(&Path::circle(centre, ring(1.0 - INNER_RING_SHARE)));
        if sketch.shows(outer, 14.0) {
            // Seven balls, as small deep-groove bearings have (common practice, no source).
            let (pitch, ball) = (ring(0.5), 0.25 * (outer - bore));
            for i in 0..7 {
                let turn = DVec2::from_angle(std::f64::consts::TAU * f64::from(i) / 7.0 + 0.3);
                rings.append(&Path::circle(centre + turn * pitch, ball));
            }
        }
        sketch.detail(rings, pen);
    }
    sketch.area_with(Path::circle(centre, bore), Tone::Hardware, pen);
}

/// Draws the still part of a wheel: the inner rings where they stand out of the tyre.
pub(in crate::views) fn draw_hub(sketch: &mut Sketch, frame: &AxisFrame<'_>) {
    let Some(wheel) = wheel_of(frame) else { return };
    // Seen end-on the rings are part of the wheel's face.
    let Sight::Edge(to_paper) = frame.sight else { return };
    let bearing = &wheel.bearing;
    let radius = inner_ring_radius(bearing);
    let stub = 0.5 * (frame.height - wheel.width);
    if stub <= 0.0 {
        return;
    }
    let lit = bar_edges(&to_paper, radius);
    let pen = sketch.edge();
    for from in [0.0, frame.height - stub] {
        let path = Path::polyline(
            &[
                DVec2::new(from, -radius),
                DVec2::new(from + stub, -radius),
                DVec2::new(from + stub, radius),
                DVec2::new(from, radius),
            ],
            true,
        );
        sketch.area_with(path.transformed(&to_paper), Fill::round(Tone::Bearing, lit.0, lit.1), pen);
    }
}

/// Half a wheel, cut: tyre, outer and inner rings, balls. `to_paper` maps (along the axle from one end of the
/// hub, out from the axle).
pub(in crate::views) fn cut_wheel(sketch: &mut Sketch, wheel: &Wheel, height: f64, to_paper: &DAffine2) {
    let bearing = &wheel.bearing;
    let (bore, outer) = (0.5 * bearing.bore, (0.5 * bearing.outer).min(wheel.outer_radius.nominal));
    let middle = 0.5 * height;
    let half = 0.5 * wheel.width;
    let profile = tyre_profile(wheel);
    let reach = half.max(middle);
    let clear = half_bar(middle - reach, middle + reach, 0.0, outer);
    let pen = sketch.edge();
    sketch.shape(Shape::new(clear.transformed(to_paper)).filled(Tone::Paper));
    // The tyre, from its profile down to the bearings' seat, with the rib between the bearings.
    let count = wheel.bearings.clamp(1, 4);
    let width = bearing.width.min(height / f64::from(count));
    let mut tyre: Vec<DVec2> = profile.iter().map(|p| DVec2::new(middle + p.x, p.y)).collect();
    tyre.push(DVec2::new(middle + half, outer));
    let rib = 0.5 * height - width;
    if count == 2 && rib > 0.05 {
        let low = outer - 0.2 * (outer - bore);
        let rib = rib.min(half);
        for (x, r) in [(rib, outer), (rib, low), (-rib, low), (-rib, outer)] {
            tyre.push(DVec2::new(middle + x, r));
        }
    }
    tyre.push(DVec2::new(middle - half, outer));
    let hatch = Hatch { width_pt: 0.5, ..Hatch::section(Tone::Bearing).spaced(sketch.hatch_spacing()) };
    let shape =
        Shape::new(Path::polyline(&tyre, true).transformed(to_paper)).filled(Tone::Tyre).hatched(hatch);
    let wide = sketch.outline();
    sketch.shape(shape.stroked(wide));
    let ring = |share: f64| bore + share * (outer - bore);
    for number in 0..count {
        let from = if count == 1 {
            middle - 0.5 * width
        } else {
            f64::from(number) * (height - width) / f64::from(count - 1)
        };
        for (inner, outer) in [(bore, ring(0.3)), (ring(0.7), outer)] {
            let path = half_bar(from, from + width, inner, outer).transformed(to_paper);
            let mut shape = Shape::new(path).filled(Tone::Bearing);
            if sketch.shows(outer - inner, 4.0) {
                let hatch = Hatch { width_pt: 0.4, ..Hatch::section(Tone::Tyre).spaced(3.0) };
                shape = shape.hatched(hatch.leaning_back());
            }
            sketch.shape(shape.stroked(pen));
        }
        let ball = (0.28 * (outer - bore)).min(0.42 * width);
        let centre = to_paper.transform_point2(DVec2::new(from + 0.5 * width, ring(0.5)));
        sketch.area_with(Path::circle(centre, ball), Tone::Paper, pen);
    }
}

/// Half a bar or tube cut along its axis: (along the axis, out from it).
pub(in crate::views) fn half_bar(from: f64, to: f64, inner: f64, outer: f64) -> Path {
    Path::rect(Rect::between(DVec2::new(from, inner), DVec2::new(to, outer)))
}
