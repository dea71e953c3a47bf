//! The section itself, to scale: x along the axle away from the rail's middle plane, y out of the track,
//! origin in the middle of the track's mouth.

use glam::{DAffine2, DVec2, DVec3};
use glidewright_geometry::Side;
use glidewright_motion::contact::Form;
use glidewright_motion::{Role, TrackProfile};

use super::Seat;
use crate::drawing::{Dimension, DimensionKind, End, Label, Panel, Path, Polyline, Rect, Shape};
use crate::look::{Dash, Fill, Hatch, Pen, Tone, Weight};
use crate::page::Placer;
use crate::views::Pick;
use crate::views::figure::{Sketch, cut_wheel, half_bar};
use crate::views::scene::Scene;
use crate::views::words::{place, size_of};

/// Length of the longest force arrow: on paper at most (pt), and in the picture (mm).
const LONGEST: (f64, f64) = (46.0, 3.6);

const FORCE_PT: f64 = 9.0;

/// A contact drawn as touching may stand open by this (mm).
const LYING_OPEN: f64 = 2e-3;

pub(super) fn panel(scene: &Scene<'_>, seat: &Seat<'_>, frame: Rect) -> Panel {
    let axle = seat.seating.axle_height;
    let hub = 0.5 * seat.wheel.hub_width.nominal.max(seat.wheel.width);
    let bore = 0.5 * seat.wheel.bearing.bore;
    let below = seat.seating.depth.max(0.0) + lip(seat) + 3.0;
    let world = Rect::between(DVec2::new(-hub - 4.0, -below), DVec2::new(hub + 4.0, axle + 2.2 * bore));
    // Room for dimensions on both sides.
    let sides = (0.2 * frame.size().x).clamp(36.0, 76.0);
    let inside = Rect { min: frame.min + DVec2::new(sides, 6.0), max: frame.max - DVec2::new(sides, 6.0) };
    let mut panel = Panel::fitted(super::PANEL, inside, world, 0.0);
    // A detail: what reaches farther is cut off at its frame.
    panel.frame = Rect::between(panel.pt(world.min), panel.pt(world.max));
    rail(&mut panel, scene, seat);
    wheel(&mut panel, scene, seat, hub);
    contacts(&mut panel, seat);
    let edge = Path::rect(panel.frame.shifted(-panel.frame.min));
    let corner = panel.world_from_pt(panel.frame.min).unwrap_or_default();
    panel.add(Shape::in_pt(corner, edge).stroked(Pen::new(Tone::Axis, 0.5))).overflowing();
    dimensions(&mut panel, seat, &world);
    panel
}

/// Depth of the groove's flanks (mm).
fn lip(seat: &Seat<'_>) -> f64 {
    match seat.track.profile {
        TrackProfile::Vee { lip, .. } if lip.is_finite() => lip.clamp(0.0, 20.0),
        _ => 2.0,
    }
}

/// The rail's section about the track.
fn rail(panel: &mut Panel, scene: &Scene<'_>, seat: &Seat<'_>) {
    let (x, y) = (seat.outward(), seat.radial());
    let middle = DVec3::new(0.0, seat.track.middle.x, seat.track.middle.y);
    // The track's own plane: its wheel's mid-plane passes through the track's middle.
    let flat = |p: DVec2| {
        let off = DVec3::new(0.0, p.x, p.y) - middle;
        DVec2::new(off.dot(x), off.dot(y))
    };
    let mut path = Path::new();
    for outline in scene.fixture.rail.outlines() {
        let corners: Vec<DVec2> = outline.flattened(0.01, Side::Middle).into_iter().map(flat).collect();
        path.append(&Path::polyline(&corners, true));
    }
    let hatch = Hatch { width_pt: 0.5, ..Hatch::section(Tone::Outline).spaced(5.0) };
    let shape = Shape::new(path).filled(Tone::Rail).hatched(hatch).stroked(Pen::wide(Tone::Outline));
    panel.add(shape).named("rail, cut");
}

fn wheel(panel: &mut Panel, scene: &Scene<'_>, seat: &Seat<'_>, hub: f64) {
    let mut sketch = Sketch::new(panel.scale());
    let half = 0.5 * seat.wheel.hub_width.nominal;
    let axle = seat.seating.axle_height;
    // The wheel's lower half: (along the axle from the hub's end, out from the axle towards the rail).
    let to_paper = DAffine2::from_cols(DVec2::X, DVec2::NEG_Y, DVec2::new(-half, axle));
    let tyre = scene.bodies().find(|(_, body)| {
        body.role == Role::Tyre
            && body.stack == Some(seat.stack_number)
            && crate::views::figure::is_on(body, seat.owner)
    });
    if let Some((id, body)) = tyre {
        sketch.begin(id, body, 0.0);
    } else {
        sketch.begin_part(None, None, 0.0);
    }
    cut_wheel(&mut sketch, seat.wheel, 2.0 * half, &to_paper);
    // The screw through it.
    let radius = 0.5 * seat.mount.stack.screw.diameter;
    sketch.begin_part(None, Some(seat.mount.stack.screw.name.as_str().into()), 1.0);
    let along = 2.0 * (hub + 4.0);
    let to_paper = DAffine2::from_cols(DVec2::X, DVec2::NEG_Y, DVec2::new(-0.5 * along, axle));
    let bar = half_bar(0.0, along, -radius, radius).transformed(&to_paper);
    let pen = sketch.edge();
    let edges = (DVec2::new(0.0, axle + radius), DVec2::new(0.0, axle - radius));
    sketch.area_with(bar, Fill::round(Tone::Hardware, edges.0, edges.1), pen);
    sketch.into_panel(panel);
    let past = 8.0 / panel.scale();
    let centre = Pen::narrow(Tone::Outline).dashed(Dash::Centre);
    let reach = 0.5 * along + past;
    panel.add(Polyline::new(vec![DVec2::new(-reach, axle), DVec2::new(reach, axle)], centre));
    let tip = -seat.seating.depth - past;
    panel.add(Polyline::new(vec![DVec2::new(0.0, tip), DVec2::new(0.0, axle + radius + past)], centre));
}

