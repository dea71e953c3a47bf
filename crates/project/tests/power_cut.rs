//! The power goes at every step of saving, saving under another name, recovering and discarding. Whatever a
//! file system may then lose is lost: afterwards each file holds the whole of the old or of the new document, and
//! every edit that was reported as noted is in the file or in its journal.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

#[path = "common/ram.rs"]
mod ram;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use glidewright_project::document::Stand;
use glidewright_project::edit::new_document;
use glidewright_project::store::{
    Beginning, Expected, Found, Journal, Store, StoreError, backup_path, journal_path,
};
use glidewright_project::{Document, print};
use ram::{Ram, Random};

/// How many ways the disk loses things at each step; `CUTS` in the environment asks for another number.
const WAYS: u64 = 160;

fn numbered(number: u64) -> Document {
    let mut document = new_document("x", "grooved 20x40", 100.0 + number as f64, Stand::Upright);
    document.note = number.to_string();
    // Lengths that differ, so that a shorter text may stand over a longer one.
    document.name = "x".repeat(1 + (number * 17 % 60) as usize);
    document
}

fn text(number: u64) -> String {
    print(&numbered(number))
}

fn number_of(document: &Document) -> u64 {
    let number = document.note.parse().unwrap();
    assert_eq!(*document, numbered(number), "a document of two halves");
    number
}

/// What the program reported before the power went.
#[derive(Clone, Debug, Default)]
struct Told {
    /// The newest edit that was noted.
    noted: u64,
    /// What each file held when a save of it last returned.
    saved: Vec<(PathBuf, u64)>,
    /// The newest edit whose giving up was asked for.
    given_up: u64,
}

impl Told {
    fn save(&mut self, path: &Path, number: u64) {
        self.saved.retain(|(known, _)| known != path);
        self.saved.push((path.to_owned(), number));
    }
}

const A: &str = "/here/a.ron";
const B: &str = "/here/b.ron";

fn begin(store: &Store, path: &str, saved: u64, now: u64, goes_on: bool) -> Result<Journal, StoreError> {
    store.begin_journal(Beginning {
        path: journal_path(Path::new(path)),
        goes_on,
        project: Some(path.into()),
        saved: text(saved),
        text: text(now),
    })
}

/// A day's work: each `?` is where the power may have gone.
fn work(store: &Store, told: &mut Told) -> Result<(), StoreError> {
    let (a, b) = (Path::new(A), Path::new(B));
    let stamp = store.save(a, &numbered(1), Expected::Nothing)?;
    told.save(a, 1);
    // Edits, and a save.
    let mut journal = begin(store, A, 1, 2, false)?;
    told.noted = 2;
    for number in 3..=4 {
        journal.note(&text(number), "count")?;
        told.noted = number;
    }
    let stamp = store.save(a, &numbered(4), Expected::Unchanged(stamp))?;
    told.save(a, 4);
    journal.finish()?;
    // Edits given up on purpose.
    let mut journal = begin(store, A, 4, 5, false)?;
    told.noted = 5;
    journal.note(&text(6), "count")?;
    told.noted = 6;
    told.given_up = 6;
    journal.finish()?;
    // Edits left by a kill, recovered, edited on, saved.
    let mut journal = begin(store, A, 4, 7, false)?;
    told.noted = 7;
    journal.note(&text(8), "count")?;
    told.noted = 8;
    drop(journal);
    let Found::Unsaved(recovery) = store.recover(&journal_path(a), Some(a))? else {
        panic!("nothing to recover")
    };
    assert_eq!(number_of(&recovery.document), 8);
    let mut journal = begin(store, A, 4, 8, true)?;
    journal.note(&text(9), "count")?;
    told.noted = 9;
    store.save(a, &numbered(9), Expected::Unchanged(stamp))?;
    told.save(a, 9);
    journal.finish()?;
    // Saved under another name; the file from before stays as it is.
    let mut journal = begin(store, A, 9, 10, false)?;
    told.noted = 10;
    journal.note(&text(11), "count")?;
    told.noted = 11;
    store.save(b, &numbered(11), Expected::Nothing)?;
    told.save(b, 11);
    journal.finish()?;
    // And on under the new one.
    let mut journal = begin(store, B, 11, 12, false)?;
    told.noted = 12;
    journal.note(&text(13), "count")?;
    told.noted = 13;
    Ok(())
}

