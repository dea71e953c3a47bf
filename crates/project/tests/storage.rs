//! Saving, claiming, recovering: what goes wrong is told, and nothing is lost.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_samples::COPY_STAND;
use std::fs;
use std::path::Path;

use glidewright_project::edit::{self, History};
use glidewright_project::store::{
    Beginning, Claim, Expected, Found, Journal, Opened, Recovery, Stamp, Store, StoreError, backup_path,
    changes_between, journal_path,
};
use glidewright_project::{Document, parse, print};

fn save(path: &Path, document: &Document, expected: Expected) -> Result<Stamp, StoreError> {
    Store::disk().save(path, document, expected)
}

fn open(path: &Path) -> Result<Opened, StoreError> {
    Store::disk().open(path)
}

fn claim(path: &Path) -> Result<Claim, StoreError> {
    Store::disk().claim(path)
}

/// Begins a journal with nothing in it yet.
fn begin(path: &Path, project: Option<&Path>, saved: &str) -> Result<Journal, StoreError> {
    Store::disk().begin_journal(Beginning {
        path: path.to_owned(),
        goes_on: false,
        project: project.map(Path::to_owned),
        saved: saved.to_owned(),
        text: saved.to_owned(),
    })
}

fn recover(path: &Path, project: Option<&Path>) -> Found {
    Store::disk().recover(path, project).unwrap()
}

fn unsaved(path: &Path, project: Option<&Path>) -> Recovery {
    match recover(path, project) {
        Found::Unsaved(recovery) => *recovery,
        other => panic!("{other:?}"),
    }
}

fn stand() -> Document {
    parse(COPY_STAND).unwrap()
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
    assert_eq!(stamp, Store::disk().stamp(&path).unwrap());
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
    // One that has gone is not quietly there again.
    fs::remove_file(&path).unwrap();
    let refused = save(&path, &stand(), Expected::Unchanged(stamp)).unwrap_err();
    assert!(matches!(refused, StoreError::Gone { .. }), "{refused}");
    assert!(!path.exists());
    save(&path, &stand(), Expected::Nothing).unwrap();
}

#[test]
fn places_that_cannot_be_written() {
    let folder = folder();
    let path = folder.path().join("missing/stand.ron");
    let refused = save(&path, &stand(), Expected::Nothing).unwrap_err();
    assert!(matches!(refused, StoreError::NoFolder { .. }), "{refused}");
    assert!(!refused.remedy().is_empty());
    assert!(matches!(claim(&path), Err(StoreError::NoFolder { .. })));

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
    fs::write(folder.path().join("torn.ron"), "(format: 2, name:").unwrap();
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
    let held = claim(&path).unwrap();
    let refused = claim(&path).unwrap_err();
    assert!(matches!(refused, StoreError::Taken { .. }), "{refused}");
    drop(held);
    // What a killed program left goes, other files stay.
    fs::write(folder.path().join(".stand.ron.0123456789abcdef.new"), "half").unwrap();
    fs::write(folder.path().join(".stand.ron.mine.new"), "kept").unwrap();
    let held = claim(&path).unwrap();
    drop(held);
    assert_eq!(names(folder.path()), [".stand.ron.mine.new"]);
}

