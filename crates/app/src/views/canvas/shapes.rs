//! A page as egui shapes: the window's painter beside those for SVG, PNG and PDF.

use egui::epaint::{PathShape, PathStroke, TextShape, Vertex, WHITE_UV};
use egui::{Color32, Mesh, Painter, Pos2, Rect, Shape, Stroke, Vec2};
use glidewright_sheet::{Contour, DVec2, Fill, InkKind, Page, Path, Pen, TextInk, Theme, fill_mesh};

use super::Camera;
use crate::theme::{colour, font_id};

/// How far a flattened curve may stray on screen (points).
const FLATNESS: f64 = 0.12;

/// Shapes in painting order, each with the rectangle it is cut off at.
#[derive(Default)]
pub struct Shapes {
    shapes: Vec<(Option<Rect>, Shape)>,
}

impl Shapes {
    /// Lays out a page as the camera shows it.
    pub fn new(page: &Page, theme: &Theme, camera: &Camera, painter: &Painter) -> Self {
        let mut out = Self { shapes: Vec::with_capacity(page.inks.len() + 8) };
        let pen = Brush { theme, camera, painter };
        let window = painter.clip_rect();
        for ink in &page.inks {
            let clip = ink.clip.map(|rect| camera.rect(&rect));
            let bounds = camera.rect(&ink.bounds).expand(4.0);
            if !bounds.intersects(window) || clip.is_some_and(|clip| !clip.intersects(bounds)) {
                continue;
            }
            let mut push = |shape: Shape| out.shapes.push((clip, shape));
            match &ink.kind {
                InkKind::Fill { path, fill } => pen.fill(path, fill, &mut push),
                InkKind::Stroke { path, pen: how, dash_offset } => {
                    pen.stroke(path, how, *dash_offset, &mut push)
                }
                InkKind::Text(text) => pen.text(text, &mut push),
            }
        }
        out
    }

    /// Paints them.
    pub fn paint(&self, painter: &Painter) {
        let whole = painter.clip_rect();
        let mut clip = None;
        let mut clipped = painter.clone();
        for (wanted, shape) in &self.shapes {
            if *wanted != clip {
                clip = *wanted;
                clipped.set_clip_rect(clip.map_or(whole, |clip| clip.intersect(whole)));
            }
            clipped.add(shape.clone());
        }
    }
}

struct Brush<'a> {
    theme: &'a Theme,
    camera: &'a Camera,
    painter: &'a Painter,
}

impl Brush<'_> {
    fn tolerance(&self) -> f64 {
        FLATNESS / f64::from(self.camera.scale).max(1e-3)
    }

    fn points(&self, contour: &Contour) -> Vec<Pos2> {
        contour.points.iter().map(|p| self.camera.pos(*p)).collect()
    }

    fn fill(&self, path: &Path, fill: &Fill, push: &mut impl FnMut(Shape)) {
        let flat = colour(self.theme.shaded(fill.tone, fill.shade));
        let opacity = fill.opacity.clamp(0.0, 1.0) as f32;
        // An area that only takes hits.
        if opacity == 0.0 {
            return;
        }
        let contours = path.flatten(self.tolerance());
        if let (None, [only]) = (fill.round, contours.as_slice())
            && is_convex(&only.points)
        {
            let points = self.points(only);
            push(Shape::Path(PathShape::convex_polygon(points, flat.gamma_multiply(opacity), Stroke::NONE)));
            return;
        }
        let (triangles, colours) = fill_mesh(path, fill, self.theme, self.tolerance());
        if triangles.triangles.is_empty() {
            return;
        }
        let vertices = triangles
            .points
            .iter()
            .zip(&colours)
            .map(|(p, c)| Vertex {
                pos: self.camera.pos(*p),
                uv: WHITE_UV,
                color: colour(*c).gamma_multiply(opacity),
            })
            .collect();
        let indices = triangles.triangles.into_iter().flatten().collect();
        push(Shape::mesh(Mesh { indices, vertices, ..Mesh::default() }));
        if fill.round.is_none() && opacity >= 1.0 {
            // A mesh has hard edges: a hairline of its own colour softens them.
            let soft = Stroke::new(0.6, flat);
            for contour in contours.iter().filter(|c| c.points.len() > 2) {
                push(Shape::closed_line(self.points(contour), soft));
            }
        }
    }

    fn stroke(&self, path: &Path, pen: &Pen, dash_offset: f64, push: &mut impl FnMut(Shape)) {
        let color =
            colour(self.theme.shaded(pen.tone, pen.shade)).gamma_multiply(pen.opacity.clamp(0.0, 1.0) as f32);
        let width = (pen.width_pt as f32 * self.camera.scale).max(0.5);
        let stroke = PathStroke::new(width, color);
        let pattern = pen.dash.pattern(pen.width_pt);
        let dashed;
        let path = if pattern.is_empty() {
            path
        } else {
            dashed = path.dashed(&pattern, dash_offset);
            &dashed
        };
        for contour in path.flatten(self.tolerance()) {
            match contour.points.as_slice() {
                [] | [_] => {}
                [a, b] => push(Shape::LineSegment {
                    points: [self.camera.pos(*a), self.camera.pos(*b)],
                    stroke: Stroke::new(width, color),
                }),
                _ => push(Shape::Path(PathShape {
                    points: self.points(&contour),
                    closed: contour.closed,
                    fill: Color32::TRANSPARENT,
                    stroke: stroke.clone(),
                })),
            }
        }
    }

    fn text(&self, text: &TextInk, push: &mut impl FnMut(Shape)) {
        // Quarter points, so that resizing a window does not fill the glyph atlas with in-between sizes.
        let size = (text.size_pt as f32 * self.camera.scale * 4.0).round() / 4.0;
        if size < 3.0 {
            return;
        }
        let color = colour(self.theme.colour(text.tone));
        let galley =
            self.painter.layout_no_wrap(text.text.clone(), font_id(text.face, text.weight, size), color);
        let baseline = galley
            .rows
            .first()
            .and_then(|row| Some(row.pos.y + row.glyphs.first()?.pos.y))
            .unwrap_or_else(|| galley.size().y * 0.8);
        let angle = -text.turn as f32;
        let back = Vec2::new(text.along as f32 * galley.size().x, baseline);
        let pos = self.camera.pos(text.at) - egui::emath::Rot2::from_angle(angle) * back;
        push(Shape::Text(TextShape::new(pos, galley, color).with_angle(angle)));
    }
}

/// Whether a closed polygon turns one way only, once round.
fn is_convex(points: &[DVec2]) -> bool {
    let n = points.len();
    if n < 3 {
        return false;
    }
    let (mut left, mut right, mut turned) = (false, false, 0.0);
    for i in 0..n {
        let (a, b, c) = (points[i], points[(i + 1) % n], points[(i + 2) % n]);
        let (u, v) = (b - a, c - b);
        let cross = u.perp_dot(v);
        left |= cross > 0.0;
        right |= cross < 0.0;
        turned += cross.atan2(u.dot(v));
    }
    left != right && turned.abs() < 1.5 * std::f64::consts::TAU
}
