//! Bodies: loads, grips, obstacles.

use std::collections::HashMap;
use std::f64::consts::PI;

use glam::{DVec2, DVec3};
use glidewright_geometry::{Pose, Shape, Solid};
use glidewright_motion as motion;
use motion::plain;

use super::Context;
use crate::document::{Body, Grip, Load, Point, Rider, Watched};
use crate::problem::{Problem, quoted};
use crate::suggest::suggestion;
use crate::walk::join;

/// How places on a rider are meant.
pub(super) struct Frame<'a> {
    pub facing: motion::Facing,
    /// Levels of the plates' outer faces, by name (mm).
    pub floor: &'a HashMap<&'a str, f64>,
}

impl Frame<'_> {
    /// The level places count from; reports an unknown plate.
    pub(super) fn base(&self, context: &mut Context<'_>, rider: &Rider, on: Option<&str>, path: &str) -> f64 {
        let Some(name) = on else { return 0.0 };
        if let Some(level) = self.floor.get(name) {
            return *level;
        }
        context.unusable = true;
        // One that is there but could not be placed has been told about.
        if rider.plates.iter().any(|plate| plate.name == name) {
            return 0.0;
        }
        let message = format!("{} has no plate called {}", quoted(&rider.name), quoted(name));
        let remedy = suggestion(name, rider.plates.iter().map(|plate| plate.name.as_str()));
        context.report(Problem::error(join(path, "on"), message).remedy(remedy));
        0.0
    }
}

fn point(context: &Context<'_>, point: &Point, path: &str) -> DVec3 {
    DVec3::new(
        context.number(&point.0, path, "x"),
        context.number(&point.1, path, "y"),
        context.number(&point.2, path, "z"),
    )
}

/// Bodies as solids with volume (mm³) and centroid; `place` takes written coordinates to the owner's frame.
pub(super) fn bodies(
    context: &mut Context<'_>,
    bodies: &[Body],
    path: &str,
    place: &dyn Fn(DVec3) -> DVec3,
) -> Vec<(Solid, f64, DVec3)> {
    let mut solids = Vec::with_capacity(bodies.len());
    for (body, number) in bodies.iter().zip(1..) {
        let base = join(path, &format!("{number}"));
        let at = |p: &Point, name: &str| place(point(context, p, &join(&base, name)));
        let found = match body {
            Body::Box { from, to } => {
                let (from, to) = (at(from, "from"), at(to, "to"));
                let size = (to - from).abs();
                (size.min_element() > 0.0)
                    .then(|| (Solid::cuboid_between(from, to), size.element_product(), 0.5 * (from + to)))
            }
            Body::Cylinder { from, to, diameter } => {
                let (from, to) = (at(from, "from"), at(to, "to"));
                let radius = 0.5 * context.number(diameter, &base, "diameter");
                let height = from.distance(to);
                (height > 0.0).then(|| {
                    let volume = PI * radius * radius * height;
                    (Solid::cylinder_between(from, to, radius), volume, 0.5 * (from + to))
                })
            }
            Body::Cone { from, to, from_diameter, to_diameter } => {
                let (from, to) = (at(from, "from"), at(to, "to"));
                let a = 0.5 * context.number(from_diameter, &base, "from_diameter");
                let b = 0.5 * context.number(to_diameter, &base, "to_diameter");
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
                let radius = 0.5 * context.number(diameter, &base, "diameter");
                let solid = Solid { shape: Shape::Sphere { radius }, pose: Pose::from_shift(middle) };
                Some((solid, 4.0 / 3.0 * PI * radius.powi(3), middle))
            }
        };
        match found {
            Some(found) => solids.push(found),
            None => context.report(
                Problem::error(&base, "the body has no volume: its two places coincide or lie in one plane")
                    .remedy("move one of them"),
            ),
        }
    }
    solids
}

