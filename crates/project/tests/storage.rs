//! Saving, claiming, recovering: what goes wrong is told, and nothing is lost.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use std::fs;
use std::path::Path;

use glidewright_project::edit::{self, History};
use glidewright_project::store::{
    Claim, Expected, Journal, Stamp, StoreError, backup_path, changes_between, journal_path, open, recover,
    save,
};
use glidewright_project::{Document, demo, print};

fn stand() -> Document {
    demo().unwrap()
}

fn with_plate(thickness: f64) -> Document {
    edit::set(&stand(), "sizes/plate", &thickness.to_string()).unwrap().document
}

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

/// Names in a folder, without the lock.
fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn saving_keeps_the_version_before() {
    let folder = folder();
    let path = folder.path().join("stand.ron");
    let stamp = save(&path, &stand(), Expected::Nothing).unwrap();
    assert_eq!(open(&path).unwrap().document, stand());
    let stamp = save(&path, &with_plate(7.0), Expected::Unchanged(stamp)).unwrap();
    assert_eq!(stamp, Stamp::of_file(&path).unwrap());
    assert_eq!(open(&backup_path(&path)).unwrap().document, stand());
    save(&path, &with_plate(8.0), Expected::Unchanged(stamp)).unwrap();
    assert_eq!(open(&backup_path(&path)).unwrap().document, with_plate(7.0));
    assert_eq!(names(folder.path()), ["stand.ron", "stand.ron~"]);
}

#[test]
fn another_hand_in_the_file_is_noticed() {
    let folder = folder();
    let path = folder.path().join("stand.ron");
    let stamp = save(&path, &stand(), Expected::Nothing).unwrap();
    assert!(matches!(save(&path, &stand(), Expected::Nothing), Err(StoreError::Exists { .. })));
    fs::write(&path, "something else").unwrap();
    let refused = save(&path, &with_plate(7.0), Expected::Unchanged(stamp)).unwrap_err();
    assert!(matches!(refused, StoreError::ChangedOutside { .. }), "{refused}");
    assert_eq!(fs::read_to_string(&path).unwrap(), "something else");
    save(&path, &stand(), Expected::Anything).unwrap();
    assert_eq!(fs::read_to_string(backup_path(&path)).unwrap(), "something else");
    // A file that has gone is written anew.
    fs::remove_file(&path).unwrap();
    save(&path, &stand(), Expected::Unchanged(stamp)).unwrap();
}

#[test]
fn places_that_cannot_be_written() {
    let folder = folder();
    let path = folder.path().join("missing/stand.ron");
    let refused = save(&path, &stand(), Expected::Nothing).unwrap_err();
    assert!(matches!(refused, StoreError::NoFolder { .. }), "{refused}");
    assert!(!refused.remedy().is_empty());
    assert!(matches!(Claim::take(&path), Err(StoreError::NoFolder { .. })));

    let path = folder.path().join("stand.ron");
    save(&path, &stand(), Expected::Nothing).unwrap();
    let mut permissions = fs::metadata(&path).unwrap().permissions();
    permissions.set_readonly(true);
    fs::set_permissions(&path, permissions).unwrap();
    let refused = save(&path, &with_plate(7.0), Expected::Anything).unwrap_err();
    assert!(matches!(refused, StoreError::ReadOnly { .. }), "{refused}");
    assert_eq!(open(&path).unwrap().document, stand());

    assert!(matches!(save(folder.path(), &stand(), Expected::Anything), Err(StoreError::NotAFile { .. })));
    assert!(matches!(open(folder.path()), Err(StoreError::NotAFile { .. })));
    assert!(matches!(open(&folder.path().join("none.ron")), Err(StoreError::NoFile { .. })));
    fs::write(folder.path().join("large.ron"), vec![b' '; 3_000_000]).unwrap();
    assert!(matches!(open(&folder.path().join("large.ron")), Err(StoreError::TooLarge { .. })));
    fs::write(folder.path().join("torn.ron"), "(format: 1, name:").unwrap();
    let torn = open(&folder.path().join("torn.ron")).unwrap_err();
    assert!(torn.to_string().contains("line 1"), "{torn}");
}

/// A full disk: on Linux `/dev/full` refuses every byte, but nothing can be renamed there, so the case is made
/// with a file size limit on a child; see the shell's `ulimit -f`.
#[cfg(target_os = "linux")]
#[test]
fn a_disk_without_room_leaves_the_old_file_whole() {
    let folder = folder();
    let path = folder.path().join("stand.ron");
    save(&path, &stand(), Expected::Nothing).unwrap();
    let before = fs::read(&path).unwrap();
    // The child may write 4 blocks of 512 or 1024 bytes, less than the document has; the signal for that is
    // ignored so that writing fails as on a full disk.
    let program = std::env::current_exe().unwrap();
    let status = std::process::Command::new("sh")
        .arg("-c")
        .arg("trap '' XFSZ; ulimit -f 4; exec \"$0\" --exact child_that_finds_no_room --quiet")
        .arg(program)
        .env("SAVE_WITHOUT_ROOM", &path)
        .output()
        .unwrap();
    assert!(status.status.success(), "{}", String::from_utf8_lossy(&status.stdout));
    assert_eq!(fs::read(&path).unwrap(), before);
    assert_eq!(names(folder.path()), ["stand.ron"]);
}

/// Not a test of its own: run as a child by the one above.
#[test]
fn child_that_finds_no_room() {
    let Ok(path) = std::env::var("SAVE_WITHOUT_ROOM") else { return };
    let error = save(Path::new(&path), &with_plate(7.0), Expected::Anything).unwrap_err();
    assert!(!error.remedy().is_empty());
}

