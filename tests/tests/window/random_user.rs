//! Someone who does anything to the real window: it must not die, nor take ever more memory, and what a kill leaves must
//! be a whole document.
//!
//! For how long: `GLIDEWRIGHT_RANDOM_SECONDS` (a minute without it); which: `GLIDEWRIGHT_RANDOM_SEED`.

use glidewright_samples::COPY_STAND;
use std::fmt::Write as _;
use std::time::{Duration, Instant};

use glidewright_generated::Random;

use super::desk::{Desk, SCREEN};

/// Somewhere on the screen.
fn place(random: &mut Random) -> (usize, usize) {
    (random.below(SCREEN.0 as usize), random.below(SCREEN.1 as usize))
}

const KEYS: &[&str] = &[
    "Escape",
    "Tab",
    "Return",
    "space",
    "Delete",
    "BackSpace",
    "Up",
    "Down",
    "Left",
    "Right",
    "Home",
    "End",
    "Prior",
    "Next",
    "F1",
    "F2",
    "F5",
    "plus",
    "minus",
    "0",
    "1",
    "2",
    "a",
    "b",
    "d",
    "e",
    "f",
    "g",
    "n",
    "p",
    "r",
    "t",
    "z",
    "slash",
    "question",
    "comma",
    "period",
];
const HELD: &[&str] = &["", "", "", "", "ctrl+", "shift+", "alt+", "ctrl+shift+"];
const WORDS: &[&str] = &[
    "12",
    "0-3",
    "0",
    "1e9",
    "30 mm",
    "2 kg",
    "=gap",
    "vee wheel 24, bore 6",
    "ISO 4762 M5",
    "abc",
    "9,5",
    "%$#",
    "1/0",
];

/// One thing done, as lines for xdotool; how many events that is.
fn act(random: &mut Random, lines: &mut String) -> usize {
    let (x, y) = place(random);
    let button = [1, 1, 1, 1, 1, 1, 1, 2, 3][random.below(9)];
    match random.below(100) {
        0..45 => {
            let _ = writeln!(lines, "mousemove {x} {y}\nclick --delay 10 {button}");
            3
        }
        45..62 => {
            let (to_x, to_y) = place(random);
            let _ = writeln!(lines, "mousemove {x} {y}\nmousedown {button}\nsleep 0.01");
            for step in 1..=4 {
                let at = |from: usize, to: usize| (from * (4 - step) + to * step) / 4;
                let _ = writeln!(lines, "mousemove {} {}\nsleep 0.01", at(x, to_x), at(y, to_y));
            }
            let _ = writeln!(lines, "mouseup {button}");
            7
        }
        62..84 => {
            let (held, key) = (random.pick(HELD), random.pick(KEYS));
            let _ = writeln!(lines, "key {held}{key}");
            2
        }
        84..93 => {
            let word = random.pick(WORDS);
            let _ = writeln!(lines, "type --delay 1 '{word}'");
            2 * word.len()
        }
        _ => {
            let wheel = 4 + random.below(2);
            let _ = writeln!(lines, "mousemove {x} {y}\nclick --repeat 3 --delay 2 {wheel}");
            7
        }
    }
}

#[test]
fn anything_done_to_the_window_is_survived() {
    let number = |name: &str| std::env::var(name).ok().and_then(|text| text.parse::<u64>().ok());
    let seconds = number("GLIDEWRIGHT_RANDOM_SECONDS").unwrap_or(60);
    let mut random = Random::new(number("GLIDEWRIGHT_RANDOM_SEED").unwrap_or(1));
    let mut desk = Desk::new("window-random", 2);
    let file = desk.folder.join("stand.ron");
    std::fs::write(&file, COPY_STAND).unwrap();
    desk.open(Some(&file));
    let begun = Instant::now();
    let whole = Duration::from_secs(seconds);
    let (mut events, mut closed) = (0, 0);
    // The most memory taken in each tenth of the time (kB).
    let mut most = [0u64; 10];
    while begun.elapsed() < whole {
        let mut lines = String::new();
        for _ in 0..40 {
            events += act(&mut random, &mut lines);
        }
        desk.script(&lines);
        if let Some(status) = desk.ended() {
            let said = std::fs::read_to_string(desk.folder.join("said")).unwrap_or_default();
            assert!(status.success(), "ended by {status} after {events} events: {said}");
            closed += 1;
            desk.open(Some(&file));
        }
        let tenth = (10 * begun.elapsed().as_millis() / whole.as_millis().max(1)).min(9) as usize;
        most[tenth] = most[tenth].max(desk.memory().unwrap_or(0));
    }
    println!("{events} events in {seconds} s, closed by itself {closed} times, memory by tenths {most:?} kB");
    // Warm after three tenths; a document may grow a little.
    let warm = most[..3].iter().copied().max().unwrap_or(0);
    let late = most[7..].iter().copied().max().unwrap_or(0);
    assert!(late < warm + warm / 2 + 50_000, "memory grows: {most:?} kB");
    // What is on the disk after a kill is whole, and so is what is offered.
    desk.kill();
    let opened = glidewright_project::store::Store::disk().open(&file).unwrap();
    assert!(glidewright_project::parse(&glidewright_project::print(&opened.document)).is_ok());
}
