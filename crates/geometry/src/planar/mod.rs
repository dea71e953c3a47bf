//! Regions (outlines with holes): booleans, offsets, hulls, triangles, convex pieces.
//!
//! Booleans and offsets come from `i_overlay`, which snaps coordinates to an integer grid of about 1e-9 of the
//! drawing's size. Triangulation comes from `spade`, whose predicates are exact: corners stay as they are, to the bit.

mod boolean;
mod chords;
mod decompose;
mod merge;
mod triangles;

use std::fmt;

use glam::DVec2;

use crate::{Bounds2, Fault, Outline, Side};

pub use boolean::{difference, hull, hull_of_points, intersection, offset, union};
pub use decompose::decompose;
pub(crate) use triangles::{Triangles, triangulate};

/// An area with holes. All outlines are walked counter-clockwise, the holes too.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Region {
    /// The outer boundary.
    pub outer: Outline,
    /// The holes, inside the outer boundary, apart from it and from each other.
    pub holes: Vec<Outline>,
}

/// Why a planar operation has no result.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PlanarError {
    /// The outer boundary (hole `None`) or a hole is broken.
    Outline {
        /// Which hole, from 0; `None` for the outer boundary.
        hole: Option<usize>,
        /// The fault.
        fault: Fault,
    },
    /// A hole crosses or touches the outer boundary or another hole, or lies outside.
    HoleOutside {
        /// Which hole, from 0.
        hole: usize,
    },
    /// Coordinates beyond 1e6 mm.
    TooLarge,
    /// The tolerance is not a positive number.
    BadTolerance,
    /// Nothing is left.
    Nothing,
    /// The convex pieces found do not make up the region.
    NotDecomposed,
}

impl fmt::Display for PlanarError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Outline { hole: None, fault } => write!(f, "{fault}"),
            Self::Outline { hole: Some(hole), fault } => write!(f, "hole {hole}: {fault}"),
            Self::HoleOutside { hole } => write!(f, "hole {hole} is not inside, or touches another outline"),
            Self::TooLarge => write!(f, "coordinates exceed {MOST_MM} mm"),
            Self::BadTolerance => write!(f, "the tolerance is not a positive number"),
            Self::Nothing => write!(f, "nothing is left"),
            Self::NotDecomposed => write!(f, "its convex pieces do not make it up again"),
        }
    }
}

impl std::error::Error for PlanarError {}

/// Coordinates beyond this (mm) are refused: nothing on a bench is a kilometre long, and the integer grid would
/// become coarse.
const MOST_MM: f64 = 1e6;

impl From<Outline> for Region {
    fn from(outer: Outline) -> Self {
        Self { outer, holes: Vec::new() }
    }
}

impl Region {
    /// An outline with holes.
    pub fn new(outer: Outline, holes: Vec<Outline>) -> Self {
        Self { outer, holes }
    }

