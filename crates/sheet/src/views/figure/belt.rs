//! Belt or cord, and the pulleys it runs round.

use glam::{DVec2, DVec3};
use glidewright_motion::{Body, LineKind, LineNode, PathElement, Pulley, PulleyKind, Role, path_at};

use super::Sketch;
use super::solids::draw_solids;
use crate::drawing::{Path, Rect};
use crate::look::{Dash, Pen, Tone};
use crate::views::Pick;
use crate::views::projection::Projector;
use crate::views::scene::{Scene, body_tone};

/// Least width at which a belt is drawn (pt).
const THINNEST: f64 = 1.1;

/// Draws the line along its path.
pub(in crate::views) fn draw_line(sketch: &mut Sketch, scene: &Scene<'_>, view: &Projector, travel: f64) {
    let Some(line) = &scene.fixture.line else { return };
    let Ok(path) = path_at(scene.fixture, line, travel) else { return };
    let normal = line.plane.normal();
    let half = 0.5 * line.width;
    let origin = line.plane.point(DVec2::ZERO);
    let depth = view.depth(origin) + half * view.depth(normal).abs();
    sketch.begin_part(Some(Pick::Line.part()), Some(line.name.as_str().into()), depth);
    if view.is_end_on(normal) {
        let [x, y] = [DVec2::X, DVec2::Y].map(|axis| line.plane.point(axis) - origin);
        let to_paper = view.plane(origin, x, y);
        let mut course = Path::new();
        for element in &path.elements {
            match *element {
                PathElement::Span { from, to, .. } => {
                    if course.is_empty() {
                        course.move_to(from);
                    }
                    course.line_to(to);
                }
                PathElement::Wrap { centre, radius, start, sweep, .. } => {
                    course.arc(centre, radius, start, sweep);
                }
            }
        }
        let course = course.transformed(&to_paper);
        let width = (line.thickness * sketch.scale).max(THINNEST);
        let shape = crate::drawing::Shape::new(course.clone()).stroked(Pen::new(Tone::Belt, width));
        sketch.shape(shape);
        if let LineKind::Toothed { pitch } = line.kind
            && sketch.shows(pitch, 2.4)
        {
            // A row of dots for the teeth.
            sketch.detail(course, Pen::new(Tone::Paper, 0.5 * width).dashed(Dash::Dotted));
        }
        return;
    }
    // Seen across its plane a line is a band as wide as the belt; strands behind each other are each drawn.
    let pen = sketch.edge();
    for element in &path.elements {
        let PathElement::Span { from, to, .. } = *element else { continue };
        let corners = [from, to].into_iter().flat_map(|end| {
            let point = line.plane.point(end);
            [view.flat(point - normal * half), view.flat(point + normal * half)]
        });
        if let Some(rect) = Rect::round(corners) {
            sketch.area_with(Path::rect(rect), Tone::Belt, pen);
        }
    }
}

/// Draws a pulley, idler or post.
pub(in crate::views) fn draw_pulley(
    sketch: &mut Sketch,
    scene: &Scene<'_>,
    view: &Projector,
    body: &Body,
    home: DVec3,
) {
    draw_solids(sketch, view, body, home, body_tone(body));
    let Some((line, pulley)) = pulley_of(scene, body) else { return };
    if !view.is_end_on(line.plane.normal()) {
        return;
    }
    let centre = view.flat(line.plane.point(pulley.centre) + home);
    let rim = (pulley.radius - 0.5 * line.thickness).max(0.0);
    let pen = sketch.edge();
    if !sketch.shows(rim, 4.0) {
        return;
    }
    match pulley.kind {
        PulleyKind::Idler => {
            sketch.detail(Path::circle(centre, 0.86 * rim), pen);
            let hub = (1.6 * 0.5 * pulley.bore).min(0.6 * rim);
            sketch.area_with(Path::circle(centre, hub), Tone::Bearing, pen);
        }
        PulleyKind::Driven => {
            let teeth = pulley.teeth;
            // Its teeth as a ring of ticks.
            let mut ring = Path::new();
            if sketch.shows(rim / f64::from(teeth.max(1)), 0.35) {
                for i in 0..teeth.min(200) {
                    let turn = DVec2::from_angle(std::f64::consts::TAU * f64::from(i) / f64::from(teeth));
                    ring.append(&Path::line(centre + turn * (0.86 * rim), centre + turn * rim));
                }
            }
            ring.append(&Path::circle(centre, 0.86 * rim));
            ring.append(&Path::circle(centre, (pulley.bore).min(0.6 * rim)));
            sketch.detail(ring, pen);
        }
        PulleyKind::Post => {}
    }
    if pulley.bore > 0.0 && pulley.kind != PulleyKind::Post {
        sketch.area_with(Path::circle(centre, 0.5 * pulley.bore), Tone::Hardware, pen);
    }
}

/// The pulley a body is.
fn pulley_of<'a>(scene: &Scene<'a>, body: &Body) -> Option<(&'a glidewright_motion::Line, &'a Pulley)> {
    if body.role != Role::Pulley {
        return None;
    }
    let line = scene.fixture.line.as_ref()?;
    line.nodes.iter().find_map(|node| match node {
        LineNode::Pulley(pulley) if pulley.path == body.path => Some((line, pulley)),
        _ => None,
    })
}
