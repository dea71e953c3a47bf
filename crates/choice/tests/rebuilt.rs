//! Builds against the whole document worked out anew, and against the fixture placed and analysed anew.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test that cannot go on may stop"
)]

mod common;

use std::collections::HashMap;
use std::sync::Arc;

use glidewright_choice::{Builds, Likeness, NoBuilds, Question, Standing};
use glidewright_generated::usable;
use glidewright_motion::{
    Fixture, Interference, InterferenceCache, Kinship, Placer, Role, analyse, analyse_quickly,
};
use glidewright_project::document::{Document, Measured};
use glidewright_project::quantity::Quantity;
use glidewright_project::size::Formula;
use glidewright_project::tolerance::Tolerance;
use glidewright_project::{Slot, SlotMut, apply, demo, parse, resolve, resolve_quickly, spread_sizes};

/// The least gap of what builds count, by analysing a fixture.
fn least(fixture: &Fixture) -> f64 {
    let results = analyse_quickly(fixture, &mut InterferenceCache::default(), None);
    let Interference { passing, steady, .. } = results.interference;
    let counts = |pair: &&glidewright_motion::PairResult| {
        !pair.meets_stop
            && pair.allowed.is_none()
            && match pair.kinship {
                Kinship::RiderAndRider | Kinship::RiderAndFixed => true,
                Kinship::RiderAndRail => {
                    let role = |id: glidewright_motion::BodyId| results.assembly.bodies[id.0 as usize].role;
                    ![role(pair.bodies.0), role(pair.bodies.1)]
                        .iter()
                        .any(|r| matches!(r, Role::Tyre | Role::Shoe))
                }
                _ => false,
            }
    };
    passing.iter().chain(&steady).filter(counts).map(|pair| pair.gap).fold(f64::INFINITY, f64::min)
}

/// All sizes alike, so that a document can say what a build is.
fn all_alike(document: &Document) -> Question {
    let resolved = resolve(document, None);
    let likeness = spread_sizes(&resolved).0.into_iter().map(|size| (size.path, Likeness::Alike)).collect();
    Question { seed: 3, standing: Standing::Drawn, likeness, ..Question::default() }
}

/// The document with its sizes as they are in a build; sizes of parts as if they had been measured so.
fn written(document: &Document, builds: &Builds, off: &[Vec<f64>]) -> Document {
    let mut document = document.clone();
    for (size, off) in builds.sizes().iter().zip(off) {
        let now = size.nominal + off[0];
        let mut found = false;
        let measured = document.measured.iter().any(|m| format!("parts/{}/{}", m.part, m.size) == size.path);
        document.visit_mut(&mut |path, slot| {
            if path == size.path
                && !measured
                && let SlotMut::Size(slot) = slot
            {
                slot.set_formula(Some(Formula::Number(now)));
                slot.set_tolerance(None);
                found = true;
            }
        });
        if !found {
            let (part, name) = size.path.strip_prefix("parts/").unwrap().split_once('/').unwrap();
            document.measured.retain(|m| m.part != part || m.size != name);
            let (part, name) = (part.to_owned(), name.to_owned());
            document.measured.push(Measured {
                part,
                size: name,
                readings: vec![now],
                resolution: 0.0,
                note: String::new(),
            });
        }
    }
    document
}

/// The document with the length of every screw said that is left to be chosen: a build takes no other screw, whatever its
/// pieces measure.
fn settled(document: &Document) -> Document {
    let fixture = resolve_quickly(document, None, None).fixture.unwrap();
    let stacks = fixture.riders.iter().flat_map(|rider| {
        let wheels = rider.wheels.iter().map(|mount| &mount.stack);
        wheels.chain(rider.bolts.iter().map(|bolt| &bolt.stack))
    });
    let lengths: HashMap<String, f64> = stacks
        .filter(|stack| stack.screw.shoulder.is_none())
        .map(|stack| (stack.screw.path.replace("/screw", "/length"), stack.screw.length.nominal))
        .collect();
    let mut document = document.clone();
    document.visit_mut(&mut |path, slot| {
        if let (Some(length), SlotMut::Size(size)) = (lengths.get(path), slot)
            && size.formula().is_none()
        {
            size.set_formula(Some(Formula::Number(*length)));
        }
    });
    document
}

#[derive(Default)]
struct Compared {
    gaps: usize,
    overlaps: usize,
    worst: f64,
    worst_bent: f64,
    bent: usize,
}

