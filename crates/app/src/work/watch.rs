//! Notices when somebody else changes a file.

use std::fs::Metadata;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread::Builder;
use std::time::{Duration, SystemTime};

use glidewright_project::store::{Disk, Files};

/// How often a file is looked at. Only its entry in the folder is read, not the file.
const PAUSE: Duration = Duration::from_millis(1000);

/// A file being watched, until this is dropped.
pub struct Watch {
    changes: Receiver<()>,
    // Dropping it wakes the thread, which then ends.
    _alive: Sender<()>,
}

impl Watch {
    /// Watches a file; `changed` is called on the watching thread after each change.
    ///
    /// # Errors
    /// When the system has no thread to give.
    pub fn start(file: PathBuf, changed: impl Fn() + Send + 'static) -> std::io::Result<Self> {
        let (tell, changes) = channel();
        let (alive, over) = channel::<()>();
        let mut seen = look(&file);
        let mut is_missing = false;
        Builder::new().name("file watch".to_owned()).spawn(move || {
            while over.recv_timeout(PAUSE) == Err(RecvTimeoutError::Timeout) {
                let now = look(&file);
                // A file replaced by some programs is gone for a moment; only what stays counts.
                let stays = now.is_some() || is_missing;
                is_missing = now.is_none();
                if stays && now != seen {
                    seen = now;
                    if tell.send(()).is_err() {
                        return;
                    }
                    changed();
                }
            }
        })?;
        Ok(Self { changes, _alive: alive })
    }

    /// Whether something changed since it was asked last.
    pub fn take(&self) -> bool {
        self.changes.try_iter().count() > 0
    }
}

/// What tells one state of a file from another without reading it: length, time, and which file it is.
#[derive(PartialEq)]
struct Look {
    length: u64,
    modified: Option<SystemTime>,
    identity: Option<(u64, u64)>,
}

fn look(file: &Path) -> Option<Look> {
    let metadata: Metadata = std::fs::metadata(file).ok()?;
    let identity = Disk.about(file).ok().and_then(|about| about.identity);
    Some(Look { length: metadata.len(), modified: metadata.modified().ok(), identity })
}

#[cfg(test)]
mod tests {
    use std::time::Instant;

    use super::*;

    #[test]
    fn a_change_is_noticed_once() {
        let file = std::env::temp_dir().join(format!("glidewright-watch-{}", std::process::id()));
        std::fs::write(&file, "one").unwrap();
        let watch = Watch::start(file.clone(), || {}).unwrap();
        assert!(!watch.take());
        std::fs::write(&file, "another").unwrap();
        let start = Instant::now();
        while !watch.take() {
            assert!(start.elapsed() < Duration::from_secs(20), "nothing noticed");
            std::thread::sleep(Duration::from_millis(20));
        }
        assert!(!watch.take());
        // One that goes is a change too, and so is one of the same length that takes its place.
        for gone in [true, false] {
            if gone {
                std::fs::remove_file(&file).unwrap();
            } else {
                std::fs::write(&file, "another").unwrap();
            }
            let start = Instant::now();
            while !watch.take() {
                assert!(start.elapsed() < Duration::from_secs(20), "nothing noticed");
                std::thread::sleep(Duration::from_millis(20));
            }
        }
        std::fs::remove_file(&file).unwrap();
    }
}
