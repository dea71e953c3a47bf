//! Handling things in the drawing, play, zoom, preferences and the handbook, by label, without a screen.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

mod common;

use glidewright_samples::COPY_STAND;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use common::settle;
use egui::{Key, Modifiers, Pos2, Vec2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use glidewright::{App, Preferences};

fn open_with(file: Option<PathBuf>, unsaved: Option<PathBuf>) -> Harness<'static, App> {
    let mut harness = Harness::builder().with_max_steps(40).with_size(Vec2::new(1280.0, 800.0)).build_eframe(
        move |creation| {
            let app = common::app(&creation.egui_ctx, file, Preferences::default());
            match unsaved {
                Some(folder) => app.keeping_unsaved_in(folder),
                None => app,
            }
        },
    );
    settle(&mut harness);
    harness
}

fn open() -> Harness<'static, App> {
    open_with(None, None)
}

fn drag(harness: &mut Harness<'_, App>, from: Pos2, to: Pos2) {
    harness.hover_at(from);
    harness.step();
    harness.drag_at(from);
    harness.step();
    for share in [0.25, 0.5, 0.75, 1.0] {
        harness.hover_at(from + (to - from) * share);
        harness.step();
    }
    harness.drop_at(to);
    settle(harness);
}

fn travel(harness: &Harness<'_, App>) -> f64 {
    harness.state().state().travel
}

fn value(harness: &Harness<'_, App>, path: &str) -> f64 {
    harness.state().state().session.reading().values.at(path).expect("a size").nominal
}

/// Selects a part in the tree at the left, opening what it is in.
fn select(harness: &mut Harness<'_, App>, path: &str) {
    harness.state_mut().select(path);
    settle(harness);
    assert_eq!(harness.state().state().selected, path);
}

struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("glidewright-handling-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

#[test]
fn a_load_is_dragged_by_its_handle_in_one_step_of_undo() {
    let mut harness = open();
    let path = "riders/camera head/loads/camera";
    select(&mut harness, path);
    let centre = || "riders/camera head/loads/camera/centre/x".to_owned();
    let before = value(&harness, &centre());
    let form = value(&harness, "riders/camera head/loads/camera/bodies/1/from/x");
    let handle = harness.state().handles()[0];
    // The rail stands upright: up the screen is along the rider.
    drag(&mut harness, handle, handle + vec2(0.0, -40.0));
    let moved = value(&harness, &centre()) - before;
    assert!(moved > 5.0, "moved by {moved}");
    let form_moved = value(&harness, "riders/camera head/loads/camera/bodies/1/from/x") - form;
    assert!((form_moved - moved).abs() < 1e-9, "its form goes with it");
    assert_eq!(travel(&harness), {
        let bench = harness.state().state().session.bench().expect("a bench");
        travel(&harness).clamp(bench.fixture.stroke.from, bench.fixture.stroke.to)
    });
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut harness);
    assert_eq!(value(&harness, &centre()), before);
    assert!(!harness.state().state().session.is_changed(), "one step took it all back");
}

#[test]
fn a_wheel_is_moved_through_the_size_its_formula_stands_on() {
    let mut harness = open();
    select(&mut harness, "riders/camera head/wheels/upper");
    let before = value(&harness, "sizes/wheelbase");
    let handle = harness.state().handles()[0];
    drag(&mut harness, handle, handle + vec2(0.0, -20.0));
    let after = value(&harness, "sizes/wheelbase");
    assert!(after > before + 5.0, "{before} to {after}");
    let along = value(&harness, "riders/camera head/wheels/upper/along");
    assert!((along - 0.5 * after).abs() < 1e-9, "the formula still holds");
    assert!((value(&harness, "riders/camera head/wheels/lower/along") + along).abs() < 1e-9);
}

