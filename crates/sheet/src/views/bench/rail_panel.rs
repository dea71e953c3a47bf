//! The rail with everything on it.

use glam::{DVec2, DVec3};
use glidewright_geometry::Side;
use glidewright_motion::{Owner, Role};

use super::layout::Layout;
use super::notes;
use crate::drawing::{Dimension, DimensionKind, Label, Panel, Path, Polyline, Rect, Shape};
use crate::look::{Dash, Hatch, Pen, Tone, Weight, number};
use crate::views::figure::{AxisFrame, Sketch, draw_bodies, is_on};
use crate::views::pick::RAIL_PANEL;
use crate::views::projection::{Lie, Projector};
use crate::views::scene::{Scene, rider_tones};
use crate::views::words::{place, size_of};

/// Type of the note on the tilt (pt).
const NOTE_PT: f64 = 8.0;

/// The rail's panel. Its world is what the projection shows of the rail frame (mm).
pub(super) fn panel(scene: &Scene<'_>, layout: &Layout) -> Panel {
    let mut panel = Panel::new(RAIL_PANEL, layout.rail_frame, layout.rail_from_world);
    if !layout.zoomed {
        dimensions(&mut panel, scene, layout);
    }
    tilt_note(&mut panel, scene, layout);
    ghosts(&mut panel, scene, layout);
    let mut sketch = Sketch::new(layout.scale);
    let content = [layout.content.min, layout.content.max].map(|corner| panel.world_from_pt(corner));
    if let [Some(a), Some(b)] = content {
        sketch.window = Some(Rect::between(a, b));
    }
    draw_bodies(&mut sketch, scene, &layout.view, scene.travel);
    places_of_fouling(&mut sketch, scene, layout);
    sketch.into_panel(&mut panel);
    hidden(&mut panel, scene, layout);
    notes::add(&mut panel, scene, layout);
    panel
}

/// Says how much larger than it is the tilt is drawn, at the ruler's upper or left end.
fn tilt_note(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout) {
    let Some(times) = scene.tilt_times() else { return };
    let text = format!("tilt × {}", number(times, 0));
    let size = size_of(&text, NOTE_PT, Weight::Regular);
    let at = match layout.lie {
        Lie::Upright => DVec2::new(
            layout.ruler + 0.5 * size.x - 4.0,
            layout.along(scene, layout.travel.1) - 0.5 * size.y - 3.0,
        ),
        Lie::Lying => DVec2::new(
            (layout.along(scene, layout.travel.0) - 0.5 * size.x - 4.0).max(0.5 * size.x + 2.0),
            layout.ruler + 3.0,
        ),
    };
    let at = place(panel, at);
    panel
        .add(Label::new(text, at, NOTE_PT).toned(Tone::FaintInk))
        .named("how many times the tilt is enlarged");
}

/// The rail's reach across the paper (mm).
pub(super) fn rail_across(scene: &Scene<'_>, view: &Projector) -> (f64, f64) {
    let across = view.across();
    let bars = scene.fixture.rail.bars.iter();
    bars.flat_map(|bar| bar.outer.flattened(0.5, Side::Middle))
        .map(|p| DVec3::new(0.0, p.x, p.y).dot(across))
        .filter(|v| v.is_finite())
        .fold((0.0, 0.0), |(low, high): (f64, f64), v| (low.min(v), high.max(v)))
}

fn dimensions(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout) {
    let rail = &scene.fixture.rail;
    let (low, high) = rail_across(scene, &layout.view);
    let across = layout.view.across();
    let flat = |x: f64, a: f64| layout.view.flat(DVec3::X * x + across * a);
    let mut add = |from: f64, to: f64, row: f64, text: String| {
        let kind = match layout.lie {
            Lie::Upright => {
                let (from, to) = (flat(from, low), flat(to, low));
                let room = panel.pt(from).x - layout.content.min.x;
                DimensionKind::Vertical { from, to, offset_pt: -(room + row) }
            }
            Lie::Lying => {
                let (from, to) = (flat(from, high), flat(to, high));
                let room = panel.pt(from).y - layout.content.min.y;
                DimensionKind::Horizontal { from, to, offset_pt: -(room + row) }
            }
        };
        panel.add(Dimension::new(kind, text));
    };
    let rows = if layout.roomy { [28.0, 11.0] } else { [9.0, f64::NAN] };
    add(0.0, rail.length, rows[0], format!("rail {}", scene.bare(rail.length, 0)));
    let stroke = scene.fixture.stroke;
    if rows[1].is_finite() && stroke.length() > 0.0 {
        let datum = scene.datum();
        add(
            datum + stroke.from,
            datum + stroke.to,
            rows[1],
            format!("stroke {}", scene.bare(stroke.length(), 0)),
        );
    }
}

