//! Outlines from SVG path data (SVG 2, chapter 9).

use std::f64::consts::{PI, TAU};
use std::fmt;

use glam::DVec2;
use glidewright_geometry::{Edge, Outline, Region};
use svgtypes::{PathParser, PathSegment};

/// Longest path data read (bytes).
const LONGEST_PATH: usize = 200_000;
/// Most edges a path may come to; finding crossings takes the square of their number.
const MOST_EDGES: usize = 2000;
/// Largest coordinate (mm).
const LARGEST: f64 = 1e5;
/// How far straight replacements of curves may lie from them (mm).
const CURVE_TOLERANCE: f64 = 0.005;
/// Points closer than this (mm) are one point.
const SAME_POINT: f64 = 1e-9;
/// Radii of an arc that differ by less than this share are those of a circle.
const SAME_RADIUS: f64 = 1e-9;

/// Why path data gives no shape.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum ShapeError {
    /// The data is longer than is read.
    TooLong,
    /// The path has more edges than are worked with.
    TooDetailed,
    /// The data breaks the rules of paths.
    Syntax(String),
    /// A coordinate is not finite or too large.
    TooLarge,
    /// A part of the path is not closed; its number, from 1.
    NotClosed(usize),
    /// There is nothing in it.
    Empty,
    /// It encloses several regions where one is meant.
    Several,
    /// The outlines cross, touch or lie wrong.
    Broken(String),
}

impl fmt::Display for ShapeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLong => write!(f, "the path data is longer than {LONGEST_PATH} characters"),
            Self::TooDetailed => write!(f, "the path has more than {MOST_EDGES} edges"),
            Self::Syntax(what) => write!(f, "the path data cannot be read: {what}"),
            Self::TooLarge => write!(f, "a coordinate of the path is beyond {LARGEST} mm"),
            Self::NotClosed(part) => write!(f, "part {part} of the path is not closed"),
            Self::Empty => write!(f, "the path encloses nothing"),
            Self::Several => f.write_str("the path encloses several areas beside each other"),
            Self::Broken(what) => write!(f, "the path gives no sound outline: {what}"),
        }
    }
}

impl std::error::Error for ShapeError {}

/// The region a path encloses (mm), as it looks on screen: the data's y grows downwards, the region's
/// upwards. The largest closed part is the outer boundary, the others are holes in it. Circular arcs stay
/// arcs; other curves become straight pieces within 0.005 mm.
///
/// # Errors
/// When the data cannot be read, or what it draws is no outline with holes.
pub fn region_from_path(data: &str) -> Result<Region, ShapeError> {
    match regions_seen(data, DVec2::ONE)?.as_slice() {
        [region] => Ok(region.clone()),
        _ => Err(ShapeError::Several),
    }
}

/// The regions a path encloses in a plane of which a unit to the right and one up on screen are `axes`, each 1 or −1, the
/// largest first: a closed part inside another is a hole in it, those beside each other bound a region each.
///
/// # Errors
/// When the data cannot be read, or what it draws are no outlines with holes, apart from each other.
pub(crate) fn regions_seen(data: &str, axes: DVec2) -> Result<Vec<Region>, ShapeError> {
    if data.len() > LONGEST_PATH {
        return Err(ShapeError::TooLong);
    }
    // The data's y grows downwards.
    let mut outlines = outlines(data, axes * DVec2::new(1.0, -1.0))?;
    outlines.sort_by(|a, b| b.area().total_cmp(&a.area()));
    let mut regions: Vec<Region> = Vec::new();
    for outline in outlines {
        let inside = |region: &&mut Region| {
            outline.edges.first().is_some_and(|edge| region.outer.contains(edge.at(0.5)))
        };
        match regions.iter_mut().find(inside) {
            Some(region) => region.holes.push(outline),
            None => regions.push(outline.into()),
        }
    }
    for region in &regions {
        region.check().map_err(|error| ShapeError::Broken(error.to_string()))?;
    }
    if regions.is_empty() {
        return Err(ShapeError::Empty);
    }
    if regions.len() > 1 {
        // Holes of a sheet large enough lie apart from each other, or are no holes.
        let sheet = Outline::rectangle(DVec2::splat(-2.0 * LARGEST), DVec2::splat(2.0 * LARGEST));
        let outers = regions.iter().map(|region| region.outer.clone()).collect();
        Region::new(sheet, outers).check().map_err(|error| ShapeError::Broken(error.to_string()))?;
    }
    Ok(regions)
}

