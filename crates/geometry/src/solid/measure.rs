//! Volume, centroid, inertia, bounds, inside tests, faults of a solid.

use std::f64::consts::PI;
use std::fmt;

use glam::{DMat3, DVec3};

use super::{Polyhedron, Shape, Solid};
use crate::convex;
use crate::outline::Fault;
use crate::pair::support::Body;

/// Farther than this (mm) nothing is measured.
pub(crate) const MOST_MM: f64 = 1e9;

/// An upright box (mm). Empty when `low` exceeds `high`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Least coordinates.
    pub low: DVec3,
    /// Greatest coordinates.
    pub high: DVec3,
}

/// Volume and its second moments, for a density of 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inertia {
    /// Volume (mm³).
    pub volume: f64,
    /// Centroid (mm, owner's frame).
    pub centroid: DVec3,
    /// Inertia tensor about the centroid, axes of the owner's frame, for a density of 1 (mm⁵): multiply by the
    /// density for a mass moment.
    pub tensor: DMat3,
}

/// One thing wrong with a solid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SolidFault {
    /// A size is NaN or infinite.
    NotFinite,
    /// A size is negative.
    Negative,
    /// It has no thickness in some direction. Distances still have an answer.
    Flat,
    /// The pose is not finite, or not a rigid right-handed placement.
    BadPose,
    /// A fault of the prism's outline.
    Outline(Fault),
    /// The prism's outline is not convex.
    NotConvex,
    /// A polyhedron has no corners, or a face names a corner that is not there.
    BadFaces,
    /// It reaches farther than 1e9 mm from its frame's origin: rounding would leave no digits for a gap.
    TooLarge,
}

impl fmt::Display for SolidFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite => write!(f, "a size is not finite"),
            Self::Negative => write!(f, "a size is negative"),
            Self::Flat => write!(f, "it has no thickness"),
            Self::BadPose => write!(f, "it is not placed by a rigid right-handed turn and a finite shift"),
            Self::Outline(fault) => write!(f, "{fault}"),
            Self::NotConvex => write!(f, "the outline is not convex"),
            Self::BadFaces => write!(f, "the corners or faces are incomplete"),
            Self::TooLarge => write!(f, "it reaches farther than {MOST_MM} mm"),
        }
    }
}

impl Bounds {
    /// Holds nothing.
    pub const EMPTY: Self = Self { low: DVec3::INFINITY, high: DVec3::NEG_INFINITY };

    /// Around points.
    pub fn around(points: impl IntoIterator<Item = DVec3>) -> Self {
        points.into_iter().fold(Self::EMPTY, |b, p| Self { low: b.low.min(p), high: b.high.max(p) })
    }

    /// The smallest upright box around both.
    pub fn joined(&self, other: &Self) -> Self {
        Self { low: self.low.min(other.low), high: self.high.max(other.high) }
    }

    /// Extents (mm).
    pub fn size(&self) -> DVec3 {
        self.high - self.low
    }

    /// Middle (mm).
    pub fn centre(&self) -> DVec3 {
        0.5 * (self.low + self.high)
    }

    /// Distance of two boxes (mm); 0 where they meet.
    ///
    /// ```
    /// use glidewright_geometry::{Bounds, DVec3};
    /// let unit = Bounds { low: DVec3::ZERO, high: DVec3::ONE };
    /// let beside = Bounds { low: DVec3::new(4.0, 5.0, 0.5), high: DVec3::new(6.0, 7.0, 2.0) };
    /// assert_eq!(unit.apart(&beside), 5.0);
    /// ```
    pub fn apart(&self, other: &Self) -> f64 {
        (self.low - other.high).max(other.low - self.high).max(DVec3::ZERO).length()
    }

    /// True if nothing is inside.
    pub fn is_empty(&self) -> bool {
        !(self.low.cmple(self.high).all())
    }
}

