//! Cutting paths that reach far beyond what is seen, so that no painter meets coordinates it cannot
//! hold in single precision, and no dash pattern runs for kilometres.

use glam::DVec2;

use crate::drawing::{Path, Rect};

/// Chords stand at most this far from curves that are cut (pt): a sixth of a pixel at 2×.
const CHORD_PT: f64 = 0.05;

/// The part of a filled path inside a rectangle. Edges along the rectangle's sides may appear, so the
/// rectangle must reach beyond what is visible.
pub fn cut_fill(path: &Path, to: &Rect) -> Path {
    let mut cut = Path::new();
    for contour in path.flatten(CHORD_PT) {
        let mut points = contour.points;
        // Sutherland and Hodgman: one side of the rectangle after the other.
        for (axis, limit, keep_below) in
            [(0, to.min.x, false), (0, to.max.x, true), (1, to.min.y, false), (1, to.max.y, true)]
        {
            points = cut_polygon(&points, axis, limit, keep_below);
        }
        if points.len() > 2 {
            cut.append(&Path::polyline(&points, true));
        }
    }
    cut
}

fn cut_polygon(points: &[DVec2], axis: usize, limit: f64, keep_below: bool) -> Vec<DVec2> {
    let inside = |p: DVec2| if keep_below { p[axis] <= limit } else { p[axis] >= limit };
    let mut kept = Vec::with_capacity(points.len() + 4);
    let Some(&last) = points.last() else { return kept };
    let mut from = last;
    for &to in points {
        if inside(from) != inside(to) {
            let t = (limit - from[axis]) / (to[axis] - from[axis]);
            let mut crossing = from.lerp(to, t);
            crossing[axis] = limit;
            kept.push(crossing);
        }
        if inside(to) {
            kept.push(to);
        }
        from = to;
    }
    kept
}

/// The pieces of a stroked path inside a rectangle, each with the length walked along its chain before
/// the piece begins (pt), so that dashes stay where they were.
pub fn cut_stroke(path: &Path, to: &Rect) -> Vec<(Path, f64)> {
    let mut pieces: Vec<(Path, f64)> = Vec::new();
    for contour in path.flatten(CHORD_PT) {
        let mut points = contour.points;
        if contour.closed {
            points.extend(points.first().copied());
        }
        let mut walked = 0.0;
        let mut piece: Vec<DVec2> = Vec::new();
        let mut piece_from = 0.0;
        for pair in points.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let length = a.distance(b);
            match cut_segment(a, b, to) {
                Some((t0, t1)) => {
                    if piece.is_empty() || t0 > 0.0 {
                        flush(&mut piece, piece_from, &mut pieces);
                        piece.push(a.lerp(b, t0));
                        piece_from = walked + t0 * length;
                    }
                    piece.push(a.lerp(b, t1));
                    if t1 < 1.0 {
                        flush(&mut piece, piece_from, &mut pieces);
                    }
                }
                None => flush(&mut piece, piece_from, &mut pieces),
            }
            walked += length;
        }
        flush(&mut piece, piece_from, &mut pieces);
    }
    pieces
}

fn flush(piece: &mut Vec<DVec2>, from: f64, pieces: &mut Vec<(Path, f64)>) {
    if piece.len() > 1 {
        pieces.push((Path::polyline(piece, false), from));
    }
    piece.clear();
}

/// The stretch of a segment inside a rectangle, as shares of its length (Liang and Barsky).
fn cut_segment(a: DVec2, b: DVec2, to: &Rect) -> Option<(f64, f64)> {
    let d = b - a;
    let (mut t0, mut t1) = (0.0_f64, 1.0_f64);
    for (p, q) in
        [(-d.x, a.x - to.min.x), (d.x, to.max.x - a.x), (-d.y, a.y - to.min.y), (d.y, to.max.y - a.y)]
    {
        if p == 0.0 {
            if q < 0.0 {
                return None;
            }
        } else if p < 0.0 {
            t0 = t0.max(q / p);
        } else {
            t1 = t1.min(q / p);
        }
    }
    (t0 <= t1).then_some((t0, t1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_line_keeps_its_middle_and_its_place_in_the_dashes() {
        let path = Path::line(DVec2::new(-1e6, 5.0), DVec2::new(1e6, 5.0));
        let pieces = cut_stroke(&path, &Rect::at(0.0, 0.0, 10.0, 10.0));
        assert_eq!(pieces.len(), 1);
        let bounds = pieces[0].0.bounds().unwrap();
        assert!((bounds.min.x - 0.0).abs() < 1e-6 && (bounds.max.x - 10.0).abs() < 1e-6, "{bounds:?}");
        assert!((pieces[0].1 - 1e6).abs() < 1e-6);
    }

    #[test]
    fn a_line_that_leaves_and_returns_gives_two_pieces() {
        let path = Path::polyline(
            &[DVec2::new(5.0, 5.0), DVec2::new(25.0, 5.0), DVec2::new(25.0, 7.0), DVec2::new(5.0, 7.0)],
            false,
        );
        let pieces = cut_stroke(&path, &Rect::at(0.0, 0.0, 10.0, 10.0));
        assert_eq!(pieces.iter().map(|p| p.1).collect::<Vec<_>>(), [0.0, 37.0]);
    }

    #[test]
    fn a_cut_fill_has_the_area_inside() {
        let square = Path::rect(Rect::at(-1e5, -1e5, 2e5, 2e5));
        let mut ring = square;
        ring.append(&Path::rect(Rect::at(2.0, 2.0, 3.0, 3.0)));
        let cut = cut_fill(&ring, &Rect::at(0.0, 0.0, 10.0, 10.0));
        for (p, inside) in [((1.0, 1.0), true), ((3.0, 3.0), false), ((9.0, 9.0), true), ((11.0, 5.0), false)]
        {
            assert_eq!(cut.contains(p.into()), inside, "{p:?}");
        }
    }
}
