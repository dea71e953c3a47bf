//! What the colour tokens look like, on light and on dark paper.
//!
//! Meaning never rests on colour alone: every status also has a mark and a word, every curve a dash,
//! every kind of part its outline. The palettes still keep tones that stand side by side apart for
//! readers with protanopia, deuteranopia and tritanopia, mostly by lightness and by the blue–yellow
//! axis; `tests/palette.rs` measures it.

use super::{Fill, Tone};

/// An opaque sRGB colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Colour {
    /// Red, 0 to 255.
    pub r: u8,
    /// Green, 0 to 255.
    pub g: u8,
    /// Blue, 0 to 255.
    pub b: u8,
}

impl Colour {
    /// From 0xRRGGBB.
    pub const fn hex(rgb: u32) -> Self {
        let [_, r, g, b] = rgb.to_be_bytes();
        Self { r, g, b }
    }

    /// As "#rrggbb".
    pub fn css(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.r, self.g, self.b)
    }

    /// The colour so far on the way to another, 0 to 1, mixed channel by channel in sRGB as SVG and
    /// PDF gradients do.
    pub fn towards(self, other: Self, share: f64) -> Self {
        let share = if share.is_nan() { 0.0 } else { share.clamp(0.0, 1.0) };
        let mix = |a: u8, b: u8| (f64::from(a) + (f64::from(b) - f64::from(a)) * share).round() as u8;
        Self { r: mix(self.r, other.r), g: mix(self.g, other.g), b: mix(self.b, other.b) }
    }
}

/// What lit faces and faces in shade are mixed with.
const LIGHT: Colour = Colour::hex(0xFFFFFF);
const SHADE: Colour = Colour::hex(0x101418);

/// A palette: a colour for every [`Tone`].
#[derive(Clone, Debug, PartialEq)]
pub struct Theme {
    /// Whether the paper is darker than the ink.
    pub dark: bool,
    colours: [Colour; Tone::ALL.len()],
}

impl Theme {
    /// Warm paper, for print and bright rooms.
    pub fn light() -> Self {
        Self::from_table(false, |tone| match tone {
            Tone::Paper => 0xFBF8F2,
            Tone::Ink => 0x22262B,
            Tone::Outline => 0x30363D,
            Tone::FaintInk => 0x66625A,
            Tone::Axis => 0x8D877C,
            Tone::Grid => 0xE6E0D5,
            Tone::Dimension => 0x3A5068,
            Tone::Rail => 0xD3D4D2,
            Tone::RailShade => 0xB4B6B4,
            Tone::RiderA => 0xB9D0E8,
            Tone::RiderALine => 0x1B5E9B,
            Tone::RiderB => 0xEFDCA8,
            Tone::RiderBLine => 0x584C0A,
            Tone::RiderC => 0xC7A7C1,
            Tone::RiderCLine => 0x4C1F48,
            Tone::Tyre => 0x6A6E74,
            Tone::Bearing => 0xE4E8EA,
            Tone::Hardware => 0x9CA6AF,
            Tone::Spacer => 0xC6CDD2,
            Tone::Belt => 0x34302B,
            Tone::Pulley => 0xA79F92,
            Tone::Load => 0xB9C7A0,
            Tone::Obstacle => 0xD9B9A6,
            Tone::Clash => 0xAF0C3A,
            Tone::ClashFill => 0xF0A8B1,
            Tone::Marginal => 0x9E5C0B,
            Tone::MarginalFill => 0xF7D58A,
            Tone::Clear => 0x00735F,
            Tone::ClearFill => 0xA0D9CA,
            Tone::Cursor => 0x5B2D9E,
            Tone::Highlight => 0x14181C,
            Tone::Selection => 0x7A3FB8,
        })
    }

    /// Deep neutral grey, for screens in dim rooms.
    pub fn dark() -> Self {
        Self::from_table(true, |tone| match tone {
            Tone::Paper => 0x17191C,
            Tone::Ink => 0xF1EFE9,
            Tone::Outline => 0xBEC3C7,
            Tone::FaintInk => 0xA6A298,
            Tone::Axis => 0x7C7970,
            Tone::Grid => 0x2B2E32,
            Tone::Dimension => 0xA9C0D8,
            Tone::Rail => 0x666C72,
            Tone::RailShade => 0x484D53,
            Tone::RiderA => 0x2B4F76,
            Tone::RiderALine => 0x7FBBFC,
            Tone::RiderB => 0x766329,
            Tone::RiderBLine => 0xF7EAA8,
            Tone::RiderC => 0x814F69,
            Tone::RiderCLine => 0xF2C5E9,
            Tone::Tyre => 0x34373C,
            Tone::Bearing => 0xAEB7BF,
            Tone::Hardware => 0x7D8993,
            Tone::Spacer => 0x98A2AA,
            Tone::Belt => 0xA39B8C,
            Tone::Pulley => 0x534E46,
            Tone::Load => 0x596C44,
            Tone::Obstacle => 0x7D5140,
            Tone::Clash => 0xFF7A92,
            Tone::ClashFill => 0x8A2645,
            Tone::Marginal => 0xFEAC41,
            Tone::MarginalFill => 0x6B5010,
            Tone::Clear => 0x3CC9AE,
            Tone::ClearFill => 0x1A5046,
            Tone::Cursor => 0xC8A6FF,
            Tone::Highlight => 0xFFFFFF,
            Tone::Selection => 0xC29BFF,
        })
    }

    fn from_table(dark: bool, table: impl Fn(Tone) -> u32) -> Self {
        Self { dark, colours: Tone::ALL.map(|tone| Colour::hex(table(tone))) }
    }

    /// The colour of a tone.
    pub fn colour(&self, tone: Tone) -> Colour {
        self.colours[tone as usize]
    }

    /// The colour of a tone lightened (`shade` above 0, to 1) or darkened (below 0, to −1).
    pub fn shaded(&self, tone: Tone, shade: f64) -> Colour {
        let base = self.colour(tone);
        if shade == 0.0 {
            base
        } else if shade > 0.0 {
            // On dark paper full white would glare.
            base.towards(LIGHT, if self.dark { 0.55 * shade } else { shade })
        } else {
            base.towards(SHADE, -shade)
        }
    }

    /// Places (0 to 1 across) and colours that make a fill look like a round bar lit from the first
    /// edge.
    pub fn round_stops(&self, fill: &Fill) -> [(f64, Colour); 5] {
        let base = self.shaded(fill.tone, fill.shade);
        let (light, shade) = (LIGHT, SHADE);
        [
            (0.0, base.towards(shade, 0.22)),
            (0.12, base),
            (0.32, base.towards(light, if self.dark { 0.22 } else { 0.55 })),
            (0.62, base),
            (1.0, base.towards(shade, 0.38)),
        ]
    }
}
