//! A body's convex pieces joined to closed meshes.

use glidewright_geometry::{DVec3, Edge, Mesh, MeshError, Outline, Pose, Region, Shape, Solid};
use glidewright_motion::{Body, Extruded, Fixture, Owner, Role};

/// A body as closed meshes in its owner's frame (mm), each within the body and nowhere farther than
/// `tolerance` (mm) from it. The rail, a belt on a pulley and a body on an outline are one extrusion each, a plate one for each of its
/// layers; pieces that
/// turn about one axle are one body of revolution; what else is made of several convex pieces has a mesh for each.
///
/// # Errors
/// [`MeshError`] for broken outlines and solids.
pub fn body_meshes(fixture: &Fixture, body: &Body, tolerance: f64) -> Result<Vec<Mesh>, MeshError> {
    let extrusions = extrusions(fixture, body);
    if !extrusions.is_empty() {
        let meshes = extrusions
            .into_iter()
            .map(|(region, frame, height)| extrusion(&region, &frame, 0.5 * height, tolerance));
        return meshes.collect();
    }
    if !body.extruded.is_empty() {
        let whole =
            body.extruded.iter().map(|own| extrusion(&own.region, &own.frame, own.half_height, tolerance));
        let others = Extruded::others(&body.extruded, &body.solids);
        return whole.chain(others.map(|solid| Mesh::of_solid(solid, tolerance))).collect();
    }
    if body.solids.len() > 1
        && let Some(shaft) = Shaft::of(&body.solids)
    {
        return Ok(vec![shaft.mesh(tolerance)?]);
    }
    body.solids.iter().map(|solid| Mesh::of_solid(solid, tolerance)).collect()
}

/// What is extruded from a region to either side of its frame's xy plane.
fn extrusion(region: &Region, frame: &Pose, half_height: f64, tolerance: f64) -> Result<Mesh, MeshError> {
    let mut mesh = Mesh::extruded(region, -half_height, half_height, tolerance)?;
    for corner in &mut mesh.corners {
        *corner = frame.point(*corner);
    }
    Ok(mesh)
}

/// The regions a plate or the rail is extruded from, with their frames and heights: of a plate with hollows, one for each
/// layer; none for other bodies.
fn extrusions(fixture: &Fixture, body: &Body) -> Vec<(Region, Pose, f64)> {
    // Decomposition gives every piece of one extrusion the same frame and height.
    let mut frames: Vec<(Pose, f64)> = Vec::new();
    for solid in &body.solids {
        let Shape::Prism { half_height, .. } = solid.shape else { return Vec::new() };
        if frames.last().is_none_or(|(pose, height)| *pose != solid.pose || *height != 2.0 * half_height) {
            frames.push((solid.pose, 2.0 * half_height));
        }
    }
    let layers = match (body.role, body.owner) {
        (Role::Rail, _) => vec![fixture.rail.bars.clone()],
        (Role::Plate, Owner::Rider(number)) => {
            let plates = fixture.riders.get(number).map(|rider| rider.plates.as_slice()).unwrap_or_default();
            let Some(plate) = plates.iter().find(|plate| plate.path == body.path) else { return Vec::new() };
            plate.sheet_layers().into_iter().map(|layer| layer.regions).collect()
        }
        (Role::Span, _) => on_pulley(fixture, body).map(|region| vec![region]).into_iter().collect(),
        _ => Vec::new(),
    };
    let extruded = layers.into_iter().zip(frames);
    extruded
        .flat_map(|(regions, (frame, height))| regions.into_iter().map(move |region| (region, frame, height)))
        .collect()
}

/// What lies of a belt on its pulley: the ring that remains of the sectors when all within the belt is taken away.
fn on_pulley(fixture: &Fixture, body: &Body) -> Option<Region> {
    let thickness = fixture.line.as_ref()?.thickness;
    let arcs = body.solids.iter().map(|solid| match &solid.shape {
        Shape::Prism { outline, .. } => outline.edges.iter().find_map(|edge| match *edge {
            Edge::Arc { centre, radius, start, sweep } => Some((centre, radius, start, sweep)),
            Edge::Line { .. } => None,
        }),
        _ => None,
    });
    let arcs = arcs.collect::<Option<Vec<_>>>()?;
    let (centre, outer, start, _) = *arcs.first()?;
    let sweep: f64 = arcs.iter().map(|arc| arc.3).sum();
    let inner = outer - thickness;
    if !(inner > 0.0 && sweep < std::f64::consts::TAU) {
        return None;
    }
    let out = Edge::Arc { centre, radius: outer, start, sweep };
    let back = Edge::Arc { centre, radius: inner, start: start + sweep, sweep: -sweep };
    let edges = vec![
        out,
        Edge::Line { from: out.to(), to: back.from() },
        back,
        Edge::Line { from: back.to(), to: out.from() },
    ];
    Some(Outline::from_edges(edges).into())
}

/// Pieces that share an axis.
struct Shaft {
    origin: DVec3,
    frame: Pose,
    /// Lower end, upper end, radius at each (mm, along the axis from the origin).
    pieces: Vec<[f64; 4]>,
}

