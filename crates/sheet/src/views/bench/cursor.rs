//! The ruler between rail and strips, and the cursor that crosses them all.

use glam::{DAffine2, DMat2, DVec2};

use super::layout::Layout;
use crate::drawing::{Glyph, Label, Mark, Panel, Path, Place, Polyline, Rect, Shape};
use crate::look::{Fill, Hatch, Pen, Tone, Weight};
use crate::page::Placer;
use crate::views::Pick;
use crate::views::pick::CURSOR_PANEL;
use crate::views::projection::Lie;
use crate::views::scene::{Scene, outcome_tone, touching};
use crate::views::words::{place, size_of, width_of};

/// Width of the ruler's bar (pt).
const BAR: f64 = 6.0;
const TAG_PT: f64 = 8.5;
const WORD_PT: f64 = 8.0;

/// The panel of ruler and cursor. Its world is travel (mm), and points across the axis.
pub(super) fn panel(scene: &Scene<'_>, layout: &Layout) -> Panel {
    let frame = Rect::between(DVec2::ZERO, scene.size());
    let zero = layout.along(scene, 0.0);
    let step = layout.along(scene, 1.0) - zero;
    let (matrix2, translation) = match layout.lie {
        Lie::Upright => (DMat2::from_cols(DVec2::new(0.0, step), DVec2::X), DVec2::new(0.0, zero)),
        Lie::Lying => (DMat2::from_cols(DVec2::new(step, 0.0), DVec2::Y), DVec2::new(zero, 0.0)),
    };
    let mut panel = Panel::new(CURSOR_PANEL, frame, DAffine2 { matrix2, translation });
    let (low, high) = (layout.ruler, layout.ruler + BAR);
    let band = |from: f64, to: f64| Path::rect(Rect::between(DVec2::new(from, low), DVec2::new(to, high)));
    let (from, to) = layout.travel;
    panel.add(
        Shape::new(band(from, to)).filled(Fill::faded(Tone::Grid, 0.8)).stroked(Pen::new(Tone::Axis, 0.5)),
    );
    let stretches: Vec<(f64, f64)> = touching(scene)
        .into_iter()
        .filter(|(a, b)| *b >= from && *a <= to)
        .map(|(a, b)| (a.max(from), b.min(to)))
        .collect();
    for (a, b) in &stretches {
        // So thin a stretch that it would vanish is still shown.
        let thick = (1.5 / step.abs()).max(b - a);
        let middle = 0.5 * (a + b);
        let path = band(middle - 0.5 * thick, middle + 0.5 * thick);
        panel
            .add(
                Shape::new(path)
                    .filled(Tone::ClashFill)
                    .hatched(Hatch { width_pt: 0.5, ..Hatch::section(Tone::Clash).spaced(3.0) })
                    .stroked(Pen::new(Tone::Clash, 0.6)),
            )
            .named("fouls here");
    }
    tightest(&mut panel, scene, layout);
    let tag = cursor(&mut panel, scene, layout);
    words(&mut panel, scene, layout, &stretches, tag);
    panel
}

/// A diamond where the tightest spot of the stroke is.
fn tightest(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout) {
    let Some(pair) = scene.results.interference.tightest() else { return };
    if pair.at_travel < layout.travel.0 || pair.at_travel > layout.travel.1 {
        return;
    }
    let at = DVec2::new(pair.at_travel, layout.ruler + 0.5 * BAR);
    let mark = Mark::new(Glyph::Diamond, at, 8.0, outcome_tone(&pair.outcome)).hollow(Tone::Paper);
    panel.add(mark).part(Pick::Tightest.part()).named("the tightest spot");
}

/// Says "fouls" beside the stretches where there is room for it.
fn words(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout, stretches: &[(f64, f64)], tag: Rect) {
    let size = size_of("fouls", WORD_PT, Weight::Regular);
    let mut placer = Placer::new(panel.frame);
    placer.block(tag);
    for (from, to) in stretches {
        let along = layout.along(scene, 0.5 * (from + to));
        let across = match layout.lie {
            Lie::Upright => layout.ruler + BAR + 3.0 + 0.5 * size.x,
            Lie::Lying => layout.ruler + BAR + 3.0 + 0.5 * size.y,
        };
        let rect = Rect::about(layout.point(along, across), size);
        if let Some(rect) = placer.place_freely(&[rect]) {
            let at = place(panel, rect.middle());
            panel.add(Label::new("fouls", at, WORD_PT).toned(Tone::Clash));
        }
    }
}

/// The cursor's line, tag and bead; the tag's box (pt).
fn cursor(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout) -> Rect {
    // Out of the stretch shown only its tag stays, at the end beyond which it is.
    let travel = scene.travel.max(layout.travel.0).min(layout.travel.1);
    let part = Pick::Cursor.part();
    let at = |across: f64| DVec2::new(travel, across);
    if travel == scene.travel {
        let line = Polyline::new(vec![at(layout.across.0), at(layout.across.1)], Pen::new(Tone::Cursor, 1.0));
        panel.add(line).part(part).named("travel cursor");
    }
    let text = scene.text(scene.travel, 1);
    let size = DVec2::new(width_of(&text, TAG_PT, Weight::SemiBold) + 8.0, TAG_PT + 5.0);
    let along = layout.along(scene, travel);
    let middle = match layout.lie {
        Lie::Upright => layout.point(along, layout.ruler + BAR + 4.0 + 0.5 * size.x),
        Lie::Lying => {
            let edge = scene.size().x - 0.5 * size.x - 2.0;
            layout.point(along.clamp(0.5 * size.x + 2.0, edge), layout.ruler + BAR + 3.0 + 0.5 * size.y)
        }
    };
    let anchor = at(0.0);
    let shift = middle - panel.pt(anchor);
    let tag = Path::rounded_rect(Rect::about(shift, size), 3.0);
    panel.add(Shape::in_pt(anchor, tag).filled(Tone::Cursor)).part(part).named("travel cursor");
    let place = Place { world: anchor, shift_pt: shift };
    panel.add(Label::new(text, place, TAG_PT).bold().toned(Tone::Paper)).part(part);
    // A bead on the ruler to take hold of.
    let bead = layout.point(along, layout.ruler + 0.5 * BAR) - panel.pt(anchor);
    panel
        .add(
            Shape::in_pt(anchor, Path::circle(bead, 4.0))
                .filled(Tone::Cursor)
                .stroked(Pen::new(Tone::Paper, 1.0)),
        )
        .part(part)
        .named("travel cursor");
    Rect::about(middle, size)
}
