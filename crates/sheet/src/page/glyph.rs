//! Symbols as paths in points.

use glam::DVec2;

use super::out::Out;
use crate::drawing::{Glyph, Mark, Path};
use crate::look::{Fill, Pen, Tone};

/// Half the width of an arrowhead over its length: an included angle of about 20°, within the 15° to
/// 30° usual for closed heads.
const ARROW_SLENDERNESS: f64 = 0.18;

/// The length of an arrowhead on a line of some width (pt).
pub fn arrow_length(width_pt: f64) -> f64 {
    5.0 + 3.0 * width_pt.clamp(0.0, 5.0)
}

/// A filled arrowhead with its tip at a point, pointing in a unit direction (pt, y down).
pub fn arrow(tip: DVec2, direction: DVec2, length: f64) -> Path {
    let base = tip - direction * length;
    let half = direction.perp() * (ARROW_SLENDERNESS * length);
    Path::polyline(&[tip, base + half, base - half], true)
}

pub fn lower(out: &mut Out, mark: &Mark, at: DVec2) {
    let size = mark.size_pt;
    if !(size.is_finite() && size > 0.0) {
        return;
    }
    let run = DVec2::new(mark.turn.cos(), -mark.turn.sin());
    let side = run.perp();
    let half = 0.5 * size;
    // Points along and across the mark's direction, in half sizes.
    let p = |along: f64, across: f64| at + (run * along + side * across) * half;
    let line_width = (0.14 * size).clamp(0.6, 2.0);
    let area = |out: &mut Out, path: Path| match mark.hollow {
        Some(inside) => {
            out.fill(path.clone(), Fill::flat(inside));
            out.stroke(path, Pen::new(mark.tone, line_width));
        }
        None => out.fill(path, Fill::flat(mark.tone)),
    };
    let strokes = |out: &mut Out, lines: &[&[DVec2]]| {
        let mut path = Path::new();
        for line in lines {
            path.append(&Path::polyline(line, false));
        }
        out.stroke(path, Pen::new(mark.tone, line_width.max(0.18 * size)));
    };
    match mark.glyph {
        Glyph::Circle => area(out, Path::circle(at, half)),
        Glyph::Square => {
            area(out, Path::polyline(&[p(0.9, 0.9), p(-0.9, 0.9), p(-0.9, -0.9), p(0.9, -0.9)], true));
        }
        Glyph::Diamond => {
            area(out, Path::polyline(&[p(1.1, 0.0), p(0.0, 1.1), p(-1.1, 0.0), p(0.0, -1.1)], true));
        }
        Glyph::Cross => strokes(out, &[&[p(0.8, 0.8), p(-0.8, -0.8)], &[p(0.8, -0.8), p(-0.8, 0.8)]]),
        Glyph::Plus => strokes(out, &[&[p(1.0, 0.0), p(-1.0, 0.0)], &[p(0.0, 1.0), p(0.0, -1.0)]]),
        Glyph::Overlapping | Glyph::Touching | Glyph::Apart => {
            let block = |from: f64, to: f64| {
                Path::polyline(&[p(from, -0.75), p(to, -0.75), p(to, 0.75), p(from, 0.75)], true)
            };
            let inner = match mark.glyph {
                Glyph::Overlapping => 0.35,
                Glyph::Touching => -0.06,
                _ => -0.36,
            };
            // Of two that overlap what both take stands out.
            let overlap = mark.glyph == Glyph::Overlapping;
            let body = Fill::faded(mark.tone, if overlap { 0.5 } else { 1.0 });
            out.fill(block(-1.1, if overlap { -inner } else { inner }), body);
            out.fill(block(if overlap { inner } else { -inner }, 1.1), body);
            if overlap {
                out.fill(block(-inner, inner), Fill::flat(mark.tone));
            }
        }
        Glyph::Arrow => out.fill(arrow(at, run, size), Fill::flat(mark.tone)),
        Glyph::MassCentre => {
            let inside = mark.hollow.unwrap_or(Tone::Paper);
            let circle = Path::circle(at, half);
            out.fill(circle.clone(), Fill::flat(inside));
            let mut quarters = Path::new();
            for start in [0.0, std::f64::consts::PI] {
                quarters.move_to(at);
                quarters.arc(at, half, start, std::f64::consts::FRAC_PI_2).close();
            }
            out.fill(quarters, Fill::flat(mark.tone));
            out.stroke(circle, Pen::new(mark.tone, line_width));
        }
        Glyph::Ground => {
            let mut path = Path::line(p(0.0, -1.0), p(0.0, 1.0));
            for i in 0..4 {
                let y = -0.9 + 0.5 * f64::from(i);
                path.append(&Path::line(p(0.0, y), p(-0.8, y + 0.45)));
            }
            out.stroke(path, Pen::new(mark.tone, line_width.min(0.8)));
        }
    }
}
