//! Every panel by its labels: what can be made and changed there, and taken back.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

mod common;

use std::time::{Duration, Instant};

use common::{choose, click, document, enter, open, press, press_key, settle, state, tightest, undo};
use egui::Key;
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use glidewright::{App, Preferences};
use glidewright_motion::Basis;
use glidewright_project::document::{Body, Drive, Feature, Moves, Node, PieceKind, PlateOutline, Stand, Way};
use glidewright_project::tolerance::Tolerance;
use glidewright_sheet::LengthUnit;

#[test]
fn the_rail_is_stood_otherwise() {
    let mut harness = open();
    click(&mut harness, "Part: Rail");
    choose(&mut harness, "It stands: upright", "inclined");
    assert!(matches!(document(&harness).rail.stand, Stand::Inclined { .. }));
    enter(&mut harness, "incline", "30");
    assert!(
        matches!(&document(&harness).rail.stand, Stand::Inclined { incline, .. } if incline.is_plainly(30.0))
    );
    undo(&mut harness);
    undo(&mut harness);
    assert_eq!(document(&harness).rail.stand, Stand::Upright);
}

#[test]
fn riders_are_added_renamed_mirrored_copied_and_deleted() {
    let mut harness = open();
    press(&mut harness, "Add");
    press(&mut harness, "Rider");
    assert_eq!(document(&harness).riders.len(), 3);
    assert_eq!(state(&harness).selected, "riders/carriage");
    enter(&mut harness, "Name: Rider", "tray");
    assert_eq!(document(&harness).riders[2].name, "tray");
    assert_eq!(state(&harness).selected, "riders/tray");
    choose(&mut harness, "It moves: follows the lead", "on its own");
    assert!(matches!(document(&harness).riders[2].moves, Moves::Free { .. }));
    enter(&mut harness, "Note", "for the tray");
    assert_eq!(document(&harness).riders[2].note, "for the tray");
    let faces = document(&harness).riders[2].faces;
    press(&mut harness, "Mirror");
    press(&mut harness, "Front to rear");
    assert_ne!(document(&harness).riders[2].faces, faces);
    press(&mut harness, "Duplicate");
    assert_eq!(document(&harness).riders.len(), 4);
    assert_eq!(state(&harness).selected, "riders/tray 2", "the copy is selected");
    press(&mut harness, "Delete");
    assert_eq!(document(&harness).riders.len(), 3);
    for _ in 0..7 {
        undo(&mut harness);
    }
    assert_eq!(document(&harness).riders.len(), 2);
}

#[test]
fn everything_a_rider_can_carry_is_added_and_edited() {
    let mut harness = open();
    click(&mut harness, "Part: counterweight");
    for (word, list) in [
        ("Wheel pair", "wheels"),
        ("Plate", "plates"),
        ("Load", "loads"),
        ("Ballast", "loads"),
        ("Bolt", "bolts"),
        ("Shoe", "shoes"),
        ("Grip", "grip"),
    ] {
        let before = document(&harness).clone();
        press(&mut harness, "Add");
        press(&mut harness, word);
        assert_ne!(*document(&harness), before, "{word}");
        let selected = state(&harness).selected.clone();
        assert!(selected.starts_with(&format!("riders/counterweight/{list}")), "{word}: {selected}");
        // It is drawn and its fields are there.
        assert!(!state(&harness).session.reading().is_old, "{word} leaves no fixture");
        assert!(harness.query_by_label("Name: ").is_none());
    }
    press(&mut harness, "Delete");
    assert!(document(&harness).riders[1].grip.is_none());
}

#[test]
fn loads_get_form_centre_and_reach() {
    let mut harness = open();
    click(&mut harness, "Part: camera head");
    press(&mut harness, "Add");
    press(&mut harness, "Load");
    let load = |harness: &Harness<'_, App>| document(harness).riders[0].loads.last().unwrap().clone();
    enter(&mut harness, "mass", "1,2 kg");
    assert_eq!(load(&harness).mass.formula.to_string(), "1,2 kg");
    choose(&mut harness, "Form of body 1: box", "cylinder");
    assert!(matches!(load(&harness).bodies[0], Body::Cylinder { .. }));
    press(&mut harness, "Add a body");
    assert_eq!(load(&harness).bodies.len(), 2);
    click(&mut harness, "Remove body 2");
    assert_eq!(load(&harness).bodies.len(), 1);
    choose(&mut harness, "Centre: of its bodies", "given");
    assert!(load(&harness).centre.is_some());
    choose(&mut harness, "It: stays on the rider", "slides on the rider");
    assert!(load(&harness).reach.is_some());
    enter(&mut harness, "reach now", "25");
    choose(&mut harness, "Counts from: head plate", "rail's centre plane");
    assert!(load(&harness).on.is_none());
    harness.get_by_label("It is ballast").click();
    settle(&mut harness);
    assert!(load(&harness).ballast);
}

