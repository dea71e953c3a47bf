//! Hatching as lines cut to a path: the same lines in every painter.

use glam::DVec2;

use crate::drawing::{Path, Rect};
use crate::look::Hatch;

/// More lines than this in one family are not drawn: the spacing would be far below what can be seen.
const MOST_LINES: f64 = 4000.0;

/// The hatch lines of a path (pt), by the even-odd rule, as far as they may be seen.
pub fn hatch_lines(path: &Path, hatch: &Hatch, visible: &Rect) -> Path {
    let mut lines = Path::new();
    family(path, hatch, hatch.turn, visible, &mut lines);
    if hatch.crossed {
        family(path, hatch, hatch.turn + std::f64::consts::FRAC_PI_2, visible, &mut lines);
    }
    lines
}

fn family(path: &Path, hatch: &Hatch, turn: f64, visible: &Rect, lines: &mut Path) {
    let spacing = hatch.spacing_pt;
    if !(spacing.is_finite() && spacing >= 0.2 && turn.is_finite()) {
        return;
    }
    // On paper y runs down: a turn seen counter-clockwise is a negative angle.
    let run = DVec2::new(turn.cos(), -turn.sin());
    let across = DVec2::new(-run.y, run.x);
    let contours = path.flatten(0.1);
    let Some(origin) = contours.first().and_then(|c| c.points.first()).copied() else { return };
    let edges: Vec<(DVec2, DVec2)> = contours
        .iter()
        .flat_map(|c| {
            let next = c.points.iter().cycle().skip(1);
            c.points.iter().zip(next).map(|(a, b)| (*a, *b))
        })
        .map(|(a, b)| {
            let local = |p: DVec2| DVec2::new((p - origin).dot(run), (p - origin).dot(across));
            (local(a), local(b))
        })
        .collect();
    let range = |points: &mut dyn Iterator<Item = f64>| {
        points.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| (lo.min(v), hi.max(v)))
    };
    let (low, high) = range(&mut edges.iter().flat_map(|(a, b)| [a.y, b.y]));
    let (see_low, see_high) = range(&mut visible.corners().into_iter().map(|p| (p - origin).dot(across)));
    let first = (low.max(see_low) / spacing).ceil();
    let last = (high.min(see_high) / spacing).floor();
    if !(first.is_finite() && last.is_finite() && last - first < MOST_LINES) {
        return;
    }
    let mut crossings: Vec<f64> = Vec::new();
    let mut line = first;
    while line <= last {
        // A hair off the lattice, so that no line runs along an edge of a figure that starts on it.
        let y = line * spacing + 1e-7;
        crossings.clear();
        crossings.extend(edges.iter().filter(|(a, b)| (a.y <= y) != (b.y <= y)).map(|(a, b)| {
            let t = (y - a.y) / (b.y - a.y);
            a.x + t * (b.x - a.x)
        }));
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            if pair[1] - pair[0] > 0.05 {
                let at = |x: f64| origin + run * x + across * y;
                lines.append(&Path::line(at(pair[0]), at(pair[1])));
            }
        }
        line += 1.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::look::Tone;

    fn total_length(path: &Path) -> f64 {
        path.flatten(0.01).iter().map(|c| c.points[0].distance(c.points[1])).sum()
    }

    #[test]
    fn hatched_length_times_spacing_is_the_area() {
        // Lines a distance d apart cover an area A with a total length A/d, apart from the rim.
        let everything = Rect::at(-1e4, -1e4, 2e4, 2e4);
        let mut ring = Path::circle(DVec2::new(50.0, 50.0), 40.0);
        ring.append(&Path::circle(DVec2::new(55.0, 50.0), 15.0));
        let area = std::f64::consts::PI * (40.0_f64.powi(2) - 15.0_f64.powi(2));
        for turn in [0.0, 0.4, std::f64::consts::FRAC_PI_4, 2.0] {
            let hatch = Hatch { turn, spacing_pt: 1.0, ..Hatch::section(Tone::Ink) };
            let got = total_length(&hatch_lines(&ring, &hatch, &everything));
            assert!((got / area - 1.0).abs() < 0.01, "turn {turn}: {got} against {area}");
            let crossed = total_length(&hatch_lines(&ring, &hatch.crossed(), &everything));
            assert!((crossed / area - 2.0).abs() < 0.02, "turn {turn}: {crossed} against twice {area}");
        }
    }

    #[test]
    fn hatching_leans_as_the_reader_sees_it() {
        let square = Path::rect(Rect::at(0.0, 0.0, 40.0, 40.0));
        let lines = hatch_lines(&square, &Hatch::section(Tone::Ink), &Rect::at(0.0, 0.0, 40.0, 40.0));
        for c in lines.flatten(0.1) {
            let d = c.points[1] - c.points[0];
            assert!(d.x * d.y < 0.0, "45° rises to the right: {d}");
        }
    }

    #[test]
    fn unusable_spacing_gives_nothing() {
        let square = Path::rect(Rect::at(0.0, 0.0, 40.0, 40.0));
        for spacing in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-9] {
            let hatch = Hatch::section(Tone::Ink).spaced(spacing);
            assert!(hatch_lines(&square, &hatch, &Rect::at(0.0, 0.0, 40.0, 40.0)).is_empty(), "{spacing}");
        }
    }
}
