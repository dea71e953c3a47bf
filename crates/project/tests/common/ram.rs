//! A file system in memory that can lose what a power cut may lose, fill up, and forget a killed program's locks.
//!
//! What counts as lasting is what POSIX promises and no more: the bytes of a file once it is synced, the names in
//! a folder once the folder is synced. Whatever else was done may be lost or kept, in any combination: names
//! changed later may last where earlier ones are lost, and of bytes not synced any part.

#![allow(dead_code, reason = "each test file uses some of it")]

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::io::{self, ErrorKind};
use std::path::{Component, Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard};

use glidewright_project::store::{About, Access, Files, Kind, Lock, Writing};

/// A small generator of random numbers (Marsaglia's xorshift with the shifts 13, 7 and 17), good enough to
/// choose what is lost.
#[derive(Clone, Debug)]
pub struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    /// One of the numbers below `count`.
    pub fn below(&mut self, count: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        ((self.0 >> 11) % count.max(1) as u64) as usize
    }

    pub fn chance(&mut self) -> bool {
        self.below(2) == 0
    }
}

#[derive(Clone, Debug, Default)]
struct Inode {
    live: Vec<u8>,
    synced: Vec<u8>,
    access: Option<u32>,
    /// The handle that holds its lock.
    locked: Option<u64>,
}

/// A change of names in one folder: what lost its name, what got one.
#[derive(Clone, Debug)]
struct Naming {
    folder: PathBuf,
    gone: Option<PathBuf>,
    come: Option<(PathBuf, usize)>,
}

#[derive(Debug, Default)]
struct Inside {
    inodes: Vec<Inode>,
    folders: BTreeSet<PathBuf>,
    links: BTreeMap<PathBuf, PathBuf>,
    live: BTreeMap<PathBuf, usize>,
    lasting: BTreeMap<PathBuf, usize>,
    pending: Vec<Naming>,
    claims: HashMap<PathBuf, u64>,
    handles: u64,
    /// Changes still to be made before the power goes.
    power: Option<usize>,
    changes: usize,
    is_dead: bool,
    is_full: bool,
}

/// The file system; clones share it.
#[derive(Clone, Debug, Default)]
pub struct Ram(Arc<Mutex<Inside>>);

fn no_power() -> io::Error {
    io::Error::other("there is no power")
}

fn not_found() -> io::Error {
    io::Error::from(ErrorKind::NotFound)
}

impl Inside {
    /// One change to the disk, unless the power is gone.
    fn change(&mut self) -> io::Result<()> {
        if self.is_dead {
            return Err(no_power());
        }
        if self.power == Some(0) {
            self.is_dead = true;
            return Err(no_power());
        }
        self.power = self.power.map(|left| left - 1);
        self.changes += 1;
        Ok(())
    }

    fn alive(&self) -> io::Result<()> {
        if self.is_dead { Err(no_power()) } else { Ok(()) }
    }

    /// A path without dots, links in it followed; the last part only where `last` says so.
    fn resolved(&self, path: &Path, last: bool) -> PathBuf {
        let mut whole = PathBuf::from("/");
        let parts: Vec<Component<'_>> = path.components().collect();
        for (number, part) in parts.iter().enumerate() {
            match part {
                Component::ParentDir => {
                    whole.pop();
                }
                Component::Normal(name) => {
                    whole.push(name);
                    if (last || number + 1 < parts.len())
                        && let Some(target) = self.links.get(&whole)
                    {
                        whole = self.resolved(target, true);
                    }
                }
                _ => {}
            }
        }
        whole
    }

    fn inode(&self, path: &Path) -> io::Result<usize> {
        self.live.get(&self.resolved(path, true)).copied().ok_or_else(not_found)
    }

    fn rename_now(&mut self, naming: &Naming) {
        if let Some(gone) = &naming.gone {
            self.live.remove(gone);
        }
        if let Some((come, inode)) = &naming.come {
            self.links.remove(come);
            self.live.insert(come.clone(), *inode);
        }
        self.pending.push(naming.clone());
    }
}

