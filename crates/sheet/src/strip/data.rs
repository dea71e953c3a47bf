//! What a strip shows: plain data.

use glam::DVec2;

use crate::drawing::{Glyph, Part, Rect};
use crate::look::{Dash, LengthUnit, ReaderUnits, Tone};

/// A plot of values against travel.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct StripData {
    /// What is plotted ("Clearance").
    pub title: String,
    /// The unit of the values ("mm").
    pub unit: String,
    /// Decimals of values that are read out.
    pub decimals: usize,
    /// The curves.
    pub series: Vec<Series>,
    /// Curves to compare with, drawn faintly behind the others: name, travel (mm) and value.
    pub ghosts: Vec<(String, Vec<DVec2>)>,
    /// Lines of constant value.
    pub limits: Vec<Limit>,
    /// Shaded stretches of travel.
    pub intervals: Vec<Interval>,
    /// Points worth pointing out.
    pub markers: Vec<Marker>,
    /// The travel at which values are read out (mm).
    pub cursor: Option<f64>,
    /// Another travel at which values are read out (mm): where the pointer is.
    pub probe: Option<f64>,
    /// The unit in which the numbers along the axis of travel are written; the values stay millimetres.
    pub along: LengthUnit,
    /// The values shown, low and high; worked out from curves and limits if not given.
    pub range: Option<(f64, f64)>,
    /// Whether the axis is broken off above: what goes beyond runs along its edge.
    pub broken: bool,
}

impl StripData {
    /// Values in the units of a reader; the axis of travel stays as it is.
    #[must_use]
    pub fn written_in(mut self, units: ReaderUnits) -> Self {
        let Some(unit) = units.of_symbol(&self.unit) else { return self };
        let one = |value: &mut f64| *value /= unit.size;
        for series in &mut self.series {
            series.points.iter_mut().for_each(|point| one(&mut point.y));
            series.low.iter_mut().chain(&mut series.high).for_each(one);
        }
        self.limits.iter_mut().for_each(|limit| one(&mut limit.value));
        self.markers.iter_mut().for_each(|marker| one(&mut marker.at.y));
        if let Some((low, high)) = &mut self.range {
            one(low);
            one(high);
        }
        self.unit = unit.symbol.to_owned();
        self.decimals = unit.decimals(self.decimals);
        self
    }
}

/// One curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// Its name in the legend.
    pub name: String,
    /// Its colour.
    pub tone: Tone,
    /// Its kind of line: curves must differ in more than colour.
    pub dash: Dash,
    /// Travel (mm) and value, travel rising. A value that is not finite leaves a gap.
    pub points: Vec<DVec2>,
    /// Lower edge of the band at each point; empty for none.
    pub low: Vec<f64>,
    /// Upper edge of the band at each point; empty for none.
    pub high: Vec<f64>,
    /// Whether the band, and not the curve, is what is meant: its width is read out. Bands stand one on the
    /// other, each from the curve below it to its own.
    pub stacked: bool,
    /// What it stands for, if it can be picked.
    pub part: Option<Part>,
}

impl Series {
    /// A plain curve.
    pub fn new(name: impl Into<String>, tone: Tone, points: Vec<DVec2>) -> Self {
        Self {
            name: name.into(),
            tone,
            dash: Dash::Solid,
            points,
            low: Vec::new(),
            high: Vec::new(),
            stacked: false,
            part: None,
        }
    }

    /// What is read out at a travel: the value there, or of a stacked band its width.
    pub fn reading_at(&self, travel: f64) -> Option<f64> {
        let top = self.value_at(travel)?;
        if !self.stacked {
            return Some(top);
        }
        let after = self.points.partition_point(|p| p.x < travel);
        let at = |i: usize| Some(DVec2::new(self.points.get(i)?.x, *self.low.get(i)?));
        let b = at(after)?;
        let foot = match after.checked_sub(1).and_then(at) {
            Some(a) if b.x > a.x => a.y + (b.y - a.y) * ((travel - a.x) / (b.x - a.x)),
            _ => b.y,
        };
        Some(top - foot)
    }

    /// The value at a travel, linear between points; `None` outside them or in a gap.
    pub fn value_at(&self, travel: f64) -> Option<f64> {
        let after = self.points.partition_point(|p| p.x < travel);
        let b = *self.points.get(after)?;
        if b.x == travel {
            return b.y.is_finite().then_some(b.y);
        }
        let a = *self.points.get(after.checked_sub(1)?)?;
        let value = a.y + (b.y - a.y) * ((travel - a.x) / (b.x - a.x));
        value.is_finite().then_some(value)
    }
}

/// A line of constant value.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Where (in the strip's unit).
    pub value: f64,
    /// The words at its end ("asked 0.5").
    pub name: String,
    /// Its colour.
    pub tone: Tone,
}

/// A shaded stretch of travel.
#[derive(Clone, Debug, PartialEq)]
pub struct Interval {
    /// Where it begins (mm).
    pub from: f64,
    /// Where it ends (mm).
    pub to: f64,
    /// Its colour.
    pub tone: Tone,
    /// Hatched as well, so that it shows without colour.
    pub hatched: bool,
    /// Its accessible name.
    pub name: String,
    /// What it stands for, if it can be picked.
    pub part: Option<Part>,
}

/// A point worth pointing out.
#[derive(Clone, Debug, PartialEq)]
pub struct Marker {
    /// Travel (mm) and value.
    pub at: DVec2,
    /// Its symbol.
    pub glyph: Glyph,
    /// Its colour.
    pub tone: Tone,
    /// The words beside it; empty for none.
    pub text: String,
    /// What it stands for, if it can be picked.
    pub part: Option<Part>,
}

/// How a strip stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Orientation {
    /// Travel runs upwards, values to the right: beside an upright rail.
    #[default]
    Upright,
    /// Travel runs to the right, values upwards: below a lying rail.
    Lying,
}

impl Orientation {
    /// Room above the plot for title and legend (pt): two lines above an upright strip, one within the frame of a lying
    /// one.
    pub const fn head(self) -> f64 {
        match self {
            Self::Upright => 32.0,
            Self::Lying => 16.0,
        }
    }
}

/// Where a strip stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StripLayout {
    /// The plot itself, without title and numbers (pt); they need [`STRIP_MARGIN`] around it and [`Orientation::head`] above. Along
    /// the travel axis it must be where the rail's own stretch of travel is.
    pub plot: Rect,
    /// How it stands.
    pub orientation: Orientation,
    /// The travel at the ends of the plot (mm): bottom and top, or left and right.
    pub travel: (f64, f64),
    /// Whether the travel axis has numbers.
    pub travel_numbers: bool,
}

/// Room that a strip needs around its plot (pt), the same for all, so that nothing shifts while
/// numbers change.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StripMargin {
    /// Below: the numbers of the axis that lies there.
    pub below: f64,
    /// Left: the numbers of the axis that stands there.
    pub left: f64,
    /// Right: half a number.
    pub right: f64,
}

/// The room around the plot of every strip, beside the head above it.
pub const STRIP_MARGIN: StripMargin = StripMargin { below: 15.0, left: 34.0, right: 10.0 };
