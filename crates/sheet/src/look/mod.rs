//! How things look: colour tokens and their themes, pens, fills, hatches, type.

mod pen;
mod theme;
mod tone;
mod type_face;

pub use crate::units::{LengthUnit, ReaderUnits};
pub use glidewright_motion::number;
pub use pen::{Dash, Fill, Hatch, Pen};
pub use theme::{Colour, Theme};
pub use tone::Tone;
pub use type_face::{
    ASCENT, CAP_HEIGHT, DESCENT, Face, FontFile, Weight, all_fonts, font_file, missing_glyphs, text_width,
};
