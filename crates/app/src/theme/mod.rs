//! The window's look, all of it from the drawing's colour tokens, so that window and drawing are one.

mod fonts;
mod surface;
mod visuals;

pub use fonts::{FontRole, font_id, install as install_fonts};
pub use surface::{Surface, colour};
pub use visuals::apply;

use glidewright_sheet::Theme;

/// Light or dark, or as the system says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Paper {
    /// As the desktop is set.
    #[default]
    System,
    /// Warm paper.
    Light,
    /// Deep grey.
    Dark,
}

impl Paper {
    /// All choices in the order they are offered.
    pub const ALL: [Self; 3] = [Self::System, Self::Light, Self::Dark];

    /// Word for a reader.
    pub const fn word(self) -> &'static str {
        match self {
            Self::System => "System",
            Self::Light => "Light",
            Self::Dark => "Dark",
        }
    }

    /// What egui calls it.
    pub const fn preference(self) -> egui::ThemePreference {
        match self {
            Self::System => egui::ThemePreference::System,
            Self::Light => egui::ThemePreference::Light,
            Self::Dark => egui::ThemePreference::Dark,
        }
    }
}

/// The drawing theme that goes with what the window shows now.
pub fn current(ctx: &egui::Context) -> Theme {
    match ctx.theme() {
        egui::Theme::Dark => Theme::dark(),
        egui::Theme::Light => Theme::light(),
    }
}
