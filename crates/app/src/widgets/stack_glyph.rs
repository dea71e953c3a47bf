//! Pieces of a stack as small pictures to one scale, seen from the side with the screw upright.

use egui::{Color32, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};
use glidewright_sheet::{Theme, Tone};

use crate::theme::{Surface, colour};

/// What is drawn, with its sizes (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Glyph {
    /// A screw's head: diameter, height, and whether it is a dome.
    Head {
        /// Diameter or width across flats.
        size: f64,
        /// Height.
        height: f64,
        /// Low dome.
        is_dome: bool,
        /// Countersunk: a cone that narrows downwards.
        is_sunk: bool,
    },
    /// Washer, shim, spacer.
    Ring {
        /// Outer diameter.
        outer: f64,
        /// Extent along the screw.
        length: f64,
        /// Distance of the axle from the hole, for an eccentric one.
        offset: f64,
    },
    /// A plate: wider than there is room for.
    Plate {
        /// Thickness.
        thickness: f64,
    },
    /// A wheel.
    Wheel {
        /// Outer diameter.
        outer: f64,
        /// Width of the tyre.
        width: f64,
        /// Width of the hub.
        hub: f64,
        /// Width of the tip of a vee; the tyre's width for a plain wheel.
        tip: f64,
    },
    /// A hexagon nut.
    Nut {
        /// Across flats.
        flats: f64,
        /// Height.
        height: f64,
        /// Lock nuts carry a collar.
        locking: bool,
    },
    /// The free end of the screw.
    End {
        /// How far it stands out.
        length: f64,
    },
}

impl Glyph {
    /// Extent along the screw (mm).
    pub const fn length(&self) -> f64 {
        match *self {
            Self::Head { height, .. } | Self::Nut { height, .. } => height,
            Self::Ring { length, .. } | Self::End { length } => length,
            Self::Plate { thickness } => thickness,
            Self::Wheel { width, hub, .. } => width.max(hub),
        }
    }

    /// Extent across (mm); 0 for a plate.
    pub const fn across(&self) -> f64 {
        match *self {
            Self::Head { size, .. } => size,
            Self::Ring { outer, .. } | Self::Wheel { outer, .. } => outer,
            // Across corners.
            Self::Nut { flats, .. } => 1.155 * flats,
            Self::Plate { .. } | Self::End { .. } => 0.0,
        }
    }
}

/// Paints a piece in the middle of its row, with the screw of `thread` (mm) running through from edge to edge;
/// `scale` in points per mm.
pub fn paint_glyph(
    painter: &Painter,
    row: Rect,
    glyph: Glyph,
    thread: f64,
    scale: f32,
    selected: bool,
    theme: &Theme,
) {
    let painter = painter.with_clip_rect(row.intersect(painter.clip_rect()));
    let ink = theme.colour(if selected { Tone::Selection } else { Tone::Outline });
    let stroke = Stroke::new(if selected { 1.6 } else { 1.0 }, colour(ink));
    let fill = Surface::Field.color32(theme);
    let middle = row.center();
    let px = |mm: f64| (mm as f32 * scale).max(1.0);
    let shank = 0.5 * px(thread);
    let metal = colour(theme.colour(Tone::Hardware));
    let tube = colour(theme.colour(Tone::Spacer));
    let tyre = colour(theme.colour(Tone::Tyre));
    let core = |from: f32, to: f32| {
        let rect = Rect::from_min_max(pos2(middle.x - shank, from), pos2(middle.x + shank, to));
        painter.rect_filled(rect, 0.0, metal);
    };
    let block = |across: f32, length: f32, at: Pos2, fill: Color32| {
        let rect = Rect::from_center_size(at, vec2(across, length.max(1.5)));
        painter.rect(rect, 0.0, fill, stroke, egui::StrokeKind::Middle);
        rect
    };
    match glyph {
        Glyph::Head { size, height, is_dome, is_sunk } => {
            core(middle.y, row.bottom());
            let (half, tall) = (0.5 * px(size), 0.5 * px(height));
            let points = if is_dome {
                let arc = (0..=8).map(|i| {
                    let angle = std::f32::consts::PI * (1.0 - i as f32 / 8.0);
                    middle + vec2(half * angle.cos(), tall - 2.0 * tall * angle.sin())
                });
                arc.collect()
            } else if is_sunk {
                let low = middle.y + tall;
                vec![
                    middle + vec2(-half, -tall),
                    middle + vec2(half, -tall),
                    pos2(middle.x + shank, low),
                    pos2(middle.x - shank, low),
                ]
            } else {
                vec![
                    middle + vec2(-half, -tall),
                    middle + vec2(half, -tall),
                    middle + vec2(half, tall),
                    middle + vec2(-half, tall),
                ]
            };
            painter.add(Shape::convex_polygon(points, metal, stroke));
        }
        Glyph::Ring { outer, length, offset } => {
            core(row.top(), row.bottom());
            block(px(outer), px(length), middle + vec2(offset as f32 * scale, 0.0), tube);
        }
        Glyph::Plate { thickness } => {
            core(row.top(), row.bottom());
            let rect = block(row.width() - 4.0, px(thickness), middle, fill);
            // Hatched, as cut parts are (ISO 128-50).
            let inside = painter.with_clip_rect(rect.shrink(0.5).intersect(painter.clip_rect()));
            let thin = Stroke::new(0.7, colour(theme.colour(Tone::FaintInk)));
            let mut x = rect.left() - rect.height();
            while x < rect.right() {
                inside.line_segment([pos2(x, rect.bottom()), pos2(x + rect.height(), rect.top())], thin);
                x += 5.0;
            }
        }
        Glyph::Wheel { outer, width, hub, tip } => {
            core(row.top(), row.bottom());
            block(0.3 * px(outer), px(hub), middle, metal);
            let (half, tall) = (0.5 * px(outer), 0.5 * px(width));
            let tip = 0.5 * px(tip).min(2.0 * tall);
            // A vee's flanks fall away at 45° in most wheels; the picture is only to tell it by.
            let shoulder = half - (tall - tip);
            let points = vec![
                middle + vec2(-shoulder, -tall),
                middle + vec2(shoulder, -tall),
                middle + vec2(half, -tip),
                middle + vec2(half, tip),
                middle + vec2(shoulder, tall),
                middle + vec2(-shoulder, tall),
                middle + vec2(-half, tip),
                middle + vec2(-half, -tip),
            ];
            painter.add(Shape::convex_polygon(points, tyre, stroke));
        }
        Glyph::Nut { flats, height, locking } => {
            core(row.top(), row.bottom());
            let across = 1.155 * px(flats);
            let rect = block(across, px(height), middle, metal);
            for share in [0.25, 0.75] {
                let x = rect.left() + share * rect.width();
                painter.line_segment([pos2(x, rect.top()), pos2(x, rect.bottom())], stroke);
            }
            if locking {
                let y = rect.top() + 0.75 * rect.height();
                painter.line_segment([pos2(rect.left(), y), pos2(rect.right(), y)], stroke);
            }
        }
        Glyph::End { length } => {
            let rect = Rect::from_min_size(pos2(middle.x - shank, row.top()), vec2(2.0 * shank, px(length)));
            painter.rect(rect, 0.0, metal, stroke, egui::StrokeKind::Middle);
        }
    }
}
