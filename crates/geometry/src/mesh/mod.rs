//! Closed triangle meshes of solids and extruded outlines.

mod make;

use glam::{DMat3, DVec3};

use crate::Inertia;

pub use make::MeshError;

/// A closed surface of triangles, counter-clockwise seen from outside.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Mesh {
    /// Corners (mm).
    pub corners: Vec<DVec3>,
    /// Triangles as corner numbers.
    pub triangles: Vec<[u32; 3]>,
}

impl Mesh {
    /// The triangles' corners (mm); triangles with bad corner numbers are left out.
    pub fn triangle_corners(&self) -> impl Iterator<Item = [DVec3; 3]> + '_ {
        self.triangles.iter().filter_map(|&[i, j, k]| {
            let corner = |i: u32| self.corners.get(i as usize).copied();
            Some([corner(i)?, corner(j)?, corner(k)?])
        })
    }

    /// Enclosed volume (mm³), by the divergence theorem; right for a closed mesh.
    pub fn volume(&self) -> f64 {
        self.mass_properties().volume
    }

    /// Volume, centroid and inertia of the enclosed solid.
    pub fn mass_properties(&self) -> Inertia {
        solid_properties(self.triangle_corners())
    }

    /// True if every edge is walked exactly once each way: the surface is closed and oriented.
    pub fn is_closed(&self) -> bool {
        let mut edges: Vec<(u32, u32)> = Vec::with_capacity(3 * self.triangles.len());
        for &[i, j, k] in &self.triangles {
            edges.extend([(i, j), (j, k), (k, i)]);
        }
        edges.sort_unstable();
        let unique = edges.windows(2).all(|w| w[0] != w[1]);
        unique && !edges.is_empty() && edges.iter().all(|&(i, j)| edges.binary_search(&(j, i)).is_ok())
    }

    /// Appends another mesh.
    pub fn append(&mut self, other: &Self) {
        let base = self.corners.len() as u32;
        self.corners.extend_from_slice(&other.corners);
        self.triangles.extend(other.triangles.iter().map(|t| t.map(|i| i + base)));
    }
}

/// Volume, centroid and inertia enclosed by triangles seen counter-clockwise from outside (sums of
/// tetrahedra; Tonon, J. Mathematics and Statistics 1 (2005) 8, in the symmetric form).
pub(crate) fn solid_properties(triangles: impl Iterator<Item = [DVec3; 3]>) -> Inertia {
    let mut origin = None;
    let (mut volume, mut first, mut second) = (0.0, DVec3::ZERO, DMat3::ZERO);
    for [a, b, c] in triangles {
        // About a corner of the body, so that a far one loses no digits.
        let o = *origin.get_or_insert(a);
        let (a, b, c) = (a - o, b - o, c - o);
        let six = a.dot(b.cross(c));
        let sum = a + b + c;
        volume += six / 6.0;
        first += six / 24.0 * sum;
        // ∫ x xᵀ over the tetrahedron (0, a, b, c).
        let outer = |p: DVec3| DMat3::from_cols(p * p.x, p * p.y, p * p.z);
        second += (outer(a) + outer(b) + outer(c) + outer(sum)) * (six / 120.0);
    }
    let origin = origin.unwrap_or(DVec3::ZERO);
    let centre = if volume != 0.0 { first / volume } else { DVec3::ZERO };
    let about = second - DMat3::from_cols(centre * centre.x, centre * centre.y, centre * centre.z) * volume;
    let trace = about.x_axis.x + about.y_axis.y + about.z_axis.z;
    Inertia { volume, centroid: origin + centre, tensor: DMat3::from_diagonal(DVec3::splat(trace)) - about }
}
