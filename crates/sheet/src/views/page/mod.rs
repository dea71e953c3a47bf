//! The composed sheet: title, bench, close-ups, key figures, findings, scale bar, note, on one page.

mod figures;
mod findings;

use glam::DVec2;
use glidewright_motion::{Fixture, Results};

use super::projection::Lie;
use super::scene::Scene;
use super::words::{place, shortened, width_of, wrapped};
use super::{View, ViewState, bench, gap, seat, stacks, table};
use crate::drawing::{Drawing, Label, Panel, Path, Polyline, Rect, Shape};
use crate::look::{LengthUnit, Pen, Tone, Weight, number};
use crate::strip::nice_ticks;

/// The composed sheet.
pub(super) const VIEW: View = View {
    name: "sheet",
    title: "Sheet",
    about: "Everything on one page to share or print: bench, close-ups, key figures and findings.",
    lacks,
    still: |_| false,
    draw,
};

const TITLE_PT: f64 = 15.0;
const NOTE_PT: f64 = 8.5;
const TABLE_PT: f64 = 8.0;
/// Room round the page (pt): a printer's margin.
const MARGIN: f64 = 18.0;
/// Height of the title's band (pt).
const HEAD: f64 = 26.0;
/// Between the fields (pt).
const BETWEEN: f64 = 10.0;

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

fn fields(scene: &Scene<'_>, page: Rect) -> Fields {
    let split = |from: f64, to: f64, share: f64| from + share * (to - from);
    let (min, max) = (page.min, page.max);
    match Lie::of(scene.fixture) {
        Lie::Upright => {
            let x = split(min.x, max.x, 0.56);
            let [y1, y2] = [0.4, 0.68].map(|share| split(min.y, max.y, share));
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
            let y = split(min.y, max.y, 0.6);
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

fn draw(scene: &Scene<'_>) -> Drawing {
    let size = scene.size();
    let name = match &scene.state.trial {
        Some(trial) => format!("{}: {trial}", scene.fixture.name),
        None => scene.fixture.name.clone(),
    };
    let mut drawing = Drawing::new(name, size);
    let whole = Rect::between(DVec2::ZERO, size);
    let inner = whole.grown(-MARGIN);
    let note = scene.state.note.as_deref().unwrap_or_default();
    let notes = wrapped(note, NOTE_PT, Weight::Regular, 0.7 * inner.size().x, 2);
    let foot = 16.0_f64.max(notes.len() as f64 * 1.3 * NOTE_PT + 4.0);
    let body = Rect { min: inner.min + DVec2::new(0.0, HEAD), max: inner.max - DVec2::new(0.0, foot + 4.0) };
    let fields = fields(scene, body);

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
    head(&mut words, scene, &inner);
    table::draw(&mut words, &fields.figures, "Key figures", &figures::rows(scene), TABLE_PT);
    findings::draw(&mut words, &fields.findings, &scene.results.findings, scene.unit());
    for (row, line) in notes.iter().enumerate() {
        let at =
            place(&words, DVec2::new(inner.min.x, inner.max.y - foot + (row as f64 + 1.0) * 1.3 * NOTE_PT));
        words.add(Label::new(line.as_str(), at, NOTE_PT).anchored(0.0, 0.0));
    }
    let scale = drawing.panel_named("rail").map_or(1.0, Panel::scale);
    scale_bar(&mut words, scale, scene.unit(), &inner);
    drawing.panels.push(words);
    drawing
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

fn head(panel: &mut Panel, scene: &Scene<'_>, inner: &Rect) {
    let baseline = inner.min.y + TITLE_PT;
    let room = inner.size().x;
    let title = shortened(&scene.fixture.name, TITLE_PT, Weight::SemiBold, 0.5 * room);
    let used = width_of(&title, TITLE_PT, Weight::SemiBold);
    let at = place(panel, DVec2::new(inner.min.x, baseline));
    panel.add(Label::new(title, at, TITLE_PT).bold().anchored(0.0, 0.0));
    let trial = match &scene.state.trial {
        Some(trial) => format!("trial: {trial}"),
        None => "as drawn".to_owned(),
    };
    let text = format!("{trial}  ·  at travel {}", scene.text(scene.travel, 1));
    let text = shortened(&text, 10.0, Weight::Regular, 0.5 * room - 20.0);
    let at = place(panel, DVec2::new(inner.min.x + used + 12.0, baseline));
    panel.add(Label::new(text, at, 10.0).toned(Tone::FaintInk).anchored(0.0, 0.0));
    let y = inner.min.y + HEAD - 5.0;
    let anchor = place(panel, DVec2::ZERO);
    let run = [DVec2::new(inner.min.x, y), DVec2::new(inner.max.x, y)].map(|p| anchor.shift_pt + p).to_vec();
    panel.add(Polyline::in_pt(anchor.world, run, Pen::new(Tone::Outline, 0.8)));
}

/// A bar of round length at the rail's scale, in the lower right corner.
fn scale_bar(panel: &mut Panel, scale: f64, unit: LengthUnit, inner: &Rect) {
    let longest = 130.0 / scale;
    let ticks = nice_ticks(0.0, unit.value_of_mm(longest), 3);
    let step = unit.to_mm(ticks.step);
    if !(step > 0.0 && step.is_finite() && step * scale < 200.0) {
        return;
    }
    let length = step * scale;
    let (right, y) = (inner.max.x, inner.max.y - 4.0);
    let anchor = place(panel, DVec2::ZERO);
    for (from, to, tone) in [(0.0, 0.5, Tone::Outline), (0.5, 1.0, Tone::Paper)] {
        let rect = Rect::between(
            DVec2::new(right - length * (1.0 - from), y - 4.0),
            DVec2::new(right - length * (1.0 - to), y),
        );
        let path = Path::rect(rect.shifted(anchor.shift_pt));
        panel.add(Shape::in_pt(anchor.world, path).filled(tone).stroked(Pen::new(Tone::Outline, 0.6)));
    }
    // Points are 1/72 inch: the ratio holds where the page is printed at its size.
    let ratio = 72.0 / 25.4 / scale;
    let text = format!(
        "{} {}  ·  rail 1 : {}",
        number(ticks.step, ticks.decimals),
        unit.symbol(),
        number(ratio, if ratio < 10.0 { 1 } else { 0 })
    );
    let at = place(panel, DVec2::new(right - length - 8.0, y));
    panel.add(Label::new(text, at, 8.0).toned(Tone::FaintInk).anchored(1.0, 0.0));
}
