//! The course itself.

use std::f64::consts::FRAC_PI_2;

use glam::DVec2;
use glidewright_motion::{BodyId, LineKind, LineNode, Owner, PathElement, Role};

use super::{Shown, anchor, home};
use crate::drawing::{CentreCross, Dimension, DimensionKind, Label, Panel, Path, Polyline, Rect, Shape};
use crate::look::{Dash, Fill, Pen, Tone, Weight, number};
use crate::page::{Placer, figure_box};
use crate::views::Pick;
use crate::views::scene::{Scene, rider_tones};
use crate::views::words::{place, size_of};

/// Room for words and dimensions round the course: along it and across it (pt), standing and lying.
const ROOM: [(f64, f64); 2] = [(46.0, 86.0), (84.0, 60.0)];
const NOTE_PT: f64 = 8.0;
/// From a strand to its dimension (pt).
const ASIDE: f64 = 20.0;

/// The course's extent, and that with the riders' plates (mm).
fn extent(scene: &Scene<'_>, shown: &Shown<'_>) -> (Rect, Rect) {
    let reach = shown.path.elements.iter().flat_map(|element| match *element {
        PathElement::Span { from, to, .. } => vec![from, to],
        PathElement::Wrap { centre, radius, .. } => vec![centre - radius, centre + radius],
    });
    let world = Rect::round(reach.map(|p| shown.flat(p))).unwrap_or(Rect::at(-50.0, -50.0, 100.0, 100.0));
    (world, plates(scene, shown).fold(world, |all, (_, _, rect)| all.union(&rect)))
}

/// Room for words and dimensions beside the course, and above and below it (pt).
fn room(shown: &Shown<'_>) -> DVec2 {
    if shown.upright() { DVec2::new(ROOM[0].1, ROOM[0].0) } else { DVec2::new(ROOM[1].0, ROOM[1].1) }
}

/// The width the course takes where it fills a height (pt).
pub(super) fn width_at(scene: &Scene<'_>, shown: &Shown<'_>, height: f64) -> f64 {
    let (size, room) = (extent(scene, shown).1.size(), room(shown));
    size.x / size.y.max(1e-6) * (height - 2.0 * room.y).max(0.0) + 2.0 * room.x
}

pub(super) fn panel(scene: &Scene<'_>, shown: &Shown<'_>, frame: Rect) -> Panel {
    let (world, whole) = extent(scene, shown);
    let room = room(shown).min(0.3 * frame.size());
    let inside = Rect { min: frame.min + room, max: frame.max - room };
    let mut panel = Panel::fitted(super::PANEL, inside, whole, 0.0);
    panel.frame = frame;
    riders(&mut panel, scene, shown);
    pulleys(&mut panel, scene, shown);
    strand(&mut panel, shown);
    let mut placer = Placer::new(frame);
    anchors(&mut panel, scene, shown, &world, &mut placer);
    for rect in spans(&mut panel, scene, shown, &world) {
        placer.block(rect);
    }
    wraps(&mut panel, shown, &mut placer);
    panel
}

/// Plates of the riders at their places: body, rider, box on paper (mm).
fn plates<'s>(
    scene: &'s Scene<'_>,
    shown: &'s Shown<'_>,
) -> impl Iterator<Item = (BodyId, usize, Rect)> + 's {
    scene.bodies().filter_map(|(id, body)| {
        let Owner::Rider(number) = body.owner else { return None };
        if body.role != Role::Plate {
            return None;
        }
        let bounds = scene.bounds(id)?;
        let at = home(scene, Some(number));
        let corner = |p| shown.flat(shown.line.plane.flat(p) + at);
        let rect = Rect::between(corner(bounds.low), corner(bounds.high));
        rect.is_finite().then_some((id, number, rect))
    })
}

/// The riders' plates, thin: where they are.
fn riders(panel: &mut Panel, scene: &Scene<'_>, shown: &Shown<'_>) {
    for (id, number, rect) in plates(scene, shown) {
        let (fill, line) = rider_tones(number);
        let pen = Pen::new(line, 0.6).dashed(Dash::Phantom);
        let shape = Shape::new(Path::rect(rect)).filled(Fill::faded(fill, 0.3)).stroked(pen);
        let item = panel.add(shape);
        item.part(Pick::Body(id).part());
        if let Some(body) = scene.body(id) {
            item.named(body.label.as_str());
        }
    }
}

