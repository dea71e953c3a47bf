//! The real window on a virtual display: it opens, things are dragged, swapped and taken back, a picture is written,
//! unsaved work is asked about, and what a kill leaves is recovered.
//!
//! Where to click is read off a second window without a screen, of the same size and on the same project, which is
//! taken through the same steps.
//! Wants Xvfb, xdotool and ImageMagick's `import`; built only with the feature `window`.
#![cfg(feature = "window")]
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test that cannot go on may stop")]

use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use glidewright::{App, Preferences};
use glidewright_tests::scratch;

/// Size of the virtual screen; the window takes it all.
const SCREEN: (u32, u32) = (1280, 800);

/// A virtual display with a folder for what the program keeps.
struct Desk {
    display: String,
    server: Child,
    window: Option<Child>,
    folder: PathBuf,
}

impl Drop for Desk {
    fn drop(&mut self) {
        for child in self.window.iter_mut().chain([&mut self.server]) {
            let _ = child.kill();
            let _ = child.wait();
        }
    }
}

impl Desk {
    fn new(name: &str, number: u32) -> Self {
        // A display number of this process's own, another for each test in it.
        let display = format!(":{}", 200 + (4 * std::process::id() + number) % 700);
        let screen = format!("{}x{}x24", SCREEN.0, SCREEN.1);
        let server =
            quiet("Xvfb").args([&display, "-screen", "0", &screen, "+extension", "GLX"]).spawn().unwrap();
        sleep(Duration::from_secs(2));
        let folder = scratch(name);
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(&folder).unwrap();
        Self { display, server, window: None, folder }
    }

    /// A desk with the program on a project file in the desk's folder.
    fn open(&mut self, file: Option<&Path>) {
        let mut command = quiet(program());
        command
            .args(file)
            .env("DISPLAY", &self.display)
            .env("LIBGL_ALWAYS_SOFTWARE", "1")
            .env("XDG_CONFIG_HOME", &self.folder)
            .env("XDG_DATA_HOME", &self.folder)
            .env_remove("WAYLAND_DISPLAY")
            .env_remove("DBUS_SESSION_BUS_ADDRESS");
        self.window = Some(command.spawn().unwrap());
        self.wait_for_window();
    }

    fn wait_for_window(&self) {
        for _ in 0..240 {
            sleep(Duration::from_millis(500));
            let found = self.tool("xdotool").args(["search", "--name", "Glidewright"]).output().unwrap();
            if found.status.success() && !found.stdout.is_empty() {
                // The first frames lay out and fade in; without a window manager the keyboard goes where the
                // pointer is.
                sleep(Duration::from_secs(4));
                self.xdotool(&["mousemove", "640", "790"]);
                let window = String::from_utf8_lossy(&found.stdout);
                let window = window.lines().next().unwrap_or_default().to_owned();
                self.xdotool(&["windowfocus", &window]);
                sleep(Duration::from_millis(500));
                return;
            }
        }
        panic!("no window within two minutes");
    }

    fn tool(&self, name: &str) -> Command {
        let mut command = Command::new(name);
        command.env("DISPLAY", &self.display);
        command
    }

    /// The screen as raw RGB.
    fn picture(&self, name: &str) -> Vec<u8> {
        let file = self.folder.join(name);
        let target = format!("rgb:{}", file.display());
        assert!(
            self.tool("import").args(["-window", "root", "-depth", "8", &target]).status().unwrap().success()
        );
        std::fs::read(file).unwrap()
    }

    fn xdotool(&self, words: &[&str]) {
        assert!(self.tool("xdotool").args(words).status().unwrap().success(), "{words:?}");
    }

    fn key(&self, key: &str) {
        self.xdotool(&["key", key]);
        sleep(Duration::from_millis(600));
    }

    fn write(&self, text: &str) {
        self.xdotool(&["type", "--delay", "30", text]);
        sleep(Duration::from_millis(600));
    }

