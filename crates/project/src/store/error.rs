//! Why a file cannot be read or written.

use std::io;
use std::path::{Path, PathBuf};

use crate::problem::Problem;
use crate::read::LARGEST_FILE;

/// Why a file cannot be read or written. Nothing is lost in any of these cases: the document is still in
/// memory, and the file on disk is as it was.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// There is no such file.
    #[error("there is no file {0}", path.display())]
    NoFile {
        /// The file.
        path: PathBuf,
    },
    /// The folder the file should stand in is not there.
    #[error("there is no folder {0}", folder.display())]
    NoFolder {
        /// The folder.
        folder: PathBuf,
    },
    /// The file, or its folder, may not be written.
    #[error("{0} may not be written", path.display())]
    ReadOnly {
        /// The file.
        path: PathBuf,
    },
    /// There is no room on the disk.
    #[error("the disk is full; {0} was not saved", path.display())]
    DiskFull {
        /// The file.
        path: PathBuf,
    },
    /// Someone else has written the file since it was opened or saved last.
    #[error("{0} has been changed by someone else since it was opened", path.display())]
    ChangedOutside {
        /// The file.
        path: PathBuf,
    },
    /// The file has been deleted, renamed or moved since it was opened or saved last.
    #[error("{0} is no longer there", path.display())]
    Gone {
        /// The file.
        path: PathBuf,
    },
    /// A file stands where none was expected.
    #[error("{0} exists already", path.display())]
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// Another window has the file open for writing.
    #[error("{0} is open in another window", path.display())]
    Taken {
        /// The file.
        path: PathBuf,
    },
    /// The path does not name a file.
    #[error("{0} is not a regular file", path.display())]
    NotAFile {
        /// The path.
        path: PathBuf,
    },
    /// The file is larger than any project.
    #[error("{0} is too large for a project file, which has at most {most} MB", path.display(), most = LARGEST_FILE / 1_048_576)]
    TooLarge {
        /// The file.
        path: PathBuf,
    },
    /// The file cannot be read as a project.
    #[error("{0} cannot be read as a project: {1}", path.display(), first(problems))]
    Unreadable {
        /// What is wrong with it.
        problems: Vec<Problem>,
        /// The file.
        path: PathBuf,
    },
    /// The system allows no name like this, most often for its length.
    #[error("{0} is not a name this system allows", path.display())]
    BadName {
        /// The file.
        path: PathBuf,
    },
    /// Anything else the system says.
    #[error("{0} ({1})", plain(cause), path.display())]
    System {
        /// What the system says.
        cause: io::Error,
        /// The file.
        path: PathBuf,
    },
}

fn first(problems: &[Problem]) -> String {
    problems.first().map(ToString::to_string).unwrap_or_default()
}

/// What the system says, without its number for it.
fn plain(cause: &io::Error) -> String {
    let text = cause.to_string();
    match text.find(" (os error") {
        Some(end) => text.get(..end).unwrap_or_default().to_lowercase(),
        None => text,
    }
}

impl StoreError {
    /// What the system's error means for this file.
    pub(super) fn from_io(cause: io::Error, path: &Path) -> Self {
        let path = path.to_owned();
        match cause.kind() {
            io::ErrorKind::NotFound => Self::NoFile { path },
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => Self::ReadOnly { path },
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::DiskFull { path },
            io::ErrorKind::IsADirectory => Self::NotAFile { path },
            io::ErrorKind::InvalidFilename => Self::BadName { path },
            _ => Self::System { cause, path },
        }
    }

    /// What to do about it.
    pub const fn remedy(&self) -> &'static str {
        match self {
            Self::NoFile { .. } => "check the name, or open another file",
            Self::NoFolder { .. } => "make the folder, or save under another name",
            Self::ReadOnly { .. } => "save under another name or in another folder",
            Self::DiskFull { .. } => "make room, or save to another disk",
            Self::ChangedOutside { .. } => {
                "save under another name, or reload the file and lose your changes"
            }
            Self::Gone { .. } => "save it again in the same place, or under another name",
            Self::Exists { .. } => "choose another name, or agree to replace it",
            Self::Taken { .. } => "close the other window, or save under another name",
            Self::NotAFile { .. } => "name a file",
            Self::TooLarge { .. } => "open a project file",
            Self::Unreadable { .. } => "correct the text, or open the previous version beside it",
            Self::BadName { .. } => "choose a shorter name",
            Self::System { .. } => "try again, or save under another name",
        }
    }
}
