//! The recovery journal: every edit is on disk at once.
//!
//! The journal is a row of records, each with its length and checksum. The first holds the whole text as it
//! was saved last and as it was when the journal was begun, each later one the stretch that an edit changed. A
//! record cut off by a kill ends the row; what stands before it is whole.
//!
//! A journal belongs to the file it lies beside. The path written in it is shown to people, never followed:
//! folders are copied and moved, and anyone may have written it.

use std::io;
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use serde::{Deserialize, Serialize};

use super::changes::changes_between;
use super::files::{Access, Kind, Writing};
use super::names::{folder_of, fresh_beside, is_journal_numbered, journal_numbered, journal_path};
use super::{Store, StoreError};
use crate::document::Document;
use crate::edit::difference;
use crate::read::{LARGEST_FILE, parse};

/// A journal that has grown to this size (bytes) is begun anew with the text as it is.
const LARGEST_JOURNAL: u64 = 1024 * 1024;
/// A journal of this many edits is begun anew: replaying moves the text at each.
const MOST_EDITS: usize = 2000;
/// No more edits than this are replayed; no journal of this program has as many.
const MOST_REPLAYED: usize = 10 * MOST_EDITS;
/// No journal is read further than this (bytes).
const MOST_READ: u64 = 16 * 1024 * 1024;
/// Length and checksum before each record (bytes).
const HEAD: usize = 8;
/// How many journals of one file are kept.
const MOST_JOURNALS: usize = 100;

/// One record.
#[derive(Debug, Serialize, Deserialize)]
enum Record {
    /// The first: the file the document belongs to, its text as saved, its text when the journal was begun.
    Start { project: Option<PathBuf>, saved: String, text: String, descriptions: Vec<String> },
    /// An edit: from byte `at`, `remove` bytes make place for `insert`.
    Edit { description: String, at: usize, remove: usize, insert: String, seconds: u64 },
}

/// What a journal is begun with.
#[derive(Clone, Debug)]
pub struct Beginning {
    /// Where it should stand.
    pub path: PathBuf,
    /// Whether it goes on from the journal that stands there, whose text is `text`. Otherwise unsaved work that
    /// stands there stays, and the journal takes the next free name.
    pub goes_on: bool,
    /// The file the document belongs to, if it has one.
    pub project: Option<PathBuf>,
    /// The text as saved last; empty if it never was.
    pub saved: String,
    /// The text now.
    pub text: String,
}

/// A journal being written. It is locked, so that no other window takes it for a dead program's.
#[derive(Debug)]
pub struct Journal {
    store: Store,
    path: PathBuf,
    project: Option<PathBuf>,
    file: Box<dyn Writing>,
    saved: String,
    text: String,
    descriptions: Vec<String>,
    identity: Option<(u64, u64)>,
    bytes: u64,
    edits: usize,
}

impl Store {
    /// Begins a journal. On return it is on disk, and a kill at any moment leaves either the one before or this
    /// one.
    ///
    /// # Errors
    /// When it cannot be written, or another window is writing it.
    pub fn begin_journal(&self, beginning: Beginning) -> Result<Journal, StoreError> {
        let Beginning { path, goes_on, project, saved, text } = beginning;
        let taken = || StoreError::Taken { path: path.clone() };
        let path = if goes_on {
            if self.files.is_locked(&path).unwrap_or(false) {
                return Err(taken());
            }
            path
        } else {
            let is_free =
                |path: &PathBuf| matches!(self.recover(path, project.as_deref()), Ok(Found::Nothing));
            (0..MOST_JOURNALS).map(|n| journal_numbered(&path, n)).find(is_free).ok_or_else(taken)?
        };
        self.remove_leftovers(&path);
        self.write_journal(path, project, saved, text, Vec::new())
    }