/// The closed parts of a path, each counter-clockwise, after its axes have been turned as `axes` says.
fn outlines(data: &str, axes: DVec2) -> Result<Vec<Outline>, ShapeError> {
    let mut pen = Pen::default();
    for segment in PathParser::from(data) {
        let segment = segment.map_err(|error| ShapeError::Syntax(error.to_string()))?;
        pen.draw(segment)?;
        if pen.edge_count > MOST_EDGES {
            return Err(ShapeError::TooDetailed);
        }
    }
    pen.finish_part()?;
    Ok(pen
        .parts
        .into_iter()
        .map(|edges| {
            let outline = Outline { edges: edges.into_iter().map(|edge| turned(edge, axes)).collect() };
            if outline.area() < 0.0 { outline.reversed() } else { outline }
        })
        .collect())
}

/// The edge with its axes turned round where `axes` is −1.
fn turned(edge: Edge, axes: DVec2) -> Edge {
    match edge {
        Edge::Line { from, to } => Edge::Line { from: axes * from, to: axes * to },
        Edge::Arc { centre, radius, start, sweep } => {
            let mirrored = axes.x * axes.y;
            // Turning x round as well is half a turn more.
            let start = if axes.x < 0.0 { PI + mirrored * start } else { mirrored * start };
            Edge::Arc { centre: axes * centre, radius, start, sweep: mirrored * sweep }
        }
    }
}

/// Draws segments into closed parts.
#[derive(Default)]
struct Pen {
    parts: Vec<Vec<Edge>>,
    edges: Vec<Edge>,
    edge_count: usize,
    start: DVec2,
    at: DVec2,
    /// Last control point, for the smooth curves.
    cubic: Option<DVec2>,
    quadratic: Option<DVec2>,
}

impl Pen {
    fn draw(&mut self, segment: PathSegment) -> Result<(), ShapeError> {
        let point = |abs: bool, x: f64, y: f64| {
            let p = DVec2::new(x, y) + if abs { DVec2::ZERO } else { self.at };
            if p.abs().max_element() <= LARGEST { Ok(p) } else { Err(ShapeError::TooLarge) }
        };
        let (mut cubic, mut quadratic) = (None, None);
        match segment {
            PathSegment::MoveTo { abs, x, y } => {
                let to = point(abs, x, y)?;
                self.finish_part()?;
                self.start = to;
                self.at = to;
            }
            PathSegment::LineTo { abs, x, y } => {
                let to = point(abs, x, y)?;
                self.line(to);
            }
            PathSegment::HorizontalLineTo { abs, x } => {
                let to = point(abs, x, if abs { self.at.y } else { 0.0 })?;
                self.line(to);
            }
            PathSegment::VerticalLineTo { abs, y } => {
                let to = point(abs, if abs { self.at.x } else { 0.0 }, y)?;
                self.line(to);
            }
            PathSegment::CurveTo { abs, x1, y1, x2, y2, x, y } => {
                let (a, b, to) = (point(abs, x1, y1)?, point(abs, x2, y2)?, point(abs, x, y)?);
                self.cubic_curve(a, b, to);
                cubic = Some(b);
            }
            PathSegment::SmoothCurveTo { abs, x2, y2, x, y } => {
                let a = self.cubic.map_or(self.at, |last| 2.0 * self.at - last);
                let (b, to) = (point(abs, x2, y2)?, point(abs, x, y)?);
                self.cubic_curve(a, b, to);
                cubic = Some(b);
            }
            PathSegment::Quadratic { abs, x1, y1, x, y } => {
                let (a, to) = (point(abs, x1, y1)?, point(abs, x, y)?);
                self.quadratic_curve(a, to);
                quadratic = Some(a);
            }
            PathSegment::SmoothQuadratic { abs, x, y } => {
                let a = self.quadratic.map_or(self.at, |last| 2.0 * self.at - last);
                let to = point(abs, x, y)?;
                self.quadratic_curve(a, to);
                quadratic = Some(a);
            }
            PathSegment::EllipticalArc { abs, rx, ry, x_axis_rotation, large_arc, sweep, x, y } => {
                let to = point(abs, x, y)?;
                if !(rx.is_finite() && ry.is_finite() && x_axis_rotation.is_finite())
                    || rx.abs().max(ry.abs()) > LARGEST
                {
                    return Err(ShapeError::TooLarge);
                }
                self.arc(rx.abs(), ry.abs(), x_axis_rotation.to_radians(), large_arc, sweep, to);
            }
            PathSegment::ClosePath { .. } => {
                let start = self.start;
                if self.at.distance(start) > SAME_POINT {
                    self.line(start);
                }
                self.at = start;
                self.finish_part()?;
            }
        }
        self.cubic = cubic;
        self.quadratic = quadratic;
        Ok(())
    }

