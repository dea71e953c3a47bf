//! The real window on a virtual display: it opens on the demo, and a drag moves the riders.
//! Wants Xvfb, xdotool and ImageMagick's `import`; built only with the feature `window`.
#![cfg(feature = "window")]
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test that cannot go on may stop")]

use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::Duration;

use glidewright_tests::scratch;

/// Size of the virtual screen; the window takes it all.
const SCREEN: (u32, u32) = (1280, 800);

struct Desk {
    display: String,
    server: Child,
    window: Child,
    folder: PathBuf,
}

impl Drop for Desk {
    fn drop(&mut self) {
        for child in [&mut self.window, &mut self.server] {
            let _ = child.kill();
            let _ = child.wait();
        }
    }
}

impl Desk {
    fn open(name: &str) -> Self {
        // A display number of this process's own.
        let display = format!(":{}", 200 + std::process::id() % 500);
        let screen = format!("{}x{}x24", SCREEN.0, SCREEN.1);
        let server =
            quiet("Xvfb").args([&display, "-screen", "0", &screen, "+extension", "GLX"]).spawn().unwrap();
        sleep(Duration::from_secs(2));
        let folder = scratch(name);
        let window = quiet(program())
            .env("DISPLAY", &display)
            .env("LIBGL_ALWAYS_SOFTWARE", "1")
            .env("XDG_CONFIG_HOME", &folder)
            .env("XDG_DATA_HOME", &folder)
            .env_remove("WAYLAND_DISPLAY")
            .spawn()
            .unwrap();
        let desk = Self { display, server, window, folder };
        desk.wait_for_window();
        desk
    }

    fn wait_for_window(&self) {
        for _ in 0..120 {
            sleep(Duration::from_millis(500));
            let found = self.tool("xdotool").args(["search", "--name", "Glidewright"]).output().unwrap();
            if found.status.success() && !found.stdout.is_empty() {
                // The first frames lay out and fade in.
                sleep(Duration::from_secs(4));
                return;
            }
        }
        panic!("no window within a minute");
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
fn it_opens_on_the_demo_and_a_drag_moves_the_riders() {
    let desk = Desk::open("window-drag");
    let first = desk.picture("first");
    assert_eq!(first.len(), (3 * SCREEN.0 * SCREEN.1) as usize);
    let colours: std::collections::HashSet<_> = first.chunks(3).collect();
    assert!(colours.len() > 50, "the window is empty: {} colours", colours.len());
    // The demo opens at travel 240, where the cursor crosses the bench at about this height; drag it up in steps,
    // as a hand does.
    desk.xdotool(&["mousemove", "592", "372", "mousedown", "1"]);
    for height in (260..=360).rev().step_by(20) {
        desk.xdotool(&["mousemove", "592", &height.to_string()]);
        sleep(Duration::from_millis(150));
    }
    desk.xdotool(&["mouseup", "1"]);
    sleep(Duration::from_secs(1));
    let moved = desk.picture("moved");
    let difference = changed(&first, &moved);
    assert!(difference > 2000, "moving the riders changed only {difference} pixels");
}