#[test]
fn an_end_stop_is_moved_and_escape_puts_it_back() {
    let mut harness = open();
    let path = "obstacles/lower head stop/bodies/1/from/x";
    select(&mut harness, "obstacles/lower head stop");
    let before = value(&harness, path);
    let handle = harness.state().handles()[0];
    drag(&mut harness, handle, handle + vec2(0.0, -15.0));
    assert!(value(&harness, path) > before + 2.0);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut harness);
    assert_eq!(value(&harness, path), before);

    let handle = harness.state().handles()[0];
    harness.hover_at(handle);
    harness.step();
    harness.drag_at(handle);
    harness.step();
    for step in 1..=4 {
        harness.hover_at(handle + vec2(0.0, -5.0 * step as f32));
        harness.step();
    }
    settle(&mut harness);
    assert!(value(&harness, path) > before + 2.0);
    harness.key_press(Key::Escape);
    harness.step();
    harness.hover_at(handle + vec2(0.0, -60.0));
    harness.step();
    harness.drop_at(handle + vec2(0.0, -60.0));
    settle(&mut harness);
    assert_eq!(value(&harness, path), before);
    assert_eq!(harness.state().state().selected, "obstacles/lower head stop", "still selected");
}

#[test]
fn a_drag_in_a_trial_goes_into_the_trial() {
    let mut harness = open();
    harness.get_by_label("Try: thin lock nuts").click();
    settle(&mut harness);
    let path = "obstacles/lower head stop/bodies/1/from/x";
    select(&mut harness, "obstacles/lower head stop");
    let before = value(&harness, path);
    let handle = harness.state().handles()[0];
    drag(&mut harness, handle, handle + vec2(0.0, -15.0));
    assert!(value(&harness, path) > before + 2.0);
    harness.get_by_label("Try: As drawn").click();
    settle(&mut harness);
    assert_eq!(value(&harness, path), before);
}

#[test]
fn the_stroke_is_played_and_stopped() {
    let mut harness = open();
    let start = travel(&harness);
    harness.key_press(Key::Space);
    for _ in 0..30 {
        harness.step();
    }
    let on = travel(&harness);
    assert!(on > start + 5.0, "{start} to {on}");
    harness.key_press(Key::Space);
    settle(&mut harness);
    let rest = travel(&harness);
    harness.run();
    assert_eq!(travel(&harness), rest);
}

#[test]
fn an_idle_window_asks_for_no_repaint() {
    let mut harness = open();
    let start = Instant::now();
    // The share of builds is worked out once, a moment after everything rests.
    while harness.state().state().builds.work().is_working() {
        assert!(start.elapsed() < Duration::from_secs(60), "builds do not end");
        std::thread::sleep(Duration::from_millis(5));
        harness.step();
    }
    for _ in 0..20 {
        harness.step();
    }
    assert!(!harness.ctx.has_requested_repaint(), "{:?}", harness.ctx.repaint_causes());
}

#[test]
fn any_view_takes_the_middle_and_back() {
    let mut harness = open();
    for view in glidewright_sheet::views::VIEWS.iter().filter(|view| view.name != "sheet") {
        harness.state_mut().show_view(view.name);
        settle(&mut harness);
        assert_eq!(harness.state().state().centre, view.name);
    }
    harness.key_press(Key::B);
    settle(&mut harness);
    assert_eq!(harness.state().state().centre, "bench");
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Num2);
    settle(&mut harness);
    assert_eq!(harness.state().state().centre, glidewright_sheet::views::VIEWS[1].name);
}

/// Every view of the registry on light and dark paper, upright and lying: painted, still, and on screen.
#[test]
fn every_view_on_both_papers_upright_and_lying() {
    let folder = Folder::new("views");
    let lying = folder.0.join("sample-shuttle.ron");
    std::fs::write(&lying, glidewright_project::sample_shuttle_text()).expect("a file");
    for file in [None, Some(lying)] {
        let mut harness = open_with(file, None);
        for paper in ["light", "dark"] {
            harness.key_press(Key::F9);
            settle(&mut harness);
            for view in glidewright_sheet::views::VIEWS.iter().filter(|view| view.name != "sheet") {
                harness.state_mut().show_view(view.name);
                settle(&mut harness);
                let start = Instant::now();
                // Trials side by side, and what the tray foretells, come from beside the window.
                while harness.state().state().outlook.is_working() || harness.ctx.has_requested_repaint() {
                    assert!(start.elapsed() < Duration::from_secs(60), "{} does not come to rest", view.name);
                    std::thread::sleep(Duration::from_millis(20));
                    harness.run();
                }
                let screen = egui::Rect::from_min_size(Pos2::ZERO, vec2(1280.0, 800.0));
                let shapes = &harness.output().shapes;
                let shown = shapes.iter().filter(|shape| shape.clip_rect.intersects(screen)).count();
                assert!(shown > 150, "{} on {paper}: {shown} shapes", view.name);
            }
        }
    }
}

