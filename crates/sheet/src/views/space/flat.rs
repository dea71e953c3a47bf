//! Faces of boxes, prisms and plates.

use glam::{DVec2, DVec3};
use glidewright_geometry::{Edge, Outline, Polyhedron, Pose};

use super::lump::{Face, Line};

/// Chords of arcs stand at most this far from them (mm).
const CHORD: f64 = 0.12;
/// Faces that turn by less than this (sine) are one bent face, without an edge between them.
const BEND: f64 = 0.3;

/// A corner of a flattened outline; whether an edge of the body starts there.
#[derive(Clone, Copy)]
pub(super) struct Corner {
    pub(super) at: DVec2,
    pub(super) sharp: bool,
}

/// The corners of an outline, arcs replaced by chords.
pub(super) fn corners(outline: &Outline) -> Vec<Corner> {
    let mut all = Vec::with_capacity(2 * outline.edges.len());
    let before = outline.edges.iter().cycle().skip(outline.edges.len().saturating_sub(1));
    for (edge, before) in outline.edges.iter().zip(before) {
        let sharp = before.tangent(1.0).perp_dot(edge.tangent(0.0)).abs() > BEND
            || before.tangent(1.0).dot(edge.tangent(0.0)) < 0.0;
        all.push(Corner { at: edge.from(), sharp });
        if let Edge::Arc { radius, sweep, .. } = *edge {
            let half = (1.0 - CHORD / radius.max(CHORD)).clamp(-1.0, 1.0).acos();
            let chords = (0.5 * sweep.abs() / half.max(0.1)).ceil().clamp(1.0, 48.0) as usize;
            all.extend((1..chords).map(|i| Corner { at: edge.at(i as f64 / chords as f64), sharp: false }));
        }
    }
    all.retain(|corner| corner.at.is_finite());
    all
}

/// From an outline's plane to the rail frame, with the two ends of what is extruded from it.
#[derive(Clone, Copy)]
pub(super) struct Extrusion {
    /// A point of the outline's plane at height 0.
    pub(super) origin: DVec3,
    pub(super) x: DVec3,
    pub(super) y: DVec3,
    /// Direction of growing height.
    pub(super) up: DVec3,
    pub(super) low: f64,
    pub(super) high: f64,
}

impl Extrusion {
    /// The frame of a prism.
    pub(super) fn of(pose: &Pose, half_height: f64, home: DVec3) -> Self {
        let [x, y, up] = [DVec3::X, DVec3::Y, DVec3::Z].map(|axis| pose.direction(axis));
        Self { origin: pose.shift + home, x, y, up, low: -half_height, high: half_height }
    }

    fn point(&self, p: DVec2, height: f64) -> DVec3 {
        self.origin + self.x * p.x + self.y * p.y + self.up * height
    }