/// Plates and loads where they stand at the ends of the stroke, faint.
fn ghosts(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout) {
    let across = layout.view.across();
    for travel in [scene.fixture.stroke.from, scene.fixture.stroke.to] {
        for (id, body) in scene.bodies() {
            let Owner::Rider(number) = body.owner else { continue };
            if !matches!(body.role, Role::Plate | Role::Load) {
                continue;
            }
            let home = scene.home(body.owner, travel);
            // A ghost in its body's own place would only blur it.
            if (home - scene.home(body.owner, scene.travel)).abs() * layout.scale < 3.0 {
                continue;
            }
            let Some(bounds) = scene.bounds(id) else { continue };
            let corner = |p: DVec3| layout.view.flat(DVec3::X * (p.x + home) + across * p.dot(across));
            let rect = Rect::between(corner(bounds.low), corner(bounds.high));
            let pen = Pen::new(rider_tones(number).1, 0.5).dashed(Dash::Phantom).faded(0.45);
            panel.add(Shape::new(Path::rect(rect)).stroked(pen));
        }
    }
}

/// Hatched bands across the rail where things that pass foul each other.
fn places_of_fouling(sketch: &mut Sketch, scene: &Scene<'_>, layout: &Layout) {
    let mut places: Vec<(f64, f64)> = Vec::new();
    for pair in &scene.results.interference.passing {
        if pair.touching.is_empty() || pair.meets_stop {
            continue;
        }
        let reach = |id| {
            let body = scene.body(id)?;
            let bounds = scene.bounds(id)?;
            let home = scene.home(body.owner, pair.at_travel);
            Some((bounds.low.x + home, bounds.high.x + home))
        };
        if let (Some(a), Some(b)) = (reach(pair.bodies.0), reach(pair.bodies.1)) {
            let both = (a.0.max(b.0), a.1.min(b.1));
            if both.0 <= both.1 {
                places.push(both);
            }
        }
    }
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    places.dedup_by(|next, kept| {
        let meets = next.0 <= kept.1;
        if meets {
            kept.1 = kept.1.max(next.1);
        }
        meets
    });
    if places.is_empty() {
        return;
    }
    let (low, high) = rail_across(scene, &layout.view);
    let across = layout.view.across();
    let near = scene
        .fixture
        .rail
        .bars
        .iter()
        .flat_map(|bar| bar.outer.flattened(0.5, Side::Middle))
        .map(|p| layout.view.depth(DVec3::new(0.0, p.x, p.y)))
        .fold(f64::NEG_INFINITY, f64::max);
    sketch.begin_part(None, Some("fouls here".into()), near + 1e-3);
    for (from, to) in places {
        let corner = |x: f64, a: f64| layout.view.flat(DVec3::X * x + across * a);
        let path = Path::rect(Rect::between(corner(from, low), corner(to, high)));
        sketch.shape(
            Shape::new(path)
                .filled(crate::look::Fill::faded(Tone::ClashFill, 0.55))
                .hatched(Hatch { width_pt: 0.5, ..Hatch::section(Tone::Clash).spaced(4.0) })
                .stroked(Pen::new(Tone::Clash, 0.7)),
        );
    }
}

/// What a plate seen face-on hides and a reader wants to know: wheels, and the rail's edges.
fn hidden(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout) {
    let view = &layout.view;
    let sketch = Sketch::new(layout.scale);
    let pen = sketch.hidden();
    for (number, rider) in scene.fixture.riders.iter().enumerate() {
        let outward = rider.facing.outward();
        let faces = view.is_end_on(outward) && outward.dot(view.toward) > 0.0;
        for (_, body) in scene.bodies().filter(|(_, body)| is_on(body, number)) {
            let home = DVec3::X * scene.home(body.owner, scene.travel);
            let frame = || AxisFrame::new(scene, view, body, home);
            match body.role {
                Role::Tyre if faces => {
                    let Some((centre, radius)) = frame().and_then(|f| f.circle()) else { continue };
                    if sketch.shows(radius, 3.0) {
                        panel.add(Shape::new(Path::circle(centre, radius)).stroked(pen));
                    }
                }
                Role::Tyre if layout.scale > 0.5 => {
                    // The axle's centre line, past both ends.
                    let Some(ends) = axis_ends(scene, number, body, view, home) else { continue };
                    let along = (ends[1] - ends[0]).normalize_or_zero() * (4.0 / layout.scale);
                    let line = vec![ends[0] - along, ends[1] + along];
                    panel.add(Polyline::new(line, Pen::new(Tone::Outline, 0.4).dashed(Dash::Centre)));
                }
                _ => {}
            }
        }
    }
}

/// The ends of a stack's axis on paper: head and free end.
fn axis_ends(
    scene: &Scene<'_>,
    number: usize,
    body: &glidewright_motion::Body,
    view: &Projector,
    home: DVec3,
) -> Option<[DVec2; 2]> {
    let placed = scene.results.assembly.riders.get(number)?.stacks.get(body.stack?)?;
    let rider = scene.fixture.riders.get(number)?;
    if view.is_end_on(rider.facing.outward()) {
        return None;
    }
    let last = placed.pieces.last().map_or(placed.tip_level, |p| p.tip_side);
    let tip = if (placed.tip_level - last) * placed.points > 0.0 { placed.tip_level } else { last };
    Some([placed.head_level, tip].map(|level| view.flat(placed.point(rider.facing, level) + home)))
}
