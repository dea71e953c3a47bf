//! Ways to make an outline. Sizes that make no sense (negative, not finite) give an outline whose faults say so.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use glam::DVec2;

use super::{Edge, Outline};

impl Outline {
    /// A circle about `centre` (mm).
    pub fn circle(centre: DVec2, radius: f64) -> Self {
        Self { edges: vec![Edge::arc(centre, radius, 0.0, TAU)] }
    }

    /// An upright rectangle between two opposite corners (mm).
    pub fn rectangle(a: DVec2, b: DVec2) -> Self {
        let (low, high) = (a.min(b), a.max(b));
        Self::polygon(&[low, DVec2::new(high.x, low.y), high, DVec2::new(low.x, high.y)])
    }

    /// An upright rectangle between two opposite corners, its corners rounded by `radius` (mm; at most
    /// half the shorter side is used).
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
    pub fn slot(a: DVec2, b: DVec2, radius: f64) -> Self {
        if a == b {
            return Self::circle(a, radius);
        }
        let across = (b - a).to_angle() - FRAC_PI_2;
        Self::joined(&[Edge::arc(b, radius, across, PI), Edge::arc(a, radius, across + PI, PI)])
    }

    /// A polygon through the given corners (mm), closed from the last to the first.
    pub fn polygon(corners: &[DVec2]) -> Self {
        let next = corners.iter().cycle().skip(1);
        Self { edges: corners.iter().zip(next).map(|(&from, &to)| Edge::Line { from, to }).collect() }
    }

    /// A regular polygon about the origin with `sides` sides and the given distance across flats (mm; for an
    /// odd number of sides twice the distance from centre to side). A corner lies on +x.
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
    pub fn transformed(&self, turn: f64, shift: DVec2) -> Self {
        Self { edges: self.edges.iter().map(|e| e.placed(turn, shift)).collect() }
    }

    /// The outline mirrored in the y axis (x becomes −x) and walked so that it stays counter-clockwise.
    pub fn mirrored(&self) -> Self {
        Self { edges: self.edges.iter().rev().map(|e| e.mirrored().reversed()).collect() }
    }

    /// The outline walked the other way.
    pub fn reversed(&self) -> Self {
        Self { edges: self.edges.iter().rev().map(Edge::reversed).collect() }
    }
}
