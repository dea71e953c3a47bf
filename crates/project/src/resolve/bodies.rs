//! Bodies at their places in their owner's frame.

use std::f64::consts::PI;
use std::sync::Arc;

use glam::{DMat3, DVec2, DVec3};
use glidewright_geometry::{Pose, Shape, Side, Solid, decompose};
use glidewright_motion as motion;
use motion::Extruded;

use super::{Context, lately, outlines};
use crate::document::{Axis, Body, Patch, Point, Turned};
use crate::path::join;
use crate::problem::Problem;
use crate::size::Length;

/// Greatest error of the chords of a hollow arc in the convex pieces of an outline (mm), as of plates.
const CHORD_ERROR: f64 = 0.01;

/// The frame in which places are written, seen from their owner's.
#[derive(Clone, Copy, Debug)]
pub(super) struct Written {
    /// The owner's direction of the second coordinate.
    y: DVec3,
    /// The owner's direction of the third.
    z: DVec3,
    /// What the third coordinate counts from (mm).
    base: f64,
}

impl Written {
    /// Places in the rail's frame, or in a rider's that is parallel to it.
    pub(super) const RAIL: Self = Self { y: DVec3::Y, z: DVec3::Z, base: 0.0 };

    /// Places along a rider, across it and out from a level `base` (mm).
    pub(super) const fn on_rider(facing: motion::Facing, base: f64) -> Self {
        Self { y: facing.lateral(), z: facing.outward(), base }
    }

    /// A place in the owner's frame (mm).
    pub(super) fn place(&self, p: DVec3) -> DVec3 {
        DVec3::X * p.x + self.y * p.y + self.z * (self.base + p.z)
    }

    /// A direction in the owner's frame.
    fn direction(&self, d: DVec3) -> DVec3 {
        DVec3::X * d.x + self.y * d.y + self.z * d.z
    }

    /// What a unit to the right and one up come to in an outline whose thickness runs along an axis. Along z it is drawn
    /// as a plate is, from outside with x to the right; along x as a section is, seen along growing x with z up; along y
    /// with x to the right and z up.
    fn axes(&self, along: Axis) -> DVec2 {
        let handed = DVec3::X.dot(self.y.cross(self.z));
        match along {
            Axis::X => DVec2::new(-handed, 1.0),
            Axis::Y => DVec2::ONE,
            Axis::Z => DVec2::new(1.0, handed),
        }
    }
}

/// What bodies come to.
#[derive(Debug, Default)]
pub(super) struct Made {
    /// Their convex pieces (mm).
    pub(super) solids: Vec<Solid>,
    /// Those of one thickness on an outline.
    pub(super) extruded: Vec<Extruded>,
    /// Volume (mm³) and centroid (mm) of each.
    masses: Vec<(f64, DVec3)>,
}

impl Made {
    /// Their volume (mm³).
    pub(super) fn volume(&self) -> f64 {
        self.masses.iter().map(|(volume, _)| volume).sum()
    }

    /// The centroid of them all (mm), if they have a volume.
    pub(super) fn centroid(&self) -> Option<DVec3> {
        let volume = self.volume();
        let moment = || self.masses.iter().map(|(volume, centroid)| *centroid * *volume).sum::<DVec3>();
        (volume > 0.0).then(|| moment() / volume)
    }
}

/// A place as it is written (mm).
pub(super) fn point(context: &Context<'_>, point: &Point, path: &str) -> DVec3 {
    DVec3::new(
        context.number(&point.0, path, "x"),
        context.number(&point.1, path, "y"),
        context.number(&point.2, path, "z"),
    )
}

/// Bodies in their owner's frame; reports those without a volume.
pub(super) fn of(context: &mut Context<'_>, bodies: &[Body], path: &str, written: &Written) -> Made {
    let mut made = Made::default();
    for (body, number) in bodies.iter().zip(1..) {
        let base = join(path, &format!("{number}"));
        one(context, body, &base, written, &mut made);
    }
    made
}