/// Where wheel and rail touch, thick, and what presses there.
fn contacts(panel: &mut Panel, seat: &Seat<'_>) {
    let axle = seat.seating.axle_height;
    let (along, out) = (seat.outward(), seat.radial());
    // A contact's place across counts along the track's own face.
    let face_axis = DVec3::new(0.0, seat.track.normal.y, -seat.track.normal.x);
    let sense = along.dot(face_axis).signum();
    let on_paper = |at: DVec2| DVec2::new(sense * at.x, axle - at.y);
    let pen = Pen::new(Tone::Clear, 3.2);
    let touch = |panel: &mut Panel, line: Vec<DVec2>| {
        panel.add(Polyline::new(line, pen)).part(Pick::Gap.part()).named("contact");
    };
    for contact in seat.seating.touching().filter(|contact| contact.length > 0.0) {
        touch(panel, contact.ends().map(on_paper).to_vec());
    }
    let face = DVec3::new(seat.mount.along, seat.track.middle.x, seat.track.middle.y);
    let longest = (LONGEST.1 * panel.scale()).clamp(12.0, LONGEST.0);
    let mut placer = Placer::new(panel.frame.grown(-1.0));
    let flat = |v: DVec3| DVec2::new(v.dot(along), v.dot(out));
    // What pushes where: each contact by itself, the strips of a round groove together.
    let mut pushes: Vec<(DVec2, DVec2)> = Vec::new();
    let (mut groove, mut weighed) = (DVec2::ZERO, DVec2::ZERO);
    let has_lines = seat.seating.touching().any(|contact| contact.length > 0.0);
    for (contact, force) in &seat.contacts {
        let (at, normal) = (flat(contact.spring.point - face), flat(contact.spring.normal));
        if let Form::Strip { length, .. } = contact.pairing.form {
            if *force > 0.0 {
                groove += normal * *force;
                weighed += at * *force;
                let half = 0.5 * length * normal.perp();
                touch(panel, vec![at - half, at + half]);
            }
            continue;
        }
        if !has_lines && contact.spring.closure + LYING_OPEN >= 0.0 {
            let dot = Path::circle(DVec2::ZERO, 3.0);
            panel.add(Shape::in_pt(at, dot).filled(Tone::Clear)).named("contact");
        }
        pushes.push((at, normal * *force));
    }
    let together: f64 = seat
        .contacts
        .iter()
        .filter(|(contact, force)| *force > 0.0 && matches!(contact.pairing.form, Form::Strip { .. }))
        .map(|(_, force)| *force)
        .sum();
    if together > 0.0 {
        pushes.push((weighed / together, groove));
    }
    let most = pushes.iter().map(|(_, push)| push.length()).fold(0.0, f64::max);
    for (at, push) in pushes {
        let force = push.length();
        // A flank that hardly bears gets no arrow; the table has its number.
        if !(force > 0.03 * most) {
            continue;
        }
        // The rail's push on the wheel: the arrow stands in the rail, its tip on the contact.
        let push = push / force;
        let length = longest * (force / most).max(0.4);
        let back = DVec2::new(-push.x, push.y) * length;
        panel.add(
            Polyline::in_pt(at, vec![back, DVec2::ZERO], Pen::new(Tone::Clash, 1.4))
                .ends(End::Plain, End::Arrow),
        );
        let text = seat.unit.force(force, 1);
        let size = size_of(&text, FORCE_PT, Weight::SemiBold);
        let tail = panel.pt(at) + back;
        let side = if back.x < 0.0 { -1.0 } else { 1.0 };
        let wishes = [(side * 0.5 * size.x, 0.2 * size.y), (0.0, 0.7 * size.y), (0.0, -0.7 * size.y)]
            .map(|(x, y)| Rect::about(tail + DVec2::new(x, y), size));
        if let Some(rect) = placer.place(&wishes) {
            let at = place(panel, rect.middle());
            panel.add(Label::new(text, at, FORCE_PT).bold().toned(Tone::Clash).on_plate());
        }
    }
}

fn dimensions(panel: &mut Panel, seat: &Seat<'_>, world: &Rect) {
    let axle = seat.seating.axle_height;
    let right = world.max.x;
    let left = world.min.x;
    let mut add = |kind: DimensionKind, text: String| {
        panel.add(Dimension::new(kind, text)).overflowing();
    };
    add(
        DimensionKind::Vertical {
            from: DVec2::new(right, 0.0),
            to: DVec2::new(right, axle),
            offset_pt: 16.0,
        },
        seat.unit.bare(axle, 2),
    );
    add(
        DimensionKind::Vertical {
            from: DVec2::new(left, axle - seat.seating.rolling_radius()),
            to: DVec2::new(left, axle),
            offset_pt: -16.0,
        },
        format!("r {}", seat.unit.bare(seat.seating.rolling_radius(), 2)),
    );
    if seat.seating.depth.abs() > 0.01 {
        // A second row, outside the axle's.
        add(
            DimensionKind::Vertical {
                from: DVec2::new(right, -seat.seating.depth),
                to: DVec2::new(right, 0.0),
                offset_pt: 30.0,
            },
            seat.unit.bare(seat.seating.depth, 2),
        );
    }
}
