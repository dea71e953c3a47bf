//! Rectangles square to the axes.

use glam::DVec2;

/// A rectangle square to the axes. On paper y runs down, so `min` is its top left corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    /// The corner with the smaller coordinates.
    pub min: DVec2,
    /// The corner with the larger coordinates.
    pub max: DVec2,
}

impl Rect {
    /// Between two opposite corners, in any order.
    pub fn between(a: DVec2, b: DVec2) -> Self {
        Self { min: a.min(b), max: a.max(b) }
    }

    /// From the corner with the smaller coordinates and the size.
    pub fn at(x: f64, y: f64, width: f64, height: f64) -> Self {
        Self::between(DVec2::new(x, y), DVec2::new(x + width, y + height))
    }

    /// About a middle point, with the given size.
    pub fn about(middle: DVec2, size: DVec2) -> Self {
        Self { min: middle - 0.5 * size.abs(), max: middle + 0.5 * size.abs() }
    }

    /// The smallest rectangle round some points; `None` without a finite point.
    pub fn round(points: impl IntoIterator<Item = DVec2>) -> Option<Self> {
        let mut points = points.into_iter().filter(|p| p.is_finite());
        let first = points.next()?;
        Some(
            points
                .fold(Self { min: first, max: first }, |r, p| Self { min: r.min.min(p), max: r.max.max(p) }),
        )
    }

    /// Width and height.
    pub fn size(&self) -> DVec2 {
        self.max - self.min
    }

    /// The middle point.
    pub fn middle(&self) -> DVec2 {
        0.5 * (self.min + self.max)
    }

    /// Whether every coordinate is finite.
    pub fn is_finite(&self) -> bool {
        self.min.is_finite() && self.max.is_finite()
    }

    /// Grown by `by` on every side.
    pub fn grown(&self, by: f64) -> Self {
        Self { min: self.min - DVec2::splat(by), max: self.max + DVec2::splat(by) }
    }

    /// Shifted by a vector.
    pub fn shifted(&self, by: DVec2) -> Self {
        Self { min: self.min + by, max: self.max + by }
    }

    /// What both have; upside down where they lie apart.
    pub fn common(&self, other: &Self) -> Self {
        Self { min: self.min.max(other.min), max: self.max.min(other.max) }
    }

    /// The smallest rectangle round both.
    pub fn union(&self, other: &Self) -> Self {
        Self { min: self.min.min(other.min), max: self.max.max(other.max) }
    }

    /// Whether the point is inside or on the edge.
    pub fn contains(&self, p: DVec2) -> bool {
        p.cmpge(self.min).all() && p.cmple(self.max).all()
    }

    /// Whether the other rectangle lies wholly inside.
    pub fn holds(&self, other: &Self) -> bool {
        self.contains(other.min) && self.contains(other.max)
    }

    /// Whether the two share more than an edge.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.min.cmplt(other.max).all() && other.min.cmplt(self.max).all()
    }

    /// The four corners, in order round the rectangle.
    pub fn corners(&self) -> [DVec2; 4] {
        [self.min, DVec2::new(self.max.x, self.min.y), self.max, DVec2::new(self.min.x, self.max.y)]
    }

    /// The distance from a point to the rectangle, 0 inside.
    pub fn distance(&self, p: DVec2) -> f64 {
        (self.min - p).max(p - self.max).max(DVec2::ZERO).length()
    }
}
