//! What riders carry and what stands still: loads, grips, obstacles.

use std::collections::HashMap;

use glam::DVec2;
use glidewright_motion as motion;
use motion::plain;

use super::Context;
use super::bodies::{self, Written, point};
use crate::document::{Grip, Load, Rider, Watched};
use crate::path::join;
use crate::problem::{Problem, quoted};
use crate::suggest::suggestion;

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
    let written = Written::on_rider(facing, base);
    let made = bodies::of(context, &load.bodies, &join(&path, "bodies"), &written);
    let centre = match (&load.centre, made.centroid()) {
        (Some(centre), _) => written.place(point(context, centre, &join(&path, "centre"))),
        (None, Some(centroid)) => centroid,
        (None, None) => {
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
        solids: made.solids,
        extruded: made.extruded,
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
            let made = bodies::of(context, &obstacle.bodies, &join(&path, "bodies"), &Written::RAIL);
            motion::Obstacle {
                name: obstacle.name.clone(),
                solids: made.solids,
                extruded: made.extruded,
                is_stop: obstacle.stop,
                give: obstacle.give.as_ref().map(|give| context.number(give, &path, "give")),
                is_base: obstacle.base,
                mass: obstacle.mass.as_ref().map(|mass| context.number(mass, &path, "mass")),
                path,
            }
        })
        .collect()
}
