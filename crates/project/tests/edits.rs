//! Edits: what they change, what follows, and undoing them.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_project::document::{Change, Facing, Stand, Trial};
use glidewright_project::edit::{self, Addition, Edited, History, MirrorPlane};
use glidewright_project::size::Formula;
use glidewright_project::{Document, Severity, demo, print, resolve};

fn stand() -> Document {
    demo().unwrap()
}

/// The fixture of a document that must be without errors.
fn fixture(document: &Document) -> glidewright_motion::Fixture {
    let resolved = resolve(document, None);
    let errors: Vec<_> = resolved.problems.iter().filter(|p| p.severity == Severity::Error).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    resolved.fixture.unwrap()
}

#[test]
fn a_shared_size_moves_everything_made_of_it() {
    let edited = edit::set(&stand(), "sizes/plate", "8 mm").unwrap();
    assert_eq!(edited.description, "Set plate to 8 mm");
    for rider in fixture(&edited.document).riders {
        assert_eq!(rider.plates[0].thickness.nominal, 8.0);
        assert_eq!(rider.plates[0].thickness.half_width(), 0.1);
    }
    // A corner radius used by two plates.
    let edited = edit::set(&stand(), "sizes/corner", "9").unwrap();
    for rider in fixture(&edited.document).riders {
        let radii: Vec<f64> = rider.plates[0]
            .outline
            .edges
            .iter()
            .filter_map(|edge| match edge {
                glidewright_geometry::Edge::Arc { radius, .. } => Some(*radius),
                _ => None,
            })
            .collect();
        assert_eq!(radii, [9.0; 4]);
    }
}

#[test]
fn smaller_wheels_bring_the_axles_and_the_plate_together() {
    let before = fixture(&stand());
    let change = Change::Swap { from: "V48".into(), to: "V24".into(), within: "riders/counterweight".into() };
    let after = fixture(&edit::change(&stand(), &change).unwrap().document);
    let width = |fixture: &glidewright_motion::Fixture, rider: usize| {
        fixture.riders[rider].plates[0].outline.bounds().size().y
    };
    // Half the difference of the diameters on either side.
    assert!((width(&before, 1) - width(&after, 1) - 24.0).abs() < 1e-12);
    assert_eq!(width(&before, 0), width(&after, 0));
}

#[test]
fn one_wheel_of_a_pair_can_be_changed_alone() {
    let change = Change::Swap {
        from: "ISO 7040 M6".into(),
        to: "DIN 985 M6".into(),
        within: "riders/camera head/wheels/upper left".into(),
    };
    let edited = edit::change(&stand(), &change).unwrap();
    let head = &fixture(&edited.document).riders[0];
    let nuts: Vec<(&str, &str)> = head
        .wheels
        .iter()
        .map(|wheel| (wheel.name.as_str(), wheel.stack.pieces.last().unwrap().name.as_str()))
        .collect();
    assert_eq!(
        nuts,
        [
            ("upper left", "DIN 985 M6"),
            ("upper right", "ISO 7040 M6"),
            ("lower left", "ISO 7040 M6"),
            ("lower right", "ISO 7040 M6")
        ]
    );
}

#[test]
fn setting_what_is_not_there_is_refused_with_a_suggestion() {
    let problem = edit::set(&stand(), "sizes/spacr", "8").unwrap_err();
    assert!(problem.remedy.contains("sizes/spacer"), "{problem}");
    let problem = edit::set(&stand(), "riders/camera head/faces", "frnt").unwrap_err();
    assert!(problem.remedy.contains("front"), "{problem}");
}

#[test]
fn renaming_a_size_is_followed_by_formulas_and_trials() {
    let before = fixture(&stand());
    let edited = edit::rename_size(&stand(), "spacer", "standoff").unwrap();
    assert_eq!(fixture(&edited.document), before);
    assert!(edit::uses_of_size(&edited.document, "spacer").is_empty());
    assert_eq!(edit::uses_of_size(&edited.document, "standoff").len(), 2);
    assert!(!resolve(&edited.document, Some("spacers regrouped")).has_errors());
    for bad in ["corner", "mm", "2x", "a b", "", "min"] {
        assert!(edit::rename_size(&stand(), "spacer", bad).is_err(), "{bad}");
    }
    // A name inside another name, and a function of that name, stay.
    let text = edit::set(&stand(), "sizes/ballast", "belt_level * 10 + idler + min(idler, 5)").unwrap();
    let renamed = edit::rename_size(&text.document, "idler", "x").unwrap().document;
    assert_eq!(
        renamed.sizes.get("ballast").unwrap().formula,
        Formula::Text("belt_level * 10 + x + min(x, 5)".into())
    );
}

