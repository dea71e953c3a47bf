//! What a file held, to notice another's hand in it.

use std::hash::{DefaultHasher, Hash, Hasher};

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
}

/// What should stand where a file is saved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Expected {
    /// No file yet.
    Nothing,
    /// The file as it was read or written last.
    Unchanged(Stamp),
    /// Whatever is there is replaced.
    Anything,
}
