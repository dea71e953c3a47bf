//! What the person prefers, kept between sessions beside the program, never in a project.

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::theme::Paper;

/// How many projects are remembered.
const MOST_RECENT: usize = 8;

/// The person's preferences.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Preferences {
    /// Light, dark or as the system says.
    pub paper: Paper,
    /// Whether the parts are shown.
    pub parts: bool,
    /// Whether the close-ups are shown.
    pub close_ups: bool,
    /// Whether the findings are shown.
    pub findings: bool,
    /// Projects opened lately, the latest first.
    pub recent: Vec<PathBuf>,
}

impl Default for Preferences {
    fn default() -> Self {
        Self { paper: Paper::System, parts: true, close_ups: true, findings: true, recent: Vec::new() }
    }
}

impl Preferences {
    /// Remembers that a project was opened or saved.
    pub fn remember(&mut self, file: &Path) {
        self.recent.retain(|known| known != file);
        self.recent.insert(0, file.to_owned());
        self.recent.truncate(MOST_RECENT);
    }

    /// Reads them; the defaults if there are none or they cannot be read.
    pub fn load(file: &Path) -> Self {
        std::fs::read_to_string(file).ok().and_then(|text| ron::from_str(&text).ok()).unwrap_or_default()
    }

    /// Writes them.
    ///
    /// # Errors
    /// When the folder or the file cannot be written.
    pub fn save(&self, file: &Path) -> std::io::Result<()> {
        if let Some(folder) = file.parent() {
            std::fs::create_dir_all(folder)?;
        }
        let text = ron::ser::to_string_pretty(self, ron::ser::PrettyConfig::default())
            .map_err(std::io::Error::other)?;
        super::write_whole(file, text.as_bytes())
    }
}

/// Where preferences are kept: the XDG configuration folder, or the system's own.
pub fn preferences_file() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let folder = set("XDG_CONFIG_HOME")
        .or_else(|| set("APPDATA"))
        .or_else(|| set("HOME").map(|home| home.join(".config")))?;
    Some(folder.join("glidewright").join("preferences.ron"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_latest_project_comes_first_and_once() {
        let mut preferences = Preferences::default();
        for name in ["a", "b", "a", "c"] {
            preferences.remember(Path::new(name));
        }
        assert_eq!(preferences.recent, ["c", "a", "b"].map(PathBuf::from));
        for number in 0..100 {
            preferences.remember(Path::new(&number.to_string()));
        }
        assert_eq!(preferences.recent.len(), MOST_RECENT);
    }

    #[test]
    fn unknown_and_missing_fields_do_no_harm() {
        let kept: Preferences = ron::from_str("(paper: dark)").unwrap();
        assert_eq!(kept, Preferences { paper: Paper::Dark, ..Preferences::default() });
        assert_eq!(Preferences::load(Path::new("no/such/file")), Preferences::default());
    }
}
