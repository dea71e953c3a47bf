//! Outlines of plates and patches.

use glam::DVec2;
use glidewright_geometry::{Outline, PlanarError, Region, difference, hull, offset, union};
use glidewright_motion::Facing;

use glidewright_motion::plain;

use super::passage::Passage;
use super::{Context, lately};
use crate::document::{Patch, PlateOutline, Spot, Webs};
use crate::path::join;
use crate::problem::Problem;
use crate::shapes::{ShapeError, regions_seen, smoothed};

/// How far straight replacements of arcs may lie from them while outlines are joined and cut (mm). Arcs are
/// found again afterwards.
const CHORD_ERROR: f64 = 0.002;

pub(super) fn spot(context: &Context<'_>, spot: &Spot, path: &str) -> DVec2 {
    DVec2::new(context.number(&spot.0, path, "along"), context.number(&spot.1, path, "across"))
}

/// Most edges one plate may have with all its features.
const MOST_ON_A_PLATE: usize = 4000;
/// Most axles pads go round, and most that are joined each with every other.
const MOST_PADS: usize = 200;
const MOST_JOINED: usize = 24;

/// What right and up on the drawing of a plate, seen from outside, come to along the rider and across it.
pub(super) fn plate_axes(facing: Facing) -> DVec2 {
    DVec2::new(1.0, facing.drawn_up().dot(facing.lateral()))
}

/// A drawn outline, `axes` being what a unit to the right and one up on the drawing come to; reports one that
/// cannot be used.
pub(super) fn drawn(context: &mut Context<'_>, data: &str, axes: DVec2, path: &str) -> Option<Region> {
    let mut regions = drawn_apart(context, data, axes, path)?;
    if regions.len() > 1 {
        let what = ShapeError::Several.to_string();
        context.report(Problem::error(path, what).remedy("draw one, with its holes inside it"));
        return None;
    }
    regions.pop()
}

/// The same of what may be several areas beside each other, none in or across another.
pub(super) fn drawn_apart(
    context: &mut Context<'_>,
    data: &str,
    axes: DVec2,
    path: &str,
) -> Option<Vec<Region>> {
    let regions = match regions_seen(data, axes) {
        Ok(regions) => regions,
        Err(error) => {
            context.report(Problem::error(path, error.to_string()).remedy("check the path data"));
            return None;
        }
    };
    match context.edges_left.checked_sub(regions.iter().map(edges_of).sum()) {
        Some(left) => context.edges_left = left,
        None => {
            let message = "the drawn outlines of the project have too many edges together";
            context.report(Problem::error(path, message).remedy("draw them with fewer points"));
            return None;
        }
    }
    Some(regions)
}

fn edges_of(region: &Region) -> usize {
    region.outlines().map(|outline| outline.edges.len()).sum()
}

fn fault(context: &mut Context<'_>, path: &str, what: impl std::fmt::Display) {
    let message = format!("this gives no sound outline: {what}");
    context.report(Problem::error(path, message).remedy("check its sizes"));
}

/// The one region that is left, with its arcs; reports several or none.
fn single(
    context: &mut Context<'_>,
    path: &str,
    regions: Result<Vec<Region>, PlanarError>,
    several: &str,
) -> Option<Region> {
    let mut regions = match regions {
        Ok(regions) => regions,
        Err(error) => {
            fault(context, path, error);
            return None;
        }
    };
    if regions.len() != 1 {
        let message = if regions.is_empty() { "nothing is left of the plate" } else { several };
        context.report(Problem::error(path, message).remedy("check the places and sizes of its features"));
        return None;
    }
    regions.pop()
}

/// A region whose arcs are arcs again where chords stood for them.
fn smooth(region: Region) -> Region {
    let smooth = Region::new(smoothed(&region.outer), region.holes.iter().map(smoothed).collect());
    if smooth.check().is_ok() { smooth } else { region }
}