#[test]
fn plates_get_other_outlines_and_features() {
    let mut harness = open();
    click(&mut harness, "Part: camera head");
    click(&mut harness, "Part: head plate");
    for (from, to) in [
        ("round the axles", "rectangle"),
        ("rectangle", "pads and webs"),
        ("pads and webs", "own path"),
        ("own path", "round the axles"),
    ] {
        choose(&mut harness, &format!("Outline: {from}"), to);
        assert!(!state(&harness).session.reading().is_old, "{to}");
    }
    assert!(matches!(document(&harness).riders[0].plates[0].outline, PlateOutline::Around { .. }));
    for word in ["hole", "slot", "cut-out", "more plate", "rib", "pocket", "belt clamp"] {
        click(&mut harness, "Part: head plate");
        press(&mut harness, "Add a feature");
        press(&mut harness, word);
        assert_eq!(state(&harness).selected, format!("riders/camera head/plates/head plate/features/{word}"));
        assert!(!state(&harness).session.reading().is_old, "{word}");
    }
    click(&mut harness, "Part: pocket");
    choose(&mut harness, "Filled: empty", "with ballast");
    let plate = document(&harness).riders[0].plates[0].clone();
    assert_eq!(plate.features.len(), 7);
    assert!(plate.features.iter().any(|f| matches!(f, Feature::Pocket(p) if p.fill.is_some())));
    click(&mut harness, "Part: hole");
    choose(&mut harness, "Shape: circle", "slot");
    enter(&mut harness, "shape · width", "6,5");
    assert!(!state(&harness).session.reading().is_old);
}

#[test]
fn a_stack_is_changed_piece_by_piece() {
    let mut harness = open();
    click(&mut harness, "Part: camera head");
    harness.get_all_by_label("Part: Wheel stacks").next().unwrap().click();
    settle(&mut harness);
    let kinds = |harness: &Harness<'_, App>| -> Vec<PieceKind> {
        document(harness).riders[0].stack.as_ref().unwrap().pieces.iter().map(|p| p.kind).collect()
    };
    let before = kinds(&harness);
    press(&mut harness, "Add a piece");
    press(&mut harness, "washer");
    assert_eq!(kinds(&harness).len(), before.len() + 1);
    assert_eq!(kinds(&harness)[before.len() - 1], PieceKind::Washer, "before the nut");
    undo(&mut harness);
    assert_eq!(kinds(&harness), before);
    // By the keyboard.
    harness.get_by_label("Move or change: washer").focus();
    settle(&mut harness);
    harness.key_press(Key::ArrowDown);
    settle(&mut harness);
    let mut moved = before.clone();
    moved.swap(0, 1);
    assert_eq!(kinds(&harness), moved);
    undo(&mut harness);
    // By dragging the spacer above the plate.
    let from = harness.get_by_label("Move or change: spacer").rect().center();
    let to = harness.get_by_label("Move or change: plate").rect().left_center();
    harness.hover_at(from);
    harness.step();
    harness.drag_at(from);
    harness.step();
    for share in [0.3, 0.7, 1.0] {
        harness.hover_at(from + (to - from) * share - egui::vec2(2.0, 0.0));
        harness.step();
    }
    harness.drop_at(to - egui::vec2(2.0, 0.0));
    settle(&mut harness);
    let mut moved = before.clone();
    let spacer = moved.remove(2);
    moved.insert(1, spacer);
    assert_eq!(kinds(&harness), moved);
    undo(&mut harness);
    // Taken away, and a spacer's length typed.
    harness.get_by_label_contains("More: nut-side shim").click();
    settle(&mut harness);
    press(&mut harness, "Take it away");
    assert_eq!(kinds(&harness).len(), before.len() - 1);
    undo(&mut harness);
    // The same by a right click in the drawn stack, and one put in between.
    harness.get_by_label("Move or change: spacer").click_secondary();
    settle(&mut harness);
    press(&mut harness, "Add after it");
    press(&mut harness, "washer");
    assert_eq!(kinds(&harness).len(), before.len() + 1);
    assert_eq!(kinds(&harness)[3], PieceKind::Washer);
    undo(&mut harness);
    enter(&mut harness, "spacer length", "16,5");
    let piece = document(&harness).riders[0].stack.as_ref().unwrap().pieces[2].clone();
    assert_eq!(piece.length.unwrap().formula.to_string(), "16.5");
}

