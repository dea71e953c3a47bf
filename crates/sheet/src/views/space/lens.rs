//! A round lens on the place that fouls, or on the two that come nearest: larger, and without what stands before them.

use glam::{DAffine2, DVec2};
use glidewright_motion::BodyId;

use super::lump::Lump;
use super::notes::{Spot, body_of};
use super::paint;
use crate::drawing::{Label, Panel, Path, Polyline, Rect, Shape};
use crate::look::{Fill, Pen, Tone, number};
use crate::page::Placer;
use crate::views::projection::Projector;
use crate::views::words::place;

/// Name of the lens's panel.
pub(in crate::views) const PANEL: &str = "lens in space";
/// Radius of the lens (pt).
const RADIUS: f64 = 62.0;
/// How many times as large as in the picture, the first that shows enough.
const TIMES: [f64; 5] = [8.0, 5.0, 4.0, 3.0, 2.0];
/// The lens shows so much of the smaller body at least (mm), and so many of its sizes.
const FIELD: f64 = 14.0;
const SIZES: f64 = 1.3;
const NOTE_PT: f64 = 8.0;
/// Radius of the ring round the place in the lens (pt).
const RING: f64 = 13.0;

/// Whether something is painted over a point of two bodies, or they are too small to be told apart.
fn is_hidden(panel: &Panel, lumps: &[Lump], order: &[usize], spot: &Spot) -> bool {
    let last = order.iter().rposition(|number| lumps.get(*number).is_some_and(|lump| spot.is_of(lump)));
    let covered = order
        .iter()
        .skip(last.map_or(0, |place| place + 1))
        .filter_map(|number| lumps.get(*number))
        .any(|lump| super::inside(&lump.hull, spot.at));
    covered || extent(lumps, spot.pair.0).min(extent(lumps, spot.pair.1)) * panel.scale() < 40.0
}

/// The larger side of a body on paper (mm).
fn extent(lumps: &[Lump], id: BodyId) -> f64 {
    let own = lumps.iter().filter(|lump| body_of(lump) == Some(id)).map(|lump| lump.frame);
    own.reduce(|a, b| a.union(&b)).map_or(0.0, |rect| rect.size().max_element())
}

/// The lens beside the picture, where there is room for it: its panel, and lines from the place it shows.
pub(super) fn panel(
    picture: &mut Panel,
    view: &Projector,
    (lumps, order): (&[Lump], &[usize]),
    spot: &Spot,
    words: &[Rect],
    placer: &mut Placer,
) -> Option<Panel> {
    if !is_hidden(picture, lumps, order, spot) {
        return None;
    }
    let tip = picture.pt(spot.at);
    let size = DVec2::splat(2.0 * RADIUS + 6.0);
    let places: Vec<Rect> = [RADIUS + 60.0, RADIUS + 110.0, RADIUS + 170.0, RADIUS + 240.0]
        .into_iter()
        .flat_map(|far| {
            (0..16).map(move |step| {
                let way = DVec2::from_angle(std::f64::consts::TAU * (f64::from(step) + 0.5) / 16.0);
                Rect::about(tip + way * far, size)
            })
        })
        .filter(|place| !words.iter().any(|words| super::crosses(tip, place.middle(), words)))
        .collect();
    let rect = placer.place_freely(&places)?;
    let smaller = extent(lumps, spot.pair.0).min(extent(lumps, spot.pair.1));
    let shown = (SIZES * smaller).max(FIELD);
    let fits = |times: &f64| 2.0 * RADIUS / (times * picture.scale()) >= shown;
    let times = TIMES.into_iter().find(fits).unwrap_or(2.0);
    let middle = rect.middle();
    let frame = Rect::about(middle, DVec2::splat(2.0 * RADIUS));
    let matrix2 = picture.pt_from_world.matrix2 * times;
    let pt_from_world = DAffine2 { matrix2, translation: middle - matrix2 * spot.at };
    let mut lens = Panel::new(PANEL, frame, pt_from_world);
    // Whatever is painted before the later of the two stands behind it; what comes after is left away, but for the two.
    let own = |lump: &Lump| spot.is_of(lump);
    let last = order.iter().rposition(|number| lumps.get(*number).is_some_and(own)).unwrap_or(0);
    let field = RADIUS / (times * picture.scale());
    let near = |lump: &Lump| lump.frame.distance(spot.at) <= field * std::f64::consts::SQRT_2;
    let seen: Vec<usize> = order
        .iter()
        .take(last + 1)
        .copied()
        .filter(|number| {
            lumps.get(*number).is_some_and(|lump| near(lump) && (own(lump) || !hides(lump, lumps, spot)))
        })
        .collect();
    paint::paint(&mut lens, view, lumps, &seen);
    let ring = Shape::in_pt(spot.at, Path::circle(DVec2::ZERO, RING));
    lens.add(ring.stroked(Pen::new(spot.tone, 1.6)));
    // The corners of the frame become paper, and a rim goes round.
    let mut corners = Path::rect(Rect::about(DVec2::ZERO, DVec2::splat(2.0 * RADIUS + 8.0)));
    corners.append(&Path::circle(DVec2::ZERO, RADIUS - 0.5));
    lens.add(Shape::in_pt(spot.at, corners).filled(Fill::flat(Tone::Paper)));
    let rim = Shape::in_pt(spot.at, Path::circle(DVec2::ZERO, RADIUS - 0.8));
    lens.add(rim.stroked(Pen::new(Tone::Cursor, 1.2))).named("lens");
    let at = place(&lens, middle + DVec2::new(0.0, RADIUS - 9.0));
    let words = format!("× {}", number(times, 0));
    lens.add(Label::new(words, at, NOTE_PT).toned(Tone::Cursor).on_plate());
    // From the place to the lens.
    let way = (middle - tip).normalize_or_zero();
    let spot_ring = RADIUS / times;
    let line = [tip + way * spot_ring.min(0.5 * tip.distance(middle)), middle - way * RADIUS];
    let line = line.map(|p| picture.world_from_pt(p).unwrap_or_default()).to_vec();
    picture.add(Polyline::new(line, Pen::new(Tone::Cursor, 0.7)));
    Some(lens)
}

/// Whether a lump stands before the place of the two, so that it would cover it.
fn hides(lump: &Lump, lumps: &[Lump], spot: &Spot) -> bool {
    let nearest = lumps
        .iter()
        .filter(|other| spot.is_of(other))
        .map(|other| other.depth)
        .fold(f64::NEG_INFINITY, f64::max);
    lump.depth > nearest && super::inside(&lump.hull, spot.at)
}