/// What can be had of a file and its journals: the newest edit, and what the file itself holds.
fn newest(store: &Store, path: &str) -> (Option<u64>, u64) {
    let path = Path::new(path);
    let held = match store.open(path) {
        Ok(opened) => Some(number_of(&opened.document)),
        Err(StoreError::NoFile { .. }) => None,
        Err(error) => panic!("{error}"),
    };
    if let Ok(backup) = store.open(&backup_path(path)) {
        assert!(Some(number_of(&backup.document)) <= held);
    }
    let mut newest = held.unwrap_or(0);
    for journal in store.journals_beside(path) {
        match store.recover(&journal, Some(path)).unwrap() {
            Found::Nothing => {}
            Found::Unsaved(recovery) => newest = newest.max(number_of(&recovery.document)),
            other => panic!("{other:?}"),
        }
    }
    (held, newest)
}

#[test]
fn a_power_cut_at_any_step_leaves_whole_files_and_every_noted_edit() {
    let ways: u64 = std::env::var("CUTS").ok().and_then(|ways| ways.parse().ok()).unwrap_or(WAYS);
    let steps = {
        let ram = Ram::with_folders(&["/here"]);
        work(&Store::on(Arc::new(ram.clone())), &mut Told::default()).unwrap();
        ram.changes()
    };
    let (mut cuts, mut lost, mut replayed) = (0, 0, 0);
    for step in 0..=steps {
        let before = Ram::with_folders(&["/here"]);
        before.cut_after(step);
        let mut told = Told::default();
        let done = work(&Store::on(Arc::new(before.clone())), &mut told);
        assert_eq!(done.is_err(), step < steps, "step {step} of {steps}");
        for way in 0..ways {
            let ram = before.copy();
            let mut random = Random::new(step as u64 * 1000 + way + 1);
            ram.restart(&mut random);
            cuts += 1;
            let store = Store::on(Arc::new(ram.clone()));
            let (mut best, mut replays) = (0, false);
            for path in [A, B] {
                let (held, newest) = newest(&store, path);
                let saved = told.saved.iter().find(|(known, _)| known == Path::new(path)).map(|(_, n)| *n);
                assert!(held >= saved, "step {step}, way {way}: {path} holds {held:?}, {told:?}");
                best = best.max(newest);
                replays |= Some(newest) > held;
            }
            replayed += u64::from(replays);
            lost += u64::from(best > told.noted);
            let safe = if told.given_up == told.noted { told.given_up.min(4) } else { told.noted };
            assert!(best >= safe, "step {step}, way {way}: only {best} is left, {told:?}");
            // Life goes on: what is there can be saved over, and leaves nothing lying about.
            store.save(Path::new(A), &numbered(20), Expected::Anything).unwrap();
            assert_eq!(number_of(&store.open(Path::new(A)).unwrap().document), 20);
            drop(store.claim(Path::new(A)).unwrap());
        }
    }
    println!(
        "{cuts} cuts at {steps} steps; a journal was replayed after {replayed}, {lost} kept more than was told"
    );
    assert!(cuts >= ways * steps as u64 && replayed > cuts / 4, "{cuts} cuts, {replayed} replayed");
}

/// The double does lose what it may lose: without syncing, saving by writing in place and renaming fails.
#[test]
fn the_disk_of_these_tests_loses_what_was_not_forced_to_it() {
    use glidewright_project::store::{Access, Files as _};
    let (mut torn, mut old, mut new) = (0, 0, 0);
    for seed in 1..400 {
        let ram = Ram::with_folders(&["/here"]);
        ram.put(A, b"old");
        let mut file = ram.create(Path::new("/here/x"), Access::USUAL).unwrap();
        file.append(b"the new one").unwrap();
        drop(file);
        ram.rename(Path::new("/here/x"), Path::new(A)).unwrap();
        ram.restart(&mut Random::new(seed));
        match ram.bytes(A).as_deref() {
            Some(b"old") => old += 1,
            Some(b"the new one") => new += 1,
            _ => torn += 1,
        }
    }
    assert!(torn > 50 && old > 50 && new > 50, "{torn} torn, {old} old, {new} new");
}
