//! The whole thing in space: shaded faces and crisp edges, turned as the reader likes.

mod build;
mod flat;
mod lump;
mod notes;
mod order;
mod paint;
mod travel;

use glam::{DVec2, DVec3};
use glidewright_motion::{Fixture, Owner, Results, Role};

use super::View;
use super::projection::Projector;
use super::scene::Scene;
use crate::drawing::{Drawing, Panel, Rect};

/// In space.
pub(super) const VIEW: View = View {
    name: "space",
    title: "In space",
    about: "The whole fixture as it stands, seen from any side, with the riders where they are.",
    lacks,
    draw,
};

fn lacks(fixture: &Fixture, _: &Results) -> Option<&'static str> {
    let length = fixture.rail.length;
    (!(length > 0.0 && length.is_finite())).then_some("The rail has no usable length.")
}

fn draw(scene: &Scene<'_>) -> Drawing {
    let mut drawing = Drawing::new(format!("{}: in space", scene.fixture.name), scene.size());
    drawing.panels = panels(scene, Rect::between(DVec2::ZERO, scene.size()));
    drawing
}

/// Name of the panel.
pub(super) const PANEL: &str = "in space";

/// Room between the frame and the fixture (pt).
const EDGE: f64 = 20.0;

/// The picture in a frame, with the bar of travel beside it.
pub(super) fn panels(scene: &Scene<'_>, frame: Rect) -> Vec<Panel> {
    let view = Projector::around(scene.fixture, scene.state.turn, scene.state.lift);
    let mut inside = frame.grown(-EDGE);
    let rail = view.flat(DVec3::X);
    if rail.y.abs() >= rail.x.abs() {
        inside.max.x -= travel::ROOM;
    } else {
        inside.max.y -= 0.5 * travel::ROOM;
    }
    let mut picture = Panel::fitted(PANEL, inside, extent(scene, &view), 0.0);
    picture.frame = frame;
    let lumps = build::lumps(scene, &view, scene.travel);
    let order = order::painting_order(&view, &lumps);
    paint::paint(&mut picture, &view, &lumps, &order);
    let bar = travel::panel(scene, &picture, &view, &lumps);
    let taken = bar.as_ref().map_or(&[][..], |(_, taken)| taken);
    notes::add(&mut picture, scene, &view, &lumps, taken);
    std::iter::once(picture).chain(bar.map(|(panel, _)| panel)).collect()
}

/// What is on paper whatever the turn (mm), so that turning does not change the scale: the shadow of what
/// the fixture sweeps when it is turned round its vertical axis.
fn extent(scene: &Scene<'_>, view: &Projector) -> Rect {
    let up = (-scene.fixture.rail.stand.down()).try_normalize().unwrap_or(DVec3::X);
    let (mut low, mut high) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
    let stroke = scene.fixture.stroke;
    for (id, body) in scene.bodies() {
        if body.role == Role::Span {
            continue;
        }
        let Some(bounds) = scene.bounds(id) else { continue };
        let ends = match body.owner {
            Owner::Ground => [0.0; 2],
            Owner::Rider(_) => [stroke.from, stroke.to].map(|travel| scene.home(body.owner, travel)),
        };
        for home in ends.map(|x| DVec3::X * x).into_iter().filter(|home| home.is_finite()) {
            (low, high) = (low.min(bounds.low + home), high.max(bounds.high + home));
        }
    }
    if !(low.is_finite() && high.is_finite() && (high - low).max_element() < 1e6) {
        (low, high) = (DVec3::new(0.0, -50.0, -50.0), DVec3::new(scene.fixture.rail.length, 50.0, 50.0));
    }
    let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
    let height = half.dot(up.abs());
    let radius = (half - up.abs() * height).length();
    let lift = view.toward.dot(up).clamp(-1.0, 1.0);
    let level = (1.0 - lift * lift).sqrt();
    let size = 2.0 * DVec2::new(radius, height * level + radius * lift.abs());
    Rect::about(view.flat(middle), size)
}