#[test]
fn the_handbook_opens_is_searched_and_closes() {
    let mut harness = open();
    harness.key_press(Key::F1);
    settle(&mut harness);
    harness.get_by_label("Search the handbook").focus();
    settle(&mut harness);
    harness.get_by_label("Search the handbook").type_text("hysteresis");
    settle(&mut harness);
    harness.get_by_label("Section: Resistance to motion").click();
    settle(&mut harness);
    assert!(harness.query_by_label("Section: Drag things in the drawing").is_none());
    harness.key_press(Key::Escape);
    settle(&mut harness);
    harness.key_press(Key::Escape);
    settle(&mut harness);
    assert!(harness.query_by_label("Search the handbook").is_none());
}

#[test]
fn keys_and_preferences_are_shown() {
    let mut harness = open();
    harness.key_press(Key::F2);
    settle(&mut harness);
    harness.get_by_label_contains("Keys without Ctrl");
    // What is to be clicked stays where it is.
    let place = harness.get_by_label("Close").rect();
    harness.run_steps(3);
    assert_eq!(harness.get_by_label("Close").rect(), place);
    harness.get_by_label("Close").click();
    settle(&mut harness);
    assert!(harness.query_by_label_contains("Keys without Ctrl").is_none());
    harness.key_press_modifiers(Modifiers::COMMAND, Key::P);
    settle(&mut harness);
    harness.get_by_label("Inches").click();
    settle(&mut harness);
    harness.get_by_label("Close").click();
    settle(&mut harness);
    assert!(harness.query_by_label("Inches").is_none());
    assert_eq!(harness.state().state().preferences.unit.symbol(), "in");
}

#[test]
fn text_grows_and_shrinks() {
    let mut harness = open();
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Plus);
    settle(&mut harness);
    assert!((harness.state().state().preferences.text_scale - 1.1).abs() < 1e-6);
    assert!((harness.ctx.zoom_factor() - 1.1).abs() < 1e-6);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Num0);
    settle(&mut harness);
    assert_eq!(harness.state().state().preferences.text_scale, 1.0);
}

#[test]
fn hints_go_when_they_are_followed() {
    let mut harness = open();
    let first = "Drag a rider, the violet line or a point on a curve: everything follows.";
    harness.get_by_label(first);
    let start = travel(&harness);
    // A little way in: the very edge of the drawing belongs to the panel beside it.
    let at = |harness: &Harness<'_, App>, travel| {
        harness.state().place_of_travel(travel).expect("an axis") + vec2(14.0, 0.0)
    };
    let (from, to) = (at(&harness, start), at(&harness, start + 60.0));
    drag(&mut harness, from, to);
    assert!(harness.query_by_label(first).is_none());
    harness.get_by_label("No more hints").click();
    settle(&mut harness);
    assert!(harness.query_by_label("No more hints").is_none());
}

/// Drags an end stop by so much, and waits until that is in a journal.
fn drag_stop(harness: &mut Harness<'_, App>, by: f32, journal: &Path) {
    select(harness, "obstacles/lower head stop");
    let handle = harness.state().handles()[0];
    drag(harness, handle, handle + vec2(0.0, by));
    until("no journal", || journal.exists());
}

fn until(what: &str, mut holds: impl FnMut() -> bool) {
    let start = Instant::now();
    while !holds() {
        assert!(start.elapsed() < Duration::from_secs(20), "{what}");
        std::thread::sleep(Duration::from_millis(20));
    }
}

const STOP: &str = "obstacles/lower head stop/bodies/1/from/x";

