//! The rail: from the side with its grooves, along it as its section.

use glam::{DAffine2, DVec2, DVec3};
use glidewright_geometry::Side;
use glidewright_motion::Rail;

use super::Sketch;
use crate::drawing::{Path, Rect, Shape};
use crate::look::{Fill, Hatch, Tone};
use crate::views::projection::Projector;

/// Chords of the section stand at most this far from its arcs (mm).
const CHORD: f64 = 0.1;
/// A face this far (mm) behind the foremost one is drawn in shade.
const IN_SHADE: f64 = 0.6;

/// Draws the rail's body.
pub(in crate::views) fn draw_rail(sketch: &mut Sketch, rail: &Rail, view: &Projector) {
    if view.is_end_on(DVec3::X) {
        draw_section(sketch, rail, &view.plane(DVec3::ZERO, DVec3::Y, DVec3::Z));
        return;
    }
    let across = view.across();
    // In the section's plane: where across the paper, and how near the reader.
    let seen = |p: DVec2| {
        let point = DVec3::new(0.0, p.x, p.y);
        DVec2::new(point.dot(across), view.depth(point))
    };
    if !(rail.length > 0.0 && rail.length.is_finite()) {
        return;
    }
    let mut bars: Vec<Vec<DVec2>> = rail
        .bars
        .iter()
        .map(|bar| bar.outer.flattened(CHORD, Side::Middle).into_iter().map(seen).collect())
        .collect();
    let depth = |bar: &Vec<DVec2>| bar.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
    // What lies nearer the reader hides what lies behind it.
    bars.sort_by(|a, b| depth(a).total_cmp(&depth(b)));
    for outline in bars {
        draw_bar(sketch, rail.length, &outline, |x, a| view.flat(DVec3::X * x + across * a));
    }
}

/// One bar from the side: `outline` is its section, across the paper and towards the reader (mm); `at` the paper's point of
/// a place along the rail and across it.
fn draw_bar(sketch: &mut Sketch, length: f64, outline: &[DVec2], at: impl Fn(f64, f64) -> DVec2) {
    let Some(reach) = Rect::round(outline.iter().copied()) else { return };
    let band = |from: f64, to: f64| Rect::between(at(0.0, from), at(length, to));
    sketch.area(Path::rect(band(reach.min.x, reach.max.x)), Tone::Rail);
    let faces = faces(outline, 0.5 / sketch.scale);
    for face in &faces {
        if reach.max.y - face.depth > IN_SHADE && sketch.shows(face.to - face.from, 0.6) {
            let deep = ((reach.max.y - face.depth) / 8.0).clamp(0.3, 1.0);
            sketch.shape(
                Shape::new(Path::rect(band(face.from, face.to))).filled(Fill::faded(Tone::RailShade, deep)),
            );
        }
    }
    let mut edges = Path::new();
    for pair in faces.windows(2) {
        let at_edge = pair[0].to;
        edges.append(&Path::line(at(0.0, at_edge), at(length, at_edge)));
    }
    let pen = sketch.edge();
    sketch.detail(edges, pen);
    // The outline once more, over the shades.
    let pen = sketch.outline();
    sketch.detail(Path::rect(band(reach.min.x, reach.max.x)), pen);
}

/// The section, cut: hatched, with its holes.
pub(in crate::views) fn draw_section(sketch: &mut Sketch, rail: &Rail, to_paper: &DAffine2) {
    let mut path = Path::new();
    for bar in &rail.bars {
        path.append(&Path::outline_with_holes(&bar.outer, &bar.holes).transformed(to_paper));
    }
    let pen = sketch.outline();
    let spacing = (1.1 * sketch.scale).clamp(3.0, 6.0);
    sketch.shape(
        Shape::new(path)
            .filled(Tone::Rail)
            .hatched(Hatch { width_pt: 0.4, ..Hatch::section(Tone::Outline).spaced(spacing) })
            .stroked(pen),
    );
}

/// A face of the rail as the reader sees it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Face {
    pub(super) from: f64,
    pub(super) to: f64,
    /// How near the reader its middle is.
    depth: f64,
    /// Direction of the edge it belongs to.
    slope: DVec2,
}

/// What is seen of an outline, given as (across, near): its foremost edges from one side to the other.
/// Neighbours that differ by less than `least` (mm) in width, or hardly in slope, become one.
pub(super) fn faces(outline: &[DVec2], least: f64) -> Vec<Face> {
    let mut stops: Vec<f64> = outline.iter().map(|p| p.x).collect();
    stops.sort_by(f64::total_cmp);
    stops.dedup_by(|next, kept| (*next - *kept).abs() < 1e-6);
    let edges = || outline.iter().zip(outline.iter().cycle().skip(1));
    let mut faces: Vec<Face> = Vec::with_capacity(stops.len());
    for stop in stops.windows(2) {
        let (from, to) = (stop[0], stop[1]);
        let middle = 0.5 * (from + to);
        let front = edges()
            .filter(|(a, b)| (a.x < middle) != (b.x < middle))
            .map(|(a, b)| (a.y + (b.y - a.y) * (middle - a.x) / (b.x - a.x), (*b - *a).normalize_or_zero()))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let Some((depth, slope)) = front else { continue };
        match faces.last_mut() {
            // Chords of one rounding, slivers, and stretches of the same face.
            Some(last)
                if to - from < least
                    || (last.slope.perp_dot(slope).abs() < 0.2 && (last.depth - depth).abs() < 0.3) =>
            {
                last.to = to;
            }
            _ => faces.push(Face { from, to, depth, slope }),
        }
    }
    faces
}
