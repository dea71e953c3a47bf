//! Scale bars and key as a block of words and swatches.

use glam::DVec2;

use super::key::{Entry, Swatch};
use super::scale::Bar;
use crate::drawing::{End, Glyph, Label, Mark, Panel, Path, Polyline, Rect, Shape};
use crate::look::{Dash, Pen, Tone, Weight};
use crate::views::words::{broken, width_of};

const TEXT_PT: f64 = 8.0;
/// Between baselines, and between cells (pt).
const STEP: f64 = 12.5;
const APART: f64 = 14.0;
/// Room for a swatch with what stands beside it (pt).
const SWATCH: f64 = 23.0;
const BESIDE: f64 = 5.0;
const AREA: f64 = 18.0;
/// Height of a scale bar (pt).
const BAR: f64 = 4.0;
/// Before a row of bars and the key below it (pt).
const BELOW_BARS: f64 = 3.0;

/// What goes into the block.
#[derive(Default)]
pub(super) struct Block {
    pub(super) bars: Vec<Bar>,
    pub(super) entries: Vec<Entry>,
}

/// The block laid out in so many columns: where each cell begins, with its lines.
pub(super) struct Layout {
    pub(super) size: DVec2,
    bars: Vec<DVec2>,
    entries: Vec<(DVec2, Vec<String>)>,
}

impl Block {
    pub(super) const fn is_empty(&self) -> bool {
        self.bars.is_empty() && self.entries.is_empty()
    }

    /// The entries in lines, none wider than a width (pt).
    fn cells(&self, width: f64) -> Vec<Vec<String>> {
        let room = (width - SWATCH - BESIDE).max(40.0);
        self.entries.iter().map(|entry| broken(&entry.words, TEXT_PT, Weight::Regular, room)).collect()
    }

    /// In a width (pt), in so many columns if they fit, each as wide as what is in it.
    pub(super) fn layout(&self, width: f64, columns: usize) -> Option<Layout> {
        let mut bars = Vec::with_capacity(self.bars.len());
        let mut pen = DVec2::ZERO;
        let mut used = DVec2::ZERO;
        for bar in &self.bars {
            let wide = bar.length_pt + BESIDE + width_of(&bar.words, TEXT_PT, Weight::Regular);
            if pen.x > 0.0 && pen.x + wide > width {
                pen = DVec2::new(0.0, pen.y + STEP);
            }
            bars.push(pen);
            used = used.max(pen + DVec2::new(wide, STEP));
            pen.x += wide + APART;
        }
        let top = if bars.is_empty() || self.entries.is_empty() { used.y } else { used.y + BELOW_BARS };
        let cells = self.cells(width);
        let rows = cells.len().div_ceil(columns.max(1)).max(1);
        let mut entries = Vec::with_capacity(cells.len());
        let mut x = 0.0;
        for column in cells.chunks(rows) {
            let widest = column.iter().flatten().map(|line| width_of(line, TEXT_PT, Weight::Regular));
            let wide = SWATCH + BESIDE + widest.fold(0.0, f64::max);
            if x > 0.0 && x + wide > width {
                return None;
            }
            let mut y = top;
            for lines in column {
                entries.push((DVec2::new(x, y), lines.clone()));
                y += STEP * lines.len().max(1) as f64;
            }
            used = used.max(DVec2::new(x + wide, y));
            x += wide + APART;
        }
        Some(Layout { size: used, bars, entries })
    }

    /// In a width (pt), in as few lines as it allows.
    pub(super) fn lowest(&self, width: f64) -> Layout {
        let fitting = (1..=self.entries.len().max(1)).rev().find_map(|columns| self.layout(width, columns));
        fitting.unwrap_or(Layout { size: DVec2::ZERO, bars: Vec::new(), entries: Vec::new() })
    }

