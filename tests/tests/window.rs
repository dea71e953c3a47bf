//! The real window on a virtual display: it opens, things are dragged, swapped and taken back, a picture is written,
//! unsaved work is asked about, and what a kill leaves is recovered.
//!
//! Where to click is read off a second window without a screen, of the same size and on the same project, which is
//! taken through the same steps.
//! Wants Xvfb, xdotool and ImageMagick's `import`; built only with the feature `window`.
#![cfg(feature = "window")]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on may stop"
)]

#[path = "window/desk.rs"]
mod desk;
#[path = "window/random_user.rs"]
mod random_user;

use glidewright_samples::COPY_STAND;
use std::path::{Path, PathBuf};
use std::thread::sleep;
use std::time::{Duration, Instant};

use desk::{Desk, SCREEN};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use glidewright::{App, Preferences};

/// The same window without a screen, to read places off.
fn twin(file: Option<PathBuf>) -> Harness<'static, App> {
    let size = egui::vec2(SCREEN.0 as f32, SCREEN.1 as f32);
    let mut harness = Harness::builder()
        .with_max_steps(40)
        .with_size(size)
        .build_eframe(move |creation| App::new(&creation.egui_ctx, file, Preferences::default(), None));
    settle(&mut harness);
    harness
}

fn settle(harness: &mut Harness<'_, App>) {
    harness.run();
    while harness.state().state().session.is_working() {
        sleep(Duration::from_millis(1));
        harness.run();
    }
}

fn place(harness: &Harness<'_, App>, label: &str) -> egui::Pos2 {
    harness.get_by_label(label).rect().center()
}

fn changed(a: &[u8], b: &[u8]) -> usize {
    assert_eq!(a.len(), b.len());
    a.chunks(3).zip(b.chunks(3)).filter(|(a, b)| a != b).count()
}

#[test]
fn it_opens_on_the_demo_is_dragged_and_idles() {
    let mut desk = Desk::new("window-drag", 0);
    desk.open(None);
    let twin = twin(None);
    let first = desk.picture("first");
    assert_eq!(first.len(), (3 * SCREEN.0 * SCREEN.1) as usize);
    let colours: std::collections::HashSet<_> = first.chunks(3).collect();
    assert!(colours.len() > 50, "the window is empty: {} colours", colours.len());
    let cursor = twin.state().place_of_travel(twin.state().state().travel).unwrap();
    desk.drag(cursor, egui::vec2(0.0, -110.0));
    let moved = desk.picture("moved");
    let difference = changed(&first, &moved);
    assert!(difference > 2000, "moving the riders changed only {difference} pixels");
    // Nothing happens: it takes next to no processor time. Of 4 s, less than a tenth.
    sleep(Duration::from_secs(2));
    let before = desk.ticks();
    sleep(Duration::from_secs(4));
    let taken = desk.ticks() - before;
    assert!(taken < 40, "{taken} ticks of processor time while idle");
}

/// The document in a file, as the program writes it.
fn saved(file: &Path) -> String {
    glidewright_project::print(&glidewright_project::store::Store::disk().open(file).unwrap().document)
}

/// What a file holds once it is saved anew; as it is if that does not come about.
fn saved_after(file: &Path, before: &str) -> String {
    let start = Instant::now();
    loop {
        let now = saved(file);
        if now != before || start.elapsed() > Duration::from_secs(10) {
            return now;
        }
        sleep(Duration::from_millis(200));
    }
}

#[test]
fn a_working_day() {
    let mut desk = Desk::new("window-day", 1);
    let file = desk.folder.join("stand.ron");
    std::fs::write(&file, COPY_STAND).unwrap();
    let as_written = saved(&file);
    desk.open(Some(&file));
    let mut twin = twin(Some(file.clone()));

    // A finding selects the nut that fouls; its part is swapped.
    let title = twin.state().state().session.bench().unwrap().results.findings[0].title.to_string();
    let row = place(&twin, &title);
    desk.click(row);
    twin.get_by_label(&title).click();
    settle(&mut twin);
    let picker = twin.get_by_label_contains("nut: ISO 7040 M6").rect().center();
    desk.click(picker);
    desk.write("ISO 10511 M6");
    twin.get_by_label_contains("nut: ISO 7040 M6").click();
    settle(&mut twin);
    twin.get_by_label("Search: nut").type_text("ISO 10511 M6");
    settle(&mut twin);
    desk.click(place(&twin, "ISO 10511 M6"));
    desk.key("ctrl+s");
    let swapped = saved_after(&file, &as_written);
    assert_ne!(swapped, as_written, "the swap was not saved");
    assert!(swapped.contains("ISO 10511 M6"));

    // Taken back, saved again.
    desk.key("ctrl+z");
    desk.key("ctrl+s");
    assert_eq!(saved_after(&file, &swapped), as_written);

    // A picture, by keys alone: the field for its path has the keyboard.
    let picture = desk.folder.join("day.png");
    desk.key("ctrl+e");
    desk.key("ctrl+a");
    desk.write(&picture.display().to_string());
    desk.key("Return");
    let start = Instant::now();
    while !picture.exists() {
        assert!(start.elapsed() < Duration::from_secs(30), "no picture");
        sleep(Duration::from_millis(200));
    }
    assert!(std::fs::read(&picture).unwrap().starts_with(b"\x89PNG"));
    sleep(Duration::from_secs(1));

    // Done again, not saved: leaving is asked about, and the program stays.
    desk.key("ctrl+shift+z");
    desk.key("ctrl+q");
    sleep(Duration::from_secs(1));
    assert!(desk.is_running(), "unsaved work was lost unasked");
    desk.key("Escape");
    assert_eq!(saved(&file), as_written);

    // Killed, started again: what was not saved is offered and recovered.
    desk.kill();
    desk.open(Some(&file));
    let offered = twin_of_offer(&file);
    desk.click(offered);
    desk.key("ctrl+s");
    assert_eq!(saved(&file), swapped, "what a kill left was not recovered");

    // Nothing unsaved: it leaves at once, and leaves nothing behind.
    desk.key("ctrl+q");
    assert!(desk.has_ended(), "it does not end");
    let left = std::fs::read_dir(&desk.folder)
        .unwrap()
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok());
    let odd: Vec<_> = left.filter(|name| name.contains("journal") || name.ends_with(".lock")).collect();
    assert!(odd.is_empty(), "left behind: {odd:?}");
}

/// Where the button to go on with unsaved work stands. The twin must not take the journal from the real window: it looks at a copy.
fn twin_of_offer(file: &Path) -> egui::Pos2 {
    let folder = file.with_extension("copy");
    std::fs::create_dir_all(&folder).unwrap();
    let copy = folder.join(file.file_name().unwrap());
    std::fs::copy(file, &copy).unwrap();
    let journal = |file: &Path| glidewright_project::store::journal_path(file);
    std::fs::copy(journal(file), journal(&copy)).unwrap();
    let twin = twin(Some(copy));
    twin.get_all_by_label("Open stand.ron").next().expect("an offer").rect().center()
}
