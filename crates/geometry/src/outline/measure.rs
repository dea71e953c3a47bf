//! Area, centroid, moments, bounds, inside tests.

use std::f64::consts::{FRAC_PI_2, PI};

use glam::DVec2;

use super::{Edge, Outline};

/// An upright rectangle (mm). Empty when `low` exceeds `high`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds2 {
    /// Least coordinates.
    pub low: DVec2,
    /// Greatest coordinates.
    pub high: DVec2,
}

/// Second moments of area about the centroid (mm⁴), axes parallel to the outline's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SecondMoments {
    /// ∫ x² dA.
    pub xx: f64,
    /// ∫ y² dA.
    pub yy: f64,
    /// ∫ x·y dA.
    pub xy: f64,
}

impl Bounds2 {
    /// Holds nothing.
    pub const EMPTY: Self = Self { low: DVec2::INFINITY, high: DVec2::NEG_INFINITY };

    /// Around points.
    pub fn around(points: impl IntoIterator<Item = DVec2>) -> Self {
        let mut bounds = Self::EMPTY;
        for p in points {
            bounds.add(p);
        }
        bounds
    }

    /// Grow to hold a point.
    pub fn add(&mut self, point: DVec2) {
        self.low = self.low.min(point);
        self.high = self.high.max(point);
    }

    /// Grow to hold another rectangle.
    pub fn join(&mut self, other: &Self) {
        self.low = self.low.min(other.low);
        self.high = self.high.max(other.high);
    }

    /// Extents (mm).
    pub fn size(&self) -> DVec2 {
        self.high - self.low
    }

    /// Middle (mm).
    pub fn centre(&self) -> DVec2 {
        0.5 * (self.low + self.high)
    }

    /// True if nothing is inside.
    pub fn is_empty(&self) -> bool {
        !(self.low.x <= self.high.x && self.low.y <= self.high.y)
    }
}

/// Area and its moments about a point, ∫ (1, x, y, x², y², xy) dA.
#[derive(Clone, Copy, Default)]
struct Moments {
    area: f64,
    first: DVec2,
    xx: f64,
    yy: f64,
    xy: f64,
}

impl Moments {
    fn add(&mut self, o: Self) {
        self.area += o.area;
        self.first += o.first;
        self.xx += o.xx;
        self.yy += o.yy;
        self.xy += o.xy;
    }

    /// The triangle (0, a, b), signed: counter-clockwise positive.
    fn triangle(a: DVec2, b: DVec2) -> Self {
        let cross = a.perp_dot(b);
        Self {
            area: 0.5 * cross,
            first: cross / 6.0 * (a + b),
            xx: cross / 12.0 * (a.x * a.x + a.x * b.x + b.x * b.x),
            yy: cross / 12.0 * (a.y * a.y + a.y * b.y + b.y * b.y),
            xy: cross / 24.0 * (2.0 * a.x * a.y + a.x * b.y + b.x * a.y + 2.0 * b.x * b.y),
        }
    }

    /// The circular segment between an arc and its chord, signed by the sense of walking. Its moments about
    /// the circle's centre in axes along and across its bisector are textbook ones (Young & Budynas, Roark's
    /// Formulas, table A.1, circular segment; from memory, checked against quadrature in the tests).
    fn segment(centre: DVec2, r: f64, start: f64, sweep: f64) -> Self {
        let half = 0.5 * sweep;
        let (s, c) = half.sin_cos();
        let double = 2.0 * s * c;
        let area = 0.5 * r * r * (sweep - double);
        let reach = 2.0 / 3.0 * r.powi(3) * s.powi(3);
        let along = r.powi(4) / 8.0 * (sweep - double + 2.0 * double * s * s);
        let across = r.powi(4) / 8.0 * (sweep - double - 2.0 / 3.0 * double * s * s);
        let axis = DVec2::from_angle(start + half);
        let first = reach * axis;
        let turned = Self {
            area,
            first,
            xx: along * axis.x * axis.x + across * axis.y * axis.y,
            yy: along * axis.y * axis.y + across * axis.x * axis.x,
            xy: (along - across) * axis.x * axis.y,
        };
        turned.shifted(centre)
    }

