//! Drawing the things themselves: rail, plates, stacks, wheels, loads, belt.

mod axis;
mod belt;
mod extruded;
mod piece;
mod plate;
mod rail;
mod silhouette;
mod sketch;
mod solids;
mod wheel;

pub(super) use axis::{AxisFrame, Sight};
pub(super) use belt::{draw_line, draw_pulley};
pub(super) use piece::{THREAD_DEPTH, draw_piece, hexagon_corner};
pub(super) use plate::draw_plate;
pub(super) use rail::draw_rail;
pub(super) use silhouette::{hull_points, lit_first};
pub(super) use sketch::Sketch;
pub(super) use solids::{draw_fixed, draw_solids, silhouettes};
pub(super) use wheel::{INNER_RING_SHARE, cut_wheel, draw_hub, draw_tyre, half_bar, tyre_profile};

use glam::{DAffine2, DVec3};
use glidewright_motion::{Body, BodyId, Owner, Role};

use super::projection::Projector;
use super::scene::{Scene, body_tone};

/// Draws every body at its place when the lead's travel is `travel`, nearest the reader last.
pub(super) fn draw_bodies(sketch: &mut Sketch, scene: &Scene<'_>, view: &Projector, travel: f64) {
    for (id, body) in scene.bodies() {
        sketch.stand_off(stance(scene, view, body.owner, travel));
        draw_body(sketch, scene, view, id, body, travel);
    }
    sketch.stand_off(None);
    draw_line(sketch, scene, view, travel);
}

/// How what an owner carries stands off its nominal place on paper (world), exaggerated as the reader asked;
/// `None` where it does not, or where it is drawn as built.
fn stance(scene: &Scene<'_>, view: &Projector, owner: Owner, travel: f64) -> Option<DAffine2> {
    let Owner::Rider(number) = owner else { return None };
    let times = scene.tilt_times()?;
    let curves = &scene.results.curves;
    let station = curves.travel.partition_point(|known| *known < travel);
    let pose = scene.results.riders.get(number)?.pose(station.min(curves.travel.len().checked_sub(1)?));
    let home = view.flat(DVec3::X * scene.home(owner, travel));
    let turn = times * pose.turn.dot(view.right.cross(view.up));
    let shift = times * view.flat(pose.shift);
    (home.is_finite() && turn.is_finite() && shift.is_finite()).then(|| {
        DAffine2::from_translation(home + shift)
            * DAffine2::from_angle(turn)
            * DAffine2::from_translation(-home)
    })
}

/// Draws one body.
pub(super) fn draw_body(
    sketch: &mut Sketch,
    scene: &Scene<'_>,
    view: &Projector,
    id: BodyId,
    body: &Body,
    travel: f64,
) {
    let home = DVec3::X * scene.home(body.owner, travel);
    if !home.is_finite() {
        return;
    }
    sketch.begin(id, body, depth(scene, view, id, home));
    match body.role {
        Role::Rail => draw_rail(sketch, &scene.fixture.rail, view),
        Role::Plate => draw_plate(sketch, scene, view, body, home),
        Role::Pulley => draw_pulley(sketch, scene, view, body, home),
        Role::Obstacle | Role::Stop => draw_fixed(sketch, view, body, body_tone(body)),
        // Drawn as one path with its wraps.
        Role::Span => {}
        role if role.is_hardware() => {
            let frame = AxisFrame::new(scene, view, body, home);
            match frame {
                Some(frame) if role == Role::Tyre => draw_tyre(sketch, &frame),
                Some(frame) if role == Role::Hub => draw_hub(sketch, &frame),
                Some(frame) => draw_piece(sketch, &frame, body),
                None => draw_solids(sketch, view, body, home, body_tone(body)),
            }
        }
        _ => draw_solids(sketch, view, body, home, body_tone(body)),
    }
}

/// How near the reader the nearest point of a body is (mm).
fn depth(scene: &Scene<'_>, view: &Projector, id: BodyId, home: DVec3) -> f64 {
    scene.bounds(id).map_or(0.0, |b| view.depth(b.low + home).max(view.depth(b.high + home)))
}

/// Whether a body moves with this rider.
pub(super) fn is_on(body: &Body, rider: usize) -> bool {
    body.owner == Owner::Rider(rider)
}
