//! The recovery journal: every edit is on disk at once.
//!
//! The journal is a row of records, each with its length and checksum. The first holds the whole text as it
//! was saved last, each later one the stretch that an edit changed. A record cut off by a kill ends the row;
//! what stands before it is whole.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use serde::{Deserialize, Serialize};

use super::changes::changes_between;
use super::files::{beside, fresh_beside, remove_leftovers, sync_folder};
use super::{Stamp, StoreError};
use crate::document::Document;
use crate::edit::difference;
use crate::read::{LARGEST_FILE, parse};

/// A journal that has grown to this size (bytes) is begun anew with the text as it is.
const LARGEST_JOURNAL: u64 = 1024 * 1024;
/// No journal is read further than this (bytes).
const MOST_READ: u64 = 16 * 1024 * 1024;
/// Length and checksum before each record (bytes).
const HEAD: usize = 8;

/// One record.
#[derive(Debug, Serialize, Deserialize)]
enum Record {
    /// The first: the file the document belongs to, its text as saved, its text when the journal was begun.
    Start { project: Option<PathBuf>, saved: String, text: String, descriptions: Vec<String> },
    /// An edit: from byte `at`, `remove` bytes make place for `insert`.
    Edit { description: String, at: usize, remove: usize, insert: String, seconds: u64 },
}

/// Where the journal of a project file stands: beside it.
pub fn journal_path(project: &Path) -> PathBuf {
    beside(project, "journal")
}

/// A journal being written. It is locked, so that no other window takes it for a dead program's.
#[derive(Debug)]
pub struct Journal {
    path: PathBuf,
    project: Option<PathBuf>,
    file: File,
    saved: String,
    text: String,
    descriptions: Vec<String>,
    bytes: u64,
}

impl Journal {
    /// Begins a journal for a document whose text as saved last is `saved`. `project` is its file, if it has
    /// one. A journal that stands at `path` is replaced.
    ///
    /// # Errors
    /// When the journal cannot be written, or another window is writing it.
    pub fn start(path: &Path, project: Option<&Path>, saved: &str) -> Result<Self, StoreError> {
        if let Ok(file) = File::open(path)
            && let Err(TryLockError::WouldBlock) = file.try_lock()
        {
            return Err(StoreError::Taken { path: path.to_owned() });
        }
        remove_leftovers(path);
        Self::write_anew(path, project, saved, saved, Vec::new())
    }

    fn write_anew(
        path: &Path,
        project: Option<&Path>,
        saved: &str,
        text: &str,
        descriptions: Vec<String>,
    ) -> Result<Self, StoreError> {
        let failed = |cause| StoreError::from_io(cause, path);
        let record = Record::Start {
            project: project.map(Path::to_owned),
            saved: saved.to_owned(),
            text: text.to_owned(),
            descriptions: descriptions.clone(),
        };
        let bytes = encoded(&record, path)?;
        let new = fresh_beside(path);
        let begin = || -> std::io::Result<File> {
            let mut file = OpenOptions::new().read(true).write(true).create_new(true).open(&new)?;
            file.write_all(&bytes)?;
            file.sync_all()?;
            // A system without locks does without: then two windows are not told apart.
            let _ = file.try_lock();
            fs::rename(&new, path)?;
            if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
                sync_folder(folder)?;
            }
            Ok(file)
        };
        let file = begin().map_err(|cause| {
            let _ = fs::remove_file(&new);
            failed(cause)
        })?;
        Ok(Self {
            path: path.to_owned(),
            project: project.map(Path::to_owned),
            file,
            saved: saved.to_owned(),
            text: text.to_owned(),
            descriptions,
            bytes: bytes.len() as u64,
        })
    }

    /// Notes that an edit has made the document's text what it is now. On return it is on disk.
    ///
    /// # Errors
    /// When the journal cannot be written; the next call tries again.
    pub fn note(&mut self, text: &str, description: &str) -> Result<(), StoreError> {
        let (at, before, after) = difference(&self.text, text);
        if before == after {
            return Ok(());
        }
        let seconds = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_secs());
        let record = Record::Edit {
            description: description.to_owned(),
            at,
            remove: before.len(),
            insert: after.to_owned(),
            seconds,
        };
        let bytes = encoded(&record, &self.path)?;
        self.descriptions.push(description.to_owned());
        if self.bytes + bytes.len() as u64 > LARGEST_JOURNAL {
            return self.renew(text);
        }
        let written = self.file.write_all(&bytes).and_then(|()| self.file.sync_data());
        if written.is_err() {
            // Part of a record may stand there: begin anew rather than write behind it.
            return self.renew(text);
        }
        self.bytes += bytes.len() as u64;
        text.clone_into(&mut self.text);
        Ok(())
    }

    fn renew(&mut self, text: &str) -> Result<(), StoreError> {
        // Descriptions of long ago are of no use in an offer to recover.
        const KEPT: usize = 50;
        let late = self.descriptions.len().saturating_sub(KEPT);
        let descriptions = self.descriptions.split_off(late);
        *self = Self::write_anew(&self.path, self.project.as_deref(), &self.saved, text, descriptions)?;
        Ok(())
    }

    /// Notes that the document has been saved: there is nothing to recover from before.
    ///
    /// # Errors
    /// When the journal cannot be written.
    pub fn saved(&mut self, project: &Path, text: &str) -> Result<(), StoreError> {
        *self = Self::write_anew(&self.path, Some(project), text, text, Vec::new())?;
        Ok(())
    }

    /// Removes the journal: the program ends in good order.
    ///
    /// # Errors
    /// When it cannot be removed.
    pub fn finish(self) -> Result<(), StoreError> {
        fs::remove_file(&self.path).map_err(|cause| StoreError::from_io(cause, &self.path))
    }
}

