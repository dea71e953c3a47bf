//! Paths of lines, arcs and cubic curves.

use glam::{DAffine2, DVec2};
use glidewright_geometry::{Edge, Outline};
use kurbo::{BezPath, ParamCurve, ParamCurveNearest, PathEl, Shape as _};

use super::Rect;

/// Relative accuracy with which arcs become cubic curves: 1 µm on a radius of 100 mm, far below a
/// pixel at any useful zoom and below what a printer can place.
const ARC_ACCURACY: f64 = 1e-5;

/// Radii an arc may have: outside, its accuracy underflows or its points overflow.
const RADII: std::ops::Range<f64> = 1e-12..1e150;

/// One chain of a [`Path`] flattened to points.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Contour {
    /// The points in order; a closed chain does not repeat its first point.
    pub points: Vec<DVec2>,
    /// Whether the last point joins the first.
    pub closed: bool,
}

/// One step of a [`Path`], for painters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Run {
    /// Start a new chain here.
    Move(DVec2),
    /// A straight line to here.
    Line(DVec2),
    /// A cubic curve with two control points to the last.
    Cubic(DVec2, DVec2, DVec2),
    /// Join the chain's start.
    Close,
}

/// A path of any number of chains, open or closed. Fills use the even-odd rule, so a hole is one more
/// closed chain inside.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Path(BezPath);

fn k(p: DVec2) -> kurbo::Point {
    kurbo::Point::new(p.x, p.y)
}

fn g(p: kurbo::Point) -> DVec2 {
    DVec2::new(p.x, p.y)
}

impl Path {
    /// The empty path.
    pub fn new() -> Self {
        Self::default()
    }

    /// A closed rectangle.
    pub fn rect(rect: Rect) -> Self {
        Self::polyline(&rect.corners(), true)
    }

    /// A closed rectangle with rounded corners; the radius is cut to what fits.
    pub fn rounded_rect(rect: Rect, radius: f64) -> Self {
        let radius = radius.min(0.5 * rect.size().min_element());
        if !RADII.contains(&radius) {
            return Self::rect(rect);
        }
        let shape = kurbo::RoundedRect::new(rect.min.x, rect.min.y, rect.max.x, rect.max.y, radius);
        Self(shape.to_path(ARC_ACCURACY * radius))
    }

    /// A full circle; empty where [`Path::arc`] would ignore it.
    pub fn circle(centre: DVec2, radius: f64) -> Self {
        let mut path = Self::new();
        path.arc(centre, radius, 0.0, std::f64::consts::TAU);
        path.close();
        path
    }

    /// One straight line.
    pub fn line(from: DVec2, to: DVec2) -> Self {
        Self::polyline(&[from, to], false)
    }

    /// A chain of straight lines.
    pub fn polyline(points: &[DVec2], closed: bool) -> Self {
        let mut path = Self::new();
        for (i, &p) in points.iter().enumerate() {
            if i == 0 {
                path.move_to(p);
            } else {
                path.line_to(p);
            }
        }
        if closed && !points.is_empty() {
            path.close();
        }
        path
    }

    /// The outline as one closed chain.
    pub fn outline(outline: &Outline) -> Self {
        let mut path = Self::new();
        path.add_outline(outline);
        path
    }