fn last_by(lasting: &mut BTreeMap<PathBuf, usize>, naming: &Naming) {
    if let Some(gone) = &naming.gone {
        lasting.remove(gone);
    }
    if let Some((come, inode)) = &naming.come {
        lasting.insert(come.clone(), *inode);
    }
}

impl Ram {
    fn inside(&self) -> MutexGuard<'_, Inside> {
        self.0.lock().unwrap()
    }

    /// An empty one with these folders.
    pub fn with_folders(folders: &[&str]) -> Self {
        let ram = Self::default();
        ram.inside().folders.extend(["/"].iter().chain(folders).map(PathBuf::from));
        ram
    }

    /// A copy of everything, to try something on.
    pub fn copy(&self) -> Self {
        let inside = self.inside();
        let mut inodes = inside.inodes.clone();
        inodes.iter_mut().for_each(|inode| inode.locked = None);
        Self(Arc::new(Mutex::new(Inside {
            inodes,
            folders: inside.folders.clone(),
            links: inside.links.clone(),
            live: inside.live.clone(),
            lasting: inside.lasting.clone(),
            pending: inside.pending.clone(),
            changes: inside.changes,
            handles: inside.handles,
            is_dead: inside.is_dead,
            ..Inside::default()
        })))
    }

    /// Lets the power go after so many more changes.
    pub fn cut_after(&self, changes: usize) {
        self.inside().power = Some(changes);
    }

    /// How many changes were made.
    pub fn changes(&self) -> usize {
        self.inside().changes
    }

    pub fn is_dead(&self) -> bool {
        self.inside().is_dead
    }

    /// Whether there is no room for a single byte.
    pub fn fill(&self, is_full: bool) {
        self.inside().is_full = is_full;
    }

    /// The power comes back: what was not forced to the disk is there or not, as chance has it.
    pub fn restart(&self, random: &mut Random) {
        let mut inside = self.inside();
        inside.is_dead = false;
        inside.power = None;
        inside.claims.clear();
        // One of four tempers: all lost, all kept, the first ones kept, any of them.
        let temper = random.below(4);
        let pending = std::mem::take(&mut inside.pending);
        let first = random.below(pending.len() + 1);
        let mut lasting = std::mem::take(&mut inside.lasting);
        for (number, naming) in pending.iter().enumerate() {
            let kept = match temper {
                0 => false,
                1 => true,
                2 => number < first,
                _ => random.chance(),
            };
            if kept {
                last_by(&mut lasting, naming);
            }
        }
        for inode in &mut inside.inodes {
            inode.locked = None;
            if inode.live != inode.synced {
                let common = inode.live.iter().zip(&inode.synced).take_while(|(a, b)| a == b).count();
                let end = common + random.below(inode.live.len() - common + 1);
                match random.below(4) {
                    0 => inode.live.clone_from(&inode.synced),
                    1 => {}
                    2 => inode.live.truncate(end),
                    // The length is there, the bytes are not.
                    _ => inode.live[end..].fill(0),
                }
                inode.synced.clone_from(&inode.live);
            }
        }
        inside.live.clone_from(&lasting);
        inside.lasting = lasting;
    }

    /// Puts bytes where somebody else would, at once and lasting.
    pub fn put(&self, path: &str, bytes: &[u8]) {
        let mut inside = self.inside();
        let path = inside.resolved(Path::new(path), true);
        let inode = Inode { live: bytes.to_vec(), synced: bytes.to_vec(), access: Some(0o644), locked: None };
        inside.inodes.push(inode);
        let number = inside.inodes.len() - 1;
        inside.live.insert(path.clone(), number);
        inside.lasting.insert(path, number);
    }

    /// A symbolic link.
    pub fn link(&self, path: &str, target: &str) {
        self.inside().links.insert(path.into(), target.into());
    }

    /// Removes a file as somebody else would.
    pub fn take_away(&self, path: &str) {
        let mut inside = self.inside();
        let path = inside.resolved(Path::new(path), true);
        inside.live.remove(&path);
        inside.lasting.remove(&path);
    }

    /// What a file holds now.
    pub fn bytes(&self, path: impl AsRef<Path>) -> Option<Vec<u8>> {
        let inside = self.inside();
        let number = inside.inode(path.as_ref()).ok()?;
        Some(inside.inodes[number].live.clone())
    }

    /// All files.
    pub fn names(&self) -> Vec<PathBuf> {
        self.inside().live.keys().cloned().collect()
    }
}

