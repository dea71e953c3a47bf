//! Forces on riders, and pulls measured on the fixture.

use std::collections::HashMap;

use glam::DVec2;
use glidewright_motion as motion;

use super::Context;
use super::loads::Frame;
use crate::document::{AppliedForce, ForceAction, Rider, Way};
use crate::path::join;
use crate::problem::{Problem, quoted};
use crate::suggest::suggestion;

/// A force on a rider, in the rider's frame.
pub(super) fn applied(
    context: &mut Context<'_>,
    rider: &Rider,
    force: &AppliedForce,
    frame: &Frame<'_>,
) -> motion::AppliedForce {
    let path = join(&join(&join("riders", &rider.name), "forces"), &force.name);
    let base = frame.base(context, rider, force.on.as_deref(), &path);
    let at = force.at.as_ref().map(|at| {
        let place = join(&path, "at");
        let [x, y, z] =
            [(&at.0, "x"), (&at.1, "y"), (&at.2, "z")].map(|(size, name)| context.number(size, &place, name));
        frame.facing.point(DVec2::new(x, y), base + z)
    });
    let table: Vec<(f64, f64)> = force
        .table
        .iter()
        .zip(1..)
        .map(|(point, number)| {
            let place = format!("{path}/table/{number}");
            (context.number(&point.0, &place, "travel"), context.number(&point.1, &place, "force"))
        })
        .collect();
    if table.is_empty() {
        context.report(
            Problem::error(join(&path, "table"), "the force has no table")
                .remedy("write table: [(0, 0.4)] for an even force, or one point per travel"),
        );
    }
    if !table.is_sorted_by(|a, b| a.0 <= b.0) {
        context.report(
            Problem::error(join(&path, "table"), "the travels of the force table do not grow")
                .remedy("list the points by growing travel"),
        );
    }
    let acts = match force.acts {
        ForceAction::Push => motion::ForceAction::Pushes,
        ForceAction::Drag => motion::ForceAction::Drags,
    };
    if acts == motion::ForceAction::Drags && table.iter().any(|point| point.1 < 0.0) {
        context.report(
            Problem::error(join(&path, "table"), "a force that drags against the motion is below 0")
                .remedy("write it without its sign, or let it push"),
        );
    }
    motion::AppliedForce { name: force.name.clone(), path, acts, at, table }
}

/// Measured pulls; those of unknown riders are reported and left out.
pub(super) fn pulls(context: &mut Context<'_>, riders: &HashMap<&str, usize>) -> Vec<motion::MeasuredPull> {
    let document = context.document;
    let mut pulls = Vec::with_capacity(document.pulls.len());
    for (pull, number) in document.pulls.iter().zip(1..) {
        let path = format!("pulls/{number}");
        let Some(&rider) = riders.get(pull.rider.as_str()) else {
            let remedy = suggestion(&pull.rider, document.riders.iter().map(|rider| rider.name.as_str()));
            context.report(
                Problem::error(
                    join(&path, "rider"),
                    format!("there is no rider called {}", quoted(&pull.rider)),
                )
                .remedy(remedy),
            );
            continue;
        };
        pulls.push(motion::MeasuredPull {
            rider,
            towards: match pull.towards {
                Way::Growing => motion::Way::Growing,
                Way::Falling => motion::Way::Falling,
            },
            payload: context.number(&pull.payload, &path, "payload"),
            at_travel: context.number(&pull.at, &path, "at"),
            line_off: pull.line_off,
            force: context.number(&pull.force, &path, "force"),
            deviation: pull.deviation.as_ref().map(|known| context.number(known, &path, "deviation")),
            path,
        });
    }
    pulls
}