    fn finish_part(&mut self) -> Result<(), ShapeError> {
        if self.edges.is_empty() {
            return Ok(());
        }
        if self.at.distance(self.start) > SAME_POINT {
            return Err(ShapeError::NotClosed(self.parts.len() + 1));
        }
        self.parts.push(std::mem::take(&mut self.edges));
        Ok(())
    }

    fn push(&mut self, edge: Edge) {
        // Beyond the limit nothing more is kept; the caller gives up.
        if self.edge_count <= MOST_EDGES {
            self.edges.push(edge);
        }
        self.edge_count += 1;
    }

    fn line(&mut self, to: DVec2) {
        if to.distance(self.at) > SAME_POINT {
            self.push(Edge::Line { from: self.at, to });
            self.at = to;
        }
    }

    /// Straight pieces along a curve; `bend` bounds its second derivative over the parameter 0 to 1: a chord
    /// over a step h sags by at most h²·bend/8.
    fn flatten(&mut self, bend: f64, curve: impl Fn(f64) -> DVec2) {
        let steps = (bend / (8.0 * CURVE_TOLERANCE)).sqrt().ceil().clamp(1.0, MOST_EDGES as f64);
        let count = steps as usize;
        for step in 1..=count {
            self.line(curve(step as f64 / steps));
        }
    }

    fn quadratic_curve(&mut self, a: DVec2, to: DVec2) {
        let from = self.at;
        let bend = 2.0 * (from - 2.0 * a + to).length();
        self.flatten(bend, |t| from.lerp(a, t).lerp(a.lerp(to, t), t));
    }

    fn cubic_curve(&mut self, a: DVec2, b: DVec2, to: DVec2) {
        let from = self.at;
        let bend = 6.0 * (from - 2.0 * a + b).length().max((a - 2.0 * b + to).length());
        self.flatten(bend, |t| {
            let (p, q, r) = (from.lerp(a, t), a.lerp(b, t), b.lerp(to, t));
            p.lerp(q, t).lerp(q.lerp(r, t), t)
        });
    }

