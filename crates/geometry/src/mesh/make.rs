//! Meshes from solids and extruded regions.

use std::collections::HashMap;
use std::f64::consts::{PI, TAU};
use std::fmt;

use glam::{DVec2, DVec3};

use super::Mesh;
use crate::planar::{PlanarError, Region, Triangles, triangulate};
use crate::{Outline, Shape, Side, Solid};

/// Why there is no mesh.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MeshError {
    /// The region is broken.
    Planar(PlanarError),
    /// The solid has faults, or no thickness.
    NotSolid,
    /// The triangles do not close; nothing was written.
    NotClosed,
    /// The tolerance is not a positive number.
    BadTolerance,
}

impl fmt::Display for MeshError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Planar(error) => write!(f, "{error}"),
            Self::NotSolid => write!(f, "the solid is broken or has no thickness"),
            Self::NotClosed => write!(f, "the surface does not close"),
            Self::BadTolerance => write!(f, "the tolerance is not a positive number"),
        }
    }
}

impl std::error::Error for MeshError {}

impl From<PlanarError> for MeshError {
    fn from(error: PlanarError) -> Self {
        Self::Planar(error)
    }
}

impl Mesh {
    /// A region extruded from z = `low` to z = `high` (mm). The mesh lies within the region; no point of the
    /// region is farther than `tolerance` (mm) from it.
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Mesh, Outline, Region};
    /// let plate = Region::new(
    ///     Outline::rectangle(DVec2::ZERO, DVec2::new(30.0, 20.0)),
    ///     vec![Outline::circle(DVec2::new(10.0, 10.0), 2.75)],
    /// );
    /// let mesh = Mesh::extruded(&plate, 0.0, 6.0, 0.01)?;
    /// assert!(mesh.is_closed() && mesh.volume() < 6.0 * plate.area() + 1e-6);
    /// # Ok::<(), glidewright_geometry::MeshError>(())
    /// ```
    ///
    /// # Errors
    /// A broken region, no height, a bad tolerance.
    pub fn extruded(region: &Region, low: f64, high: f64, tolerance: f64) -> Result<Self, MeshError> {
        if !(tolerance > 0.0 && tolerance.is_finite()) {
            return Err(MeshError::BadTolerance);
        }
        if !(high > low && (high - low).is_finite()) {
            return Err(MeshError::NotSolid);
        }
        region.check()?;
        let Triangles { corners, triangles } = triangulate(&region.flattened(tolerance, Side::Inner));
        let count = corners.len() as u32;
        let mut mesh = Self::default();
        mesh.corners.extend(corners.iter().map(|c| c.extend(low)));
        mesh.corners.extend(corners.iter().map(|c| c.extend(high)));
        let mut edges: HashMap<(u32, u32), ()> = HashMap::with_capacity(3 * triangles.len());
        for &[i, j, k] in &triangles {
            mesh.triangles.push([i, k, j]);
            mesh.triangles.push([i + count, j + count, k + count]);
            edges.extend([((i, j), ()), ((j, k), ()), ((k, i), ())]);
        }
        // Walls stand on the edges that only one triangle has; in triangle order, so that the same input
        // gives the same file.
        for &[i, j, k] in &triangles {
            for (p, q) in [(i, j), (j, k), (k, i)] {
                if !edges.contains_key(&(q, p)) {
                    mesh.triangles.push([p, q, q + count]);
                    mesh.triangles.push([p, q + count, p + count]);
                }
            }
        }
        if mesh.is_closed() { Ok(mesh) } else { Err(MeshError::NotClosed) }
    }

    /// A solid, in its owner's frame. The mesh lies within the solid; no point of the solid is farther than
    /// `tolerance` (mm) from it.
    ///
    /// ```
    /// use glidewright_geometry::{DVec3, Mesh, Solid};
    /// let block = Solid::cuboid_between(DVec3::ZERO, DVec3::new(1.0, 2.0, 3.0));
    /// let mesh = Mesh::of_solid(&block, 0.01)?;
    /// assert!((mesh.volume() - 6.0).abs() < 1e-12);
    /// # Ok::<(), glidewright_geometry::MeshError>(())
    /// ```
    ///
    /// # Errors
    /// A solid with faults, a bad tolerance.
    pub fn of_solid(solid: &Solid, tolerance: f64) -> Result<Self, MeshError> {
        if !(tolerance > 0.0 && tolerance.is_finite()) {
            return Err(MeshError::BadTolerance);
        }
        if !solid.faults().is_empty() {
            return Err(MeshError::NotSolid);
        }
        let mut mesh = match &solid.shape {
            Shape::Prism { outline, half_height } => {
                Self::extruded(&Region::from(Outline::clone(outline)), -half_height, *half_height, tolerance)?
            }
            Shape::Cylinder { radius, half_height } => frustum(*radius, *radius, *half_height, tolerance),
            Shape::Frustum { lower_radius, upper_radius, half_height } => {
                frustum(*lower_radius, *upper_radius, *half_height, tolerance)
            }
            Shape::Cuboid { half } => {
                let outline = Outline::rectangle(-half.truncate(), half.truncate());
                Self::extruded(&Region::from(outline), -half.z, half.z, tolerance)?
            }
            Shape::Sphere { radius } => sphere(*radius, tolerance),
            Shape::Polyhedron(body) => {
                let fans = body.faces.iter().flat_map(|face| {
                    (1..face.len().saturating_sub(1)).map(move |k| [face[0], face[k], face[k + 1]])
                });
                Self { corners: body.corners.clone(), triangles: fans.collect() }
            }
        };
        for corner in &mut mesh.corners {
            *corner = solid.pose.point(*corner);
        }
        if mesh.is_closed() { Ok(mesh) } else { Err(MeshError::NotClosed) }
    }
}