#[test]
fn a_wheel_gets_a_stack_of_its_own_and_shares_again() {
    let mut harness = open();
    click(&mut harness, "Part: camera head");
    harness.get_all_by_label("Part: upper").next().unwrap().click();
    settle(&mut harness);
    choose(&mut harness, "Its stack: shared with the others", "its own");
    assert!(document(&harness).riders[0].wheels[0].stack.is_some());
    choose(&mut harness, "Its stack: its own", "shared with the others");
    assert!(document(&harness).riders[0].wheels[0].stack.is_none());
    choose(&mut harness, "Tracks: front (1)", "rear (2)");
    assert_eq!(document(&harness).riders[0].wheels[0].pair.as_deref(), Some("rear"));
}

#[test]
fn the_belt_and_its_nodes() {
    let mut harness = open();
    click(&mut harness, "Part: belt");
    press(&mut harness, "Add to its path");
    press(&mut harness, "fixed post");
    let nodes = &document(&harness).line.as_ref().unwrap().nodes;
    assert_eq!(nodes.len(), 5);
    assert!(matches!(nodes[3], Node::Post(_)));
    choose(&mut harness, "It is a: fixed post", "driven pulley");
    assert!(matches!(document(&harness).line.as_ref().unwrap().nodes[3], Node::Driven(_)));
    click(&mut harness, "Part: belt");
    click(&mut harness, "Remove: fixed post");
    assert_eq!(document(&harness).line.as_ref().unwrap().nodes.len(), 4);
}

#[test]
fn stops_obstacles_and_own_parts() {
    let mut harness = open();
    press(&mut harness, "Add");
    press(&mut harness, "Obstacle");
    assert_eq!(state(&harness).selected, "obstacles/obstacle");
    harness.get_by_label("It is an end stop").click();
    settle(&mut harness);
    assert!(document(&harness).obstacles.last().unwrap().stop);
    press(&mut harness, "Add");
    press(&mut harness, "Own part");
    press(&mut harness, "nut");
    assert_eq!(document(&harness).parts.len(), 1);
    enter(&mut harness, "height", "4,4");
    enter(&mut harness, "Name: Own part", "turned nut");
    assert_eq!(document(&harness).parts[0].name, "turned nut");
    // It can be chosen where nuts are.
    harness.state_mut().select("riders/camera head/stack");
    settle(&mut harness);
    harness.get_by_label_contains("nut: ISO 7040 M6").click();
    settle(&mut harness);
    harness.get_by_label("Search: nut").type_text("turned");
    settle(&mut harness);
    click(&mut harness, "turned nut");
    assert_eq!(
        document(&harness).riders[0].stack.as_ref().unwrap().pieces.last().unwrap().part,
        "turned nut"
    );
}

#[test]
fn drive_and_friction() {
    let mut harness = open();
    click(&mut harness, "Part: Drive");
    choose(&mut harness, "It is moved: by hand", "by a motor");
    let points = |harness: &Harness<'_, App>| match &document(harness).drive {
        Drive::Motor(motor) => motor.torque.len(),
        Drive::Hand => 0,
    };
    assert_eq!(points(&harness), 4);
    press(&mut harness, "Add a point");
    assert_eq!(points(&harness), 5);
    click(&mut harness, "Remove point 5");
    assert_eq!(points(&harness), 4);
    click(&mut harness, "Part: Friction and losses");
    harness.get_all_by_label_contains("assumed").next().expect("what is assumed is said");
    enter(&mut harness, "Tyre on rail", "0,15");
    assert!(document(&harness).resistance.flank.is_some());
    enter(&mut harness, "Source of flank", "pulled with a spring balance");
    assert_eq!(document(&harness).resistance.flank.as_ref().unwrap().note, "pulled with a spring balance");
}

#[test]
fn shared_sizes_are_a_sheet() {
    let mut harness = open();
    click(&mut harness, "Shared sizes");
    enter(&mut harness, "Size spacer", "2*7 mm + 2");
    assert!(
        (state(&harness).session.reading().values.at("sizes/spacer").unwrap().nominal - 16.0).abs() < 1e-9
    );
    // A formula without a value is told at the field and the last value is kept.
    let before = tightest(&harness);
    harness.get_by_role_and_label(Role::TextInput, "Size spacer").focus();
    settle(&mut harness);
    harness.get_by_role_and_label(Role::TextInput, "Size spacer").type_text(" + nothing");
    settle(&mut harness);
    harness.get_by_label_contains("nothing");
    assert_eq!(tightest(&harness), before);
    harness.key_press(Key::Escape);
    settle(&mut harness);
    enter(&mut harness, "Name of spacer", "tube_length");
    let formula =
        document(&harness).riders[0].stack.as_ref().unwrap().pieces[2].length.clone().unwrap().formula;
    assert_eq!(formula.to_string(), "tube_length");
    enter(&mut harness, "Name of the new size", "lift");
    enter(&mut harness, "Value of the new size", "3,5 mm");
    assert_eq!(document(&harness).sizes.get("lift").unwrap().formula.to_string(), "3,5 mm");
    press_key(&mut harness, "Delete size: lift");
    assert!(document(&harness).sizes.get("lift").is_none());
}

