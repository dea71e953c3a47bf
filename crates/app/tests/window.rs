//! The window on the demo, by label, without a screen.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

mod common;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use common::{open_sized, settle, tightest};
use egui::{Key, Modifiers, Vec2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use glidewright::{App, Preferences};
use glidewright_motion::Finding;
use glidewright_sheet::{LengthUnit, ReaderUnits};

fn open(file: Option<PathBuf>) -> Harness<'static, App> {
    open_sized(file, Vec2::new(1280.0, 800.0))
}

fn travel(harness: &Harness<'_, App>) -> f64 {
    harness.state().state().travel
}

struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("glidewright-window-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }

    fn file(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

#[test]
fn it_opens_where_it_is_tightest() {
    let harness = open(None);
    assert!(tightest(&harness) < 0.0, "the demo fouls as drawn");
    let bench = harness.state().state().session.bench().expect("a fixture").clone();
    let at = bench.results.interference.tightest().expect("a pair").at_travel;
    assert!((travel(&harness) - at).abs() < 1e-9);
    harness.get_by_label("Findings");
    harness.get_by_label("Parts");
}

#[test]
fn a_trial_is_one_click() {
    let mut harness = open(None);
    let before = tightest(&harness);
    harness.get_by_label("Try: thin lock nuts").click();
    settle(&mut harness);
    assert!(tightest(&harness) > before + 0.2, "thin nuts gain room");
    harness.get_by_label("Try: As drawn").click();
    settle(&mut harness);
    assert_eq!(tightest(&harness), before);
}

#[test]
fn the_cursor_is_dragged() {
    let mut harness = open(None);
    let start = travel(&harness);
    let at = |harness: &Harness<'_, App>, travel| harness.state().place_of_travel(travel).expect("an axis");
    // On the cursor's own figure: the place itself is marked as the tightest, too.
    let aside = vec2(14.0, 0.0);
    let from = at(&harness, start) + aside;
    let target = start + 100.0;
    let to = at(&harness, target) + aside;
    harness.hover_at(from);
    harness.step();
    harness.drag_at(from);
    harness.step();
    for share in [0.3, 0.6, 1.0] {
        harness.hover_at(from + (to - from) * share);
        harness.step();
    }
    assert!((travel(&harness) - target).abs() < 1.0, "travel {} instead of {target}", travel(&harness));
    harness.drop_at(to);
    settle(&mut harness);
    assert!((travel(&harness) - target).abs() < 1.0);
}

#[test]
fn keys_move_the_riders() {
    let mut harness = open(None);
    let start = travel(&harness);
    harness.key_press(Key::ArrowUp);
    settle(&mut harness);
    assert!((travel(&harness) - start - 1.0).abs() < 1e-9);
    harness.key_press_modifiers(Modifiers::SHIFT, Key::ArrowDown);
    settle(&mut harness);
    assert!((travel(&harness) - start + 9.0).abs() < 1e-9);
    harness.key_press_modifiers(Modifiers::ALT, Key::ArrowUp);
    settle(&mut harness);
    assert!((travel(&harness) - start + 8.9).abs() < 1e-9);
    let stroke = harness.state().state().session.bench().expect("a fixture").fixture.stroke;
    harness.key_press(Key::Home);
    settle(&mut harness);
    assert_eq!(travel(&harness), stroke.from);
    harness.key_press(Key::End);
    settle(&mut harness);
    assert_eq!(travel(&harness), stroke.to);
}

/// Opens the finding about the fouling nuts, which selects one of them.
fn select_nut(harness: &mut Harness<'_, App>) {
    let bench = harness.state().state().session.bench().expect("a fixture");
    let title = bench.results.findings[0].title.to_string();
    harness.get_by_label(&title).click();
    settle(harness);
    assert!(harness.state().state().selected.ends_with("nut"), "{}", harness.state().state().selected);
}

#[test]
fn a_nut_is_swapped_and_swapped_back() {
    let mut harness = open(None);
    let before = tightest(&harness);
    select_nut(&mut harness);
    harness.get_by_label_contains("nut: ISO 7040 M6").click();
    settle(&mut harness);
    harness.get_by_label("Search: nut").type_text("ISO 10511 M6");
    settle(&mut harness);
    harness.get_by_label("ISO 10511 M6").click();
    settle(&mut harness);
    let after = tightest(&harness);
    assert!(after > before + 0.1, "a thinner nut gains room: {before} to {after}");
    assert!(harness.state().state().session.is_changed());
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut harness);
    assert_eq!(tightest(&harness), before);
    assert!(!harness.state().state().session.is_changed());
    harness.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    settle(&mut harness);
    assert_eq!(tightest(&harness), after);
}

/// A list that hangs low in the panel goes over its top edge once it is searched: neither the panel behind it
/// nor the field being typed in may move for it.
#[test]
fn searching_a_list_moves_nothing() {
    for height in [700.0, 800.0, 900.0] {
        let mut harness = open_sized(None, Vec2::new(1280.0, height));
        select_nut(&mut harness);
        let row = |harness: &Harness<'_, App>| harness.get_by_label_contains("nut: ISO 7040 M6").rect();
        let field = |harness: &Harness<'_, App>| harness.get_by_label("Search: nut").rect();
        let behind = row(&harness);
        harness.get_by_label_contains("nut: ISO 7040 M6").click();
        settle(&mut harness);
        let place = field(&harness);
        for letter in "ISO 10511 M6".chars() {
            harness.get_by_label("Search: nut").type_text(&letter.to_string());
            settle(&mut harness);
            assert_eq!(row(&harness), behind, "the panel moved at {letter:?}, {height} high");
            assert_eq!(field(&harness), place, "the list moved at {letter:?}, {height} high");
        }
    }
}

#[test]
fn a_size_is_typed_as_number_and_formula() {
    let mut harness = open(None);
    harness.get_by_label("Part: Stroke").click();
    settle(&mut harness);
    let end = |harness: &Harness<'_, App>| {
        harness.state().state().session.bench().expect("a fixture").fixture.stroke.to
    };
    let before = end(&harness);
    for (typed, expected) in [("321,5", 321.5), ("300 mm + 1 cm", 310.0), ("5 kg", 310.0)] {
        let field = harness.get_by_role_and_label(egui::accesskit::Role::TextInput, "to");
        field.focus();
        settle(&mut harness);
        harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
        settle(&mut harness);
        harness.get_by_role_and_label(egui::accesskit::Role::TextInput, "to").type_text(typed);
        settle(&mut harness);
        assert!((end(&harness) - expected).abs() < 1e-9, "{typed}: {}", end(&harness));
        harness.key_press(Key::Enter);
        settle(&mut harness);
    }
    // Each field that was left is one step.
    for expected in [321.5, before] {
        harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
        settle(&mut harness);
        assert!((end(&harness) - expected).abs() < 1e-9, "{} instead of {expected}", end(&harness));
    }
}

