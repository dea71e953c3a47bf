//! Along the rail: its section, cut, with the riders before it as they stand at the travel shown.

mod dimensions;
mod tracks;

use glam::{DVec2, DVec3};
use glidewright_motion::{BodyId, Fixture, Owner, PathElement, Results, Role, path_at};

use super::figure::{Sketch, draw_body, draw_rail, silhouettes};
use super::projection::Projector;
use super::scene::{Scene, rider_tones};
use super::words::{place, size_of};
use super::{Pick, View};
use crate::drawing::{Drawing, Glyph, Label, Mark, Panel, Path, Polyline, Rect, Shape};
use crate::look::{Dash, Pen, Tone, Weight};
use crate::page::Placer;

/// Along the rail.
pub(super) const VIEW: View = View {
    name: "end",
    title: "Along the rail",
    about: "The rail's section with wheels, stacks, plates and loads round it, seen from its lower or left end.",
    lacks,
    still: |_| false,
    draw,
};

/// Name of the panel.
pub(super) const PANEL: &str = "along the rail";

const NAME_PT: f64 = 9.0;
const NOTE_PT: f64 = 8.0;

fn lacks(fixture: &Fixture, _: &Results) -> Option<&'static str> {
    fixture.rail.bars.is_empty().then_some("The rail has no section.")
}

fn draw(scene: &Scene<'_>) -> Drawing {
    let mut drawing = Drawing::new(format!("{}: along the rail", scene.fixture.name), scene.size());
    drawing.panels.push(panel(scene, Rect::between(DVec2::ZERO, scene.size())));
    drawing
}

/// The view in a frame of its own.
pub(super) fn panel(scene: &Scene<'_>, frame: Rect) -> Panel {
    let view = Projector::end();
    let world = extent(scene, &view);
    let room = (0.1 * frame.size().min_element()).clamp(26.0, 44.0);
    let sizes = dimensions::of(scene, &view, &world);
    let [low, high] = dimensions::room(&sizes);
    let inside =
        Rect { min: frame.min + low.max(DVec2::splat(room)), max: frame.max - high.max(DVec2::splat(room)) };
    let mut panel = Panel::fitted(PANEL, inside, world, 0.0);
    panel.frame = frame.grown(-2.0);
    fixed(&mut panel, scene, &view, &world);
    let mut sketch = Sketch::new(panel.scale());
    for (id, body) in scene.bodies() {
        if matches!(body.owner, Owner::Rider(_)) {
            draw_body(&mut sketch, scene, &view, id, body, scene.travel);
        }
    }
    strands(&mut sketch, scene, &view);
    if let Some((id, body)) = scene.bodies().find(|(_, body)| body.role == Role::Rail) {
        sketch.begin(id, body, f64::MAX);
        draw_rail(&mut sketch, &scene.fixture.rail, &view);
    }
    sketch.into_panel(&mut panel);
    axes(&mut panel, scene, &view);
    let mut taken = dimensions::draw(&mut panel, &sizes, &world);
    taken.extend(tracks::numbers(&mut panel, scene, &view));
    words(&mut panel, scene, &view, &taken);
    panel
}

/// What the riders and the rail take on paper (mm).
fn extent(scene: &Scene<'_>, view: &Projector) -> Rect {
    let section = scene.fixture.rail.bounds();
    let rail = Rect::round([section.low, section.high]);
    let riders = scene
        .bodies()
        .filter(|(_, body)| matches!(body.owner, Owner::Rider(_)))
        .filter_map(|(id, _)| scene.bounds(id))
        .map(|b| Rect::between(view.flat(b.low), view.flat(b.high)));
    let marks = scene.fixture.riders.iter().flat_map(|rider| &rider.loads).map(|load| {
        let room = DVec2::splat(6.0);
        Rect::between(view.flat(load.centre) - room, view.flat(load.centre) + room)
    });
    riders
        .chain(rail)
        .chain(marks)
        .filter(Rect::is_finite)
        .reduce(|a, b| a.union(&b))
        .unwrap_or(Rect::at(-30.0, -30.0, 60.0, 60.0))
}

/// What stands about, as neighbouring parts: thin, long dash and two dots.
fn fixed(panel: &mut Panel, scene: &Scene<'_>, view: &Projector, world: &Rect) {
    let pen = Pen::narrow(Tone::Axis).dashed(Dash::Phantom);
    for (id, body) in scene.bodies() {
        if !matches!(body.role, Role::Obstacle | Role::Stop | Role::Pulley) || body.owner != Owner::Ground {
            continue;
        }
        for seen in silhouettes(view, body, DVec3::ZERO, panel.scale()) {
            let Some(rect) = seen.path.bounds() else { continue };
            // What lies wholly outside the picture, or all round it, says nothing here.
            if !rect.is_finite() || !rect.overlaps(&world.grown(20.0)) || rect.holds(world) {
                continue;
            }
            let item = panel.add(Shape::new(seen.path).stroked(pen));
            item.part(Pick::Body(id).part()).named(body.label.as_str());
        }
    }
}