fn one(context: &mut Context<'_>, body: &Body, base: &str, written: &Written, made: &mut Made) {
    let at = |p: &Point, name: &str| written.place(point(context, p, &join(base, name)));
    let found = match body {
        Body::Box { from, to, turned: None } => {
            let (from, to) = (at(from, "from"), at(to, "to"));
            let size = (to - from).abs();
            (size.min_element() > 0.0)
                .then(|| (Solid::cuboid_between(from, to), size.element_product(), 0.5 * (from + to)))
        }
        Body::Box { from, to, turned: Some(turned) } => {
            let [from, to] =
                [(from, "from"), (to, "to")].map(|(p, name)| point(context, p, &join(base, name)));
            let (middle, size) = (0.5 * (from + to), (to - from).abs());
            let turn = turn(context, turned, middle, base);
            (size.min_element() > 0.0).then(|| {
                let frame = turn.frame(written, middle, DVec3::X, DVec3::Y);
                let solid = Solid { shape: Shape::Cuboid { half: 0.5 * size }, pose: frame };
                (solid, size.element_product(), frame.shift)
            })
        }
        Body::Cylinder { from, to, diameter } => {
            let (from, to) = (at(from, "from"), at(to, "to"));
            let radius = 0.5 * context.number(diameter, base, "diameter");
            let height = from.distance(to);
            (height > 0.0).then(|| {
                let volume = PI * radius * radius * height;
                (Solid::cylinder_between(from, to, radius), volume, 0.5 * (from + to))
            })
        }
        Body::Cone { from, to, from_diameter, to_diameter } => {
            let (from, to) = (at(from, "from"), at(to, "to"));
            let a = 0.5 * context.number(from_diameter, base, "from_diameter");
            let b = 0.5 * context.number(to_diameter, base, "to_diameter");
            let height = from.distance(to);
            let squares = a * a + a * b + b * b;
            (height > 0.0).then(|| {
                // Centroid of a frustum from its first end: h/4·(a² + 2ab + 3b²)/(a² + ab + b²).
                let share = 0.25 * (a * a + 2.0 * a * b + 3.0 * b * b) / squares;
                let volume = PI / 3.0 * height * squares;
                (Solid::frustum_between(from, to, a, b), volume, from + (to - from) * share)
            })
        }
        Body::Ball { at: middle, diameter } => {
            let middle = at(middle, "at");
            let radius = 0.5 * context.number(diameter, base, "diameter");
            let solid = Solid { shape: Shape::Sphere { radius }, pose: Pose::from_shift(middle) };
            Some((solid, 4.0 / 3.0 * PI * radius.powi(3), middle))
        }
        Body::Outline { shape, along, from, to, turned } => {
            let ends = [from, to];
            outline(context, (shape, *along, ends, turned.as_ref()), base, written, made);
            return;
        }
    };
    match found {
        Some((solid, volume, centroid)) => {
            made.solids.push(solid);
            made.masses.push((volume, centroid));
        }
        None => context.report(
            Problem::error(base, "the body has no volume: its two places coincide or lie in one plane")
                .remedy("move one of them"),
        ),
    }
}

/// A body of one thickness on an outline: its convex pieces, and the outline it is drawn by.
fn outline(
    context: &mut Context<'_>,
    (shape, along, ends, turned): (&Patch, Axis, [&Length; 2], Option<&Turned>),
    base: &str,
    written: &Written,
    made: &mut Made,
) {
    let Some(region) = outlines::patch(context, shape, written.axes(along), &join(base, "shape")) else {
        return;
    };
    let (from, to) = (context.number(ends[0], base, "from"), context.number(ends[1], base, "to"));
    let half_height = 0.5 * (to - from).abs();
    if !(half_height > 0.0 && half_height.is_finite()) {
        context.report(
            Problem::error(base, "the body has no volume: it ends where it begins")
                .remedy("give it a thickness"),
        );
        return;
    }
    let [right, up, deep] = match along {
        Axis::X => [DVec3::Y, DVec3::Z, DVec3::X],
        Axis::Y => [DVec3::X, DVec3::Z, DVec3::Y],
        Axis::Z => [DVec3::X, DVec3::Y, DVec3::Z],
    };
    let origin = deep * (0.5 * (from + to));
    let frame = match turned {
        None => Turn::NONE.frame(written, origin, right, up),
        Some(turned) => {
            let bounds = region.bounds();
            let corners = [bounds.low, bounds.high].map(|p| origin + right * p.x + up * p.y);
            let middle = 0.5 * (corners[0] + corners[1]);
            turn(context, turned, middle, base).frame(written, origin, right, up)
        }
    };
    let (region, pieces) = lately::pieces(&region, |region| decompose(region, CHORD_ERROR, Side::Outer));
    let pieces = match pieces {
        Ok(pieces) => pieces,
        Err(error) => {
            let message = format!("this gives no sound body: {error}");
            context.report(Problem::error(join(base, "shape"), message).remedy("check its outline"));
            return;
        }
    };
    let first = made.solids.len();
    made.solids.extend(
        pieces.into_iter().map(|outline| Solid { shape: Shape::Prism { outline, half_height }, pose: frame }),
    );
    let body = Extruded { region: Arc::clone(&region), frame, half_height, pieces: first..made.solids.len() };
    made.masses.push((body.volume(), body.centroid()));
    made.extruded.push(body);
}

/// A turn about an axis, in the frame in which places are written.
struct Turn {
    turn: DMat3,
    /// A place on the axis (mm).
    about: DVec3,
}

impl Turn {
    const NONE: Self = Self { turn: DMat3::IDENTITY, about: DVec3::ZERO };

    /// Where a frame ends up in its owner's that is written with its origin and two of its axes; the third is chosen so
    /// that it is right-handed.
    fn frame(&self, written: &Written, origin: DVec3, x: DVec3, y: DVec3) -> Pose {
        let [x, y] = [x, y].map(|axis| written.direction(self.turn * axis));
        let origin = self.about + self.turn * (origin - self.about);
        Pose::from_axes(x, y, x.cross(y), written.place(origin))
    }
}

/// What a turn comes to of a body whose middle stands at `middle` (mm); reports one without a direction.
fn turn(context: &mut Context<'_>, turned: &Turned, middle: DVec3, base: &str) -> Turn {
    let base = join(base, "turned");
    let direction = point(context, &turned.about, &join(&base, "about"));
    let angle = context.number(&turned.by, &base, "by");
    let about = turned.at.as_ref().map_or(middle, |at| point(context, at, &join(&base, "at")));
    let Some(axis) = direction.try_normalize() else {
        context.report(
            Problem::error(join(&base, "about"), "the direction has no length")
                .remedy("write a place such as (0, 0, 1)"),
        );
        return Turn::NONE;
    };
    Turn { turn: DMat3::from_axis_angle(axis, angle), about }
}
