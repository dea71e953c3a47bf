//! The person's own library of parts, as the window knows it.

use std::path::{Path, PathBuf};

use glidewright_project::document::{Part, PartsFile, Stocked};
use glidewright_project::store::{Expected, Store, StoreError};
use glidewright_project::{Document, Problem, edit};

use crate::today::today;

/// The library with the file it stands in.
#[derive(Debug, Default)]
pub struct OwnLibrary {
    /// Its file; `None` where there is no folder for a person's files, and nothing is kept.
    file: Option<PathBuf>,
    parts: PartsFile,
    expected: Option<Expected>,
    /// Why it cannot be read; then it is not written either.
    trouble: Option<String>,
}

impl OwnLibrary {
    /// The one beside the preferences; without preferences an empty one that keeps nothing.
    pub fn beside(preferences_file: Option<&Path>) -> Self {
        let file = preferences_file.map(|file| file.with_file_name("parts.ron"));
        let mut library = Self { file, ..Self::default() };
        library.read_again();
        library
    }

    /// Reads it again, as another window or the command line may have changed it.
    pub fn read_again(&mut self) {
        let Some(file) = &self.file else { return };
        match Store::disk().open_parts(file) {
            Ok((parts, expected)) => {
                (self.parts, self.expected, self.trouble) = (parts, Some(expected), None);
            }
            Err(error) => {
                (self.expected, self.trouble) = (None, Some(in_words(&error)));
            }
        }
    }

    /// What it holds.
    pub fn parts(&self) -> &PartsFile {
        &self.parts
    }

    /// Why it cannot be read.
    pub fn trouble(&self) -> Option<&str> {
        self.trouble.as_deref()
    }

    /// Where it stands.
    pub fn file(&self) -> Option<&Path> {
        self.file.as_deref()
    }

    /// What is noted of a part.
    pub fn stock_of(&self, part: &Part) -> Option<&Stocked> {
        self.parts.stock_of(part)
    }

    /// Where a copy taken today says it came from.
    pub fn origin() -> String {
        format!("own library, {}", today())
    }

    /// Keeps a part of a project.
    ///
    /// # Errors
    /// Why it cannot be kept, in words; then nothing has changed.
    pub fn keep(&mut self, document: &Document, part: &str) -> Result<(), String> {
        let kept = edit::keep_part(document, &self.parts, part, &today()).map_err(|p| words_of(&p))?;
        self.save(kept)
    }

    /// Notes what there is of a part.
    ///
    /// # Errors
    /// As [`OwnLibrary::keep`].
    pub fn note(&mut self, news: Stocked) -> Result<(), String> {
        let noted = edit::note_stock(&self.parts, Stocked { date: today(), ..news });
        self.save(noted)
    }

    fn save(&mut self, parts: PartsFile) -> Result<(), String> {
        let Some(file) = &self.file else {
            return Err("there is no folder for your own files here".to_owned());
        };
        let Some(expected) = self.expected else {
            return Err(self.trouble.clone().unwrap_or_else(|| "the library has not been read".to_owned()));
        };
        let store = Store::disk();
        if let Some(folder) = file.parent() {
            store.make_folder(folder).map_err(|error| in_words(&error))?;
        }
        let stamp = store.save_parts(file, &parts, expected).map_err(|error| match error {
            StoreError::ChangedOutside { .. } | StoreError::Exists { .. } | StoreError::Gone { .. } => {
                "the library was changed elsewhere meanwhile; read it again, then repeat this".to_owned()
            }
            error => in_words(&error),
        })?;
        (self.parts, self.expected) = (parts, Some(Expected::Unchanged(stamp)));
        Ok(())
    }
}

fn in_words(error: &StoreError) -> String {
    match error {
        StoreError::Unreadable { problems, .. } => {
            problems.iter().map(words_of).collect::<Vec<_>>().join("; ")
        }
        error => format!("{error}; {}", error.remedy()),
    }
}

fn words_of(problem: &Problem) -> String {
    let place = problem.place.to_string();
    let at = if place.is_empty() { String::new() } else { format!("{place}: ") };
    let remedy = if problem.remedy.is_empty() { String::new() } else { format!("; {}", problem.remedy) };
    format!("{at}{}{remedy}", problem.message)
}

#[cfg(test)]
mod tests {
    use super::*;
    use glidewright_samples::COPY_STAND;

    fn folder(name: &str) -> PathBuf {
        let folder = std::env::temp_dir().join(format!("glidewright-own-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        folder
    }

    fn count_of(count: u32) -> Stocked {
        Stocked { part: "DIN 985 M6".into(), count: Some(count), ..Stocked::default() }
    }

    #[test]
    fn what_another_window_keeps_is_not_lost() {
        let folder = folder("two");
        let preferences = folder.join("preferences.ron");
        let (mut one, mut other) =
            (OwnLibrary::beside(Some(&preferences)), OwnLibrary::beside(Some(&preferences)));
        one.note(count_of(40)).unwrap();
        assert!(other.note(count_of(7)).unwrap_err().contains("changed elsewhere"));
        other.read_again();
        assert_eq!(other.parts().stock[0].count, Some(40));
        other.note(count_of(39)).unwrap();
        // It goes on from what it wrote itself.
        other.note(count_of(38)).unwrap();
        assert!(one.keep(&glidewright_project::parse(COPY_STAND).unwrap(), "no such part").is_err());
        std::fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn a_broken_one_is_told_and_left() {
        let folder = folder("broken");
        std::fs::create_dir_all(&folder).unwrap();
        let file = folder.join("parts.ron");
        std::fs::write(&file, "(format: 2,\n parts: 7)").unwrap();
        let mut library = OwnLibrary::beside(Some(&folder.join("preferences.ron")));
        assert!(library.trouble().unwrap().contains("line 2"), "{:?}", library.trouble());
        assert!(library.note(count_of(1)).is_err());
        assert_eq!(std::fs::read_to_string(&file).unwrap(), "(format: 2,\n parts: 7)");
        assert!(OwnLibrary::beside(None).note(count_of(1)).is_err());
        std::fs::remove_dir_all(&folder).unwrap();
    }
}
