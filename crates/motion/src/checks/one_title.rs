//! One finding for all that it is true of.

use crate::Finding;

/// Adds a finding, or its paths to the one that reads the same.
pub(super) fn add(findings: &mut Vec<Finding>, found: Finding) {
    match findings.iter_mut().find(|known| known.title.reads_like(&found.title)) {
        Some(same) => add_new(&mut same.paths, found.paths),
        None => findings.push(found),
    }
}

/// Adds to a list what is not in it yet.
pub(super) fn add_new<T: PartialEq>(list: &mut Vec<T>, more: impl IntoIterator<Item = T>) {
    for one in more {
        if !list.contains(&one) {
            list.push(one);
        }
    }
}
