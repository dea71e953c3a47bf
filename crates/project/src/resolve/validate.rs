//! Names, references and amounts.

use std::collections::HashSet;

use crate::document::{Document, Named, PartForm, RailPart, piece_names};
use crate::path::join;
use crate::problem::{Problem, quoted};
use crate::suggest::suggestion;
use crate::tables::built_in;
use crate::tolerance;
use crate::trial::{self, MOST_TRIALS};
use crate::values::{MOST_SHARED, check_shared_name};
use crate::walk::Slot;

/// Longest name of anything (characters).
const LONGEST_NAME: usize = 100;

/// Most of each thing a document may have.
const MOST_RIDERS: usize = 20;
const MOST_WHEELS: usize = 100;
const MOST_THINGS: usize = 200;
const MOST_POINTS: usize = 1000;
const MOST_PARTS: usize = 2000;
/// Longest code or sign of a currency (characters).
const LONGEST_CURRENCY: usize = 12;
/// Most pieces on one screw.
const MOST_PIECES: usize = 60;
/// Most lengths a screw is sold in, other names of a part, and tracks of a section.
const MOST_OF_A_PART: usize = 200;

/// Checks what needs no sizes. Gives whether the document is fit to be resolved further.
pub(super) fn document(document: &Document, problems: &mut Vec<Problem>) -> bool {
    let mut checker = Checker { problems, sound: true };
    checker.name("name", &document.name, "the fixture");
    checker.shared(document);
    checker.list("riders", &document.riders, MOST_RIDERS);
    for rider in &document.riders {
        let base = join("riders", &rider.name);
        checker.list(&join(&base, "wheels"), &rider.wheels, MOST_WHEELS);
        checker.list(&join(&base, "bolts"), &rider.bolts, MOST_WHEELS);
        checker.list(&join(&base, "shoes"), &rider.shoes, MOST_WHEELS);
        checker.list(&join(&base, "plates"), &rider.plates, MOST_WHEELS);
        checker.list(&join(&base, "loads"), &rider.loads, MOST_WHEELS);
        checker.list(&join(&base, "forces"), &rider.forces, MOST_WHEELS);
        for force in &rider.forces {
            checker.amount(&join(&join(&base, "forces"), &force.name), force.table.len(), MOST_POINTS);
        }
        checker.list(&join(&base, "points"), &rider.points, MOST_WHEELS);
        for plate in &rider.plates {
            let path = join(&join(&join(&base, "plates"), &plate.name), "features");
            checker.list(&path, &plate.features, MOST_WHEELS);
        }
        for load in &rider.loads {
            checker.amount(&join(&join(&base, "loads"), &load.name), load.bodies.len(), MOST_THINGS);
        }
        for shoe in &rider.shoes {
            checker.amount(&join(&join(&base, "shoes"), &shoe.name), shoe.bodies.len(), MOST_THINGS);
        }
        let stacks = rider.stack.iter().map(|stack| (join(&base, "stack"), stack));
        let own = rider.wheels.iter().filter_map(|wheel| {
            Some((join(&join(&join(&base, "wheels"), &wheel.name), "stack"), wheel.stack.as_ref()?))
        });
        let bolts = rider
            .bolts
            .iter()
            .map(|bolt| (join(&join(&join(&base, "bolts"), &bolt.name), "stack"), &bolt.stack));
        for (path, stack) in stacks.chain(own).chain(bolts) {
            checker.amount(&path, stack.pieces.len(), MOST_PIECES);
            checker.unique(&path, piece_names(&stack.pieces).iter().map(String::as_str));
        }
    }
    if let Some(line) = &document.line {
        checker.list("line/nodes", &line.nodes, MOST_WHEELS);
    }
    checker.amount("pulls", document.pulls.len(), MOST_POINTS);
    checker.list("obstacles", &document.obstacles, MOST_THINGS);
    for obstacle in &document.obstacles {
        let path = join("obstacles", &obstacle.name);
        checker.amount(&path, obstacle.bodies.len(), MOST_THINGS);
        if obstacle.bodies.is_empty() {
            checker.problems.push(
                Problem::error(path, "the obstacle has no bodies")
                    .remedy("add one, e.g. box(from: …, to: …)"),
            );
        }
    }
    checker.list("parts", &document.parts, MOST_PARTS);
    checker.list("materials", &document.materials, MOST_PARTS);
    checker.parts(document);
    checker.measured(document);
    checker.costs(document);
    checker.list("trials", &document.trials, MOST_TRIALS);
    for trial in document.trials.iter().take(MOST_TRIALS) {
        checker.amount(&join(&join("trials", &trial.name), "over"), trial.over.len(), MOST_TRIALS);
    }
    if checker.sound {
        trial::check(document, checker.problems);
    }
    checker.sound
}