#[test]
fn the_journal_gives_back_what_was_not_saved() {
    let folder = folder();
    let path = folder.path().join("stand.ron");
    save(&path, &stand(), Expected::Nothing).unwrap();
    let at = journal_path(&path);
    assert!(matches!(recover(&at, Some(&path)), Found::Nothing));

    let mut history = History::new(stand(), true);
    let mut journal = begin(&at, Some(&path), history.text()).unwrap();
    for value in ["7", "8", "9"] {
        let edited = edit::set(history.document(), "sizes/plate", value).unwrap();
        let description = edited.description.clone();
        history.push(edited);
        journal.note(history.text(), &description).unwrap();
    }
    // Its program still runs: another window's goes beside it.
    assert!(matches!(recover(&at, Some(&path)), Found::InUse));
    let other = begin(&at, Some(&path), "x").unwrap();
    assert_ne!(other.path(), at);
    other.finish().unwrap();
    drop(journal);
    let found = unsaved(&at, Some(&path));
    assert_eq!(&found.document, history.document().as_ref());
    assert_eq!(found.descriptions, ["Set plate to 7", "Set plate to 8", "Set plate to 9"]);
    assert_eq!(found.changes, ["plate: 6 → 9"]);
    assert_eq!(found.named.as_deref(), Some(path.as_path()));
    assert!(!found.file_changed && found.noted.is_some());

    fs::write(&path, print(&with_plate(5.0))).unwrap();
    assert!(unsaved(&at, Some(&path)).file_changed);
    // Saved by other means: nothing is left to offer.
    fs::write(&path, history.text()).unwrap();
    assert!(matches!(recover(&at, Some(&path)), Found::Nothing));
    // Without the file it is all there is.
    fs::remove_file(&path).unwrap();
    assert_eq!(unsaved(&at, Some(&path)).text, history.text());
    begin(&at, Some(&path), history.text()).unwrap().finish().unwrap();
    assert!(at.exists(), "unsaved work stays when another journal comes and goes");
}

#[test]
fn a_journal_cut_off_or_spoilt_anywhere_gives_a_whole_document() {
    let folder = folder();
    let at = folder.path().join("journal");
    let mut history = History::new(stand(), true);
    let mut states = vec![history.text().to_owned()];
    let mut journal = begin(&at, None, history.text()).unwrap();
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
        match recover(&at, None) {
            Found::Unsaved(found) => {
                states.iter().position(|state| *state == found.text).expect("a state there was")
            }
            _ => 0,
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
    assert!(matches!(recover(&at, None), Found::Damaged));
    // It is neither written over nor lost.
    let other = begin(&at, None, history.text()).unwrap();
    assert_ne!(other.path(), at);
    other.finish().unwrap();
    let aside = Store::disk().set_aside(&at).unwrap();
    assert_eq!(fs::read(&aside).unwrap(), [0xFF; 64]);
    fs::write(&at, [0xFE; 64]).unwrap();
    assert_ne!(Store::disk().set_aside(&at).unwrap(), aside);
    assert_eq!(fs::read(&aside).unwrap(), [0xFF; 64]);
}

#[test]
fn unsaved_work_put_off_is_kept_beside_what_is_done_next() {
    let folder = folder();
    let path = folder.path().join("stand.ron");
    save(&path, &stand(), Expected::Nothing).unwrap();
    for value in [7.0, 8.0, 9.0] {
        let mut journal = begin(&journal_path(&path), Some(&path), &print(&stand())).unwrap();
        journal.note(&print(&with_plate(value)), "Set").unwrap();
    }
    let journals = Store::disk().journals_beside(&path);
    let found: Vec<Document> =
        journals.iter().map(|journal| unsaved(journal, Some(&path)).document).collect();
    assert_eq!(found, [with_plate(7.0), with_plate(8.0), with_plate(9.0)]);
    // Whatever the spelling of the path.
    let odd = folder.path().join("../").join(folder.path().file_name().unwrap()).join("./stand.ron");
    assert_eq!(Store::disk().journals_beside(&odd), journals);
}

#[test]
fn a_journal_removed_while_it_is_written_is_begun_anew() {
    let folder = folder();
    let at = folder.path().join("journal");
    let mut journal = begin(&at, None, &print(&stand())).unwrap();
    journal.note(&print(&with_plate(7.0)), "Set").unwrap();
    fs::remove_file(&at).unwrap();
    journal.note(&print(&with_plate(8.0)), "Set").unwrap();
    drop(journal);
    assert_eq!(unsaved(&at, None).document, with_plate(8.0));
}

#[cfg(unix)]
#[test]
fn journals_and_backups_are_as_private_as_the_project() {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = folder();
    let path = folder.path().join("stand.ron");
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    for wanted in [0o600, 0o640, 0o644] {
        save(&path, &stand(), Expected::Anything).unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(wanted)).unwrap();
        let mut journal = begin(&journal_path(&path), Some(&path), &print(&stand())).unwrap();
        journal.note(&print(&with_plate(7.0)), "Set").unwrap();
        save(&path, &with_plate(7.0), Expected::Anything).unwrap();
        for file in [path.clone(), journal.path().to_owned(), backup_path(&path)] {
            assert_eq!(mode(&file), wanted, "{}: {:o} for {wanted:o}", file.display(), mode(&file));
        }
        journal.finish().unwrap();
    }
    // Work without a file is nobody else's business.
    let journal = begin(&folder.path().join("x.journal"), None, "x").unwrap();
    assert_eq!(mode(journal.path()), 0o600);
}

