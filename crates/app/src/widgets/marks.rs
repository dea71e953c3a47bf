//! Small painted marks: how bad something is, told by shape as well as colour.

use egui::{Painter, Pos2, Rect, Response, Sense, Ui, Vec2, vec2};
use glidewright_motion::Severity;
use glidewright_sheet::{Theme, Tone};

use crate::theme::colour;

/// What a mark says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// It does not work: two blocks that overlap.
    Fails,
    /// Too little margin: two blocks that touch.
    Marginal,
    /// Good to know: a dot.
    Note,
    /// All is well: two blocks apart.
    Clear,
}

impl From<Severity> for Mark {
    fn from(severity: Severity) -> Self {
        match severity {
            Severity::Fails => Self::Fails,
            Severity::Marginal => Self::Marginal,
            Severity::Note => Self::Note,
        }
    }
}

impl Mark {
    /// Word for a reader.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fails => "fails",
            Self::Marginal => "marginal",
            Self::Note => "note",
            Self::Clear => "clear",
        }
    }

    /// Its colour token.
    pub const fn tone(self) -> Tone {
        match self {
            Self::Fails => Tone::Clash,
            Self::Marginal => Tone::Marginal,
            Self::Note => Tone::FaintInk,
            Self::Clear => Tone::Clear,
        }
    }
}

/// Paints a mark about a middle, `size` across.
pub fn paint_mark(painter: &Painter, middle: Pos2, size: f32, mark: Mark, theme: &Theme) {
    let color = colour(theme.colour(mark.tone()));
    let inside = colour(theme.colour(Tone::Paper));
    let half = 0.5 * size;
    let block = |from: f32, to: f32| {
        Rect::from_min_max(middle + vec2(from, -0.75) * half, middle + vec2(to, 0.75) * half)
    };
    let inner = match mark {
        Mark::Fails => 0.35,
        Mark::Marginal => -0.06,
        Mark::Clear => -0.36,
        Mark::Note => {
            painter.circle_filled(middle, 0.24 * size, color);
            return;
        }
    };
    // Of two that overlap what both take stands out.
    let body = if mark == Mark::Fails { color.lerp_to_gamma(inside, 0.5) } else { color };
    painter.rect_filled(block(-1.1, inner), 0.0, body);
    painter.rect_filled(block(-inner, 1.1), 0.0, body);
    if mark == Mark::Fails {
        painter.rect_filled(block(-inner, inner), 0.0, color);
    }
}

/// A mark in the flow of a panel.
pub fn mark_ui(ui: &mut Ui, mark: Mark, theme: &Theme) -> Response {
    let size = 12.0;
    let (rect, response) =
        ui.allocate_exact_size(Vec2::new(size, ui.spacing().interact_size.y), Sense::hover());
    paint_mark(ui.painter(), rect.center(), size, mark, theme);
    response.on_hover_text(mark.word())
}
