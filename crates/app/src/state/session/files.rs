//! A session's file: its claim, its journal, what others do to it, saving.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use glidewright_project::store::{Beginning, Expected, Stamp, StoreError, changes_between};

use super::super::keeper::{Keeper, journal_of};
use super::{Origin, Session};
use crate::work::Watch;

/// What somebody else has done to the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ByOthers {
    /// It holds something else; what differs, one line each.
    Changed(Vec<String>),
    /// It was deleted, renamed or moved.
    Gone,
}

/// Where unsaved work is kept, and who is told when it is not.
#[derive(Clone, Default)]
pub struct Keeping {
    /// Where the journals of documents without a file are kept.
    pub folder: Option<PathBuf>,
    /// Why there is no such folder.
    pub no_folder: Option<String>,
    /// Called when it turns out that work is not being kept, and when it is again.
    pub told: Option<Arc<dyn Fn() + Send + Sync>>,
}

impl Session {
    /// Claims the file for writing. Where it cannot be claimed for want of rights, saving will tell.
    pub fn claim(&mut self) {
        // Given back first: it may be the same file.
        self.claim = None;
        self.taken = false;
        if let Some(file) = self.file().map(Path::to_owned) {
            let claim = self.store.claim(&file);
            self.taken = matches!(claim, Err(StoreError::Taken { .. }));
            self.claim = claim.ok();
        }
    }

    /// Whether another window writes the file.
    pub const fn is_taken(&self) -> bool {
        self.taken
    }

    /// Keeps unsaved work in journals: of documents without a file in a folder, of others beside them.
    pub fn keep_unsaved(&mut self, keeping: Keeping) {
        self.keeping = keeping;
    }

    /// Watches the file; `changed` is called when somebody else has changed it.
    pub fn watch_file(&mut self, changed: impl Fn() + Send + 'static) {
        self.watch = self.file().map(Path::to_owned).and_then(|file| Watch::start(file, changed).ok());
    }

    /// What somebody else has done to the file since this was asked.
    pub fn by_others(&mut self) -> Option<ByOthers> {
        if !self.watch.as_ref()?.take() {
            return None;
        }
        self.look_for_others()
    }

    /// What somebody else has done to the file, looked at now.
    pub fn look_for_others(&mut self) -> Option<ByOthers> {
        let file = self.file()?.to_owned();
        if !self.store.exists(&file) {
            let is_news = !self.is_gone;
            self.note_gone();
            return is_news.then_some(ByOthers::Gone);
        }
        let now = self.store.stamp(&file).ok()?;
        if self.stamp == Some(now) {
            self.is_gone = false;
            return None;
        }
        let before = glidewright_project::parse(&self.saved_text);
        Some(ByOthers::Changed(match (before, self.store.open(&file)) {
            (Ok(before), Ok(opened)) => changes_between(&before, &opened.document),
            (_, Err(error)) => vec![error.to_string()],
            (Err(_), Ok(_)) => Vec::new(),
        }))
    }

    /// What is open here is nowhere on disk any more: it counts as unsaved and goes into a journal.
    fn note_gone(&mut self) {
        if self.is_gone {
            return;
        }
        self.is_gone = true;
        self.history.mark_unsaved();
        if self.keeper.is_none() {
            self.saved_text = String::new();
        }
        self.note_in_journal();
    }

    /// Goes on with what is open here: saving may replace what others wrote, or write the file anew.
    pub fn disregard_others(&mut self) {
        let held = self.file().and_then(|file| self.store.read(file).ok());
        self.stamp = held.as_deref().map(Stamp::of);
        if self.keeper.is_none() {
            self.saved_text = held.and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default();
        }
        // Until it is saved again, the file holds something else than this.
        self.history.mark_unsaved();
        self.note_in_journal();
    }

    pub(super) fn start_keeper(&mut self, goes_on_from: Option<PathBuf>) {
        let project = self.file().map(Path::to_owned);
        let goes_on = goes_on_from.is_some();
        let path = goes_on_from.or_else(|| journal_of(project.as_deref(), self.keeping.folder.as_deref()));
        let Some(path) = path else { return };
        let text = if goes_on { self.history.text().to_owned() } else { self.saved_text.clone() };
        let beginning = Beginning { path, goes_on, project, saved: self.saved_text.clone(), text };
        let told = self.keeping.told.clone();
        let told = move || {
            if let Some(told) = &told {
                told();
            }
        };
        self.keeper = Keeper::start(self.store.clone(), beginning, told).ok();
    }

