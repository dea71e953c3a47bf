//! Convex solids as they are seen from any side.

use glam::{DAffine2, DVec2, DVec3};
use glidewright_geometry::{Shape as SolidShape, Side, Solid, hull_of_points};

use crate::drawing::Path;
use crate::views::projection::Projector;

/// Chords of a silhouette stand at most this far from its arcs (mm).
pub(super) const CHORD: f64 = 0.05;
/// Points on a rim seen aslant.
const RIM: u32 = 40;

/// A solid on paper.
pub(in crate::views) struct Silhouette {
    /// Its outline.
    pub(in crate::views) path: Path,
    /// Edges seen inside it.
    pub(in crate::views) edges: Option<Path>,
    /// For a round bar seen from the side, its two edges: lit and dark.
    pub(in crate::views) bar: Option<(DVec2, DVec2)>,
}

impl From<Path> for Silhouette {
    fn from(path: Path) -> Self {
        Self { path, edges: None, bar: None }
    }
}

/// A solid, shifted by `home`, as seen in a view.
pub(in crate::views) fn silhouette(view: &Projector, solid: &Solid, home: DVec3) -> Option<Silhouette> {
    let pose = &solid.pose;
    let axis = pose.direction(DVec3::Z);
    let middle = pose.shift + home;
    let local = view.plane(middle, pose.direction(DVec3::X), pose.direction(DVec3::Y));
    let end_on = view.is_end_on(axis);
    let seen = match &solid.shape {
        SolidShape::Sphere { radius } => Path::circle(view.flat(middle), *radius).into(),
        SolidShape::Cylinder { radius, half_height } => {
            if end_on {
                Path::circle(view.flat(middle), *radius).into()
            } else {
                revolved(view, middle, axis, *half_height, [*radius, *radius])
            }
        }
        SolidShape::Frustum { lower_radius, upper_radius, half_height } => {
            if end_on {
                let (low, high) = (lower_radius.min(*upper_radius), lower_radius.max(*upper_radius));
                let edges = (low > 0.0).then(|| Path::circle(view.flat(middle), low));
                Silhouette { edges, ..Path::circle(view.flat(middle), high).into() }
            } else {
                revolved(view, middle, axis, *half_height, [*lower_radius, *upper_radius])
            }
        }
        SolidShape::Cuboid { half } => {
            let corners = (0..8).map(|i| {
                let sign = |bit: u32| if i >> bit & 1 == 0 { -1.0 } else { 1.0 };
                view.flat(pose.point(*half * DVec3::new(sign(0), sign(1), sign(2))) + home)
            });
            hull(corners.collect()).into()
        }
        SolidShape::Prism { outline, .. } if end_on => Path::outline(outline).transformed(&local).into(),
        SolidShape::Prism { outline, half_height } => {
            let along = view.flat(axis) * *half_height;
            let flat = outline.flattened(CHORD, Side::Middle);
            let ends = flat.iter().flat_map(|p| {
                let at = local.transform_point2(*p);
                [at - along, at + along]
            });
            hull(ends.collect()).into()
        }
        SolidShape::Polyhedron(body) => {
            hull(body.corners.iter().map(|corner| view.flat(pose.point(*corner) + home)).collect()).into()
        }
    };
    (!seen.path.is_empty() && seen.path.is_finite()).then_some(seen)
}

/// A body of revolution between two rims, seen from the side or aslant.
fn revolved(view: &Projector, middle: DVec3, axis: DVec3, half: f64, radii: [f64; 2]) -> Silhouette {
    let along = view.flat(axis);
    let ends = [view.flat(middle - axis * half), view.flat(middle + axis * half)];
    let Some(across) = along.try_normalize().map(DVec2::perp) else { return Path::new().into() };
    if view.is_edge_on(axis) {
        let corners = [
            ends[0] - across * radii[0],
            ends[1] - across * radii[1],
            ends[1] + across * radii[1],
            ends[0] + across * radii[0],
        ];
        let widest = radii[0].max(radii[1]);
        let bar = lit_first(ends[0] - across * widest, ends[0] + across * widest);
        return Silhouette { path: Path::polyline(&corners, true), edges: None, bar: Some(bar) };
    }
    // Each rim is an ellipse, narrowed along the axis.
    let narrow = axis.dot(view.toward).abs();
    let rims = ends.iter().zip(radii).flat_map(|(end, radius)| {
        (0..RIM).map(move |i| {
            let turn = DVec2::from_angle(std::f64::consts::TAU * f64::from(i) / f64::from(RIM)) * radius;
            *end + across * turn.x + across.perp() * (turn.y * narrow)
        })
    });
    hull(rims.collect()).into()
}

/// Two edges of a round bar with the one that faces the light, from the upper left, first.
pub(in crate::views) fn lit_first(a: DVec2, b: DVec2) -> (DVec2, DVec2) {
    let light = DVec2::new(-1.0, 1.0);
    if (a - b).dot(light) >= 0.0 { (a, b) } else { (b, a) }
}

/// The edges of a bar of some radius about the axis of an affine frame (along x), lit one first.
pub(in crate::views) fn bar_edges(to_paper: &DAffine2, radius: f64) -> (DVec2, DVec2) {
    lit_first(
        to_paper.transform_point2(DVec2::new(0.0, -radius)),
        to_paper.transform_point2(DVec2::new(0.0, radius)),
    )
}

/// The smallest convex outline round points; empty without three points.
pub(in crate::views) fn hull(points: Vec<DVec2>) -> Path {
    Path::polyline(&hull_points(points), true)
}

/// Corners of the smallest convex outline round points, counter-clockwise; empty without three points.
pub(in crate::views) fn hull_points(points: Vec<DVec2>) -> Vec<DVec2> {
    let corners = hull_of_points(points);
    if corners.len() < 3 { Vec::new() } else { corners }
}