    /// The same area, its own origin standing at `by`.
    fn shifted(&self, by: DVec2) -> Self {
        let (a, f) = (self.area, self.first);
        Self {
            area: a,
            first: f + a * by,
            xx: self.xx + 2.0 * by.x * f.x + a * by.x * by.x,
            yy: self.yy + 2.0 * by.y * f.y + a * by.y * by.y,
            xy: self.xy + by.x * f.y + by.y * f.x + a * by.x * by.y,
        }
    }
}

impl Outline {
    /// Moments about `origin`, so that an outline far from the frame's origin loses no digits.
    fn moments(&self, origin: DVec2) -> Moments {
        let mut all = Moments::default();
        for edge in &self.edges {
            all.add(Moments::triangle(edge.from() - origin, edge.to() - origin));
            if let Edge::Arc { centre, radius, start, sweep } = *edge {
                all.add(Moments::segment(centre - origin, radius, start, sweep));
            }
        }
        all
    }

    fn origin(&self) -> DVec2 {
        self.edges.first().map_or(DVec2::ZERO, Edge::from)
    }

    /// Enclosed area (mm²), positive when counter-clockwise.
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline};
    /// let disc = Outline::circle(DVec2::new(100.0, 0.0), 2.0);
    /// assert!((disc.area() - 4.0 * std::f64::consts::PI).abs() < 1e-12);
    /// assert!(disc.reversed().area() < 0.0);
    /// ```
    pub fn area(&self) -> f64 {
        self.moments(self.origin()).area
    }

    /// Centroid of the enclosed area (mm); the middle of the bounds when the area is zero.
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline};
    /// let triangle = Outline::polygon(&[DVec2::ZERO, DVec2::new(6.0, 0.0), DVec2::new(0.0, 3.0)]);
    /// assert!((triangle.centroid() - DVec2::new(2.0, 1.0)).length() < 1e-12);
    /// ```
    pub fn centroid(&self) -> DVec2 {
        let origin = self.origin();
        let m = self.moments(origin);
        let centroid = origin + m.first / m.area;
        if m.area != 0.0 && centroid.is_finite() { centroid } else { self.bounds().centre() }
    }

    /// Second moments of area about the centroid (mm⁴).
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline};
    /// // b·h³/12 for bending about the axis along the width.
    /// let bar = Outline::rectangle(DVec2::ZERO, DVec2::new(6.0, 4.0));
    /// assert!((bar.second_moments().yy - 6.0 * 64.0 / 12.0).abs() < 1e-12);
    /// ```
    pub fn second_moments(&self) -> SecondMoments {
        let m = self.moments(self.centroid());
        SecondMoments { xx: m.xx, yy: m.yy, xy: m.xy }
    }

    /// Length of the boundary (mm).
    pub fn perimeter(&self) -> f64 {
        self.edges.iter().map(Edge::length).sum()
    }

    /// The smallest upright rectangle around the outline (mm).
    pub fn bounds(&self) -> Bounds2 {
        let mut bounds = Bounds2::EMPTY;
        for edge in &self.edges {
            bounds.join(&edge.bounds());
        }
        bounds
    }

    /// Distance from the boundary (mm); infinite for an empty outline.
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline};
    /// let bore = Outline::circle(DVec2::ZERO, 5.0);
    /// assert_eq!(bore.distance_to_boundary(DVec2::new(3.0, 0.0)), 2.0);
    /// assert_eq!(bore.distance_to_boundary(DVec2::new(7.0, 0.0)), 2.0);
    /// ```
    pub fn distance_to_boundary(&self, point: DVec2) -> f64 {
        self.edges.iter().map(|e| e.nearest(point).distance(point)).fold(f64::INFINITY, f64::min)
    }

    /// True if the point lies inside, whichever way the outline is walked. Points within 1e-9 mm of the
    /// boundary count as inside.
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline};
    /// let slot = Outline::slot(DVec2::ZERO, DVec2::new(9.0, 0.0), 2.0);
    /// assert!(slot.contains(DVec2::new(10.9, 0.0)) && !slot.contains(DVec2::new(10.9, 1.0)));
    /// ```
    pub fn contains(&self, point: DVec2) -> bool {
        // Parity of the crossings of a ray towards +x. Each edge ends where the next one starts, to the bit, so
        // that a ray through a corner counts once.
        let mut inside = false;
        for (edge, next) in self.edges.iter().zip(self.edges.iter().cycle().skip(1)) {
            inside ^= crosses_ray(edge, next.from(), point);
        }
        inside || self.distance_to_boundary(point) <= super::SAME_POINT
    }
}