/// Two places along an axis closer than this are one (mm).
const SAME: f64 = 1e-9;

impl Shaft {
    fn of(solids: &[Solid]) -> Option<Self> {
        let first = solids.first()?;
        let (origin, axis) = (first.pose.shift, first.pose.turn.z_axis);
        let mut pieces = Vec::with_capacity(solids.len());
        for solid in solids {
            let (lower, upper, half) = match solid.shape {
                Shape::Cylinder { radius, half_height } => (radius, radius, half_height),
                Shape::Frustum { lower_radius, upper_radius, half_height } => {
                    (lower_radius, upper_radius, half_height)
                }
                _ => return None,
            };
            let along = solid.pose.turn.z_axis.dot(axis);
            let offset = solid.pose.shift - origin;
            let aside = offset - axis * offset.dot(axis);
            if along.abs() < 1.0 - SAME || aside.length() > 1e-6 {
                return None;
            }
            let middle = offset.dot(axis);
            pieces.push(if along > 0.0 {
                [middle - half, middle + half, lower, upper]
            } else {
                [middle - half, middle + half, upper, lower]
            });
        }
        Some(Self { origin, frame: first.pose, pieces })
    }

    /// Greatest radius just above (`side` = 1) or below (−1) a height.
    fn radius(&self, height: f64, side: f64) -> f64 {
        let just = height + side * 1e-6;
        self.pieces
            .iter()
            .filter(|[low, high, ..]| just > *low && just < *high)
            .map(|[low, high, lower, upper]| lower + (upper - lower) * (height - low) / (high - low))
            .fold(0.0, f64::max)
    }

    fn mesh(&self, tolerance: f64) -> Result<Mesh, MeshError> {
        let mut heights: Vec<f64> = self.pieces.iter().flat_map(|[low, high, ..]| [*low, *high]).collect();
        heights.extend(self.crossings());
        heights.sort_by(f64::total_cmp);
        heights.dedup_by(|next, kept| *next - *kept < SAME);
        let mut rings: Vec<(f64, f64)> = Vec::with_capacity(2 * heights.len());
        for &height in &heights {
            let (below, above) = (self.radius(height, -1.0), self.radius(height, 1.0));
            if below > 0.0 {
                rings.push((below, height));
            }
            if above > 0.0 && (above - below).abs() > SAME {
                rings.push((above, height));
            }
        }
        let mut mesh = Mesh::revolved(&rings, tolerance)?;
        let frame = Pose { shift: self.origin, ..self.frame };
        for corner in &mut mesh.corners {
            *corner = frame.point(*corner);
        }
        Ok(mesh)
    }

    /// Heights at which the radii of two pieces cross.
    fn crossings(&self) -> Vec<f64> {
        let slope = |piece: &[f64; 4]| (piece[3] - piece[2]) / (piece[1] - piece[0]);
        let mut found = Vec::new();
        for (i, a) in self.pieces.iter().enumerate() {
            for b in &self.pieces[i + 1..] {
                let (low, high) = (a[0].max(b[0]), a[1].min(b[1]));
                let steeper = slope(a) - slope(b);
                let height = (b[2] - slope(b) * b[0] - a[2] + slope(a) * a[0]) / steeper;
                if height > low && height < high {
                    found.push(height);
                }
            }
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A vee tyre as two cones, a tip and a disc: the volume of the joined body against Simpson's rule
    /// over its radius, which is exact for pieces of straight flanks.
    #[test]
    fn coaxial_pieces_join_to_one_closed_body() {
        let z = DVec3::Z;
        let solids = vec![
            Solid::cylinder_between(-z * 2.5, z * 2.5, 20.0),
            Solid::frustum_between(z * 2.5, z * 5.0, 20.0, 17.5),
            Solid::frustum_between(-z * 2.5, -z * 5.0, 20.0, 17.5),
            Solid::cylinder_between(-z * 6.0, z * 6.0, 17.5),
        ];
        let mesh = Shaft::of(&solids).unwrap().mesh(0.01).unwrap();
        assert!(mesh.is_closed());
        let radius = |h: f64| match h.abs() {
            h if h < 2.5 => 20.0,
            h if h < 5.0 => 20.0 - (h - 2.5),
            _ => 17.5f64,
        };
        let n = 24_000;
        let exact: f64 = (0..n)
            .map(|i| std::f64::consts::PI * radius(-6.0 + 12.0 * (f64::from(i) + 0.5) / f64::from(n)).powi(2))
            .sum::<f64>()
            * 12.0
            / f64::from(n);
        assert!(mesh.volume() < exact && mesh.volume() > 0.998 * exact, "{} {exact}", mesh.volume());
    }

    #[test]
    fn pieces_on_different_axes_stay_apart() {
        let z = DVec3::Z;
        let solids =
            [Solid::cylinder_between(-z, z, 2.0), Solid::cylinder_between(DVec3::X - z, DVec3::X + z, 2.0)];
        assert!(Shaft::of(&solids).is_none());
    }
}
