//! The window without a screen, found by its words.

#![allow(dead_code, reason = "each test file uses some of it")]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use std::path::PathBuf;
use std::time::{Duration, Instant};

use egui::accesskit::Role;
use egui::{Key, Modifiers, Vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use glidewright::{App, Demo, Origin, Preferences, Session, State};
use glidewright_project::Document;
use glidewright_samples::COPY_STAND;

/// A window on a file, or on the copy stand as if the program carried it.
pub fn app(ctx: &egui::Context, file: Option<PathBuf>, preferences: Preferences) -> App {
    if file.is_some() {
        return App::new(ctx, file, preferences, None);
    }
    let stand = glidewright_project::parse(COPY_STAND).expect("a project");
    App::on(ctx, Session::new(stand, Origin::Demo(Demo::SeedlingLift)), preferences, None)
}

/// The window of a size on a file, or on the copy stand.
pub fn open_sized(file: Option<PathBuf>, size: Vec2) -> Harness<'static, App> {
    let mut harness = Harness::builder()
        .with_size(size)
        .with_max_steps(40)
        .build_eframe(move |creation| app(&creation.egui_ctx, file, Preferences::default()));
    settle(&mut harness);
    harness
}

/// The window on the copy stand, large enough that nothing needs to be scrolled to.
pub fn open() -> Harness<'static, App> {
    open_sized(None, Vec2::new(1600.0, 1500.0))
}

/// Runs until everything is drawn and worked out, trials and remedies too.
pub fn settle(harness: &mut Harness<'_, App>) {
    let start = Instant::now();
    harness.run();
    while state(harness).session.is_working()
        || state(harness).outlook.is_working()
        || harness.state().is_making()
    {
        assert!(start.elapsed() < Duration::from_secs(120), "the analysis does not end");
        std::thread::sleep(Duration::from_millis(2));
        harness.run();
    }
}

/// What the window knows.
pub fn state<'h>(harness: &'h Harness<'_, App>) -> &'h State {
    harness.state().state()
}

/// The document as written.
pub fn document<'h>(harness: &'h Harness<'_, App>) -> &'h Document {
    state(harness).session.document()
}

/// The tightest gap (mm).
pub fn tightest(harness: &Harness<'_, App>) -> f64 {
    let bench = state(harness).session.bench().expect("a fixture").clone();
    bench.results.interference.tightest().expect("a pair").gap
}

/// Clicks what has a name.
pub fn click(harness: &mut Harness<'_, App>, label: &str) {
    harness.get_by_label(label).click();
    settle(harness);
}

/// Clicks a button, where other things have its name too.
pub fn press(harness: &mut Harness<'_, App>, label: &str) {
    harness.get_by_role_and_label(Role::Button, label).click();
    settle(harness);
}

/// Types into the field of a name and leaves it with Enter.
pub fn enter(harness: &mut Harness<'_, App>, label: &str, text: &str) {
    harness.get_by_role_and_label(Role::TextInput, label).focus();
    settle(harness);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    settle(harness);
    if text.is_empty() {
        harness.key_press(Key::Delete);
    } else {
        harness.get_by_role_and_label(Role::TextInput, label).type_text(text);
    }
    settle(harness);
    harness.key_press(Key::Enter);
    settle(harness);
}

/// Chooses from the list that a button of this name opens.
pub fn choose(harness: &mut Harness<'_, App>, list: &str, word: &str) {
    harness.get_by_label_contains(list).click();
    settle(harness);
    press(harness, word);
}

/// Presses a button that may lie out of sight, by the keyboard.
pub fn press_key(harness: &mut Harness<'_, App>, label: &str) {
    harness.get_by_role_and_label(Role::Button, label).focus();
    settle(harness);
    harness.key_press(Key::Enter);
    settle(harness);
}

/// Takes the last change back.
pub fn undo(harness: &mut Harness<'_, App>) {
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(harness);
}

/// A folder of a test's own that goes when the test ends.
pub struct Folder(PathBuf);

impl Folder {
    /// A fresh one.
    pub fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("glidewright-panels-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }

    /// A file in it.
    pub fn file(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}
