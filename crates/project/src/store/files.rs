//! What a store stands on: the few things a file system must do for it.

use std::fmt::Debug;
use std::io;
use std::path::{Path, PathBuf};

/// Who may read and write a file: the permission bits of systems that have them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Access(pub Option<u32>);

impl Access {
    /// Only its owner may read and write it.
    pub const OWN: Self = Self(Some(0o600));
    /// As the system gives to new files.
    pub const USUAL: Self = Self(None);
}

/// The kinds of thing a path can name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A regular file.
    File,
    /// A folder.
    Folder,
    /// A device, a pipe, a socket.
    Other,
}

/// What is known of a file without reading it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct About {
    /// Its kind, links followed.
    pub kind: Kind,
    /// Whether the path itself is a symbolic link.
    pub is_link: bool,
    /// Whether nobody may write it.
    pub is_read_only: bool,
    /// Who may read and write it.
    pub access: Access,
    /// Device and number in it, where the system has such: the same for every name of one file.
    pub identity: Option<(u64, u64)>,
}

/// A lock held until it is dropped, or the program ends, however it ends.
pub trait Lock: Debug + Send + Sync {}

/// A new file being written.
pub trait Writing: Debug + Send {
    /// Writes bytes behind those written so far.
    ///
    /// # Errors
    /// What the system says; some of the bytes may have been written.
    fn append(&mut self, bytes: &[u8]) -> io::Result<()>;

    /// Forces what was written to the disk.
    ///
    /// # Errors
    /// What the system says; then nothing is known of what is on the disk.
    fn sync(&mut self) -> io::Result<()>;

    /// Locks the file as long as this value lives. A system without locks does without: then two windows are
    /// not told apart.
    fn lock(&mut self);
}

/// A file system, as far as a store needs one. [`Disk`](super::Disk) is that of the machine; tests put others in
/// its place that fail, or lose what was not forced to the disk.
pub trait Files: Debug + Send + Sync {
    /// The one spelling of a path that exists: absolute, without links.
    ///
    /// # Errors
    /// What the system says.
    fn canonical(&self, path: &Path) -> io::Result<PathBuf>;

    /// What is known of a file.
    ///
    /// # Errors
    /// What the system says; `NotFound` when nothing is there.
    fn about(&self, path: &Path) -> io::Result<About>;

    /// The first `most` bytes of a regular file.
    ///
    /// # Errors
    /// What the system says.
    fn read(&self, path: &Path, most: u64) -> io::Result<Vec<u8>>;

    /// Everything that stands in a folder.
    ///
    /// # Errors
    /// What the system says.
    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>>;

    /// Makes a folder and those it stands in, for its owner alone where `is_private`.
    ///
    /// # Errors
    /// What the system says.
    fn make_folder(&self, folder: &Path, is_private: bool) -> io::Result<()>;

    /// Begins a file where none is, not even a link; nobody reads it before its permissions are set.
    ///
    /// # Errors
    /// What the system says.
    fn create(&self, path: &Path, access: Access) -> io::Result<Box<dyn Writing>>;

    /// Gives a file or folder another name, in place of what had it, at one blow.
    ///
    /// # Errors
    /// What the system says.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;

    /// Gives a file a second name that nothing has yet; its contents where the system knows no second names.
    ///
    /// # Errors
    /// What the system says.
    fn second_name(&self, file: &Path, second: &Path) -> io::Result<()>;

    /// Removes a file.
    ///
    /// # Errors
    /// What the system says.
    fn remove(&self, file: &Path) -> io::Result<()>;

    /// Removes a folder with all that is in it.
    ///
    /// # Errors
    /// What the system says.
    fn remove_folder(&self, folder: &Path) -> io::Result<()>;

    /// Makes what was created, renamed and removed in a folder lasting, where the system allows that.
    ///
    /// # Errors
    /// What the system says.
    fn sync_folder(&self, folder: &Path) -> io::Result<()>;

    /// Whether somebody holds the lock of a file.
    ///
    /// # Errors
    /// What the system says.
    fn is_locked(&self, file: &Path) -> io::Result<bool>;

    /// Makes a file whose lock stands for a right, takes the lock, and removes the file with it; `None` when
    /// somebody else has it.
    ///
    /// # Errors
    /// What the system says.
    fn claim(&self, lock_file: &Path) -> io::Result<Option<Box<dyn Lock>>>;
}
