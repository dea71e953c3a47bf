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

/// How a table stands beside a drawing where the frame is wide enough, else below it.
pub(super) struct Beside {
    /// Least width of the frame for that (pt).
    pub(super) from: f64,
    /// The table's share of the frame's width, and its limits (pt).
    pub(super) share: f64,
    pub(super) least: f64,
    pub(super) most: f64,
    /// Free between the two (pt).
    pub(super) gap: f64,
    /// Greatest share of the frame's height for a table below.
    pub(super) below: f64,
}

impl Beside {
    /// The frames of the drawing and of a table of this height (pt). A drawing that has no use for more than `wanted`
    /// points of width keeps its table near: both together stand in the middle.
    pub(super) fn split(&self, body: &Rect, height: f64, wanted: f64) -> (Rect, Rect) {
        let size = body.size();
        if size.x < self.from {
            let split = body.max.y - height.min(self.below * size.y);
            let drawn = Rect { max: DVec2::new(body.max.x, split - 0.4 * self.gap), ..*body };
            return (drawn, Rect { min: DVec2::new(body.min.x, split), ..*body });
        }
        let listed = (self.share * size.x).clamp(self.least, self.most);
        let drawn = (size.x - listed - self.gap).min(wanted.max(0.0));
        let left = body.min.x + 0.5 * (size.x - drawn - self.gap - listed);
        let right = left + drawn + self.gap;
        let top = body.min.y + (0.5 * (size.y - height)).max(0.0);
        (
            Rect { min: DVec2::new(left, body.min.y), max: DVec2::new(left + drawn, body.max.y) },
            Rect { min: DVec2::new(right, top), max: DVec2::new(right + listed, body.max.y) },
        )
    }
}

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
