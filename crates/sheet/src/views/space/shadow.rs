//! The shadow on the ground: what stands above it, straight down, soft at its edge.

use glam::{DVec2, DVec3};
use glidewright_geometry::{Outline, Region, intersection, union};

use super::lump::Lump;
use crate::drawing::{Panel, Path, Rect, Shape};
use crate::look::{Fill, Tone};
use crate::views::figure::hull_points;
use crate::views::projection::Projector;

/// Layers of the shadow, each a little larger than the one on it, and how dark each is.
const LAYERS: u32 = 5;
const DARKNESS: f64 = 0.05;
/// How far the largest reaches beyond the smallest (pt).
const SOFT: f64 = 12.0;
/// Sides that stand for a round edge.
const SIDES: usize = 12;
/// Lumps smaller than this on paper (pt) cast none of their own.
const SHOWS: f64 = 5.0;
/// Sine of the lift below which the ground is seen too flat to show one.
const FLAT: f64 = 0.06;
/// The rail stands on what ends this near its beginning (mm).
const ON_FOOT: f64 = 2.0;
/// Least area of ground that a lump covers (mm²).
const LEAST: f64 = 0.5;
/// Chords of the edge stand this far from it at most (mm).
const CHORD: f64 = 0.2;

/// What stands above the ground, as it looks from above.
pub(super) struct Shadow {
    up: DVec3,
    across: DVec3,
    along: DVec3,
    /// Level of the ground (mm, along `up`).
    lowest: f64,
    /// What each lump covers of the ground (mm), with its number.
    casts: Vec<(usize, Vec<DVec2>)>,
    /// The lump on which the rail stands, with the level of its upper face.
    foot: Option<(usize, f64)>,
}

impl Shadow {
    /// Of lumps at some points per millimetre; `None` where the ground is seen from below or edge-on. `is_fixed` tells of a lump whether it stands still
    /// about the rail, `rail` where the rail begins (mm along `up`).
    pub(super) fn of(
        scale: f64,
        view: &Projector,
        up: DVec3,
        lumps: &[Lump],
        is_fixed: impl Fn(&Lump) -> bool,
        rail: f64,
    ) -> Option<Self> {
        if !(view.toward.dot(up) > FLAT) {
            return None;
        }
        let across = up.any_orthonormal_vector();
        let along = up.cross(across);
        let mut shadow = Self { up, across, along, lowest: f64::INFINITY, casts: Vec::new(), foot: None };
        let mut widest = 0.0;
        for (number, lump) in lumps.iter().enumerate() {
            let points = lump.form.outline_points();
            let levels = || points.iter().map(|p| p.dot(up));
            shadow.lowest = levels().fold(shadow.lowest, f64::min);
            if lump.frame.size().max_element() * scale < SHOWS {
                continue;
            }
            let cast = hull_points(points.iter().map(|p| DVec2::new(p.dot(across), p.dot(along))).collect());
            if cast.len() < 3 {
                continue;
            }
            let top = levels().fold(f64::NEG_INFINITY, f64::max);
            let area = Outline::polygon(&cast).area().abs();
            // What stands upright and thin covers a line of it.
            if !(area > LEAST) || Region::from(Outline::polygon(&cast)).check().is_err() {
                continue;
            }
            if is_fixed(lump) && (top - rail).abs() < ON_FOOT && area > widest {
                widest = area;
                shadow.foot = Some((number, top));
            }
            shadow.casts.push((number, cast));
        }
        (shadow.lowest.is_finite() && !shadow.casts.is_empty()).then_some(shadow)
    }

    /// The lump whose upper face takes a shadow of its own.
    pub(super) fn foot(&self) -> Option<usize> {
        self.foot.map(|(number, _)| number)
    }

    /// What it takes on paper (mm).
    pub(super) fn extent(&self, view: &Projector) -> Option<Rect> {
        let points = self.casts.iter().flat_map(|(_, cast)| cast);
        Rect::round(points.map(|p| view.flat(self.point(*p, self.lowest))))
    }

    /// Where it lies on paper (pt), box by box.
    pub(super) fn boxes(&self, panel: &Panel, view: &Projector) -> Vec<Rect> {
        let round = |cast: &Vec<DVec2>| {
            Rect::round(cast.iter().map(|p| panel.pt(view.flat(self.point(*p, self.lowest)))))
        };
        self.casts.iter().filter_map(|(_, cast)| round(cast)).map(|rect| rect.grown(SOFT)).collect()
    }

    fn point(&self, p: DVec2, level: f64) -> DVec3 {
        self.up * level + self.across * p.x + self.along * p.y
    }

    /// Paints it on the ground, below everything.
    pub(super) fn paint(&self, panel: &mut Panel, view: &Projector) {
        self.layers(panel, view, self.lowest, |_| true, None);
    }

    /// Paints what falls on the foot, after the foot itself.
    pub(super) fn paint_on_foot(&self, panel: &mut Panel, view: &Projector) {
        let Some((foot, level)) = self.foot else { return };
        let face = self.casts.iter().find(|(number, _)| *number == foot).map(|(_, cast)| cast.clone());
        let Some(face) = face else { return };
        self.layers(panel, view, level, |number| number != foot, Some(&face));
    }

    fn layers(
        &self,
        panel: &mut Panel,
        view: &Projector,
        level: f64,
        casts: impl Fn(usize) -> bool,
        within: Option<&[DVec2]>,
    ) {
        for layer in (0..LAYERS).rev() {
            let beyond = SOFT / panel.scale() * f64::from(layer) / f64::from(LAYERS - 1);
            let own = self.casts.iter().filter(|(number, _)| casts(*number));
            let grown: Vec<Region> =
                own.map(|(_, cast)| Outline::polygon(&larger(cast, beyond)).into()).collect();
            let Ok(mut regions) = union(&grown, &[], CHORD) else { return };
            if let Some(face) = within {
                let Ok(cut) = intersection(&regions, &[Outline::polygon(face).into()], CHORD) else { return };
                regions = cut;
            }
            let mut path = Path::new();
            for outline in regions.iter().flat_map(Region::outlines) {
                let corners = outline.edges.iter().map(|edge| view.flat(self.point(edge.from(), level)));
                path.append(&Path::polyline(&corners.collect::<Vec<_>>(), true));
            }
            if !path.is_empty() {
                panel
                    .add(Shape::new(path).filled(Fill::faded(Tone::Tyre, DARKNESS).shaded(-1.0)))
                    .named("shadow");
            }
        }
    }
}

/// A convex polygon with everything round it within a distance.
fn larger(polygon: &[DVec2], by: f64) -> Vec<DVec2> {
    if !(by > 0.0) {
        return polygon.to_vec();
    }
    let ways = (0..SIDES).map(|i| DVec2::from_angle(std::f64::consts::TAU * i as f64 / SIDES as f64) * by);
    hull_points(polygon.iter().flat_map(|p| ways.clone().map(move |way| *p + way)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_larger_polygon_holds_the_first_and_a_margin() {
        let square = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)].map(DVec2::from);
        let area = |polygon: &[DVec2]| Outline::polygon(polygon).area().abs();
        assert_eq!(larger(&square, 0.0), square);
        // Steiner's formula, with the area of a regular polygon for that of the circle.
        let sides = SIDES as f64;
        let disc = 0.5 * sides * (std::f64::consts::TAU / sides).sin();
        let grown = area(&larger(&square, 1.0));
        assert!((grown - (16.0 + 16.0 + disc)).abs() < 1e-9, "{grown}");
    }
}
