//! What refers to what.

use crate::document::{Change, Document};
use crate::formula;
use crate::size::Formula;
use crate::walk::{Slot, SlotMut};

/// Shared sizes named in a formula, each once, in the order they stand there.
pub fn names_in(formula: &Formula) -> Vec<String> {
    let Formula::Text(text) = formula else { return Vec::new() };
    let mut names: Vec<String> = Vec::new();
    if let Ok(expr) = formula::parse(text) {
        expr.names(&mut |name, _| {
            if !names.iter().any(|known| known == name) {
                names.push(name.to_owned());
            }
        });
    }
    names
}

/// Paths of every size, and of every change of a trial, whose formula names this shared size.
pub fn uses_of_size(document: &Document, name: &str) -> Vec<String> {
    let mut uses = Vec::new();
    let uses_it = |formula: &Formula| names_in(formula).iter().any(|known| known == name);
    document.visit(&mut |path, slot| {
        if let Slot::Size(size) = slot
            && size.formula().is_some_and(uses_it)
        {
            uses.push(path.to_owned());
        }
    });
    for trial in &document.trials {
        for (number, change) in (1..).zip(&trial.changes) {
            let formula = match change {
                Change::Set { to, .. } => Some(to),
                Change::Shift { by, .. } => Some(&by.formula),
                _ => None,
            };
            if formula.is_some_and(uses_it) {
                uses.push(format!("trials/{}/changes/{number}", trial.name));
            }
        }
    }
    uses
}

/// Paths at which a part, plate or material of this name is used, trials included.
pub fn uses_of_part(document: &Document, name: &str) -> Vec<String> {
    let mut uses = Vec::new();
    document.visit(&mut |path, slot| {
        if matches!(slot, Slot::Part(_, used) if used == name) {
            uses.push(path.to_owned());
        }
    });
    for part in &document.parts {
        if part.material == name {
            uses.push(format!("parts/{}/material", part.name));
        }
    }
    for trial in &document.trials {
        for (number, change) in (1..).zip(&trial.changes) {
            let used = match change {
                Change::Swap { from, to, .. } => from == name || to == name,
                Change::Set { to: Formula::Text(to), .. } => to == name,
                _ => false,
            };
            if used {
                uses.push(format!("trials/{}/changes/{number}", trial.name));
            }
        }
    }
    uses
}

/// Rewrites every formula of a document, those of its trials too.
pub(super) fn rewrite_formulas(document: &mut Document, rewrite: &dyn Fn(&str) -> Option<String>) {
    let rewritten = |formula: &Formula| match formula {
        Formula::Text(text) => rewrite(text).map(Formula::Text),
        Formula::Number(_) => None,
    };
    document.visit_mut(&mut |_, slot| {
        if let SlotMut::Size(size) = slot
            && let Some(new) = size.formula().and_then(rewritten)
        {
            size.set_formula(Some(new));
        }
    });
    for change in document.trials.iter_mut().flat_map(|trial| &mut trial.changes) {
        let formula = match change {
            Change::Set { to, .. } => to,
            Change::Shift { by, .. } => &mut by.formula,
            _ => continue,
        };
        if let Some(new) = rewritten(formula) {
            *formula = new;
        }
    }
}

/// Rewrites every path in the changes of the trials.
pub(crate) fn rewrite_paths(document: &mut Document, rewrite: &dyn Fn(&str) -> Option<String>) {
    for change in document.trials.iter_mut().flat_map(|trial| &mut trial.changes) {
        let path = match change {
            Change::Swap { within: path, .. }
            | Change::Turn { within: path }
            | Change::Set { path, .. }
            | Change::Shift { path, .. }
            | Change::Remove { path } => path,
        };
        if let Some(new) = rewrite(path) {
            *path = new;
        }
    }
}
