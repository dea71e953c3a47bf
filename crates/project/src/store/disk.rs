//! The machine's own file system.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use super::files::{About, Access, Files, Kind, Lock, Writing};

/// The machine's own file system.
#[derive(Clone, Copy, Debug, Default)]
pub struct Disk;

impl Files for Disk {
    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        fs::canonicalize(path)
    }

    fn about(&self, path: &Path) -> io::Result<About> {
        let is_link = fs::symlink_metadata(path)?.is_symlink();
        let metadata = fs::metadata(path)?;
        let kind = match metadata.file_type() {
            kind if kind.is_file() => Kind::File,
            kind if kind.is_dir() => Kind::Folder,
            _ => Kind::Other,
        };
        Ok(About {
            kind,
            is_link,
            is_read_only: metadata.permissions().readonly(),
            access: system::access(&metadata),
            identity: system::identity(&metadata),
        })
    }

    fn read(&self, path: &Path, most: u64) -> io::Result<Vec<u8>> {
        // Opening a pipe would wait for a writer, perhaps for ever.
        if self.about(path)?.kind != Kind::File {
            return Err(io::Error::new(io::ErrorKind::IsADirectory, "not a regular file"));
        }
        let mut bytes = Vec::new();
        File::open(path)?.take(most).read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        fs::read_dir(folder)?.map(|entry| Ok(entry?.path())).collect()
    }

    fn make_folder(&self, folder: &Path, is_private: bool) -> io::Result<()> {
        let missing: Vec<&Path> =
            folder.ancestors().take_while(|above| !above.as_os_str().is_empty() && !above.exists()).collect();
        system::make_folder(folder, is_private)?;
        for made in missing {
            self.sync_folder(made.parent().unwrap_or(made))?;
        }
        Ok(())
    }

    fn create(&self, path: &Path, access: Access) -> io::Result<Box<dyn Writing>> {
        let file = system::create(path, access)?;
        Ok(Box::new(DiskFile { file }))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    fn second_name(&self, file: &Path, second: &Path) -> io::Result<()> {
        if fs::hard_link(file, second).is_ok() {
            return Ok(());
        }
        let access = self.about(file)?.access;
        let mut copy = self.create(second, access)?;
        copy.append(&self.read(file, u64::MAX)?)?;
        copy.sync()
    }

    fn remove(&self, file: &Path) -> io::Result<()> {
        fs::remove_file(file)
    }

    fn remove_folder(&self, folder: &Path) -> io::Result<()> {
        fs::remove_dir_all(folder)
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        if !cfg!(unix) {
            return Ok(());
        }
        let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        match File::open(folder)?.sync_all() {
            // Some file systems know no syncing of folders.
            Err(error) if error.kind() == io::ErrorKind::InvalidInput => Ok(()),
            synced => synced,
        }
    }

    fn is_locked(&self, file: &Path) -> io::Result<bool> {
        let file = File::open(file)?;
        let locked = matches!(file.try_lock(), Err(TryLockError::WouldBlock));
        if !locked {
            let _ = file.unlock();
        }
        Ok(locked)
    }

    fn claim(&self, lock_file: &Path) -> io::Result<Option<Box<dyn Lock>>> {
        /// How often a lock file that its owner is just removing is tried anew.
        const TRIES: usize = 20;
        for _ in 0..TRIES {
            if fs::symlink_metadata(lock_file).is_ok_and(|metadata| metadata.is_symlink()) {
                return Err(io::Error::other("a link stands where the lock should be"));
            }
            let file =
                OpenOptions::new().read(true).write(true).create(true).truncate(false).open(lock_file)?;
            match file.try_lock() {
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => return Ok(None),
                Err(TryLockError::Error(cause)) => return Err(cause),
            }
            // The owner before may have removed the file between opening and locking it.
            if system::is_same_file(&file, lock_file) {
                return Ok(Some(Box::new(DiskLock { path: lock_file.to_owned(), file })));
            }
        }
        Ok(None)
    }
}

/// A file on the disk.
#[derive(Debug)]
struct DiskFile {
    file: File,
}

impl Writing for DiskFile {
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.file.write_all(bytes)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.file.sync_all()
    }

    fn lock(&mut self) {
        let _ = self.file.try_lock();
    }
}

/// A lock file on the disk. Kept open: the system holds the lock as long as the file is.
#[derive(Debug)]
struct DiskLock {
    path: PathBuf,
    file: File,
}

impl Lock for DiskLock {}

impl Drop for DiskLock {
    fn drop(&mut self) {
        // Removed while still locked, so that nobody can claim a file that is about to go.
        let _ = fs::remove_file(&self.path);
        let _ = self.file.unlock();
    }
}

#[cfg(unix)]
mod system {
    use std::fs::{DirBuilder, File, Metadata, OpenOptions, Permissions, metadata};
    use std::io;
    use std::os::unix::fs::{DirBuilderExt, MetadataExt, OpenOptionsExt, PermissionsExt};
    use std::path::Path;

    use super::Access;

    pub(super) fn access(metadata: &Metadata) -> Access {
        Access(Some(metadata.permissions().mode() & 0o777))
    }

    pub(super) fn identity(metadata: &Metadata) -> Option<(u64, u64)> {
        Some((metadata.dev(), metadata.ino()))
    }

    pub(super) fn create(path: &Path, access: Access) -> io::Result<File> {
        let mut options = OpenOptions::new();
        options.write(true).create_new(true);
        let Some(mode) = access.0 else { return options.open(path) };
        let file = options.mode(mode & 0o600).open(path)?;
        file.set_permissions(Permissions::from_mode(mode))?;
        Ok(file)
    }

    pub(super) fn make_folder(folder: &Path, is_private: bool) -> io::Result<()> {
        let mut builder = DirBuilder::new();
        builder.recursive(true).mode(if is_private { 0o700 } else { 0o777 }).create(folder)
    }

    pub(super) fn is_same_file(file: &File, path: &Path) -> bool {
        match (file.metadata(), metadata(path)) {
            (Ok(a), Ok(b)) => a.ino() == b.ino() && a.dev() == b.dev(),
            _ => false,
        }
    }
}

#[cfg(not(unix))]
mod system {
    use std::fs::{File, Metadata, OpenOptions, create_dir_all};
    use std::io;
    use std::path::Path;

    use super::Access;

    pub(super) fn access(_: &Metadata) -> Access {
        Access::USUAL
    }

    pub(super) fn identity(_: &Metadata) -> Option<(u64, u64)> {
        None
    }

    pub(super) fn create(path: &Path, _: Access) -> io::Result<File> {
        OpenOptions::new().write(true).create_new(true).open(path)
    }

    pub(super) fn make_folder(folder: &Path, _: bool) -> io::Result<()> {
        create_dir_all(folder)
    }

    pub(super) fn is_same_file(_: &File, path: &Path) -> bool {
        path.exists()
    }
}