impl Compared {
    fn note(&mut self, name: &str, found: f64, expected: f64, bend: f64) {
        // How deep whole bodies of several pieces overlap, builds do not say.
        if expected <= 1e-6 || found <= 1e-6 {
            assert!(
                expected < 1e-5 && found < 1e-5 + bend,
                "{name}: {found} in the build, {expected} rebuilt"
            );
            self.overlaps += 1;
            return;
        }
        if expected.min(found) > Interference::REACH - 1.0 {
            return;
        }
        self.gaps += 1;
        self.bent += usize::from(bend > 0.0);
        let off = (found - expected).abs();
        let worst = if bend > 0.0 { &mut self.worst_bent } else { &mut self.worst };
        *worst = worst.max(off);
        assert!(
            (found - expected).abs() < 1e-6 + bend,
            "{name}: {found} in the build, {expected} rebuilt, {bend}"
        );
    }
}

/// Builds of a document against the document written anew. What is a wheel's diameter moves plates drawn about their axles in
/// a document, and none that is made: it stays as drawn here, see the other test.
fn against_documents(name: &str, document: &Document, count: u64, compared: &mut Compared) {
    let mut document = settled(document);
    document.trials.clear();
    let mut builds = match Builds::begin(&document, None, &all_alike(&document)) {
        Ok(builds) => builds,
        Err(NoBuilds::NothingVaries { .. }) => return,
        Err(why) => panic!("{name}: {why:?}"),
    };
    builds.advance(count, &|| false);
    assert_eq!(builds.samples(), count);
    for number in 0..count {
        let mut off = builds.build(number).off;
        for (size, off) in builds.sizes().iter().zip(&mut off) {
            if size.path.ends_with("/outer") || size.path.ends_with("mouth") {
                off[0] = 0.0;
            }
        }
        let gap = builds.gap_of(&off);
        let written = written(&document, &builds, &off);
        let resolved = resolve_quickly(&written, None, None);
        // A fillet of less than nothing cannot be written; it is told about.
        let Some(fixture) = resolved.fixture else { continue };
        let bend: f64 = builds.sizes().iter().map(|size| size.bend).filter(|bend| *bend > 1e-6).sum();
        compared.note(&format!("{name} {number}"), gap.gap, least(&fixture), 2.0 * bend);
    }
}

#[test]
fn builds_agree_with_documents_written_anew() {
    let mut compared = Compared::default();
    against_documents("demo", &demo().unwrap(), 100, &mut compared);
    for trial in ["tie on edge", "shorter screws", "trimmed trays"] {
        let (document, problems) = apply(&demo().unwrap(), trial);
        assert!(problems.is_empty());
        against_documents(trial, &document, 60, &mut compared);
    }
    let stand = parse(glidewright_samples::COPY_STAND).unwrap();
    for trial in ["thin lock nuts", "small wheels at the rear", "spacers regrouped"] {
        against_documents(trial, &apply(&stand, trial).0, 60, &mut compared);
    }
    println!(
        "{} gaps, off by {:.1e} mm at most, {} overlaps",
        compared.gaps, compared.worst, compared.overlaps
    );
    assert!(compared.gaps > 250 && compared.bent == 0, "{}", compared.gaps);
}

/// Tolerances on sizes all over a document that are plain lengths.
fn toleranced(document: &Document) -> Document {
    let mut places = Vec::new();
    document.visit(&mut |path, slot| {
        let Slot::Size(size) = slot else { return };
        let lists = ["obstacles/", "riders/", "sizes/"];
        let is_number = matches!(size.formula(), Some(Formula::Number(_)));
        if is_number
            && size.quantity() == Quantity::Length
            && size.tolerance().is_none()
            && lists.iter().any(|list| path.starts_with(list))
        {
            places.push(path.to_owned());
        }
    });
    let every = places.len().div_ceil(8).max(1);
    let chosen: Vec<_> = places.into_iter().step_by(every).collect();
    let mut document = document.clone();
    document.visit_mut(&mut |path, slot| {
        if let SlotMut::Size(size) = slot
            && chosen.iter().any(|chosen| chosen == path)
        {
            size.set_tolerance(Some(Tolerance::PlusMinus(0.05)));
        }
    });
    document
}

