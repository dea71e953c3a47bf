//! Plates: face-on with their holes, edge-on as bars.

use glam::DVec3;
use glidewright_motion::{Body, Owner};

use super::Sketch;
use crate::drawing::{Path, Rect};
use crate::views::projection::Projector;
use crate::views::scene::{Scene, body_tone};

/// Draws a plate.
pub(in crate::views) fn draw_plate(
    sketch: &mut Sketch,
    scene: &Scene<'_>,
    view: &Projector,
    body: &Body,
    home: DVec3,
) {
    let Owner::Rider(number) = body.owner else { return };
    let Some(rider) = scene.fixture.riders.get(number) else { return };
    let Some(placed) = scene.results.assembly.riders.get(number) else { return };
    let Some(which) = rider.plates.iter().position(|plate| plate.path == body.path) else { return };
    let (Some(plate), Some(place)) = (rider.plates.get(which), placed.plates.get(which)) else { return };
    let (outward, lateral) = (rider.facing.outward(), rider.facing.lateral());
    let tone = body_tone(body);
    if view.is_end_on(outward) {
        let to_paper = view.plane(home + outward * place.inner, DVec3::X, lateral);
        let path = Path::outline_with_holes(&plate.outline, &plate.holes).transformed(&to_paper);
        sketch.area(path, tone);
        return;
    }
    let bounds = plate.outline.bounds();
    let corner = |x: f64, y: f64, level: f64| view.flat(home + DVec3::X * x + lateral * y + outward * level);
    let corners = [bounds.low, bounds.high]
        .into_iter()
        .flat_map(|p| [place.inner, place.outer].map(|level| corner(p.x, p.y, level)));
    if let Some(rect) = Rect::round(corners) {
        sketch.area(Path::rect(rect), tone);
    }
}
