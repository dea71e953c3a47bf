//! What the person prefers, kept between sessions beside the program, never in a project.

use std::path::{Path, PathBuf};

use glidewright_project::store::{Store, StoreError};
use serde::{Deserialize, Serialize};

use super::{Hints, LengthUnit, LoadUnit, PlayChoices, ReaderUnits};
use crate::theme::Paper;

/// How many projects are remembered.
const MOST_RECENT: usize = 8;
/// Smallest and largest text, against its usual size.
pub const TEXT_SCALES: std::ops::RangeInclusive<f32> = 0.7..=2.5;

/// Where the window stood when it was closed (points).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct WindowPlace {
    /// Its upper left corner, where the system tells.
    pub at: Option<(f32, f32)>,
    /// Width and height of what is in it.
    pub size: (f32, f32),
    /// Whether it filled the screen.
    pub maximized: bool,
}

impl WindowPlace {
    /// Whether a window can be put there.
    pub fn is_sound(&self) -> bool {
        let near = |v: f32| v.is_finite() && v.abs() < 30_000.0;
        let large = |v: f32| (200.0..20_000.0).contains(&v);
        self.at.is_none_or(|(x, y)| near(x) && near(y)) && large(self.size.0) && large(self.size.1)
    }
}

/// How the unit of lengths is written.
#[derive(Serialize, Deserialize)]
#[serde(remote = "LengthUnit", rename_all = "snake_case")]
enum WrittenUnit {
    Millimetre,
    Inch,
}

/// How the units of forces and masses are written.
#[derive(Serialize, Deserialize)]
#[serde(remote = "LoadUnit", rename_all = "snake_case")]
enum WrittenLoads {
    Newton,
    Pound,
}

/// The person's preferences.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Preferences {
    /// Light, dark or as the system says.
    pub paper: Paper,
    /// Whether the parts are shown.
    pub parts: bool,
    /// Whether the findings are shown.
    pub findings: bool,
    /// Projects opened lately, the latest first.
    pub recent: Vec<PathBuf>,
    /// Size of text and of everything round it, against the usual.
    pub text_scale: f32,
    /// The unit lengths are shown in.
    #[serde(with = "WrittenUnit")]
    pub unit: LengthUnit,
    /// The units forces and masses are shown in.
    #[serde(with = "WrittenLoads")]
    pub loads: LoadUnit,
    /// How the stroke is played.
    pub play: PlayChoices,
    /// The strips beside the rail, by name, in order; `None` until somebody chose.
    pub strips: Option<Vec<String>>,
    /// Whether other trials' curves show behind.
    pub ghosts: bool,
    /// Which hints are done with.
    pub hints: Hints,
    /// Where the window stood.
    pub window: Option<WindowPlace>,
}

impl Default for Preferences {
    fn default() -> Self {
        Self {
            paper: Paper::System,
            parts: true,
            findings: true,
            recent: Vec::new(),
            text_scale: 1.0,
            unit: LengthUnit::default(),
            loads: LoadUnit::default(),
            play: PlayChoices::default(),
            strips: None,
            ghosts: false,
            hints: Hints::default(),
            window: None,
        }
    }
}

impl Preferences {
    /// The units figures are shown in.
    pub fn units(&self) -> ReaderUnits {
        ReaderUnits { length: self.unit, load: self.loads }
    }

    /// Remembers that a project was opened or saved.
    pub fn remember(&mut self, file: &Path) {
        self.recent.retain(|known| known != file);
        self.recent.insert(0, file.to_owned());
        self.recent.truncate(MOST_RECENT);
    }

    /// Reads them; the defaults if there are none.
    ///
    /// # Errors
    /// When there are some that cannot be read: the words to tell the person, to be used with the defaults.
    /// The file is set aside, so that nothing in it is lost.
    pub fn load(file: &Path) -> Result<Self, String> {
        let bytes = match Store::disk().read(file) {
            Ok(bytes) => bytes,
            Err(StoreError::NoFile { .. }) => return Ok(Self::default()),
            Err(error) => return Err(format!("Preferences are at their defaults: {error}")),
        };
        Self::in_bytes(&bytes).map_err(|place| {
            let aside = file.with_extension("broken.ron");
            let kept = match std::fs::rename(file, &aside) {
                Ok(()) => format!("; the old ones are kept as {}", aside.display()),
                Err(_) => String::new(),
            };
            format!("Preferences are at their defaults, the file is broken at {place}{kept}")
        })
    }