/// Mass of the camera as it is written.
fn camera_mass(harness: &Harness<'_, App>) -> String {
    let loads = &document(harness).riders[0].loads;
    loads.iter().find(|load| load.name == "camera").unwrap().mass.formula.to_string()
}

/// What cannot be read whole is not taken by its beginning: the size stays what it was, the text stays with its reason.
#[test]
fn a_field_takes_only_what_it_can_read_whole() {
    let mut harness = open();
    let mass = camera_mass;
    harness.state_mut().select("riders/camera head/loads/camera");
    settle(&mut harness);
    let before = mass(&harness);
    for (typed, told) in [
        ("2*", "formula"),
        ("5 N", "force"),
        ("0x10", "sign is missing"),
        ("1,250", "two ways"),
        ("7 nothing", "nothing"),
    ] {
        enter(&mut harness, "mass", typed);
        assert_eq!(mass(&harness), before, "{typed} was taken");
        let kept = harness.get_by_role_and_label(Role::TextInput, "mass").value();
        assert_eq!(kept.as_deref(), Some(typed), "the text is gone");
        let words = harness
            .get_all_by(|_| true)
            .filter_map(|node| node.accesskit_node().label().or_else(|| node.value()))
            .collect::<Vec<_>>()
            .join("\n");
        assert!(words.contains(told), "{typed}: no reason in {words}");
    }
    enter(&mut harness, "mass", "1250,5");
    assert_eq!(mass(&harness), "1250.5");
    enter(&mut harness, "mass", "2 kg");
    assert_eq!(mass(&harness), "2 kg");
    // Prices and readings too.
    click(&mut harness, "Costs");
    enter(&mut harness, "Cost of vee wheel 48, bore 6", "1,250");
    assert!(document(&harness).costs.is_empty());
    harness.get_by_label_contains("is no price");
    enter(&mut harness, "Cost of vee wheel 48, bore 6", "1,25");
    assert_eq!(document(&harness).costs.get("vee wheel 48, bore 6"), Some(&1.25));
}

/// A field reached with Tab has its content selected.
#[test]
fn tab_selects_what_stands_in_a_field() {
    let mut harness = open();
    harness.state_mut().select("riders/camera head/loads/camera");
    settle(&mut harness);
    harness.get_by_role_and_label(Role::TextInput, "mass").focus();
    settle(&mut harness);
    harness.key_press_modifiers(egui::Modifiers::SHIFT, Key::Tab);
    settle(&mut harness);
    harness.key_press(Key::Tab);
    settle(&mut harness);
    let field = harness.get_by_role_and_label(Role::TextInput, "mass");
    assert!(field.is_focused());
    field.type_text("777");
    settle(&mut harness);
    assert_eq!(harness.get_by_role_and_label(Role::TextInput, "mass").value().as_deref(), Some("777"));
    harness.key_press(Key::Enter);
    settle(&mut harness);
    assert_eq!(camera_mass(&harness), "777");
}

#[test]
fn tolerances_of_every_kind() {
    let mut harness = open();
    click(&mut harness, "Shared sizes");
    let tolerance =
        |harness: &Harness<'_, App>| document(harness).sizes.get("plate").unwrap().tolerance.clone();
    click(&mut harness, "Tolerance: Size plate");
    for (word, fits) in [
        ("exact", (|t| *t == Tolerance::Exact) as fn(&Tolerance) -> bool),
        ("± even", |t| matches!(t, Tolerance::PlusMinus(_))),
        ("± normal", |t| matches!(t, Tolerance::Normal(_))),
        ("limits", |t| matches!(t, Tolerance::Between(..))),
        ("ISO 2768-1", |t| matches!(t, Tolerance::General(_))),
        ("ISO 286", |t| matches!(t, Tolerance::Fit(_))),
        ("readings", |t| matches!(t, Tolerance::Measured { .. })),
    ] {
        press(&mut harness, word);
        let now = tolerance(&harness).expect(word);
        assert!(fits(&now), "{word}: {now:?}");
        if word == "± even" {
            // What is no number, or none it can be, stays in the field and changes nothing.
            for (typed, taken) in [("0.2x", None), ("-0.1", None), ("0,25", Some(0.25))] {
                enter(&mut harness, "Half width", typed);
                let expected = taken.map_or_else(|| now.clone(), Tolerance::PlusMinus);
                assert_eq!(tolerance(&harness).unwrap(), expected, "{typed}");
            }
        }
        assert!(!state(&harness).session.reading().is_old, "{word}");
    }
    // Three readings: t of 2 degrees of freedom is 4.303 (any table of Student's t).
    enter(&mut harness, "Readings", "6,02 5.98; 6.03");
    harness.get_by_label_contains("t = 4.303");
    press(&mut harness, "as its parts");
    assert!(tolerance(&harness).is_none());
}

