//! Dimensions and centre lines as data; how they are laid out on paper is the page's business.

use glam::DVec2;

use crate::look::Tone;

/// A dimension in the manner of ISO 129-1: narrow lines, filled arrowheads, text above its line and
/// readable from below or from the right. Where the room between the extension lines is too small the
/// arrowheads move outside, then the text.
#[derive(Clone, Debug, PartialEq)]
pub struct Dimension {
    /// What is measured.
    pub kind: DimensionKind,
    /// The words on it ("Ø22", "R6", "30.00").
    pub text: String,
    /// The colour of lines and text.
    pub tone: Tone,
    /// Type size (pt).
    pub size_pt: f64,
}

/// What a [`Dimension`] measures. Points are world points; horizontal and vertical are on paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DimensionKind {
    /// The horizontal distance of two points. The line stands `offset_pt` below the lower of them, or
    /// above the upper of them if the offset is negative.
    Horizontal {
        /// One point.
        from: DVec2,
        /// The other point.
        to: DVec2,
        /// Where the line stands (pt).
        offset_pt: f64,
    },
    /// The vertical distance of two points. The line stands `offset_pt` to the right of the righter of
    /// them, or to the left of the lefter if the offset is negative.
    Vertical {
        /// One point.
        from: DVec2,
        /// The other point.
        to: DVec2,
        /// Where the line stands (pt).
        offset_pt: f64,
    },
    /// The distance of two points, along the line through them. The line stands `offset_pt` to the
    /// right of the walk from one to the other, as the reader sees it.
    Aligned {
        /// One point.
        from: DVec2,
        /// The other point.
        to: DVec2,
        /// Where the line stands (pt).
        offset_pt: f64,
    },
    /// A radius, pointing at the arc at a world angle (rad).
    Radius {
        /// Centre of the arc.
        centre: DVec2,
        /// Its radius (world units).
        radius: f64,
        /// Where on the arc (rad, from +x towards +y of the world).
        angle: f64,
    },
    /// A diameter, across the circle at a world angle (rad).
    Diameter {
        /// Centre of the circle.
        centre: DVec2,
        /// Its radius (world units).
        radius: f64,
        /// Where on the circle the text stands if it has no room inside (rad).
        angle: f64,
    },
    /// The angle walked from one world direction to another, counter-clockwise in the world.
    Angle {
        /// Where the legs meet.
        vertex: DVec2,
        /// Direction of the first leg (rad).
        from: f64,
        /// Direction of the second leg (rad).
        to: f64,
        /// Radius of the dimension line (pt).
        radius_pt: f64,
    },
    /// A note with a line to a point.
    Leader {
        /// The point noted.
        tip: DVec2,
        /// From the tip to where the text's shelf begins (pt, y down).
        elbow_pt: DVec2,
        /// A dot (for a surface) instead of an arrowhead (for an edge).
        dot: bool,
    },
}

impl Dimension {
    /// A dimension with its text, in the usual colour and size.
    pub fn new(kind: DimensionKind, text: impl Into<String>) -> Self {
        Self { kind, text: text.into(), tone: Tone::Dimension, size_pt: 8.0 }
    }

    /// In another colour.
    pub fn toned(mut self, tone: Tone) -> Self {
        self.tone = tone;
        self
    }
}

/// The centre lines of a circle: two long-dash-dot lines crossing, reaching a little beyond it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CentreCross {
    /// The centre.
    pub centre: DVec2,
    /// The radius (world units).
    pub radius: f64,
}