fn pulleys(panel: &mut Panel, scene: &Scene<'_>, shown: &Shown<'_>) {
    for node in &shown.line.nodes {
        let LineNode::Pulley(pulley) = node else { continue };
        let centre = shown.flat(pulley.centre + home(scene, pulley.rider));
        let rim = (pulley.radius - 0.5 * shown.line.thickness).max(0.1);
        let id = scene.bodies().find(|(_, body)| body.path == pulley.path).map(|(id, _)| id);
        let shape = Shape::new(Path::circle(centre, rim)).filled(Fill::faded(Tone::Pulley, 0.7));
        let item = panel.add(shape.stroked(Pen::wide(Tone::Outline)));
        item.part = id.map(|id| Pick::Body(id).part());
        item.named(pulley.name.as_str());
        if pulley.bore > 0.0 {
            let bore = Shape::new(Path::circle(centre, 0.5 * pulley.bore)).filled(Tone::Hardware);
            panel.add(bore.stroked(Pen::narrow(Tone::Outline)));
        }
        panel.add(CentreCross { centre, radius: rim });
    }
}

/// The line's neutral axis as thick as the line is, and its tangent points.
fn strand(panel: &mut Panel, shown: &Shown<'_>) {
    let mut path = Path::new();
    let mut tangents = Vec::new();
    for element in &shown.path.elements {
        match *element {
            PathElement::Span { from, to, .. } => {
                if path.is_empty() {
                    path.move_to(shown.flat(from));
                }
                path.line_to(shown.flat(to));
            }
            PathElement::Wrap { centre, radius, start, sweep, .. } => {
                // Paper may mirror the plane.
                let (c, first) = (shown.flat(centre), shown.flat(centre + DVec2::from_angle(start) * radius));
                let mirrored = shown.right.perp_dot(shown.up) < 0.0;
                let sweep = if mirrored { -sweep } else { sweep };
                path.arc(c, radius, (first - c).to_angle(), sweep);
                let last = c + DVec2::from_angle(sweep).rotate(first - c);
                tangents.extend([(c, first), (c, last)]);
            }
        }
    }
    let width = (shown.line.thickness * panel.scale()).max(1.6);
    let item = panel.add(Shape::new(path.clone()).stroked(Pen::new(Tone::Belt, width)));
    item.part(Pick::Line.part()).named(shown.line.name.as_str());
    if let LineKind::Toothed { pitch } = shown.line.kind
        && pitch * panel.scale() >= 2.4
    {
        panel.add(Shape::new(path).stroked(Pen::new(Tone::Paper, 0.5 * width).dashed(Dash::Dotted)));
    }
    for (centre, at) in tangents {
        panel.add(Polyline::new(vec![centre, at], Pen::narrow(Tone::Dimension).dashed(Dash::Centre)));
        let dot = Shape::in_pt(at, Path::circle(DVec2::ZERO, 2.2)).filled(Tone::Paper);
        panel.add(dot.stroked(Pen::new(Tone::Dimension, 0.9))).named("tangent point");
    }
}