    /// The faces of what is extruded from contours, all counter-clockwise, the first the outer one and the
    /// others holes; `wall` says of an edge whether it is a face of the body. In the order of painting.
    pub(super) fn faces(
        &self,
        contours: &[Vec<Corner>],
        toward: DVec3,
        wall: impl Fn(DVec2, DVec2) -> bool,
    ) -> Vec<Face> {
        let near_is_high = self.up.dot(toward) >= 0.0;
        let (near, far) = if near_is_high { (self.high, self.low) } else { (self.low, self.high) };
        let near_normal = if near_is_high { self.up } else { -self.up };
        let mut walls: Vec<(f64, Face)> = Vec::new();
        let mut rim: Vec<Line> = Vec::new();
        for (number, contour) in contours.iter().enumerate() {
            let in_hole = number > 0;
            let count = contour.len();
            let normals: Vec<DVec3> = (0..count)
                .map(|i| {
                    let along = contour[(i + 1) % count].at - contour[i].at;
                    let out = -along.perp().normalize_or_zero();
                    let out = if in_hole { -out } else { out };
                    self.x * out.x + self.y * out.y
                })
                .collect();
            let is_wall: Vec<bool> =
                (0..count).map(|i| wall(contour[i].at, contour[(i + 1) % count].at)).collect();
            for i in 0..count {
                if !is_wall[i] {
                    continue;
                }
                let (a, b) = (contour[i].at, contour[(i + 1) % count].at);
                let (previous, next) = ((i + count - 1) % count, (i + 1) % count);
                let normal = normals[i];
                let mut lines = vec![Line {
                    from: self.point(a, far),
                    to: self.point(b, far),
                    beyond: -near_normal,
                    sharp: true,
                }];
                let upright = |p: DVec2, beyond: DVec3, sharp: bool| Line {
                    from: self.point(p, near),
                    to: self.point(p, far),
                    beyond,
                    sharp,
                };
                lines.push(if is_wall[previous] {
                    upright(a, normals[previous], contour[i].sharp)
                } else {
                    upright(a, normal, contour[i].sharp)
                });
                if !is_wall[next] {
                    lines.push(upright(b, normal, contour[next].sharp));
                }
                rim.push(Line {
                    from: self.point(a, near),
                    to: self.point(b, near),
                    beyond: normal,
                    sharp: true,
                });
                let corners =
                    vec![self.point(a, near), self.point(b, near), self.point(b, far), self.point(a, far)];
                let depth = toward.dot(0.5 * (corners[0] + corners[2]));
                let face = Face { loops: vec![corners], normal, lines, etched: Vec::new(), in_hole };
                // Walls of holes first: the face round them covers what must not be seen of them.
                walls.push((if in_hole { f64::NEG_INFINITY } else { depth }, face));
            }
        }
        walls.sort_by(|a, b| a.0.total_cmp(&b.0));
        let cap = |height: f64| {
            contours
                .iter()
                .map(|contour| contour.iter().map(|corner| self.point(corner.at, height)).collect())
                .collect::<Vec<Vec<DVec3>>>()
        };
        let plain = |height: f64, normal: DVec3, lines: Vec<Line>| Face {
            loops: cap(height),
            normal,
            lines,
            etched: Vec::new(),
            in_hole: false,
        };
        let mut faces = vec![plain(far, -near_normal, Vec::new())];
        faces.extend(walls.into_iter().map(|(_, face)| face));
        faces.push(plain(near, near_normal, rim));
        faces
    }
}

/// The faces of a box of half extents at a pose.
pub(super) fn box_faces(pose: &Pose, half: DVec3, home: DVec3, toward: DVec3) -> Vec<Face> {
    let corner = |x: f64, y: f64| Corner { at: DVec2::new(x, y), sharp: true };
    let contour = vec![
        corner(-half.x, -half.y),
        corner(half.x, -half.y),
        corner(half.x, half.y),
        corner(-half.x, half.y),
    ];
    Extrusion::of(pose, half.z, home).faces(&[contour], toward, |_, _| true)
}

/// The faces of a polyhedron at a pose.
pub(super) fn polyhedron_faces(pose: &Pose, body: &Polyhedron, home: DVec3) -> Vec<Face> {
    let point = |i: u32| body.corners.get(i as usize).map(|corner| pose.point(*corner) + home);
    let loops: Vec<Vec<DVec3>> =
        body.faces.iter().map(|face| face.iter().filter_map(|i| point(*i)).collect()).collect();
    let normals: Vec<DVec3> = loops.iter().map(|corners| newell(corners)).collect();
    let neighbour = |a: u32, b: u32| {
        body.faces.iter().position(|face| {
            face.iter().zip(face.iter().cycle().skip(1)).any(|(from, to)| *from == b && *to == a)
        })
    };
    body.faces
        .iter()
        .enumerate()
        .map(|(number, face)| {
            let normal = normals[number];
            let lines = face
                .iter()
                .zip(face.iter().cycle().skip(1))
                .filter_map(|(a, b)| {
                    let other = neighbour(*a, *b)?;
                    let beyond = *normals.get(other)?;
                    let sharp = normal.cross(beyond).length() > BEND || normal.dot(beyond) < 0.0;
                    (number < other).then_some(Line { from: point(*a)?, to: point(*b)?, beyond, sharp })
                })
                .collect();
            Face { loops: vec![loops[number].clone()], normal, lines, etched: Vec::new(), in_hole: false }
        })
        .collect()
}

/// The unit normal of a flat loop, counter-clockwise seen from outside (Newell's sums).
fn newell(corners: &[DVec3]) -> DVec3 {
    corners
        .iter()
        .zip(corners.iter().cycle().skip(1))
        .map(|(a, b)| a.cross(*b))
        .sum::<DVec3>()
        .normalize_or_zero()
}
