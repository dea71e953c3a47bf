//! A whole stack on another thread, in one step.

use super::add::stack_at;
use super::{EditResult, Edited, short};
use crate::document::{Document, Part, PartForm, PieceKind, WheelPart};
use crate::problem::{Problem, quoted};
use crate::tables::built_in;
use crate::trial::{make_own, no_such_path};

/// The threads stacks come in.
pub const THREADS: [&str; 5] = ["M3", "M4", "M5", "M6", "M8"];

/// Puts everything in a stack on another thread: screw, nuts, washers, spacers and rings of the same standard or make in
/// that size, and the wheel of the same kind and nearest size with that bore. What is not to be had stays, and is named
/// in the description.
///
/// # Errors
/// When there is no stack at the path, or not even its screw is to be had.
pub fn change_thread(document: &Document, path: &str, thread: &str) -> EditResult {
    let mut changed = document.clone();
    make_own(&mut changed, path);
    let Some(stack) = stack_at(&mut changed, path) else { return Err(no_such_path(document, path)) };
    let resized = |name: &str| {
        let known = built_in().part(name)?;
        let base =
            known.name.split_whitespace().map(|word| if THREADS.contains(&word) { thread } else { word });
        let wanted = base.collect::<Vec<_>>().join(" ");
        built_in().part(&wanted).filter(|part| part.form.kind() == known.form.kind())
    };
    let Some(screw) = resized(&stack.screw) else {
        return Err(Problem::error(
            format!("{path}/screw"),
            format!("{} is not to be had in {thread}", quoted(&stack.screw)),
        )
        .remedy("choose another screw first"));
    };
    stack.screw.clone_from(&screw.name);
    let mut stays = Vec::new();
    for piece in &mut stack.pieces {
        let part = match piece.kind {
            PieceKind::Plate => continue,
            PieceKind::Wheel => wheel_with_bore(&piece.part, thread),
            _ => resized(&piece.part),
        };
        match part {
            Some(part) => piece.part.clone_from(&part.name),
            None => stays.push(piece.part.clone()),
        }
    }
    // A length that was chosen for the other thread is left open: the shortest that does is taken.
    stack.length = None;
    let mut description = format!("Change {} to {thread}", short(path));
    if !stays.is_empty() {
        description.push_str(&format!("; not to be had in {thread}: {}", stays.join(", ")));
    }
    Ok(Edited { document: changed, description })
}

/// The wheel of the tables that runs as this one does, with a bore for a thread, and the nearest outer diameter.
pub(super) fn wheel_with_bore(name: &str, thread: &str) -> Option<&'static Part> {
    let bore: f64 = thread.strip_prefix('M')?.parse().ok()?;
    let PartForm::Wheel(own) = &built_in().part(name)?.form else { return None };
    let wheels = built_in().parts().iter().filter_map(|part| match &part.form {
        PartForm::Wheel(wheel)
            if wheel.running.is_like(&own.running) && (bore_of(wheel) - bore).abs() < 0.1 =>
        {
            Some(((wheel.outer.plainly() - own.outer.plainly()).abs(), part))
        }
        _ => None,
    });
    wheels.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, part)| part)
}

/// The bore of a wheel on bearings of the tables (mm); NaN where it is none of those.
pub(super) fn bore_of(wheel: &WheelPart) -> f64 {
    match built_in().part(&wheel.bearing).map(|part| &part.form) {
        Some(PartForm::Bearing(bearing)) => bearing.bore.plainly(),
        _ => f64::NAN,
    }
}
