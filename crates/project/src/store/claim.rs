//! One writer at a time.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::{Path, PathBuf};

use super::StoreError;
use super::files::{beside, remove_leftovers};

/// The right to write a file; given back when it is dropped or the program ends, however it ends.
#[derive(Debug)]
pub struct Claim {
    lock: PathBuf,
    /// Kept open: the system holds the lock as long as the file is.
    file: File,
}

/// How often a lock file that its owner is just removing is tried anew.
const TRIES: usize = 20;

impl Claim {
    /// Claims a file that need not exist yet.
    ///
    /// # Errors
    /// [`StoreError::Taken`] when another window has claimed it; others when the folder may not be written.
    pub fn take(path: &Path) -> Result<Self, StoreError> {
        let path = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let lock = beside(&path, "lock");
        for _ in 0..TRIES {
            let file =
                OpenOptions::new().read(true).write(true).create(true).truncate(false).open(&lock).map_err(
                    |cause| match StoreError::from_io(cause, &path) {
                        StoreError::NoFile { path } => {
                            StoreError::NoFolder { folder: path.parent().unwrap_or(&path).to_owned() }
                        }
                        other => other,
                    },
                )?;
            match file.try_lock() {
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => return Err(StoreError::Taken { path }),
                Err(TryLockError::Error(cause)) => return Err(StoreError::from_io(cause, &path)),
            }
            // The owner before may have removed the file between opening and locking it.
            if is_same_file(&file, &lock) {
                remove_leftovers(&path);
                return Ok(Self { lock, file });
            }
        }
        Err(StoreError::Taken { path })
    }
}

#[cfg(unix)]
fn is_same_file(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    match (file.metadata(), std::fs::metadata(path)) {
        (Ok(a), Ok(b)) => a.ino() == b.ino() && a.dev() == b.dev(),
        _ => false,
    }
}

#[cfg(not(unix))]
fn is_same_file(_: &File, path: &Path) -> bool {
    path.exists()
}

impl Drop for Claim {
    fn drop(&mut self) {
        // Removed while still locked, so that nobody can claim a file that is about to go.
        let _ = std::fs::remove_file(&self.lock);
        let _ = self.file.unlock();
    }
}
