//! Convex lumps: what the picture in space is made of.

use std::sync::Arc;

use glam::{DVec2, DVec3};

use crate::drawing::{Part, Rect};
use crate::look::Tone;
use crate::views::figure::hull_points;
use crate::views::projection::Projector;

/// Whose a lump is: what it stands for, and its name.
pub(super) type Whose = (Option<Part>, Option<Arc<str>>);

/// A piece that hides what is behind it and is hidden by what is before it, as a whole. Lengths mm.
pub(super) struct Lump {
    pub(super) whose: Whose,
    pub(super) tone: Tone,
    pub(super) form: Form,
    /// A box round it in the rail frame.
    pub(super) low: DVec3,
    pub(super) high: DVec3,
    /// Its outline on paper: convex, counter-clockwise.
    pub(super) hull: Vec<DVec2>,
    /// A box round its outline.
    pub(super) frame: Rect,
    /// The same turned by an eighth: least and greatest of x + y, then of y − x.
    diagonal: Rect,
    /// How near the reader its middle is.
    pub(super) depth: f64,
}

/// The form of a lump, at its place in the rail frame.
pub(super) enum Form {
    /// A convex body of revolution.
    Turned(Turned),
    /// Flat faces, painted in this order where they look at the reader.
    Faced(Vec<Face>),
}

/// A convex body of revolution.
pub(super) struct Turned {
    /// A point of its axis.
    pub(super) base: DVec3,
    /// Unit direction of its axis.
    pub(super) axis: DVec3,
    /// Height above the base and radius, heights rising.
    pub(super) rings: Vec<DVec2>,
    /// Whether the rings between the ends are edges.
    pub(super) edged: bool,
    /// What is drawn on its lower and on its upper face.
    pub(super) caps: [Vec<Etched>; 2],
}

/// Something drawn on the end of a turned piece.
#[derive(Clone)]
pub(super) enum Etched {
    /// A disc about the axis.
    Disc(f64, Tone),
    /// A circle.
    Ring(f64),
    /// A hexagon of this corner radius, sunk in: a socket.
    Socket(f64),
}

/// A flat face.
pub(super) struct Face {
    /// Its outline and the holes in it.
    pub(super) loops: Vec<Vec<DVec3>>,
    /// Outward unit normal.
    pub(super) normal: DVec3,
    /// Lines along its edges; each edge of a body belongs to one face only.
    pub(super) lines: Vec<Line>,
    /// Closed thin lines on the face.
    pub(super) etched: Vec<Vec<DVec3>>,
    /// Whether it is the wall of a hole.
    pub(super) in_hole: bool,
}

/// A line along an edge of a face.
#[derive(Clone, Copy)]
pub(super) struct Line {
    pub(super) from: DVec3,
    pub(super) to: DVec3,
    /// The normal of the face on the other side.
    pub(super) beyond: DVec3,
    /// Whether the two faces meet in an edge; else the line only shows where the body turns away.
    pub(super) sharp: bool,
}

/// Sides that stand for a round when depths are compared.
const SIDES: usize = 16;
/// Corners of a rim.
const RIM: usize = 28;

impl Lump {
    /// A lump as seen in a view; `None` when it has no extent or a coordinate is not finite.
    pub(super) fn new(view: &Projector, whose: Whose, tone: Tone, form: Form) -> Option<Self> {
        let points = form.outline_points();
        let hull = hull_points(points.iter().map(|p| view.flat(*p)).collect());
        let frame = Rect::round(hull.iter().copied())?;
        let diagonal = Rect::round(hull.iter().map(|p| DVec2::new(p.x + p.y, p.y - p.x)))?;
        let (low, high) = form.bounds();
        let fine = low.is_finite() && high.is_finite() && frame.is_finite() && hull.len() > 2;
        let depth = view.depth(0.5 * (low + high));
        fine.then_some(Self { whose, tone, form, low, high, hull, frame, diagonal, depth })
    }

    /// Whether the outlines may overlap by more than `touch` (mm): as far as two boxes tell.
    pub(super) fn may_overlap(&self, other: &Self, touch: f64) -> bool {
        let shared = |a: &Rect, b: &Rect| (a.max.min(b.max) - a.min.max(b.min)).min_element() > touch;
        shared(&self.frame, &other.frame) && shared(&self.diagonal, &other.diagonal)
    }