/// What it is clamped to, with names.
fn anchors(panel: &mut Panel, scene: &Scene<'_>, shown: &Shown<'_>, world: &Rect, placer: &mut Placer) {
    let middle = panel.pt(world.middle());
    for node in &shown.line.nodes {
        let LineNode::Anchor { name, rider, at, .. } = node else { continue };
        let at = shown.flat(anchor(scene, shown.line, *rider, *at));
        let tone = rider.map_or(Tone::Outline, |number| rider_tones(number).1);
        let clamp = Path::rect(Rect::about(DVec2::ZERO, DVec2::splat(8.0)));
        panel
            .add(Shape::in_pt(at, clamp).filled(Tone::Paper).stroked(Pen::new(tone, 1.4)))
            .named(name.as_str());
        let size = size_of(name, NOTE_PT, Weight::SemiBold);
        let p = panel.pt(at);
        let half = 0.5 * size + 8.0;
        // Inwards, where neither dimensions nor plates are.
        let inwards = if shown.upright() {
            DVec2::new(if p.x >= middle.x { -1.0 } else { 1.0 }, 0.0)
        } else {
            DVec2::new(0.0, if p.y >= middle.y { -1.0 } else { 1.0 })
        };
        // Between the strands if they leave room, else beyond the dimensions.
        let between = (0.5 * world.size() * panel.scale()).dot(inwards.abs()) > half.dot(inwards.abs()) + 4.0;
        let beyond = -inwards * (2.0 * ASIDE - 6.0);
        let near = if between { inwards * half } else { beyond - inwards * (0.5 * size) };
        let places = [near, inwards.perp() * half, -inwards.perp() * half, beyond - inwards * (0.5 * size)]
            .map(|off| Rect::about(p + off, size));
        if let Some(rect) = placer.place_apart(&places) {
            let at = place(panel, rect.middle());
            panel.add(Label::new(name.as_str(), at, NOTE_PT).bold().toned(tone).on_plate());
        }
    }
}

/// How far it turns round each pulley.
fn wraps(panel: &mut Panel, shown: &Shown<'_>, placer: &mut Placer) {
    for element in &shown.path.elements {
        let PathElement::Wrap { centre, radius, start, sweep, node } = *element else { continue };
        let Some(LineNode::Pulley(pulley)) = shown.line.nodes.get(node) else { continue };
        let c = shown.flat(centre);
        let middle = shown.flat(centre + DVec2::from_angle(start + 0.5 * sweep) * radius);
        let mut text = format!("{}\n{}°", pulley.name, number(sweep.abs().to_degrees(), 1));
        if let (1.., LineKind::Toothed { .. }) = (pulley.teeth, shown.line.kind) {
            let mesh = f64::from(pulley.teeth) * sweep.abs() / std::f64::consts::TAU;
            text.push_str(&format!("\n{} teeth in mesh", number(mesh, 1)));
        }
        let size = text
            .lines()
            .map(|line| size_of(line, NOTE_PT, Weight::Regular))
            .fold(DVec2::ZERO, |all, line| DVec2::new(all.x.max(line.x), all.y + line.y));
        let (tip, hub) = (panel.pt(middle), panel.pt(c));
        let out = (tip - hub).normalize_or_zero();
        let places: Vec<Rect> = [0.0, 0.6, -0.6, 1.2, -1.2, FRAC_PI_2, -FRAC_PI_2]
            .into_iter()
            .map(|turn| {
                let way = DVec2::from_angle(turn).rotate(out);
                let from = hub + way * (tip.distance(hub) + 14.0);
                Rect::about(from + way * (0.5 * size).dot(way.abs()), size)
            })
            .collect();
        if let Some(rect) = placer.place_apart(&places) {
            let at = place(panel, rect.middle());
            panel.add(Label::new(text, at, NOTE_PT).toned(Tone::Dimension));
        }
    }
}

/// The spans' lengths, each beside its strand, outwards; what their figures take (pt).
fn spans(panel: &mut Panel, scene: &Scene<'_>, shown: &Shown<'_>, world: &Rect) -> Vec<Rect> {
    let mut taken = Vec::new();
    for element in &shown.path.elements {
        let PathElement::Span { from, to, .. } = *element else { continue };
        let (a, b) = (shown.flat(from), shown.flat(to));
        let length = from.distance(to);
        if length * panel.scale() < 14.0 {
            continue;
        }
        // To the right of the walk is outwards or not: away from the middle.
        let side = (b - a).perp().dot(0.5 * (a + b) - world.middle());
        let offset_pt = if side > 0.0 { -ASIDE } else { ASIDE };
        let kind = DimensionKind::Aligned { from: a, to: b, offset_pt };
        let figure = Dimension::new(kind, scene.bare(length, 1));
        taken.extend(figure_box(panel, &figure));
        panel.add(figure);
    }
    taken
}