impl Solid {
    /// Everything wrong with the solid; empty if sound.
    ///
    /// ```
    /// use glidewright_geometry::{DVec3, Solid, SolidFault};
    /// let ring = Solid::cylinder_between(DVec3::ZERO, DVec3::Z, -2.0);
    /// assert_eq!(ring.faults(), [SolidFault::Negative]);
    /// ```
    pub fn faults(&self) -> Vec<SolidFault> {
        let mut faults = Vec::new();
        let mut sizes = |all: &[f64], thick: &[f64]| {
            if all.iter().any(|s| !s.is_finite()) {
                faults.push(SolidFault::NotFinite);
            } else if all.iter().any(|s| *s < 0.0) {
                faults.push(SolidFault::Negative);
            } else if thick.contains(&0.0) {
                faults.push(SolidFault::Flat);
            }
        };
        match &self.shape {
            Shape::Prism { half_height, .. } => sizes(&[*half_height], &[*half_height]),
            Shape::Cylinder { radius, half_height } => {
                sizes(&[*radius, *half_height], &[*radius, *half_height]);
            }
            Shape::Frustum { lower_radius: a, upper_radius: b, half_height } => {
                sizes(&[*a, *b, *half_height], &[a.max(*b), *half_height]);
            }
            Shape::Cuboid { half } => sizes(&half.to_array(), &half.to_array()),
            Shape::Polyhedron(p) => sizes(&[p.corners.iter().map(|c| c.length()).sum()], &[]),
            Shape::Sphere { radius } => sizes(&[*radius], &[*radius]),
        }
        if let Shape::Prism { outline, .. } = &self.shape {
            let own = outline.faults();
            if own.is_empty() && !outline.is_convex() {
                faults.push(SolidFault::NotConvex);
            }
            faults.extend(own.into_iter().map(SolidFault::Outline));
        }
        if let Shape::Polyhedron(p) = &self.shape
            && (p.corners.is_empty() || p.faces.iter().flatten().any(|&i| i as usize >= p.corners.len()))
        {
            faults.push(SolidFault::BadFaces);
        }
        if !self.pose.is_rigid() {
            faults.push(SolidFault::BadPose);
        }
        if faults.iter().all(|fault| *fault == SolidFault::Flat) && Body::new(self).is_none() {
            faults.push(SolidFault::TooLarge);
        }
        faults
    }

    /// Volume, centroid and inertia in one.
    ///
    /// ```
    /// use glidewright_geometry::{DVec3, Solid};
    /// let block = Solid::cuboid_between(DVec3::ZERO, DVec3::new(10.0, 20.0, 30.0));
    /// let found = block.mass_properties();
    /// assert_eq!((found.volume, found.centroid), (6000.0, DVec3::new(5.0, 10.0, 15.0)));
    /// // m(b² + c²)/12 about the axis along a.
    /// assert!((found.tensor.x_axis.x - 6000.0 * (400.0 + 900.0) / 12.0).abs() < 1e-6);
    /// ```
    pub fn mass_properties(&self) -> Inertia {
        let local = self.shape.mass_properties();
        let turn = self.pose.turn;
        Inertia {
            volume: local.volume,
            centroid: self.pose.point(local.centroid),
            tensor: turn * local.tensor * turn.transpose(),
        }
    }

    /// Volume (mm³). A polyhedron's comes from its faces.
    pub fn volume(&self) -> f64 {
        self.mass_properties().volume
    }

    /// Centroid (mm, owner's frame).
    pub fn centroid(&self) -> DVec3 {
        self.mass_properties().centroid
    }

    /// The farthest point in a direction of any length (mm, owner's frame); `None` for a solid that is not sound
    /// or a direction that is not finite.
    ///
    /// ```
    /// use glidewright_geometry::{DVec3, Solid};
    /// let screw = Solid::cylinder_between(DVec3::ZERO, DVec3::new(0.0, 0.0, 20.0), 2.5);
    /// assert_eq!(screw.support(DVec3::new(1.0, 0.0, 1.0)), Some(DVec3::new(2.5, 0.0, 20.0)));
    /// ```
    pub fn support(&self, direction: DVec3) -> Option<DVec3> {
        let body = Body::new(self)?;
        let unit = if direction == DVec3::ZERO { DVec3::ZERO } else { direction.try_normalize()? };
        Some(body.centre + body.core_support(unit).0 + body.margin * unit)
    }

    /// The smallest upright box around the solid (mm, owner's frame); empty for a solid that is not sound.
    pub fn bounds(&self) -> Bounds {
        Body::new(self).map_or(Bounds::EMPTY, |body| body.bounds())
    }

    /// True if the point (mm, owner's frame) lies in the solid or on its surface.
    ///
    /// ```
    /// use glidewright_geometry::{DVec3, Solid};
    /// let screw = Solid::cylinder_between(DVec3::ZERO, DVec3::new(0.0, 0.0, 20.0), 2.5);
    /// assert!(screw.contains(DVec3::new(2.0, 1.0, 5.0)) && !screw.contains(DVec3::new(2.0, 2.0, 5.0)));
    /// ```
    pub fn contains(&self, point: DVec3) -> bool {
        let p = self.pose.inverse().point(point);
        let across = p.truncate();
        match &self.shape {
            Shape::Prism { outline, half_height } => {
                p.z.abs() <= *half_height
                    && convex::corners_of(outline)
                        .is_some_and(|corners| convex::signed_distance(&corners, across).distance <= 0.0)
            }
            Shape::Cylinder { radius, half_height } => {
                p.z.abs() <= *half_height && across.length() <= *radius
            }
            Shape::Frustum { lower_radius, upper_radius, half_height } => {
                let share = if *half_height > 0.0 { 0.5 + 0.5 * p.z / half_height } else { 0.5 };
                p.z.abs() <= *half_height
                    && across.length() <= lower_radius + share * (upper_radius - lower_radius)
            }
            Shape::Cuboid { half } => p.abs().cmple(*half).all(),
            Shape::Sphere { radius } => p.length() <= *radius,
            Shape::Polyhedron(body) => {
                body.faces.len() > 3 && body.planes().all(|(n, offset)| n.dot(p) <= offset)
            }
        }
    }
}