#[cfg(unix)]
#[test]
fn planted_links_are_replaced_not_followed() {
    let folder = folder();
    let victim = folder.path().join("victim");
    fs::write(&victim, "precious").unwrap();
    let plant = |name: &str| {
        let link = folder.path().join(name);
        let _ = fs::remove_file(&link);
        std::os::unix::fs::symlink(&victim, &link).unwrap();
        link
    };
    let picture = plant("picture.png");
    Store::disk().write(&picture, b"picture").unwrap();
    assert_eq!(fs::read(&picture).unwrap(), b"picture");
    let journal = plant(".stand.ron.journal");
    let path = folder.path().join("stand.ron");
    save(&path, &stand(), Expected::Nothing).unwrap();
    let begun = begin(&journal, Some(&path), &print(&stand())).unwrap();
    assert_ne!(begun.path(), journal);
    begun.finish().unwrap();
    plant(".stand.ron.lock");
    assert!(claim(&path).is_err());
    assert_eq!(fs::read(&victim).unwrap(), b"precious");
}

#[test]
fn a_folder_of_files_is_written_whole_or_not_at_all() {
    let folder = folder();
    let out = folder.path().join("solids");
    let files = |word: &str| {
        vec![
            ("a".to_owned(), format!("{word} a").into()),
            ("index".to_owned(), format!("{word} index").into()),
        ]
    };
    Store::disk().write_all(&out, &files("one")).unwrap();
    fs::write(out.join("mine"), "mine").unwrap();
    Store::disk().write_all(&out, &files("two")).unwrap();
    let held = |name: &str| fs::read_to_string(out.join(name)).unwrap();
    assert_eq!([held("a"), held("index"), held("mine")], ["two a", "two index", "mine"]);
    // One that cannot be put there keeps all of them out.
    fs::remove_file(out.join("index")).unwrap();
    fs::create_dir(out.join("index")).unwrap();
    assert!(Store::disk().write_all(&out, &files("three")).is_err());
    assert_eq!(held("a"), "two a");
    assert_eq!(names(&out), ["a", "index", "mine"]);
    assert_eq!(names(folder.path()), ["solids"]);
}

#[cfg(unix)]
#[test]
fn what_is_no_regular_file_is_refused_at_once() {
    let folder = folder();
    let pipe = folder.path().join("pipe");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    for path in [pipe.as_path(), Path::new("/dev/zero"), Path::new("/dev/null")] {
        let refused = open(path).unwrap_err();
        assert!(matches!(refused, StoreError::NotAFile { .. }), "{refused}");
        assert!(save(path, &stand(), Expected::Anything).is_err());
        assert!(Store::disk().write(path, b"x").is_err());
    }
}

#[test]
fn a_long_journal_is_begun_anew() {
    let folder = folder();
    let at = folder.path().join("journal");
    let mut journal = begin(&at, None, &print(&stand())).unwrap();
    let mut document = stand();
    for step in 0..60 {
        document.note = format!("{step} ").repeat(10_000);
        journal.note(&print(&document), &format!("step {step}")).unwrap();
    }
    assert!(fs::metadata(&at).unwrap().len() < 1_100_000);
    drop(journal);
    let found = unsaved(&at, None);
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
