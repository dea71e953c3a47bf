//! Belt and cord as bodies: the spans between what they pass, and what lies on a pulley.

use std::borrow::Cow;

use glam::{DVec2, DVec3};
use glidewright_geometry::{Edge, Outline, Pose, Shape, Solid};

use super::Assembly;
use super::body::{Body, Owner, Role};
use super::line_path::{LinePath, PathElement, path_at};
use super::placed::{Fault, FaultKind};
use crate::{BodyId, Fixture, Line, LineKind, LineNode, rider_x};

/// A stretch of the line that is a body: a span between two nodes, or the line on a pulley.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Its body.
    pub body: BodyId,
    /// Its number in [`LinePath::elements`].
    pub element: usize,
    /// The nodes between which it lies; for the line on a pulley both are the pulley's.
    pub nodes: (usize, usize),
    /// Its length or direction changes with travel: its body shows it at the stroke's beginning, in the rail frame;
    /// [`Assembly::solids_at`] tells it at any travel.
    pub changes: bool,
}

/// Two places or directions of a stretch closer than this are one (mm, rad).
const SAME: f64 = 1e-9;

/// Adds the stretches of a line to the bodies and lists them.
pub(super) fn add(
    fixture: &Fixture,
    line: &Line,
    bodies: &mut Vec<Body>,
    faults: &mut Vec<Fault>,
) -> Vec<Stretch> {
    let (from, to) = (fixture.stroke.from, fixture.stroke.to);
    let mut paths = Vec::with_capacity(3);
    for travel in [from, 0.5 * (from + to), to] {
        match path_at(fixture, line, travel) {
            Ok(path) => paths.push(path),
            Err(fault) => {
                faults.push(Fault {
                    name: line.name.clone(),
                    path: line.path.clone(),
                    what: FaultKind::Line(fault.text()),
                });
                return Vec::new();
            }
        }
    }
    let mut stretches = Vec::new();
    let Some(first) = paths.first() else { return stretches };
    for (number, element) in first.elements.iter().enumerate() {
        let (nodes, label) = match *element {
            PathElement::Span { nodes, .. } => {
                let name = |node: usize| line.nodes.get(node).map_or("", node_name);
                (nodes, format!("{} between {} and {}", line.name, name(nodes.0), name(nodes.1)))
            }
            PathElement::Wrap { node, .. } => {
                let name = line.nodes.get(node).map_or("", node_name);
                ((node, node), format!("{} on {name}", line.name))
            }
        };
        let solids = solids_of(line, element);
        if solids.is_empty() {
            continue;
        }
        let carriers = [nodes.0, nodes.1].map(|node| line.nodes.get(node).and_then(carrier));
        let changes = carriers[0] != carriers[1] || paths.iter().any(|path| turned(element, path, number));
        let owner = match carriers[0] {
            Some(rider) if !changes => Owner::Rider(rider),
            _ => Owner::Ground,
        };
        let home = match owner {
            Owner::Rider(rider) => rider_x(fixture, rider, from),
            Owner::Ground => 0.0,
        };
        stretches.push(Stretch { body: BodyId(bodies.len() as u32), element: number, nodes, changes });
        bodies.push(Body {
            owner,
            role: Role::Span,
            path: line.path.clone(),
            label,
            solids: solids.iter().map(|solid| solid.shifted(DVec3::NEG_X * home)).collect(),
            extruded: Vec::new(),
            cover: None,
            stack: None,
            piece: None,
            plate: None,
        });
    }
    stretches
}

/// Whether the line on a pulley begins or ends at another angle in another path.
fn turned(element: &PathElement, path: &LinePath, number: usize) -> bool {
    match (element, path.elements.get(number)) {
        (
            PathElement::Wrap { start, sweep, .. },
            Some(PathElement::Wrap { start: other, sweep: swept, .. }),
        ) => (start - other).abs() > SAME || (sweep - swept).abs() > SAME,
        _ => false,
    }
}

