//! The parts of a document as a tree.

use glidewright_project::Document;
use glidewright_project::document::{Named, Rider};

/// One thing in the tree.
#[derive(Clone, Debug, PartialEq)]
pub struct Branch {
    /// What it is called.
    pub name: String,
    /// What it is, in a word, where its name does not say.
    pub word: &'static str,
    /// Where it stands in the document.
    pub path: String,
    /// What is in it.
    pub inside: Vec<Branch>,
}

impl Branch {
    fn leaf(name: impl Into<String>, word: &'static str, path: impl Into<String>) -> Self {
        Self { name: name.into(), word, path: path.into(), inside: Vec::new() }
    }

    fn group(name: &str, path: &str, inside: Vec<Self>) -> Self {
        Self { name: name.to_owned(), word: "", path: path.to_owned(), inside }
    }
}

/// The parts of a document.
pub fn branches(document: &Document) -> Vec<Branch> {
    let mut all = vec![Branch::leaf("Rail", "", "rail")];
    all.extend(document.riders.iter().map(rider));
    if let Some(line) = &document.line {
        let nodes = line.nodes.iter().map(|node| {
            let word = match node {
                glidewright_project::document::Node::Anchor(_) => "clamp",
                glidewright_project::document::Node::Idler(_) => "idler",
                glidewright_project::document::Node::Post(_) => "post",
                glidewright_project::document::Node::Driven(_) => "driven",
            };
            Branch::leaf(node.name(), word, format!("line/nodes/{}", node.name()))
        });
        all.push(Branch {
            name: line.name.clone(),
            word: "belt or cord",
            path: "line".to_owned(),
            inside: nodes.collect(),
        });
    }
    if !document.obstacles.is_empty() {
        let inside = document.obstacles.iter().map(|obstacle| {
            let word = if obstacle.stop { "stop" } else { "" };
            Branch::leaf(&obstacle.name, word, format!("obstacles/{}", obstacle.name))
        });
        all.push(Branch::group("Stops and obstacles", "obstacles", inside.collect()));
    }
    all.push(Branch::leaf("Stroke", "", "stroke"));
    all.push(Branch::leaf("Requirements", "", "limits"));
    all.push(Branch::leaf("Drive", "", "drive"));
    all.push(Branch::leaf("Friction and losses", "", "resistance"));
    if !document.parts.is_empty() {
        let inside = document
            .parts
            .iter()
            .map(|part| Branch::leaf(&part.name, part.form.kind().word(), format!("parts/{}", part.name)));
        all.push(Branch::group("Own parts", "parts", inside.collect()));
    }
    if !document.materials.is_empty() {
        let inside = document
            .materials
            .iter()
            .map(|material| Branch::leaf(&material.name, "material", format!("materials/{}", material.name)));
        all.push(Branch::group("Own materials", "materials", inside.collect()));
    }
    all
}

fn rider(rider: &Rider) -> Branch {
    let base = format!("riders/{}", rider.name);
    let mut inside = Vec::new();
    if rider.stack.is_some() {
        inside.push(Branch::leaf("Wheel stacks", "", format!("{base}/stack")));
    }
    let named = |list: &str, word: &'static str, name: &str| {
        Branch::leaf(name, word, format!("{base}/{list}/{name}"))
    };
    inside.extend(
        rider
            .wheels
            .iter()
            .map(|wheel| named("wheels", if wheel.pair.is_some() { "wheels" } else { "wheel" }, &wheel.name)),
    );
    inside.extend(rider.bolts.iter().map(|bolt| named("bolts", "bolt", &bolt.name)));
    inside.extend(rider.shoes.iter().map(|shoe| named("shoes", "shoe", &shoe.name)));
    inside.extend(rider.plates.iter().map(|plate| {
        let branch = named("plates", "plate", &plate.name);
        let features = plate.features.iter().map(|feature| {
            let word = super::editor::feature_word(feature);
            Branch::leaf(feature.name(), word, format!("{}/features/{}", branch.path, feature.name()))
        });
        Branch { inside: features.collect(), ..branch }
    }));
    inside.extend(
        rider
            .loads
            .iter()
            .map(|load| named("loads", if load.ballast { "ballast" } else { "load" }, &load.name)),
    );
    if let Some(grip) = &rider.grip {
        inside.push(Branch::leaf(&grip.name, "grip", format!("{base}/grip")));
    }
    inside.extend(rider.points.iter().map(|point| named("points", "point", &point.name)));
    Branch { name: rider.name.clone(), word: "", path: base, inside }
}

/// The branch that a path belongs to: the deepest one it is in.
pub fn branch_of<'a>(branches: &'a [Branch], path: &str) -> Option<&'a Branch> {
    let within = |branch: &&Branch| {
        path.strip_prefix(branch.path.as_str()).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    };
    let branch = branches.iter().filter(within).max_by_key(|branch| branch.path.len())?;
    branch_of(&branch.inside, path).or(Some(branch))
}

#[cfg(test)]
mod tests {
    use super::*;
    use glidewright_samples::COPY_STAND;

    #[test]
    fn a_path_belongs_to_the_deepest_branch() {
        let leaf = |name: &str, path: &str| Branch::leaf(name, "", path);
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

    #[test]
    fn everything_with_a_value_belongs_to_a_branch() {
        for text in [COPY_STAND, glidewright_project::sample_shuttle_text()] {
            let document = glidewright_project::parse(text).unwrap();
            let branches = branches(&document);
            document.visit(&mut |path, _| {
                // Shared sizes and measured pulls have pages of their own.
                let has_page = path.starts_with("sizes/") || path.starts_with("pulls/");
                assert!(has_page || branch_of(&branches, path).is_some(), "{path}");
            });
        }
    }
}
