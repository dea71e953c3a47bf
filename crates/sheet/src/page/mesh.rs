//! Triangles for painters that know nothing else.

use glam::DVec2;
use i_triangle::float::custom::CustomTriangulatable;
use i_triangle::i_overlay::core::fill_rule::FillRule;
use i_triangle::int::validation::Validation;

use crate::drawing::Path;
use crate::look::{Colour, Fill, Theme};

/// Triangles.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Mesh {
    /// Corners.
    pub points: Vec<DVec2>,
    /// Three corners each, by number; the sense of rotation varies.
    pub triangles: Vec<[u32; 3]>,
}

impl Mesh {
    fn add_fan(&mut self, polygon: impl ExactSizeIterator<Item = DVec2>) {
        let first = self.points.len() as u32;
        let count = polygon.len() as u32;
        self.points.extend(polygon);
        self.triangles.extend((2..count).map(|i| [first, first + i - 1, first + i]));
    }
}

/// Sizes of paths that are triangulated: the library below counts on a grid of whole numbers and
/// panics when a path does not fit it.
const SIZE: std::ops::Range<f64> = 1e-9..1e12;

/// The inside of a path (even-odd) as triangles, curves flattened to a tolerance. Points move by less
/// than a millionth of the path's size. Empty for an empty path, one that is not finite, or one whose
/// size or distance from the origin no page has (below 1e-9 or from 1e12).
pub fn triangulate(path: &Path, tolerance: f64) -> Mesh {
    let mut mesh = Mesh::default();
    let fits = path.bounds().is_some_and(|b| {
        SIZE.contains(&b.size().max_element()) && b.min.abs().max(b.max.abs()).max_element() < SIZE.end
    });
    if !fits {
        return mesh;
    }
    let contours: Vec<Vec<[f64; 2]>> = path
        .flatten(tolerance)
        .into_iter()
        .filter(|c| c.points.len() > 2)
        .map(|c| c.points.iter().map(DVec2::to_array).collect())
        .collect();
    match contours.as_slice() {
        [] => {}
        [one] if is_convex(one) => mesh.add_fan(one.iter().map(|p| DVec2::from_array(*p))),
        many => {
            let rule = Validation::with_fill_rule(FillRule::EvenOdd);
            let raw = many.to_vec().custom_triangulate(rule).to_triangulation::<u32>();
            mesh.points = raw.points.into_iter().map(DVec2::from_array).collect();
            mesh.triangles = raw.indices.chunks_exact(3).map(|t| [t[0], t[1], t[2]]).collect();
        }
    }
    mesh
}

/// Whether a polygon turns one way only and just once round.
fn is_convex(polygon: &[[f64; 2]]) -> bool {
    let n = polygon.len();
    let at = |i: usize| DVec2::from_array(polygon[i % n]);
    let (mut left, mut right, mut turned) = (false, false, 0.0);
    for i in 0..n {
        let (a, b) = (at(i + 1) - at(i), at(i + 2) - at(i + 1));
        let cross = a.perp_dot(b);
        left |= cross > 0.0;
        right |= cross < 0.0;
        turned += cross.atan2(a.dot(b));
    }
    left != right && turned.abs() < 1.5 * std::f64::consts::TAU
}

/// A fill as triangles with a colour for every corner. A round fill is cut at its colour stops, so
/// that mixing the corners' colours linearly gives the gradient exactly. Opacity is left to the painter.
pub fn fill_mesh(path: &Path, fill: &Fill, theme: &Theme, tolerance: f64) -> (Mesh, Vec<Colour>) {
    let flat = triangulate(path, tolerance);
    let axis = fill.round.and_then(|(lit, dark)| {
        let across = dark - lit;
        let length = across.length_squared();
        (length > 1e-12 && length.is_finite()).then_some((lit, across / length))
    });
    let Some((lit, across)) = axis else {
        let colours = vec![theme.shaded(fill.tone, fill.shade); flat.points.len()];
        return (flat, colours);
    };
    let stops = theme.round_stops(fill);
    let share = |p: DVec2| (p - lit).dot(across);
    let mut mesh = Mesh::default();
    let limits = stops.iter().map(|s| s.0);
    let lows = std::iter::once(f64::NEG_INFINITY).chain(limits.clone());
    let highs = limits.chain(std::iter::once(f64::INFINITY));
    for (low, high) in lows.zip(highs) {
        for triangle in &flat.triangles {
            let mut polygon: Vec<DVec2> = triangle.iter().map(|i| flat.points[*i as usize]).collect();
            if low.is_finite() {
                polygon = keep(&polygon, |p| share(p) - low);
            }
            if high.is_finite() {
                polygon = keep(&polygon, |p| high - share(p));
            }
            if polygon.len() > 2 {
                mesh.add_fan(polygon.into_iter());
            }
        }
    }
    let colours = mesh.points.iter().map(|p| colour_at(&stops, share(*p))).collect();
    (mesh, colours)
}

