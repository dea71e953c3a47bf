//! Inks on their way to a page.

use std::sync::Arc;

use glam::{DAffine2, DVec2};

use super::clip::{cut_fill, cut_stroke};
use super::{Ink, InkKind, Page, TextInk};
use crate::drawing::{Item, Panel, Part, Path, Rect};
use crate::look::{CAP_HEIGHT, Fill, Pen, Tone};

/// Opacity of plates: lines behind a plate fade but do not seem to end.
const PLATE: f64 = 0.92;
/// How far a path may reach beyond what is visible before it is cut (pt).
pub(super) const BEYOND_PT: f64 = 2000.0;
/// Where it is cut (pt beyond what is visible): past the widest line.
pub(super) const CUT_PT: f64 = 200.0;
/// Coordinates past this are taken for mistakes (pt): a thousand kilometres.
const ABSURD_PT: f64 = 3e12;
/// Type sizes outside this range are not drawn (pt).
const TYPE_PT: std::ops::RangeInclusive<f64> = 0.5..=2000.0;

/// Whose ink it is.
#[derive(Clone, Default)]
pub(super) struct Tag {
    panel: usize,
    item: Option<usize>,
    part: Option<Part>,
    name: Option<Arc<str>>,
    clip: Option<Rect>,
}

/// Where lowered inks go.
pub(super) struct Out<'a> {
    pub(super) page: &'a mut Page,
    pub(super) panel: &'a Panel,
    pub(super) sheet: Rect,
    pub(super) tag: Tag,
}

impl Out<'_> {
    pub(super) fn take_tag(&mut self, panel: usize, place: Option<usize>, item: &Item) {
        let clip = (self.panel.clip && !item.overflow).then_some(self.panel.frame);
        self.tag = Tag { panel, item: place, part: item.part, name: item.name.clone(), clip };
    }

    pub(super) fn visible(&self) -> Rect {
        self.tag.clip.unwrap_or(self.sheet)
    }

    /// The panel being lowered.
    pub fn panel(&self) -> &Panel {
        self.panel
    }

    fn push(&mut self, bounds: Rect, kind: InkKind) {
        let Tag { panel, item, part, name, clip } = self.tag.clone();
        self.page.inks.push(Ink { panel, item, part, name, clip, bounds, kind });
    }

    /// The path's bounds if it can be painted and may be seen; counts what cannot be painted.
    pub(super) fn seen(&mut self, path: &Path, reach: f64) -> Option<Rect> {
        if path.is_empty() {
            return None;
        }
        let bounds = path.bounds().filter(|b| b.min.abs().max(b.max.abs()).max_element() < ABSURD_PT);
        if bounds.is_none() || !path.is_finite() {
            self.page.skipped += 1;
            return None;
        }
        bounds.filter(|b| {
            let visible = self.visible();
            b.min.cmple(visible.max + reach).all() && b.max.cmpge(visible.min - reach).all()
        })
    }

    /// Fills a path (pt).
    pub fn fill(&mut self, path: Path, fill: Fill) {
        let Some(bounds) = self.seen(&path, 0.0) else { return };
        if !fill.opacity.is_finite() || fill.round.is_some_and(|(a, b)| !(a.is_finite() && b.is_finite())) {
            self.page.skipped += 1;
            return;
        }
        if self.visible().grown(BEYOND_PT).holds(&bounds) {
            self.push(bounds, InkKind::Fill { path, fill });
        } else {
            let path = cut_fill(&path, &self.visible().grown(CUT_PT));
            if let Some(bounds) = path.bounds() {
                self.push(bounds, InkKind::Fill { path, fill });
            }
        }
    }

    /// Strokes a path (pt).
    pub fn stroke(&mut self, path: Path, pen: Pen) {
        self.stroke_from(path, pen, 0.0);
    }

    /// Strokes a path (pt), starting some way (pt) into the dash pattern.
    pub fn stroke_from(&mut self, path: Path, pen: Pen, dash_offset: f64) {
        if !(pen.width_pt.is_finite() && pen.opacity.is_finite() && pen.width_pt < CUT_PT) {
            self.page.skipped += 1;
            return;
        }
        let Some(bounds) = self.seen(&path, pen.width_pt) else { return };
        if self.visible().grown(BEYOND_PT).holds(&bounds) {
            self.push(bounds, InkKind::Stroke { path, pen, dash_offset });
        } else {
            for (path, walked) in cut_stroke(&path, &self.visible().grown(CUT_PT)) {
                if let Some(bounds) = path.bounds() {
                    self.push(bounds, InkKind::Stroke { path, pen, dash_offset: dash_offset + walked });
                }
            }
        }
    }

    /// Sets one line of text.
    pub fn text(&mut self, mut text: TextInk) {
        text.text =
            text.text.chars().map(|c| if c == '\t' { ' ' } else { c }).filter(|c| !c.is_control()).collect();
        if text.text.trim().is_empty() {
            return;
        }
        let bounds = if TYPE_PT.contains(&text.size_pt) && text.turn.is_finite() && text.along.is_finite() {
            Rect::round(text.corners()).filter(|_| text.at.abs().max_element() < ABSURD_PT)
        } else {
            None
        };
        match bounds {
            Some(bounds) if bounds.overlaps(&self.visible()) => self.push(bounds, InkKind::Text(text)),
            Some(_) => {}
            None => self.page.skipped += 1,
        }
    }

    /// A plate behind text: from below the baseline to above the capitals, and `side` (pt) wider.
    pub fn plate(&mut self, text: &TextInk, tone: Tone, side: f64) {
        let (run, width) = (text.direction(), text.width());
        let up = DVec2::new(run.y, -run.x);
        let (above, below) = ((CAP_HEIGHT + 0.16) * text.size_pt, 0.16 * text.size_pt);
        let start = text.start();
        let turned = DAffine2 { matrix2: glam::DMat2::from_cols(run, -up), translation: start };
        let rect = Rect::between(DVec2::new(-side, -above), DVec2::new(width + side, below));
        self.fill(
            Path::rounded_rect(rect, 0.2 * text.size_pt).transformed(&turned),
            Fill::faded(tone, PLATE),
        );
    }
}
