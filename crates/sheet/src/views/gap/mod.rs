//! The gap between two bodies: where it is, what it looks like enlarged, and its figures by name.

mod cut;
mod lens;
mod near;

use glam::DVec2;
use glidewright_motion::{Fixture, Results};

use super::figure::{Sketch, draw_bodies, draw_body};
use super::scene::{Scene, gap_tones};
use super::words::{place, shortened, width_of};
use super::{Moment, View, ViewState, table};
use crate::drawing::{Drawing, Label, Panel, Path, Polyline, Rect, Shape};
use crate::look::{Pen, Tone, Weight};

use near::Near;

/// The gap between two bodies.
pub(super) const VIEW: View = View {
    name: "gap",
    title: "Gap",
    about: "Two bodies where they come nearest to each other, cut through their nearest points and enlarged.",
    lacks,
    still,
    draw,
};

/// Name of the lens's panel.
pub(super) const LENS_PANEL: &str = "the gap enlarged";
/// Name of the panel that shows what stands round the gap.
pub(super) const AROUND_PANEL: &str = "where the gap is";
const TITLE_PT: f64 = 9.0;
const TABLE_PT: f64 = 8.5;
/// Type grows with the picture from this size on (pt), up to so many times.
const USUAL: DVec2 = DVec2::new(404.0, 284.0);
const LARGEST: f64 = 1.7;
/// Least width and height of what is shown round the gap (mm).
const LEAST_AROUND: f64 = 45.0;
/// What is shown round the smaller of the two, in its sizes.
const AROUND: f64 = 1.5;
/// Free between the two pictures (pt).
const BETWEEN: f64 = 10.0;

fn lacks(_: &Fixture, results: &Results) -> Option<&'static str> {
    let none = results.interference.passing.is_empty() && results.interference.steady.is_empty();
    none.then_some("No two bodies come near each other.")
}

/// Where the two come closest is shown wherever the riders stand.
fn still(state: &ViewState) -> bool {
    state.moment == Moment::Closest
}

fn draw(scene: &Scene<'_>) -> Drawing {
    let mut drawing = Drawing::new(format!("{}: gap", scene.fixture.name), scene.size());
    drawing.panels.extend(panels(scene, Rect::between(DVec2::ZERO, scene.size())));
    drawing
}

/// Between whom the gap is.
pub(super) fn names(scene: &Scene<'_>) -> Option<[String; 2]> {
    Near::new(scene).map(|near| who(scene, &near))
}

/// The lens on the gap alone, in a frame.
pub(super) fn lens_alone(scene: &Scene<'_>, frame: Rect) -> Option<Panel> {
    let near = Near::new(scene)?;
    Some(lens::Glass::new(&near, &frame, 1.0).panel(scene, &near))
}

/// The view in a frame of its own: where it is, the lens on it, and the figures.
pub(super) fn panels(scene: &Scene<'_>, frame: Rect) -> Vec<Panel> {
    let inner = frame.grown(-8.0);
    let Some(near) = Near::new(scene) else { return Vec::new() };
    let type_scale = (inner.size() / USUAL).min_element().clamp(1.0, LARGEST);
    let [title_pt, table_pt] = [TITLE_PT, TABLE_PT].map(|size| size * type_scale);
    let rows = rows(scene, &near);
    let top = inner.min.y + 1.5 * title_pt;
    let listed = table::height(rows.len().div_ceil(2), table_pt) - 0.6 * table_pt;
    let bottom = (inner.max.y - listed).max(top + 0.5 * (inner.max.y - top));
    // The lens is square, as large as the height lets it be, and never more than half of the width.
    let size = (bottom - top - 4.0).min(0.5 * inner.size().x).max(40.0);
    let lens = Rect::at(inner.max.x - size, top, size, size);
    let glass = lens::Glass::new(&near, &lens, type_scale);
    let mut words = Panel::centred("figures of the gap", inner.grown(4.0), DVec2::ZERO, 1.0);
    title(&mut words, scene, &near, &inner, title_pt);
    let around = Rect::between(DVec2::new(inner.min.x, top), DVec2::new(lens.min.x - BETWEEN, top + size));
    let place_of = surroundings(scene, &near, around, &glass);
    rays(&mut words, &place_of, &glass, &lens);
    let figures = Rect::between(DVec2::new(inner.min.x, top + size + 4.0), inner.max);
    let middle = figures.middle().x;
    let (left, right) = rows.split_at(rows.len().div_ceil(2));
    let of =
        |from: f64, to: f64| Rect::between(DVec2::new(from, figures.min.y), DVec2::new(to, figures.max.y));
    table::draw(&mut words, &of(figures.min.x, middle - BETWEEN), "", left, table_pt);
    table::draw(&mut words, &of(middle + BETWEEN, figures.max.x), "", right, table_pt);
    vec![place_of, glass.panel(scene, &near), words]
}