/// A patch as a region of a plane, `axes` being what a unit to the right and one up on a drawing of it come to; reports
/// one that has no sound outline.
pub(super) fn patch(context: &mut Context<'_>, patch: &Patch, axes: DVec2, path: &str) -> Option<Region> {
    let region: Region = match patch {
        Patch::Circle { at, diameter } => {
            let at = spot(context, at, &join(path, "at"));
            Outline::circle(at, 0.5 * context.number(diameter, path, "diameter")).into()
        }
        Patch::Rectangle { from, to, corner } => {
            let from = spot(context, from, &join(path, "from"));
            let to = spot(context, to, &join(path, "to"));
            let corner = context.number(corner, path, "corner");
            check_corner(context, path, corner, (to - from).abs());
            Outline::rounded_rectangle(from, to, corner).into()
        }
        Patch::Slot { from, to, width } => {
            let from = spot(context, from, &join(path, "from"));
            let to = spot(context, to, &join(path, "to"));
            Outline::slot(from, to, 0.5 * context.number(width, path, "width")).into()
        }
        Patch::Path { d, at } => {
            let region = drawn(context, d, axes, path)?;
            region.transformed(0.0, spot(context, at, &join(path, "at")))
        }
    };
    match region.check() {
        Ok(()) => Some(region),
        Err(error) => {
            fault(context, path, error);
            None
        }
    }
}

fn check_corner(context: &mut Context<'_>, base: &str, corner: f64, size: DVec2) {
    let most = 0.5 * size.min_element();
    if corner > most {
        context.report(
            Problem::warning(
                join(base, "corner"),
                format!("a corner radius of {} mm does not fit; {} mm is used", plain(corner), plain(most)),
            )
            .remedy("make the radius smaller or the plate wider"),
        );
    }
}

/// The outline of a plate that looks this way, before its features; `through` is where stacks pass it.
pub(super) fn plate(
    context: &mut Context<'_>,
    outline: &PlateOutline,
    facing: Facing,
    path: &str,
    through: &[Passage],
) -> Option<Region> {
    let needs_axles = matches!(outline, PlateOutline::Around { .. } | PlateOutline::Pads { .. });
    if needs_axles && through.is_empty() && context.lacks_wheels {
        context.unusable = true;
        return None;
    }
    if needs_axles && through.is_empty() {
        context.report(
            Problem::error(path, "there are no axles for the plate to go round")
                .remedy("list the plate in a stack, or give it a rectangle"),
        );
        return None;
    }
    let region = match outline {
        PlateOutline::Around { margin, corner } => {
            let margin = context.number(margin, path, "margin");
            let corner = context.number(corner, path, "corner");
            let low = through.iter().map(|p| p.axle).reduce(DVec2::min).unwrap_or_default();
            let high = through.iter().map(|p| p.axle).reduce(DVec2::max).unwrap_or_default();
            check_corner(context, path, corner, high - low + 2.0 * margin);
            Outline::rounded_rectangle(low - margin, high + margin, corner).into()
        }
        PlateOutline::Rectangle { from, to, corner } => {
            let from = spot(context, from, &join(path, "from"));
            let to = spot(context, to, &join(path, "to"));
            let corner = context.number(corner, path, "corner");
            check_corner(context, path, corner, (to - from).abs());
            Outline::rounded_rectangle(from, to, corner).into()
        }
        PlateOutline::Pads { pad, web, webs, fillet } => {
            let pad = context.number(pad, path, "pad");
            let web = context.number(web, path, "web");
            let fillet = context.number(fillet, path, "fillet");
            return pads(context, path, through, *webs, [pad, web, fillet]);
        }
        PlateOutline::Path(d) => drawn(context, d, plate_axes(facing), path)?,
    };
    match region.check() {
        Ok(()) => Some(region),
        Err(error) => {
            fault(context, path, error);
            None
        }
    }
}

/// Round pads about the axles, joined by webs; inner corners rounded by growing and shrinking.
fn pads(
    context: &mut Context<'_>,
    path: &str,
    through: &[Passage],
    webs: Webs,
    [pad, web, fillet]: [f64; 3],
) -> Option<Region> {
    if web > pad {
        context.report(
            Problem::warning(join(path, "web"), "the webs are wider than the pads")
                .remedy("make the webs narrower or the pads larger"),
        );
    }
    let axles: Vec<DVec2> = through.iter().map(|p| p.axle).collect();
    let most = if webs == Webs::All { MOST_JOINED } else { MOST_PADS };
    if axles.len() > most {
        let message = format!("these pads and webs go round at most {most} axles, not {}", axles.len());
        context.report(Problem::error(path, message).remedy("choose other webs, or another outline"));
        return None;
    }
    let joined =
        lately::pads(&axles, webs, [pad, web, fillet], || joined_pads(&axles, webs, [pad, web, fillet]));
    single(context, path, joined, "the pads do not hang together")
}

