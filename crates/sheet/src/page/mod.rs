//! A drawing lowered to inks in points: the one thing every painter paints and every picker asks.

mod clip;
mod dimension;
mod glyph;
mod hatch;
mod lower;
mod mesh;
mod moved;
mod out;
mod pick;
mod place;

use std::sync::Arc;

use glam::DVec2;

use crate::drawing::{Drawing, Part, Path, Rect};
use crate::look::{Face, Fill, Pen, Tone, Weight, text_width};

pub(crate) use clip::cut_fill;
pub(crate) use dimension::figure_box;
pub use mesh::{Mesh, fill_mesh, triangulate};
pub use pick::Hit;
pub use place::Placer;

/// A drawing ready to be painted: inks in order, the first at the bottom, all in points, y down.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// Width and height (pt).
    pub size_pt: DVec2,
    /// What it shows.
    pub title: String,
    /// What to paint, bottom first.
    pub inks: Vec<Ink>,
    /// How many paths and texts were left out because a coordinate was not finite or absurdly far away.
    pub skipped: usize,
}

/// One thing to paint.
#[derive(Clone, Debug, PartialEq)]
pub struct Ink {
    /// The panel it belongs to, by its place in the drawing.
    pub panel: usize,
    /// The item it belongs to, by its place in the panel; `None` for emphasis laid over the items.
    pub item: Option<usize>,
    /// What it stands for.
    pub part: Option<Part>,
    /// The item's name.
    pub name: Option<Arc<str>>,
    /// Cut off at this rectangle (pt).
    pub clip: Option<Rect>,
    /// The smallest rectangle round what is painted, line widths left out (pt).
    pub bounds: Rect,
    /// What to paint.
    pub kind: InkKind,
}

/// The three ways of painting.
#[derive(Clone, Debug, PartialEq)]
pub enum InkKind {
    /// Fill a path by the even-odd rule. A round fill's edges are points on paper (pt).
    Fill {
        /// The path (pt).
        path: Path,
        /// How.
        fill: Fill,
    },
    /// Stroke a path, with butt ends and round joins; the dash pattern is still to be applied.
    Stroke {
        /// The path (pt).
        path: Path,
        /// How.
        pen: Pen,
        /// How far into the pen's dash pattern the path starts (pt).
        dash_offset: f64,
    },
    /// One line of text.
    Text(TextInk),
}

/// One line of text on paper.
#[derive(Clone, Debug, PartialEq)]
pub struct TextInk {
    /// The words: no line breaks, no control characters.
    pub text: String,
    /// The anchor: on the baseline, `along` of the way through the text (pt).
    pub at: DVec2,
    /// Where along the text its anchor is: 0 start, 0.5 middle, 1 end.
    pub along: f64,
    /// Type size (pt).
    pub size_pt: f64,
    /// Width of the letters.
    pub face: Face,
    /// Weight of the letters.
    pub weight: Weight,
    /// Colour.
    pub tone: Tone,
    /// Turn about the anchor (rad, counter-clockwise as the reader sees it).
    pub turn: f64,
}

impl TextInk {
    /// The width it sets to (pt).
    pub fn width(&self) -> f64 {
        text_width(&self.text, self.size_pt, self.face, self.weight)
    }

    /// The direction the text runs on paper (y down).
    pub fn direction(&self) -> DVec2 {
        DVec2::new(self.turn.cos(), -self.turn.sin())
    }

    /// Where its first letter's baseline starts (pt).
    pub fn start(&self) -> DVec2 {
        self.at - self.direction() * (self.along * self.width())
    }

    /// Four corners of the box from descent to ascent, in order (pt).
    pub fn corners(&self) -> [DVec2; 4] {
        let run = self.direction();
        let down = DVec2::new(-run.y, run.x);
        let start = self.start();
        let (above, below) =
            (down * (-crate::look::ASCENT * self.size_pt), down * (crate::look::DESCENT * self.size_pt));
        let run = run * self.width();
        [start + above, start + run + above, start + run + below, start + below]
    }
}

impl Drawing {
    /// The drawing lowered to a page.
    pub fn page(&self) -> Page {
        self.page_with(&[])
    }

    /// The drawing lowered to a page, with the outlines of some parts retraced in a tone (what is
    /// selected, what the pointer is over, the two bodies of a finding), on top of their panel.
    pub fn page_with(&self, emphasis: &[(Part, Tone)]) -> Page {
        lower::lower(self, emphasis)
    }
}