/// The part of a convex polygon where a linear function is not negative.
fn keep(polygon: &[DVec2], value: impl Fn(DVec2) -> f64) -> Vec<DVec2> {
    let mut kept = Vec::with_capacity(polygon.len() + 1);
    for (i, &to) in polygon.iter().enumerate() {
        let from = polygon[(i + polygon.len() - 1) % polygon.len()];
        let (a, b) = (value(from), value(to));
        if (a < 0.0) != (b < 0.0) {
            kept.push(from.lerp(to, a / (a - b)));
        }
        if b >= 0.0 {
            kept.push(to);
        }
    }
    kept
}

fn colour_at(stops: &[(f64, Colour)], share: f64) -> Colour {
    let mut before = stops[0];
    for &stop in stops {
        if share <= stop.0 {
            let width = stop.0 - before.0;
            let part = if width > 0.0 { (share - before.0) / width } else { 0.0 };
            return before.1.towards(stop.1, part);
        }
        before = stop;
    }
    before.1
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;
    use crate::drawing::Rect;
    use crate::look::Tone;

    fn area(mesh: &Mesh) -> f64 {
        let p = |i: u32| mesh.points[i as usize];
        mesh.triangles.iter().map(|t| 0.5 * (p(t[1]) - p(t[0])).perp_dot(p(t[2]) - p(t[0])).abs()).sum()
    }

    fn star() -> Path {
        let points: Vec<DVec2> =
            (0..5).map(|i| 10.0 * DVec2::from_angle(f64::from(i) * 0.8 * PI + 0.5 * PI)).collect();
        Path::polyline(&points, true)
    }

    #[test]
    fn areas_match_closed_forms() {
        let mut ring = Path::circle(DVec2::ZERO, 20.0);
        ring.append(&Path::circle(DVec2::new(3.0, 0.0), 10.0));
        let bracket: Vec<DVec2> =
            [(0., 0.), (30., 0.), (30., 5.), (5., 5.), (5., 20.), (0., 20.)].map(DVec2::from).to_vec();
        // A pentagram's five points without its heart, since the heart is covered twice: side ratio φ.
        // (Plane geometry.)
        let phi = (1.0 + 5.0_f64.sqrt()) / 2.0;
        let heart_radius = 10.0 / (phi * phi);
        let inner_edge = 2.0 * heart_radius * (PI / 5.0).sin();
        let tip = 0.5 * inner_edge * (0.5 * inner_edge * (0.4 * PI).tan());
        for (name, path, expected) in [
            ("rectangle", Path::rect(Rect::at(1.0, 2.0, 30.0, 4.0)), 120.0),
            ("ring", ring, PI * 300.0),
            ("bracket", Path::polyline(&bracket, true), 225.0),
            ("pentagram", star(), 5.0 * tip),
        ] {
            let got = area(&triangulate(&path, 0.001));
            assert!((got / expected - 1.0).abs() < 1e-3, "{name}: {got}, expected {expected}");
        }
    }

    #[test]
    fn a_round_fill_keeps_its_area_and_meets_its_stops() {
        let theme = Theme::light();
        let path = Path::rect(Rect::at(0.0, 0.0, 50.0, 10.0));
        let fill = Fill::round(Tone::Hardware, DVec2::ZERO, DVec2::new(0.0, 10.0));
        let (mesh, colours) = fill_mesh(&path, &fill, &theme, 0.1);
        assert_eq!(mesh.points.len(), colours.len());
        assert!((area(&mesh) - 500.0).abs() < 1e-9);
        for (share, colour) in theme.round_stops(&fill) {
            let at_stop = mesh.points.iter().zip(&colours).filter(|(p, _)| (p.y - 10.0 * share).abs() < 1e-9);
            let mut count = 0;
            for (_, c) in at_stop {
                assert_eq!(*c, colour);
                count += 1;
            }
            assert!(count > 0, "no corner at {share}");
        }
    }

    #[test]
    fn broken_paths_give_no_triangles() {
        for path in [
            Path::new(),
            Path::line(DVec2::ZERO, DVec2::X),
            Path::polyline(&[DVec2::ZERO, DVec2::X, DVec2::NAN], true),
            Path::polyline(&[DVec2::ZERO, DVec2::X, DVec2::splat(f64::INFINITY)], true),
        ] {
            assert_eq!(triangulate(&path, 0.1), Mesh::default());
        }
        // Degenerate but finite: it must end, with little or nothing.
        let far = DVec2::splat(1e11);
        for points in [
            vec![DVec2::ZERO; 5],
            vec![DVec2::ZERO, DVec2::splat(1e300), DVec2::X],
            vec![DVec2::ZERO, DVec2::splat(1e-300), DVec2::X * 1e-300],
            vec![DVec2::ZERO, DVec2::X, DVec2::X * 2.0, DVec2::X * 0.5, DVec2::X * 1.5],
            vec![far, far + DVec2::X, far + DVec2::Y, far - DVec2::X],
        ] {
            let mesh = triangulate(&Path::polyline(&points, true), 0.1);
            assert!(mesh.triangles.len() <= 4, "{points:?}");
        }
    }
}
