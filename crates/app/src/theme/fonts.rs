//! The drawing's own fonts, registered for the window.

use std::sync::Arc;

use egui::{FontData, FontDefinitions, FontFamily, FontId};
use glidewright_sheet::{Face, FontFile, Weight, all_fonts};

/// Sizes and weights text has in the window (points).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FontRole {
    /// Notes, units, column heads.
    Small,
    /// Most text.
    Body,
    /// Section heads, names that matter.
    Strong,
    /// The name of a panel's subject.
    Title,
}

impl FontRole {
    const fn size(self) -> f32 {
        match self {
            Self::Small => 11.5,
            Self::Body | Self::Strong => 13.0,
            Self::Title => 16.0,
        }
    }

    const fn weight(self) -> Weight {
        match self {
            Self::Small | Self::Body => Weight::Regular,
            Self::Strong | Self::Title => Weight::SemiBold,
        }
    }

    /// The font for it.
    pub fn id(self) -> FontId {
        FontId::new(self.size(), family(Face::Sans, self.weight()))
    }
}

/// The window's font for text of a drawing.
pub fn font_id(face: Face, weight: Weight, size: f32) -> FontId {
    FontId::new(size, family(face, weight))
}

fn key(file: &FontFile) -> String {
    format!("{} {}", file.family, file.weight.css())
}

fn family(face: Face, weight: Weight) -> FontFamily {
    match (face, weight) {
        (Face::Sans, Weight::Regular) => FontFamily::Proportional,
        (Face::Sans, Weight::SemiBold) => FontFamily::Name("sans semibold".into()),
        (Face::Condensed, Weight::Regular) => FontFamily::Name("condensed".into()),
        (Face::Condensed, Weight::SemiBold) => FontFamily::Name("condensed semibold".into()),
    }
}

/// Registers the fonts; egui's own stay behind them for characters they lack.
pub fn install(ctx: &egui::Context) {
    let mut fonts = FontDefinitions::default();
    let fallback = fonts.families.get(&FontFamily::Proportional).cloned().unwrap_or_default();
    for file in all_fonts() {
        let key = key(file);
        fonts.font_data.insert(key.clone(), Arc::new(FontData::from_static(file.bytes)));
        let chain = std::iter::once(key).chain(fallback.iter().cloned()).collect();
        fonts.families.insert(family(file.face, file.weight), chain);
    }
    ctx.set_fonts(fonts);
}