#[test]
fn renaming_things_is_followed() {
    let before = fixture(&stand());
    let same_but_names = |after: &glidewright_motion::Fixture| {
        assert_eq!(after.riders.len(), before.riders.len());
        let (Some(a), Some(b)) = (&after.line, &before.line) else { panic!() };
        assert_eq!(a.nodes, b.nodes);
    };
    let document = edit::rename(&stand(), "riders/counterweight", "weight").unwrap().document;
    same_but_names(&fixture(&document));
    let document =
        edit::rename(&document, "riders/weight/plates/weight plate", "rear plate").unwrap().document;
    same_but_names(&fixture(&document));
    let document =
        edit::rename(&document, "riders/weight/stack/nut-side shim", "thin shim").unwrap().document;
    let document = edit::rename(&document, "trials/thin lock nuts", "low nuts").unwrap().document;
    for trial in &document.trials {
        let resolved = resolve(&document, Some(&trial.name));
        assert!(!resolved.has_errors(), "{}: {:#?}", trial.name, resolved.problems);
    }
    assert!(edit::rename(&document, "riders/weight", "camera head").is_err());
    assert!(edit::rename(&document, "riders/weight", "a/b").is_err());
    assert!(edit::rename(&document, "riders/wait", "x").is_err());
}

#[test]
fn deleting_takes_along_what_cannot_stand_alone() {
    let path = "riders/counterweight";
    assert_eq!(edit::goes_with(&stand(), path), ["line"]);
    let edited = edit::delete(&stand(), path).unwrap();
    assert!(edited.document.line.is_none());
    let _ = fixture(&edited.document);
    // Trials about the rider are kept and reported.
    assert_eq!(edited.document.trials.len(), 4);
    let resolved = resolve(&edited.document, Some("small wheels at the rear"));
    let problem = resolved.problems.iter().find(|p| p.severity == Severity::Error).unwrap();
    assert!(problem.message.contains("no longer applies"), "{problem}");
    assert_eq!(problem.place.path(), Some("trials/small wheels at the rear/changes/1"));

    // A shared size leaves its formula behind.
    let before = fixture(&stand());
    let edited = edit::delete(&stand(), "sizes/wheelbase").unwrap();
    assert_eq!(fixture(&edited.document).riders, before.riders);

    let goes = edit::goes_with(&stand(), "riders/camera head/plates/head plate");
    assert_eq!(
        goes,
        [
            "riders/camera head/loads/arm",
            "riders/camera head/loads/camera",
            "riders/camera head/grip",
            "riders/camera head/stack/plate"
        ]
    );
    assert!(edit::delete(&stand(), "riders/nobody").is_err());
}

#[test]
fn a_part_in_use_is_not_deleted() {
    let part = glidewright_project::tables::built_in().part("DIN 985 M6").unwrap().clone();
    let own = glidewright_project::document::Part { name: "my nut".into(), ..part };
    let document = edit::add(&stand(), Addition::Part(own)).unwrap().document;
    assert!(edit::delete(&document, "parts/my nut").is_ok());
    let change = Change::Swap { from: "ISO 7040 M6".into(), to: "my nut".into(), within: String::new() };
    let document = edit::change(&document, &change).unwrap().document;
    let _ = fixture(&document);
    assert!(edit::delete(&document, "parts/my nut").unwrap_err().message.contains("still used"));
    let renamed = edit::rename(&document, "parts/my nut", "nut of mine").unwrap().document;
    let _ = fixture(&renamed);
}

#[test]
fn duplicates_get_names_of_their_own() {
    let document = edit::duplicate(&stand(), "riders/camera head/loads/arm").unwrap().document;
    let document = edit::duplicate(&document, "riders/camera head/loads/arm").unwrap().document;
    let names: Vec<&str> = document.riders[0].loads.iter().map(|l| l.name.as_str()).collect();
    assert_eq!(names, ["arm", "arm 3", "arm 2", "camera"]);
    let document = edit::duplicate(&document, "riders/camera head").unwrap().document;
    assert_eq!(document.riders[1].name, "camera head 2");
    assert_ne!(document.riders[1].moves, document.riders[0].moves);
    let document = edit::duplicate(&document, "sizes/plate").unwrap().document;
    assert!(document.sizes.get("plate_2").is_some());
}

#[test]
fn a_mirrored_counterweight_stands_behind_the_head() {
    let document = edit::delete(&stand(), "riders/counterweight").unwrap().document;
    let document = edit::counterweight(&document, "camera head").unwrap().document;
    assert_eq!(document.riders[1].faces, Facing::Rear);
    let before = fixture(&stand());
    let after = fixture(&document);
    assert_eq!(after.riders[1].coupling, before.riders[1].coupling);
    assert_eq!(after.riders[1].at_zero, before.riders[1].at_zero);
    let tracks =
        |f: &glidewright_motion::Fixture| f.riders[1].wheels.iter().map(|w| w.track).collect::<Vec<_>>();
    assert_eq!(tracks(&after), tracks(&before));
}

