//! What a document holds, as a list: riders, line, obstacles, and what is on each.

use glidewright_project::Document;
use glidewright_project::document::{Named, Rider};

/// One thing of the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Thing {
    /// What it is called.
    pub name: String,
    /// What it is, in a word, where its name does not say.
    pub word: &'static str,
    /// Where it stands in the document.
    pub path: String,
    /// What is in it.
    pub inside: Vec<Thing>,
    /// A rider.
    pub is_rider: bool,
    /// A list of things, with nothing of its own to change.
    pub is_group: bool,
    /// What is no part of the fixture begins with it: its stroke, what is required, how it is driven.
    pub begins_settings: bool,
}

impl Thing {
    fn leaf(name: impl Into<String>, word: &'static str, path: impl Into<String>) -> Self {
        let (name, path) = (name.into(), path.into());
        Self {
            name,
            word,
            path,
            inside: Vec::new(),
            is_rider: false,
            is_group: false,
            begins_settings: false,
        }
    }

    fn group(name: &str, path: &str, inside: Vec<Self>) -> Self {
        Self { inside, is_group: true, ..Self::leaf(name, "", path) }
    }

    /// Whether a path is its own or lies in it.
    pub fn holds(&self, path: &str) -> bool {
        path.strip_prefix(self.path.as_str()).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    }
}

/// The parts of a document.
pub fn things(document: &Document) -> Vec<Thing> {
    let mut all = vec![Thing::leaf("Rail", "", "rail")];
    all.extend(document.riders.iter().map(rider));
    if let Some(line) = &document.line {
        let nodes = line.nodes.iter().map(|node| {
            let word = match node {
                glidewright_project::document::Node::Anchor(_) => "clamp",
                glidewright_project::document::Node::Idler(_) => "idler",
                glidewright_project::document::Node::Post(_) => "post",
                glidewright_project::document::Node::Driven(_) => "driven",
            };
            Thing::leaf(node.name(), word, format!("line/nodes/{}", node.name()))
        });
        all.push(Thing { inside: nodes.collect(), ..Thing::leaf(&line.name, "belt or cord", "line") });
    }
    all.extend(document.obstacles.iter().map(|obstacle| {
        let word = if obstacle.stop { "stop" } else { "stands still" };
        Thing::leaf(&obstacle.name, word, format!("obstacles/{}", obstacle.name))
    }));
    all.push(Thing { begins_settings: true, ..Thing::leaf("Stroke", "", "stroke") });
    all.push(Thing::leaf("Requirements", "", "limits"));
    all.push(Thing::leaf("Drive", "", "drive"));
    all.push(Thing::leaf("Friction and losses", "", "resistance"));
    if !document.parts.is_empty() {
        let inside = document
            .parts
            .iter()
            .map(|part| Thing::leaf(&part.name, part.form.kind().word(), format!("parts/{}", part.name)));
        all.push(Thing::group("Own parts", "parts", inside.collect()));
    }
    if !document.materials.is_empty() {
        let inside = document
            .materials
            .iter()
            .map(|material| Thing::leaf(&material.name, "material", format!("materials/{}", material.name)));
        all.push(Thing::group("Own materials", "materials", inside.collect()));
    }
    all
}

fn rider(rider: &Rider) -> Thing {
    let base = format!("riders/{}", rider.name);
    let mut inside = Vec::new();
    if rider.stack.is_some() {
        inside.push(Thing::leaf(
            "Wheel stacks",
            "what is threaded on the screws of its wheels",
            format!("{base}/stack"),
        ));
    }
    let named =
        |list: &str, word: &'static str, name: &str| Thing::leaf(name, word, format!("{base}/{list}/{name}"));
    inside.extend(
        rider
            .wheels
            .iter()
            .map(|wheel| named("wheels", if wheel.pair.is_some() { "wheels" } else { "wheel" }, &wheel.name)),
    );
    inside.extend(rider.bolts.iter().map(|bolt| named("bolts", "bolt", &bolt.name)));
    inside.extend(rider.shoes.iter().map(|shoe| named("shoes", "shoe", &shoe.name)));
    inside.extend(rider.plates.iter().map(|plate| {
        let thing = named("plates", "plate", &plate.name);
        let features = plate.features.iter().map(|feature| {
            let word = super::super::editor::feature_word(feature);
            Thing::leaf(feature.name(), word, format!("{}/features/{}", thing.path, feature.name()))
        });
        Thing { inside: features.collect(), ..thing }
    }));
    inside.extend(
        rider
            .loads
            .iter()
            .map(|load| named("loads", if load.ballast { "ballast" } else { "load" }, &load.name)),
    );
    if let Some(grip) = &rider.grip {
        inside.push(Thing::leaf(&grip.name, "grip", format!("{base}/grip")));
    }
    inside.extend(rider.points.iter().map(|point| named("points", "point", &point.name)));
    Thing { inside, is_rider: true, ..Thing::leaf(&rider.name, "", base) }
}

/// The thing that a path belongs to: the deepest one it is in.
pub fn thing_of<'a>(things: &'a [Thing], path: &str) -> Option<&'a Thing> {
    let thing = things.iter().filter(|thing| thing.holds(path)).max_by_key(|thing| thing.path.len())?;
    thing_of(&thing.inside, path).or(Some(thing))
}

/// The paths of all things.
pub fn paths(document: &Document) -> Vec<String> {
    fn below(things: Vec<Thing>, all: &mut Vec<String>) {
        for thing in things {
            all.push(thing.path);
            below(thing.inside, all);
        }
    }
    let mut all = Vec::new();
    below(things(document), &mut all);
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use glidewright_samples::COPY_STAND;

    #[test]
    fn a_path_belongs_to_the_deepest_thing() {
        let leaf = |name: &str, path: &str| Thing::leaf(name, "", path);
        let inner = vec![leaf("b", "riders/a/stack"), leaf("c", "riders/a/wheels/up")];
        let all = vec![leaf("rail", "rail"), Thing { inside: inner, ..leaf("a", "riders/a") }];
        for (path, found) in [
            ("riders/a/stack/nut", Some("b")),
            ("riders/a/wheels/up/along", Some("c")),
            ("riders/a/at", Some("a")),
            ("riders/another", None),
            ("rail/length", Some("rail")),
            ("", None),
        ] {
            assert_eq!(thing_of(&all, path).map(|b| b.name.as_str()), found, "{path}");
        }
    }

    #[test]
    fn everything_with_a_value_belongs_to_a_thing() {
        for text in [COPY_STAND, glidewright_project::sample_shuttle_text()] {
            let document = glidewright_project::parse(text).unwrap();
            let things = things(&document);
            document.visit(&mut |path, _| {
                // Shared sizes and measured pulls have pages of their own.
                let has_page = path.starts_with("sizes/") || path.starts_with("pulls/");
                assert!(has_page || thing_of(&things, path).is_some(), "{path}");
            });
        }
    }
}