#[test]
fn builds_of_generated_fixtures_agree() {
    let mut compared = Compared::default();
    // Most are meant to overlap somewhere; of those that do not, a dozen, and of the others a few.
    let mut left = [12, 4];
    for generated in usable(0).take(400) {
        let kind = usize::from(least(&generated.fixture) < 0.1);
        if left[kind] == 0 {
            continue;
        }
        left[kind] -= 1;
        let document = toleranced(&generated.document);
        against_documents(&format!("seed {}", generated.seed), &document, 12, &mut compared);
    }
    println!(
        "{} gaps, off by {:.1e} mm at most; of these {} to first order, by {:.1e}; {} overlaps",
        compared.gaps, compared.worst, compared.bent, compared.worst_bent, compared.overlaps
    );
    assert!(
        compared.gaps - compared.bent > 30 && compared.overlaps > 10,
        "{} {}",
        compared.gaps,
        compared.overlaps
    );
}

/// Every piece by itself, wheels' diameters and grooves' mouths too: against the fixture with each size changed, placed and
/// analysed anew.
fn against_fixtures(name: &str, document: &Document, count: u64, compared: &mut Compared) {
    let resolved = resolve(document, None);
    let (sizes, left_out) = spread_sizes(&resolved);
    assert_eq!(left_out, 0);
    let likeness = sizes.iter().map(|size| (size.path.clone(), Likeness::Each)).collect();
    let question = Question { seed: 5, standing: Standing::Drawn, likeness, ..Question::default() };
    let builds = match Builds::of(&resolved, &question) {
        Ok(builds) => builds,
        Err(NoBuilds::NothingVaries { .. }) => return,
        Err(why) => panic!("{name}: {why:?}"),
    };
    let drawn = Fixture { variations: Arc::default(), ..resolved.fixture.clone().unwrap() };
    let mut placer = Placer::default();
    for number in 0..count {
        let mut off = builds.build(number).off;
        let mut greater = Vec::new();
        for (size, off) in sizes.iter().zip(&mut off) {
            for ((which, per_unit), off) in size.followed.iter().zip(off.iter()) {
                greater.push((*which, per_unit * off));
            }
            // What is no piece of its own stays as drawn.
            off.truncate(size.followed.len());
        }
        let built = placer.built(&drawn, &greater);
        let bend: f64 = builds.sizes().iter().map(|size| size.bend).filter(|bend| *bend > 1e-6).sum();
        compared.note(&format!("{name} {number}"), builds.gap_of(&off).gap, least(&built), 2.0 * bend);
    }
}

#[test]
fn builds_agree_with_fixtures_piece_by_piece() {
    let mut compared = Compared::default();
    for trial in ["tie on edge", "smaller wheels", "trimmed trays"] {
        against_fixtures(trial, &apply(&demo().unwrap(), trial).0, 50, &mut compared);
    }
    let stand = parse(glidewright_samples::COPY_STAND).unwrap();
    for trial in ["thin lock nuts", "small wheels at the rear", "spacers regrouped"] {
        against_fixtures(trial, &apply(&stand, trial).0, 50, &mut compared);
    }
    for generated in usable(100).take(12) {
        against_fixtures(
            &format!("seed {}", generated.seed),
            &toleranced(&generated.document),
            10,
            &mut compared,
        );
    }
    println!(
        "{} gaps, off by {:.1e} mm at most, {} overlaps",
        compared.gaps, compared.worst, compared.overlaps
    );
    assert!(compared.gaps > 200, "{}", compared.gaps);
}

/// What load takes off: the least gap as drawn is that of the analysis.
#[test]
fn drawn_as_the_analysis_has_it() {
    for trial in ["tie on edge", "trimmed trays"] {
        let document = demo().unwrap();
        let fixture = resolve(&document, Some(trial)).fixture.unwrap();
        let results = analyse(&fixture);
        let all = results
            .interference
            .passing
            .iter()
            .filter(|pair| !pair.meets_stop && pair.kinship != Kinship::MovingLine);
        let steady = results
            .interference
            .steady
            .iter()
            .filter(|pair| pair.kinship == Kinship::RiderAndRail && pair.allowed.is_none());
        let loaded = all.chain(steady).map(|pair| pair.loaded.gap - pair.play).fold(f64::INFINITY, f64::min);
        let builds = Builds::begin(&document, Some(trial), &Question::default())
            .unwrap_or_else(|why| panic!("{why:?}"));
        assert!(
            (builds.outcome().drawn - loaded).abs() < 1e-6,
            "{trial}: {} {loaded}",
            builds.outcome().drawn
        );
    }
}