#[derive(Debug)]
struct RamFile {
    ram: Ram,
    inode: usize,
    handle: u64,
}

impl Writing for RamFile {
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        let mut inside = self.ram.inside();
        if inside.is_full {
            // Part of it still fits.
            let half = bytes[..bytes.len() / 2].to_vec();
            inside.inodes[self.inode].live.extend(half);
            return Err(io::Error::from(ErrorKind::StorageFull));
        }
        let changed = inside.change();
        // A cut in the middle of writing has written some.
        let share = if changed.is_ok() { bytes } else { &bytes[..bytes.len() / 2] };
        inside.inodes[self.inode].live.extend(share);
        changed
    }

    fn sync(&mut self) -> io::Result<()> {
        let mut inside = self.ram.inside();
        inside.change()?;
        let inode = &mut inside.inodes[self.inode];
        inode.synced.clone_from(&inode.live);
        Ok(())
    }

    fn lock(&mut self) {
        let handle = self.handle;
        self.ram.inside().inodes[self.inode].locked.get_or_insert(handle);
    }
}

impl Drop for RamFile {
    fn drop(&mut self) {
        let mut inside = self.ram.inside();
        let inode = &mut inside.inodes[self.inode];
        if inode.locked == Some(self.handle) {
            inode.locked = None;
        }
    }
}

#[derive(Debug)]
struct RamLock {
    ram: Ram,
    path: PathBuf,
    handle: u64,
}

impl Lock for RamLock {}

impl Drop for RamLock {
    fn drop(&mut self) {
        let mut inside = self.ram.inside();
        if inside.claims.get(&self.path) == Some(&self.handle) {
            inside.claims.remove(&self.path);
        }
    }
}

