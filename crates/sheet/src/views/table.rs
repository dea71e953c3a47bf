//! Small tables of figures: a name to the left, a value to the right.

use glam::DVec2;

use super::words::{place, shortened, width_of};
use crate::drawing::{Label, Panel, Polyline, Rect};
use crate::look::{Pen, Tone, Weight};

/// One line of a table.
pub(super) struct Row {
    pub(super) name: String,
    pub(super) value: String,
    pub(super) tone: Tone,
}

impl Row {
    pub(super) fn new(name: impl Into<String>, value: impl Into<String>) -> Self {
        Self { name: name.into(), value: value.into(), tone: Tone::Ink }
    }

    /// With a value in another colour.
    pub(super) fn toned(mut self, tone: Tone) -> Self {
        self.tone = tone;
        self
    }
}

/// Height of a line in type sizes.
const LINE: f64 = 1.55;

/// Height of so many lines under a title (pt).
pub(super) fn height(rows: usize, size_pt: f64) -> f64 {
    (rows as f64 + 1.0) * LINE * size_pt
}

/// Writes a table into a frame (pt); lines that have no room are left out. Returns where it ends (pt).
pub(super) fn draw(panel: &mut Panel, frame: &Rect, title: &str, rows: &[Row], size_pt: f64) -> f64 {
    let mut y = frame.min.y;
    let step = LINE * size_pt;
    let line = |panel: &mut Panel, y: f64| {
        let at = place(panel, DVec2::new(frame.min.x, y));
        let run = vec![at.shift_pt, at.shift_pt + DVec2::new(frame.size().x, 0.0)];
        panel.add(Polyline::in_pt(at.world, run, Pen::new(Tone::Grid, 0.6)));
    };
    if !title.is_empty() {
        y += step;
        let text = shortened(title, size_pt + 1.0, Weight::SemiBold, frame.size().x);
        let at = place(panel, DVec2::new(frame.min.x, y - 0.4 * size_pt));
        panel.add(Label::new(text, at, size_pt + 1.0).bold().anchored(0.0, 0.0));
        line(panel, y);
    }
    for row in rows {
        if y + step > frame.max.y + 0.5 {
            break;
        }
        y += step;
        let value = shortened(&row.value, size_pt, Weight::SemiBold, 0.62 * frame.size().x);
        let used = width_of(&value, size_pt, Weight::SemiBold);
        let name = shortened(&row.name, size_pt, Weight::Regular, frame.size().x - used - 8.0);
        let at = place(panel, DVec2::new(frame.min.x, y - 0.42 * size_pt));
        panel.add(Label::new(name, at, size_pt).toned(Tone::FaintInk).anchored(0.0, 0.0));
        let at = place(panel, DVec2::new(frame.max.x, y - 0.42 * size_pt));
        panel.add(Label::new(value, at, size_pt).bold().toned(row.tone).anchored(1.0, 0.0));
        line(panel, y);
    }
    y
}
