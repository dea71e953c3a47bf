//! Opening and saving.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::files::{About, Access, Files, Kind};
use super::names::{backup_path, folder_of, fresh_beside, is_fresh_beside};
use super::{Disk, Expected, Stamp, StoreError};
use crate::document::{Document, PartsFile};
use crate::print::{print, print_parts};
use crate::problem::Problem;
use crate::read::{LARGEST_FILE, Read as ReadDocument, read_bytes, read_parts, utf8};

/// Where files are kept. Every file the program writes goes through it: written aside under a name nobody can
/// foretell, forced to the disk, and put in its place at one blow.
#[derive(Clone, Debug)]
pub struct Store {
    pub(super) files: Arc<dyn Files>,
}

impl Default for Store {
    fn default() -> Self {
        Self::disk()
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

impl Store {
    /// The machine's own file system.
    pub fn disk() -> Self {
        Self::on(Arc::new(Disk))
    }

    /// Another file system.
    pub fn on(files: Arc<dyn Files>) -> Self {
        Self { files }
    }

    /// The one spelling of a path: absolute and without links, also for a file that is not there yet.
    pub fn whole_path(&self, path: &Path) -> PathBuf {
        if let Ok(whole) = self.files.canonical(path) {
            return whole;
        }
        let name = path.file_name().unwrap_or_default();
        match self.files.canonical(&folder_of(path)) {
            Ok(folder) => folder.join(name),
            Err(_) => std::path::absolute(path).unwrap_or_else(|_| path.to_owned()),
        }
    }

    /// Whether two paths name one file, whatever their spelling, links and second names included.
    pub fn is_same_file(&self, one: &Path, other: &Path) -> bool {
        if self.whole_path(one) == self.whole_path(other) {
            return true;
        }
        let identity = |path| self.files.about(path).ok().and_then(|about| about.identity);
        identity(one).is_some_and(|id| identity(other) == Some(id))
    }

    /// Whether something stands at a path.
    pub fn exists(&self, path: &Path) -> bool {
        self.files.about(path).is_ok()
    }

    /// Reads a project file.
    ///
    /// # Errors
    /// When there is no such file, or it cannot be read as a project.
    pub fn open(&self, path: &Path) -> Result<Opened, StoreError> {
        let bytes = self.read(path)?;
        let unreadable = |problems| StoreError::Unreadable { problems, path: path.to_owned() };
        let ReadDocument { document, notes } = read_bytes(&bytes).map_err(unreadable)?;
        let stamp = Stamp::of(&bytes);
        let text = String::from_utf8(bytes).unwrap_or_default();
        Ok(Opened { document, text, notes, stamp })
    }

    /// The bytes of a regular file no larger than a project may be.
    ///
    /// # Errors
    /// When there is no such file, it is something else or larger.
    pub fn read(&self, path: &Path) -> Result<Vec<u8>, StoreError> {
        let failed = |cause| StoreError::from_io(cause, path);
        if self.files.about(path).map_err(failed)?.kind != Kind::File {
            return Err(StoreError::NotAFile { path: path.to_owned() });
        }
        let bytes = self.files.read(path, LARGEST_FILE as u64 + 1).map_err(failed)?;
        if bytes.len() > LARGEST_FILE {
            return Err(StoreError::TooLarge { path: path.to_owned() });
        }
        Ok(bytes)
    }

    /// The stamp of a file as it is now.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn stamp(&self, path: &Path) -> Result<Stamp, StoreError> {
        self.read(path).map(|bytes| Stamp::of(&bytes))
    }

    /// Reads a file of parts; one that is not there yet is empty.
    ///
    /// # Errors
    /// When it is there and cannot be read.
    pub fn open_parts(&self, path: &Path) -> Result<(PartsFile, Expected), StoreError> {
        let bytes = match self.read(path) {
            Ok(bytes) => bytes,
            Err(StoreError::NoFile { .. }) => return Ok((PartsFile::default(), Expected::Nothing)),
            Err(error) => return Err(error),
        };
        let unreadable = |problems| StoreError::Unreadable { problems, path: path.to_owned() };
        // What is not understood in full would be lost when it is written again.
        let text = utf8(&bytes).map_err(unreadable)?;
        let parts = read_parts(text).map_err(unreadable)?;
        Ok((parts, Expected::Unchanged(Stamp::of(&bytes))))
    }

    /// Saves a file of parts as [`Store::save`] does a document.
    ///
    /// # Errors
    /// As [`Store::save`].
    pub fn save_parts(
        &self,
        path: &Path,
        parts: &PartsFile,
        expected: Expected,
    ) -> Result<Stamp, StoreError> {
        self.save_text(path, &print_parts(parts), expected)
    }

    /// Saves a document so that at every moment the file holds either all of the old or all of the new: the new
    /// is written beside it, forced to the disk, and takes the old one's name. The old one is kept; see
    /// [`backup_path`].
    ///
    /// # Errors
    /// When the folder is missing or may not be written, the disk is full, or the file is not as expected. The
    /// file is as it was then.
    pub fn save(&self, path: &Path, document: &Document, expected: Expected) -> Result<Stamp, StoreError> {
        self.save_text(path, &print(document), expected)
    }

    /// Saves text as [`Store::save`] does a document.
    fn save_text(&self, path: &Path, text: &str, expected: Expected) -> Result<Stamp, StoreError> {
        if path.file_name().is_none() {
            return Err(StoreError::NotAFile { path: path.to_owned() });
        }
        // A link stays a link to the file that is replaced.
        let path = &self.whole_path(path);
        let about = self.checked(path)?;
        match (expected, about.is_some()) {
            (Expected::Nothing, true) => return Err(StoreError::Exists { path: path.clone() }),
            (Expected::Unchanged(_), false) => return Err(StoreError::Gone { path: path.clone() }),
            (Expected::Unchanged(stamp), true) if self.stamp(path).ok() != Some(stamp) => {
                return Err(StoreError::ChangedOutside { path: path.clone() });
            }
            _ => {}
        }
        let new = fresh_beside(path);
        let placed = self.write_aside(&new, text.as_bytes(), about).and_then(|()| {
            if about.is_some() {
                self.keep_previous(path)?;
            }
            self.files.rename(&new, path)?;
            self.files.sync_folder(&folder_of(path))
        });
        self.done(placed, path, &new)?;
        Ok(Stamp::of(text.as_bytes()))
    }

    /// Writes a file that is not a project, whole: what stands there before is replaced at one blow, and stays
    /// if anything fails. A link is replaced, not followed.
    ///
    /// # Errors
    /// As [`Store::save`].
    pub fn write(&self, path: &Path, bytes: &[u8]) -> Result<(), StoreError> {
        if path.file_name().is_none() {
            return Err(StoreError::NotAFile { path: path.to_owned() });
        }
        let about = self.checked(path)?.filter(|about| !about.is_link);
        let new = fresh_beside(path);
        let placed = self.write_aside(&new, bytes, about).and_then(|()| {
            self.files.rename(&new, path)?;
            self.files.sync_folder(&folder_of(path))
        });
        self.done(placed, path, &new)
    }

    /// Writes all of these files into a folder, or none of them. A folder that is not there appears at one blow;
    /// in one that is there, other files stay. The last file is put in its place last.
    ///
    /// # Errors
    /// As [`Store::write`].
    pub fn write_all(&self, folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), StoreError> {
        if folder.file_name().is_some() && !self.exists(folder) {
            let new = fresh_beside(folder);
            let made = self.files.make_folder(&folder_of(folder), false).and_then(|()| {
                self.files.make_folder(&new, false)?;
                for (name, bytes) in files {
                    self.write_aside(&new.join(name), bytes, None)?;
                }
                self.files.sync_folder(&new)?;
                self.files.rename(&new, folder)?;
                self.files.sync_folder(&folder_of(folder))
            });
            if made.is_err() {
                let _ = self.files.remove_folder(&new);
            }
            return made.map_err(|cause| StoreError::from_io(cause, folder));
        }
        let mut pairs = Vec::new();
        for (name, _) in files {
            let path = folder.join(name);
            let about = self.checked(&path)?.filter(|about| !about.is_link);
            pairs.push((fresh_beside(&path), path, about));
        }
        let mut outcome = Ok(());
        for ((_, bytes), (new, path, about)) in files.iter().zip(&pairs) {
            outcome = self.write_aside(new, bytes, *about).map_err(|cause| StoreError::from_io(cause, path));
            if outcome.is_err() {
                break;
            }
        }
        for (new, path, _) in &pairs {
            if outcome.is_ok() {
                outcome = self.files.rename(new, path).map_err(|cause| StoreError::from_io(cause, path));
            }
        }
        if outcome.is_err() {
            for (new, _, _) in &pairs {
                let _ = self.files.remove(new);
            }
        }
        outcome?;
        self.files.sync_folder(folder).map_err(|cause| StoreError::from_io(cause, folder))
    }

    /// Removes a file that is of no more use; one that has gone already is no failure.
    ///
    /// # Errors
    /// When it cannot be removed.
    pub fn remove(&self, path: &Path) -> Result<(), StoreError> {
        match self.files.remove(path).and_then(|()| self.files.sync_folder(&folder_of(path))) {
            Err(cause) if cause.kind() != io::ErrorKind::NotFound => Err(StoreError::from_io(cause, path)),
            _ => Ok(()),
        }
    }

    /// Removes unsaved work that is given up, unless a window that runs is writing it.
    ///
    /// # Errors
    /// When it is being written, or cannot be removed.
    pub fn discard(&self, journal: &Path) -> Result<(), StoreError> {
        if self.files.is_locked(journal).unwrap_or(false) {
            return Err(StoreError::Taken { path: journal.to_owned() });
        }
        self.remove(journal)
    }

    /// Makes a folder, and those it stands in, that only its owner may look into.
    ///
    /// # Errors
    /// When it cannot be made.
    pub fn make_private_folder(&self, folder: &Path) -> Result<(), StoreError> {
        if self.exists(folder) {
            return Ok(());
        }
        self.files.make_folder(folder, true).map_err(|cause| StoreError::from_io(cause, folder))
    }

    /// Makes a folder and those it stands in.
    ///
    /// # Errors
    /// When it cannot be made.
    pub fn make_folder(&self, folder: &Path) -> Result<(), StoreError> {
        if self.exists(folder) {
            return Ok(());
        }
        self.files.make_folder(folder, false).map_err(|cause| StoreError::from_io(cause, folder))
    }

    /// What is known of a file that is about to be written, if it is there and may be replaced.
    fn checked(&self, path: &Path) -> Result<Option<About>, StoreError> {
        let folder = folder_of(path);
        if !self.files.about(&folder).is_ok_and(|about| about.kind == Kind::Folder) {
            return Err(StoreError::NoFolder { folder });
        }
        match self.files.about(path) {
            Err(cause) if cause.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(cause) => Err(StoreError::from_io(cause, path)),
            Ok(about) if about.kind != Kind::File => Err(StoreError::NotAFile { path: path.to_owned() }),
            Ok(about) if about.is_read_only => Err(StoreError::ReadOnly { path: path.to_owned() }),
            Ok(about) => Ok(Some(about)),
        }
    }

    /// Writes a new file and forces it to the disk, with the permissions of the one it will replace.
    fn write_aside(&self, new: &Path, bytes: &[u8], like: Option<About>) -> io::Result<()> {
        let access = like.map_or(Access::USUAL, |about| about.access);
        let mut file = self.files.create(new, access)?;
        file.append(bytes)?;
        file.sync()
    }

    /// Clears up after a file that could not be put in its place.
    fn done(&self, placed: io::Result<()>, path: &Path, new: &Path) -> Result<(), StoreError> {
        placed.map_err(|cause| {
            // The new file is of no use; what went wrong matters more than whether it can be removed.
            let _ = self.files.remove(new);
            match StoreError::from_io(cause, path) {
                StoreError::NoFile { .. } => StoreError::NoFolder { folder: folder_of(path) },
                other => other,
            }
        })
    }

    /// Gives the file a second name, the backup's, without a moment at which either is missing.
    fn keep_previous(&self, path: &Path) -> io::Result<()> {
        let second = fresh_beside(path);
        self.files.second_name(path, &second)?;
        let renamed = self.files.rename(&second, &backup_path(path));
        // Renaming one name of a file to another name of the same file does nothing and leaves both.
        let _ = self.files.remove(&second);
        renamed
    }

    /// Removes new files that a killed program left beside a file. Only for the one who alone writes it.
    pub(super) fn remove_leftovers(&self, path: &Path) {
        for found in self.files.list(&folder_of(path)).unwrap_or_default() {
            if found.file_name().is_some_and(|name| is_fresh_beside(path, name)) {
                // One that cannot be removed does no harm.
                let _ = self.files.remove(&found);
            }
        }
    }
}
