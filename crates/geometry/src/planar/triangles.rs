//! Polygons to triangles.

use std::collections::HashMap;

use glam::DVec2;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use spade::handles::{FixedFaceHandle, PossiblyOuterTag};
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation, mitigate_underflow};

/// Triangles of a polygon with holes, corners shared by number.
pub(crate) struct Triangles {
    /// Corners (mm).
    pub corners: Vec<DVec2>,
    /// Counter-clockwise triangles.
    pub triangles: Vec<[u32; 3]>,
}

/// Triangulates polygons (outer ones counter-clockwise, holes clockwise), which the caller has checked for finite
/// coordinates of sane size. The triangles' corners are those of the polygons, to the bit, and the triangulation is
/// Delaunay's between the sides (predicates are exact). Where sides cross, what is inside by the winding rule is
/// triangulated, with corners at the crossings to within 1e-9 of the drawing's size.
pub(crate) fn triangulate(contours: &[Vec<DVec2>]) -> Triangles {
    between_sides(contours).unwrap_or_else(|crossing| {
        // Sides that still cross after this differ by rounding only.
        between_sides(&uncrossed(contours)).unwrap_or(crossing)
    })
}

/// The union of the polygons, none of which crosses itself or another.
fn uncrossed(contours: &[Vec<DVec2>]) -> Vec<Vec<DVec2>> {
    let subject: Vec<Vec<[f64; 2]>> =
        contours.iter().map(|c| c.iter().map(|p| p.to_array()).collect()).collect();
    let nothing: Vec<Vec<[f64; 2]>> = Vec::new();
    let shapes = subject.overlay_as::<i64>(&nothing, OverlayRule::Subject, FillRule::Positive);
    shapes.into_iter().flatten().map(|c| c.into_iter().map(DVec2::from).collect()).collect()
}

/// The triangles inside, each side of the polygons a side of some; if sides cross, those that come of leaving some
/// sides out, as the error.
fn between_sides(contours: &[Vec<DVec2>]) -> Result<Triangles, Triangles> {
    let mut numbers: HashMap<[u64; 2], usize> = HashMap::new();
    let mut points: Vec<Point2<f64>> = Vec::new();
    let mut sides: HashMap<[usize; 2], bool> = HashMap::new();
    let mut order: Vec<[usize; 2]> = Vec::new();
    for contour in contours {
        let ids: Vec<usize> = contour
            .iter()
            .map(|p| {
                let point = mitigate_underflow(Point2::new(p.x + 0.0, p.y + 0.0));
                *numbers.entry([point.x.to_bits(), point.y.to_bits()]).or_insert_with(|| {
                    points.push(point);
                    points.len() - 1
                })
            })
            .collect();
        for (i, &from) in ids.iter().enumerate() {
            let to = ids[(i + 1) % ids.len()];
            if from != to {
                let side = [from.min(to), from.max(to)];
                // A side walked there and back has the same on both its sides.
                let counts = sides.entry(side).or_insert_with(|| {
                    order.push(side);
                    false
                });
                *counts = !*counts;
            }
        }
    }
    order.retain(|side| sides[side]);
    let corners: Vec<DVec2> = points.iter().map(|p| DVec2::new(p.x, p.y)).collect();
    let mut is_crossed = false;
    let found = ConstrainedDelaunayTriangulation::<Point2<f64>>::try_bulk_load_cdt(points, order, |_| {
        is_crossed = true;
    });
    let triangles = found.map(|cdt| inside(&cdt)).unwrap_or_default();
    let result = Triangles { corners, triangles };
    if is_crossed { Err(result) } else { Ok(result) }
}

/// The faces an odd number of sides away from the outside.
fn inside(cdt: &ConstrainedDelaunayTriangulation<Point2<f64>>) -> Vec<[u32; 3]> {
    // By face: whether it is inside, once that is known.
    let mut known: Vec<Option<bool>> = vec![None; cdt.num_all_faces()];
    let outer: FixedFaceHandle<PossiblyOuterTag> = cdt.outer_face().fix();
    known[outer.index()] = Some(false);
    let mut next: Vec<FixedFaceHandle<PossiblyOuterTag>> = Vec::new();
    for edge in cdt.convex_hull() {
        let face = edge.rev().face();
        let slot = &mut known[face.fix().index()];
        if slot.is_none() {
            *slot = Some(edge.is_constraint_edge());
            next.push(face.fix());
        }
    }
    let mut triangles = Vec::with_capacity(cdt.num_inner_faces());
    while let Some(handle) = next.pop() {
        let Some(face) = cdt.face(handle).as_inner() else { continue };
        let is_inside = known[handle.index()] == Some(true);
        if is_inside {
            triangles.push(face.vertices().map(|v| v.fix().index() as u32));
        }
        for edge in face.adjacent_edges() {
            let beyond = edge.rev().face().fix();
            let slot = &mut known[beyond.index()];
            if slot.is_none() {
                *slot = Some(is_inside != edge.is_constraint_edge());
                next.push(beyond);
            }
        }
    }
    triangles
}