struct Checker<'a> {
    problems: &'a mut Vec<Problem>,
    sound: bool,
}

impl Checker<'_> {
    /// An error that makes the rest meaningless.
    fn fatal(&mut self, problem: Problem) {
        self.problems.push(problem);
        self.sound = false;
    }

    /// As for [`super::Context::may_help`].
    fn may_help(&self) -> bool {
        self.problems.len() < super::MOST_HELPED
    }

    fn amount(&mut self, path: &str, count: usize, most: usize) {
        if count > most {
            self.fatal(
                Problem::error(path, format!("there are {count} here; at most {most} are read"))
                    .remedy("split the project"),
            );
        }
    }

    fn name(&mut self, path: &str, name: &str, what: &str) {
        let message = if name.trim().is_empty() {
            format!("{what} has no name")
        } else if name.chars().nth(LONGEST_NAME).is_some() {
            format!("the name {} is longer than {LONGEST_NAME} characters", quoted(name))
        } else if name.contains('/') {
            format!("the name {} contains a /, which parts names in paths", quoted(name))
        } else if name.chars().any(char::is_control) {
            format!("the name {} contains characters that cannot be shown", quoted(name))
        } else {
            return;
        };
        // The path of a long name would be as long.
        let shown = if path.len() > 4 * LONGEST_NAME { path.split('/').next().unwrap_or("") } else { path };
        self.fatal(Problem::error(shown, message).remedy("give it another name"));
    }

    fn unique<'n>(&mut self, path: &str, names: impl Iterator<Item = &'n str>) {
        let mut known = HashSet::new();
        let mut told = HashSet::new();
        for name in names {
            if !known.insert(name) && told.insert(name) {
                self.fatal(
                    Problem::error(path, format!("the name {} is used more than once here", quoted(name)))
                        .remedy("give each its own name"),
                );
            }
        }
    }

    fn list<T: Named>(&mut self, path: &str, things: &[T], most: usize) {
        self.amount(path, things.len(), most);
        for thing in things.iter().take(most) {
            self.name(path, thing.name(), "something here");
        }
        self.unique(path, things.iter().map(Named::name));
    }

    fn shared(&mut self, document: &Document) {
        self.amount("sizes", document.sizes.entries.len(), MOST_SHARED);
        for (name, _) in document.sizes.entries.iter().take(MOST_SHARED) {
            self.name("sizes", name, "a size");
            if let Err(message) = check_shared_name(name) {
                self.problems.push(Problem::error("sizes", message).remedy("give it another name"));
            }
        }
        self.unique("sizes", document.sizes.names());
    }

    fn parts(&mut self, document: &Document) {
        for part in document.parts.iter().take(MOST_PARTS) {
            let path = join("parts", &part.name);
            self.amount(&join(&path, "also"), part.also.len(), MOST_OF_A_PART);
            match &part.form {
                PartForm::Screw(screw) => {
                    self.amount(&join(&path, "lengths"), screw.lengths.len(), MOST_OF_A_PART);
                }
                PartForm::Rail(RailPart::Outline(outline)) => {
                    self.list(&join(&path, "tracks"), &outline.tracks, MOST_OF_A_PART);
                }
                _ => {}
            }
            if built_in().part(&part.name).is_some() {
                self.problems.push(
                    Problem::error(
                        &path,
                        format!("the tables have a part called {} already", quoted(&part.name)),
                    )
                    .remedy("give yours another name, or add readings under measured"),
                );
            }
            if part.cost.is_some_and(|cost| !cost.is_finite() || cost < 0.0) {
                self.problems.push(
                    Problem::error(join(&path, "cost"), "a cost must be a number from 0 up")
                        .remedy("write a number without a currency, or leave it out"),
                );
            }
        }
        for material in document.materials.iter().take(MOST_PARTS) {
            if built_in().material(&material.name).is_some() {
                self.problems.push(
                    Problem::error(
                        join("materials", &material.name),
                        format!("the tables have a material called {} already", quoted(&material.name)),
                    )
                    .remedy("give yours another name"),
                );
            }
        }
    }

    fn costs(&mut self, document: &Document) {
        self.amount("costs", document.costs.len(), MOST_PARTS);
        if document.currency.chars().count() > LONGEST_CURRENCY {
            let message = format!("a currency has at most {LONGEST_CURRENCY} letters");
            self.problems
                .push(Problem::error("currency", message).remedy("write its code, such as EUR or USD"));
        }
        for (name, cost) in document.costs.iter().take(MOST_PARTS) {
            let own = document.parts.iter().any(|part| part.name == *name);
            if !own && built_in().part(name).is_none() {
                let names = document.parts.iter().chain(built_in().parts()).map(|part| part.name.as_str());
                let remedy = if self.may_help() { suggestion(name, names) } else { String::new() };
                let message = format!("there is no part called {}", quoted(name));
                self.problems.push(Problem::warning("costs", message).remedy(remedy));
            }
            if !cost.is_finite() || *cost < 0.0 {
                let message = format!("the cost of {} must be a number from 0 up", quoted(name));
                self.problems.push(Problem::error("costs", message).remedy("give it another value"));
            }
        }
    }

    fn measured(&mut self, document: &Document) {
        self.amount("measured", document.measured.len(), MOST_PARTS);
        let mut known = HashSet::new();
        for measured in document.measured.iter().take(MOST_PARTS) {
            let path = format!("measured/{} {}", measured.part, measured.size);
            let path = if path.len() > 4 * LONGEST_NAME { "measured".to_owned() } else { path };
            if !known.insert((&measured.part, &measured.size)) {
                self.problems.push(
                    Problem::error(&path, "these readings are given twice").remedy("put them into one list"),
                );
            }
            if let Err(message) = tolerance::measured(&measured.readings, measured.resolution, 0.0) {
                self.problems.push(Problem::error(&path, message).remedy("write down at least one reading"));
            }
            let own = document.parts.iter().find(|part| part.name == measured.part);
            let Some(part) = own.or_else(|| built_in().part(&measured.part)) else {
                let names = document.parts.iter().map(|p| p.name.as_str());
                let names = names.chain(built_in().parts().iter().map(|p| p.name.as_str()));
                let remedy = if self.may_help() { suggestion(&measured.part, names) } else { String::new() };
                self.problems.push(
                    Problem::error(&path, format!("there is no part called {}", quoted(&measured.part)))
                        .remedy(remedy),
                );
                continue;
            };
            let mut sizes = Vec::new();
            part.visit(&mut |path, slot| {
                if let Slot::Size(_) = slot {
                    sizes.push(path.to_owned());
                }
            });
            if !sizes.contains(&measured.size) {
                let remedy = suggestion(&measured.size, sizes.iter().map(String::as_str));
                self.problems.push(
                    Problem::error(
                        &path,
                        format!("{} has no size called {}", quoted(&part.name), quoted(&measured.size)),
                    )
                    .remedy(remedy),
                );
            }
        }
    }
}
