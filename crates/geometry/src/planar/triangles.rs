//! Polygons to triangles.

use glam::DVec2;
use i_triangle::float::triangulatable::Triangulatable;

/// Triangles of a polygon with holes, corners shared by number.
pub(crate) struct Triangles {
    /// Corners (mm).
    pub corners: Vec<DVec2>,
    /// Counter-clockwise triangles.
    pub triangles: Vec<[u32; 3]>,
}

/// Snapped corners are put back to an original corner within this share of the drawing's size.
const SNAP: f64 = 1e-7;

/// Triangulates polygons (outer ones counter-clockwise, holes clockwise), which the caller has checked for finite
/// coordinates of sane size.
pub(crate) fn triangulate(contours: &[Vec<DVec2>]) -> Triangles {
    let shape: Vec<Vec<[f64; 2]>> =
        contours.iter().map(|c| c.iter().map(|p| p.to_array()).collect()).collect();
    let raw = shape.triangulate_as::<i64>().into_delaunay().to_triangulation::<u32>();
    let originals = Originals::new(contours);
    let corners = raw.points.iter().map(|&p| originals.nearest(p.into())).collect();
    let triangles = raw.indices.chunks_exact(3).map(|t| [t[0], t[1], t[2]]).collect();
    Triangles { corners, triangles }
}

/// The input's corners, sorted for looking up.
pub(crate) struct Originals {
    points: Vec<DVec2>,
    within: f64,
}

impl Originals {
    pub(crate) fn new(contours: &[Vec<DVec2>]) -> Self {
        let mut points: Vec<DVec2> = contours.iter().flatten().copied().collect();
        let size = points.iter().map(|p| p.abs().max_element()).fold(0.0, f64::max);
        points.sort_by(|a, b| a.x.total_cmp(&b.x));
        Self { points, within: SNAP * size }
    }

    /// The original corner that a snapped one stands for, or the snapped one where a crossing made a new corner.
    pub(crate) fn nearest(&self, p: DVec2) -> DVec2 {
        let first = self.points.partition_point(|q| q.x < p.x - self.within);
        self.points[first..]
            .iter()
            .take_while(|q| q.x <= p.x + self.within)
            .map(|q| (q.distance(p), *q))
            .filter(|(d, _)| *d <= self.within)
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map_or(p, |(_, q)| q)
    }
}
