//! A virtual display with the program on it.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use glidewright_tests::scratch;

/// Size of the virtual screen; the window takes it all.
pub const SCREEN: (u32, u32) = (1280, 800);

/// A virtual display with a folder for what the program keeps.
pub struct Desk {
    display: String,
    server: Child,
    window: Option<Child>,
    pub folder: PathBuf,
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
    pub fn new(name: &str, number: u32) -> Self {
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
    pub fn open(&mut self, file: Option<&Path>) {
        let mut command = quiet(program());
        command
            .args(file)
            .env("DISPLAY", &self.display)
            .env("LIBGL_ALWAYS_SOFTWARE", "1")
            .env("XDG_CONFIG_HOME", &self.folder)
            .env("XDG_DATA_HOME", &self.folder)
            .current_dir(&self.folder)
            .stderr(std::fs::File::create(self.folder.join("said")).unwrap())
            .env_remove("WAYLAND_DISPLAY")
            .env_remove("DBUS_SESSION_BUS_ADDRESS");
        self.window = Some(command.spawn().unwrap());
        self.wait_for_window();
    }

    pub fn wait_for_window(&self) {
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

    pub fn tool(&self, name: &str) -> Command {
        let mut command = Command::new(name);
        command.env("DISPLAY", &self.display);
        command
    }

    /// The screen as raw RGB.
    pub fn picture(&self, name: &str) -> Vec<u8> {
        let file = self.folder.join(name);
        let target = format!("rgb:{}", file.display());
        assert!(
            self.tool("import").args(["-window", "root", "-depth", "8", &target]).status().unwrap().success()
        );
        std::fs::read(file).unwrap()
    }

    pub fn xdotool(&self, words: &[&str]) {
        assert!(self.tool("xdotool").args(words).status().unwrap().success(), "{words:?}");
    }

    pub fn key(&self, key: &str) {
        self.xdotool(&["key", key]);
        sleep(Duration::from_millis(900));
    }

    pub fn write(&self, text: &str) {
        self.xdotool(&["type", "--delay", "30", text]);
        // A list that is searched may have been long.
        sleep(Duration::from_millis(1500));
    }

    pub fn click(&self, at: egui::Pos2) {
        let (x, y) = (at.x.round().to_string(), at.y.round().to_string());
        self.xdotool(&["mousemove", &x, &y]);
        sleep(Duration::from_millis(300));
        self.xdotool(&["click", "1"]);
        sleep(Duration::from_millis(800));
    }

    /// Drags in steps, as a hand does.
    pub fn drag(&self, from: egui::Pos2, by: egui::Vec2) {
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

    pub fn kill(&mut self) {
        let mut window = self.window.take().unwrap();
        // SIGKILL: the program is told nothing.
        window.kill().unwrap();
        window.wait().unwrap();
    }

    /// Waits until the program has ended by itself.
    pub fn has_ended(&mut self) -> bool {
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

    /// How the program ended, if it did.
    pub fn ended(&mut self) -> Option<ExitStatus> {
        self.window.as_mut().unwrap().try_wait().unwrap()
    }

    /// Memory the program takes now (kB): `VmRSS` of its status, proc(5).
    pub fn memory(&self) -> Option<u64> {
        let id = self.window.as_ref()?.id();
        let status = std::fs::read_to_string(format!("/proc/{id}/status")).ok()?;
        let line = status.lines().find(|line| line.starts_with("VmRSS:"))?;
        line.split_whitespace().nth(1)?.parse().ok()
    }

    /// Has xdotool do many things, one a line.
    pub fn script(&self, lines: &str) {
        let mut tool = self.tool("xdotool").arg("-").stdin(Stdio::piped()).spawn().unwrap();
        tool.stdin.take().unwrap().write_all(lines.as_bytes()).unwrap();
        assert!(tool.wait().unwrap().success(), "{lines}");
    }

    pub fn is_running(&mut self) -> bool {
        self.window.as_mut().unwrap().try_wait().unwrap().is_none()
    }

    /// Processor time the program has taken (ticks of 10 ms on Linux): fields 14 and 15 of its stat, proc(5).
    pub fn ticks(&self) -> u64 {
        let id = self.window.as_ref().unwrap().id();
        let stat = std::fs::read_to_string(format!("/proc/{id}/stat")).unwrap();
        let after_name = stat.rsplit_once(") ").unwrap().1;
        let fields: Vec<&str> = after_name.split(' ').collect();
        fields[11].parse::<u64>().unwrap() + fields[12].parse::<u64>().unwrap()
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
