//! The bar of travel beside the rail, and the cursor on it. Its panel maps travel to paper, so that riders can
//! be dragged in this picture as on the bench.

use glam::{DAffine2, DMat2, DVec2, DVec3};

use super::lump::Lump;
use super::notes::run_pt;
use crate::drawing::{Glyph, Label, Mark, Panel, Path, Polyline, Rect, Shape};
use crate::look::{Fill, Hatch, Pen, Tone, Weight};
use crate::views::Pick;
use crate::views::pick::CURSOR_PANEL;
use crate::views::projection::Projector;
use crate::views::scene::{Scene, outcome_tone, touching};
use crate::views::words::{place, size_of};

/// Width of the bar (pt).
const BAR: f64 = 6.0;
/// Between the bar and what stands beside it (pt).
const APART: f64 = 12.0;
const TAG_PT: f64 = 8.5;
const NOTE_PT: f64 = 8.0;
/// Points per millimetre of travel below which the rail is seen end-on and has no bar.
const SEEN_PT: f64 = 0.08;

/// Room the bar needs beside the fixture (pt).
pub(super) const ROOM: f64 = APART + BAR + 64.0;

/// The panel of the bar; `None` when the rail is seen end-on.
pub(super) fn panel(
    scene: &Scene<'_>,
    picture: &Panel,
    view: &Projector,
    lumps: &[Lump],
) -> Option<(Panel, Vec<Rect>)> {
    let step = run_pt(picture, view, DVec3::X);
    if !(step.length() > SEEN_PT) {
        return None;
    }
    let along = step.normalize();
    // To the right of an upright rail, below a lying one.
    let side = along.perp();
    let side = if side.x.abs() > side.y.abs() { side * side.x.signum() } else { side * side.y.signum() };
    let (from, to) = (scene.fixture.stroke.from, scene.fixture.stroke.to);
    let (from, to) = (from.min(to), from.max(to));
    let zero = picture.pt(view.flat(DVec3::X * scene.datum()));
    let ends = [zero + step * from, zero + step * to];
    // Beyond everything that stands beside the stroke.
    let (low, high) =
        (ends[0].dot(along).min(ends[1].dot(along)), ends[0].dot(along).max(ends[1].dot(along)));
    let beyond = lumps
        .iter()
        .flat_map(|lump| lump.hull.iter().map(|p| picture.pt(*p)))
        .filter(|p| p.dot(along) > low - 8.0 && p.dot(along) < high + 8.0)
        .map(|p| p.dot(side))
        .fold(zero.dot(side), f64::max);
    let most = picture.frame.corners().iter().map(|p| p.dot(side)).fold(f64::NEG_INFINITY, f64::max) - 16.0;
    let offset = (beyond + APART).min(most) - zero.dot(side);
    let translation = zero + side * offset;
    let pt_from_world = DAffine2 { matrix2: DMat2::from_cols(step, side), translation };
    let mut panel = Panel::new(CURSOR_PANEL, picture.frame, pt_from_world);
    let band =
        |a: f64, b: f64| Path::polyline(&[(a, 0.0), (b, 0.0), (b, BAR), (a, BAR)].map(DVec2::from), true);
    panel.add(
        Shape::new(band(from, to)).filled(Fill::faded(Tone::Grid, 0.8)).stroked(Pen::new(Tone::Axis, 0.5)),
    );
    for (a, b) in touching(scene) {
        let thick = (1.5 / step.length()).max(b - a);
        let middle = 0.5 * (a + b);
        let hatch = Hatch { width_pt: 0.5, ..Hatch::section(Tone::Clash).spaced(3.0) };
        let shape = Shape::new(band(middle - 0.5 * thick, middle + 0.5 * thick)).filled(Tone::ClashFill);
        panel.add(shape.hatched(hatch).stroked(Pen::new(Tone::Clash, 0.6))).named("fouls here");
    }
    if let Some(pair) = scene.results.interference.tightest() {
        let at = DVec2::new(pair.at_travel, 0.5 * BAR);
        let mark = Mark::new(Glyph::Diamond, at, 8.0, outcome_tone(&pair.outcome)).hollow(Tone::Paper);
        panel.add(mark).part(Pick::Tightest.part()).named("the tightest spot");
    }
    let mut taken = vec![Rect::round([ends[0], ends[1]].map(|p| p + side * offset))?.grown(BAR + 2.0)];
    let tag = cursor(&mut panel, scene, side);
    taken.push(tag);
    for (travel, end) in [(from, -1.0), (to, 1.0)] {
        let text = scene.bare(travel, 0);
        let size = size_of(&text, NOTE_PT, Weight::Regular);
        let middle = panel.pt(DVec2::new(travel, 0.5 * BAR)) + along * end * (4.0 + half_along(size, along));
        let rect = Rect::about(middle, size);
        if rect.overlaps(&tag) || !panel.frame.grown(-1.0).holds(&rect) {
            continue;
        }
        taken.push(rect);
        let at = place(&panel, middle);
        panel.add(Label::new(text, at, NOTE_PT).toned(Tone::FaintInk));
    }
    Some((panel, taken))
}

/// Half of what a box of words takes along a direction (pt).
fn half_along(size: DVec2, along: DVec2) -> f64 {
    0.5 * size.dot(along.abs())
}

/// The bead on the bar and its tag, whose box is returned (pt).
fn cursor(panel: &mut Panel, scene: &Scene<'_>, side: DVec2) -> Rect {
    let part = Pick::Cursor.part();
    let at = DVec2::new(scene.travel, 0.5 * BAR);
    let bead = panel.pt(at);
    let text = scene.text(scene.travel, 1);
    let size = size_of(&text, TAG_PT, Weight::SemiBold) + DVec2::new(5.0, 3.0);
    let middle = bead + side * (6.0 + half_along(size, side));
    let held = panel.frame.grown(-3.0);
    let middle = middle.clamp(held.min + 0.5 * size, held.max - 0.5 * size);
    let anchor = place(panel, middle);
    let tag = Rect::about(anchor.shift_pt, size);
    let line = vec![bead - middle + anchor.shift_pt, anchor.shift_pt];
    panel.add(Polyline::in_pt(anchor.world, line, Pen::new(Tone::Cursor, 1.0)));
    panel
        .add(Shape::in_pt(anchor.world, Path::rounded_rect(tag, 3.0)).filled(Tone::Cursor))
        .part(part)
        .named("travel cursor");
    panel.add(Label::new(text, anchor, TAG_PT).bold().toned(Tone::Paper)).part(part);
    let ring = Shape::in_pt(at, Path::circle(DVec2::ZERO, 4.0)).filled(Tone::Cursor);
    panel.add(ring.stroked(Pen::new(Tone::Paper, 1.0))).part(part).named("travel cursor");
    Rect::about(middle, size)
}
