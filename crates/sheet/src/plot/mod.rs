//! Plots of one thing against another, whose axes have nothing to do with the rail's: as plain data, which the window shows
//! to be looked into and [`PlotData::drawing`] draws for a picture.

mod draw;

use glam::DVec2;

use crate::drawing::{Drawing, Glyph};
use crate::look::{Dash, Tone};

/// A plot.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct PlotData {
    /// What it shows, in a line.
    pub title: String,
    /// What goes with it in words, a line each.
    pub notes: Vec<String>,
    /// The axis to the right.
    pub across: PlotAxis,
    /// The axis upwards.
    pub up: PlotAxis,
    /// Curves.
    pub curves: Vec<PlotCurve>,
    /// Upright bars.
    pub bars: Vec<PlotBars>,
    /// Single points.
    pub dots: Vec<PlotDots>,
    /// Lines across the whole plot.
    pub rules: Vec<PlotRule>,
    /// Stretches of the axis to the right that are shaded.
    pub stretches: Vec<PlotStretch>,
}

/// An axis.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct PlotAxis {
    /// What is told along it.
    pub title: String,
    /// Its unit; empty for none.
    pub unit: String,
    /// What it shows at least, from and to.
    pub holds: Option<(f64, f64)>,
}

impl PlotAxis {
    /// An axis that shows what there is.
    pub fn new(title: impl Into<String>, unit: impl Into<String>) -> Self {
        Self { title: title.into(), unit: unit.into(), holds: None }
    }

    /// Title and unit in one.
    pub fn words(&self) -> String {
        match (self.title.as_str(), self.unit.as_str()) {
            (title, "") => title.to_owned(),
            ("", unit) => unit.to_owned(),
            (title, unit) => format!("{title}, {unit}"),
        }
    }
}

/// A curve.
#[derive(Clone, Debug, PartialEq)]
pub struct PlotCurve {
    /// Its name in the legend.
    pub name: String,
    /// Its colour.
    pub tone: Tone,
    /// Its kind of line: curves differ in more than colour.
    pub dash: Dash,
    /// Its points, growing to the right; one that is not finite leaves a gap.
    pub points: Vec<DVec2>,
}

/// Bars of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct PlotBars {
    /// Their name in the legend.
    pub name: String,
    /// Their colour.
    pub tone: Tone,
    /// The bars.
    pub bars: Vec<PlotBar>,
}

/// An upright bar from zero.
#[derive(Clone, Debug, PartialEq)]
pub struct PlotBar {
    /// Where it begins and ends to the right.
    pub between: (f64, f64),
    /// How high it is.
    pub height: f64,
    /// What is told of it.
    pub words: String,
}

/// Points of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct PlotDots {
    /// Their name in the legend.
    pub name: String,
    /// Their colour.
    pub tone: Tone,
    /// Their form.
    pub glyph: Glyph,
    /// Where they are, and what is told of each.
    pub dots: Vec<(DVec2, String)>,
}

/// A line across the whole plot.
#[derive(Clone, Debug, PartialEq)]
pub struct PlotRule {
    /// Its name in the legend.
    pub name: String,
    /// Its colour.
    pub tone: Tone,
    /// Its kind of line.
    pub dash: Dash,
    /// Whether it stands upright at a place of the axis to the right; else it lies at one of the other.
    pub upright: bool,
    /// Where.
    pub at: f64,
}

/// A stretch of the axis to the right.
#[derive(Clone, Debug, PartialEq)]
pub struct PlotStretch {
    /// Its name in the legend.
    pub name: String,
    /// Its colour.
    pub tone: Tone,
    /// Where it begins and ends.
    pub between: (f64, f64),
}

/// An entry of a plot's legend.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PlotKey<'a> {
    /// A curve or a line across the plot.
    Line {
        /// What it is.
        name: &'a str,
        /// Its colour.
        tone: Tone,
        /// Its kind of line.
        dash: Dash,
    },
    /// Bars or a shaded stretch.
    Area {
        /// What it is.
        name: &'a str,
        /// Its colour.
        tone: Tone,
        /// Whether the plot shows through it.
        faded: bool,
    },
    /// Single points.
    Dot {
        /// What it is.
        name: &'a str,
        /// Its colour.
        tone: Tone,
        /// Its form.
        glyph: Glyph,
    },
}

impl<'a> PlotKey<'a> {
    /// What it is.
    pub const fn name(self) -> &'a str {
        match self {
            Self::Line { name, .. } | Self::Area { name, .. } | Self::Dot { name, .. } => name,
        }
    }

    /// Its colour.
    pub const fn tone(self) -> Tone {
        match self {
            Self::Line { tone, .. } | Self::Area { tone, .. } | Self::Dot { tone, .. } => tone,
        }
    }
}

