//! Comments a person writes into a project file, kept through reading, editing and saving.

mod scan;

use std::collections::{HashMap, HashSet};

pub(crate) use scan::scan;

use crate::path::is_within;

/// The comments of a file, each with what it stands at.
///
/// A place is a path like those of sizes, through the names of things; the pieces of a list without names
/// are counted from 1.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Comments {
    places: HashMap<String, Around>,
}

/// Comments round one thing, as written, `//` and all.
#[derive(Clone, Debug, PartialEq, Default)]
pub(crate) struct Around {
    /// On lines before it.
    pub before: Vec<String>,
    /// Behind it on its line.
    pub behind: Option<String>,
    /// At the end of what is in it, before its closing bracket.
    pub at_end: Vec<String>,
}

impl Comments {
    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.places.is_empty()
    }

    /// The comments round what stands at a path.
    pub(crate) fn at(&self, path: &str) -> Option<&Around> {
        self.places.get(path)
    }

    /// Every path with a comment somewhere below it.
    pub(crate) fn insides(&self) -> HashSet<&str> {
        let mut insides = HashSet::new();
        for (place, around) in &self.places {
            if !around.at_end.is_empty() {
                insides.insert(place.as_str());
            }
            let mut above = place.as_str();
            while !above.is_empty() {
                above = above.rsplit_once('/').map_or("", |(above, _)| above);
                // What is above that is there already.
                if !insides.insert(above) {
                    break;
                }
            }
        }
        insides
    }

    /// Lets comments follow what has been renamed.
    pub(crate) fn follow(&mut self, old: &str, new: &str) {
        let moved: Vec<String> = self.places.keys().filter(|place| is_within(place, old)).cloned().collect();
        for place in moved {
            if let Some(around) = self.places.remove(&place) {
                let rest = place.get(old.len()..).unwrap_or_default();
                self.places.insert(format!("{new}{rest}"), around);
            }
        }
    }

    /// Lets comments follow what has been renamed, all at once: two things may have changed names.
    pub(crate) fn rename(&mut self, new_path: &dyn Fn(&str) -> Option<String>) {
        let places = std::mem::take(&mut self.places);
        self.places =
            places.into_iter().map(|(place, around)| (new_path(&place).unwrap_or(place), around)).collect();
    }

    /// Drops the comments of what has been removed.
    pub(crate) fn forget(&mut self, path: &str) {
        self.places.retain(|place, _| !is_within(place, path));
    }

    /// Comments whose places are not among those printed, moved to the end of the nearest that is; `None` if
    /// all have a place. A field left at its default is not printed, but what was said of it is.
    pub(crate) fn rehomed(&self, printed: &HashSet<String>) -> Option<Self> {
        let mut lost: Vec<&String> = self.places.keys().filter(|place| !printed.contains(*place)).collect();
        if lost.is_empty() {
            return None;
        }
        lost.sort_unstable();
        let mut places = self.places.clone();
        for place in lost {
            let Some(around) = places.remove(place) else { continue };
            let mut home = place.as_str();
            while !printed.contains(home) {
                home = home.rsplit_once('/').map_or("", |(above, _)| above);
                if home.is_empty() {
                    break;
                }
            }
            let end = &mut places.entry(home.to_owned()).or_default().at_end;
            end.extend(around.before.into_iter().chain(around.behind).chain(around.at_end));
        }
        Some(Self { places })
    }

    /// How many places have comments.
    fn count(&self) -> usize {
        self.places.len()
    }

    fn entry(&mut self, path: &str) -> &mut Around {
        self.places.entry(path.to_owned()).or_default()
    }
}
