//! How far the axles of each rider stand apart, and how far its plate is off the rail's centre: a line each, one outside the
//! other.

use glam::DVec2;
use glidewright_motion::StackOf;

use crate::drawing::{Dimension, DimensionKind, Panel, Rect};
use crate::page::figure_box;
use crate::views::projection::Projector;
use crate::views::scene::Scene;

/// From the picture to its first dimension line, and from one line to the next (pt).
const FIRST_PT: f64 = 12.0;
const STEP_PT: f64 = 13.0;
/// What a line takes beyond itself, for its figure (pt).
const BEYOND_PT: f64 = 10.0;

/// The edge of the picture a dimension stands along.
#[derive(Clone, Copy, PartialEq)]
enum Edge {
    Left,
    Right,
    Top,
    Bottom,
}

/// A dimension between two places of the picture (mm).
pub(super) struct Size {
    from: DVec2,
    to: DVec2,
    edge: Edge,
    /// How many lines stand between it and the picture.
    line: usize,
    text: String,
}

/// All dimensions, what is alike once. `world` is what the picture takes (mm).
pub(super) fn of(scene: &Scene<'_>, view: &Projector, world: &Rect) -> Vec<Size> {
    let mut sizes: Vec<Size> = Vec::new();
    let mut add = |from: DVec2, to: DVec2, edge: Edge, text: String| {
        let across = matches!(edge, Edge::Top | Edge::Bottom);
        let run = |a: DVec2, b: DVec2| if across { [a.x, b.x] } else { [a.y, b.y] };
        let alike = |size: &Size| {
            let (own, other) = (run(from, to), run(size.from, size.to));
            size.text == text && (own[0] - other[0]).abs() < 0.01 && (own[1] - other[1]).abs() < 0.01
        };
        let beside = sizes.iter().filter(|size| size.edge == edge);
        if from.is_finite() && to.is_finite() && !beside.clone().any(alike) {
            let line = beside.count();
            sizes.push(Size { from, to, edge, line, text });
        }
    };
    for (rider, placed) in scene.fixture.riders.iter().zip(&scene.results.assembly.riders) {
        let outward = view.flat(rider.facing.outward());
        let lateral = view.flat(rider.facing.lateral());
        // Two wheels of one row, on both sides of the rail.
        let wheels = placed.stacks.iter().filter(|s| matches!(s.of, StackOf::Wheel(_)));
        let mut row: Vec<_> = wheels.collect();
        let Some(first) = row.first().map(|s| s.at.x) else { continue };
        row.retain(|s| (s.at.x - first).abs() < 1e-6);
        row.sort_by(|a, b| a.at.y.total_cmp(&b.at.y));
        let (Some(a), Some(b)) = (row.first(), row.last()) else { continue };
        let at = |stack: &glidewright_motion::PlacedStack| {
            lateral * stack.at.y + outward * stack.head_level.max(stack.tip_level)
        };
        let spacing = b.at.y - a.at.y;
        if spacing > 1.0 {
            let edge = match (lateral.x.abs() > 0.5, outward.y > 0.0, outward.x > 0.0) {
                (true, true, _) => Edge::Top,
                (true, false, _) => Edge::Bottom,
                (false, _, true) => Edge::Right,
                (false, _, false) => Edge::Left,
            };
            add(at(a), at(b), edge, format!("axles {}", scene.bare(spacing, 2)));
        }
        if let Some(plate) = placed.plates.first()
            && plate.inner.is_finite()
            && lateral.x.abs() > 0.5
        {
            let from = DVec2::new(world.max.x, 0.0);
            let to = DVec2::new(world.max.x, outward.y * plate.inner);
            add(from, to, Edge::Right, scene.bare(plate.inner, 2));
        }
    }
    sizes
}

/// What they take beside the picture, on its low and its high edges (pt).
pub(super) fn room(sizes: &[Size]) -> [DVec2; 2] {
    let along = |edge: Edge| {
        let lines = sizes.iter().filter(|size| size.edge == edge).count();
        if lines == 0 { 0.0 } else { FIRST_PT + STEP_PT * (lines - 1) as f64 + BEYOND_PT }
    };
    // The panel's y runs down.
    [DVec2::new(along(Edge::Left), along(Edge::Top)), DVec2::new(along(Edge::Right), along(Edge::Bottom))]
}

/// Draws them beside what the picture takes (mm); what their figures take on the panel (pt).
pub(super) fn draw(panel: &mut Panel, sizes: &[Size], world: &Rect) -> Vec<Rect> {
    let mut taken = Vec::new();
    for Size { from, to, edge, line, text } in sizes {
        let (from, to) = (*from, *to);
        let edge_to = match edge {
            Edge::Left => from.x - world.min.x,
            Edge::Right => world.max.x - from.x,
            Edge::Top => world.max.y - from.y,
            Edge::Bottom => from.y - world.min.y,
        };
        let away = edge_to * panel.scale() + FIRST_PT + STEP_PT * *line as f64;
        let kind = match edge {
            Edge::Left => DimensionKind::Vertical { from, to, offset_pt: -away },
            Edge::Right => DimensionKind::Vertical { from, to, offset_pt: away },
            Edge::Top => DimensionKind::Horizontal { from, to, offset_pt: -away },
            Edge::Bottom => DimensionKind::Horizontal { from, to, offset_pt: away },
        };
        let dimension = Dimension::new(kind, text.as_str());
        taken.extend(figure_box(panel, &dimension));
        panel.add(dimension);
    }
    taken
}
