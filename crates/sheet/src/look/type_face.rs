//! The typefaces carried along, and how wide text sets in them.

use std::sync::LazyLock;

use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, MetadataProvider};

/// Height of capitals, in type sizes (both faces; from their OS/2 tables).
pub const CAP_HEIGHT: f64 = 0.698;
/// How far tall letters reach above the baseline, in type sizes (accents aside).
pub const ASCENT: f64 = 0.78;
/// How far letters reach below the baseline, in type sizes.
pub const DESCENT: f64 = 0.22;

/// Width of the letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Face {
    /// Text of notes and windows.
    Sans,
    /// Text on drawings.
    #[default]
    Condensed,
}

/// Weight of the letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Weight {
    /// Ordinary text.
    #[default]
    Regular,
    /// Titles and key figures.
    SemiBold,
}

impl Weight {
    /// The weight as CSS counts it.
    pub const fn css(self) -> u16 {
        match self {
            Self::Regular => 400,
            Self::SemiBold => 600,
        }
    }
}

/// A font carried in the program.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FontFile {
    /// Its face.
    pub face: Face,
    /// Its weight.
    pub weight: Weight,
    /// The family name written inside the file; a picture that names another draws no text.
    pub family: &'static str,
    /// The TrueType file.
    pub bytes: &'static [u8],
}

static FILES: [FontFile; 4] = [
    FontFile {
        face: Face::Sans,
        weight: Weight::Regular,
        family: "IBM Plex Sans",
        bytes: include_bytes!("../../../../assets/fonts/IBMPlexSans-Regular.ttf"),
    },
    FontFile {
        face: Face::Sans,
        weight: Weight::SemiBold,
        family: "IBM Plex Sans",
        bytes: include_bytes!("../../../../assets/fonts/IBMPlexSans-SemiBold.ttf"),
    },
    FontFile {
        face: Face::Condensed,
        weight: Weight::Regular,
        family: "IBM Plex Sans Condensed",
        bytes: include_bytes!("../../../../assets/fonts/IBMPlexSansCondensed-Regular.ttf"),
    },
    FontFile {
        face: Face::Condensed,
        weight: Weight::SemiBold,
        family: "IBM Plex Sans Condensed",
        bytes: include_bytes!("../../../../assets/fonts/IBMPlexSansCondensed-SemiBold.ttf"),
    },
];

const fn index(face: Face, weight: Weight) -> usize {
    2 * (face as usize) + weight as usize
}

/// The font of a face and weight.
pub fn font_file(face: Face, weight: Weight) -> &'static FontFile {
    &FILES[index(face, weight)]
}

/// All fonts carried along.
pub fn all_fonts() -> &'static [FontFile; 4] {
    &FILES
}

/// Advance widths of the characters drawings use, in type sizes.
struct Advances {
    /// U+0000 to U+05FF directly; what lies above goes through the font.
    common: Vec<f32>,
    font: Option<FontRef<'static>>,
}

impl Advances {
    fn of(file: &'static FontFile) -> Self {
        let font = FontRef::new(file.bytes).ok();
        let common = font.as_ref().map(|f| widths(f, '\0'..'\u{600}')).unwrap_or_default();
        Self { common, font }
    }

    fn width(&self, c: char) -> f32 {
        match (self.common.get(c as usize), &self.font) {
            (Some(width), _) => *width,
            (None, Some(font)) => widths(font, c..=c).first().copied().unwrap_or(UNKNOWN),
            (None, None) => UNKNOWN,
        }
    }
}

/// The width taken for a character when there is no telling, in type sizes.
const UNKNOWN: f32 = 0.5;

fn widths(font: &FontRef<'static>, characters: impl Iterator<Item = char>) -> Vec<f32> {
    let charmap = font.charmap();
    let metrics = font.glyph_metrics(Size::new(1.0), LocationRef::default());
    characters.map(|c| metrics.advance_width(charmap.map(c).unwrap_or_default()).unwrap_or(UNKNOWN)).collect()
}

static ADVANCES: LazyLock<[Advances; 4]> = LazyLock::new(|| FILES.each_ref().map(Advances::of));

/// Width of one line of text (pt): the sum of the advance widths, kerning left out (it changes the
/// words on drawings by less than 2 %).
pub fn text_width(text: &str, size_pt: f64, face: Face, weight: Weight) -> f64 {
    let advances = &ADVANCES[index(face, weight)];
    size_pt * text.chars().map(|c| f64::from(advances.width(c))).sum::<f64>()
}

/// The characters of a text that the fonts lack; they would show as empty boxes.
pub fn missing_glyphs(text: &str) -> Vec<char> {
    let Some(font) = &ADVANCES[0].font else { return text.chars().collect() };
    let charmap = font.charmap();
    text.chars().filter(|c| !c.is_control() && charmap.map(*c).is_none()).collect()
}
