//! Small painted marks: how bad something is, told by shape as well as colour.

use egui::{Painter, Pos2, Response, Sense, Shape, Stroke, Ui, Vec2, vec2};
use glidewright_motion::Severity;
use glidewright_sheet::{Theme, Tone};

use crate::theme::colour;

/// What a mark says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// It does not work: a crossed disc.
    Fails,
    /// Too little margin: a triangle.
    Marginal,
    /// Good to know: a ring with a dot.
    Note,
    /// All is well: a tick.
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
    let at = |x: f32, y: f32| middle + vec2(x, y) * half;
    let thin = Stroke::new((0.13 * size).max(1.2), color);
    let cut = Stroke::new((0.15 * size).max(1.4), inside);
    match mark {
        Mark::Fails => {
            painter.circle_filled(middle, half, color);
            painter.line_segment([at(-0.42, -0.42), at(0.42, 0.42)], cut);
            painter.line_segment([at(-0.42, 0.42), at(0.42, -0.42)], cut);
        }
        Mark::Marginal => {
            let corners = vec![at(0.0, -0.95), at(1.05, 0.85), at(-1.05, 0.85)];
            painter.add(Shape::convex_polygon(corners, color, Stroke::NONE));
            painter.line_segment([at(0.0, -0.35), at(0.0, 0.25)], cut);
            painter.circle_filled(at(0.0, 0.56), 0.08 * size, inside);
        }
        Mark::Note => {
            painter.circle_stroke(middle, half - 0.5 * thin.width, thin);
            painter.circle_filled(middle, 0.12 * size, color);
        }
        Mark::Clear => {
            painter.line(
                vec![at(-0.85, 0.1), at(-0.25, 0.7), at(0.9, -0.7)],
                Stroke::new(thin.width * 1.3, color),
            );
        }
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