impl Polyhedron {
    /// The hull's faces as planes n·x ≤ offset (mm); faces without area or with bad corner numbers are left out.
    pub fn planes(&self) -> impl Iterator<Item = (DVec3, f64)> + '_ {
        self.faces.iter().filter_map(|face| {
            let corners: Option<Vec<DVec3>> =
                face.iter().map(|&i| self.corners.get(i as usize).copied()).collect();
            let corners = corners?;
            let first = *corners.first()?;
            // Newell's sum: twice the area vector, also for faces that are not quite flat.
            let mut area = DVec3::ZERO;
            for (p, q) in corners.iter().zip(corners.iter().cycle().skip(1)) {
                area += (p - first).cross(q - first);
            }
            let n = area.try_normalize()?;
            Some((n, corners.iter().map(|c| n.dot(*c)).fold(f64::NEG_INFINITY, f64::max)))
        })
    }
}

impl Shape {
    /// Volume, centroid and inertia in the shape's own frame.
    fn mass_properties(&self) -> Inertia {
        match self {
            Self::Prism { outline, half_height } => {
                let (area, m) = (outline.area(), outline.second_moments());
                let height = 2.0 * half_height;
                let flat = area * height.powi(3) / 12.0;
                let (xx, yy, xy) = (m.xx * height, m.yy * height, m.xy * height);
                Inertia {
                    volume: area * height,
                    centroid: outline.centroid().extend(0.0),
                    tensor: DMat3::from_cols(
                        DVec3::new(yy + flat, -xy, 0.0),
                        DVec3::new(-xy, xx + flat, 0.0),
                        DVec3::new(0.0, 0.0, xx + yy),
                    ),
                }
            }
            Self::Cylinder { radius, half_height } => frustum(*radius, *radius, *half_height),
            Self::Frustum { lower_radius, upper_radius, half_height } => {
                frustum(*lower_radius, *upper_radius, *half_height)
            }
            Self::Cuboid { half } => {
                let volume = 8.0 * half.x * half.y * half.z;
                let s = *half * *half;
                let diagonal = volume / 3.0 * DVec3::new(s.y + s.z, s.x + s.z, s.x + s.y);
                Inertia { volume, centroid: DVec3::ZERO, tensor: DMat3::from_diagonal(diagonal) }
            }
            Self::Sphere { radius } => {
                let volume = 4.0 / 3.0 * PI * radius.powi(3);
                let i = 0.4 * volume * radius * radius;
                Inertia { volume, centroid: DVec3::ZERO, tensor: DMat3::from_diagonal(DVec3::splat(i)) }
            }
            Self::Polyhedron(body) => polyhedron(body),
        }
    }
}

/// A cone frustum by integrating discs: ∫ r² dz, ∫ z r² dz, ∫ z² r² dz and ∫ r⁴ dz with r linear in z.
fn frustum(lower: f64, upper: f64, half: f64) -> Inertia {
    let (mid, rise) = (0.5 * (lower + upper), 0.5 * (upper - lower));
    // With z = half·t, r = mid + rise·t, t from −1 to 1.
    let r2 = half * (2.0 * mid * mid + 2.0 / 3.0 * rise * rise);
    let zr2 = half * half * (4.0 / 3.0 * mid * rise);
    let z2r2 = half.powi(3) * (2.0 / 3.0 * mid * mid + 2.0 / 5.0 * rise * rise);
    let r4 = half * (2.0 * mid.powi(4) + 4.0 * mid * mid * rise * rise + 2.0 / 5.0 * rise.powi(4));
    let volume = PI * r2;
    let z = if r2 > 0.0 { zr2 / r2 } else { 0.0 };
    let axial = 0.5 * PI * r4;
    let cross = 0.25 * PI * r4 + PI * z2r2 - volume * z * z;
    Inertia {
        volume,
        centroid: DVec3::new(0.0, 0.0, z),
        tensor: DMat3::from_diagonal(DVec3::new(cross, cross, axial)),
    }
}

/// Sums the tetrahedra between the origin and the faces' triangles.
fn polyhedron(body: &Polyhedron) -> Inertia {
    crate::mesh::solid_properties(body.faces.iter().flat_map(|face| {
        let corner = |k: usize| face.get(k).and_then(|&i| body.corners.get(i as usize)).copied();
        (1..face.len().saturating_sub(1)).filter_map(move |k| Some([corner(0)?, corner(k)?, corner(k + 1)?]))
    }))
}
