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
    still: |_| false,
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

/// What is on paper whatever the turn (mm), so that turning does not change the scale: what every body
/// sweeps when all is turned round the vertical through the rail.
fn extent(scene: &Scene<'_>, view: &Projector) -> Rect {
    let up = (-scene.fixture.rail.stand.down()).try_normalize().unwrap_or(DVec3::X);
    let middle = DVec3::X * (0.5 * scene.fixture.rail.length);
    let lift = view.toward.dot(up).clamp(-1.0, 1.0);
    let level = (1.0 - lift * lift).sqrt();
    let stroke = scene.fixture.stroke;
    let mut all: Option<Rect> = None;
    for (id, body) in scene.bodies() {
        if body.role == Role::Span {
            continue;
        }
        let Some(bounds) = scene.bounds(id) else { continue };
        let ends = match body.owner {
            Owner::Ground => [0.0; 2],
            Owner::Rider(_) => [stroke.from, stroke.to].map(|travel| scene.home(body.owner, travel)),
        };
        for home in ends.map(|x| DVec3::X * x) {
            let (low, high) = (bounds.low + home - middle, bounds.high + home - middle);
            // Farthest corner from the axis; lowest and highest point along it.
            let far = low.abs().max(high.abs());
            let radius = (far - up.abs() * far.dot(up.abs())).length();
            let (a, b) = (low.dot(up), high.dot(up));
            let tilt = radius * lift.abs();
            let own = Rect::between(
                DVec2::new(-radius, a.min(b) * level - tilt),
                DVec2::new(radius, a.max(b) * level + tilt),
            );
            if own.is_finite() && own.size().max_element() < 1e6 {
                all = Some(all.map_or(own, |seen| seen.union(&own)));
            }
        }
    }
    let all = all.filter(|all| all.size().min_element() > 1.0);
    all.unwrap_or(Rect::at(-100.0, -100.0, 200.0, 200.0)).shifted(view.flat(middle))
}
