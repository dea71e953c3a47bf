//! A saving program killed at random moments always leaves a complete document, old or new, and a journal
//! that holds every edit it had reported as noted.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]
#![cfg(unix)]

use glidewright_samples::COPY_STAND;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use glidewright_project::size::AnySize;
use glidewright_project::store::{Beginning, Expected, Found, Journal, Store, backup_path, journal_path};
use glidewright_project::{Document, parse, print};

/// How many kills; `KILLS` in the environment asks for another number.
const KILLS: u32 = 1000;
/// Killed at once, in folders of their own, so that startup times overlap.
const AT_ONCE: u32 = 4;

/// The demo with one number all over it: a document put together from two would show.
fn numbered(number: u64) -> Document {
    let mut document = parse(COPY_STAND).unwrap();
    document.note = format!("{number}");
    for (_, size) in &mut document.sizes.entries {
        *size = AnySize::of(number as f64);
    }
    // Lengths that differ from save to save, so that a shorter text may stand over a longer one.
    document.name = "x".repeat(1 + (number % 50) as usize);
    document
}

fn number_of(document: &Document) -> u64 {
    let number: u64 = document.note.parse().unwrap();
    assert_eq!(*document, numbered(number), "a document of two halves");
    number
}

fn begin(path: &Path, number: u64) -> Journal {
    let text = print(&numbered(number));
    let beginning = Beginning {
        path: journal_path(path),
        goes_on: true,
        project: Some(path.to_owned()),
        saved: text.clone(),
        text,
    };
    Store::disk().begin_journal(beginning).unwrap()
}

/// Not a test of its own: the child that saves until it is killed.
#[test]
fn child_that_saves() {
    let Ok(path) = std::env::var("SAVE_UNTIL_KILLED") else { return };
    let path = Path::new(&path);
    let mut out = std::io::stdout();
    writeln!(out, "ready").unwrap();
    out.flush().unwrap();
    let store = Store::disk();
    let _claim = store.claim(path).unwrap();
    let mut number = store.open(path).map_or(0, |opened| number_of(&opened.document));
    loop {
        // What an earlier kill left is older than this, or the same: it is gone on from.
        let mut journal = begin(path, number);
        for _ in 0..3 {
            number += 1;
            journal.note(&print(&numbered(number)), "count").unwrap();
            writeln!(out, "noted {number}").unwrap();
            out.flush().unwrap();
        }
        store.save(path, &numbered(number), Expected::Anything).unwrap();
        writeln!(out, "saved {number}").unwrap();
        out.flush().unwrap();
        journal.finish().unwrap();
    }
}

/// What a killed child had reported.
#[derive(Default)]
struct Reported {
    noted: u64,
    saved: u64,
}

/// Kills a saving child this long after it has said that it is ready to begin.
fn run_and_kill(path: &Path, delay: Duration) -> Reported {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "child_that_saves", "--nocapture", "--quiet"])
        .env("SAVE_UNTIL_KILLED", path)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let out = child.stdout.take().unwrap();
    let (say_ready, ready) = std::sync::mpsc::channel();
    let reader = std::thread::spawn(move || {
        let mut reported = Reported::default();
        for line in BufReader::new(out).lines().map_while(Result::ok) {
            match line.split_once(' ') {
                Some(("noted", number)) => reported.noted = number.parse().unwrap_or(reported.noted),
                Some(("saved", number)) => reported.saved = number.parse().unwrap_or(reported.saved),
                _ if line == "ready" => say_ready.send(()).unwrap(),
                _ => {}
            }
        }
        reported
    });
    // On a busy machine the start takes its time. A child that dies before it is ready hangs up.
    ready.recv().unwrap();
    std::thread::sleep(delay);
    child.kill().unwrap();
    child.wait().unwrap();
    reader.join().unwrap()
}

#[test]
fn a_killed_program_leaves_whole_files() {
    let kills: u32 = std::env::var("KILLS").ok().and_then(|k| k.parse().ok()).unwrap_or(KILLS);
    let workers: Vec<_> = (0..AT_ONCE)
        .map(|worker| {
            std::thread::spawn(move || {
                let folder = tempfile::tempdir().unwrap();
                let path = folder.path().join("stand.ron");
                let store = Store::disk();
                store.save(&path, &numbered(0), Expected::Nothing).unwrap();
                let mut last = 0;
                let mut between_saves = 0_u32;
                // A fixed seed per worker; the moments differ anyway with what else the machine does.
                let mut random = 0x9E37_79B9_7F4A_7C15_u64.wrapping_mul(u64::from(worker) + 1);
                for _ in 0..kills.div_ceil(AT_ONCE) {
                    random ^= random << 13;
                    random ^= random >> 7;
                    random ^= random << 17;
                    let reported = run_and_kill(&path, Duration::from_micros(random % 30_000));
                    let found = number_of(&store.open(&path).unwrap().document);
                    assert!(found >= last.max(reported.saved), "{found} is older than {}", reported.saved);
                    if let Ok(backup) = store.open(&backup_path(&path)) {
                        assert!(number_of(&backup.document) <= found);
                    }
                    let recovered = match store.recover(&journal_path(&path), Some(&path)).unwrap() {
                        Found::Nothing => found,
                        Found::Unsaved(recovery) => number_of(&recovery.document),
                        other => panic!("{other:?}"),
                    };
                    let newest = recovered.max(found);
                    assert!(newest >= reported.noted, "{newest} is older than {}", reported.noted);
                    between_saves += u32::from(recovered > found);
                    last = found;
                }
                // Leftovers of killed savers go with the next claim and the next journal.
                drop(store.claim(&path).unwrap());
                begin(&path, last).finish().unwrap();
                let leftover = std::fs::read_dir(folder.path())
                    .unwrap()
                    .filter(|e| e.as_ref().unwrap().file_name().to_string_lossy().ends_with(".new"))
                    .count();
                assert_eq!(leftover, 0);
                (last, between_saves)
            })
        })
        .collect();
    let results: Vec<(u64, u32)> = workers.into_iter().map(|w| w.join().unwrap()).collect();
    // The kills must have met the program at work, in the middle of edits too.
    assert!(results.iter().all(|(last, _)| *last > 0), "{results:?}");
    assert!(results.iter().map(|(_, between)| between).sum::<u32>() > kills / 20, "{results:?}");
}