    fn write_journal(
        &self,
        path: PathBuf,
        project: Option<PathBuf>,
        saved: String,
        text: String,
        descriptions: Vec<String>,
    ) -> Result<Journal, StoreError> {
        let record = Record::Start {
            project: project.clone(),
            saved: saved.clone(),
            text: text.clone(),
            descriptions: descriptions.clone(),
        };
        let bytes = encoded(&record, &path)?;
        // Who may not read the project may not read what is being made of it.
        let like = project.as_deref().and_then(|project| self.files.about(project).ok());
        let access = like.map_or(Access::OWN, |about| about.access);
        let new = fresh_beside(&path);
        let begin = || -> io::Result<Box<dyn Writing>> {
            let mut file = self.files.create(&new, access)?;
            file.append(&bytes)?;
            file.sync()?;
            file.lock();
            self.files.rename(&new, &path)?;
            self.files.sync_folder(&folder_of(&path))?;
            Ok(file)
        };
        let file = begin().map_err(|cause| {
            let _ = self.files.remove(&new);
            StoreError::from_io(cause, &path)
        })?;
        let identity = self.files.about(&path).ok().and_then(|about| about.identity);
        let (store, bytes) = (self.clone(), bytes.len() as u64);
        Ok(Journal { store, path, project, file, saved, text, descriptions, identity, bytes, edits: 0 })
    }
}

impl Journal {
    /// Where it stands.
    pub fn path(&self) -> &Path {
        &self.path
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
        let fits = self.bytes + bytes.len() as u64 <= LARGEST_JOURNAL && self.edits < MOST_EDITS;
        // Part of a record may stand there after a failure: begin anew rather than write behind it. Nor is one
        // written on that somebody else has removed or replaced.
        if !fits || !self.stands() || self.file.append(&bytes).and_then(|()| self.file.sync()).is_err() {
            return self.renew(text, description);
        }
        self.bytes += bytes.len() as u64;
        self.edits += 1;
        text.clone_into(&mut self.text);
        self.descriptions.push(description.to_owned());
        Ok(())
    }

    /// Whether it is still there, itself and not another of its name.
    fn stands(&self) -> bool {
        self.store.files.about(&self.path).is_ok_and(|about| about.identity == self.identity)
    }

    fn renew(&mut self, text: &str, description: &str) -> Result<(), StoreError> {
        // Descriptions of long ago are of no use in an offer to recover.
        const KEPT: usize = 50;
        let late = self.descriptions.len().saturating_sub(KEPT);
        let mut descriptions = self.descriptions.get(late..).unwrap_or_default().to_vec();
        descriptions.push(description.to_owned());
        // What is broken now may hold part of a record; nothing is written to it again, whatever comes.
        self.edits = MOST_EDITS;
        *self = self.store.write_journal(
            self.path.clone(),
            self.project.clone(),
            self.saved.clone(),
            text.to_owned(),
            descriptions,
        )?;
        Ok(())
    }

    /// Removes the journal: the work is saved, or given up on purpose.
    ///
    /// # Errors
    /// When it cannot be removed.
    pub fn finish(self) -> Result<(), StoreError> {
        self.store.remove(&self.path)
    }
}

/// What a killed program had not saved.
#[derive(Clone, Debug)]
pub struct Recovery {
    /// The file the journal speaks of; to be shown, never followed.
    pub named: Option<PathBuf>,
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
    /// Whether the file it lies beside has been changed since, by someone else: recovering would undo that.
    pub file_changed: bool,
}

/// What stands in a journal.
#[derive(Clone, Debug)]
pub enum Found {
    /// Nothing that was not saved, or there is no journal.
    Nothing,
    /// A program that runs is writing it.
    InUse,
    /// It cannot be read, not even its beginning.
    Damaged,
    /// Unsaved work.
    Unsaved(Box<Recovery>),
}

impl Store {
    /// The journals that lie beside a project file: its own, and those put off before it was worked on again.
    pub fn journals_beside(&self, project: &Path) -> Vec<PathBuf> {
        let first = journal_path(&self.whole_path(project));
        let found = self.files.list(&folder_of(&first)).unwrap_or_default();
        let is_one = |path: &PathBuf| path.file_name().is_some_and(|name| is_journal_numbered(&first, name));
        let mut found: Vec<_> = found.into_iter().filter(is_one).collect();
        found.sort_by_key(|path| (path.as_os_str().len(), path.clone()));
        found
    }