    fn click(&self, at: egui::Pos2) {
        let (x, y) = (at.x.round().to_string(), at.y.round().to_string());
        self.xdotool(&["mousemove", &x, &y]);
        sleep(Duration::from_millis(300));
        self.xdotool(&["click", "1"]);
        sleep(Duration::from_millis(800));
    }

    /// Drags in steps, as a hand does.
    fn drag(&self, from: egui::Pos2, by: egui::Vec2) {
        let place = |share: f32| {
            let at = from + by * share;
            (at.x.round().to_string(), at.y.round().to_string())
        };
        let (x, y) = place(0.0);
        self.xdotool(&["mousemove", &x, &y]);
        sleep(Duration::from_millis(300));
        self.xdotool(&["mousedown", "1"]);
        for step in 1..=6 {
            let (x, y) = place(step as f32 / 6.0);
            self.xdotool(&["mousemove", &x, &y]);
            sleep(Duration::from_millis(150));
        }
        self.xdotool(&["mouseup", "1"]);
        sleep(Duration::from_millis(800));
    }

    fn kill(&mut self) {
        let mut window = self.window.take().unwrap();
        // SIGKILL: the program is told nothing.
        window.kill().unwrap();
        window.wait().unwrap();
    }

    /// Waits until the program has ended by itself.
    fn has_ended(&mut self) -> bool {
        let window = self.window.as_mut().unwrap();
        let start = Instant::now();
        while start.elapsed() < Duration::from_secs(20) {
            if window.try_wait().unwrap().is_some() {
                return true;
            }
            sleep(Duration::from_millis(100));
        }
        false
    }

    fn is_running(&mut self) -> bool {
        self.window.as_mut().unwrap().try_wait().unwrap().is_none()
    }

    /// Processor time the program has taken (ticks of 10 ms on Linux): fields 14 and 15 of its stat, proc(5).
    fn ticks(&self) -> u64 {
        let id = self.window.as_ref().unwrap().id();
        let stat = std::fs::read_to_string(format!("/proc/{id}/stat")).unwrap();
        let after_name = stat.rsplit_once(") ").unwrap().1;
        let fields: Vec<&str> = after_name.split(' ').collect();
        fields[11].parse::<u64>().unwrap() + fields[12].parse::<u64>().unwrap()
    }
}

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

fn quiet(program: impl AsRef<std::ffi::OsStr>) -> Command {
    let mut command = Command::new(program);
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command
}

/// The program beside this test's own binary, in the same profile's folder.
fn program() -> PathBuf {
    let test = std::env::current_exe().unwrap();
    let program = test.parent().and_then(Path::parent).unwrap().join("glidewright");
    assert!(program.exists(), "build the program first: cargo build -p glidewright");
    program
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
    glidewright_project::print(&glidewright_project::store::open(file).unwrap().document)
}

#[test]
fn a_working_day() {
    let mut desk = Desk::new("window-day", 1);
    let file = desk.folder.join("stand.ron");
    std::fs::write(&file, glidewright_project::demo_text()).unwrap();
    let as_written = saved(&file);
    desk.open(Some(&file));
    let mut twin = twin(Some(file.clone()));

    // A finding selects the nut that fouls; its part is swapped.
    let title = twin.state().state().session.bench().unwrap().results.findings[0].title.clone();
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
    let swapped = saved(&file);
    assert_ne!(swapped, as_written, "the swap was not saved");
    assert!(swapped.contains("ISO 10511 M6"));

    // Taken back, saved again.
    desk.key("ctrl+z");
    desk.key("ctrl+s");
    assert_eq!(saved(&file), as_written);

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

/// Where the button to recover stands. The twin must not take the journal from the real window: it looks at a copy.
fn twin_of_offer(file: &Path) -> egui::Pos2 {
    let folder = file.with_extension("copy");
    std::fs::create_dir_all(&folder).unwrap();
    let copy = folder.join(file.file_name().unwrap());
    std::fs::copy(file, &copy).unwrap();
    let journal = |file: &Path| glidewright_project::store::journal_path(file);
    std::fs::copy(journal(file), journal(&copy)).unwrap();
    let twin = twin(Some(copy));
    place(&twin, "Recover it")
}