#[test]
fn readings_stand_beside_what_is_stated() {
    let mut harness = open();
    click(&mut harness, "Readings");
    press(&mut harness, "Measure a part…");
    harness.get_by_label("Search: Part to measure").type_text("ISO 7040");
    settle(&mut harness);
    click(&mut harness, "ISO 7040 M6");
    let before = tightest(&harness);
    enter(&mut harness, "Readings of ISO 7040 M6 height", "7,4 7.5 7,45");
    assert_eq!(document(&harness).measured[0].readings, [7.4, 7.5, 7.45]);
    assert!(tightest(&harness) > before, "lower nuts leave more room");
    harness.get_by_label_contains("7.450");
    click(&mut harness, "Delete readings: ISO 7040 M6 height");
    assert!(document(&harness).measured.is_empty());
}

#[test]
fn pulls_are_noted_and_tell_friction() {
    let mut harness = open();
    click(&mut harness, "Pulls");
    press(&mut harness, "Note a pull");
    assert!(document(&harness).pulls.is_empty(), "nothing is noted before the scale's figure");
    for force in ["3,4", "3,1"] {
        enter(&mut harness, "The scale shows", force);
    }
    enter(&mut harness, "The scale shows", "3,3 g");
    assert_eq!(document(&harness).pulls.len(), 2, "grams are no force");
    enter(&mut harness, "The scale shows", "3,3");
    press(&mut harness, "Close");
    choose(&mut harness, "Way of pull 2: up, or out", "down, or back");
    enter(&mut harness, "Put on for pull 3", "500 g");
    harness.get_by_label("Line off at pull 3").click();
    settle(&mut harness);
    enter(&mut harness, "Note of pull 1", "slowly");
    let pulls = document(&harness).pulls.clone();
    assert_eq!(pulls.len(), 3);
    assert_eq!(pulls[0].force.formula.to_string(), "3.4");
    assert_eq!(pulls[0].note, "slowly");
    assert_eq!(pulls[1].towards, Way::Falling);
    assert!(pulls[2].line_off && pulls[2].payload.formula.to_string() == "500 g");
    harness.get_by_label("What the pulls tell");
    // A scale that shows more than is calculated whichever way one goes tells of more friction.
    let calculated: Vec<f64> = {
        let bench = state(&harness).session.bench().unwrap();
        bench.results.calibration.as_ref().unwrap().pulls.iter().filter_map(|pull| pull.before).collect()
    };
    for (row, force) in (1..).zip(&calculated) {
        enter(&mut harness, &format!("Force of pull {row}"), &format!("{:.3}", force + 0.2));
    }
    let offered: Vec<String> = harness
        .get_all_by(|node| node.role() == Role::Button)
        .filter_map(|node| node.accesskit_node().label().or_else(|| node.value()))
        .filter(|label| label.starts_with("Use this value: "))
        .collect();
    press_key(&mut harness, offered.first().expect("a coefficient that was fitted"));
    let bench = state(&harness).session.bench().unwrap().clone();
    let fitted =
        bench.results.coefficients.iter().filter(|c| matches!(c.coefficient.basis, Basis::Fitted { .. }));
    assert_eq!(fitted.count(), 1);
    click(&mut harness, "Delete pull 3");
    assert_eq!(document(&harness).pulls.len(), 2);
}

#[test]
fn costs_are_noted() {
    let mut harness = open();
    click(&mut harness, "Costs");
    enter(&mut harness, "Cost of vee wheel 48, bore 6", "2,35");
    assert_eq!(document(&harness).costs.get("vee wheel 48, bore 6"), Some(&2.35));
    enter(&mut harness, "Cost of vee wheel 48, bore 6", "");
    assert!(document(&harness).costs.is_empty());
}