/// What a killed program had not saved.
#[derive(Clone, Debug)]
pub struct Recovery {
    /// The file the document belongs to, if it had one.
    pub project: Option<PathBuf>,
    /// The document as it was last.
    pub document: Document,
    /// Its text.
    pub text: String,
    /// What was done since it was saved, the latest last.
    pub descriptions: Vec<String>,
    /// What differs from what was saved, one line each.
    pub changes: Vec<String>,
    /// When the last edit was noted.
    pub noted: Option<SystemTime>,
    /// Whether the file has been changed since, by someone else: recovering would undo that.
    pub file_changed: bool,
}

/// What a journal holds that was not saved; `None` if there is no journal, its program still runs, or nothing
/// was left unsaved.
///
/// # Errors
/// When the journal is there but cannot be read at all.
pub fn recover(path: &Path) -> Result<Option<Recovery>, StoreError> {
    let failed = |cause| StoreError::from_io(cause, path);
    let file = match File::open(path) {
        Ok(file) => file,
        Err(cause) if cause.kind() == std::io::ErrorKind::NotFound => return Ok(None),
        Err(cause) => return Err(failed(cause)),
    };
    if let Err(TryLockError::WouldBlock) = file.try_lock() {
        return Ok(None);
    }
    let mut bytes = Vec::new();
    (&file).take(MOST_READ).read_to_end(&mut bytes).map_err(failed)?;
    let _ = file.unlock();

    let mut rest = bytes.as_slice();
    let Some(Record::Start { project, saved, mut text, mut descriptions }) = next_record(&mut rest) else {
        return Ok(None);
    };
    let mut seconds = None;
    while let Some(Record::Edit { description, at, remove, insert, seconds: noted }) = next_record(&mut rest)
    {
        let (Some(head), Some(tail)) =
            (text.get(..at), at.checked_add(remove).and_then(|end| text.get(end..)))
        else {
            break;
        };
        if head.len() + insert.len() + tail.len() > LARGEST_FILE {
            break;
        }
        text = [head, &insert, tail].concat();
        descriptions.push(description);
        seconds = Some(noted);
    }
    if text == saved {
        return Ok(None);
    }
    let document =
        parse(&text).map_err(|problems| StoreError::Unreadable { problems, path: path.to_owned() })?;
    let changes = match parse(&saved) {
        Ok(before) => changes_between(&before, &document),
        Err(_) => Vec::new(),
    };
    let file_changed = project.as_ref().is_some_and(|project| {
        Stamp::of_file(project).is_ok_and(|stamp| stamp != Stamp::of(saved.as_bytes()))
    });
    let noted = seconds.and_then(|seconds| UNIX_EPOCH.checked_add(std::time::Duration::from_secs(seconds)));
    Ok(Some(Recovery { project, document, text, descriptions, changes, noted, file_changed }))
}

fn encoded(record: &Record, path: &Path) -> Result<Vec<u8>, StoreError> {
    let refuse =
        |message: String| StoreError::System { cause: std::io::Error::other(message), path: path.to_owned() };
    let payload = ron::to_string(record).map_err(|error| refuse(error.to_string()))?;
    let length = u32::try_from(payload.len()).map_err(|_| refuse("the document is too large".to_owned()))?;
    let mut bytes = Vec::with_capacity(HEAD + payload.len());
    bytes.extend(length.to_le_bytes());
    bytes.extend(crc32fast::hash(payload.as_bytes()).to_le_bytes());
    bytes.extend(payload.as_bytes());
    Ok(bytes)
}

/// Takes the next whole record off `bytes`.
fn next_record(bytes: &mut &[u8]) -> Option<Record> {
    let (length, rest) = bytes.split_first_chunk::<4>()?;
    let (checksum, rest) = rest.split_first_chunk::<4>()?;
    let length = usize::try_from(u32::from_le_bytes(*length)).ok()?;
    let payload = rest.get(..length)?;
    if crc32fast::hash(payload) != u32::from_le_bytes(*checksum) {
        return None;
    }
    *bytes = rest.get(length..)?;
    ron::de::from_bytes(payload).ok()
}
