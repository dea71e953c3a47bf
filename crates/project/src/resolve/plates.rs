//! Plates: their outlines follow the axles.

use glam::DVec2;
use glidewright_geometry::Outline;
use glidewright_motion as motion;

use super::Context;
use crate::document::{Plate, PlateOutline, Rider, Spot};
use crate::problem::Problem;
use crate::tables::clearance_hole;
use crate::walk::join;

/// Where a stack passes a plate.
#[derive(Clone, Copy, Debug)]
pub(super) struct Passage {
    /// Number of the plate.
    pub plate: usize,
    /// In the plate's plane: along the rider, lateral (mm).
    pub at: DVec2,
    /// Diameter of the screw (mm).
    pub screw: f64,
}

/// Plates without outlines: thickness and material. Stacks need these before axles are known.
pub(super) fn blanks(context: &mut Context<'_>, rider: &Rider, path: &str) -> Vec<motion::Plate> {
    let base = join(path, "plates");
    rider
        .plates
        .iter()
        .map(|plate| {
            let path = join(&base, &plate.name);
            let fill = context.number(&plate.fill, &path, "fill");
            if fill > 1.0 {
                context.report(
                    Problem::error(join(&path, "fill"), "a plate cannot be filled to more than 1")
                        .remedy("write a share such as 0.4 or \"40 %\""),
                );
            }
            motion::Plate {
                name: plate.name.clone(),
                thickness: context.toleranced(&plate.thickness, &path, "thickness"),
                material: context.material(&plate.material, &join(&path, "material")),
                fill,
                level: plate.level.as_ref().map(|level| context.number(level, &path, "level")),
                outline: Outline::default(),
                holes: Vec::new(),
                path,
            }
        })
        .collect()
}

/// Gives the plates their outlines and the holes for the stacks that pass them.
pub(super) fn outline(
    context: &mut Context<'_>,
    rider: &Rider,
    plates: &mut [motion::Plate],
    passages: &[Passage],
) {
    for (number, (plate, written)) in plates.iter_mut().zip(&rider.plates).enumerate() {
        let through: Vec<Passage> = passages.iter().copied().filter(|p| p.plate == number).collect();
        plate.outline = outline_of(context, written, &plate.path, &through);
        plate.holes = through.iter().map(|p| Outline::circle(p.at, 0.5 * hole_for(p.screw))).collect();
        if let Some(fault) = plate.outline.faults().first() {
            let problem = Problem::error(
                join(&plate.path, "outline"),
                format!("the plate has no sound outline: {fault}"),
            )
            .remedy("check its sizes and the axles it goes round");
            context.report(problem);
            context.unusable = true;
        }
        if through.is_empty() && plate.level.is_none() {
            context.report(
                Problem::error(&plate.path, "no stack passes this plate, and it has no level")
                    .remedy("list it in a stack, or give its level above the rail's centre plane"),
            );
        }
    }
}

/// Diameter of the hole for a screw: the medium series of ISO 273, or a tenth above the screw beside it.
fn hole_for(screw: f64) -> f64 {
    clearance_hole(screw).map_or(1.1 * screw, |hole| hole.normal)
}

fn spot(context: &Context<'_>, spot: &Spot, path: &str) -> DVec2 {
    DVec2::new(context.number(&spot.0, path, "along"), context.number(&spot.1, path, "across"))
}

fn outline_of(context: &mut Context<'_>, plate: &Plate, path: &str, through: &[Passage]) -> Outline {
    let base = join(path, "outline");
    match &plate.outline {
        PlateOutline::Around { margin, corner } => {
            let margin = context.number(margin, &base, "margin");
            let corner = context.number(corner, &base, "corner");
            let low = through.iter().map(|p| p.at).reduce(DVec2::min);
            let high = through.iter().map(|p| p.at).reduce(DVec2::max);
            match (low, high) {
                (Some(low), Some(high)) => {
                    check_corner(context, &base, corner, high - low + 2.0 * margin);
                    Outline::rounded_rectangle(low - margin, high + margin, corner)
                }
                _ => {
                    context.report(
                        Problem::error(&base, "there are no axles for the plate to go round")
                            .remedy("list the plate in a stack, or give it a rectangle"),
                    );
                    Outline::default()
                }
            }
        }
        PlateOutline::Rectangle { from, to, corner } => {
            let from = spot(context, from, &join(&base, "from"));
            let to = spot(context, to, &join(&base, "to"));
            let corner = context.number(corner, &base, "corner");
            check_corner(context, &base, corner, (to - from).abs());
            Outline::rounded_rectangle(from, to, corner)
        }
    }
}

fn check_corner(context: &mut Context<'_>, base: &str, corner: f64, size: DVec2) {
    let most = 0.5 * size.min_element();
    if corner > most {
        context.report(
            Problem::warning(
                join(base, "corner"),
                format!("a corner radius of {corner} mm does not fit; {most} mm is used"),
            )
            .remedy("make the radius smaller or the plate wider"),
        );
    }
}
