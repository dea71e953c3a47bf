//! Opening and saving.

use std::fs::{self, File, OpenOptions};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

use super::StoreError;
use crate::document::{Document, PartsFile};
use crate::print::{print, print_parts};
use crate::problem::Problem;
use crate::read::{LARGEST_FILE, Read as ReadDocument, read_bytes, read_parts};

/// What a file held when it was read or written last, to notice another's hand in it. Good within one run of
/// the program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp {
    length: u64,
    hash: u64,
}

impl Stamp {
    /// The stamp of these bytes.
    pub fn of(bytes: &[u8]) -> Self {
        let mut hasher = DefaultHasher::new();
        bytes.hash(&mut hasher);
        Self { length: bytes.len() as u64, hash: hasher.finish() }
    }

    /// The stamp of a file as it is now.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn of_file(path: &Path) -> Result<Self, StoreError> {
        fs::read(path).map(|bytes| Self::of(&bytes)).map_err(|cause| StoreError::from_io(cause, path))
    }
}

/// A project file as it was read.
#[derive(Clone, Debug)]
pub struct Opened {
    /// What it holds.
    pub document: Document,
    /// Its text, to keep the comments in it.
    pub text: String,
    /// What was carried over from an older format, and how.
    pub notes: Vec<Problem>,
    /// To notice another's hand in the file.
    pub stamp: Stamp,
}

/// Reads a project file.
///
/// # Errors
/// When there is no such file, or it cannot be read as a project.
pub fn open(path: &Path) -> Result<Opened, StoreError> {
    let bytes = read_limited(path)?;
    let unreadable = |problems| StoreError::Unreadable { problems, path: path.to_owned() };
    let ReadDocument { document, notes } = read_bytes(&bytes).map_err(unreadable)?;
    let stamp = Stamp::of(&bytes);
    let text = String::from_utf8(bytes).unwrap_or_default();
    Ok(Opened { document, text, notes, stamp })
}

/// The bytes of a file no larger than is read.
fn read_limited(path: &Path) -> Result<Vec<u8>, StoreError> {
    let failed = |cause| StoreError::from_io(cause, path);
    let file = File::open(path).map_err(failed)?;
    let metadata = file.metadata().map_err(failed)?;
    if metadata.is_dir() {
        return Err(StoreError::NotAFile { path: path.to_owned() });
    }
    // Not only by its stated length: a device has none.
    let limit = LARGEST_FILE as u64 + 1;
    let mut bytes = Vec::new();
    file.take(limit).read_to_end(&mut bytes).map_err(failed)?;
    if bytes.len() > LARGEST_FILE {
        return Err(StoreError::TooLarge { path: path.to_owned(), bytes: metadata.len().max(limit) });
    }
    Ok(bytes)
}

/// Reads a file of parts; one that is not there yet is empty.
///
/// # Errors
/// When it is there and cannot be read.
pub fn open_parts(path: &Path) -> Result<(PartsFile, Expected), StoreError> {
    let bytes = match read_limited(path) {
        Ok(bytes) => bytes,
        Err(StoreError::NoFile { .. }) => return Ok((PartsFile::default(), Expected::Nothing)),
        Err(error) => return Err(error),
    };
    let unreadable = |problems| StoreError::Unreadable { problems, path: path.to_owned() };
    let text = String::from_utf8_lossy(&bytes);
    let parts = read_parts(&text).map_err(unreadable)?;
    Ok((parts, Expected::Unchanged(Stamp::of(&bytes))))
}

/// Saves a file of parts as [`save`] does a document.
///
/// # Errors
/// As [`save`].
pub fn save_parts(path: &Path, parts: &PartsFile, expected: Expected) -> Result<Stamp, StoreError> {
    save_text(path, &print_parts(parts), expected)
}

/// What should stand where a file is saved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Expected {
    /// No file yet.
    Nothing,
    /// The file as it was read or written last; one that has gone meanwhile is written anew.
    Unchanged(Stamp),
    /// Whatever is there is replaced.
    Anything,
}

/// Where the version before is kept: beside the file, with `~` after its name.
pub fn backup_path(path: &Path) -> PathBuf {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push("~");
    path.with_file_name(name)
}

/// A hidden file beside `path` with an ending of its own.
pub(super) fn beside(path: &Path, ending: &str) -> PathBuf {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!(".{name}.{ending}"))
}