/// The rider that carries a node.
pub(crate) fn carrier(node: &LineNode) -> Option<usize> {
    match node {
        LineNode::Anchor { rider, .. } => *rider,
        LineNode::Pulley(pulley) => pulley.rider,
    }
}

fn node_name(node: &LineNode) -> &str {
    match node {
        LineNode::Anchor { name, .. } => name,
        LineNode::Pulley(pulley) => &pulley.name,
    }
}

/// The convex solids of a stretch in the rail frame (mm): a belt's span a box, a cord's a cylinder; the line on a
/// pulley with all that lies within it, as sectors.
pub(crate) fn solids_of(line: &Line, element: &PathElement) -> Vec<Solid> {
    let normal = line.plane.normal();
    match *element {
        PathElement::Span { from, to, .. } => {
            let (start, end) = (line.plane.point(from), line.plane.point(to));
            let Some(x) = (end - start).try_normalize() else { return Vec::new() };
            if line.kind == LineKind::Cord {
                return vec![Solid::cylinder_between(start, end, 0.5 * line.thickness)];
            }
            let half = DVec3::new(0.5 * start.distance(end), 0.5 * line.thickness, 0.5 * line.width);
            let pose = Pose::from_axes(x, normal.cross(x), normal, 0.5 * (start + end));
            vec![Solid { shape: Shape::Cuboid { half }, pose }]
        }
        PathElement::Wrap { centre, radius, start, sweep, .. } => {
            /// A sector is convex up to half a turn; thinner than this there is nothing of it (rad).
            const WIDEST: f64 = 0.9 * std::f64::consts::PI;
            const THINNEST: f64 = 1e-6;
            if !(sweep.abs() > THINNEST && radius > 0.0) {
                return Vec::new();
            }
            let count = (sweep.abs() / WIDEST).ceil().clamp(1.0, 8.0);
            let (first, step) = if sweep > 0.0 { (start, sweep) } else { (start + sweep, -sweep) };
            let step = step / count;
            let outer = radius + 0.5 * line.thickness;
            let height = if line.kind == LineKind::Cord { line.thickness } else { line.width };
            let (x, y) = axes(line);
            // Right-handed whichever plane it is; a sector is even about its middle.
            let z = x.cross(y);
            let pose = Pose::from_axes(x, y, z, line.plane.point(centre));
            (0..count as usize)
                .map(|i| {
                    let begin = first + step * i as f64;
                    let arc = Edge::Arc { centre: DVec2::ZERO, radius: outer, start: begin, sweep: step };
                    let outline = Outline::from_edges(vec![
                        Edge::Line { from: DVec2::ZERO, to: arc.from() },
                        arc,
                        Edge::Line { from: arc.to(), to: DVec2::ZERO },
                    ]);
                    Solid { shape: Shape::Prism { outline: outline.into(), half_height: 0.5 * height }, pose }
                })
                .collect()
        }
    }
}

/// The directions of the plane's coordinates in the rail frame.
fn axes(line: &Line) -> (DVec3, DVec3) {
    let origin = line.plane.point(DVec2::ZERO);
    (line.plane.point(DVec2::X) - origin, line.plane.point(DVec2::Y) - origin)
}

impl Assembly {
    /// The convex solids of a body in its owner's frame (mm) with the lead rider at `travel`: those of a stretch of
    /// line whose length or direction changes as it stands there, all others as they are.
    pub fn solids_at(&self, fixture: &Fixture, id: BodyId, travel: f64) -> Cow<'_, [Solid]> {
        let own = self.bodies.get(id.0 as usize).map_or(&[][..], |body| &body.solids);
        let stretch = self.stretches.iter().find(|stretch| stretch.changes && stretch.body == id);
        let (Some(stretch), Some(line)) = (stretch, &fixture.line) else { return Cow::Borrowed(own) };
        match path_at(fixture, line, travel).ok().and_then(|path| path.elements.get(stretch.element).copied())
        {
            Some(element) => Cow::Owned(solids_of(line, &element)),
            None => Cow::Borrowed(own),
        }
    }
}
