//! Bodies of one thickness on an outline, as they are seen from any side.

use glam::{DVec2, DVec3};
use glidewright_geometry::{Outline, Region, Side, Solid, union};
use glidewright_motion::Extruded;

use super::rail::faces;
use super::silhouette::{CHORD, Silhouette, hull_points, silhouette};
use crate::drawing::Path;
use crate::views::projection::Projector;

/// A body on an outline, shifted by `home`, as seen in a view without the cuts between its convex `pieces`: its outline
/// with its holes seen along its thickness; a bar with the edges that are seen from the side; else what its pieces
/// cover together.
pub(super) fn extruded_silhouette(
    view: &Projector,
    body: &Extruded,
    pieces: &[Solid],
    home: DVec3,
    scale: f64,
) -> Option<Silhouette> {
    let axis = body.frame.direction(DVec3::Z);
    let middle = body.frame.shift + home;
    let [right, up] = [DVec3::X, DVec3::Y].map(|axis| body.frame.direction(axis));
    let seen = if view.is_end_on(axis) {
        let path = Path::outline_with_holes(&body.region.outer, &body.region.holes);
        path.transformed(&view.plane(middle, right, up)).into()
    } else if view.is_edge_on(axis) {
        bar(view, body, middle, scale)?
    } else {
        Silhouette::from(covered(view, pieces, home)?)
    };
    (!seen.path.is_empty() && seen.path.is_finite()).then_some(seen)
}

/// Seen from the side: a bar, with the edges of the outline that face the reader.
fn bar(view: &Projector, body: &Extruded, middle: DVec3, scale: f64) -> Option<Silhouette> {
    let thick = view.flat(body.frame.direction(DVec3::Z)) * body.half_height;
    let across = thick.try_normalize()?.perp();
    let seen = |p: &DVec2| {
        let along = body.frame.direction(p.extend(0.0));
        DVec2::new(view.flat(along).dot(across), view.depth(along))
    };
    let outline: Vec<DVec2> = body.region.outer.flattened(CHORD, Side::Middle).iter().map(seen).collect();
    let (low, high) = outline
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| (low.min(p.x), high.max(p.x)));
    let middle = view.flat(middle);
    let ends = |at: f64| [middle + across * at - thick, middle + across * at + thick];
    let [a, b] = ends(low);
    let [d, c] = ends(high);
    let mut edges = Path::new();
    for pair in faces(&outline, 0.5 / scale).windows(2) {
        let [from, to] = ends(pair[0].to);
        edges.append(&Path::line(from, to));
    }
    let edges = (!edges.is_empty()).then_some(edges);
    Some(Silhouette { path: Path::polyline(&[a, b, c, d], true), edges, bar: None })
}

/// Seen aslant: what the pieces cover together.
fn covered(view: &Projector, pieces: &[Solid], home: DVec3) -> Option<Path> {
    let hulls: Vec<Vec<DVec2>> = pieces
        .iter()
        .filter_map(|piece| silhouette(view, piece, home))
        .map(|seen| seen.path.flatten(CHORD).into_iter().flat_map(|contour| contour.points).collect())
        .map(hull_points)
        .filter(|hull| hull.len() > 2)
        .collect();
    let regions: Vec<Region> = hulls.iter().map(|hull| Outline::polygon(hull).into()).collect();
    let (first, others) = regions.split_first()?;
    let Ok(joined) = union(std::slice::from_ref(first), others, CHORD) else {
        return Some(Path::polyline(&hull_points(hulls.concat()), true));
    };
    let mut path = Path::new();
    for region in &joined {
        path.append(&Path::outline_with_holes(&region.outer, &region.holes));
    }
    Some(path)
}