/// Saves a document so that at every moment the file holds either all of the old or all of the new: the new is
/// written beside it, forced to the disk, and takes the old one's name. The old one is kept; see
/// [`backup_path`].
///
/// # Errors
/// When the folder is missing or may not be written, the disk is full, or the file is not as expected. The file
/// is as it was then.
pub fn save(path: &Path, document: &Document, expected: Expected) -> Result<Stamp, StoreError> {
    save_text(path, &print(document), expected)
}

/// Saves text as [`save`] does a document.
fn save_text(path: &Path, text: &str, expected: Expected) -> Result<Stamp, StoreError> {
    if path.file_name().is_none() {
        return Err(StoreError::NotAFile { path: path.to_owned() });
    }
    // A link stays a link to the file that is replaced.
    let path = &fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let folder = folder_of(path);
    if !folder.is_dir() {
        return Err(StoreError::NoFolder { folder });
    }
    let exists = check_expected(path, expected)?;
    let new = fresh_beside(path);
    let written = write_new(&new, text, exists.then_some(path.as_path()));
    let placed = written.and_then(|()| {
        if exists {
            keep_previous(path)?;
        }
        fs::rename(&new, path)?;
        sync_folder(&folder)
    });
    if let Err(cause) = placed {
        // The new file is of no use; what went wrong matters more than whether it can be removed.
        let _ = fs::remove_file(&new);
        return Err(match StoreError::from_io(cause, path) {
            StoreError::NoFile { .. } => StoreError::NoFolder { folder },
            other => other,
        });
    }
    Ok(Stamp::of(text.as_bytes()))
}

fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// Whether a file is there and may be replaced.
fn check_expected(path: &Path, expected: Expected) -> Result<bool, StoreError> {
    let metadata = match fs::metadata(path) {
        Ok(metadata) => metadata,
        Err(cause) if cause.kind() == std::io::ErrorKind::NotFound => return Ok(false),
        Err(cause) => return Err(StoreError::from_io(cause, path)),
    };
    if !metadata.is_file() {
        return Err(StoreError::NotAFile { path: path.to_owned() });
    }
    if metadata.permissions().readonly() {
        return Err(StoreError::ReadOnly { path: path.to_owned() });
    }
    match expected {
        Expected::Nothing => Err(StoreError::Exists { path: path.to_owned() }),
        Expected::Unchanged(stamp) if Stamp::of_file(path)? != stamp => {
            Err(StoreError::ChangedOutside { path: path.to_owned() })
        }
        _ => Ok(true),
    }
}

/// A name for a new file that nobody else uses.
pub(super) fn fresh_beside(path: &Path) -> PathBuf {
    static COUNTER: AtomicU64 = AtomicU64::new(0);
    let count = COUNTER.fetch_add(1, Ordering::Relaxed);
    beside(path, &format!("{}-{count}.new", std::process::id()))
}

fn write_new(new: &Path, text: &str, like: Option<&Path>) -> std::io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(new)?;
    if let Some(old) = like {
        file.set_permissions(fs::metadata(old)?.permissions())?;
    }
    file.write_all(text.as_bytes())?;
    file.sync_all()
}

/// Gives the file a second name, the backup's, without a moment at which either is missing.
fn keep_previous(path: &Path) -> std::io::Result<()> {
    let second = fresh_beside(path);
    // Some file systems know no second names.
    if fs::hard_link(path, &second).is_err() {
        fs::copy(path, &second)?;
        File::open(&second)?.sync_all()?;
    }
    let renamed = fs::rename(&second, backup_path(path));
    // Renaming one name of a file to another name of the same file does nothing and leaves both.
    let _ = fs::remove_file(&second);
    renamed
}

/// Makes renames in a folder lasting, where the system lets folders be forced to the disk.
pub(super) fn sync_folder(folder: &Path) -> std::io::Result<()> {
    if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
}

/// Removes new files that a killed program left beside a file. Only for the one who alone writes it.
pub(super) fn remove_leftovers(path: &Path) {
    let Some(name) = path.file_name() else { return };
    let prefix = format!(".{}.", name.to_string_lossy());
    let Ok(entries) = fs::read_dir(folder_of(path)) else { return };
    for entry in entries.flatten() {
        let found = entry.file_name();
        let found = found.to_string_lossy();
        let is_ours =
            found.strip_prefix(&prefix).and_then(|rest| rest.strip_suffix(".new")).is_some_and(|middle| {
                !middle.is_empty() && middle.chars().all(|c| c.is_ascii_digit() || c == '-')
            });
        if is_ours {
            // One that cannot be removed does no harm.
            let _ = fs::remove_file(entry.path());
        }
    }
}
