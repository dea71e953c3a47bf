//! Drawing a plot with the items every panel is made of.

use glam::{DAffine2, DMat2, DVec2};

use super::{PlotAxis, PlotData, PlotKey};
use crate::drawing::{Drawing, Label, Mark, Panel, Path, Place, Polyline, Rect, Shape};
use crate::look::{Face, Fill, Pen, Tone, Weight, number, text_width};
use crate::strip::{CURVE, Ticks, nice_ticks};

const TITLE_PT: f64 = 11.0;
const WORDS_PT: f64 = 8.5;
const NUMBER_PT: f64 = 8.0;
/// Height of a line of words (pt).
const LINE: f64 = 12.0;
/// Room round everything, and for the numbers and titles of the axes (pt).
const EDGE: f64 = 10.0;
const NUMBERS: DVec2 = DVec2::new(42.0, 16.0);
/// Room of one tick's number along either axis (pt).
const TICK: DVec2 = DVec2::new(46.0, 24.0);
/// Length of a legend's sample, and what is left between entries (pt).
const SAMPLE: f64 = 26.0;
const BETWEEN: f64 = 16.0;
/// How much is seen of bars, and of stretches.
const SOLID: f64 = 0.7;
const FADED: f64 = 0.16;
/// Size of a dot (pt).
const DOT: f64 = 6.0;

pub(super) fn drawing(data: &PlotData, size_pt: DVec2) -> Drawing {
    let usable = |v: f64, else_: f64| if v.is_finite() { v.clamp(160.0, 10_000.0) } else { else_ };
    let size = DVec2::new(usable(size_pt.x, 720.0), usable(size_pt.y, 440.0));
    let mut drawing = Drawing::new(data.title.as_str(), size);
    let whole = Rect::between(DVec2::ZERO, size);
    let mut words = Panel::centred("words", whole, DVec2::ZERO, 1.0);
    let mut y = EDGE;
    let left = EDGE;
    y += TITLE_PT;
    write(&mut words, data.title.as_str(), DVec2::new(left, y), TITLE_PT, Tone::Ink, true);
    y += 5.0;
    for note in &data.notes {
        for line in crate::views::broken(note, WORDS_PT, Weight::Regular, size.x - 2.0 * EDGE) {
            y += LINE;
            write(&mut words, &line, DVec2::new(left, y), WORDS_PT, Tone::FaintInk, false);
        }
    }
    y = legend(&mut words, data, DVec2::new(left, y + LINE), size.x - EDGE) + 4.0;
    let plot = Rect {
        min: DVec2::new(EDGE + NUMBERS.x, y + LINE),
        max: DVec2::new(size.x - EDGE, size.y - EDGE - NUMBERS.y - LINE),
    };
    let room = plot.size();
    if let Some((low, high)) = data.bounds().filter(|_| room.x > 30.0 && room.y > 30.0) {
        let scale = room / (high - low);
        let matrix2 = DMat2::from_cols(DVec2::new(scale.x, 0.0), DVec2::new(0.0, -scale.y));
        let corner = DVec2::new(plot.min.x, plot.max.y);
        let affine = DAffine2 { matrix2, translation: corner - matrix2 * low };
        if affine.is_finite() {
            let mut panel = Panel::new("plot", plot, affine);
            inside(&mut panel, data, low, high);
            axes(&mut words, data, &affine, &plot, (low, high));
            drawing.panels.push(panel);
        }
    } else {
        write(&mut words, "There is nothing to plot.", plot.min, WORDS_PT, Tone::FaintInk, false);
    }
    drawing.panels.push(words);
    drawing
}

fn pt(panel: &Panel, at: DVec2) -> Place {
    crate::views::place(panel, at)
}

fn write(panel: &mut Panel, text: &str, at: DVec2, size: f64, tone: Tone, is_bold: bool) {
    let label = Label::new(text, pt(panel, at), size).toned(tone).anchored(0.0, 0.0);
    panel.add(if is_bold { label.bold() } else { label });
}

/// Writes the legend from a place on; gives where it ends (pt).
fn legend(panel: &mut Panel, data: &PlotData, from: DVec2, right: f64) -> f64 {
    let mut at = from;
    let mut is_first = true;
    for key in data.legend() {
        let name = key.name();
        let wide = SAMPLE + 5.0 + text_width(name, WORDS_PT, Face::Sans, Weight::Regular);
        if !is_first && at.x + wide > right {
            at = DVec2::new(from.x, at.y + LINE);
        }
        is_first = false;
        let middle = at.y - 3.0;
        let start = pt(panel, DVec2::new(at.x, middle));
        match key {
            PlotKey::Line { tone, dash, .. } => {
                let line = vec![start.shift_pt, start.shift_pt + DVec2::new(SAMPLE, 0.0)];
                panel.add(Polyline::in_pt(start.world, line, Pen::new(tone, CURVE).dashed(dash)));
            }
            PlotKey::Area { tone, faded, .. } => {
                let low = start.shift_pt - DVec2::new(0.0, 4.0);
                let path = Path::rect(Rect::between(low, low + DVec2::new(SAMPLE, 8.0)));
                panel.add(
                    Shape::in_pt(start.world, path)
                        .filled(Fill::faded(tone, if faded { FADED } else { SOLID })),
                );
            }
            PlotKey::Dot { tone, glyph, .. } => {
                let at = pt(panel, DVec2::new(at.x + 0.5 * SAMPLE, middle));
                panel.add(Mark::new(glyph, at, DOT, tone));
            }
        }
        write(panel, name, DVec2::new(at.x + SAMPLE + 5.0, at.y), WORDS_PT, Tone::Ink, false);
        at.x += wide + BETWEEN;
    }
    if is_first { from.y - LINE } else { at.y }
}