impl Mesh {
    /// A body of revolution about z from its rings, (radius, z) in walking order from the lower end to the
    /// upper, radii not negative; flat ends close it. The mesh lies within the body where the rings do; chords
    /// sag at most `tolerance` (mm).
    ///
    /// ```
    /// use glidewright_geometry::Mesh;
    /// // A vee wheel's rim: radius and height, from one face to the other.
    /// let wheel = Mesh::revolved(&[(9.0, -5.0), (12.0, -2.0), (12.0, 2.0), (9.0, 5.0)], 0.01)?;
    /// assert!(wheel.is_closed());
    /// # Ok::<(), glidewright_geometry::MeshError>(())
    /// ```
    ///
    /// # Errors
    /// Fewer than two rings, a radius that is negative or not finite, a bad tolerance, rings that enclose nothing.
    pub fn revolved(rings: &[(f64, f64)], tolerance: f64) -> Result<Self, MeshError> {
        if !(tolerance > 0.0 && tolerance.is_finite()) {
            return Err(MeshError::BadTolerance);
        }
        let sound = |&(radius, z): &(f64, f64)| radius >= 0.0 && radius.is_finite() && z.is_finite();
        let widest = rings.iter().map(|ring| ring.0).fold(0.0, f64::max);
        if rings.len() < 2 || !rings.iter().all(sound) || !(widest > 0.0) {
            return Err(MeshError::NotSolid);
        }
        let mesh = rounds(rings, steps(widest, tolerance));
        if mesh.is_closed() { Ok(mesh) } else { Err(MeshError::NotClosed) }
    }
}

/// Chords around a circle that sag at most `tolerance`.
fn steps(radius: f64, tolerance: f64) -> u32 {
    let half = (1.0 - tolerance / radius).clamp(-1.0, 1.0).acos();
    (PI / half).ceil().clamp(8.0, 4096.0) as u32
}

fn ring(radius: f64, z: f64, count: u32) -> impl Iterator<Item = DVec3> {
    (0..count).map(move |k| (radius * DVec2::from_angle(TAU * f64::from(k) / f64::from(count))).extend(z))
}

