//! A user who does anything: seeded random clicks, drags, keys and typed garbage on the window without a screen.
//! Nothing may panic, and at any time the document must print, parse and print the same again.
//!
//! How many events: `GLIDEWRIGHT_RANDOM_EVENTS` (a short slice without it); which: `GLIDEWRIGHT_RANDOM_SEED`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use egui::{Event, Key, Modifiers, MouseWheelUnit, PointerButton, Pos2, TouchPhase, Vec2, pos2, vec2};
use egui_kittest::Harness;
use glidewright::{App, Preferences};
use glidewright_samples::COPY_STAND;

/// Events where nothing says how many.
const SHORT: usize = 1500;
/// Events in one window before another is opened.
const SESSION: usize = 2500;
const SIZE: Vec2 = vec2(1280.0, 800.0);

/// SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, 2014; constants from memory): good enough for random clicks.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn below(&mut self, end: usize) -> usize {
        (self.next() % end.max(1) as u64) as usize
    }

    fn share(&mut self) -> f32 {
        (self.next() >> 40) as f32 / (1u64 << 24) as f32
    }

    fn of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len())]
    }

    fn place(&mut self) -> Pos2 {
        pos2(self.share() * SIZE.x, self.share() * SIZE.y)
    }
}

const KEYS: &[Key] = &[
    Key::ArrowDown,
    Key::ArrowLeft,
    Key::ArrowRight,
    Key::ArrowUp,
    Key::Escape,
    Key::Tab,
    Key::Backspace,
    Key::Enter,
    Key::Space,
    Key::Delete,
    Key::Home,
    Key::End,
    Key::PageUp,
    Key::PageDown,
    Key::A,
    Key::B,
    Key::C,
    Key::E,
    Key::F,
    Key::G,
    Key::M,
    Key::N,
    Key::R,
    Key::S,
    Key::T,
    Key::U,
    Key::V,
    Key::X,
    Key::Y,
    Key::Z,
    Key::Num0,
    Key::Num1,
    Key::Num2,
    Key::Num3,
    Key::Num4,
    Key::Num5,
    Key::Num6,
    Key::Num7,
    Key::Num8,
    Key::Num9,
    Key::Plus,
    Key::Minus,
    Key::Comma,
    Key::F1,
    Key::F2,
    Key::F3,
    Key::F6,
    Key::F7,
    Key::F8,
    Key::F9,
    Key::F10,
    Key::F12,
];

const GARBAGE: &[&str] = &[
    "0",
    "-1",
    "1e308",
    "1e999",
    "NaN",
    "inf",
    "12,5",
    "plate + 2*wall",
    "wheelbase/2",
    "((((((((",
    ")",
    "1/0",
    "sqrt(-1)",
    "max(1,2",
    "5 kg",
    "1/4 in",
    "ñ",
    "日本語",
    "🦀",
    "\u{202e}abc",
    "\u{0}",
    "'",
    "\"",
    "\\",
    "a/b/c",
    "ISO 7040 M6",
    "vee wheel 48, bore 6",
    "corner",
    "sizes",
    "                ",
    "9999999999999999999999",
    "-0.0000001",
    "x",
    "0.1+0.2",
    "π",
    "%s%n",
    "../..",
    "true",
];

fn window(seed: u64, folder: &std::path::Path) -> Harness<'static, App> {
    let file = match seed % 3 {
        0 => None,
        1 => Some(folder.join("copy-stand.ron")),
        _ => Some(folder.join("sample-shuttle.ron")),
    };
    let texts =
        [("copy-stand.ron", COPY_STAND), ("sample-shuttle.ron", glidewright_project::sample_shuttle_text())];
    for (name, text) in texts {
        std::fs::write(folder.join(name), text).unwrap();
    }
    let unsaved = folder.join("unsaved");
    let mut harness =
        Harness::builder().with_max_steps(40).with_size(SIZE).allow_missing_glyphs().build_eframe(
            move |creation| {
                App::new(&creation.egui_ctx, file, Preferences::default(), None).keeping_unsaved_in(unsaved)
            },
        );
    harness.step();
    harness
}

fn press(harness: &mut Harness<'_, App>, key: Key, modifiers: Modifiers) {
    for pressed in [true, false] {
        harness.event(Event::Key { key, physical_key: None, pressed, repeat: false, modifiers });
    }
}

fn button(
    harness: &mut Harness<'_, App>,
    pos: Pos2,
    which: PointerButton,
    pressed: bool,
    modifiers: Modifiers,
) {
    harness.event(Event::PointerButton { pos, button: which, pressed, modifiers });
}