impl Files for Ram {
    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        let inside = self.inside();
        let whole = inside.resolved(path, true);
        let is_there = inside.live.contains_key(&whole) || inside.folders.contains(&whole);
        is_there.then_some(whole).ok_or_else(not_found)
    }

    fn about(&self, path: &Path) -> io::Result<About> {
        let inside = self.inside();
        inside.alive()?;
        let is_link = inside.links.contains_key(&inside.resolved(path, false));
        let whole = inside.resolved(path, true);
        let kind = if inside.folders.contains(&whole) { Kind::Folder } else { Kind::File };
        let (access, identity) = match inside.live.get(&whole) {
            Some(&number) => (Access(inside.inodes[number].access), Some((1, number as u64))),
            None if kind == Kind::Folder => (Access::USUAL, None),
            None => return Err(not_found()),
        };
        Ok(About { kind, is_link, is_read_only: false, access, identity })
    }

    fn read(&self, path: &Path, most: u64) -> io::Result<Vec<u8>> {
        let inside = self.inside();
        inside.alive()?;
        let number = inside.inode(path)?;
        Ok(inside.inodes[number].live.iter().take(most as usize).copied().collect())
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        let inside = self.inside();
        inside.alive()?;
        let folder = inside.resolved(folder, true);
        Ok(inside.live.keys().filter(|path| path.parent() == Some(&folder)).cloned().collect())
    }

    fn make_folder(&self, folder: &Path, _: bool) -> io::Result<()> {
        let mut inside = self.inside();
        inside.change()?;
        let folder = inside.resolved(folder, true);
        inside.folders.insert(folder);
        Ok(())
    }

    fn create(&self, path: &Path, access: Access) -> io::Result<Box<dyn Writing>> {
        let mut inside = self.inside();
        inside.change()?;
        let path = inside.resolved(path, false);
        let folder = path.parent().unwrap_or(Path::new("/")).to_owned();
        if !inside.folders.contains(&folder) {
            return Err(not_found());
        }
        if inside.live.contains_key(&path) || inside.links.contains_key(&path) {
            return Err(io::Error::from(ErrorKind::AlreadyExists));
        }
        inside.inodes.push(Inode { access: access.0.or(Some(0o644)), ..Inode::default() });
        let inode = inside.inodes.len() - 1;
        inside.rename_now(&Naming { folder, gone: None, come: Some((path, inode)) });
        inside.handles += 1;
        Ok(Box::new(RamFile { ram: self.clone(), inode, handle: inside.handles }))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        let mut inside = self.inside();
        inside.change()?;
        let (from, to) = (inside.resolved(from, false), inside.resolved(to, false));
        let inode = inside.live.get(&from).copied().ok_or_else(not_found)?;
        if inside.live.get(&to) == Some(&inode) {
            return Ok(());
        }
        let folder = to.parent().unwrap_or(Path::new("/")).to_owned();
        inside.rename_now(&Naming { folder, gone: Some(from), come: Some((to, inode)) });
        Ok(())
    }

    fn second_name(&self, file: &Path, second: &Path) -> io::Result<()> {
        let mut inside = self.inside();
        inside.change()?;
        let inode = inside.inode(file)?;
        let second = inside.resolved(second, false);
        let folder = second.parent().unwrap_or(Path::new("/")).to_owned();
        inside.rename_now(&Naming { folder, gone: None, come: Some((second, inode)) });
        Ok(())
    }

    fn remove(&self, file: &Path) -> io::Result<()> {
        let mut inside = self.inside();
        inside.change()?;
        let file = inside.resolved(file, false);
        if inside.links.remove(&file).is_some() {
            return Ok(());
        }
        if !inside.live.contains_key(&file) {
            return Err(not_found());
        }
        let folder = file.parent().unwrap_or(Path::new("/")).to_owned();
        inside.rename_now(&Naming { folder, gone: Some(file), come: None });
        Ok(())
    }

    fn remove_folder(&self, folder: &Path) -> io::Result<()> {
        let mut inside = self.inside();
        inside.change()?;
        let folder = inside.resolved(folder, true);
        inside.live.retain(|path, _| !path.starts_with(&folder));
        inside.folders.remove(&folder);
        Ok(())
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        let mut inside = self.inside();
        inside.change()?;
        let folder = inside.resolved(folder, true);
        let pending = std::mem::take(&mut inside.pending);
        for naming in pending {
            if naming.folder == folder {
                last_by(&mut inside.lasting, &naming);
            } else {
                inside.pending.push(naming);
            }
        }
        Ok(())
    }

    fn is_locked(&self, file: &Path) -> io::Result<bool> {
        let inside = self.inside();
        inside.alive()?;
        let number = inside.inode(file)?;
        Ok(inside.inodes[number].locked.is_some())
    }

    fn claim(&self, lock_file: &Path) -> io::Result<Option<Box<dyn Lock>>> {
        let mut inside = self.inside();
        inside.alive()?;
        let path = inside.resolved(lock_file, false);
        if !inside.folders.contains(path.parent().unwrap_or(Path::new("/"))) {
            return Err(not_found());
        }
        if inside.claims.contains_key(&path) {
            return Ok(None);
        }
        inside.handles += 1;
        let handle = inside.handles;
        inside.claims.insert(path.clone(), handle);
        Ok(Some(Box::new(RamLock { ram: self.clone(), path, handle })))
    }
}
