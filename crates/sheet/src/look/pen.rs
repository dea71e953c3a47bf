//! Pens, fills and hatches.

use glam::DVec2;

use super::Tone;

/// Kinds of line, after the basic types of ISO 128-2.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Dash {
    /// Continuous: visible outlines, dimensions, hatching.
    #[default]
    Solid,
    /// Dashed: hidden outlines.
    Dashed,
    /// Long dash, dot: centre lines, axes.
    Centre,
    /// Long dash, two dots: neighbouring or alternative positions.
    Phantom,
    /// Dotted.
    Dotted,
}

impl Dash {
    /// Lengths of dashes and gaps in turn (pt) for a line of some width (pt); empty when continuous.
    ///
    /// In line widths: dash 12, long dash 24, gap 3, dot 0.5 (ISO 128-2, from memory). The dot is drawn
    /// one width long, since half a width all but vanishes on a screen, and lines thinner than 0.6 pt
    /// take the pattern of 0.6 pt for the same reason.
    pub fn pattern(self, width_pt: f64) -> Vec<f64> {
        let w = width_pt.max(0.6);
        let (dash, long, gap, dot): (f64, f64, f64, f64) = (12.0, 24.0, 3.0, 1.0);
        let widths: &[f64] = match self {
            Self::Solid => &[],
            Self::Dashed => &[0.5 * dash, gap],
            Self::Centre => &[long, gap, dot, gap],
            Self::Phantom => &[long, gap, dot, gap, dot, gap],
            Self::Dotted => &[dot, gap],
        };
        widths.iter().map(|n| n * w).collect()
    }
}

/// How a line is drawn. Widths are points: they do not change with zoom.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pen {
    /// Colour.
    pub tone: Tone,
    /// Width (pt).
    pub width_pt: f64,
    /// Kind of line.
    pub dash: Dash,
    /// Opacity, 0 to 1.
    pub opacity: f64,
    /// How far the tone is lightened (above 0, to 1) or darkened (below 0, to −1).
    pub shade: f64,
}

impl Pen {
    /// Width of a wide line: visible outlines (pt).
    pub const WIDE_PT: f64 = 1.0;
    /// Width of a narrow line: dimensions, hatching, centre lines (pt). Half the wide one, as in ISO 128-2.
    pub const NARROW_PT: f64 = 0.5;

    /// A continuous line.
    pub const fn new(tone: Tone, width_pt: f64) -> Self {
        Self { tone, width_pt, dash: Dash::Solid, opacity: 1.0, shade: 0.0 }
    }

    /// A continuous wide line.
    pub const fn wide(tone: Tone) -> Self {
        Self::new(tone, Self::WIDE_PT)
    }

    /// A continuous narrow line.
    pub const fn narrow(tone: Tone) -> Self {
        Self::new(tone, Self::NARROW_PT)
    }

    /// Another kind of line.
    pub const fn dashed(mut self, dash: Dash) -> Self {
        self.dash = dash;
        self
    }

    /// Another opacity.
    pub const fn faded(mut self, opacity: f64) -> Self {
        self.opacity = opacity;
        self
    }

    /// Lightened or darkened.
    pub const fn shaded(mut self, shade: f64) -> Self {
        self.shade = shade;
        self
    }
}

/// How an area is filled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fill {
    /// Colour.
    pub tone: Tone,
    /// Opacity, 0 to 1.
    pub opacity: f64,
    /// Shaded like a round bar seen from the side: the two edges of the bar, as points of the path's
    /// own units. The light comes from the first.
    pub round: Option<(DVec2, DVec2)>,
    /// How far the tone is lightened (above 0, to 1) or darkened (below 0, to −1): a face turned to the light or
    /// away from it.
    pub shade: f64,
}

impl Fill {
    /// A flat opaque fill.
    pub const fn flat(tone: Tone) -> Self {
        Self { tone, opacity: 1.0, round: None, shade: 0.0 }
    }

    /// A flat fill that lets through what is below.
    pub const fn faded(tone: Tone, opacity: f64) -> Self {
        Self { tone, opacity, round: None, shade: 0.0 }
    }

    /// Shaded like a round bar between two edges.
    pub const fn round(tone: Tone, lit_edge: DVec2, dark_edge: DVec2) -> Self {
        Self { tone, opacity: 1.0, round: Some((lit_edge, dark_edge)), shade: 0.0 }
    }

    /// Lightened or darkened.
    pub const fn shaded(mut self, shade: f64) -> Self {
        self.shade = shade;
        self
    }
}

impl From<Tone> for Fill {
    fn from(tone: Tone) -> Self {
        Self::flat(tone)
    }
}

/// Parallel lines over an area. The pattern is fixed to the first point of the path, so it travels
/// with the part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hatch {
    /// Colour.
    pub tone: Tone,
    /// Direction of the lines (rad, as the reader sees it).
    pub turn: f64,
    /// Distance of the lines (pt).
    pub spacing_pt: f64,
    /// Width of the lines (pt).
    pub width_pt: f64,
    /// A second family of lines square to the first.
    pub crossed: bool,
}

impl Hatch {
    /// Lines at 45°, 4 pt apart: cut material.
    pub const fn section(tone: Tone) -> Self {
        Self {
            tone,
            turn: std::f64::consts::FRAC_PI_4,
            spacing_pt: 4.0,
            width_pt: Pen::NARROW_PT,
            crossed: false,
        }
    }

    /// Lines the other way, for the neighbouring part.
    pub const fn leaning_back(mut self) -> Self {
        self.turn = -self.turn;
        self
    }

    /// Other distances.
    pub const fn spaced(mut self, spacing_pt: f64) -> Self {
        self.spacing_pt = spacing_pt;
        self
    }

    /// With a second family of lines.
    pub const fn crossed(mut self) -> Self {
        self.crossed = true;
        self
    }
}