fn frustum(lower: f64, upper: f64, half: f64, tolerance: f64) -> Mesh {
    let n = steps(lower.max(upper), tolerance);
    rounds(&[(lower, -half), (upper, half)], n)
}

/// An inscribed ball: the chord's sag in both senses adds up, so each gets half the tolerance.
fn sphere(radius: f64, tolerance: f64) -> Mesh {
    let n = steps(radius, 0.5 * tolerance).div_ceil(2) * 2;
    let bands = n / 2;
    let rings: Vec<(f64, f64)> = (0..=bands)
        .map(|k| {
            let (s, c) = (PI * f64::from(k) / f64::from(bands)).sin_cos();
            (if k == 0 || k == bands { 0.0 } else { radius * s }, -radius * c)
        })
        .collect();
    rounds(&rings, n)
}

/// A surface of rings about z (radius, height), closed by flat ends; rings without radius are points.
fn rounds(rings: &[(f64, f64)], count: u32) -> Mesh {
    let mut mesh = Mesh::default();
    // First corner of each ring, and whether it is a single point.
    let mut starts = Vec::with_capacity(rings.len());
    for &(radius, z) in rings {
        starts.push((mesh.corners.len() as u32, radius == 0.0));
        if radius == 0.0 {
            mesh.corners.push(DVec3::new(0.0, 0.0, z));
        } else {
            mesh.corners.extend(ring(radius, z, count));
        }
    }
    for pair in starts.windows(2) {
        let ((below, below_point), (above, above_point)) = (pair[0], pair[1]);
        for k in 0..count {
            let next = (k + 1) % count;
            let low = |k: u32| if below_point { below } else { below + k };
            let high = |k: u32| if above_point { above } else { above + k };
            if !below_point {
                mesh.triangles.push([low(k), low(next), high(next)]);
            }
            if !above_point {
                mesh.triangles.push([low(k), high(next), high(k)]);
            }
        }
    }
    if let (Some(&(first, first_point)), Some(&(last, last_point))) = (starts.first(), starts.last()) {
        for k in 1..count - 1 {
            if !first_point {
                mesh.triangles.push([first, first + k + 1, first + k]);
            }
            if !last_point {
                mesh.triangles.push([last, last + k, last + k + 1]);
            }
        }
    }
    mesh
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Pose;
    use std::sync::Arc;

    fn region() -> Region {
        Region::new(
            Outline::rounded_rectangle(DVec2::new(-30.0, -20.0), DVec2::new(30.0, 20.0), 6.0),
            vec![
                Outline::circle(DVec2::new(10.0, 5.0), 4.0),
                Outline::slot(DVec2::new(-20.0, -5.0), DVec2::new(-5.0, -8.0), 2.0),
                Outline::regular_polygon(6, 8.0).transformed(0.2, DVec2::new(-12.0, 10.0)),
            ],
        )
    }

    #[test]
    fn extruded_meshes_close_and_lie_inside() {
        let region = region();
        for tolerance in [0.5, 0.05, 0.01] {
            let mesh = Mesh::extruded(&region, -1.0, 4.0, tolerance).unwrap();
            assert!(mesh.is_closed());
            let exact = 5.0 * region.area();
            let perimeter: f64 =
                region.outer.perimeter() + region.holes.iter().map(Outline::perimeter).sum::<f64>();
            let volume = mesh.volume();
            assert!(volume <= exact && volume >= exact - 5.0 * perimeter * tolerance, "{volume} {exact}");
            for c in &mesh.corners {
                let p = c.truncate();
                let off = region.outer.distance_to_boundary(p).min(
                    region.holes.iter().map(|h| h.distance_to_boundary(p)).fold(f64::INFINITY, f64::min),
                );
                assert!(region.contains(p) && off <= tolerance + 1e-9);
            }
        }
    }

    /// A stepped shaft: the sum of its cylinders' volumes (Pappus), less what the chords take.
    #[test]
    fn revolved_steps_close_with_their_volume() {
        let rings = [(3.0, 0.0), (3.0, 5.0), (8.0, 5.0), (6.0, 9.0), (2.0, 9.0), (2.0, 12.0)];
        let mesh = Mesh::revolved(&rings, 0.01).unwrap();
        let exact = PI * (9.0 * 5.0 + 4.0 / 3.0 * (64.0 + 48.0 + 36.0) + 4.0 * 3.0);
        assert!(mesh.is_closed());
        assert!(mesh.volume() < exact && mesh.volume() > 0.997 * exact, "{} {exact}", mesh.volume());
        assert_eq!(Mesh::revolved(&[(1.0, 0.0)], 0.01), Err(MeshError::NotSolid));
        assert_eq!(Mesh::revolved(&[(f64::NAN, 0.0), (1.0, 1.0)], 0.01), Err(MeshError::NotSolid));
    }

    #[test]
    fn solids_close_with_their_volume() {
        let hex = Arc::new(Outline::regular_polygon(6, 8.0));
        let tetra = crate::Polyhedron {
            corners: vec![DVec3::ZERO, DVec3::X, DVec3::Y, DVec3::Z],
            faces: vec![vec![0, 2, 1], vec![0, 1, 3], vec![1, 2, 3], vec![0, 3, 2]],
        };
        let pose =
            Pose::from_turn(DVec3::new(1.0, 2.0, 2.0) / 3.0, 0.7).shifted(DVec3::new(300.0, -50.0, 20.0));
        for shape in [
            Shape::Prism { outline: hex, half_height: 2.0 },
            Shape::Cylinder { radius: 4.0, half_height: 3.0 },
            Shape::Frustum { lower_radius: 4.0, upper_radius: 1.5, half_height: 3.0 },
            Shape::Frustum { lower_radius: 0.0, upper_radius: 1.5, half_height: 3.0 },
            Shape::Cuboid { half: DVec3::new(1.0, 2.0, 3.0) },
            Shape::Polyhedron(Arc::new(tetra)),
            Shape::Sphere { radius: 5.0 },
        ] {
            let solid = Solid { shape, pose };
            assert_eq!(solid.faults(), []);
            let mesh = Mesh::of_solid(&solid, 1e-3).unwrap();
            let (exact, meshed) = (solid.mass_properties(), mesh.mass_properties());
            assert!(meshed.volume <= exact.volume * (1.0 + 1e-12));
            assert!((meshed.volume - exact.volume).abs() < 2e-3 * exact.volume, "{solid:?}");
            assert!(exact.centroid.distance(meshed.centroid) < 1e-2);
            let off =
                (exact.tensor - meshed.tensor).to_cols_array().iter().map(|x| x.abs()).fold(0.0, f64::max);
            let size = exact.tensor.to_cols_array().iter().map(|x| x.abs()).fold(0.0, f64::max);
            assert!(off < 4e-3 * size, "{off} {size} {solid:?}");
            let box_exact = solid.bounds();
            let box_mesh = crate::Bounds::around(mesh.corners.iter().copied());
            assert!((box_exact.low - box_mesh.low).abs().max_element() < 2e-3);
            assert!((box_exact.high - box_mesh.high).abs().max_element() < 2e-3);
        }
    }

    #[test]
    fn nonsense_is_refused() {
        let good = Outline::circle(DVec2::ZERO, 1.0);
        assert_eq!(Mesh::extruded(&good.clone().into(), 0.0, 0.0, 0.1), Err(MeshError::NotSolid));
        assert_eq!(Mesh::extruded(&good.into(), 0.0, 1.0, f64::NAN), Err(MeshError::BadTolerance));
        let bad = Solid { shape: Shape::Sphere { radius: f64::NAN }, pose: Pose::IDENTITY };
        assert_eq!(Mesh::of_solid(&bad, 0.1), Err(MeshError::NotSolid));
    }
}