#[cfg(unix)]
#[test]
fn a_link_stays_a_link() {
    let folder = folder();
    let path = folder.path().join("stand.ron");
    let link = folder.path().join("link.ron");
    save(&path, &stand(), Expected::Nothing).unwrap();
    std::os::unix::fs::symlink(&path, &link).unwrap();
    save(&link, &with_plate(7.0), Expected::Anything).unwrap();
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!(open(&path).unwrap().document, with_plate(7.0));
}

#[test]
fn one_window_claims_a_file() {
    let folder = folder();
    let path = folder.path().join("stand.ron");
    let claim = Claim::take(&path).unwrap();
    let refused = Claim::take(&path).unwrap_err();
    assert!(matches!(refused, StoreError::Taken { .. }), "{refused}");
    drop(claim);
    // What a killed program left goes, other files stay.
    fs::write(folder.path().join(".stand.ron.4711-3.new"), "half").unwrap();
    fs::write(folder.path().join(".stand.ron.mine.new"), "kept").unwrap();
    let claim = Claim::take(&path).unwrap();
    drop(claim);
    assert_eq!(names(folder.path()), [".stand.ron.mine.new"]);
}

#[test]
fn the_journal_gives_back_what_was_not_saved() {
    let folder = folder();
    let path = folder.path().join("stand.ron");
    save(&path, &stand(), Expected::Nothing).unwrap();
    let at = journal_path(&path);
    assert!(recover(&at).unwrap().is_none());

    let mut history = History::new(stand(), true);
    let mut journal = Journal::start(&at, Some(&path), history.text()).unwrap();
    for value in ["7", "8", "9"] {
        let edited = edit::set(history.document(), "sizes/plate", value).unwrap();
        let description = edited.description.clone();
        history.push(edited);
        journal.note(history.text(), &description).unwrap();
    }
    // Its program still runs.
    assert!(recover(&at).unwrap().is_none());
    assert!(matches!(Journal::start(&at, None, "x"), Err(StoreError::Taken { .. })));
    drop(journal);
    let found = recover(&at).unwrap().unwrap();
    assert_eq!(&found.document, history.document().as_ref());
    assert_eq!(found.descriptions, ["Set plate to 7", "Set plate to 8", "Set plate to 9"]);
    assert_eq!(found.changes, ["plate: 6 → 9"]);
    assert_eq!(found.project.as_deref(), Some(path.as_path()));
    assert!(!found.file_changed && found.noted.is_some());

    fs::write(&path, print(&with_plate(5.0))).unwrap();
    assert!(recover(&at).unwrap().unwrap().file_changed);

    let mut journal = Journal::start(&at, Some(&path), history.text()).unwrap();
    journal.note("torn", "spoil").unwrap();
    journal.saved(&path, history.text()).unwrap();
    drop(journal);
    assert!(recover(&at).unwrap().is_none(), "saved: nothing to recover");
    Journal::start(&at, Some(&path), history.text()).unwrap().finish().unwrap();
    assert!(!at.exists());
}

#[test]
fn a_journal_cut_off_or_spoilt_anywhere_gives_a_whole_document() {
    let folder = folder();
    let at = folder.path().join("journal");
    let mut history = History::new(stand(), true);
    let mut states = vec![history.text().to_owned()];
    let mut journal = Journal::start(&at, None, history.text()).unwrap();
    for step in 0..8 {
        let edited = edit::set(history.document(), "sizes/plate", &format!("{}", 7 + step)).unwrap();
        history.push(edited);
        journal.note(history.text(), "Set").unwrap();
        states.push(history.text().to_owned());
    }
    drop(journal);
    let whole = fs::read(&at).unwrap();
    let expect_some_state = |bytes: &[u8]| {
        fs::write(&at, bytes).unwrap();
        match recover(&at).unwrap() {
            None => 0,
            Some(found) => states.iter().position(|state| *state == found.text).expect("a state there was"),
        }
    };
    let mut best = 0;
    for cut in (whole.len().saturating_sub(500)..=whole.len()).chain([0, 1, 7, 8, 9, 100]) {
        best = best.max(expect_some_state(&whole[..cut]));
    }
    assert_eq!(best, 8);
    for spoilt in (0..whole.len()).rev().step_by(101) {
        let mut bytes = whole.clone();
        bytes[spoilt] ^= 0x20;
        expect_some_state(&bytes);
    }
    fs::write(&at, [0xFF; 64]).unwrap();
    assert!(recover(&at).unwrap().is_none());
}

#[test]
fn a_long_journal_is_begun_anew() {
    let folder = folder();
    let at = folder.path().join("journal");
    let mut journal = Journal::start(&at, None, &print(&stand())).unwrap();
    let mut document = stand();
    for step in 0..60 {
        document.note = format!("{step} ").repeat(10_000);
        journal.note(&print(&document), &format!("step {step}")).unwrap();
    }
    assert!(fs::metadata(&at).unwrap().len() < 1_100_000);
    drop(journal);
    let found = recover(&at).unwrap().unwrap();
    assert_eq!(found.document, document);
    assert_eq!(found.descriptions.last().map(String::as_str), Some("step 59"));
}

#[test]
fn changes_are_told_one_by_one() {
    assert!(changes_between(&stand(), &stand()).is_empty());
    let document = edit::delete(&with_plate(7.0), "riders/camera head/loads/arm").unwrap().document;
    let document = edit::duplicate(&document, "obstacles/base board").unwrap().document;
    assert_eq!(
        changes_between(&stand(), &document),
        ["camera head, arm went", "base board 2 came", "plate: 6 → 7"]
    );
    let mut noted = stand();
    noted.note.clear();
    assert_eq!(changes_between(&stand(), &noted).len(), 1);
}
