//! Names of the files that stand beside a project file.

use std::ffi::{OsStr, OsString};
use std::hash::{BuildHasher, RandomState};
use std::path::{Path, PathBuf};

/// Longest name that is made longer by an ending (bytes); file systems end at 255.
const LONGEST: usize = 180;

/// The folder a file stands in.
pub(super) fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// Where the version before is kept: beside the file, with `~` after its name.
pub fn backup_path(path: &Path) -> PathBuf {
    let mut name = stem(path);
    name.push("~");
    path.with_file_name(name)
}

/// A hidden file beside `path` with an ending of its own.
pub(super) fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = OsString::from(".");
    name.push(stem(path));
    name.push(".");
    name.push(ending);
    path.with_file_name(name)
}

/// The name of a file; one too long to be made longer is cut off and told apart by its checksum.
fn stem(path: &Path) -> OsString {
    let name = path.file_name().unwrap_or_default();
    if name.len() <= LONGEST {
        return name.to_owned();
    }
    let sum = crc32fast::hash(name.as_encoded_bytes());
    let mut text: String = name.to_string_lossy().into_owned();
    while text.len() > LONGEST {
        text.pop();
    }
    OsString::from(format!("{text}-{sum:08x}"))
}

/// A name beside `path` for a new file or folder that nobody can foretell.
pub(super) fn fresh_beside(path: &Path) -> PathBuf {
    // Every state is seeded anew from the system's random numbers.
    let random = RandomState::new().hash_one(path);
    beside(path, &format!("{random:016x}.new"))
}

/// Whether `found` is a name that [`fresh_beside`] gives for `path`.
pub(super) fn is_fresh_beside(path: &Path, found: &OsStr) -> bool {
    let mut prefix = OsString::from(".");
    prefix.push(stem(path));
    prefix.push(".");
    let rest = found.as_encoded_bytes().strip_prefix(prefix.as_encoded_bytes());
    rest.and_then(|rest| rest.strip_suffix(b".new"))
        .is_some_and(|middle| middle.len() == 16 && middle.iter().all(u8::is_ascii_hexdigit))
}

/// Where the journal of a project file stands: beside the file itself, wherever links to it may lie.
pub fn journal_path(project: &Path) -> PathBuf {
    beside(project, "journal")
}

/// The journal to be written when `number` others of the same file are being kept for later.
pub(super) fn journal_numbered(first: &Path, number: usize) -> PathBuf {
    if number == 0 {
        return first.to_owned();
    }
    let mut name = first.file_name().unwrap_or_default().to_owned();
    name.push(format!("-{}", number + 1));
    first.with_file_name(name)
}

/// Whether `found` is a name that [`journal_numbered`] gives for `first`.
pub(super) fn is_journal_numbered(first: &Path, found: &OsStr) -> bool {
    let first = first.file_name().unwrap_or_default();
    match found.as_encoded_bytes().strip_prefix(first.as_encoded_bytes()) {
        Some([]) => true,
        Some([b'-', digits @ ..]) => !digits.is_empty() && digits.iter().all(u8::is_ascii_digit),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_fit_every_file_system_and_stay_apart() {
        let long = |c: char| PathBuf::from(format!("folder/{}.ron", c.to_string().repeat(110)));
        for path in [PathBuf::from("folder/a.ron"), long('ä'), long('ö')] {
            for made in [beside(&path, "journal"), backup_path(&path), fresh_beside(&path)] {
                assert!(made.file_name().unwrap().len() < 255, "{}", made.display());
                assert_eq!(made.parent(), path.parent());
            }
            assert!(is_fresh_beside(&path, fresh_beside(&path).file_name().unwrap()));
            assert!(!is_fresh_beside(Path::new("folder/b.ron"), fresh_beside(&path).file_name().unwrap()));
        }
        // These differ only after the place where they are cut off.
        let (one, two) = ("x".repeat(200) + "1", "x".repeat(200) + "2");
        assert_ne!(journal_path(Path::new(&one)), journal_path(Path::new(&two)));
        assert_ne!(fresh_beside(Path::new("a")), fresh_beside(Path::new("a")));
    }

    #[test]
    fn further_journals_are_known_by_their_names() {
        let first = journal_path(Path::new("folder/a.ron"));
        for number in [0, 1, 7] {
            let name = journal_numbered(&first, number);
            assert!(is_journal_numbered(&first, name.file_name().unwrap()), "{}", name.display());
        }
        for other in [".a.ron.journal-", ".a.ron.journal-x", ".a.ron.journal.damaged", ".b.ron.journal"] {
            assert!(!is_journal_numbered(&first, OsStr::new(other)), "{other}");
        }
    }
}