    /// From end points to centre as in SVG 2, appendix B.2.4, with the corrections of B.2.5.
    fn arc(&mut self, rx: f64, ry: f64, turn: f64, large: bool, sweep: bool, to: DVec2) {
        let from = self.at;
        if from.distance(to) <= SAME_POINT {
            return;
        }
        if rx == 0.0 || ry == 0.0 {
            self.line(to);
            return;
        }
        let half = DVec2::from_angle(-turn).rotate(0.5 * (from - to));
        let scale = (half / DVec2::new(rx, ry)).length().max(1.0);
        let (rx, ry) = (rx * scale, ry * scale);
        let unit = half / DVec2::new(rx, ry);
        let length = unit.length_squared();
        let reach = ((1.0 - length) / length).max(0.0).sqrt() * if large == sweep { -1.0 } else { 1.0 };
        let centre_unit = reach * DVec2::new(unit.y, -unit.x);
        let radii = DVec2::new(rx, ry);
        let centre = DVec2::from_angle(turn).rotate(centre_unit * radii) + 0.5 * (from + to);
        let start = (unit - centre_unit).to_angle();
        let end = (-unit - centre_unit).to_angle();
        let mut angle = end - start;
        if sweep && angle < 0.0 {
            angle += TAU;
        } else if !sweep && angle > 0.0 {
            angle -= TAU;
        }
        if (rx - ry).abs() <= SAME_RADIUS * rx {
            self.push(Edge::Arc { centre, radius: rx, start: start + turn, sweep: angle });
            self.at = to;
        } else {
            let axis = DVec2::from_angle(turn);
            self.flatten(angle * angle * rx.max(ry), |t| {
                if t == 1.0 {
                    return to;
                }
                axis.rotate(DVec2::from_angle(start + t * angle) * radii) + centre
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;

    fn area(data: &str) -> f64 {
        region_from_path(data).unwrap_or_else(|error| panic!("{data}: {error}")).area()
    }

    fn check(data: &str, expected: f64, tolerance: f64) {
        let got = area(data);
        assert!((got - expected).abs() <= tolerance, "{data}: {got}, not {expected}");
    }

    #[test]
    fn straight_outlines_in_every_notation() {
        check("M0 0 L40 0 L40 30 L0 30 Z", 1200.0, 1e-9);
        check("m0,0h40v30h-40z", 1200.0, 1e-9);
        check("M0,0 40,0 40,30 0,30Z", 1200.0, 1e-9);
        check("M10 10 H50 V40 H10 Z M20 20 h10 v10 h-10 z", 1100.0, 1e-9);
        // Relative moves after closing count from the start of the part closed.
        check("M0 0h40v30h-40z m10 10h10v10h-10z", 1100.0, 1e-9);
    }

    #[test]
    fn arcs_and_curves_enclose_what_they_should() {
        check("M-10 0 A10 10 0 0 1 10 0 A10 10 0 0 1 -10 0 Z", PI * 100.0, 1e-9);
        check("M-10 0 A10 10 0 1 0 10 0 A10 10 0 1 0 -10 0 Z", PI * 100.0, 1e-9);
        // An ellipse with half axes 20 and 10, turned by 30°.
        check(
            "M17.3205080757 10 A20 10 30 0 1 -17.3205080757 -10 A20 10 30 0 1 17.3205080757 10Z",
            PI * 200.0,
            0.5,
        );
        // Half a circle of radius too small is scaled up to reach.
        check("M0 0 A1 1 0 0 1 20 0 Z", PI * 50.0, 1e-9);
        // Parabola y = x²: the segment under a chord of width 2a and height h has area 4/3·a·h.
        check("M-10 0 Q0 20 10 0 Z", 4.0 / 3.0 * 10.0 * 10.0, 0.2);
        // A cubic that is the same parabola.
        check("M-10 0 C-3.3333333333 13.3333333333 3.3333333333 13.3333333333 10 0 Z", 400.0 / 3.0, 0.2);
        check("M-10 0 Q0 20 10 0 T30 0 L30 40 L-10 40 Z", 1600.0, 0.5);
    }

    #[test]
    fn y_points_up_afterwards() {
        let region = region_from_path("M0 0 L40 0 L40 30 Z").unwrap();
        let bounds = region.bounds();
        assert_eq!((bounds.low, bounds.high), (DVec2::new(0.0, -30.0), DVec2::new(40.0, 0.0)));
    }

    #[test]
    fn what_is_no_outline_is_refused() {
        let check = |data: &str, expected: fn(&ShapeError) -> bool| {
            let error = region_from_path(data).unwrap_err();
            assert!(expected(&error), "{data}: {error}");
        };
        check("", |e| *e == ShapeError::Empty);
        check("M0 0", |e| *e == ShapeError::Empty);
        check("M0 0 L10 0 L10 10", |e| *e == ShapeError::NotClosed(1));
        check("M0 0 L10 0 L10 x Z", |e| matches!(e, ShapeError::Syntax(_)));
        check("L10 0", |e| matches!(e, ShapeError::Syntax(_)));
        check("M0 0 L40 30 L40 0 L0 30 Z", |e| matches!(e, ShapeError::Broken(_)));
        check("M0 0 h10 v10 h-10 z M20 0 h5 v5 h-5 z", |e| *e == ShapeError::Several);
        check("M0 0 h1e9 v10 h-10 z", |e| *e == ShapeError::TooLarge);
        check("M0 0 h1e999 v10 z", |e| matches!(e, ShapeError::TooLarge | ShapeError::Syntax(_)));
        check(&format!("M0 0{}", " l1 1".repeat(60_000)), |e| *e == ShapeError::TooLong);
        check(&format!("M0 0{} Z", " l1 1".repeat(30_000)), |e| *e == ShapeError::TooDetailed);
    }
}
