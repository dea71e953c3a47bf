//! One finding for all that it is true of.

use crate::Finding;

/// Adds a finding, or its paths to the one that reads the same.
pub(super) fn add(findings: &mut Vec<Finding>, found: Finding) {
    match findings.iter_mut().find(|known| known.title.reads_like(&found.title)) {
        Some(same) => {
            let fresh: Vec<String> =
                found.paths.into_iter().filter(|path| !same.paths.contains(path)).collect();
            same.paths.extend(fresh);
        }
        None => findings.push(found),
    }
}