#[test]
fn trials_are_made_named_stacked_and_made_the_base() {
    let mut harness = open();
    click(&mut harness, "Trials");
    // What each comes to is worked out beside the window.
    assert_eq!(state(&harness).outlook.tried().len(), 5);
    press(&mut harness, "New trial");
    assert_eq!(state(&harness).session.trial(), Some("trial"));
    click(&mut harness, "Shared sizes");
    enter(&mut harness, "Size spacer", "17");
    assert_eq!(document(&harness).trials[4].changes.len(), 1);
    assert_eq!(document(&harness).sizes.get("spacer").unwrap().formula.to_string(), "15");
    click(&mut harness, "Trials");
    enter(&mut harness, "Name: Trial", "long spacers");
    assert_eq!(state(&harness).session.trial(), Some("long spacers"));
    enter(&mut harness, "Note of long spacers", "more under the plate");
    assert_eq!(document(&harness).trials[4].note, "more under the plate");
    click(&mut harness, "Stand on: long spacers");
    harness.get_by_role_and_label(Role::CheckBox, "thin lock nuts").click();
    settle(&mut harness);
    assert_eq!(document(&harness).trials[4].over, ["thin lock nuts"]);
    // The list stays open for more, and Escape closes it and nothing else.
    harness.get_by_label("Trials whose changes come first");
    harness.key_press(Key::Escape);
    settle(&mut harness);
    press(&mut harness, "Make it the base: long spacers");
    assert_eq!(document(&harness).sizes.get("spacer").unwrap().formula.to_string(), "17");
    assert!(document(&harness).trials.iter().any(|trial| trial.name == "as it was"));
    press(&mut harness, "Delete: as it was");
    assert!(document(&harness).trials.iter().all(|trial| trial.name != "as it was"));
}

#[test]
fn what_was_changed_becomes_a_trial() {
    let mut harness = open();
    click(&mut harness, "Shared sizes");
    enter(&mut harness, "Size spacer", "17");
    click(&mut harness, "Trials");
    press(&mut harness, "Trial of what was changed");
    assert_eq!(state(&harness).session.trial(), Some("changes"));
    assert_eq!(document(&harness).sizes.get("spacer").unwrap().formula.to_string(), "15");
    assert_eq!(document(&harness).trials.last().unwrap().changes.len(), 1);
}

#[test]
fn a_finding_leads_to_its_place_and_cures_are_tried() {
    let mut harness = open();
    let bench = state(&harness).session.bench().unwrap().clone();
    let finding = bench.results.findings[0].clone();
    click(&mut harness, &finding.title.to_string());
    assert!((state(&harness).travel - finding.at_travel.unwrap()).abs() < 1e-9);
    assert!(!state(&harness).selected.is_empty());
    let before = tightest(&harness);
    let cure = state(&harness).outlook.cures(&state(&harness).session, 0, 0)[0].clone();
    press(&mut harness, &format!("Try {}", cure.way.words));
    assert_eq!(state(&harness).session.trial(), Some(cure.way.words.as_str()));
    assert!(tightest(&harness) > before);
    let said = cure.outcome.unwrap().tightest.unwrap().0;
    assert!((tightest(&harness) - said).abs() < 1e-9, "it comes to what was foreseen");
    undo(&mut harness);
    assert_eq!(tightest(&harness), before);
}

/// Builds are made while their page is open; a size's pieces are said to come out each by itself, a trial is looked at.
#[test]
fn builds_are_made_on_their_page() {
    let mut harness = open();
    click(&mut harness, "Builds");
    built(&mut harness);
    harness.get_by_label_contains("of builds foul");
    let likely = |harness: &Harness<'_, App>| {
        let found = state(harness).builds.of_trial(&state(harness).session, None);
        found.unwrap().found.clone().unwrap().outcome.likely.unwrap()
    };
    let alike = likely(&harness);
    choose(&mut harness, "pieces of shared size shim: all alike", "each by itself");
    built(&mut harness);
    let each = likely(&harness);
    assert!(each.1 - each.0 < alike.1 - alike.0, "shims make up for each other: {each:?}, {alike:?}");
    click(&mut harness, "Builds of: thin lock nuts");
    built(&mut harness);
    assert_eq!(state(&harness).session.trial(), Some("thin lock nuts"));
    nameless(&harness, "Builds");
    click(&mut harness, "Builds");
    assert!(state(&harness).drawer.is_none());
}

/// A size is swept from the finding it belongs to, and a value just on the better side is taken with one click.
#[test]
fn a_size_is_swept_and_a_value_taken() {
    let mut harness = open();
    click(&mut harness, "Sweep");
    built(&mut harness);
    nameless(&harness, "Sweep");
    harness.get_by_label_contains("Picture of: least gap, mm against").click();
    settle(&mut harness);
    harness.get_by_label_contains("Write a picture");
    press(&mut harness, "Close");
    let question = || state(&harness).sweeps.question().unwrap().clone();
    assert!(question().from < question().to);
    let swept = state(&harness).sweeps.outcome(&state(&harness).session).unwrap().clone().unwrap();
    assert!(!swept.ends.is_empty(), "{}", swept.size.path);
    let before = tightest(&harness);
    assert!(before < 0.0);
    harness.get_all_by_label_contains("Take ").last().unwrap().click();
    settle(&mut harness);
    let size = swept.size.path.clone();
    let now = state(&harness).session.reading().values.at(&size).unwrap().nominal;
    assert!(now != swept.size.now, "{size} is {now}");
    undo(&mut harness);
    assert_eq!(tightest(&harness), before);
}

