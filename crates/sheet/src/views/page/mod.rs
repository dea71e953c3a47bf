//! The composed sheet: bench, close-ups, key figures and findings on one page. Title, key, scale bars, date and further
//! pages come with the picture it is written as.

mod figures;
mod findings;

use glam::DVec2;
use glidewright_motion::{Fixture, Results};

use super::projection::Lie;
use super::scene::Scene;
use super::words::place;
use super::{View, ViewState, bench, gap, seat, stacks, table};
use crate::drawing::{Drawing, Panel, Polyline, Rect};
use crate::look::{Pen, Tone};

/// The composed sheet.
pub(super) const VIEW: View = View {
    name: "sheet",
    title: "Sheet",
    about: "Everything on one page to share or print: bench, close-ups, key figures and findings.",
    lacks,
    still: |_| false,
    draw,
};

const TABLE_PT: f64 = 8.0;
/// Between the fields (pt).
const BETWEEN: f64 = 10.0;
/// Widths of a page from which findings that go on fill two columns, and three (pt).
const COLUMNS: [f64; 2] = [440.0, 900.0];

fn lacks(fixture: &Fixture, results: &Results) -> Option<&'static str> {
    (bench::VIEW.lacks)(fixture, results)
}

/// Where the fields of the page are (pt).
struct Fields {
    bench: Rect,
    stacks: Rect,
    seat: Rect,
    figures: Rect,
    findings: Rect,
}

/// The fields of a page; that of the key figures has room for all of them, `figures` points of height.
fn fields(scene: &Scene<'_>, page: Rect, figures: f64) -> Fields {
    let split = |from: f64, to: f64, share: f64| from + share * (to - from);
    let (min, max) = (page.min, page.max);
    let (wide, high) = (page.size().x, page.size().y);
    if high > wide {
        // Upright paper: the bench over the whole width, close-ups in a row, figures beside the findings.
        let share = if Lie::of(scene.fixture) == Lie::Upright { 0.45 } else { 0.4 };
        let y2 = split(min.y, max.y, share + 0.27).min(max.y - BETWEEN - figures);
        let y1 = split(min.y, y2, share / (share + 0.27));
        let [xm, xf] = [0.6, 0.42].map(|share| split(min.x, max.x, share));
        let at = |x0: f64, x1: f64, y0: f64, y1: f64| {
            Rect::between(DVec2::new(x0, y0 + BETWEEN), DVec2::new(x1, y1))
        };
        return Fields {
            bench: Rect::between(min, DVec2::new(max.x, y1)),
            stacks: at(min.x, xm - 0.5 * BETWEEN, y1, y2),
            seat: at(xm + 0.5 * BETWEEN, max.x, y1, y2),
            figures: at(min.x, xf - 0.5 * BETWEEN, y2, max.y),
            findings: at(xf + 0.5 * BETWEEN, max.x, y2, max.y),
        };
    }
    match Lie::of(scene.fixture) {
        Lie::Upright => {
            let x = split(min.x, max.x, 0.56);
            let y1 = split(min.y, max.y, 0.4);
            let y2 = split(min.y, max.y, 0.68).max(y1 + BETWEEN + figures).min(max.y);
            let xm = split(x, max.x, 0.5);
            let right = |x0: f64, x1: f64, y0: f64, y1: f64| {
                Rect::between(DVec2::new(x0 + BETWEEN, y0), DVec2::new(x1, y1))
            };
            Fields {
                bench: Rect::between(min, DVec2::new(x, max.y)),
                stacks: right(x, max.x, min.y, y1),
                seat: right(x, xm, y1 + BETWEEN, y2),
                figures: right(xm, max.x, y1 + BETWEEN, y2),
                findings: right(x, max.x, y2 + BETWEEN, max.y),
            }
        }
        Lie::Lying => {
            let y = split(min.y, max.y, 0.6).min(max.y - BETWEEN - figures);
            let [x1, x2, x3] = [0.3, 0.5, 0.7].map(|share| split(min.x, max.x, share));
            let low = |x0: f64, x1: f64| Rect::between(DVec2::new(x0, y + BETWEEN), DVec2::new(x1, max.y));
            Fields {
                bench: Rect::between(min, DVec2::new(max.x, y)),
                stacks: low(min.x, x1),
                seat: low(x1 + BETWEEN, x2),
                figures: low(x2 + BETWEEN, x3),
                findings: low(x3 + BETWEEN, max.x),
            }
        }
    }
}

/// The sheet by itself, findings as far as there is room.
fn draw(scene: &Scene<'_>) -> Drawing {
    let (mut drawing, rest) = first(scene, true);
    if let Some((field, rest)) = rest
        && let Some(words) = drawing.panels.last_mut()
    {
        findings::more(words, &field, &scene.results.findings, rest);
    }
    drawing
}

