//! What a panel shows.

use std::sync::Arc;

use glam::DVec2;

use super::{CentreCross, Dimension, Path};
use crate::look::{Face, Fill, Hatch, Pen, Tone, Weight};

/// What an item stands for, for picking and lighting up; the scene's builder knows the meaning.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Part(pub u32);

/// One thing in a panel.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What to draw.
    pub kind: ItemKind,
    /// What it stands for, if it can be picked.
    pub part: Option<Part>,
    /// Short name for assistive technology and tooltips.
    pub name: Option<Arc<str>>,
    /// Whether it may reach out of the frame of a clipped panel.
    pub overflow: bool,
}

/// The kinds of item.
#[derive(Clone, Debug, PartialEq)]
pub enum ItemKind {
    /// A filled, hatched or stroked path.
    Shape(Shape),
    /// A chain of straight lines.
    Polyline(Polyline),
    /// Text.
    Label(Label),
    /// A small symbol.
    Mark(Mark),
    /// A dimension after ISO 129-1.
    Dimension(Dimension),
    /// The crossed centre lines of a circle.
    CentreCross(CentreCross),
}

/// In what units a path is given.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub enum Units {
    /// World units of the panel.
    #[default]
    World,
    /// Points on paper (y down) about this world point: it keeps its size at every zoom.
    PtAt(DVec2),
}

/// A point on paper: a world point and a shift in points (y down).
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Place {
    /// World point.
    pub world: DVec2,
    /// Shift on paper (pt, y down).
    pub shift_pt: DVec2,
}

impl From<DVec2> for Place {
    fn from(world: DVec2) -> Self {
        Self { world, shift_pt: DVec2::ZERO }
    }
}

impl Place {
    /// Shifted on paper by so many points, y down.
    pub fn shifted(self, x_pt: f64, y_pt: f64) -> Self {
        Self { shift_pt: self.shift_pt + DVec2::new(x_pt, y_pt), ..self }
    }
}

/// A path with fill (even-odd), hatch and stroke, each optional, painted in that order.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Shape {
    /// The path.
    pub path: Path,
    /// Its units.
    pub units: Units,
    /// The fill.
    pub fill: Option<Fill>,
    /// Hatching over the fill.
    pub hatch: Option<Hatch>,
    /// The outline.
    pub stroke: Option<Pen>,
}

impl Shape {
    /// A path in world units, nothing painted yet.
    pub fn new(path: Path) -> Self {
        Self { path, ..Self::default() }
    }

    /// A path in points (y down) about a world point.
    pub fn in_pt(at: DVec2, path: Path) -> Self {
        Self { path, units: Units::PtAt(at), ..Self::default() }
    }

    /// With a fill.
    pub fn filled(mut self, fill: impl Into<Fill>) -> Self {
        self.fill = Some(fill.into());
        self
    }

    /// With hatching.
    pub fn hatched(mut self, hatch: Hatch) -> Self {
        self.hatch = Some(hatch);
        self
    }

    /// With an outline.
    pub fn stroked(mut self, pen: Pen) -> Self {
        self.stroke = Some(pen);
        self
    }
}

/// What stands at an end of a [`Polyline`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum End {
    /// Nothing.
    #[default]
    Plain,
    /// A filled arrowhead.
    Arrow,
    /// A filled dot.
    Dot,
    /// A short bar across.
    Bar,
}

/// A chain of straight lines. Points that are not finite break it.
#[derive(Clone, Debug, PartialEq)]
pub struct Polyline {
    /// The points.
    pub points: Vec<DVec2>,
    /// Their units.
    pub units: Units,
    /// How it is drawn.
    pub pen: Pen,
    /// What stands at the first point.
    pub start: End,
    /// What stands at the last point.
    pub end: End,
}

impl Polyline {
    /// A chain in world units.
    pub fn new(points: Vec<DVec2>, pen: Pen) -> Self {
        Self { points, units: Units::World, pen, start: End::Plain, end: End::Plain }
    }

    /// A chain in points (y down) about a world point.
    pub fn in_pt(at: DVec2, points: Vec<DVec2>, pen: Pen) -> Self {
        Self { units: Units::PtAt(at), ..Self::new(points, pen) }
    }

    /// With something at its ends.
    pub fn ends(mut self, start: End, end: End) -> Self {
        (self.start, self.end) = (start, end);
        self
    }
}