/// Remedies are searched on their page, from the finding they are for; one click makes a trial, and the rows stay.
#[test]
fn remedies_are_searched_and_one_is_tried() {
    let mut harness = open();
    press(&mut harness, "Search remedies");
    let start = Instant::now();
    while state(&harness).remedies.places().is_empty() {
        assert!(start.elapsed() < Duration::from_secs(60), "no places come");
        std::thread::sleep(Duration::from_millis(5));
        settle(&mut harness);
    }
    // What stays makes the search small.
    for words in ["washers", "thin rings", "spacers", "wheels", "which way round screws are"] {
        if harness.query_by_label(words).is_some() {
            click(&mut harness, words);
        }
    }
    assert!(!state(&harness).remedies.asked().locked.is_empty());
    built(&mut harness);
    let rows = state(&harness).remedies.outcome().unwrap().as_ref().unwrap().rows.len();
    assert!(rows > 0);
    nameless(&harness, "Remedies");
    let trials = state(&harness).session.document().trials.len();
    press(&mut harness, "Try row 1");
    settle(&mut harness);
    assert_eq!(state(&harness).session.document().trials.len(), trials + 1);
    assert!(state(&harness).session.trial().is_some());
    built(&mut harness);
    assert_eq!(state(&harness).remedies.outcome().unwrap().as_ref().unwrap().rows.len(), rows);
    harness.get_by_label("From what is shown");
}

/// Runs until there is nothing more to work out on the page.
fn built(harness: &mut Harness<'_, App>) {
    let start = Instant::now();
    settle(harness);
    let is_working = |state: &glidewright::State| {
        state.builds.work().is_working()
            || state.sweeps.work().is_working()
            || state.remedies.work().is_working()
    };
    while is_working(state(harness)) {
        assert!(start.elapsed() < Duration::from_secs(120), "the work does not end");
        std::thread::sleep(Duration::from_millis(5));
        settle(harness);
    }
}

#[test]
fn every_field_has_a_name() {
    let mut harness = open();
    let pages = ["Trials", "Builds", "Sweep", "Remedies", "Shared sizes", "Readings", "Pulls", "Costs"];
    let mut parts: Vec<String> = Vec::new();
    for text in [
        "rail",
        "riders/camera head",
        "riders/camera head/stack",
        "riders/camera head/wheels/upper",
        "riders/camera head/plates/head plate",
        "riders/camera head/loads/camera",
        "riders/camera head/grip",
        "line",
        "line/nodes/front idler",
        "obstacles/base board",
        "stroke",
        "limits",
        "drive",
        "resistance",
    ] {
        parts.push(text.to_owned());
    }
    for page in pages {
        click(&mut harness, page);
        nameless(&harness, page);
    }
    click(&mut harness, "Costs");
    assert!(state(&harness).drawer.is_none(), "a second click closes the drawer");
    for part in parts {
        harness.state_mut().select(&part);
        settle(&mut harness);
        nameless(&harness, &part);
    }
}

fn nameless(harness: &Harness<'_, App>, place: &str) {
    for node in harness.get_all_by(|_| true) {
        let node = node.accesskit_node();
        let needs = matches!(
            node.role(),
            Role::Button
                | Role::TextInput
                | Role::CheckBox
                | Role::ComboBox
                | Role::SpinButton
                | Role::RadioButton
        );
        let name = node.label().or_else(|| node.value()).unwrap_or_default();
        assert!(!needs || !name.trim().is_empty(), "a {:?} without a name at {place}", node.role());
    }
}

#[test]
fn inches_hold_in_what_is_typed() {
    let preferences = Preferences { unit: LengthUnit::Inch, ..Preferences::default() };
    let mut harness = Harness::builder()
        .with_size(egui::Vec2::new(1600.0, 1500.0))
        .with_max_steps(40)
        .build_eframe(move |creation| common::app(&creation.egui_ctx, None, preferences));
    settle(&mut harness);
    click(&mut harness, "Part: Rail");
    let shows = |harness: &Harness<'_, App>| {
        harness.get_by_role_and_label(Role::TextInput, "length").value().unwrap()
    };
    let before = document(&harness).rail.length.formula.to_string().parse::<f64>().unwrap();
    let inches: f64 = shows(&harness).parse().unwrap();
    assert!((inches * 25.4 - before).abs() < 1e-3, "{inches} in for {before} mm");
    for (typed, written, shown) in [
        ("30", "762", "30"),
        ("30 1/2", "762", "30 1/2"),
        ("61/2", "774.7", "30.5"),
        ("700 mm", "700 mm", "700 mm"),
        ("2 ft", "2 ft", "2 ft"),
    ] {
        enter(&mut harness, "length", typed);
        assert_eq!(document(&harness).rail.length.formula.to_string(), written, "{typed}");
        assert_eq!(shows(&harness), shown, "{typed}");
    }
}

