//! Bodies of convex solids, drawn.

use glam::DVec3;
use glidewright_geometry::Solid;
use glidewright_motion::{Body, Extruded};

use super::extruded::extruded_silhouette;
use super::silhouette::{Silhouette, silhouette};
use super::sketch::Sketch;
use crate::drawing::Shape;
use crate::look::{Fill, Hatch, Tone};
use crate::page::cut_fill;
use crate::views::projection::Projector;

/// Draws a body's solids shifted by `home`, nearest the reader last.
pub(in crate::views) fn draw_solids(
    sketch: &mut Sketch,
    view: &Projector,
    body: &Body,
    home: DVec3,
    tone: Tone,
) {
    for seen in silhouettes(view, body, home, sketch.scale) {
        let fill = seen.bar.map_or(Fill::flat(tone), |(lit, dark)| Fill::round(tone, lit, dark));
        sketch.area(seen.path, fill);
        if let Some(edges) = seen.edges {
            let pen = sketch.edge();
            sketch.detail(edges, pen);
        }
    }
}

/// Draws what stands fixed: hatched, and so thin a wash that what passes behind it still shows.
pub(in crate::views) fn draw_fixed(sketch: &mut Sketch, view: &Projector, body: &Body, tone: Tone) {
    let pen = sketch.outline();
    let window = sketch.window;
    for seen in silhouettes(view, body, DVec3::ZERO, sketch.scale) {
        let path = match (window, seen.path.bounds()) {
            (Some(window), Some(bounds)) if !window.holds(&bounds) => cut_fill(&seen.path, &window),
            _ => seen.path,
        };
        if path.is_empty() {
            continue;
        }
        let hatch = Hatch { width_pt: 0.35, ..Hatch::section(Tone::Axis).spaced(5.0).leaning_back() };
        let shape = Shape::new(path).filled(Fill::faded(tone, 0.6)).hatched(hatch);
        sketch.shape(shape.stroked(pen));
    }
}

/// A body's solids shifted by `home` on paper at some points per millimetre, the farthest first.
pub(in crate::views) fn silhouettes(
    view: &Projector,
    body: &Body,
    home: DVec3,
    scale: f64,
) -> Vec<Silhouette> {
    let near = |solid: &Solid| solid.support(view.toward).map_or(0.0, |p| view.depth(p));
    let whole = body.extruded.iter().map(|own| {
        let pieces = own.own(&body.solids);
        let depth = pieces.iter().map(near).fold(f64::NEG_INFINITY, f64::max);
        (depth, extruded_silhouette(view, own, pieces, home, scale))
    });
    let single = Extruded::others(&body.extruded, &body.solids)
        .map(|solid| (near(solid), silhouette(view, solid, home)));
    let mut seen: Vec<(f64, Silhouette)> =
        whole.chain(single).filter_map(|(depth, seen)| Some((depth, seen?))).collect();
    seen.sort_by(|a, b| a.0.total_cmp(&b.0));
    seen.into_iter().map(|(_, seen)| seen).collect()
}