    /// How near the reader the surface is that is seen at a point of the paper within the outline (mm). Round
    /// pieces are taken as many-sided.
    pub(super) fn front(&self, view: &Projector, at: DVec2) -> f64 {
        let foot = view.right * at.x + view.up * at.y;
        let mut nearest = f64::INFINITY;
        let mut cut = |normal: DVec3, point: DVec3| {
            let slope = normal.dot(view.toward);
            if slope > 1e-9 {
                nearest = nearest.min(normal.dot(point - foot) / slope);
            }
        };
        match &self.form {
            Form::Faced(faces) => {
                for face in faces.iter().filter(|face| !face.in_hole) {
                    if let Some(point) = face.loops.first().and_then(|corners| corners.first()) {
                        cut(face.normal, *point);
                    }
                }
            }
            Form::Turned(Turned { base, axis, rings, .. }) => {
                let (Some(first), Some(last)) = (rings.first(), rings.last()) else { return self.depth };
                cut(-*axis, *base + *axis * first.x);
                cut(*axis, *base + *axis * last.x);
                let round = Round::about(*axis);
                for band in rings.windows(2) {
                    // (height, radius) turned a quarter: outwards is towards growing radius.
                    let Some(out) = (band[1] - band[0]).perp().try_normalize() else { continue };
                    let out = if out.y < 0.0 { -out } else { out };
                    for way in round.ways(SIDES) {
                        cut(way * out.y + *axis * out.x, *base + *axis * band[0].x + way * band[0].y);
                    }
                }
            }
        }
        if nearest.is_finite() { nearest } else { self.depth }
    }
}

/// Two unit directions square to an axis and to each other.
#[derive(Clone, Copy)]
pub(super) struct Round {
    pub(super) u: DVec3,
    pub(super) v: DVec3,
}

impl Round {
    pub(super) fn about(axis: DVec3) -> Self {
        // Along the rail where that is square, so that hexagons lie alike.
        let u = (DVec3::X - axis * axis.x).try_normalize().unwrap_or_else(|| axis.any_orthonormal_vector());
        Self { u, v: axis.cross(u) }
    }

    /// So many even directions round the axis.
    pub(super) fn ways(self, count: usize) -> impl Iterator<Item = DVec3> {
        (0..count).map(move |i| {
            let turn = DVec2::from_angle(std::f64::consts::TAU * i as f64 / count as f64);
            self.u * turn.x + self.v * turn.y
        })
    }
}

impl Turned {
    /// Corners of the rim at a height, of a radius.
    pub(super) fn rim(&self, height: f64, radius: f64) -> impl Iterator<Item = DVec3> {
        let middle = self.base + self.axis * height;
        Round::about(self.axis).ways(RIM).map(move |way| middle + way * radius)
    }
}

impl Form {
    /// Points whose hull on paper is the outline.
    pub(super) fn outline_points(&self) -> Vec<DVec3> {
        match self {
            Self::Faced(faces) => {
                faces.iter().flat_map(|face| face.loops.first().into_iter().flatten().copied()).collect()
            }
            Self::Turned(turned) => turned.rings.iter().flat_map(|ring| turned.rim(ring.x, ring.y)).collect(),
        }
    }

    /// A box round it.
    fn bounds(&self) -> (DVec3, DVec3) {
        let nothing = (DVec3::INFINITY, DVec3::NEG_INFINITY);
        let join = |(low, high): (DVec3, DVec3), (a, b): (DVec3, DVec3)| (low.min(a), high.max(b));
        match self {
            Self::Faced(faces) => faces
                .iter()
                .flat_map(|face| face.loops.first().into_iter().flatten())
                .fold(nothing, |all, p| join(all, (*p, *p))),
            Self::Turned(Turned { base, axis, rings, .. }) => rings.iter().fold(nothing, |all, ring| {
                let middle = *base + *axis * ring.x;
                let square = (DVec3::ONE - *axis * *axis).max(DVec3::ZERO);
                let half = DVec3::new(square.x.sqrt(), square.y.sqrt(), square.z.sqrt()) * ring.y;
                join(all, (middle - half, middle + half))
            }),
        }
    }
}