/// Ticks of both axes of a plot of a size (pt).
fn ticks(plot: &Rect, (low, high): (DVec2, DVec2)) -> [Ticks; 2] {
    let room = plot.size() / TICK;
    let count = |room: f64| (room as usize).clamp(2, 12);
    [nice_ticks(low.x, high.x, count(room.x)), nice_ticks(low.y, high.y, count(room.y))]
}

/// Everything within the frame, in the plot's own numbers.
fn inside(panel: &mut Panel, data: &PlotData, low: DVec2, high: DVec2) {
    let [across, up] = ticks(&panel.frame.clone(), (low, high));
    let grid = Pen::narrow(Tone::Grid);
    let upright = |x: f64| vec![DVec2::new(x, low.y), DVec2::new(x, high.y)];
    let lying = |y: f64| vec![DVec2::new(low.x, y), DVec2::new(high.x, y)];
    for x in across.values {
        panel.add(Polyline::new(upright(x), grid));
    }
    for y in up.values {
        let pen = if y == 0.0 { Pen::new(Tone::Axis, 0.7) } else { grid };
        panel.add(Polyline::new(lying(y), pen));
    }
    for stretch in &data.stretches {
        let (from, to) = (stretch.between.0.max(low.x), stretch.between.1.min(high.x));
        if from < to {
            let path = Path::rect(Rect::between(DVec2::new(from, low.y), DVec2::new(to, high.y)));
            panel.add(Shape::new(path).filled(Fill::faded(stretch.tone, FADED))).named(stretch.name.as_str());
        }
    }
    for bars in &data.bars {
        for bar in &bars.bars {
            let rect = Rect::between(DVec2::new(bar.between.0, 0.0), DVec2::new(bar.between.1, bar.height));
            let shape = Shape::new(Path::rect(rect)).filled(Fill::faded(bars.tone, SOLID));
            panel.add(shape.stroked(Pen::new(bars.tone, 0.4))).named(bar.words.as_str());
        }
    }
    for rule in &data.rules {
        let line = if rule.upright { upright(rule.at) } else { lying(rule.at) };
        panel.add(Polyline::new(line, Pen::new(rule.tone, 0.9).dashed(rule.dash))).named(rule.name.as_str());
    }
    for curve in &data.curves {
        for run in curve.points.split(|point| !point.is_finite()) {
            if run.len() > 1 {
                let pen = Pen::new(curve.tone, CURVE).dashed(curve.dash);
                panel.add(Polyline::new(run.to_vec(), pen)).named(curve.name.as_str());
            }
        }
    }
    for dots in &data.dots {
        for (at, words) in &dots.dots {
            panel.add(Mark::new(dots.glyph, *at, DOT, dots.tone)).named(words.as_str());
        }
    }
    let corners = [low, DVec2::new(high.x, low.y), high, DVec2::new(low.x, high.y), low];
    panel.add(Polyline::new(corners.to_vec(), Pen::new(Tone::Axis, 0.7)));
}

/// Numbers and titles of both axes.
fn axes(panel: &mut Panel, data: &PlotData, affine: &DAffine2, plot: &Rect, (low, high): (DVec2, DVec2)) {
    let [across, up] = ticks(plot, (low, high));
    let text = |value: f64, ticks: &Ticks| number(value, ticks.decimals);
    for x in &across.values {
        let at = DVec2::new(affine.transform_point2(DVec2::new(*x, low.y)).x, plot.max.y + 11.0);
        let at = pt(panel, at);
        panel.add(Label::new(text(*x, &across), at, NUMBER_PT).toned(Tone::FaintInk).anchored(0.5, 0.0));
    }
    for y in &up.values {
        let at = DVec2::new(plot.min.x - 5.0, affine.transform_point2(DVec2::new(low.x, *y)).y);
        let at = pt(panel, at);
        panel.add(Label::new(text(*y, &up), at, NUMBER_PT).toned(Tone::FaintInk).anchored(1.0, 0.5));
    }
    let title = |axis: &PlotAxis| axis.words();
    let below = pt(panel, DVec2::new(plot.max.x, plot.max.y + NUMBERS.y + LINE - 3.0));
    panel.add(Label::new(title(&data.across), below, WORDS_PT).anchored(1.0, 0.0));
    let above = DVec2::new(plot.min.x, plot.min.y - 4.0);
    write(panel, &title(&data.up), above, WORDS_PT, Tone::Ink, false);
}