    /// Notes the document as it is now in the journal.
    pub(super) fn note_in_journal(&mut self) {
        if self.keeper.is_none() && self.is_changed() {
            self.start_keeper(None);
        }
        if let Some(keeper) = &self.keeper {
            keeper.note(self.history.text(), self.history.undo_description().unwrap_or_default());
        }
    }

    /// Why unsaved work is not being kept, as long as it is not.
    pub fn keeping_trouble(&self) -> Option<String> {
        match &self.keeper {
            Some(keeper) => keeper.trouble(),
            None if self.file().is_none() => self.keeping.no_folder.clone(),
            None if self.is_changed() && (self.file().is_some() || self.keeping.folder.is_some()) => {
                Some("the system has no thread to give; save often".to_owned())
            }
            None => None,
        }
    }

    /// Gives the unsaved work up on purpose: its journal goes.
    pub fn discard(&mut self) {
        if let Some(keeper) = self.keeper.take() {
            keeper.finish();
        }
        self.claim = None;
        self.watch = None;
    }

    /// Ends without anybody's having decided about unsaved work: if there is any, its journal stays.
    pub fn close(&mut self) {
        if !self.is_changed() {
            self.discard();
        }
        self.keeper = None;
        self.claim = None;
        self.watch = None;
    }

    /// Saves under the name it has, or under a new one; a file that has that already is replaced only where
    /// `replaces` says so.
    ///
    /// # Errors
    /// Why it could not be written; that someone else has changed the file since it was opened, or that it has
    /// gone; that a file of the new name exists.
    pub fn save(&mut self, file: &Path, replaces: bool) -> Result<(), StoreError> {
        self.seal();
        let file = self.store.whole_path(file);
        let is_own = self.file() == Some(&file);
        let claim = match (is_own, &self.claim) {
            (true, Some(_)) => None,
            _ => match self.store.claim(&file) {
                Err(error @ StoreError::Taken { .. }) => return Err(error),
                claim => claim.ok(),
            },
        };
        let expected = match self.stamp {
            Some(stamp) if is_own => Expected::Unchanged(stamp),
            _ if replaces && !is_own => Expected::Anything,
            _ => Expected::Nothing,
        };
        self.stamp = Some(match self.store.save(&file, self.history.document(), expected) {
            Err(error @ StoreError::Gone { .. }) => {
                self.note_gone();
                return Err(error);
            }
            saved => saved?,
        });
        if !is_own || claim.is_some() {
            self.claim = claim;
            self.taken = false;
        }
        self.is_gone = false;
        self.history.mark_saved();
        self.basis = self.document_shared();
        self.origin = Origin::File(file);
        self.history.text().clone_into(&mut self.saved_text);
        // What is saved needs no journal; the next change begins another.
        if let Some(keeper) = self.keeper.take() {
            keeper.finish();
        }
        Ok(())
    }

    /// Saves in the place the file has gone from.
    ///
    /// # Errors
    /// Why it could not be written; that something stands there again.
    pub fn save_again(&mut self) -> Result<(), StoreError> {
        let Some(file) = self.file().map(Path::to_owned) else { return Ok(()) };
        let stamp = self.stamp.take();
        let saved = self.save(&file, false);
        if saved.is_err() {
            self.stamp = stamp;
        }
        saved
    }

    /// Whether a path names the file that is open here, however it is spelled.
    pub fn is_own_file(&self, path: &Path) -> bool {
        self.file().is_some_and(|file| self.store.is_same_file(file, path))
    }

    /// The same in another store.
    #[cfg(test)]
    pub(in super::super) fn in_store(mut self, store: glidewright_project::store::Store) -> Self {
        self.store = store;
        self
    }

    /// Waits until the journal holds every change.
    #[cfg(test)]
    pub(in super::super) fn settle_journal(&self) {
        if let Some(keeper) = &self.keeper {
            keeper.settle();
        }
    }
}
