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
            let points = without_doubles(self.points(only), true);
            // The soft edge of a sliver would stick far out at its sharp ends.
            if sharp_corners(&points, true).is_empty() {
                let flat = flat.gamma_multiply(opacity);
                push(Shape::Path(PathShape::convex_polygon(points, flat, Stroke::NONE)));
                return;
            }
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
                for (points, closed) in without_spikes(self.points(contour), true) {
                    let stroke = PathStroke::from(soft);
                    push(Shape::Path(PathShape { points, closed, fill: Color32::TRANSPARENT, stroke }));
                }
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
                _ => {
                    for (points, closed) in without_spikes(self.points(&contour), contour.closed) {
                        push(Shape::Path(PathShape {
                            points,
                            closed,
                            fill: Color32::TRANSPARENT,
                            stroke: stroke.clone(),
                        }));
                    }
                }
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

/// Points nearer to each other than this on screen are one.
const SAME: f32 = 0.05;

/// Points that coincide taken as one.
fn without_doubles(points: Vec<Pos2>, closed: bool) -> Vec<Pos2> {
    let mut kept: Vec<Pos2> = Vec::with_capacity(points.len() + 1);
    for point in points {
        if kept.last().is_none_or(|last| last.distance(point) > SAME) {
            kept.push(point);
        }
    }
    if closed {
        while kept.len() > 1 && kept.first().zip(kept.last()).is_some_and(|(a, b)| a.distance(*b) <= SAME) {
            kept.pop();
        }
    }
    kept
}

/// Cosine of the turn from which a corner is sharp: less than about 72° is left between its edges.
const SHARP: f32 = -0.3;

/// Numbers of the corners at which a line turns back so sharply that a mitre would stick far out.
fn sharp_corners(points: &[Pos2], closed: bool) -> Vec<usize> {
    let count = points.len();
    if count < 2 {
        return Vec::new();
    }
    let sharp = |a: Pos2, b: Pos2, c: Pos2| (b - a).normalized().dot((c - b).normalized()) < SHARP;
    let turns = |i: usize| sharp(points[(i + count - 1) % count], points[i], points[(i + 1) % count]);
    let corners = if closed { 0..count } else { 1..count.saturating_sub(1) };
    corners.filter(|i| turns(*i)).collect()
}

/// A line cut where it turns back sharply: a mitre there would stick far out. Coinciding points are one.
fn without_spikes(points: Vec<Pos2>, closed: bool) -> Vec<(Vec<Pos2>, bool)> {
    let kept = without_doubles(points, closed);
    let count = kept.len();
    if count < 2 {
        return Vec::new();
    }
    let cuts = sharp_corners(&kept, closed);
    let Some(first) = cuts.first().copied() else { return vec![(kept, closed && count > 2)] };
    // A closed line is walked once round from its first cut.
    let walk: Vec<Pos2> =
        if closed { (0..=count).map(|step| kept[(first + step) % count]).collect() } else { kept.clone() };
    let offset = if closed { first } else { 0 };
    let mut pieces = Vec::new();
    let mut from = 0;
    for cut in cuts.iter().map(|cut| cut - offset).filter(|cut| *cut > 0).chain([walk.len() - 1]) {
        pieces.push((walk[from..=cut].to_vec(), false));
        from = cut;
    }
    pieces
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

#[cfg(test)]
mod tests {
    use egui::pos2;

    use super::*;

    #[test]
    fn lines_are_cut_where_they_turn_back() {
        let line = vec![pos2(0.0, 0.0), pos2(10.0, 0.0), pos2(0.0, 0.5), pos2(0.0, 10.0)];
        let open = without_spikes(line.clone(), false);
        assert_eq!(open.iter().map(|(points, _)| points.len()).collect::<Vec<_>>(), [2, 3]);
        let round = without_spikes(line, true);
        let edges: usize = round.iter().map(|(points, _)| points.len() - 1).sum();
        assert_eq!(edges, 4, "every edge is still there: {round:?}");
        let square = vec![pos2(0.0, 0.0), pos2(5.0, 0.0), pos2(5.0, 5.0), pos2(0.0, 5.0), pos2(0.0, 0.01)];
        assert_eq!(
            without_spikes(square, true),
            vec![(vec![pos2(0.0, 0.0), pos2(5.0, 0.0), pos2(5.0, 5.0), pos2(0.0, 5.0)], true)]
        );
        assert!(without_spikes(vec![pos2(1.0, 1.0); 3], true).is_empty());
        let sliver = [pos2(0.0, 0.0), pos2(30.0, 0.1), pos2(30.0, 0.2)];
        assert_eq!(sharp_corners(&sliver, true), [0]);
        assert!(
            sharp_corners(&[pos2(0.0, 0.0), pos2(5.0, 0.0), pos2(6.0, 5.0), pos2(1.0, 5.0)], true).is_empty()
        );
    }
}
