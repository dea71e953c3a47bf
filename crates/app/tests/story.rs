//! The ten-minute story: from nothing to a picture, by what one sees on screen.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

mod common;

use common::{Folder, click, document, enter, open, press, settle, state, undo};
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use glidewright::App;

#[test]
fn from_nothing_to_a_picture() {
    let mut harness = open();

    // A new fixture from a few answers.
    harness.key_press_modifiers(Modifiers::COMMAND, Key::N);
    settle(&mut harness);
    enter(&mut harness, "Name", "Slide stand");
    harness.get_by_label_contains("Rail: grooved 30x60").click();
    settle(&mut harness);
    harness.get_by_label("Search: Rail").type_text("20x60");
    settle(&mut harness);
    click(&mut harness, "grooved 20x60");
    enter(&mut harness, "Length", "70 cm");
    click(&mut harness, "Riders: two, tied by a belt");
    enter(&mut harness, "Load", "0,6 kg");
    press(&mut harness, "Draw it");
    assert_eq!(document(&harness).name, "Slide stand");
    assert_eq!(document(&harness).riders.len(), 2);
    // The tracks stand 40 mm apart: everything clears, and the window says so.
    harness.get_by_label("tightest: clear end to end");
    let drawn = document(&harness).clone();
    let reach = |harness: &Harness<'_, App>| {
        let bench = state(harness).session.bench().unwrap().clone();
        let stack = &bench.results.assembly.riders[0].stacks[0];
        (stack.pieces.last().unwrap().tip_side - stack.datum).abs()
    };
    let before = reach(&harness);

    // Larger nuts and another wheel.
    click(&mut harness, "Part: carriage");
    click(&mut harness, "Part: Wheel stacks");
    harness.get_by_label_contains("nut: DIN 985").click();
    settle(&mut harness);
    harness.get_by_label("Search: nut").type_text("ISO 7040 M6");
    settle(&mut harness);
    click(&mut harness, "ISO 7040 M6");
    let nut = &document(&harness).riders[0].stack.as_ref().unwrap().pieces;
    assert_eq!(nut.last().unwrap().part, "ISO 7040 M6");
    assert!(reach(&harness) > before, "taller nuts stand out further");
    harness.get_by_label_contains("wheel: vee wheel").click();
    settle(&mut harness);
    harness.get_by_label("Search: wheel").type_text("vee wheel 48, bore 6");
    settle(&mut harness);
    click(&mut harness, "vee wheel 48, bore 6");
    assert!(
        document(&harness).riders[0]
            .stack
            .as_ref()
            .unwrap()
            .pieces
            .iter()
            .any(|p| p.part == "vee wheel 48, bore 6")
    );

    // Something more to carry.
    press(&mut harness, "Add");
    press(&mut harness, "Load");
    let load = document(&harness).riders[0].loads.last().unwrap().name.clone();
    assert_eq!(state(&harness).selected, format!("riders/carriage/loads/{load}"));
    enter(&mut harness, "mass", "850");

    // It drifts now: the finding says so, a remedy is tried with one click.
    let bench = state(&harness).session.bench().unwrap().clone();
    let (place, finding) = bench
        .results
        .findings
        .iter()
        .enumerate()
        .find(|(_, finding)| finding.code == "balance.drifts")
        .expect("850 g more on one side drift");
    click(&mut harness, &finding.title.to_string());
    assert_eq!(state(&harness).shown_finding(), Some(place));
    harness.get_by_label_contains(&finding.reason.to_string()[..20]);
    let known = state(&harness);
    let cure = (0..finding.remedies.len())
        .find_map(|remedy| known.outlook.cures(&known.session, place, remedy).first().cloned())
        .expect("a way to cure it with the parts there are");
    press(&mut harness, &format!("Try {}", cure.way.words));
    assert_eq!(state(&harness).session.trial(), Some(cure.way.words.as_str()));
    let bench = state(&harness).session.bench().unwrap().clone();
    assert!(bench.results.findings.iter().all(|finding| finding.code != "balance.drifts"));

    // The trial stands in the table with what it comes to.
    click(&mut harness, "Trials");
    harness.get_by_label(&format!("Show trial: {}", cure.way.words));
    assert_eq!(state(&harness).outlook.tried().len(), 2);

    // A picture of it.
    let folder = Folder::new("story");
    let file = folder.file("stand.svg");
    harness.key_press_modifiers(Modifiers::COMMAND, Key::E);
    settle(&mut harness);
    press_radio(&mut harness, "SVG");
    enter_path(&mut harness, &file.display().to_string());
    let picture = std::fs::read_to_string(&file).expect("a picture");
    assert!(picture.starts_with("<svg") && picture.contains("Slide stand") || picture.len() > 4000);

    // Everything can be taken back, to the fixture as it was drawn first.
    while state(&harness).session.history().descriptions().next().is_some() {
        undo(&mut harness);
    }
    assert_eq!(*document(&harness), drawn);
    assert_eq!(reach(&harness), before);
}

fn press_radio(harness: &mut Harness<'_, App>, label: &str) {
    harness.get_by_label(label).click();
    settle(harness);
}

fn enter_path(harness: &mut Harness<'_, App>, path: &str) {
    harness.get_by_label("Path of the file").focus();
    settle(harness);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    settle(harness);
    harness.get_by_label("Path of the file").type_text(path);
    settle(harness);
    harness.get_by_label("Write").click();
    settle(harness);
}