    /// Reads them from the bytes of a file.
    ///
    /// # Errors
    /// The place that cannot be read.
    pub fn in_bytes(bytes: &[u8]) -> Result<Self, String> {
        let text = std::str::from_utf8(bytes).map_err(|error| format!("byte {}", error.valid_up_to()))?;
        ron::from_str(text).map(Self::sound).map_err(|error| {
            let start = error.span.start;
            format!("line {}, column {}", start.line, start.col)
        })
    }

    /// The same within what makes sense: somebody may have written to the file.
    fn sound(mut self) -> Self {
        let scale = if self.text_scale.is_finite() { self.text_scale } else { 1.0 };
        self.text_scale = scale.clamp(*TEXT_SCALES.start(), *TEXT_SCALES.end());
        self.play = self.play.sound();
        self.window = self.window.filter(WindowPlace::is_sound);
        self.recent.truncate(MOST_RECENT);
        self
    }

    /// Writes them.
    ///
    /// # Errors
    /// When the folder or the file cannot be written.
    pub fn save(&self, file: &Path) -> Result<(), String> {
        let text = ron::ser::to_string_pretty(self, ron::ser::PrettyConfig::default())
            .map_err(|error| error.to_string())?;
        let store = Store::disk();
        let made = file.parent().map_or(Ok(()), |folder| store.make_folder(folder));
        // A link, as people make who keep all such files in one place, stays a link.
        made.and_then(|()| store.write(&store.whole_path(file), text.as_bytes()))
            .map_err(|error| format!("{error}; {}", error.remedy()))
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

/// Where a person's own library of parts is kept: beside the preferences.
pub fn own_library_file() -> Option<PathBuf> {
    preferences_file().map(|file| file.with_file_name("parts.ron"))
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

    fn folder(name: &str) -> PathBuf {
        let path =
            std::env::temp_dir().join(format!("glidewright-preferences-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        path
    }

    #[test]
    fn unknown_and_missing_fields_do_no_harm() {
        let kept: Preferences = ron::from_str("(paper: dark)").unwrap();
        assert_eq!(kept, Preferences { paper: Paper::Dark, ..Preferences::default() });
        assert_eq!(Preferences::load(Path::new("no/such/file")), Ok(Preferences::default()));
        let later: Preferences = ron::from_str("(paper: light, something_new: [1, 2, (3,)])").unwrap();
        assert_eq!(later.paper, Paper::Light);
    }

    #[test]
    fn they_are_kept() {
        let folder = folder("kept");
        let file = folder.join("deep/preferences.ron");
        let mut wanted = Preferences {
            text_scale: 1.25,
            unit: LengthUnit::Inch,
            loads: LoadUnit::Pound,
            strips: Some(vec!["effort".to_owned()]),
            ghosts: true,
            window: Some(WindowPlace { at: Some((10.0, 20.0)), size: (1000.0, 700.0), maximized: false }),
            ..Preferences::default()
        };
        wanted.hints.follow(super::super::Hint::Drag);
        wanted.save(&file).unwrap();
        assert_eq!(Preferences::load(&file), Ok(wanted));
        std::fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn a_broken_file_is_set_aside() {
        let folder = folder("broken");
        for text in ["", "(", "hello", "(paper: purple)", "(text_scale: \"big\")", "\u{feff}\0\0"] {
            let file = folder.join("preferences.ron");
            std::fs::write(&file, text).unwrap();
            let told = Preferences::load(&file).unwrap_err();
            assert!(told.contains("defaults"), "{told}");
            assert_eq!(std::fs::read_to_string(folder.join("preferences.broken.ron")).unwrap(), text);
            assert_eq!(Preferences::load(&file), Ok(Preferences::default()));
        }
        // Not UTF-8 either.
        let file = folder.join("preferences.ron");
        std::fs::write(&file, [0xff, 0xfe, 0x00]).unwrap();
        assert!(Preferences::load(&file).is_err());
        std::fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn senseless_values_are_mended() {
        let odd = "(text_scale: 1e30, play: (speed: -5.0), window: Some((at: None, size: (1e9, 5.0), maximized: false)))";
        let folder = folder("odd");
        let file = folder.join("preferences.ron");
        std::fs::write(&file, odd).unwrap();
        let mended = Preferences::load(&file).unwrap();
        assert_eq!(mended.text_scale, *TEXT_SCALES.end());
        assert_eq!(mended.play.speed, 1.0);
        assert_eq!(mended.window, None);
        std::fs::remove_dir_all(&folder).unwrap();
    }
}
