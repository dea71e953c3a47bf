//! Ways to make an outline. Sizes that make no sense (negative, not finite) give an outline whose faults say so.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use glam::DVec2;

use super::{Edge, Outline};

impl Outline {
    /// A circle about `centre` (mm).
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline};
    /// let bore = Outline::circle(DVec2::new(3.0, 4.0), 2.0);
    /// assert!((bore.perimeter() - 4.0 * std::f64::consts::PI).abs() < 1e-12);
    /// ```
    pub fn circle(centre: DVec2, radius: f64) -> Self {
        Self { edges: vec![Edge::arc(centre, radius, 0.0, TAU)] }
    }

    /// An upright rectangle between two opposite corners (mm).
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline};
    /// let plate = Outline::rectangle(DVec2::new(30.0, 0.0), DVec2::new(0.0, 20.0));
    /// assert_eq!((plate.area(), plate.edges.len()), (600.0, 4));
    /// ```
    pub fn rectangle(a: DVec2, b: DVec2) -> Self {
        let (low, high) = (a.min(b), a.max(b));
        Self::polygon(&[low, DVec2::new(high.x, low.y), high, DVec2::new(low.x, high.y)])
    }

    /// An upright rectangle between two opposite corners, its corners rounded by `radius` (mm; at most
    /// half the shorter side is used).
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline};
    /// let plate = Outline::rounded_rectangle(DVec2::ZERO, DVec2::new(30.0, 20.0), 5.0);
    /// // The four corners lose (4 − π)r².
    /// assert!((plate.area() - (600.0 - (4.0 - std::f64::consts::PI) * 25.0)).abs() < 1e-9);
    /// ```
    pub fn rounded_rectangle(a: DVec2, b: DVec2, radius: f64) -> Self {
        let (low, high) = (a.min(b), a.max(b));
        let r = radius.min(0.5 * (high - low).min_element());
        if r == 0.0 {
            return Self::rectangle(a, b);
        }
        let (inner_low, inner_high) = (low + r, high - r);
        let centres = [
            DVec2::new(inner_high.x, inner_low.y),
            inner_high,
            DVec2::new(inner_low.x, inner_high.y),
            inner_low,
        ];
        let starts = [-FRAC_PI_2, 0.0, FRAC_PI_2, PI];
        let arcs: Vec<Edge> =
            centres.iter().zip(starts).map(|(&c, start)| Edge::arc(c, r, start, FRAC_PI_2)).collect();
        Self::joined(&arcs)
    }

    /// A stadium: everything within `radius` of the segment between two points (mm). The outline of a slot.
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline};
    /// let slot = Outline::slot(DVec2::ZERO, DVec2::new(12.0, 0.0), 2.75);
    /// assert!((slot.bounds().size() - DVec2::new(17.5, 5.5)).length() < 1e-12);
    /// ```
    pub fn slot(a: DVec2, b: DVec2, radius: f64) -> Self {
        if a == b {
            return Self::circle(a, radius);
        }
        let across = (b - a).to_angle() - FRAC_PI_2;
        Self::joined(&[Edge::arc(b, radius, across, PI), Edge::arc(a, radius, across + PI, PI)])
    }

    /// A polygon through the given corners (mm), closed from the last to the first.
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline};
    /// let triangle = Outline::polygon(&[DVec2::ZERO, DVec2::new(4.0, 0.0), DVec2::new(0.0, 3.0)]);
    /// assert_eq!((triangle.area(), triangle.perimeter()), (6.0, 12.0));
    /// ```
    pub fn polygon(corners: &[DVec2]) -> Self {
        let next = corners.iter().cycle().skip(1);
        Self { edges: corners.iter().zip(next).map(|(&from, &to)| Edge::Line { from, to }).collect() }
    }

    /// A regular polygon about the origin with `sides` sides and the given distance across flats (mm; for an
    /// odd number of sides twice the distance from centre to side). A corner lies on +x.
    ///
    /// ```
    /// use glidewright_geometry::Outline;
    /// // A hexagon 8 mm across flats is 8·2/√3 mm across corners.
    /// let nut = Outline::regular_polygon(6, 8.0);
    /// assert!((nut.bounds().size().x - 16.0 / 3f64.sqrt()).abs() < 1e-12);
    /// ```
    pub fn regular_polygon(sides: u32, across_flats: f64) -> Self {
        let radius = 0.5 * across_flats / (PI / f64::from(sides)).cos();
        let corners: Vec<DVec2> =
            (0..sides).map(|i| radius * DVec2::from_angle(TAU * f64::from(i) / f64::from(sides))).collect();
        Self::polygon(&corners)
    }

    /// The given edges in order.
    pub fn from_edges(edges: Vec<Edge>) -> Self {
        Self { edges }
    }

    /// The given edges in order, with straight lines put in wherever one does not start where the one before
    /// ends.
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Edge, Outline};
    /// use std::f64::consts::PI;
    /// // A half disc: the arc is given, its chord is put in.
    /// let half = Outline::joined(&[Edge::arc(DVec2::ZERO, 5.0, 0.0, PI)]);
    /// assert_eq!(half.edges.len(), 2);
    /// assert!(half.faults().is_empty());
    /// ```
    pub fn joined(edges: &[Edge]) -> Self {
        let mut all = Vec::with_capacity(2 * edges.len());
        for (edge, next) in edges.iter().zip(edges.iter().cycle().skip(1)) {
            all.push(*edge);
            let (from, to) = (edge.to(), next.from());
            if from.distance(to) > super::SAME_POINT {
                all.push(Edge::Line { from, to });
            }
        }
        Self { edges: all }
    }

    /// The outline turned by `turn` (rad) about the origin, then shifted (mm).
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline};
    /// let bar = Outline::rectangle(DVec2::ZERO, DVec2::new(8.0, 2.0));
    /// let turned = bar.transformed(std::f64::consts::FRAC_PI_2, DVec2::new(10.0, 0.0));
    /// assert!((turned.bounds().low - DVec2::new(8.0, 0.0)).length() < 1e-12);
    /// ```
    pub fn transformed(&self, turn: f64, shift: DVec2) -> Self {
        Self { edges: self.edges.iter().map(|e| e.placed(turn, shift)).collect() }
    }

    /// The outline mirrored in the y axis (x becomes −x) and walked so that it stays counter-clockwise.
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline};
    /// let left = Outline::rectangle(DVec2::new(1.0, 0.0), DVec2::new(3.0, 4.0)).mirrored();
    /// assert_eq!(left.bounds().low, DVec2::new(-3.0, 0.0));
    /// assert!(left.faults().is_empty());
    /// ```
    pub fn mirrored(&self) -> Self {
        Self { edges: self.edges.iter().rev().map(|e| e.mirrored().reversed()).collect() }
    }

    /// The outline walked the other way.
    pub fn reversed(&self) -> Self {
        Self { edges: self.edges.iter().rev().map(Edge::reversed).collect() }
    }
}
