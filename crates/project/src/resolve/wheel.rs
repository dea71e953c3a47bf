//! Wheels from their parts.

use std::f64::consts::{FRAC_PI_2, PI};

use glidewright_motion as motion;

use super::{Context, given};
use crate::document::{Part, PartForm, PartKind, Running, WheelPart};
use crate::problem::Problem;
use crate::size::Length;

/// The wheel a part describes.
pub(super) fn resolve(context: &mut Context<'_>, part: &Part, wheel: &WheelPart) -> Option<motion::Wheel> {
    let base = format!("parts/{}", part.name);
    let bearing_part = context.part(PartKind::Bearing, &wheel.bearing, &format!("{base}/bearing"))?;
    let PartForm::Bearing(bearing) = &bearing_part.form else { return None };
    let catalogue = &context.catalogue;
    let known = |size: &Option<Length>, name: &str| {
        size.as_ref().map(|size| catalogue.number(bearing_part, size, name))
    };
    let bearing = motion::Bearing {
        name: bearing_part.name.clone(),
        bore: catalogue.number(bearing_part, &bearing.bore, "bore"),
        outer: catalogue.number(bearing_part, &bearing.outer, "outer"),
        width: catalogue.number(bearing_part, &bearing.width, "width"),
        no_load_torque: bearing.no_load_torque.as_ref().map(|torque| {
            let path = format!("parts/{}/no_load_torque", bearing_part.name);
            given(context, torque, &path)
        }),
        inner_ring: known(&bearing.inner_ring, "inner_ring"),
        shaft_shoulder: known(&bearing.shaft_shoulder, "shaft_shoulder"),
        static_rating: bearing
            .static_rating
            .as_ref()
            .map(|rating| catalogue.number(bearing_part, rating, "static_rating")),
        speed: bearing.speed.as_ref().map(|speed| catalogue.number(bearing_part, speed, "speed")),
    };
    let outer = catalogue.size(part, &wheel.outer, "outer");
    let width = catalogue.number(part, &wheel.width, "width");
    let hub_width = catalogue.size(part, &wheel.hub, "hub");
    let bearings = catalogue.number(part, &wheel.bearings, "bearings");
    let running = match &wheel.running {
        Running::Vee { tip, half_angle } => motion::Running::Vee {
            tip: catalogue.number(part, tip, "running/tip"),
            half_angle: catalogue.number(part, half_angle, "running/half_angle"),
        },
        Running::Flat => motion::Running::Flat,
        Running::Crowned { radius } => {
            motion::Running::Crowned { radius: catalogue.number(part, radius, "running/radius") }
        }
        Running::Grooved { radius } => {
            motion::Running::Grooved { radius: catalogue.number(part, radius, "running/radius") }
        }
    };
    let outer_radius = outer.scaled(0.5);
    check(context, &base, &Sizes { running, outer: outer.nominal, width, bearings, bearing: &bearing });
    let ring = 0.25 * PI * (bearing.outer.powi(2) - bearing.bore.powi(2)) * bearing.width;
    let bearing_mass = context.mass_of(bearing_part, SOLID_SHARE * ring);
    let density = context.density_of(part);
    let tyre = if part.material.is_empty() {
        context.report(
            Problem::error(format!("{base}/material"), "the wheel names no material")
                .remedy("name what its tyre is made of, e.g. \"POM\""),
        );
        return None;
    } else {
        context.material(&part.material, &format!("{base}/material"))
    };
    let mut resolved = motion::Wheel {
        name: part.name.clone(),
        running,
        outer_radius,
        width,
        hub_width,
        bearing,
        bearings: whole(bearings),
        tyre,
        mass: 0.0,
    };
    resolved.mass = match &part.mass {
        Some(mass) => context.catalogue.number(part, mass, "mass"),
        None => tyre_volume(&resolved) * density + bearings * bearing_mass,
    };
    Some(resolved)
}

/// Share of a ball bearing's ring that is solid (own estimate, for the mass of wheels that give none).
const SOLID_SHARE: f64 = 0.65;

/// A count, from a number already checked.
fn whole(number: f64) -> u32 {
    // The cast saturates, so no number is out of its range.
    number.round() as u32
}

struct Sizes<'a> {
    running: motion::Running,
    outer: f64,
    width: f64,
    bearings: f64,
    bearing: &'a motion::Bearing,
}

fn check(context: &mut Context<'_>, base: &str, sizes: &Sizes<'_>) {
    let mut fault = |bad: bool, name: &str, message: &str| {
        if bad {
            let problem = Problem::error(format!("{base}/{name}"), message);
            context.report(problem.remedy("correct the size, here or where its formula stands"));
        }
    };
    fault(!super::is_whole(sizes.bearings), "bearings", "the number of bearings must be whole");
    fault(sizes.bearing.outer >= sizes.outer, "outer", "the bearing is as large as the wheel");
    if let motion::Running::Vee { tip, half_angle } = sizes.running {
        fault(
            !(half_angle > 0.0 && half_angle < FRAC_PI_2),
            "running/half_angle",
            "the angle of a flank must lie between 0 and 90°",
        );
        fault(tip > sizes.width, "running/tip", "the tip is wider than the wheel");
        let depth = 0.5 * (sizes.width - tip) / half_angle.tan();
        fault(
            sizes.outer - 2.0 * depth <= sizes.bearing.outer,
            "running/tip",
            "the flanks cut into the bearing's seat",
        );
    }
}

/// Volume of the tyre round the bearings' seat (mm³).
fn tyre_volume(wheel: &motion::Wheel) -> f64 {
    let solid = motion::WheelProfile::new(wheel).map_or(0.0, |profile| profile.volume());
    (solid - 0.25 * PI * wheel.bearing.outer.powi(2) * wheel.width).max(0.0)
}