#[test]
fn unsaved_work_stays_however_the_window_ends_and_is_offered() {
    let folder = Folder::new("kill");
    let file = folder.0.join("copy-stand.ron");
    std::fs::write(&file, COPY_STAND).expect("a file");
    let journal = glidewright_project::store::journal_path(&file);
    let mut harness = open_with(Some(file.clone()), None);
    drag_stop(&mut harness, -15.0, &journal);
    let dragged = value(&harness, STOP);
    // As when the compositor goes away, or the window's thread panics: nobody has decided anything.
    drop(harness);
    assert!(journal.exists(), "unsaved work is gone");
    let mut harness = open_with(Some(file.clone()), None);
    harness.get_by_label("Unsaved work was found");
    // Put off, it stays; worked on meanwhile, it stays too.
    harness.get_by_label("Later").click();
    settle(&mut harness);
    assert!(journal.exists());
    let second = journal.with_file_name(".copy-stand.ron.journal-2");
    drag_stop(&mut harness, -30.0, &second);
    drop(harness);
    let mut harness = open_with(Some(file.clone()), None);
    harness.get_all_by_label("Open copy-stand.ron").next().expect("an offer").click();
    settle(&mut harness);
    assert_eq!(value(&harness, STOP), dragged);
    assert!(harness.state().state().session.is_changed());
    assert!(journal.exists() && second.exists());
    harness.key_press_modifiers(Modifiers::COMMAND, Key::S);
    settle(&mut harness);
    assert!(!harness.state().state().session.is_changed());
    assert!(!journal.exists(), "saved work needs no journal");
    assert!(second.exists(), "the other work is not harmed");
    let saved = glidewright_project::store::Store::disk().open(&file).expect("a project");
    assert_ne!(
        glidewright_project::print(&saved.document),
        glidewright_project::print(&glidewright_project::parse(COPY_STAND).unwrap())
    );
    // The other can be discarded from the menu.
    harness.get_by_label("File").click();
    settle(&mut harness);
    harness.get_by_label("Unsaved work… ").click();
    settle(&mut harness);
    harness.get_by_label("Discard copy-stand.ron").click();
    settle(&mut harness);
    assert!(!second.exists());
    assert!(harness.query_by_label("Unsaved work was found").is_none());
}

#[test]
fn opening_two_pieces_of_work_asks_before_it_gives_up_the_first() {
    let folder = Folder::new("two");
    let unsaved = folder.0.join("unsaved");
    let files = ["one.ron", "two.ron"].map(|name| folder.0.join(name));
    for file in &files {
        std::fs::write(file, COPY_STAND).expect("a file");
        let journal = glidewright_project::store::journal_path(file);
        let mut harness = open_with(Some(file.clone()), None);
        drag_stop(&mut harness, -15.0, &journal);
    }
    let journals = files.each_ref().map(|file| glidewright_project::store::journal_path(file));
    // The journal of a document without a file names one: it is shown, and never followed.
    std::fs::create_dir(&unsaved).expect("a folder");
    std::fs::copy(&journals[1], unsaved.join("1.journal")).expect("a journal");
    let before = std::fs::read(&files[1]).expect("a file");
    let mut harness = open_with(Some(files[0].clone()), Some(unsaved.clone()));
    harness.get_by_label("Open one.ron").click();
    settle(&mut harness);
    harness.get_by_label("File").click();
    settle(&mut harness);
    harness.get_by_label("Unsaved work… ").click();
    settle(&mut harness);
    let name = harness.state().state().session.document().name.clone();
    harness.get_by_label(&format!("Open {name}")).click();
    settle(&mut harness);
    harness.get_by_label_contains("Save the changes to one");
    assert!(journals[0].exists());
    harness.get_by_label("Stay").click();
    settle(&mut harness);
    assert!(journals[0].exists() && unsaved.join("1.journal").exists());
    harness.get_by_label("File").click();
    settle(&mut harness);
    harness.get_by_label("Unsaved work… ").click();
    settle(&mut harness);
    harness.get_by_label(&format!("Open {name}")).click();
    settle(&mut harness);
    harness.get_by_label("Leave without saving").click();
    settle(&mut harness);
    assert!(!journals[0].exists(), "given up on purpose");
    assert_eq!(harness.state().state().session.file(), None);
    assert_eq!(std::fs::read(&files[1]).expect("a file"), before);
}

