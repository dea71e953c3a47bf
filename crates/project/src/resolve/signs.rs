//! Sizes that must be positive.

use glidewright_motion::plain;

use super::Context;
use crate::problem::Problem;
use crate::walk::Slot;

/// Sizes with these names must be above 0, wherever they stand.
const POSITIVE: &[&str] = &[
    "length",
    "thickness",
    "diameter",
    "from_diameter",
    "hole",
    "outer",
    "pitch",
    "flats",
    "height",
    "head_size",
    "head_height",
    "thread_length",
    "boss",
    "threaded_to_head",
    "width",
    "hub",
    "bearings",
    "mass_per_length",
    "teeth",
    "module",
    "columns",
    "rows",
    "mouth",
    "half_angle",
    "channel",
    "lip",
    "cavity",
    "bottom",
    "depth",
    "density",
    "fill",
    "speed",
    "acceleration",
    "efficiency",
    "gap",
    "pad",
    "web",
    "groove",
    "packing",
    "effort",
    "tilt",
    "radius",
    "start_factor",
    "working_pull",
    "strength",
    "give",
    "play",
    "continuous",
    "stiffness",
];

/// Sizes with these names must not be below 0.
const NOT_NEGATIVE: &[&str] = &[
    "mass",
    "margin",
    "corner",
    "fillet",
    "bore",
    "tip",
    "inertia",
    "to_diameter",
    "offset",
    "youngs",
    "poisson",
    "allowable_pressure",
    "bearing",
    "no_load_torque",
    "flank",
    "hysteresis",
    "shoe",
    "bending_loss",
    "post_friction",
    "pretension",
    "tail",
    "friction",
    "payload",
    "torque",
];

/// Reports every size that is negative, or 0 where that makes no sense.
pub(super) fn check(context: &mut Context<'_>) {
    let mut found = Vec::new();
    context.document.visit(&mut |path, slot| {
        let Slot::Size(size) = slot else { return };
        let Some(value) = context.values.at(path) else { return };
        let name = path.rsplit('/').next().unwrap_or(path);
        if path.starts_with("sizes/") {
            return;
        }
        // A pulley or post need not have bearings; a torque curve starts at standstill.
        let may_be_zero = NOT_NEGATIVE.contains(&name)
            || (name == "bearings" && path.starts_with("parts/"))
            || path.starts_with("drive/torque/");
        let must_be_positive = POSITIVE.contains(&name) && !may_be_zero;
        let wrong = if must_be_positive { value.nominal <= 0.0 } else { may_be_zero && value.nominal < 0.0 };
        if wrong {
            let wanted = if must_be_positive { "must be above 0" } else { "must not be below 0" };
            let unit = size.quantity().unit();
            found.push(
                Problem::error(
                    path,
                    format!("the {} is {} {unit}; it {wanted}", name.replace('_', " "), plain(value.nominal)),
                )
                .remedy("give it another value"),
            );
        }
    });
    if !found.is_empty() {
        context.unusable = true;
    }
    context.problems.append(&mut found);
}
