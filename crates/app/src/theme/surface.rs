//! Colours of the window's own surfaces, mixed from the drawing's tokens.

use egui::Color32;
use glidewright_sheet::{Colour, Theme, Tone};

/// What a colour of the window is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surface {
    /// Behind the panels beside the drawing.
    Panel,
    /// Behind bars at the edge of the window.
    Bar,
    /// Inside fields one types in.
    Field,
    /// A button at rest.
    Button,
    /// A button under the pointer.
    ButtonHovered,
    /// A button held down.
    ButtonPressed,
    /// Lines between panels, edges of buttons.
    Edge,
    /// Edges of fields and focused things.
    FieldEdge,
    /// Behind what is selected.
    SelectedFill,
    /// Every other row of a list.
    Stripe,
}

impl Surface {
    /// Its colour in a theme.
    pub fn of(self, theme: &Theme) -> Colour {
        let [paper, ink, grid, axis] =
            [Tone::Paper, Tone::Ink, Tone::Grid, Tone::Axis].map(|tone| theme.colour(tone));
        let selection = theme.colour(Tone::Selection);
        match self {
            Self::Panel => paper.towards(grid, 0.20),
            Self::Bar => paper.towards(grid, 0.42),
            Self::Field => paper.towards(Colour::hex(if theme.dark { 0x000000 } else { 0xFFFFFF }), 0.55),
            Self::Button => paper.towards(grid, if theme.dark { 1.0 } else { 0.15 }),
            Self::ButtonHovered => grid.towards(ink, 0.10),
            Self::ButtonPressed => grid.towards(ink, 0.18),
            Self::Edge => grid.towards(axis, 0.30),
            Self::FieldEdge => grid.towards(axis, 0.75),
            Self::SelectedFill => paper.towards(selection, if theme.dark { 0.30 } else { 0.18 }),
            Self::Stripe => paper.towards(grid, 0.42),
        }
    }

    /// The same for egui.
    pub fn color32(self, theme: &Theme) -> Color32 {
        colour(self.of(theme))
    }
}

/// A drawing colour for egui.
pub const fn colour(colour: Colour) -> Color32 {
    Color32::from_rgb(colour.r, colour.g, colour.b)
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Surface; 8] = [
        Surface::Panel,
        Surface::Bar,
        Surface::Field,
        Surface::Button,
        Surface::ButtonHovered,
        Surface::ButtonPressed,
        Surface::SelectedFill,
        Surface::Stripe,
    ];

    /// Relative luminance and contrast ratio after WCAG 2.1 (read): (L1 + 0.05)/(L2 + 0.05).
    fn contrast(a: Colour, b: Colour) -> f64 {
        let luminance = |colour: Colour| {
            let channel = |c: u8| {
                let c = f64::from(c) / 255.0;
                if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
            };
            0.2126 * channel(colour.r) + 0.7152 * channel(colour.g) + 0.0722 * channel(colour.b)
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn contrast_of_black_and_white() {
        assert!((contrast(Colour::hex(0), Colour::hex(0xFFFFFF)) - 21.0).abs() < 1e-9);
    }

    #[test]
    fn text_reads_on_every_surface() {
        for theme in [Theme::light(), Theme::dark()] {
            for surface in ALL {
                let got = contrast(surface.of(&theme), theme.colour(Tone::Ink));
                assert!(got >= 4.5, "{surface:?} dark {}: {got}", theme.dark);
            }
            for surface in [Surface::Panel, Surface::Bar, Surface::Field, Surface::Button, Surface::Stripe] {
                for tone in [Tone::FaintInk, Tone::Clash, Tone::Marginal, Tone::Clear] {
                    let got = contrast(surface.of(&theme), theme.colour(tone));
                    assert!(got >= 4.5, "{tone:?} on {surface:?} dark {}: {got}", theme.dark);
                }
            }
        }
    }
}