#[test]
fn a_file_that_goes_is_told_and_can_be_saved_again() {
    let folder = Folder::new("gone");
    let file = folder.0.join("copy-stand.ron");
    std::fs::write(&file, COPY_STAND).expect("a file");
    let mut harness = open_with(Some(file.clone()), None);
    std::fs::remove_file(&file).expect("it was there");
    let start = Instant::now();
    while harness.query_by_label("Save it there again").is_none() {
        assert!(start.elapsed() < Duration::from_secs(20), "nothing is told");
        std::thread::sleep(Duration::from_millis(50));
        harness.run();
    }
    assert!(harness.state().state().session.is_changed(), "it is nowhere on disk");
    harness.get_by_label("Save it there again").click();
    settle(&mut harness);
    assert!(glidewright_project::store::Store::disk().open(&file).is_ok());
    assert!(!harness.state().state().session.is_changed());
}

#[test]
fn a_picture_replaces_nothing_unasked_and_never_the_project() {
    let folder = Folder::new("picture");
    let file = folder.0.join("copy-stand.ron");
    let other = folder.0.join("other.svg");
    std::fs::write(&file, COPY_STAND).expect("a file");
    std::fs::write(&other, "precious").expect("a file");
    let mut harness = open_with(Some(file.clone()), None);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::E);
    settle(&mut harness);
    let type_path = |harness: &mut Harness<'_, App>, path: &Path| {
        harness.get_by_label("Path of the file").focus();
        settle(harness);
        harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
        settle(harness);
        harness.get_by_label("Path of the file").type_text(&path.display().to_string());
        settle(harness);
        harness.get_by_label("Write").click();
        settle(harness);
    };
    type_path(&mut harness, &file);
    harness.get_by_label_contains("ends in .png, .svg or .pdf, not in .ron");
    assert_eq!(std::fs::read_to_string(&file).expect("a file"), COPY_STAND);
    type_path(&mut harness, &other);
    harness.get_by_label_contains("exists already");
    assert_eq!(std::fs::read_to_string(&other).expect("a file"), "precious");
    harness.get_by_label("Replace").click();
    settle(&mut harness);
    assert!(std::fs::read_to_string(&other).expect("a file").starts_with("<"), "the ending decides");
}

#[test]
fn changes_by_others_are_told_and_kept_apart() {
    let folder = Folder::new("others");
    let file = folder.0.join("copy-stand.ron");
    std::fs::write(&file, COPY_STAND).expect("a file");
    let mut harness = open_with(Some(file.clone()), None);
    let text = COPY_STAND.replace("to: 480", "to: 333");
    std::fs::write(&file, text).expect("a file");
    let start = Instant::now();
    while harness.query_by_label("Load the file").is_none() {
        assert!(start.elapsed() < Duration::from_secs(20), "nothing is told");
        std::thread::sleep(Duration::from_millis(50));
        harness.run();
    }
    harness.get_by_label("Load the file").click();
    settle(&mut harness);
    let stroke = harness.state().state().session.bench().expect("a bench").fixture.stroke.to;
    assert_eq!(stroke, 333.0);
}

#[test]
fn a_picture_of_the_composed_sheet_has_the_note_and_can_be_copied() {
    let folder = Folder::new("sheet");
    let file = folder.0.join("sheet.svg");
    let mut harness = open();
    harness.key_press_modifiers(Modifiers::COMMAND, Key::E);
    settle(&mut harness);
    harness.get_by_label("SVG").click();
    settle(&mut harness);
    harness.get_by_role_and_label(egui::accesskit::Role::ComboBox, "Picture of").click();
    settle(&mut harness);
    let sheet = glidewright_sheet::views::view_named("sheet").expect("a sheet").title;
    harness.get_by_label(sheet).click();
    settle(&mut harness);
    harness.get_by_role_and_label(egui::accesskit::Role::TextInput, "Note").focus();
    settle(&mut harness);
    harness.get_by_role_and_label(egui::accesskit::Role::TextInput, "Note").type_text("for the workshop");
    settle(&mut harness);
    harness.get_by_label("Copy picture").click();
    settle(&mut harness);
    harness.get_by_label("Path of the file").focus();
    settle(&mut harness);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    settle(&mut harness);
    harness.get_by_label("Path of the file").type_text(&file.display().to_string());
    settle(&mut harness);
    harness.get_by_label("Write").click();
    settle(&mut harness);
    let text = std::fs::read_to_string(&file).expect("a picture");
    assert!(text.contains("for the workshop"));
}