/// What was put on the clipboard in the last frame.
fn copied(harness: &Harness<'_, App>) -> Option<String> {
    harness.output().platform_output.commands.iter().find_map(|command| match command {
        egui::OutputCommand::CopyText(text) => Some(text.clone()),
        _ => None,
    })
}

#[test]
fn parts_are_copied_pasted_doubled_and_deleted_by_key() {
    let mut harness = open();
    // A load of one rider goes to the other.
    harness.state_mut().select("riders/camera head/loads/camera");
    settle(&mut harness);
    harness.event(egui::Event::Copy);
    harness.step();
    let text = copied(&harness).expect("something was copied");
    assert!(text.starts_with("Load(") && text.contains("camera"), "{text}");
    harness.state_mut().select("riders/counterweight");
    settle(&mut harness);
    let before = document(&harness).riders[1].loads.len();
    harness.event(egui::Event::Paste(text));
    settle(&mut harness);
    assert_eq!(document(&harness).riders[1].loads.len(), before + 1);
    assert_eq!(state(&harness).selected, "riders/counterweight/loads/camera");
    // Another of it, and both away again.
    harness.key_press_modifiers(egui::Modifiers::COMMAND, Key::D);
    settle(&mut harness);
    assert_eq!(state(&harness).selected, "riders/counterweight/loads/camera 2");
    harness.key_press(Key::Delete);
    settle(&mut harness);
    assert_eq!(document(&harness).riders[1].loads.len(), before + 1);
    assert_eq!(state(&harness).selected, "riders/counterweight");
    undo(&mut harness);
    // A stack takes the place of the other rider's, with its own plate.
    harness.state_mut().select("riders/camera head/stack");
    settle(&mut harness);
    harness.event(egui::Event::Copy);
    harness.step();
    let text = copied(&harness).expect("a stack was copied");
    harness.state_mut().select("riders/counterweight");
    settle(&mut harness);
    harness.event(egui::Event::Paste(text));
    settle(&mut harness);
    let [head, weight] = [0, 1].map(|rider| document(&harness).riders[rider].clone());
    let (from, to) = (head.stack.unwrap(), weight.stack.unwrap());
    assert_eq!((&from.screw, from.pieces.len()), (&to.screw, to.pieces.len()));
    let plate = to.pieces.iter().find(|piece| piece.kind == PieceKind::Plate).unwrap();
    assert!(weight.plates.iter().any(|own| own.name == plate.part), "{}", plate.part);
    let reading = state(&harness).session.reading();
    assert!(!reading.is_old, "{:?}", reading.problems);
    // What is no part is told so, and changes nothing.
    let before = document(&harness).clone();
    for text in ["", "Load(", "Piece((nut: 3))", &"x".repeat(3 << 20)] {
        harness.event(egui::Event::Paste(text.to_owned()));
        settle(&mut harness);
        assert_eq!(*document(&harness), before);
        assert!(state(&harness).notice.is_some());
    }
    // In a field the keys are the field's.
    harness.state_mut().select("riders/counterweight/loads/camera");
    settle(&mut harness);
    let count = document(&harness).riders[1].loads.len();
    harness.get_by_role_and_label(Role::TextInput, "mass").focus();
    settle(&mut harness);
    harness.key_press(Key::Delete);
    harness.event(egui::Event::Paste("7".to_owned()));
    settle(&mut harness);
    assert_eq!(document(&harness).riders[1].loads.len(), count);
}

#[test]
fn f6_goes_round_and_lists_are_walked_with_arrows() {
    let mut harness = open();
    let focused = |harness: &Harness<'_, App>| {
        let node = harness.root().children_recursive().find(|node| node.accesskit_node().is_focused());
        node.and_then(|node| node.accesskit_node().label()).unwrap_or_default()
    };
    let travel = state(&harness).travel;
    let mut names = Vec::new();
    for _ in 0..5 {
        harness.key_press(Key::F6);
        settle(&mut harness);
        names.push(focused(&harness));
    }
    assert_eq!(names, ["Next finding", "Trials", "Try: As drawn", "Part: Rail", "Bench"]);
    harness.key_press_modifiers(egui::Modifiers::SHIFT, Key::F6);
    settle(&mut harness);
    assert_eq!(focused(&harness), "Part: Rail");
    harness.key_press(Key::ArrowDown);
    settle(&mut harness);
    assert_eq!(focused(&harness), "Part: camera head");
    harness.key_press(Key::End);
    settle(&mut harness);
    assert_eq!(focused(&harness), "Part: Friction and losses");
    assert_eq!(state(&harness).travel, travel, "the riders stay where they are");
    harness.key_press(Key::Enter);
    settle(&mut harness);
    assert_eq!(state(&harness).selected, "resistance");
}
