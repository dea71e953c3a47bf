//! Opens the window.

use std::path::PathBuf;

use super::App;
use crate::state::{Preferences, preferences_file, unsaved_folder};

/// Why the window did not open.
#[derive(Debug)]
pub struct RunError(String);

impl std::fmt::Display for RunError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "the window could not be opened: {}", self.0)
    }
}

impl std::error::Error for RunError {}

/// Opens the window on a project file, or on the demo, and stays until it is closed.
///
/// # Errors
/// When the system gives no window to draw in.
pub fn run(file: Option<PathBuf>) -> Result<(), RunError> {
    let kept = preferences_file();
    let (preferences, trouble) = match kept.as_deref().map(Preferences::load) {
        None => (Preferences::default(), None),
        Some(Ok(preferences)) => (preferences, None),
        Some(Err(trouble)) => (Preferences::default(), Some(trouble)),
    };
    let options = eframe::NativeOptions { viewport: viewport(&preferences), ..Default::default() };
    eframe::run_native(
        "Glidewright",
        options,
        Box::new(move |creation| {
            let app = App::new(&creation.egui_ctx, file, preferences, kept).telling(trouble);
            Ok(Box::new(match unsaved_folder() {
                Some(folder) => app.keeping_unsaved_in(folder),
                None => app.without_unsaved_folder(NO_FOLDER),
            }))
        }),
    )
    .map_err(|error| RunError(error.to_string()))
}

/// Said when there is nowhere to keep unsaved work.
const NO_FOLDER: &str =
    "there is no folder for it, as neither XDG_DATA_HOME nor HOME is set; save this under a name";

/// The name a desktop knows the program by; that of its desktop entry.
pub const APP_ID: &str = "org.glidewright.Glidewright";

fn viewport(preferences: &Preferences) -> egui::ViewportBuilder {
    let size = preferences.window.map_or([1280.0, 800.0], |window| [window.size.0, window.size.1]);
    let mut viewport = egui::ViewportBuilder::default()
        .with_title("Glidewright")
        .with_app_id(APP_ID)
        .with_inner_size(size)
        .with_min_inner_size([860.0, 560.0])
        .with_drag_and_drop(true);
    if let Some(window) = preferences.window {
        viewport = viewport.with_maximized(window.maximized);
        if let Some((x, y)) = window.at {
            viewport = viewport.with_position([x, y]);
        }
    }
    match eframe::icon_data::from_png_bytes(ICON) {
        Ok(icon) => viewport.with_icon(icon),
        // A window without an icon is better than none; a test reads it.
        Err(_) => viewport,
    }
}

static ICON: &[u8] = include_bytes!("../../../../assets/desktop/org.glidewright.Glidewright-256.png");

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_icon_is_a_picture_and_the_desktop_knows_the_window() {
        let icon = eframe::icon_data::from_png_bytes(ICON).unwrap();
        assert_eq!((icon.width, icon.height), (256, 256));
        let entry = include_str!("../../../../assets/desktop/org.glidewright.Glidewright.desktop");
        for line in [format!("Icon={APP_ID}"), format!("StartupWMClass={APP_ID}")] {
            assert!(entry.lines().any(|known| known == line), "{line}");
        }
        let about = include_str!("../../../../assets/desktop/org.glidewright.Glidewright.metainfo.xml");
        assert!(about.contains(&format!("<id>{APP_ID}</id>")));
        assert!(about.contains(&format!("{APP_ID}.desktop")));
        assert!(about.contains(&format!("version=\"{}\"", env!("CARGO_PKG_VERSION"))));
    }
}