/// The belt's strands along the rail, cut.
fn strands(sketch: &mut Sketch, scene: &Scene<'_>, view: &Projector) {
    let Some(line) = &scene.fixture.line else { return };
    let Ok(path) = path_at(scene.fixture, line, scene.travel) else { return };
    let normal = line.plane.normal();
    let flat = |p: DVec2| view.flat(line.plane.point(p));
    let across = flat(DVec2::Y) - flat(DVec2::ZERO);
    sketch.begin_part(Some(Pick::Line.part()), Some(line.name.as_str().into()), f64::MAX);
    for element in &path.elements {
        let PathElement::Span { from, to, .. } = *element else { continue };
        // What runs across lies behind the rail.
        if (to.x - from.x).abs() < (to.y - from.y).abs() {
            continue;
        }
        let wide = view.flat(normal) * (0.5 * line.width);
        let thick = across * (0.5 * line.thickness);
        let middle = flat(0.5 * (from + to));
        let corners =
            [middle - wide - thick, middle + wide - thick, middle + wide + thick, middle - wide + thick];
        let pen = sketch.edge();
        sketch.area_with(Path::polyline(&corners, true), Tone::Belt, pen);
    }
}

/// The screws' centre lines.
fn axes(panel: &mut Panel, scene: &Scene<'_>, view: &Projector) {
    let past = 4.0 / panel.scale();
    for (rider, placed) in scene.fixture.riders.iter().zip(&scene.results.assembly.riders) {
        for stack in &placed.stacks {
            let ends =
                [stack.head_level, stack.tip_level].map(|level| view.flat(stack.point(rider.facing, level)));
            let run = (ends[1] - ends[0]).normalize_or_zero() * past;
            let pen = Pen::new(Tone::Outline, 0.4).dashed(Dash::Centre);
            panel.add(Polyline::new(vec![ends[0] - run, ends[1] + run], pen));
        }
    }
}

/// Names and masses, clear of what is `taken` on the panel (pt).
fn words(panel: &mut Panel, scene: &Scene<'_>, view: &Projector, taken: &[Rect]) {
    let mut placer = Placer::new(panel.frame.grown(-2.0));
    taken.iter().for_each(|rect| placer.block(*rect));
    let on_paper = |panel: &Panel, id: BodyId| {
        scene.bounds(id).map(|b| Rect::between(panel.pt(view.flat(b.low)), panel.pt(view.flat(b.high))))
    };
    let mut crowd = placer.clone();
    for (id, _) in scene.bodies().filter(|(_, body)| body.owner != Owner::Ground || body.role == Role::Rail) {
        if let Some(rect) = on_paper(panel, id).filter(Rect::is_finite) {
            crowd.block(rect);
        }
    }
    for (number, rider) in scene.fixture.riders.iter().enumerate() {
        for load in &rider.loads {
            let slid = load.reach.map_or(DVec3::ZERO, |reach| reach.direction * reach.at);
            let at = view.flat(load.centre + slid);
            if at.is_finite() && load.mass > 0.0 {
                panel.add(Mark::new(Glyph::MassCentre, at, 9.0, Tone::Ink)).named(load.name.as_str());
                placer.block(Rect::about(panel.pt(at), DVec2::splat(10.0)));
                let size = size_of(&load.name, NOTE_PT, Weight::Regular);
                let below = Rect::about(panel.pt(at) + DVec2::new(0.0, 11.0), size);
                let above = Rect::about(panel.pt(at) - DVec2::new(0.0, 11.0), size);
                if let Some(rect) = placer.place_freely(&[below, above]) {
                    let at = place(panel, rect.middle());
                    panel.add(Label::new(load.name.as_str(), at, NOTE_PT).on_plate());
                }
            }
        }
        let plate = scene
            .bodies()
            .find(|(_, body)| body.owner == Owner::Rider(number) && body.role == Role::Plate)
            .and_then(|(id, _)| on_paper(panel, id));
        let Some(own) = plate else { continue };
        let size = size_of(&rider.name, NAME_PT, Weight::SemiBold);
        let half = 0.5 * size;
        let beside = [own.min.x - half.x - 3.0, own.max.x + half.x + 3.0]
            .into_iter()
            .flat_map(|x| {
                [own.middle().y, own.min.y - half.y - 2.0, own.max.y + half.y + 2.0].map(|y| DVec2::new(x, y))
            })
            .chain([
                DVec2::new(own.min.x + half.x, own.min.y - half.y - 2.0),
                DVec2::new(own.min.x + half.x, own.max.y + half.y + 2.0),
            ])
            .map(|at| Rect::about(at, size));
        let candidates: Vec<Rect> = beside.collect();
        if let Some(rect) = crowd.place_freely(&candidates).or_else(|| placer.place_apart(&candidates)) {
            placer.block(rect);
            let at = place(panel, rect.middle());
            let label = Label::new(rider.name.as_str(), at, NAME_PT).bold().toned(rider_tones(number).1);
            panel.add(label.on_plate());
        }
    }
}
