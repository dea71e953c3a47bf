//! What differs between two documents.

use std::collections::{HashMap, HashSet};

use crate::document::{Document, Named};
use crate::edit::short;
use crate::path::join;
use crate::walk::Slot;

/// What differs between two documents, one line each: things that came or went, then values that changed.
/// Empty only if the documents are the same.
pub fn changes_between(before: &Document, after: &Document) -> Vec<String> {
    let (old, new) = (things(before), things(after));
    let mut lines = Vec::new();
    let gone = missing(&old, &new);
    let come = missing(&new, &old);
    lines.extend(gone.iter().map(|thing| format!("{} went", short(thing))));
    lines.extend(come.iter().map(|thing| format!("{} came", short(thing))));
    let gone_set: HashSet<&str> = gone.iter().copied().collect();
    let come_set: HashSet<&str> = come.iter().copied().collect();
    let was: HashMap<String, String> = values(before).into_iter().collect();
    let now = values(after);
    for (path, value) in &now {
        match was.get(path) {
            Some(before) if before != value => lines.push(format!("{}: {before} → {value}", short(path))),
            Some(_) => {}
            None if is_below(path, &come_set) => {}
            None => lines.push(format!("{}: {value}", short(path))),
        }
    }
    let still: HashMap<&str, ()> = now.iter().map(|(path, _)| (path.as_str(), ())).collect();
    let mut lost: Vec<&String> =
        was.keys().filter(|path| !still.contains_key(path.as_str()) && !is_below(path, &gone_set)).collect();
    lost.sort_unstable();
    lines.extend(lost.into_iter().map(|path| format!("{} went", short(path))));
    if lines.is_empty() && before != after {
        lines.push("names, notes or other texts changed".to_owned());
    }
    lines
}

/// Those of `things` that are not among `others`; what stands below one of them is not named again.
fn missing<'t>(things: &'t [String], others: &[String]) -> Vec<&'t str> {
    let others: HashSet<&str> = others.iter().map(String::as_str).collect();
    let mut missing = Vec::new();
    let mut known = HashSet::new();
    for thing in things {
        if !others.contains(thing.as_str()) && !is_below(thing, &known) {
            known.insert(thing.as_str());
            missing.push(thing.as_str());
        }
    }
    missing
}

/// Whether a path is one of these or below one of them.
fn is_below(path: &str, tops: &HashSet<&str>) -> bool {
    let ends = path.match_indices('/').map(|(at, _)| at).chain([path.len()]);
    ends.into_iter().any(|end| path.get(..end).is_some_and(|top| tops.contains(top)))
}

fn values(document: &Document) -> Vec<(String, String)> {
    let mut values = Vec::new();
    document.visit(&mut |path, slot| {
        let value = match slot {
            Slot::Size(size) => match size.formula() {
                Some(formula) => formula.to_string(),
                None => return,
            },
            Slot::Part(_, name) => name.to_owned(),
            Slot::Choice(choice) => choice.word().to_owned(),
        };
        values.push((path.to_owned(), value));
    });
    values
}

/// Paths of the named things of a document, each after what holds it.
pub(crate) fn things(document: &Document) -> Vec<String> {
    fn list<T: Named>(base: &str, things: &[T], paths: &mut Vec<String>) {
        paths.extend(things.iter().map(|thing| join(base, thing.name())));
    }
    let mut paths: Vec<String> = document.sizes.names().map(|name| join("sizes", name)).collect();
    list("riders", &document.riders, &mut paths);
    for rider in &document.riders {
        let base = join("riders", &rider.name);
        list(&join(&base, "wheels"), &rider.wheels, &mut paths);
        list(&join(&base, "bolts"), &rider.bolts, &mut paths);
        list(&join(&base, "shoes"), &rider.shoes, &mut paths);
        list(&join(&base, "plates"), &rider.plates, &mut paths);
        for plate in &rider.plates {
            let base = join(&join(&base, "plates"), &plate.name);
            list(&join(&base, "features"), &plate.features, &mut paths);
        }
        list(&join(&base, "loads"), &rider.loads, &mut paths);
        list(&join(&base, "points"), &rider.points, &mut paths);
    }
    if let Some(line) = &document.line {
        paths.push("line".to_owned());
        list("line/nodes", &line.nodes, &mut paths);
    }
    list("obstacles", &document.obstacles, &mut paths);
    list("parts", &document.parts, &mut paths);
    list("materials", &document.materials, &mut paths);
    list("trials", &document.trials, &mut paths);
    paths
}
