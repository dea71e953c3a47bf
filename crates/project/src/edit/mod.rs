//! Edits: functions from a document to the next, each with a plain description for undo lists.

mod add;
mod clip;
mod delete;
mod depends;
mod duplicate;
mod face;
mod find;
mod fixture;
mod history;
mod lengthen;
mod list;
mod mirror;
mod mirror_plane;
mod parts;
mod references;
mod rename;
mod reorder;
mod section;
mod stack;
mod starter;
mod thing;
mod thread;
mod track_mirror;
mod trial_edits;
mod trials;
mod ways;

pub use add::{Addition, add, fresh_name, take_readings};
pub use clip::{Clip, paste};
pub use delete::{delete, goes_with};
pub use depends::Dependencies;
pub use duplicate::duplicate;
pub use face::put_on_face;
pub use fixture::{Wish, add_belt, fixture, rails, wheel_for};
pub use history::History;
pub(crate) use history::difference;
pub use lengthen::{goes_with_rail, lengthen};
pub use mirror::mirror;
pub(crate) use mirror::negated;
pub use mirror_plane::MirrorPlane;
pub use parts::{join_libraries, keep_part, keep_readings, note_stock, take_part};
pub(crate) use references::rewrite_paths;
pub use references::{names_in, uses_of_part, uses_of_size};
pub use rename::{rename, rename_size};
pub use reorder::reorder;
pub use section::take_section;
pub use stack::{own_stack, share_from, share_stack};
pub use starter::{counterweight, new_document, rider, stack_for};
pub use thing::{can_be_copied, can_be_doubled, can_be_mirrored, is_piece, is_thing, nearest};
pub use thread::{THREADS, change_thread};
pub(crate) use track_mirror::swap_words;
pub use trial_edits::{drop_change, stand_on};
pub use trials::{adopt, change_in_trial, changes_leading, set_all_in_trial, trial_from};
pub use ways::{Way, centred, ways};

use crate::document::{Change, Document};
use crate::problem::Problem;
use crate::size::Formula;
use crate::tolerance::Tolerance;
use crate::trial;
use crate::walk::SlotMut;

/// An edit made.
#[derive(Clone, Debug, PartialEq)]
pub struct Edited {
    /// The document after it.
    pub document: Document,
    /// What was done, e.g. "Set spacer to 16".
    pub description: String,
}

/// An edit made, or why it cannot be.
pub type EditResult = Result<Edited, Problem>;

/// Gives a size, a part or a choice of the fixture another value; what hangs on the rail or on a rider's face follows.
///
/// # Errors
/// When the value cannot be taken.
pub fn set_all(document: &Document, path: &str, to: &Formula) -> EditResult {
    let steps: Vec<&str> = path.split('/').collect();
    match steps.as_slice() {
        ["rail", "length"] => lengthen(document, to),
        ["rail", "section"] => take_section(document, to),
        ["riders", rider, "faces"] => put_on_face(document, rider, to),
        _ => change(document, &Change::Set { path: path.to_owned(), to: to.clone() }),
    }
}

/// Whether other things follow when what stands at a path is changed by [`set_all`].
pub fn takes_along(path: &str) -> bool {
    matches!(path, "rail/length" | "rail/section") || path.ends_with("/faces")
}

/// Makes one change, of the kinds trials are made of.
///
/// # Errors
/// When the change does not apply to this document.
pub fn change(document: &Document, change: &Change) -> EditResult {
    let mut changed = document.clone();
    trial::make_change(&mut changed, change)?;
    Ok(Edited { document: changed, description: describe(change) })
}

/// Gives what stands at a path what a person typed: a number or formula for a size, a name or word
/// elsewhere.
///
/// # Errors
/// When there is nothing to set at the path, or a choice has no such word.
pub fn set(document: &Document, path: &str, typed: &str) -> EditResult {
    change(document, &Change::Set { path: path.to_owned(), to: Formula::typed(typed) })
}

/// Gives the size at a path another tolerance.
///
/// # Errors
/// When there is no size at the path.
pub fn set_tolerance(document: &Document, path: &str, tolerance: Option<Tolerance>) -> EditResult {
    let mut changed = document.clone();
    let mut found = false;
    changed.visit_mut(&mut |at, slot| {
        if at == path
            && let SlotMut::Size(size) = slot
        {
            size.set_tolerance(tolerance.clone());
            found = true;
        }
    });
    if !found {
        return Err(trial::no_such_path(document, path));
    }
    Ok(Edited { document: changed, description: format!("Change the tolerance of {}", short(path)) })
}

/// What a change does, in one line.
pub fn describe(change: &Change) -> String {
    let where_within = |within: &str| {
        if within.is_empty() { "everywhere".to_owned() } else { format!("on {}", short(within)) }
    };
    match change {
        Change::Swap { from, to, within } => format!("Swap {from} for {to} {}", where_within(within)),
        Change::Set { path, to } => format!("Set {} to {to}", short(path)),
        Change::Shift { path, by } => format!("Shift {} by {}", short(path), by.formula),
        Change::Turn { within } => format!("Turn screws round {}", where_within(within)),
        Change::Remove { path } => format!("Remove {}", short(path)),
    }
}

/// A path in a reader's words: "camera head, stack, nut"; a shared size by its name alone.
pub(crate) fn short(path: &str) -> String {
    let mut steps = path.split('/').peekable();
    let first = steps.peek().copied().unwrap_or_default();
    if matches!(first, "sizes" | "riders" | "obstacles" | "parts" | "materials" | "trials") {
        steps.next();
    }
    let listing = |step: &&str| {
        !matches!(*step, "wheels" | "plates" | "features" | "loads" | "forces" | "bolts" | "shoes" | "nodes")
    };
    steps.filter(listing).collect::<Vec<_>>().join(", ").replace('_', " ")
}