#[test]
fn findings_are_written_in_inches_when_those_are_chosen() {
    let inches = Preferences { unit: LengthUnit::Inch, ..Preferences::default() };
    let mut harness = Harness::builder()
        .with_max_steps(40)
        .with_size(Vec2::new(1280.0, 800.0))
        .build_eframe(move |creation| common::app(&creation.egui_ctx, None, inches));
    settle(&mut harness);
    let reading = harness.state().state().session.reading_shared();
    let bench = reading.bench.as_ref().expect("a fixture");
    let finding = &bench.results.findings[0];
    let shown = |finding: &Finding| {
        format!(
            "{} {}",
            ReaderUnits::from(LengthUnit::Inch).phrase(&finding.title),
            ReaderUnits::from(LengthUnit::Inch).phrase(&finding.reason)
        )
    };
    // 30 mm, 6.5 mm, 1 mm and 7.71 mm, of 25.4 mm to the inch.
    let reason = ReaderUnits::from(LengthUnit::Inch).phrase(&finding.reason);
    assert!(
        reason.starts_with("1.181 track spacing − 2 × (0.256 half vee wheel 48, bore 6 + 0.039 "),
        "{reason}"
    );
    for finding in &bench.results.findings {
        // Torque has a unit of its own.
        let text = shown(finding).replace("N·mm", "");
        assert!(!text.split(|c: char| !c.is_alphanumeric()).any(|word| word == "mm"), "{text}");
    }
    harness.get_by_label(&ReaderUnits::from(LengthUnit::Inch).phrase(&finding.title)).click();
    settle(&mut harness);
    harness.get_by_label(&reason);
    harness.key_press(Key::U);
    settle(&mut harness);
    harness.get_by_label(&finding.title.to_string());
    harness.get_by_label(&finding.reason.to_string());
    assert!(finding.reason.to_string().contains(" = −0.42 mm"), "{}", finding.reason);
    // Another unit is another way to write the same results.
    assert!(Arc::ptr_eq(&reading, &harness.state().state().session.reading_shared()));
}