#[test]
fn mirroring_twice_changes_nothing_in_the_fixture() {
    for plane in [MirrorPlane::FrontRear, MirrorPlane::LeftRight, MirrorPlane::Lengthwise] {
        for path in ["riders/camera head", "obstacles/upper head stop"] {
            let once = edit::mirror(&stand(), path, plane).unwrap().document;
            let twice = edit::mirror(&once, path, plane).unwrap().document;
            let (mut before, mut after) =
                (resolve(&stand(), None).fixture.unwrap(), resolve(&twice, None).fixture.unwrap());
            // The order of a pair's wheels may differ.
            for rider in before.riders.iter_mut().chain(&mut after.riders) {
                rider.wheels.sort_by(|a, b| a.name.cmp(&b.name));
            }
            assert_eq!(before.obstacles, after.obstacles);
            assert_eq!(before.riders[0].loads, after.riders[0].loads);
            assert_eq!(before.riders[0].wheels, after.riders[0].wheels);
        }
    }
}

#[test]
fn a_new_rider_is_complete() {
    for section in ["grooved 20x40", "grooved 30x60", "grooved 45x90"] {
        let document = edit::new_document("new", section, 500.0, Stand::Lying);
        let wheel = if section == "grooved 20x40" { "V24-5" } else { "V40" };
        let document =
            edit::rider(&document, "carriage", Facing::Front, "front", wheel, 15.0).unwrap().document;
        let resolved = resolve(&document, None);
        assert!(!resolved.has_errors(), "{section}: {:#?}", resolved.problems);
        assert_eq!(resolved.fixture.unwrap().riders[0].wheels.len(), 4);
    }
}

#[test]
fn a_trial_becomes_the_base_and_back() {
    let edited = edit::adopt(&stand(), "spacers regrouped", Some("as drawn")).unwrap();
    assert_eq!(fixture(&edited.document), resolve(&stand(), Some("spacers regrouped")).fixture.unwrap());
    let back = resolve(&edited.document, Some("as drawn"));
    assert!(!back.has_errors(), "{:#?}", back.problems);
    assert_eq!(back.fixture.unwrap(), fixture(&stand()));
    assert!(edit::adopt(&stand(), "nothing", None).is_err());
}

#[test]
fn changes_are_made_within_a_trial() {
    let trial = Trial { name: "new".into(), note: String::new(), over: vec![], changes: vec![] };
    let document = edit::add(&stand(), Addition::Trial(trial)).unwrap().document;
    let set = |to: f64| Change::Set { path: "sizes/plate".into(), to: Formula::Number(to) };
    let document = edit::change_in_trial(&document, "new", &set(7.0)).unwrap().document;
    let document = edit::change_in_trial(&document, "new", &set(8.0)).unwrap().document;
    assert_eq!(document.trials.last().unwrap().changes, [set(8.0)]);
    assert_eq!(document.sizes.get("plate"), stand().sizes.get("plate"));
    assert!(edit::change_in_trial(&document, "new", &Change::Remove { path: "obstacles/x".into() }).is_err());
}

#[test]
fn undo_and_redo_over_many_steps() {
    let mut history = History::new(stand(), true);
    let mut states = vec![print(history.document())];
    for step in 0..2000 {
        let path = ["sizes/plate", "sizes/spacer", "riders/camera head/at", "stroke/to"][step % 4];
        let edited = edit::set(history.document(), path, &format!("{}", 10 + step)).unwrap();
        history.push(edited);
        states.push(print(history.document()));
    }
    assert!(!history.is_saved());
    for expected in states.iter().rev().skip(1) {
        assert!(history.undo().unwrap());
        assert_eq!(&print(history.document()), expected);
    }
    assert!(!history.undo().unwrap());
    assert!(history.is_saved());
    for expected in states.iter().skip(1) {
        assert!(history.redo().unwrap());
        assert_eq!(&print(history.document()), expected);
    }
    assert!(!history.redo().unwrap());
    // A drag of fifty steps is undone at once.
    history.join(50, "Drag");
    assert_eq!(history.undo_description(), Some("Drag"));
    assert!(history.undo().unwrap());
    assert_eq!(print(history.document()), states[1950]);
}

#[test]
fn a_state_saved_and_left_by_undo_is_not_taken_for_another() {
    let mut history = History::new(stand(), false);
    assert!(!history.is_saved());
    let push = |history: &mut History, value: &str| {
        let edited = edit::set(history.document(), "sizes/plate", value).unwrap();
        history.push(edited);
    };
    push(&mut history, "7");
    history.mark_saved();
    assert!(history.undo().unwrap());
    push(&mut history, "8");
    assert!(!history.is_saved());
    let unchanged = Edited { document: history.document().as_ref().clone(), description: "nothing".into() };
    let revision = history.revision();
    history.push(unchanged);
    assert_eq!(history.revision(), revision);
}