    /// The journals in a folder of work without files.
    pub fn journals_in(&self, folder: &Path) -> Vec<PathBuf> {
        let mut found = self.files.list(folder).unwrap_or_default();
        found.retain(|path| path.extension().is_some_and(|end| end == "journal"));
        found.sort();
        found
    }

    /// What a journal holds that was not saved. `project` is the file it lies beside.
    ///
    /// # Errors
    /// When the journal is there but cannot be read at all.
    pub fn recover(&self, path: &Path, project: Option<&Path>) -> Result<Found, StoreError> {
        let failed = |cause| StoreError::from_io(cause, path);
        match self.files.about(path) {
            Err(cause) if cause.kind() == io::ErrorKind::NotFound => return Ok(Found::Nothing),
            Err(cause) => return Err(failed(cause)),
            // A link or anything else that is not a file is none of ours.
            Ok(about) if about.is_link || about.kind != Kind::File => return Ok(Found::Damaged),
            Ok(_) => {}
        }
        if self.files.is_locked(path).map_err(failed)? {
            return Ok(Found::InUse);
        }
        let bytes = self.files.read(path, MOST_READ).map_err(failed)?;
        let now = project.and_then(|project| self.read(project).ok());
        Ok(Found::in_bytes(&bytes, project.is_some(), now.as_deref()))
    }

    /// Gives a damaged journal another name, so that it is neither told of again nor overwritten; gives the name.
    ///
    /// # Errors
    /// When it cannot be renamed.
    pub fn set_aside(&self, journal: &Path) -> Result<PathBuf, StoreError> {
        let name = journal.file_name().unwrap_or_default().to_string_lossy();
        let first = journal.with_file_name(format!("{}.damaged", name.trim_start_matches('.')));
        let mut names = (0..MOST_JOURNALS).map(|number| journal_numbered(&first, number));
        let aside = names.find(|name| !self.exists(name)).unwrap_or_else(|| fresh_beside(&first));
        let moved = self.files.rename(journal, &aside);
        moved.map_err(|cause| StoreError::from_io(cause, journal)).map(|()| aside)
    }
}

impl Found {
    /// What the bytes of a journal hold. `lies_beside` says whether it belongs to a file, `now` what that holds.
    pub fn in_bytes(bytes: &[u8], lies_beside: bool, now: Option<&[u8]>) -> Self {
        if bytes.is_empty() {
            return Self::Nothing;
        }
        let mut rest = bytes;
        let Some(Record::Start { project: named, saved, mut text, mut descriptions }) =
            next_record(&mut rest)
        else {
            return Self::Damaged;
        };
        let mut seconds = None;
        for _ in 0..MOST_REPLAYED {
            let Some(Record::Edit { description, at, remove, insert, seconds: noted }) =
                next_record(&mut rest)
            else {
                break;
            };
            let Some(end) = at.checked_add(remove) else { break };
            if text.get(at..end).is_none() || text.len() - remove + insert.len() > LARGEST_FILE {
                break;
            }
            text.replace_range(at..end, &insert);
            descriptions.push(description);
            seconds = Some(noted);
        }
        let has_gone = lies_beside && now.is_none();
        if (text == saved && !has_gone) || now == Some(text.as_bytes()) {
            return Self::Nothing;
        }
        let Ok(document) = parse(&text) else { return Self::Damaged };
        let changes = match parse(&saved) {
            Ok(before) => changes_between(&before, &document),
            Err(_) => Vec::new(),
        };
        let file_changed = now.is_some_and(|now| now != saved.as_bytes());
        let noted =
            seconds.and_then(|seconds| UNIX_EPOCH.checked_add(std::time::Duration::from_secs(seconds)));
        Self::Unsaved(Box::new(Recovery {
            named,
            document,
            text,
            descriptions,
            changes,
            noted,
            file_changed,
        }))
    }
}

fn encoded(record: &Record, path: &Path) -> Result<Vec<u8>, StoreError> {
    let refuse =
        |message: String| StoreError::System { cause: io::Error::other(message), path: path.to_owned() };
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
