//! A fixture from a few answers, and remedies carried out.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_motion::analyse;
use glidewright_project::document::{Change, Moves, PieceKind, Stand, Trial};
use glidewright_project::edit::{self, Addition, Wish, fixture, wheel_for};
use glidewright_project::{Document, Severity, apply, parse, resolve};
use glidewright_samples::COPY_STAND;

fn wish(section: &str) -> Wish {
    Wish {
        name: "Stand".to_owned(),
        section: section.to_owned(),
        length: 800.0,
        stand: Stand::Upright,
        two: true,
        linked: true,
        load: 600.0,
    }
}

fn sound(document: &Document, what: &str) -> glidewright_motion::Results {
    let resolved = resolve(document, None);
    let errors: Vec<_> = resolved.problems.iter().filter(|p| p.severity == Severity::Error).collect();
    assert!(errors.is_empty(), "{what}: {errors:#?}");
    analyse(&resolved.fixture.expect(what))
}

/// Equal masses on both ends of a belt over idlers balance (Atwood): the counterweight carries what the first
/// rider carries, so the hold band, where there is one, holds the masses as they are.
#[test]
fn a_linked_pair_on_an_upright_rail_starts_in_balance() {
    let document = fixture(&wish("grooved 30x60")).unwrap();
    let results = sound(&document, "30x60");
    let masses: Vec<f64> = results.assembly.riders.iter().map(|rider| rider.mass.total()).collect();
    assert!((masses[0] - masses[1]).abs() < 1e-9, "{masses:?}");
    assert!(matches!(&document.riders[1].moves, Moves::Linked(ratio) if ratio.is_plainly(-1.0)));
}

#[test]
fn wishes_that_cannot_be_met_say_why() {
    for (wish, word) in [
        (Wish { length: 120.0, ..wish("grooved 30x60") }, "room"),
        (Wish { length: f64::NAN, ..wish("grooved 20x40") }, "length"),
        (Wish { length: -5.0, ..wish("grooved 20x40") }, "length"),
        (Wish { load: f64::INFINITY, ..wish("grooved 20x40") }, "mass"),
        (wish("grooved 20x20"), "cannot pass"),
        (wish("grooved 20x40"), "cannot pass"),
        (wish("no such rail"), "rail"),
        (wish("rod 8"), "rail"),
    ] {
        let problem = fixture(&wish).unwrap_err();
        assert!(
            problem.message.contains(word) && !problem.remedy.is_empty()
                || word == "mass"
                || word == "length",
            "{problem}"
        );
    }
    assert!(wheel_for("grooved 30x60").is_ok());
}

#[test]
fn remedies_become_changes_that_help() {
    let document = parse(COPY_STAND).unwrap();
    let results = sound(&document, "demo");
    let before = results.interference.tightest().unwrap().gap;
    let mut tried = 0;
    for finding in &results.findings {
        for remedy in &finding.remedies {
            for way in edit::ways(&document, &results, finding, remedy) {
                let mut with = document.clone();
                with.trials.push(Trial {
                    name: "way".to_owned(),
                    note: String::new(),
                    over: Vec::new(),
                    changes: way.changes.clone(),
                });
                let (changed, problems) = apply(&with, "way");
                assert!(problems.is_empty(), "{}: {problems:?}", way.words);
                let resolved = resolve(&changed, None);
                let after = analyse(&resolved.fixture.expect("a fixture"));
                let gap = after.interference.tightest().unwrap().gap;
                if finding.code == "gap.fouls" && matches!(way.changes[0], Change::Swap { .. }) {
                    assert!(gap > before, "{}: {before} to {gap}", way.words);
                }
                if finding.code.starts_with("balance.") {
                    assert!(after.findings.iter().all(|f| f.code != "balance.drifts"), "{}", way.words);
                }
                tried += 1;
            }
        }
    }
    assert!(tried >= 4, "only {tried} ways");
}

#[test]
fn pieces_move_and_stacks_are_shared_or_own() {
    let document = parse(COPY_STAND).unwrap();
    let stack = "riders/camera head/stack";
    let kinds = |document: &Document| -> Vec<PieceKind> {
        document.riders[0].stack.as_ref().unwrap().pieces.iter().map(|piece| piece.kind).collect()
    };
    let before = kinds(&document);
    let names = |document: &Document| {
        glidewright_project::document::piece_names(&document.riders[0].stack.as_ref().unwrap().pieces)
    };
    let move_piece = |document: &Document, from: usize, to: usize| {
        edit::reorder(document, &format!("{stack}/{}", names(document)[from]), to).unwrap().document
    };
    // Between washer and plate.
    let moved = move_piece(&document, 3, 1);
    let mut expected = before.clone();
    let piece = expected.remove(3);
    expected.insert(1, piece);
    assert_eq!(kinds(&moved), expected);
    assert_eq!(kinds(&move_piece(&moved, 1, 3)), before);
    assert!(edit::reorder(&document, &format!("{stack}/no such piece"), 0).is_err());
    assert!(edit::reorder(&document, "riders/no one/stack/nut", 1).is_err());

    let wheel = "riders/camera head/wheels/upper";
    let own = edit::own_stack(&document, wheel).unwrap().document;
    assert_eq!(own.riders[0].wheels[0].stack, own.riders[0].stack);
    let changed = edit::set(&own, &format!("{wheel}/stack/nut"), "DIN 985 M6").unwrap().document;
    assert_ne!(changed.riders[0].wheels[0].stack, changed.riders[0].stack);
    let shared = edit::share_from(&changed, wheel).unwrap().document;
    assert!(shared.riders[0].wheels[0].stack.is_none());
    assert_eq!(shared.riders[0].stack.as_ref().unwrap().pieces.last().unwrap().part, "DIN 985 M6");
    assert_eq!(edit::share_stack(&own, wheel).unwrap().document, document);
}

#[test]
fn what_was_changed_becomes_a_trial() {
    let before = parse(COPY_STAND).unwrap();
    let now = edit::set(&before, "sizes/spacer", "17").unwrap().document;
    let now = edit::set(&now, "riders/counterweight/stack/nut", "DIN 985 M6").unwrap().document;
    let made = edit::trial_from(&before, &now, "tried", "").unwrap().document;
    assert_eq!(Document { trials: before.trials.clone(), ..made.clone() }, before);
    let (tried, problems) = apply(&made, "tried");
    assert!(problems.is_empty());
    assert_eq!(Document { trials: now.trials.clone(), ..tried }, now);
    assert!(edit::trial_from(&before, &before, "nothing", "").is_err());
    // A trial made meanwhile stays.
    let other = Trial { name: "other".into(), ..before.trials[0].clone() };
    let later = edit::add(&now, Addition::Trial(other)).unwrap().document;
    let both = edit::trial_from(&before, &later, "tried", "").unwrap().document;
    assert_eq!(both.trials.len(), before.trials.len() + 2);
    let less = edit::drop_change(&made, "tried", 0).unwrap().document;
    assert_eq!(less.trials.last().unwrap().changes.len(), 1);
    assert!(edit::drop_change(&less, "tried", 7).is_err());
    let on = edit::stand_on(&less, "tried", "thin lock nuts", true).unwrap().document;
    assert_eq!(on.trials.last().unwrap().over, ["thin lock nuts"]);
    assert!(edit::stand_on(&on, "thin lock nuts", "tried", true).is_err(), "round in a circle");
}
