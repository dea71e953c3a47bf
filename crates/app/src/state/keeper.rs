//! Keeps unsaved work safe: every change goes into a journal on disk, written on a thread of its own so that a
//! drag never waits for the disk.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::{Builder, JoinHandle};
use std::time::{SystemTime, UNIX_EPOCH};

use glidewright_project::store::{Journal, Recovery, journal_path, recover};

/// A change to be noted: the document's text after it, and what was done.
#[derive(Clone, Debug)]
struct Note {
    text: String,
    description: String,
}

/// The thread that writes one document's journal.
pub struct Keeper {
    notes: Option<Sender<Note>>,
    trouble: Receiver<String>,
    thread: Option<JoinHandle<()>>,
}

impl Keeper {
    /// Begins a journal at `journal` for a document whose text as saved is `saved`. Nothing is written before
    /// the first change; `replaces` is a journal that is of no use once that is on disk.
    ///
    /// # Errors
    /// When the system has no thread to give.
    pub fn start(
        journal: PathBuf,
        project: Option<PathBuf>,
        saved: String,
        replaces: Option<PathBuf>,
    ) -> std::io::Result<Self> {
        let (notes, inbox) = channel::<Note>();
        let (tell, trouble) = channel();
        let thread = Builder::new().name("journal".to_owned()).spawn(move || {
            let replaces = replaces.filter(|old| *old != journal);
            if let Err(error) = write(&journal, project.as_deref(), &saved, replaces.as_deref(), &inbox) {
                // The window may be gone.
                let _ = tell.send(error);
            }
        })?;
        Ok(Self { notes: Some(notes), trouble, thread: Some(thread) })
    }

    /// Notes a change.
    pub fn note(&self, text: &str, description: &str) {
        if let Some(notes) = &self.notes {
            // A thread that ended has told its trouble.
            let _ = notes.send(Note { text: text.to_owned(), description: description.to_owned() });
        }
    }

    /// Why the journal could not be written, once.
    pub fn trouble(&self) -> Option<String> {
        self.trouble.try_recv().ok()
    }

    /// Removes the journal: the work is saved, or was given up on purpose. Waits until it is gone.
    pub fn finish(mut self) {
        self.notes = None;
        if let Some(thread) = self.thread.take() {
            // A writer that broke down leaves the journal, which does no harm.
            let _ = thread.join();
        }
    }
}

/// Writes notes until the last sender is gone, then removes the journal.
fn write(
    journal: &Path,
    project: Option<&Path>,
    saved: &str,
    replaces: Option<&Path>,
    inbox: &Receiver<Note>,
) -> Result<(), String> {
    let failed = |error: glidewright_project::store::StoreError| format!("{error}; {}", error.remedy());
    let Ok(first) = inbox.recv() else { return Ok(()) };
    if let Some(folder) = journal.parent().filter(|_| project.is_none()) {
        std::fs::create_dir_all(folder).map_err(|error| format!("{error}: {}", folder.display()))?;
    }
    let mut written = Journal::start(journal, project, saved).map_err(failed)?;
    let mut note = first;
    let mut replaces = replaces;
    loop {
        // A drag makes notes faster than a disk writes them: only the newest state matters.
        note = inbox.try_iter().last().unwrap_or(note);
        written.note(&note.text, &note.description).map_err(failed)?;
        if let Some(old) = replaces.take() {
            // One that cannot be removed is offered again, which does no harm.
            let _ = std::fs::remove_file(old);
        }
        match inbox.recv() {
            Ok(next) => note = next,
            Err(_) => return written.finish().map_err(failed),
        }
    }
}

/// Where the journal of a document stands: beside its file, or among the unsaved ones.
pub fn journal_of(project: Option<&Path>, unsaved: Option<&Path>) -> Option<PathBuf> {
    match project {
        Some(project) => Some(journal_path(project)),
        None => {
            // A name that no earlier process or document of this one has had.
            static COUNT: AtomicU64 = AtomicU64::new(0);
            let since = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_millis());
            let count = COUNT.fetch_add(1, Ordering::Relaxed);
            Some(unsaved?.join(format!("{since}-{}-{count}.journal", std::process::id())))
        }
    }
}

/// Work that a killed program left unsaved.
#[derive(Clone, Debug)]
pub struct Left {
    /// The journal it is in.
    pub journal: PathBuf,
    /// What is in it.
    pub recovery: Recovery,
}

/// What is left of a project file, or of documents that had none.
pub fn left_behind(project: Option<&Path>, unsaved: Option<&Path>) -> Vec<Left> {
    let mut journals = Vec::new();
    journals.extend(project.map(journal_path));
    if let Some(entries) = unsaved.and_then(|folder| std::fs::read_dir(folder).ok()) {
        let mut found: Vec<_> = entries
            .filter_map(|entry| Some(entry.ok()?.path()))
            .filter(|path| path.extension().is_some_and(|end| end == "journal"))
            .collect();
        found.sort();
        journals.extend(found);
    }
    journals
        .into_iter()
        .filter_map(|journal| match recover(&journal) {
            Ok(Some(recovery)) => Some(Left { journal, recovery }),
            // Nothing in it, still being written, or not readable: nothing to offer.
            Ok(None) | Err(_) => None,
        })
        .collect()
}

/// Where documents without a file keep their journals: the XDG data folder, or the system's own.
pub fn unsaved_folder() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let folder = set("XDG_DATA_HOME")
        .or_else(|| set("LOCALAPPDATA"))
        .or_else(|| set("HOME").map(|home| home.join(".local").join("share")))?;
    Some(folder.join("glidewright").join("unsaved"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder(name: &str) -> PathBuf {
        let path = std::env::temp_dir().join(format!("glidewright-keeper-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        path
    }

    fn text(stroke: u32) -> String {
        let demo = glidewright_project::demo().unwrap();
        let edited = glidewright_project::edit::set(&demo, "stroke/to", &stroke.to_string()).unwrap();
        glidewright_project::print(&edited.document)
    }

    #[test]
    fn changes_are_there_after_a_kill_and_gone_after_a_good_end() {
        let folder = folder("kill");
        let journal = journal_of(None, Some(&folder)).unwrap();
        let keeper = Keeper::start(journal.clone(), None, text(480), None).unwrap();
        for stroke in [470, 460, 450] {
            keeper.note(&text(stroke), &format!("stroke {stroke}"));
        }
        // A kill: the thread stops where it is, its lock goes.
        let Keeper { notes, thread, .. } = keeper;
        std::thread::sleep(std::time::Duration::from_millis(300));
        assert!(left_behind(None, Some(&folder)).is_empty(), "it is still being written");
        let kept = std::fs::read(&journal).unwrap();
        drop(notes);
        thread.unwrap().join().unwrap();
        assert!(!journal.exists(), "a good end leaves nothing");
        std::fs::write(&journal, kept).unwrap();
        let left = left_behind(None, Some(&folder));
        assert_eq!(left.len(), 1);
        assert_eq!(left[0].recovery.text, text(450));
        assert!(!left[0].recovery.changes.is_empty());
        std::fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn trouble_is_told() {
        let keeper = Keeper::start(
            "/no/such/folder/a.journal".into(),
            Some("/no/such/folder/a.ron".into()),
            text(1),
            None,
        )
        .unwrap();
        keeper.note(&text(2), "x");
        let start = std::time::Instant::now();
        while keeper.trouble().is_none() {
            assert!(start.elapsed() < std::time::Duration::from_secs(10));
            std::thread::sleep(std::time::Duration::from_millis(5));
        }
        keeper.finish();
    }
}
