//! The parts of the fixture as a tree, and the sizes of what is selected.

use egui::{Button, RichText, ScrollArea, Ui, Vec2};
use glidewright_project::Document;
use glidewright_project::document::{Named, Rider};

use super::{Shared, sizes};
use crate::commands::{Action, Queue};
use crate::theme::FontRole;

/// One thing in the tree.
#[derive(Clone, Debug, PartialEq)]
pub struct Branch {
    /// What it is called.
    pub name: String,
    /// Where it stands in the document.
    pub path: String,
    /// What is in it.
    pub inside: Vec<Branch>,
}

impl Branch {
    fn leaf(name: impl Into<String>, path: impl Into<String>) -> Self {
        Self { name: name.into(), path: path.into(), inside: Vec::new() }
    }
}

/// The parts of a document.
pub fn branches(document: &Document) -> Vec<Branch> {
    let mut all = vec![Branch::leaf("Rail", "rail")];
    all.extend(document.riders.iter().map(rider));
    if let Some(line) = &document.line {
        let nodes =
            line.nodes.iter().map(|node| Branch::leaf(node.name(), format!("line/nodes/{}", node.name())));
        all.push(Branch { name: line.name.clone(), path: "line".to_owned(), inside: nodes.collect() });
    }
    if !document.obstacles.is_empty() {
        let inside = document
            .obstacles
            .iter()
            .map(|obstacle| Branch::leaf(&obstacle.name, format!("obstacles/{}", obstacle.name)))
            .collect();
        all.push(Branch { name: "Stops and obstacles".to_owned(), path: "obstacles".to_owned(), inside });
    }
    all.push(Branch::leaf("Stroke", "stroke"));
    all.push(Branch::leaf("What is asked", "limits"));
    all.push(Branch::leaf("Drive", "drive"));
    all.push(Branch::leaf("Friction", "resistance"));
    if !document.sizes.is_empty() {
        all.push(Branch::leaf("Shared sizes", "sizes"));
    }
    all
}

fn rider(rider: &Rider) -> Branch {
    let base = format!("riders/{}", rider.name);
    let mut inside = Vec::new();
    if rider.stack.is_some() {
        inside.push(Branch::leaf("Wheel stacks", format!("{base}/stack")));
    }
    let named = |list: &str, name: &str| Branch::leaf(name, format!("{base}/{list}/{name}"));
    inside.extend(rider.wheels.iter().map(|wheel| named("wheels", &wheel.name)));
    inside.extend(rider.bolts.iter().map(|bolt| named("bolts", &bolt.name)));
    inside.extend(rider.shoes.iter().map(|shoe| named("shoes", &shoe.name)));
    inside.extend(rider.plates.iter().map(|plate| named("plates", &plate.name)));
    inside.extend(rider.loads.iter().map(|load| named("loads", &load.name)));
    if let Some(grip) = &rider.grip {
        inside.push(Branch::leaf(&grip.name, format!("{base}/grip")));
    }
    Branch { name: rider.name.clone(), path: base, inside }
}

/// The branch that a path belongs to: the deepest one it is in.
pub fn branch_of<'a>(branches: &'a [Branch], path: &str) -> Option<&'a Branch> {
    let within = |branch: &&Branch| {
        path.strip_prefix(branch.path.as_str()).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    };
    let branch = branches.iter().filter(within).max_by_key(|branch| branch.path.len())?;
    branch_of(&branch.inside, path).or(Some(branch))
}

/// Draws the tree and the sizes below it.
pub fn parts_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let branches = branches(document);
    let selected = branch_of(&branches, &shared.state.selected);
    ui.label(RichText::new("Parts").font(FontRole::Strong.id()));
    let height = ui.available_height();
    let tree = if selected.is_some() { 0.42 * height } else { height - 48.0 };
    let area = ScrollArea::vertical().id_salt("tree").max_height(tree).auto_shrink([false, true]);
    area.show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        for branch in &branches {
            branch_ui(ui, branch, selected, queue);
        }
    });
    let Some(selected) = selected else {
        ui.add_space(4.0);
        ui.weak("Select a part here or in the drawing to see its sizes.");
        return;
    };
    ui.separator();
    ScrollArea::vertical().id_salt("sizes").auto_shrink([false, false]).show(ui, |ui| {
        sizes::sizes_ui(ui, shared, &branches, selected, queue);
    });
}

fn branch_ui(ui: &mut Ui, branch: &Branch, selected: Option<&Branch>, queue: &mut Queue) {
    if branch.inside.is_empty() {
        ui.horizontal(|ui| {
            ui.add_space(ui.spacing().indent);
            row_ui(ui, branch, selected, queue);
        });
        return;
    }
    let id = ui.make_persistent_id(&branch.path);
    let mut state = egui::collapsing_header::CollapsingState::load_with_default_open(ui.ctx(), id, false);
    let holds =
        selected.is_some_and(|s| s.path != branch.path && branch_of(&branch.inside, &s.path).is_some());
    if holds {
        state.set_open(true);
    }
    state.show_header(ui, |ui| row_ui(ui, branch, selected, queue)).body(|ui| {
        for inner in &branch.inside {
            branch_ui(ui, inner, selected, queue);
        }
    });
}

fn row_ui(ui: &mut Ui, branch: &Branch, selected: Option<&Branch>, queue: &mut Queue) {
    let chosen = selected.is_some_and(|s| s.path == branch.path);
    let button = Button::selectable(chosen, branch.name.as_str())
        // An empty text at the right keeps the name at the left.
        .right_text("")
        .truncate()
        .min_size(Vec2::new(ui.available_width(), 0.0));
    let response = ui.add(button).accessible_name(format!("Part: {}", branch.name));
    if response.clicked() {
        queue.push(Action::Select(branch.path.clone()));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_belongs_to_the_deepest_branch() {
        let leaf = Branch::leaf;
        let inner = vec![leaf("b", "riders/a/stack"), leaf("c", "riders/a/wheels/up")];
        let all = vec![leaf("rail", "rail"), Branch { inside: inner, ..leaf("a", "riders/a") }];
        for (path, found) in [
            ("riders/a/stack/nut", Some("b")),
            ("riders/a/wheels/up/along", Some("c")),
            ("riders/a/at", Some("a")),
            ("riders/another", None),
            ("rail/length", Some("rail")),
            ("", None),
        ] {
            assert_eq!(branch_of(&all, path).map(|b| b.name.as_str()), found, "{path}");
        }
    }
}