#[test]
fn light_and_dark() {
    let mut harness = open(None);
    for (label, theme) in [("Dark", egui::Theme::Dark), ("Light", egui::Theme::Light)] {
        harness.key_press_modifiers(Modifiers::COMMAND, Key::P);
        settle(&mut harness);
        harness.get_by_label(label).click();
        settle(&mut harness);
        assert_eq!(harness.ctx.theme(), theme);
        harness.key_press(Key::Escape);
        settle(&mut harness);
    }
}

#[test]
fn the_picture_is_written() {
    let folder = Folder::new("picture");
    let mut harness = open(None);
    for (word, name, begins) in
        [("SVG", "a.svg", &b"<svg"[..]), ("PDF", "a.pdf", &b"%PDF"[..]), ("PNG", "a.png", &b"\x89PNG"[..])]
    {
        harness.key_press_modifiers(Modifiers::COMMAND, Key::E);
        settle(&mut harness);
        harness.get_by_label(word).click();
        settle(&mut harness);
        harness.get_by_label("Path of the file").focus();
        settle(&mut harness);
        harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
        settle(&mut harness);
        let file = folder.file(name);
        harness.get_by_label("Path of the file").type_text(&file.display().to_string());
        settle(&mut harness);
        harness.get_by_label("Write").click();
        settle(&mut harness);
        let bytes = std::fs::read(&file).expect("a picture");
        assert!(bytes.starts_with(begins), "{name}");
    }
}

#[test]
fn unsaved_work_is_not_lost_unasked() {
    let mut harness = open(None);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Q);
    settle(&mut harness);
    assert!(harness.query_by_label("Stay").is_none(), "nothing was changed, nothing is asked");
    harness.get_by_label("Part: Stroke").click();
    settle(&mut harness);
    harness.get_by_role_and_label(egui::accesskit::Role::TextInput, "to").focus();
    settle(&mut harness);
    harness.get_by_role_and_label(egui::accesskit::Role::TextInput, "to").type_text("1");
    harness.key_press(Key::Enter);
    settle(&mut harness);
    assert!(harness.state().state().session.is_changed());
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Q);
    settle(&mut harness);
    harness.get_by_label("Stay").click();
    settle(&mut harness);
    assert!(harness.query_by_label("Stay").is_none());
    assert!(harness.state().state().session.is_changed());
}

#[test]
fn a_broken_file_is_told_of() {
    let folder = Folder::new("broken");
    for (name, text) in [("empty.ron", ""), ("cut.ron", "(format: 2, name: \"a"), ("other.ron", "hello")] {
        let file = folder.file(name);
        std::fs::write(&file, text).expect("a file");
        let mut harness = open(Some(file));
        harness.get_by_label("The project could not be opened");
        harness.get_by_label("Close").click();
        settle(&mut harness);
        assert!(harness.state().state().session.bench().is_some(), "the demo is shown instead");
    }
    let harness = open(Some(Path::new("/no/such/file.ron").to_owned()));
    harness.get_by_label("The project could not be opened");
}

#[test]
fn a_document_that_makes_no_fixture_keeps_the_last_one() {
    let mut harness = open(None);
    harness.get_by_label("Part: Stroke").click();
    settle(&mut harness);
    harness.get_by_role_and_label(egui::accesskit::Role::TextInput, "to").focus();
    settle(&mut harness);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    settle(&mut harness);
    harness.get_by_role_and_label(egui::accesskit::Role::TextInput, "to").type_text("-5");
    settle(&mut harness);
    let reading = harness.state().state().session.reading();
    assert!(reading.is_old && !reading.problems.is_empty() && reading.bench.is_some());
    harness.get_by_label_contains("Shown is the last fixture");
    harness.key_press(Key::Escape);
    settle(&mut harness);
    assert!(!harness.state().state().session.reading().is_old);
}