/// Text. Line breaks start new lines, 1.25 sizes apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// The words.
    pub text: String,
    /// Where its anchor stands.
    pub at: Place,
    /// Type size (pt).
    pub size_pt: f64,
    /// Width of the letters.
    pub face: Face,
    /// Weight of the letters.
    pub weight: Weight,
    /// Colour.
    pub tone: Tone,
    /// The anchor along the text: 0 its start, 0.5 its middle, 1 its end.
    pub along: f64,
    /// The anchor across the text: 0 the baseline of the last line, 1 the capitals' top of the first,
    /// 0.5 the middle between.
    pub up: f64,
    /// Turn about the anchor (rad).
    pub turn: f64,
    /// A plate of this colour behind the text, so that it stays readable over lines.
    pub plate: Option<Tone>,
}

impl Label {
    /// Condensed regular ink-coloured text centred on a place.
    pub fn new(text: impl Into<String>, at: impl Into<Place>, size_pt: f64) -> Self {
        Self {
            text: text.into(),
            at: at.into(),
            size_pt,
            face: Face::Condensed,
            weight: Weight::Regular,
            tone: Tone::Ink,
            along: 0.5,
            up: 0.5,
            turn: 0.0,
            plate: None,
        }
    }

    /// In another colour.
    pub fn toned(mut self, tone: Tone) -> Self {
        self.tone = tone;
        self
    }

    /// In semi-bold.
    pub fn bold(mut self) -> Self {
        self.weight = Weight::SemiBold;
        self
    }

    /// Anchored elsewhere: `along` 0 start … 1 end, `up` 0 baseline … 1 top of capitals.
    pub fn anchored(mut self, along: f64, up: f64) -> Self {
        (self.along, self.up) = (along, up);
        self
    }

    /// Turned about its anchor (rad).
    pub fn turned(mut self, turn: f64) -> Self {
        self.turn = turn;
        self
    }

    /// With a plate of the paper's colour behind it.
    pub fn on_plate(mut self) -> Self {
        self.plate = Some(Tone::Paper);
        self
    }
}

/// The shapes of small symbols, drawn as paths because fonts lack many of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Glyph {
    /// A filled circle.
    Circle,
    /// A filled square.
    Square,
    /// A filled diamond.
    Diamond,
    /// Two strokes crossing diagonally.
    Cross,
    /// Two strokes crossing upright.
    Plus,
    /// Two blocks that overlap: it fails.
    Overlapping,
    /// Two blocks that touch: it is marginal.
    Touching,
    /// Two blocks apart: all is well.
    Apart,
    /// A slender filled arrowhead whose tip is the mark's place, pointing in its direction.
    Arrow,
    /// A circle quartered in black and white: a centre of mass.
    MassCentre,
    /// A bar across the mark's direction with short slanting strokes behind it: held fast.
    Ground,
}

/// A small symbol of fixed size.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Its shape.
    pub glyph: Glyph,
    /// Where its middle stands (an arrow's tip).
    pub at: Place,
    /// Its height (pt).
    pub size_pt: f64,
    /// Its direction (rad, 0 to the right).
    pub turn: f64,
    /// Its colour.
    pub tone: Tone,
    /// The colour inside, if the symbol is an outline only.
    pub hollow: Option<Tone>,
}

impl Mark {
    /// A filled symbol.
    pub fn new(glyph: Glyph, at: impl Into<Place>, size_pt: f64, tone: Tone) -> Self {
        Self { glyph, at: at.into(), size_pt, turn: 0.0, tone, hollow: None }
    }

    /// Turned (rad).
    pub fn turned(mut self, turn: f64) -> Self {
        self.turn = turn;
        self
    }

    /// Only an outline, with this colour inside.
    pub fn hollow(mut self, inside: Tone) -> Self {
        self.hollow = Some(inside);
        self
    }
}

impl Item {
    /// What it stands for.
    pub fn part(&mut self, part: Part) -> &mut Self {
        self.part = Some(part);
        self
    }

    /// Its accessible name.
    pub fn named(&mut self, name: impl Into<Arc<str>>) -> &mut Self {
        self.name = Some(name.into());
        self
    }

    /// Lets it reach out of the panel's frame.
    pub fn overflowing(&mut self) -> &mut Self {
        self.overflow = true;
        self
    }
}

impl<T: Into<ItemKind>> From<T> for Item {
    fn from(kind: T) -> Self {
        Self { kind: kind.into(), part: None, name: None, overflow: false }
    }
}

macro_rules! kinds {
    ($($kind:ident),*) => {$(
        impl From<$kind> for ItemKind {
            fn from(kind: $kind) -> Self {
                Self::$kind(kind)
            }
        }
    )*};
}
kinds!(Shape, Polyline, Label, Mark, Dimension, CentreCross);
