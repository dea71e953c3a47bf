//! Unsaved work that is left of windows that ended otherwise than by their user's wish.

use std::path::{Path, PathBuf};

use glidewright_project::store::{Found, Recovery, Store};

/// Work that was left unsaved.
#[derive(Clone, Debug)]
pub struct Left {
    /// The journal it is in.
    pub journal: PathBuf,
    /// The project file the journal lies beside: the only one the work may be saved to unasked.
    pub project: Option<PathBuf>,
    /// What is in it.
    pub recovery: Recovery,
}

/// What was found in journals.
#[derive(Clone, Debug, Default)]
pub struct LeftBehind {
    /// Work to be offered.
    pub offers: Vec<Left>,
    /// What cannot be read, in words.
    pub damaged: Vec<String>,
}

/// What is left of a project file, and of documents that had none. A journal that cannot be read gets another
/// name, so that nothing is written over it.
pub fn left_behind(store: &Store, project: Option<&Path>, unsaved: Option<&Path>) -> LeftBehind {
    let project = project.map(|project| store.whole_path(project));
    let mut journals: Vec<(PathBuf, Option<&PathBuf>)> = Vec::new();
    if let Some(project) = &project {
        journals.extend(store.journals_beside(project).into_iter().map(|journal| (journal, Some(project))));
    }
    if let Some(folder) = unsaved {
        journals.extend(store.journals_in(folder).into_iter().map(|journal| (journal, None)));
    }
    let mut left = LeftBehind::default();
    for (journal, project) in journals {
        match store.recover(&journal, project.map(PathBuf::as_path)) {
            Ok(Found::Unsaved(recovery)) => {
                left.offers.push(Left { journal, project: project.cloned(), recovery: *recovery });
            }
            Ok(Found::Nothing | Found::InUse) => {}
            Ok(Found::Damaged) => {
                let place = store.set_aside(&journal).unwrap_or(journal);
                left.damaged.push(format!("Unsaved work cannot be read; it is kept as {}", place.display()));
            }
            Err(error) => left.damaged.push(format!("Unsaved work cannot be read: {error}")),
        }
    }
    left
}

impl Left {
    /// The same as it is now, if it is still there and no other window has opened it.
    pub fn again(&self, store: &Store) -> Option<Self> {
        match store.recover(&self.journal, self.project.as_deref()) {
            Ok(Found::Unsaved(recovery)) => Some(Self { recovery: *recovery, ..self.clone() }),
            _ => None,
        }
    }

    /// Its name: that of the file it lies beside, or of the document.
    pub fn name(&self) -> String {
        match &self.project {
            Some(file) => file.file_name().unwrap_or_default().to_string_lossy().into_owned(),
            None => self.recovery.document.name.clone(),
        }
    }
}

/// Where documents without a file keep their journals: the XDG data folder, or the system's own.
pub fn unsaved_folder() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let folder = set("XDG_DATA_HOME")
        .or_else(|| set("LOCALAPPDATA"))
        .or_else(|| set("HOME").map(|home| home.join(".local").join("share")))?;
    Some(folder.join("glidewright").join("unsaved"))
}
