//! Silhouettes of convex solids on paper.

use std::f64::consts::{PI, TAU};

use glam::{DVec2, DVec3};
use glidewright_geometry::{Bounds2, Outline, Region, Shape, Side, Solid, hull_of_points};

use super::{CHORD, Sight};

/// A convex solid's silhouette.
pub(super) struct Shadow {
    /// The silhouette: a convex polygon.
    pub(super) region: Region,
    /// The rectangle round it (mm).
    pub(super) bounds: Bounds2,
    /// How far it reaches across the paper, least and greatest, round ones too (mm).
    pub(super) across: (f64, f64),
    /// How far its nearest point reaches towards the viewer (mm from the rail's middle).
    pub(super) near: f64,
}

impl Shadow {
    /// The silhouette of a solid; none where it has none.
    pub(super) fn of(solid: &Solid, sight: Sight) -> Option<Self> {
        let corners = hull_of_points(points(solid).map(|point| sight.flat(point)).collect());
        let outline = (corners.len() > 2).then(|| Outline::polygon(&corners))?;
        let reach = |way: DVec3| solid.support(way).map(|point| point.dot(way));
        let near = reach(sight.toward)?;
        let across = (-reach(-sight.across)?, reach(sight.across)?);
        let bounds = outline.bounds();
        Some(Self { region: outline.into(), bounds, across, near })
    }
}

/// Chords of a rim: they lie within a circle of 50 mm by 0.06 mm, and leave out 0.16 % of its area.
const RIM: u32 = 64;

/// Points on a solid's surface whose hull is the solid, but for chords in the place of arcs.
fn points(solid: &Solid) -> Box<dyn Iterator<Item = DVec3> + '_> {
    let pose = &solid.pose;
    let rim = move |radius: f64, z: f64| {
        (0..RIM).map(move |number| {
            let turn = DVec2::from_angle(TAU * f64::from(number) / f64::from(RIM));
            pose.point((turn * radius).extend(z))
        })
    };
    match &solid.shape {
        Shape::Cylinder { radius, half_height } => {
            Box::new([-1.0, 1.0].into_iter().flat_map(move |end| rim(*radius, end * half_height)))
        }
        Shape::Frustum { lower_radius, upper_radius, half_height } => {
            let ends = [(*lower_radius, -half_height), (*upper_radius, *half_height)];
            Box::new(ends.into_iter().flat_map(move |(radius, z)| rim(radius, z)))
        }
        Shape::Sphere { radius } => {
            // Rims at even steps from pole to pole.
            let ring = move |number: u32| {
                let turn = DVec2::from_angle(PI * f64::from(number) / f64::from(RIM / 2));
                rim(radius * turn.y, radius * turn.x)
            };
            Box::new((0..=RIM / 2).flat_map(ring))
        }
        Shape::Cuboid { half } => Box::new((0..8).map(move |corner: u32| {
            let sign = |bit: u32| if corner >> bit & 1 == 0 { -1.0 } else { 1.0 };
            pose.point(*half * DVec3::new(sign(0), sign(1), sign(2)))
        })),
        Shape::Prism { outline, half_height } => {
            let flat = outline.flattened(CHORD, Side::Inner);
            Box::new(
                flat.into_iter()
                    .flat_map(move |p| [-1.0, 1.0].map(|end| pose.point(p.extend(end * half_height)))),
            )
        }
        Shape::Polyhedron(body) => Box::new(body.corners.iter().map(move |corner| pose.point(*corner))),
    }
}

/// The rail's outline along everything of some regions.
pub(super) fn strip((low, high): (f64, f64), regions: &[Region]) -> Vec<Region> {
    let mut bounds = Bounds2::around([]);
    regions.iter().for_each(|region| bounds.join(&region.bounds()));
    if bounds.is_empty() || !(high > low) {
        return Vec::new();
    }
    let ends = [DVec2::new(bounds.low.x - 1.0, low), DVec2::new(bounds.high.x + 1.0, high)];
    vec![Outline::rectangle(ends[0], ends[1]).into()]
}