fn title(panel: &mut Panel, scene: &Scene<'_>, near: &Near<'_>, inner: &Rect, title_pt: f64) {
    let [a, b] = who(scene, near);
    let full = format!("{a}  ·  {b}  ·  at travel {}", scene.text(near.travel, 1));
    let fits = width_of(&full, title_pt, Weight::SemiBold) <= inner.size().x;
    let text = if fits { full } else { format!("{a}  ·  {b}") };
    let text = shortened(&text, title_pt, Weight::SemiBold, inner.size().x);
    let at = place(panel, inner.min);
    panel.add(Label::new(text, at, title_pt).bold().anchored(0.0, 1.0));
}

fn who(scene: &Scene<'_>, near: &Near<'_>) -> [String; 2] {
    near.sides.each_ref().map(|side| match side.rider(scene) {
        Some((_, rider)) => format!("{rider}, {}", side.piece()),
        None => side.piece().to_owned(),
    })
}

/// The three gaps by name, what is required, and what the sizes' tolerances make of it.
fn rows(scene: &Scene<'_>, near: &Near<'_>) -> Vec<table::Row> {
    let result = near.result;
    let text = |mm: f64| scene.text(mm, 2);
    let toned = |name: &str, gap: f64| table::Row::new(name, text(gap)).toned(gap_tones(gap, result.asked).0);
    let mut rows = vec![table::Row::new("as drawn", text(near.gap)).toned(near.tone)];
    if scene.state.moment == Moment::Closest {
        rows.push(toned("under load", result.loaded.gap));
        rows.push(toned("at its worst", result.left()));
    }
    rows.push(table::Row::new("required", text(result.asked)));
    let tolerance = &result.tolerance;
    if tolerance.worst > 0.0 {
        let bare = |mm: f64| scene.bare(mm, 2);
        rows.push(table::Row::new("tolerances, worst case", format!("± {}", bare(tolerance.worst))));
        rows.push(table::Row::new("tolerances, RSS", format!("± {}", bare(tolerance.rss))));
    }
    rows
}

/// The two with what stands round them.
fn surroundings(scene: &Scene<'_>, near: &Near<'_>, frame: Rect, glass: &lens::Glass) -> Panel {
    let smaller = near.sides.each_ref().map(|side| side.extent.size().length());
    let extent = &near.sides[usize::from(smaller[1] < smaller[0])].extent;
    let half = (extent.middle() - near.middle()).abs() + 0.5 * AROUND * extent.size();
    let half =
        half.min(DVec2::splat(AROUND * extent.size().max_element())).max(DVec2::splat(0.5 * LEAST_AROUND));
    let half = half.max(0.6 * glass.field());
    let world = Rect::about(near.middle(), 2.0 * half);
    let mut panel = Panel::fitted(AROUND_PANEL, frame, world, 2.0);
    let corners = [frame.min, frame.max].map(|corner| panel.world_from_pt(corner));
    let mut sketch = Sketch::new(panel.scale());
    if let [Some(a), Some(b)] = corners {
        sketch.window = Some(Rect::between(a, b));
    }
    draw_bodies(&mut sketch, scene, &near.view, near.travel);
    sketch.into_panel(&mut panel);
    // Whatever hides the two.
    let mut sketch = Sketch::new(panel.scale());
    for side in &near.sides {
        draw_body(&mut sketch, scene, &near.view, side.id, side.body, near.travel);
    }
    sketch.into_panel(&mut panel);
    let outside = Path::rect(frame);
    let at = panel.world_from_pt(frame.min).unwrap_or_default();
    let shift = glam::DAffine2::from_translation(-frame.min);
    panel.add(Shape::in_pt(at, outside.transformed(&shift)).stroked(Pen::new(Tone::Grid, 0.8)));
    panel
}

/// Where the lens stands in the surroundings (pt).
fn spot(around: &Panel, glass: &lens::Glass) -> Rect {
    let size = (glass.field() * around.scale()).max(DVec2::splat(5.0));
    Rect::about(around.pt(glass.middle()), size)
}

/// A frame round what the lens shows, and lines from it to the lens.
fn rays(panel: &mut Panel, around: &Panel, glass: &lens::Glass, lens: &Rect) {
    let spot = spot(around, glass);
    let pen = Pen::new(Tone::Cursor, 0.9);
    let at = |panel: &Panel, pt: DVec2| place(panel, pt);
    let origin = at(panel, spot.min);
    let path = Path::rect(Rect::between(DVec2::ZERO, spot.size()))
        .transformed(&glam::DAffine2::from_translation(origin.shift_pt));
    panel.add(Shape::in_pt(origin.world, path).stroked(pen));
    for (from, to) in
        [(DVec2::new(spot.max.x, spot.min.y), lens.min), (spot.max, DVec2::new(lens.min.x, lens.max.y))]
    {
        let start = at(panel, from);
        let run = vec![start.shift_pt, start.shift_pt + (to - from)];
        panel.add(Polyline::in_pt(start.world, run, Pen::new(Tone::Cursor, 0.5).faded(0.6)));
    }
}