    /// Draws it as it was laid out, from a point (pt).
    pub(super) fn draw(&self, panel: &mut Panel, layout: &Layout, from: DVec2) {
        for (bar, at) in self.bars.iter().zip(&layout.bars) {
            scale_bar(panel, bar, from + *at);
        }
        for (entry, (at, lines)) in self.entries.iter().zip(&layout.entries) {
            let at = from + *at;
            swatch(panel, entry.swatch, Rect::at(at.x, at.y + 1.5, SWATCH, STEP - 4.0));
            for (row, text) in lines.iter().enumerate() {
                let base = DVec2::new(at.x + SWATCH + BESIDE, at.y + STEP * row as f64 + 0.5 * STEP - 0.5);
                panel.add(Label::new(text.as_str(), base, TEXT_PT).anchored(0.0, 0.5)).named("key");
            }
        }
    }
}

/// A bar in two halves, with what it says.
fn scale_bar(panel: &mut Panel, bar: &Bar, at: DVec2) {
    let y = at.y + 0.5 * STEP - 0.5;
    let half = 0.5 * bar.length_pt;
    for (from, tone) in [(0.0, Tone::Outline), (half, Tone::Paper)] {
        let rect = Rect::at(at.x + from, y - 0.5 * BAR, half, BAR);
        let shape = Shape::new(Path::rect(rect)).filled(tone).stroked(Pen::new(Tone::Outline, 0.6));
        panel.add(shape).named("scale bar");
    }
    let words = DVec2::new(at.x + bar.length_pt + BESIDE, y);
    panel.add(Label::new(bar.words.as_str(), words, TEXT_PT).anchored(0.0, 0.5)).named("scale");
}

fn swatch(panel: &mut Panel, swatch: Swatch, room: Rect) {
    let middle = room.middle();
    let level = |y: f64| vec![DVec2::new(room.min.x, y), DVec2::new(room.max.x, y)];
    match swatch {
        Swatch::Area(fill, hatch, pen) => {
            let room = Rect::between(room.min, DVec2::new(room.min.x + AREA, room.max.y));
            let mut shape = Shape::new(Path::rect(room)).filled(fill).stroked(pen);
            shape.hatch = hatch;
            panel.add(shape);
        }
        Swatch::Line(pen) => {
            // Thin enough for a whole round of the pattern, so that dots are seen between the dashes.
            let round: f64 = pen.dash.pattern(pen.width_pt).iter().sum();
            let thin = (pen.width_pt * room.size().x / round.max(1.0)).max(0.6);
            let pen = Pen { width_pt: if round > room.size().x { thin } else { pen.width_pt }, ..pen };
            panel.add(Polyline::new(level(middle.y), pen));
        }
        Swatch::Mark(glyph, tone, hollow) => {
            let size = if glyph == Glyph::Ground { 10.0 } else { 7.5 };
            let mark = Mark::new(glyph, middle, size, tone);
            let mark = match glyph {
                Glyph::Ground => mark.turned(std::f64::consts::FRAC_PI_2),
                _ => mark,
            };
            panel.add(if hollow { mark.hollow(Tone::Paper) } else { mark });
        }
        Swatch::Down => {
            let line = vec![DVec2::new(middle.x, room.min.y - 1.5), DVec2::new(middle.x, room.max.y + 1.5)];
            panel.add(Polyline::new(line, Pen::new(Tone::FaintInk, 1.0)).ends(End::Plain, End::Arrow));
        }
        Swatch::Cursor => {
            panel.add(Polyline::new(level(middle.y), Pen::new(Tone::Cursor, 1.0)));
            panel.add(Shape::new(Path::circle(middle, 3.0)).filled(Tone::Cursor));
        }
        Swatch::Ring => {
            let mut ring = Path::circle(middle, 3.4);
            for turn in [0.25, 0.75, 1.25, 1.75] {
                let way = DVec2::from_angle(turn * std::f64::consts::PI);
                ring.append(&Path::line(middle + way * 2.0, middle + way * 5.2));
            }
            panel.add(Shape::new(ring).stroked(Pen::new(Tone::Clash, 1.2)));
        }
        Swatch::Whiskers => {
            for (half, pen) in [(0.5, Pen::new(Tone::Ink, 0.9)), (0.22, Pen::new(Tone::Ink, 2.4))] {
                let reach = DVec2::new(half * room.size().x, 0.0);
                let line = Polyline::new(vec![middle - reach, middle + reach], pen.dashed(Dash::Solid));
                let end = if half < 0.5 { End::Plain } else { End::Bar };
                panel.add(line.ends(end, end));
            }
        }
    }
}