    /// Area (mm²) less the holes.
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline, Region};
    /// let washer = Region::new(Outline::circle(DVec2::ZERO, 5.0), vec![Outline::circle(DVec2::ZERO, 2.5)]);
    /// assert!((washer.area() - (25.0 - 6.25) * std::f64::consts::PI).abs() < 1e-12);
    /// ```
    pub fn area(&self) -> f64 {
        self.outer.area() - self.holes.iter().map(Outline::area).sum::<f64>()
    }

    /// Centroid (mm).
    pub fn centroid(&self) -> DVec2 {
        let mut sum = self.outer.area() * self.outer.centroid();
        for hole in &self.holes {
            sum -= hole.area() * hole.centroid();
        }
        let c = sum / self.area();
        if c.is_finite() { c } else { self.outer.centroid() }
    }

    /// The smallest upright rectangle around it (mm).
    pub fn bounds(&self) -> Bounds2 {
        self.outer.bounds()
    }

    /// True if the point lies in the material or on its boundary.
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline, Region};
    /// let washer = Region::new(Outline::circle(DVec2::ZERO, 5.0), vec![Outline::circle(DVec2::ZERO, 2.5)]);
    /// assert!(washer.contains(DVec2::new(4.0, 0.0)) && !washer.contains(DVec2::new(1.0, 0.0)));
    /// ```
    pub fn contains(&self, point: DVec2) -> bool {
        self.outer.contains(point)
            && !self
                .holes
                .iter()
                .any(|h| h.contains(point) && h.distance_to_boundary(point) > crate::outline::SAME_POINT)
    }

    /// The region turned by `turn` (rad) about the origin, then shifted (mm).
    pub fn transformed(&self, turn: f64, shift: DVec2) -> Self {
        Self {
            outer: self.outer.transformed(turn, shift),
            holes: self.holes.iter().map(|h| h.transformed(turn, shift)).collect(),
        }
    }

    /// The first thing wrong with the region.
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline, PlanarError, Region};
    /// let plate = Outline::rectangle(DVec2::ZERO, DVec2::splat(20.0));
    /// let bored = Region::new(plate, vec![Outline::circle(DVec2::new(19.0, 10.0), 2.0)]);
    /// assert_eq!(bored.check(), Err(PlanarError::HoleOutside { hole: 0 }));
    /// ```
    ///
    /// # Errors
    /// Names the broken outline, or the hole that is not inside and apart.
    pub fn check(&self) -> Result<(), PlanarError> {
        for (hole, outline) in self.walk() {
            if let Some(&fault) = outline.faults().first() {
                return Err(PlanarError::Outline { hole, fault });
            }
            let b = outline.bounds();
            if b.low.abs().max(b.high.abs()).max_element() > MOST_MM {
                return Err(PlanarError::TooLarge);
            }
        }
        let outlines: Vec<&Outline> = self.walk().map(|(_, o)| o).collect();
        for (i, hole) in self.holes.iter().enumerate() {
            let own = hole.bounds();
            let meets = |other: &Outline| {
                let bounds = other.bounds();
                let apart = (own.low - bounds.high).max(bounds.low - own.high).max_element();
                if apart > crate::outline::SAME_POINT {
                    return false;
                }
                hole.edges.iter().any(|e| {
                    other.edges.iter().any(|f| !e.intersections(f, crate::outline::SAME_POINT).is_empty())
                })
            };
            let start = hole.edges.first().map_or(DVec2::ZERO, crate::Edge::from);
            let nested = |other: &Outline| {
                let first = other.edges.first().map_or(DVec2::ZERO, crate::Edge::from);
                other.contains(start) || hole.contains(first)
            };
            let outside = !self.outer.contains(start)
                || outlines[..=i].iter().any(|o| meets(o))
                || outlines[1..=i].iter().any(|o| nested(o));
            if outside {
                return Err(PlanarError::HoleOutside { hole: i });
            }
        }
        Ok(())
    }

    /// The outer outline, then the holes.
    pub fn outlines(&self) -> impl Iterator<Item = &Outline> {
        std::iter::once(&self.outer).chain(&self.holes)
    }

    fn walk(&self) -> impl Iterator<Item = (Option<usize>, &Outline)> {
        std::iter::once((None, &self.outer)).chain(self.holes.iter().enumerate().map(|(i, h)| (Some(i), h)))
    }

    /// Polygons that differ from the region by at most `tolerance` (mm) on the stated side: the outer one
    /// counter-clockwise, then the holes clockwise.
    pub fn flattened(&self, tolerance: f64, side: Side) -> Vec<Vec<DVec2>> {
        let mut contours = vec![self.outer.flattened(tolerance, side)];
        contours.extend(self.holes.iter().map(|h| h.reversed().flattened(tolerance, side)));
        contours
    }
}

fn check_tolerance(tolerance: f64) -> Result<(), PlanarError> {
    if tolerance > 0.0 && tolerance.is_finite() { Ok(()) } else { Err(PlanarError::BadTolerance) }
}
