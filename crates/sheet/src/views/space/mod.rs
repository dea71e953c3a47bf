//! The whole thing in space: shaded faces and crisp edges, turned as the reader likes.

mod build;
mod flat;
mod lens;
mod lump;
mod names;
mod notes;
mod order;
mod paint;
mod shadow;
mod travel;

use glam::{DVec2, DVec3};
use glidewright_motion::{Fixture, Owner, Results, Role};

pub(super) use lens::PANEL as LENS_PANEL;
use lump::Lump;
use shadow::Shadow;

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
    let view = seen_from(scene);
    let mut inside = frame.grown(-EDGE);
    let rail = view.flat(DVec3::X);
    if rail.y.abs() >= rail.x.abs() {
        inside.max.x -= travel::ROOM;
    } else {
        inside.max.y -= 0.5 * travel::ROOM;
    }
    let lumps = build::lumps(scene, &view, scene.travel);
    let order = order::painting_order(&view, &lumps);
    if scene.state.is_picture {
        return still(scene, &view, frame, inside, &lumps, &order);
    }
    let mut picture = Panel::fitted(PANEL, inside, extent(scene, &view), 0.0);
    picture.frame = frame;
    paint::paint(&mut picture, &view, &lumps, &order);
    let bar = travel::panel(scene, &picture, &view, &lumps);
    let taken = bar.as_ref().map_or(&[][..], |(_, taken)| taken);
    notes::add(&mut picture, scene, &view, &lumps, taken);
    std::iter::once(picture).chain(bar.map(|(panel, _)| panel)).collect()
}

/// From where the reader looks.
pub(super) fn seen_from(scene: &Scene<'_>) -> Projector {
    Projector::around(scene.fixture, scene.state.turn, scene.state.lift)
}

/// The fixture alone, without words, in a panel that shows its [`extent`].
pub(super) fn draw_alone(panel: &mut Panel, scene: &Scene<'_>) {
    let view = seen_from(scene);
    let lumps = build::lumps(scene, &view, scene.travel);
    let order = order::painting_order(&view, &lumps);
    paint::paint(panel, &view, &lumps, &order);
}

/// Room for names beside what is painted (pt).
const NAMES: f64 = 22.0;
/// A picture with its shadow is at most so many times as large as without.
const FAR: f64 = 1.45;
/// Room for a lens beside what is far higher than wide, and for names beside all else (pt).
const BESIDE: (f64, f64) = (140.0, 84.0);

/// The picture that is sent: as large as this turn allows, on the shadow it casts, with everything named.
fn still(
    scene: &Scene<'_>,
    view: &Projector,
    frame: Rect,
    inside: Rect,
    lumps: &[Lump],
    order: &[usize],
) -> Vec<Panel> {
    let painted = lumps.iter().map(|lump| lump.frame).reduce(|a, b| a.union(&b));
    let world = painted.filter(|rect| rect.size().min_element() > 1e-3).unwrap_or(extent(scene, view));
    let size = world.size();
    let beside = if size.y > 1.4 * size.x { BESIDE.0 } else { BESIDE.1 };
    let room = DVec2::new(beside, NAMES).min(0.25 * inside.size());
    let inside = Rect { min: inside.min + room, max: inside.max - room };
    let up = (-scene.fixture.rail.stand.down()).try_normalize().unwrap_or(DVec3::X);
    let is_fixed = |lump: &Lump| {
        let body = notes::body_of(lump).and_then(|id| scene.body(id));
        body.is_some_and(|body| body.role == Role::Obstacle && body.owner == Owner::Ground)
    };
    let lowest = 0.0_f64.min(scene.fixture.rail.length * up.x);
    let scale = Panel::fitted(PANEL, inside, world, 0.0).scale();
    let shadow = Shadow::of(scale, view, up, lumps, is_fixed, lowest);
    // What stands far above the ground has its shadow too far away to be shown with it.
    let area = |rect: &Rect| rect.size().x * rect.size().y;
    let both = shadow.as_ref().and_then(|shadow| shadow.extent(view)).map(|own| own.union(&world));
    let near = both.filter(|both| area(both) <= FAR * area(&world));
    let mut picture = Panel::fitted(PANEL, inside, near.unwrap_or(world), 0.0);
    picture.frame = frame;
    let mut order_left = order;
    if let Some(shadow) = &shadow {
        if near.is_some() {
            shadow.paint(&mut picture, view);
        }
        if let Some(place) = order.iter().position(|number| Some(*number) == shadow.foot()) {
            let (before, after) = order.split_at(place + 1);
            paint::paint(&mut picture, view, lumps, before);
            shadow.paint_on_foot(&mut picture, view);
            order_left = after;
        }
    }
    paint::paint(&mut picture, view, lumps, order_left);
    let bar = travel::panel(scene, &picture, view, lumps);
    let taken = bar.as_ref().map_or(&[][..], |(_, taken)| taken);
    let ground =
        shadow.filter(|_| near.is_some()).map_or_else(Vec::new, |shadow| shadow.boxes(&picture, view));
    let content = Rect::between(picture.pt(world.min), picture.pt(world.max));
    let lens = notes::explain(&mut picture, scene, view, (lumps, order), &content, [taken, &ground]);
    std::iter::once(picture).chain(bar.map(|(panel, _)| panel)).chain(lens).collect()
}

/// Whether a line meets a rectangle (pt).
fn crosses(from: DVec2, to: DVec2, rect: &Rect) -> bool {
    let away = to - from;
    let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
    for axis in 0..2 {
        let (low, high) = (rect.min[axis] - from[axis], rect.max[axis] - from[axis]);
        if away[axis].abs() < 1e-9 {
            if low > 0.0 || high < 0.0 {
                return false;
            }
            continue;
        }
        let (a, b) = (low / away[axis], high / away[axis]);
        (enters, leaves) = (enters.max(a.min(b)), leaves.min(a.max(b)));
    }
    enters <= leaves
}

/// Whether a point lies in a convex outline, counter-clockwise.
fn inside(hull: &[DVec2], p: DVec2) -> bool {
    hull.len() > 2
        && hull.iter().zip(hull.iter().cycle().skip(1)).all(|(a, b)| (*b - *a).perp_dot(p - *a) >= 0.0)
}

/// What is on paper whatever the turn (mm), so that turning does not change the scale: what every body
/// sweeps when all is turned round the vertical through the rail.
pub(super) fn extent(scene: &Scene<'_>, view: &Projector) -> Rect {
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