    /// An outline with holes.
    pub fn outline_with_holes<'a>(outer: &Outline, holes: impl IntoIterator<Item = &'a Outline>) -> Self {
        let mut path = Self::outline(outer);
        for hole in holes {
            path.add_outline(hole);
        }
        path
    }

    /// Starts a new chain.
    pub fn move_to(&mut self, p: DVec2) -> &mut Self {
        self.0.move_to(k(p));
        self
    }

    /// A straight line from where the path stands; starts a chain if there is none.
    pub fn line_to(&mut self, p: DVec2) -> &mut Self {
        if self.is_open() {
            self.0.line_to(k(p));
        } else {
            self.0.move_to(k(p));
        }
        self
    }

    /// A cubic curve from where the path stands; starts a chain at `to` if there is none.
    pub fn cubic_to(&mut self, control_1: DVec2, control_2: DVec2, to: DVec2) -> &mut Self {
        if self.is_open() {
            self.0.curve_to(k(control_1), k(control_2), k(to));
        } else {
            self.0.move_to(k(to));
        }
        self
    }

    /// A circular arc from angle `start` through `sweep` (rad, from +x towards +y), joined by a line
    /// to where the path stands, or starting a chain. Ignored unless all is finite and the radius is
    /// between 1e-12 and 1e150.
    pub fn arc(&mut self, centre: DVec2, radius: f64, start: f64, sweep: f64) -> &mut Self {
        if !(RADII.contains(&radius) && start.is_finite() && sweep.is_finite()) {
            return self;
        }
        let sweep = sweep.clamp(-std::f64::consts::TAU, std::f64::consts::TAU);
        let first = centre + radius * DVec2::from_angle(start);
        if self.stands_at().is_none_or(|p| p.distance(first) > ARC_ACCURACY * radius) {
            self.line_to(first);
        }
        let arc = kurbo::Arc::new(k(centre), (radius, radius), start, sweep, 0.0);
        arc.to_cubic_beziers(ARC_ACCURACY * radius, |a, b, c| self.0.curve_to(a, b, c));
        self
    }

    /// Joins the open chain to its start.
    pub fn close(&mut self) -> &mut Self {
        if self.is_open() {
            self.0.close_path();
        }
        self
    }

    /// Adds an outline as one closed chain.
    pub fn add_outline(&mut self, outline: &Outline) -> &mut Self {
        let Some(first) = outline.edges.first() else { return self };
        self.move_to(first.from());
        for edge in &outline.edges {
            match *edge {
                Edge::Line { to, .. } => self.line_to(to),
                Edge::Arc { centre, radius, start, sweep } => self.arc(centre, radius, start, sweep),
            };
        }
        self.close()
    }

    /// Adds all chains of another path.
    pub fn append(&mut self, other: &Self) -> &mut Self {
        self.0.extend(other.0.iter());
        self
    }

    /// Whether there is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.0.elements().is_empty()
    }

    /// Where an open chain ends.
    fn stands_at(&self) -> Option<DVec2> {
        match *self.0.elements().last()? {
            PathEl::MoveTo(p) | PathEl::LineTo(p) | PathEl::QuadTo(_, p) | PathEl::CurveTo(_, _, p) => {
                Some(g(p))
            }
            PathEl::ClosePath => None,
        }
    }

    fn is_open(&self) -> bool {
        self.0.elements().last().is_some_and(|e| !matches!(e, PathEl::ClosePath))
    }

    /// Whether every coordinate is finite.
    pub fn is_finite(&self) -> bool {
        self.0.is_finite()
    }

    /// The path mapped through an affine transform.
    pub fn transformed(&self, by: &DAffine2) -> Self {
        let m = by.to_cols_array();
        Self(kurbo::Affine::new(m) * &self.0)
    }

    /// The smallest rectangle round it; `None` when empty or not finite.
    pub fn bounds(&self) -> Option<Rect> {
        if self.is_empty() {
            return None;
        }
        let b = self.0.bounding_box();
        let rect = Rect { min: DVec2::new(b.x0, b.y0), max: DVec2::new(b.x1, b.y1) };
        rect.is_finite().then_some(rect)
    }

    /// Whether a point is inside by the even-odd rule; open chains count as closed by a line.
    pub fn contains(&self, p: DVec2) -> bool {
        // Winding number and number of crossings have the same parity.
        p.is_finite() && self.0.winding(k(p)) & 1 != 0
    }

    /// The distance from a point to the drawn line, infinite for an empty path.
    pub fn distance(&self, p: DVec2) -> f64 {
        const ACCURACY: f64 = 1e-3;
        self.0.segments().map(|s| s.nearest(k(p), ACCURACY).distance_sq).fold(f64::INFINITY, f64::min).sqrt()
    }

    /// The steps of the path.
    pub fn runs(&self) -> impl Iterator<Item = Run> + '_ {
        let mut at = DVec2::ZERO;
        self.0.iter().map(move |e| match e {
            PathEl::MoveTo(p) => {
                at = g(p);
                Run::Move(at)
            }
            PathEl::LineTo(p) => {
                at = g(p);
                Run::Line(at)
            }
            PathEl::QuadTo(c, p) => {
                let (from, c) = (at, g(c));
                at = g(p);
                Run::Cubic(from + (c - from) * (2.0 / 3.0), at + (c - at) * (2.0 / 3.0), at)
            }
            PathEl::CurveTo(a, b, p) => {
                at = g(p);
                Run::Cubic(g(a), g(b), at)
            }
            PathEl::ClosePath => Run::Close,
        })
    }

    /// The chains as points, curves replaced by chords no farther than `tolerance` from them.
    pub fn flatten(&self, tolerance: f64) -> Vec<Contour> {
        let tolerance = if tolerance > 1e-6 { tolerance } else { 1e-6 };
        let mut contours: Vec<Contour> = Vec::new();
        if !self.is_finite() {
            return contours;
        }
        kurbo::flatten(self.0.iter(), tolerance, |e| match e {
            PathEl::MoveTo(p) => contours.push(Contour { points: vec![g(p)], closed: false }),
            PathEl::LineTo(p) => {
                if let Some(c) = contours.last_mut() {
                    c.points.push(g(p));
                }
            }
            PathEl::ClosePath => {
                if let Some(c) = contours.last_mut() {
                    c.closed = true;
                }
            }
            // `flatten` yields no curves.
            PathEl::QuadTo(..) | PathEl::CurveTo(..) => {}
        });
        for c in &mut contours {
            let repeats = c.closed
                && c.points.len() > 2
                && c.points.first().zip(c.points.last()).is_some_and(|(a, b)| a.distance(*b) < 1e-9);
            if repeats {
                c.points.pop();
            }
        }
        contours
    }

    /// The path cut into dashes; itself when the pattern is empty or unusable.
    pub fn dashed(&self, pattern: &[f64], offset: f64) -> Self {
        let period: f64 = pattern.iter().sum();
        let usable = period > 1e-3 && period.is_finite() && pattern.iter().all(|d| *d >= 0.0);
        if !usable || !offset.is_finite() || !self.is_finite() {
            return self.clone();
        }
        Self(kurbo::dash(self.0.iter(), offset, pattern).collect())
    }

    /// The point and unit direction at the start (`end` false) or the end of the path, the direction
    /// pointing out of the path; `None` for an empty or degenerate path.
    pub fn tip(&self, end: bool) -> Option<(DVec2, DVec2)> {
        let long = |s: &kurbo::PathSeg| s.start().distance_squared(s.end()) > 1e-18;
        let (segment, t, towards) = if end {
            (self.0.segments().filter(long).last()?, 1.0, 1.0 - 1e-3)
        } else {
            (self.0.segments().find(long)?, 0.0, 1e-3)
        };
        let (p, inner) = (g(segment.eval(t)), g(segment.eval(towards)));
        Some((p, (p - inner).try_normalize()?))
    }
}