/// One thing a user does; how many events it was.
fn act(harness: &mut Harness<'_, App>, random: &mut Random) -> usize {
    let modifiers = match random.below(8) {
        0 => Modifiers::COMMAND | Modifiers::CTRL,
        1 => Modifiers::SHIFT,
        2 => Modifiers::ALT,
        3 => Modifiers::COMMAND | Modifiers::CTRL | Modifiers::SHIFT,
        _ => Modifiers::NONE,
    };
    let which = match random.below(10) {
        0 => PointerButton::Secondary,
        1 => PointerButton::Middle,
        _ => PointerButton::Primary,
    };
    match random.below(100) {
        0..40 => {
            let pos = random.place();
            harness.event(Event::PointerMoved(pos));
            harness.step();
            button(harness, pos, which, true, modifiers);
            button(harness, pos, which, false, modifiers);
            harness.step();
            3
        }
        40..62 => {
            let (from, to) = (random.place(), random.place());
            harness.event(Event::PointerMoved(from));
            harness.step();
            button(harness, from, which, true, modifiers);
            harness.step();
            let steps = 1 + random.below(5);
            for step in 1..=steps {
                harness.event(Event::PointerMoved(from + (to - from) * (step as f32 / steps as f32)));
                harness.step();
            }
            if random.below(8) == 0 {
                press(harness, Key::Escape, Modifiers::NONE);
                harness.step();
            }
            button(harness, to, which, false, modifiers);
            harness.step();
            steps + 3
        }
        62..84 => {
            let key = *random.of(KEYS);
            press(harness, key, modifiers);
            harness.step();
            1
        }
        84..93 => {
            let text = random.of(GARBAGE);
            harness.event(Event::Text((*text).to_owned()));
            harness.step();
            if random.below(3) == 0 {
                press(harness, Key::Enter, Modifiers::NONE);
                harness.step();
            }
            1
        }
        93..98 => {
            harness.event(Event::PointerMoved(random.place()));
            let delta = vec2(0.0, (random.share() - 0.5) * 400.0);
            harness.event(Event::MouseWheel {
                unit: MouseWheelUnit::Point,
                delta,
                phase: TouchPhase::Move,
                modifiers,
                source: egui::MouseWheelSource::Wheel,
            });
            harness.step();
            2
        }
        98 => {
            harness.event(Event::Zoom(0.5 + random.share()));
            harness.event(Event::Paste((*random.of(GARBAGE)).to_owned()));
            harness.step();
            2
        }
        _ => {
            let scale = [1.0, 0.6, 1.5, 0.8][random.below(4)];
            harness.set_size(SIZE * scale);
            harness.step();
            harness.set_size(SIZE);
            harness.step();
            1
        }
    }
}

/// The document as it is saves and loads: its text reads, and prints the same.
fn check_document(app: &App) {
    let document = app.state().session.document();
    let text = glidewright_project::print(document);
    let read = glidewright_project::parse(&text).unwrap_or_else(|problems| panic!("{problems:?}\n{text}"));
    assert_eq!(glidewright_project::print(&read), text);
}

#[test]
fn nothing_a_user_does_breaks_it() {
    let number = |name: &str| std::env::var(name).ok().and_then(|text| text.parse::<u64>().ok());
    let wanted = number("GLIDEWRIGHT_RANDOM_EVENTS").map_or(SHORT, |count| count as usize);
    let seed = number("GLIDEWRIGHT_RANDOM_SEED").unwrap_or(1);
    let folder = std::env::temp_dir().join(format!("glidewright-random-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    // What the window writes by relative paths must land in the folder too.
    std::env::set_current_dir(&folder).unwrap();
    let mut done = 0;
    let mut session = seed;
    while done < wanted {
        let mut random = Random(session);
        let mut harness = window(session, &folder);
        let mut here = 0;
        let mut checked = 0;
        while here < SESSION && done + here < wanted {
            here += act(&mut harness, &mut random);
            if here >= checked + 50 {
                checked = here;
                check_document(harness.state());
            }
        }
        check_document(harness.state());
        done += here;
        if std::env::var_os("GLIDEWRIGHT_RANDOM_EVENTS").is_some() {
            println!("seed {session}: {here} events, {done} in all");
        }
        session += 1;
    }
    std::env::set_current_dir(std::env::temp_dir()).unwrap();
    let _ = std::fs::remove_dir_all(&folder);
}