/// A load in the rider's frame.
pub(super) fn load(
    context: &mut Context<'_>,
    rider: &Rider,
    load: &Load,
    frame: &Frame<'_>,
) -> Option<motion::Load> {
    let path = join(&join(&join("riders", &rider.name), "loads"), &load.name);
    let base = frame.base(context, rider, load.on.as_deref(), &path);
    let facing = frame.facing;
    let place = |p: DVec3| facing.point(DVec2::new(p.x, p.y), base + p.z);
    let solids = bodies(context, &load.bodies, &join(&path, "bodies"), &place);
    let volume: f64 = solids.iter().map(|(_, volume, _)| volume).sum();
    let centre = match &load.centre {
        Some(centre) => place(point(context, centre, &join(&path, "centre"))),
        None if volume > 0.0 => {
            solids.iter().map(|(_, volume, centroid)| *centroid * *volume).sum::<DVec3>() / volume
        }
        None => {
            context.report(
                Problem::error(&path, "the load has neither bodies nor a centre")
                    .remedy("give its centre: (x, y, z), or bodies"),
            );
            return None;
        }
    };
    let reach = load.reach.as_ref().and_then(|reach| {
        let base = join(&path, "reach");
        let towards = point(context, &reach.direction, &join(&base, "direction"));
        let towards = facing.point(DVec2::new(towards.x, towards.y), towards.z);
        let Some(direction) = towards.try_normalize() else {
            context.report(
                Problem::error(join(&base, "direction"), "the direction has no length")
                    .remedy("write a place such as (0, 0, 1)"),
            );
            return None;
        };
        let (from, to, at) = (
            context.number(&reach.from, &base, "from"),
            context.number(&reach.to, &base, "to"),
            context.number(&reach.at, &base, "at"),
        );
        if !(from <= at && at <= to) {
            context.report(
                Problem::error(
                    &base,
                    format!("the reach {} does not lie between {} and {}", plain(at), plain(from), plain(to)),
                )
                .remedy("let from ≤ at ≤ to"),
            );
        }
        Some(motion::Reach { direction, from, to, at })
    });
    Some(motion::Load {
        name: load.name.clone(),
        mass: context.number(&load.mass, &path, "mass"),
        centre,
        solids: solids.into_iter().map(|(solid, _, _)| solid).collect(),
        reach,
        on: load.on.as_ref().and_then(|on| rider.plates.iter().position(|plate| plate.name == *on)),
        is_ballast: load.ballast,
        path,
    })
}

/// A grip in the rider's frame.
pub(super) fn grip(
    context: &mut Context<'_>,
    rider: &Rider,
    grip: &Grip,
    frame: &Frame<'_>,
) -> Option<motion::Grip> {
    let path = join(&join("riders", &rider.name), "grip");
    let base = frame.base(context, rider, grip.on.as_deref(), &path);
    let at = point(context, &grip.at, &join(&path, "at"));
    Some(motion::Grip {
        name: grip.name.clone(),
        at: frame.facing.point(DVec2::new(at.x, at.y), base + at.z),
    })
}

/// A point to watch in the rider's frame.
pub(super) fn watched(
    context: &mut Context<'_>,
    rider: &Rider,
    watched: &Watched,
    frame: &Frame<'_>,
) -> motion::NamedPoint {
    let path = join(&join(&join("riders", &rider.name), "points"), &watched.name);
    let base = frame.base(context, rider, watched.on.as_deref(), &path);
    let at = point(context, &watched.at, &join(&path, "at"));
    motion::NamedPoint {
        name: watched.name.clone(),
        at: frame.facing.point(DVec2::new(at.x, at.y), base + at.z),
        path,
    }
}

/// What stands still.
pub(super) fn obstacles(context: &mut Context<'_>) -> Vec<motion::Obstacle> {
    let document = context.document;
    document
        .obstacles
        .iter()
        .map(|obstacle| {
            let path = join("obstacles", &obstacle.name);
            let solids = bodies(context, &obstacle.bodies, &join(&path, "bodies"), &|point| point);
            motion::Obstacle {
                name: obstacle.name.clone(),
                solids: solids.into_iter().map(|(solid, _, _)| solid).collect(),
                is_stop: obstacle.stop,
                path,
            }
        })
        .collect()
}