impl PlotData {
    /// What is to be told of what the plot holds, each name once; what holds nothing is left out.
    pub fn legend(&self) -> Vec<PlotKey<'_>> {
        let curves = self.curves.iter();
        let curves = curves.map(|c| PlotKey::Line { name: &c.name, tone: c.tone, dash: c.dash });
        let bars = self.bars.iter().filter(|bars| !bars.bars.is_empty());
        let bars = bars.map(|b| PlotKey::Area { name: &b.name, tone: b.tone, faded: false });
        let dots = self.dots.iter().filter(|dots| !dots.dots.is_empty());
        let dots = dots.map(|d| PlotKey::Dot { name: &d.name, tone: d.tone, glyph: d.glyph });
        let stretches = self.stretches.iter();
        let stretches = stretches.map(|s| PlotKey::Area { name: &s.name, tone: s.tone, faded: true });
        let rules = self.rules.iter();
        let rules = rules.map(|r| PlotKey::Line { name: &r.name, tone: r.tone, dash: r.dash });
        let mut all: Vec<PlotKey<'_>> = Vec::new();
        for key in curves.chain(bars).chain(dots).chain(stretches).chain(rules) {
            if !key.name().is_empty() && !all.iter().any(|known| known.name() == key.name()) {
                all.push(key);
            }
        }
        all
    }

    /// What both axes show: all there is, with some air: low and high corner. `None` where nothing is finite.
    pub fn bounds(&self) -> Option<(DVec2, DVec2)> {
        let curves = self.curves.iter().flat_map(|curve| curve.points.iter().copied());
        let dots = self.dots.iter().flat_map(|dots| dots.dots.iter().map(|(at, _)| *at));
        let bars = self
            .bars
            .iter()
            .flat_map(|bars| &bars.bars)
            .flat_map(|bar| [DVec2::new(bar.between.0, 0.0), DVec2::new(bar.between.1, bar.height)]);
        let usable = |v: &f64| v.is_finite() && v.abs() < 1e150;
        let mut across: Vec<f64> = Vec::new();
        let mut up: Vec<f64> = Vec::new();
        for point in curves.chain(dots).chain(bars).filter(|p| usable(&p.x) && usable(&p.y)) {
            across.push(point.x);
            up.push(point.y);
        }
        for rule in self.rules.iter().filter(|rule| usable(&rule.at)) {
            if rule.upright { across.push(rule.at) } else { up.push(rule.at) }
        }
        let stands_on_zero = !self.bars.is_empty();
        let across = span(across, self.across.holds, [0.02, 0.02])?;
        let up = span(up, self.up.holds, [if stands_on_zero { 0.0 } else { 0.06 }, 0.06])?;
        Some((DVec2::new(across.0, up.0), DVec2::new(across.1, up.1)))
    }

    /// The plot as a drawing of a size (pt).
    pub fn drawing(&self, size_pt: DVec2) -> Drawing {
        draw::drawing(self, size_pt)
    }
}

/// What values span, with shares of air below and above.
fn span(values: Vec<f64>, holds: Option<(f64, f64)>, air: [f64; 2]) -> Option<(f64, f64)> {
    let held = holds.into_iter().flat_map(|(from, to)| [from, to]).filter(|v| v.is_finite());
    let all = values.into_iter().chain(held);
    let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| (lo.min(v), hi.max(v)));
    if low > high {
        return None;
    }
    let size = high - low;
    let none = !(size > 1e-9 * high.abs().max(low.abs()) && size > 0.0);
    let room = if none { high.abs().max(1.0) } else { size };
    Some((low - air[0] * room, high + air[1] * room))
        .map(|(low, high)| if high > low { (low, high) } else { (low - 0.5, high + 0.5) })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curve(points: &[(f64, f64)]) -> PlotData {
        let points = points.iter().map(|&(x, y)| DVec2::new(x, y)).collect();
        let curve = PlotCurve { name: "gap".to_owned(), tone: Tone::Ink, dash: Dash::Solid, points };
        PlotData { curves: vec![curve], ..PlotData::default() }
    }

    #[test]
    fn everything_has_room() {
        let mut plot = curve(&[(0.0, -1.0), (10.0, 3.0), (5.0, f64::NAN)]);
        plot.rules.push(PlotRule {
            name: "required".to_owned(),
            tone: Tone::Marginal,
            dash: Dash::Dashed,
            upright: false,
            at: 5.0,
        });
        let (low, high) = plot.bounds().unwrap();
        assert!(low.x <= 0.0 && low.y <= -1.0 && high.x >= 10.0 && high.y >= 5.0);
        assert!(high.y < 6.0);
    }

    #[test]
    fn nothing_finite_is_no_plot_and_one_value_has_air() {
        assert_eq!(curve(&[(f64::NAN, 1.0)]).bounds(), None);
        assert_eq!(PlotData::default().bounds(), None);
        let (low, high) = curve(&[(2.0, 0.0)]).bounds().unwrap();
        assert!(high.x > low.x && high.y > low.y && (high - low).is_finite());
    }

    #[test]
    fn drawn_whatever_it_holds() {
        for plot in [PlotData::default(), curve(&[(f64::INFINITY, f64::NAN)]), curve(&[(1.0, 1e300)])] {
            for size in [DVec2::new(600.0, 400.0), DVec2::new(1.0, 1.0), DVec2::splat(f64::NAN)] {
                let page = plot.drawing(size).page();
                assert!(page.inks.len() < 200);
            }
        }
    }
}