/// True if a ray from `point` towards +x crosses the edge, ending at `to`, an odd number of times.
fn crosses_ray(edge: &Edge, to: DVec2, point: DVec2) -> bool {
    let from = edge.from();
    let straddles = |a: f64, b: f64| (a > point.y) != (b > point.y);
    match *edge {
        Edge::Line { .. } => {
            straddles(from.y, to.y)
                && point.x < from.x + (point.y - from.y) / (to.y - from.y) * (to.x - from.x)
        }
        Edge::Arc { centre, radius, start, sweep } => {
            // Split at the highest and lowest point of the circle; between them y only rises or only falls.
            let (low, high) = (start.min(start + sweep), start.max(start + sweep));
            let half = (radius * radius - (point.y - centre.y).powi(2)).max(0.0).sqrt();
            let mut odd = false;
            let mut y = from.y;
            let mut cross = |y: &mut f64, end: f64, middle: f64| {
                let x = if middle.cos() >= 0.0 { centre.x + half } else { centre.x - half };
                odd ^= straddles(*y, end) && point.x < x;
                *y = end;
            };
            let first = ((low - FRAC_PI_2) / PI).ceil() as i64;
            let extremes: Vec<f64> = (0..4_i64)
                .map(|k| FRAC_PI_2 + PI * (first + k) as f64)
                .filter(|angle| *angle > low && *angle < high)
                .collect();
            let mut angle = start;
            let mut step = |to_angle: f64, to_y: f64| {
                cross(&mut y, to_y, 0.5 * (angle + to_angle));
                angle = to_angle;
            };
            let top_or_bottom = |a: f64| centre.y + radius * a.sin().signum();
            if sweep >= 0.0 {
                extremes.iter().for_each(|&a| step(a, top_or_bottom(a)));
            } else {
                extremes.iter().rev().for_each(|&a| step(a, top_or_bottom(a)));
            }
            step(start + sweep, to.y);
            odd
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: f64, b: f64, tolerance: f64) {
        assert!((a - b).abs() <= tolerance * b.abs().max(1.0), "{a} against {b}, tolerance {tolerance}");
    }

    /// Second route: Gauss-Legendre on Green's boundary integrals, arc by arc.
    fn by_quadrature(outline: &Outline) -> (f64, DVec2, f64, f64, f64) {
        // 5-point nodes and weights, Abramowitz & Stegun table 25.4.
        let nodes = [
            -0.906_179_845_938_664,
            -0.538_469_310_105_683_1,
            0.0,
            0.538_469_310_105_683_1,
            0.906_179_845_938_664,
        ];
        let weights = [
            0.236_926_885_056_189_1,
            0.478_628_670_499_366_5,
            0.568_888_888_888_888_9,
            0.478_628_670_499_366_5,
            0.236_926_885_056_189_1,
        ];
        let (mut area, mut first, mut xx, mut yy, mut xy) = (0.0, DVec2::ZERO, 0.0, 0.0, 0.0);
        for e in &outline.edges {
            let parts = 64;
            for i in 0..parts {
                for (n, w) in nodes.iter().zip(weights) {
                    let t = (f64::from(i) + 0.5 + 0.5 * n) / f64::from(parts);
                    let p = e.at(t);
                    let d = e.tangent(t) * e.length() * (0.5 * w / f64::from(parts));
                    area += p.x * d.y;
                    first += DVec2::new(0.5 * p.x * p.x * d.y, -0.5 * p.y * p.y * d.x);
                    xx += p.x.powi(3) / 3.0 * d.y;
                    yy -= p.y.powi(3) / 3.0 * d.x;
                    xy += 0.5 * p.x * p.x * p.y * d.y;
                }
            }
        }
        (area, first, xx, yy, xy)
    }

    #[test]
    fn moments_agree_with_quadrature() {
        let odd = Outline::from_edges(vec![
            Edge::line(DVec2::new(0.0, 0.0), DVec2::new(7.0, 1.0)),
            Edge::arc(DVec2::new(7.0, 4.0), 3.0, -0.5 * PI, 1.3 * PI),
            Edge::line(DVec2::new(7.0, 4.0) + 3.0 * DVec2::from_angle(0.8 * PI), DVec2::new(1.0, 6.0)),
            Edge::line(DVec2::new(1.0, 6.0), DVec2::new(0.0, 4.0)),
            Edge::arc(DVec2::new(0.0, 2.0), 2.0, 0.5 * PI, -PI),
        ]);
        for outline in [
            odd,
            Outline::circle(DVec2::new(3.0, -2.0), 5.0),
            Outline::rounded_rectangle(DVec2::ZERO, DVec2::new(20.0, 11.0), 3.0),
            Outline::slot(DVec2::ZERO, DVec2::new(9.0, 4.0), 2.5),
            Outline::regular_polygon(6, 8.0),
        ] {
            let (area, first, xx, yy, xy) = by_quadrature(&outline);
            near(outline.area(), area, 1e-12);
            let c = first / area;
            near(outline.centroid().x, c.x, 1e-12);
            near(outline.centroid().y, c.y, 1e-12);
            let m = outline.second_moments();
            near(m.xx, xx - area * c.x * c.x, 1e-11);
            near(m.yy, yy - area * c.y * c.y, 1e-11);
            assert!((m.xy - (xy - area * c.x * c.y)).abs() < 1e-11 * (1.0 + xy.abs()));
        }
    }

    #[test]
    fn textbook_shapes() {
        // Circle: πr², πr⁴/4; rectangle bh³/12; hexagon 5√3/16·side⁴ (any handbook of section properties).
        let circle = Outline::circle(DVec2::new(100.0, 7.0), 2.0);
        near(circle.area(), PI * 4.0, 1e-14);
        near(circle.second_moments().xx, PI * 16.0 / 4.0, 1e-12);
        let bar = Outline::rectangle(DVec2::ZERO, DVec2::new(6.0, 4.0));
        near(bar.second_moments().yy, 6.0 * 64.0 / 12.0, 1e-13);
        let hex = Outline::regular_polygon(6, 3f64.sqrt());
        near(hex.second_moments().xx, 5.0 * 3f64.sqrt() / 16.0, 1e-13);
    }

    #[test]
    fn contains_counts_inside_of_bulges_and_bites() {
        let pacman = Outline::from_edges(vec![
            Edge::arc(DVec2::ZERO, 5.0, 0.25 * PI, 1.5 * PI),
            Edge::line(5.0 * DVec2::from_angle(1.75 * PI), DVec2::ZERO),
            Edge::line(DVec2::ZERO, 5.0 * DVec2::from_angle(0.25 * PI)),
        ]);
        let cases = [
            (-4.9, 0.0, true),
            (4.0, 0.0, false),
            (3.0, 3.5, true),
            (0.1, 0.05, false),
            (0.0, 0.0, true),
            (5.0, 5.0, false),
            (-1.0, 1.0, true),
        ];
        for (x, y, inside) in cases {
            assert_eq!(pacman.contains(DVec2::new(x, y)), inside, "{x} {y}");
        }
        let bitten = Outline::from_edges(vec![
            Edge::line(DVec2::new(0.0, 0.0), DVec2::new(10.0, 0.0)),
            Edge::arc(DVec2::new(10.0, 5.0), 5.0, -0.5 * PI, -PI),
            Edge::line(DVec2::new(10.0, 10.0), DVec2::new(0.0, 10.0)),
            Edge::line(DVec2::new(0.0, 10.0), DVec2::new(0.0, 0.0)),
        ]);
        for (x, y, inside) in
            [(1.0, 5.0, true), (6.0, 5.0, false), (4.9, 5.0, true), (9.0, 1.0, false), (9.0, 0.05, true)]
        {
            assert_eq!(bitten.contains(DVec2::new(x, y)), inside, "{x} {y}");
        }
    }

    #[test]
    fn bounds_hold_bulges() {
        let slot = Outline::slot(DVec2::new(-3.0, 0.0), DVec2::new(3.0, 0.0), 2.0);
        let b = slot.bounds();
        near(b.low.x, -5.0, 1e-14);
        near(b.high.y, 2.0, 1e-14);
        assert!(Outline::default().bounds().is_empty());
    }
}
