//! One writer at a time.

use std::io;
use std::path::Path;

use super::files::Lock;
use super::names::{beside, folder_of};
use super::{Store, StoreError};

/// The right to write a file; given back when it is dropped or the program ends, however it ends.
#[derive(Debug)]
pub struct Claim {
    _lock: Box<dyn Lock>,
}

impl Store {
    /// Claims a file that need not exist yet.
    ///
    /// # Errors
    /// [`StoreError::Taken`] when another window has claimed it; others when the folder may not be written.
    pub fn claim(&self, path: &Path) -> Result<Claim, StoreError> {
        let path = self.whole_path(path);
        match self.files.claim(&beside(&path, "lock")) {
            Ok(Some(lock)) => {
                self.remove_leftovers(&path);
                Ok(Claim { _lock: lock })
            }
            Ok(None) => Err(StoreError::Taken { path }),
            Err(cause) if cause.kind() == io::ErrorKind::NotFound => {
                Err(StoreError::NoFolder { folder: folder_of(&path) })
            }
            Err(cause) => Err(StoreError::from_io(cause, &path)),
        }
    }
}