/// The first page, and what of the findings has no room on it; whether a line is kept to say so.
fn first(scene: &Scene<'_>, says_more: bool) -> (Drawing, Option<(Rect, findings::Rest)>) {
    let size = scene.size();
    let name = match &scene.state.trial {
        Some(trial) => format!("{}: {trial}", scene.fixture.name),
        None => scene.fixture.name.clone(),
    };
    let mut drawing = Drawing::new(name, size);
    let whole = Rect::between(DVec2::ZERO, size);
    let rows = figures::rows(scene);
    let listed = (table::height(rows.len(), TABLE_PT) + 2.0).min(0.6 * size.y);
    let fields = fields(scene, whole.grown(-4.0), listed);

    let bench_state = ViewState { size_pt: fields.bench.size(), ..scene.state.clone() };
    let bench_scene = Scene::new(scene.fixture, scene.results, &bench_state);
    let bench = bench::panels(&bench_scene).into_iter().map(|panel| shifted(panel, fields.bench.min));
    drawing.panels.extend(bench);
    // Of what comes nearest its gap; where those are two stacks, these with all their pieces.
    let closest = if stacks::face_each_other(scene) {
        stacks::panels(scene, fields.stacks)
    } else {
        let panels = gap::panels(scene, fields.stacks);
        if panels.is_empty() { stacks::panels(scene, fields.stacks) } else { panels }
    };
    drawing.panels.extend(closest);
    drawing.panels.extend(seat::section_alone(scene, fields.seat));

    let mut words = Panel::centred("words", whole, DVec2::ZERO, 1.0);
    rules(&mut words, &fields);
    table::draw(&mut words, &fields.figures, "Key figures", &rows, TABLE_PT);
    let all = &scene.results.findings;
    let mut field = fields.findings;
    let mut told = words.clone();
    let mut rest = findings::draw(&mut told, &field, all, scene.unit(), findings::Rest::ALL);
    if rest.is_some() && says_more {
        field.max.y -= findings::MORE;
        told = words;
        rest = findings::draw(&mut told, &field, all, scene.unit(), findings::Rest::ALL);
        field.max.y += findings::MORE;
    }
    drawing.panels.push(told);
    (drawing, rest.map(|rest| (field, rest)))
}

/// What follows the first page of a sheet.
#[derive(Clone, Copy)]
pub(super) enum Following {
    /// Pages of this size (pt).
    Pages(DVec2),
    /// All of it below the first, as wide as this (pt).
    Below(f64),
}

/// Most pages of a sheet: a fixture in ruins has hundreds of findings.
const MOST_PAGES: usize = 40;
/// Greatest height of what follows below (pt).
const DEEPEST: f64 = 12_000.0;

/// The sheet with every finding's reason in full: the first page, and what follows it.
pub(super) fn whole(scene: &Scene<'_>, following: Following) -> (Drawing, Vec<Drawing>) {
    let (drawing, mut rest) = first(scene, false);
    let all = &scene.results.findings;
    let mut more = Vec::new();
    while let Some((_, from)) = rest.filter(|_| more.len() + 1 < MOST_PAGES) {
        let size = match following {
            Following::Pages(size) => size,
            Following::Below(width) => DVec2::new(width, DEEPEST),
        };
        let frame = Rect::between(DVec2::ZERO, size).grown(-4.0);
        let count = 1 + COLUMNS.iter().filter(|least| size.x >= **least).count();
        let mut page = Drawing::new(drawing.title.clone(), size);
        let mut words = Panel::centred("words", Rect::between(DVec2::ZERO, size), DVec2::ZERO, 1.0);
        let (end, left) = findings::columns(&mut words, &frame, count, all, scene.unit(), from);
        if matches!(following, Following::Below(_)) {
            page.size_pt.y = end + 4.0;
        }
        page.panels.push(words);
        more.push(page);
        rest = left.map(|left| (frame, left));
    }
    (drawing, more)
}

fn shifted(mut panel: Panel, by: DVec2) -> Panel {
    panel.frame = panel.frame.shifted(by);
    panel.pt_from_world.translation += by;
    panel
}

/// Thin lines between the fields.
fn rules(panel: &mut Panel, fields: &Fields) {
    let anchor = place(panel, DVec2::ZERO);
    let mut line = |from: DVec2, to: DVec2| {
        let run = vec![anchor.shift_pt + from, anchor.shift_pt + to];
        panel.add(Polyline::in_pt(anchor.world, run, Pen::new(Tone::Grid, 1.0)));
    };
    for field in [&fields.stacks, &fields.seat, &fields.figures, &fields.findings] {
        let y = field.min.y - 0.5 * BETWEEN;
        line(DVec2::new(field.min.x, y), DVec2::new(field.max.x, y));
    }
}