/// The pads about the axles and the webs between them as one region, if they hang together.
fn joined_pads(
    axles: &[DVec2],
    webs: Webs,
    [pad, web, fillet]: [f64; 3],
) -> Result<Vec<Region>, PlanarError> {
    let circles: Vec<Region> = axles.iter().map(|&at| Outline::circle(at, 0.5 * pad).into()).collect();
    let bands: Vec<Region> = ties(axles, webs)
        .into_iter()
        .filter(|(a, b)| a != b)
        .map(|(a, b)| Outline::slot(a, b, 0.5 * web).into())
        .collect();
    let mut joined = union(&circles, &bands, CHORD_ERROR);
    if fillet > 0.0 {
        joined = joined
            .and_then(|regions| offset(&regions, fillet, CHORD_ERROR))
            .and_then(|regions| offset(&regions, -fillet, CHORD_ERROR));
    }
    joined.map(|regions| regions.into_iter().map(smooth).collect())
}

/// Which points webs run between.
fn ties(axles: &[DVec2], webs: Webs) -> Vec<(DVec2, DVec2)> {
    match webs {
        Webs::All => {
            let pairs =
                axles.iter().enumerate().flat_map(|(i, &a)| axles.iter().skip(i + 1).map(move |&b| (a, b)));
            pairs.collect()
        }
        Webs::Star => {
            let middle = axles.iter().sum::<DVec2>() / axles.len().max(1) as f64;
            axles.iter().map(|&axle| (axle, middle)).collect()
        }
        Webs::Ring => {
            // Round the outside as the corners of the hull; what lies inside is tied to the nearest corner.
            let points: Vec<Region> =
                axles.iter().map(|&at| Outline::circle(at, RING_PROBE).into()).collect();
            let corners: Vec<DVec2> = match hull(&points, RING_PROBE) {
                Ok(hull) => {
                    let centre = hull.bounds().centre();
                    let mut on_hull: Vec<DVec2> = axles
                        .iter()
                        .copied()
                        .filter(|axle| hull.distance_to_boundary(*axle) <= 3.0 * RING_PROBE)
                        .collect();
                    on_hull.sort_by(|a, b| (*a - centre).to_angle().total_cmp(&(*b - centre).to_angle()));
                    on_hull.dedup();
                    on_hull
                }
                Err(_) => axles.to_vec(),
            };
            let ring = corners.iter().copied().zip(corners.iter().copied().cycle().skip(1));
            let nearest = |axle: DVec2| {
                corners.iter().copied().min_by(|a, b| a.distance(axle).total_cmp(&b.distance(axle)))
            };
            let inner = axles.iter().filter(|axle| !corners.contains(axle));
            ring.chain(inner.filter_map(|&axle| Some((axle, nearest(axle)?)))).collect()
        }
    }
}

/// Radius of the dots that stand for axles when their hull is sought (mm).
const RING_PROBE: f64 = 0.01;

/// The plate with tabs added and holes cut. Holes that lie inside and apart keep their exact arcs.
pub(super) fn with_features(
    context: &mut Context<'_>,
    path: &str,
    base: Region,
    tabs: &[Region],
    cuts: Vec<Region>,
) -> Option<Region> {
    let mut region = base;
    if edges_of(&region) + cuts.iter().chain(tabs).map(edges_of).sum::<usize>() > MOST_ON_A_PLATE {
        let message = format!("the plate has more than {MOST_ON_A_PLATE} edges with all its features");
        context.report(Problem::error(path, message).remedy("draw them with fewer points"));
        return None;
    }
    if !tabs.is_empty() {
        let joined = union(&[region], tabs, CHORD_ERROR);
        region = single(context, path, joined, "a tab does not touch the plate").map(smooth)?;
    }
    let mut exact = region.clone();
    exact.holes.extend(cuts.iter().map(|cut| cut.outer.clone()));
    // A cut with an island would leave it hanging in the air: the island goes too.
    if exact.check().is_ok() {
        return Some(exact);
    }
    let solid: Vec<Region> = cuts.into_iter().map(|cut| cut.outer.into()).collect();
    let left = difference(&[region], &solid, CHORD_ERROR);
    single(context, path, left, "the cuts split the plate").map(smooth)
}
