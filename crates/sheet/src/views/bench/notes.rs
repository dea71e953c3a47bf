//! Words and marks on the rail: who is who, where the masses are, which two come nearest, which way is down.

use glam::{DVec2, DVec3};
use glidewright_motion::{Body, BodyId, Owner, Role};

use super::layout::Layout;
use crate::drawing::{End, Glyph, Label, Mark, Panel, Polyline, Rect};
use crate::look::{Pen, Tone, Weight, number};
use crate::page::Placer;
use crate::views::Pick;
use crate::views::figure::Sketch;
use crate::views::scene::{Scene, bounds, gap_tones, rider_tones};
use crate::views::space::Lie;
use crate::views::words::{place, size_of};

const NAME_PT: f64 = 9.0;
const NOTE_PT: f64 = 8.0;
const GAP_PT: f64 = 10.0;
/// Beyond this gap (mm) two bodies are not pointed out as near.
const NEAR: f64 = 5.0;

pub(super) fn add(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout) {
    let frame = Rect::between(
        DVec2::new(layout.content.min.x, 4.0),
        match layout.lie {
            Lie::Upright => DVec2::new(layout.ruler - 3.0, layout.rail_frame.max.y - 4.0),
            Lie::Lying => DVec2::new(layout.rail_frame.max.x - 4.0, layout.ruler - 3.0),
        },
    );
    let mut placer = Placer::new(frame);
    // The cursor's line stays free of words.
    let along = layout.along(scene, scene.travel);
    placer.block(Rect::between(layout.point(along - 1.5, 0.0), layout.point(along + 1.5, 1e4)));
    let boxes = rider_boxes(panel, scene, layout);
    let mut crowd = placer.clone();
    for own in boxes.iter().flatten() {
        crowd.block(*own);
    }
    masses(panel, scene, layout, &mut placer, &mut crowd);
    nearest(panel, scene, layout, &mut placer, &mut crowd);
    // Names keep off the rail if they can.
    let mut clear = crowd.clone();
    for (_, body) in scene.bodies().filter(|(_, body)| body.owner == Owner::Ground) {
        if let Some(own) = box_of(panel, scene, layout, body) {
            clear.block(own);
        }
    }
    names(panel, scene, &boxes, [&mut clear, &mut crowd]);
    fixed(panel, scene, layout);
    grip(panel, scene, layout);
    down(panel, scene, layout);
}

/// What each rider takes on paper (pt).
fn rider_boxes(panel: &Panel, scene: &Scene<'_>, layout: &Layout) -> Vec<Option<Rect>> {
    let mut boxes: Vec<Option<Rect>> = vec![None; scene.fixture.riders.len()];
    for (_, body) in scene.bodies() {
        let Owner::Rider(number) = body.owner else { continue };
        if body.role == Role::Span {
            continue;
        }
        let Some(own) = box_of(panel, scene, layout, body) else { continue };
        if let Some(slot) = boxes.get_mut(number) {
            *slot = Some(slot.map_or(own, |seen| seen.union(&own)));
        }
    }
    boxes
}

/// Marks the centre of every load, with name and mass: inside its body if they fit, else beside the riders.
fn masses(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout, inside: &mut Placer, crowd: &mut Placer) {
    for (number, rider) in scene.fixture.riders.iter().enumerate() {
        // What hangs behind the rail is not written over what is before it.
        if rider.facing.outward().dot(layout.view.toward) < -0.5 {
            continue;
        }
        let home = DVec3::X * scene.home(Owner::Rider(number), scene.travel);
        for (which, load) in rider.loads.iter().enumerate() {
            let slid = load.reach.map_or(DVec3::ZERO, |reach| reach.direction * reach.at);
            let centre = layout.view.flat(load.centre + slid + home);
            if !centre.is_finite() || !(load.mass > 0.0) {
                continue;
            }
            let part = Pick::Load(number.min(255) as u8, which.min(65_535) as u16).part();
            panel.add(Mark::new(Glyph::MassCentre, centre, 9.0, Tone::Ink)).part(part).named(format!(
                "{}: {} kg",
                load.name,
                number_of(load.mass)
            ));
            let at = panel.pt(centre);
            let mark = Rect::about(at, DVec2::splat(10.0));
            inside.block(mark);
            crowd.block(mark);
            let body = scene.bodies().find(|(_, body)| {
                body.role == Role::Load && body.owner == Owner::Rider(number) && body.path == load.path
            });
            let body = body.and_then(|(_, body)| box_of(panel, scene, layout, body));
            let mass = format!("{} kg", number_of(load.mass));
            let texts = [format!("{} {mass}", load.name), format!("{}\n{mass}", load.name), mass];
            let sized = texts.map(|text| (block_size(&text), text));
            let found = sized.iter().find_map(|(size, text)| {
                // Below and above the mark, or aside of a cursor that runs through it.
                let (x, y) = (0.5 * size.x, 0.5 * size.y + 5.5);
                let aside =
                    [(0.0, y), (0.0, -y), (x + 6.0, 0.0), (-x - 6.0, 0.0), (x + 3.0, y), (-x - 3.0, y)];
                let candidates = aside.map(|(x, y)| Rect::about(at + DVec2::new(x, y), *size));
                let fitting: Vec<Rect> =
                    candidates.into_iter().filter(|rect| body.is_some_and(|b| b.holds(rect))).collect();
                inside.place_freely(&fitting).map(|rect| (rect, text))
            });
            let found = found.or_else(|| {
                let (size, text) = sized.first()?;
                let about = body.unwrap_or(mark);
                crowd.place_freely(&around(&about, *size, 4.0)).map(|rect| (rect, text))
            });
            if let Some((rect, text)) = found {
                inside.block(rect);
                crowd.block(rect);
                let at = place(panel, rect.middle());
                panel.add(Label::new(text.as_str(), at, NOTE_PT).on_plate()).part(part);
            }
        }
    }
}

/// The box of text of one or two lines (pt).
fn block_size(text: &str) -> DVec2 {
    text.lines()
        .map(|line| size_of(line, NOTE_PT, Weight::Regular))
        .fold(DVec2::ZERO, |all, line| DVec2::new(all.x.max(line.x), all.y + line.y))
}

/// Boxes beside another: above, below, right, left, then off the middle.
fn around(about: &Rect, size: DVec2, gap: f64) -> [Rect; 12] {
    let (middle, half) = (about.middle(), 0.5 * size);
    let (above, below) = (about.min.y - half.y - gap, about.max.y + half.y + gap);
    let (right, left) = (about.max.x + half.x + gap, about.min.x - half.x - gap);
    let aside = half + 3.0;
    [
        (middle.x, above),
        (middle.x, below),
        (right, middle.y),
        (left, middle.y),
        (middle.x + aside.x, above),
        (middle.x - aside.x, above),
        (middle.x + aside.x, below),
        (middle.x - aside.x, below),
        (right, middle.y - aside.y),
        (left, middle.y - aside.y),
        (right, middle.y + aside.y),
        (left, middle.y + aside.y),
    ]
    .map(|(x, y)| Rect::about(DVec2::new(x, y), size))
}

/// A body's box on paper (pt).
fn box_of(panel: &Panel, scene: &Scene<'_>, layout: &Layout, body: &Body) -> Option<Rect> {
    let bounds = bounds(body)?;
    let home = DVec3::X * scene.home(body.owner, scene.travel);
    let corner = |p: DVec3| panel.pt(layout.view.flat(p + home));
    let own = Rect::between(corner(bounds.low), corner(bounds.high));
    own.is_finite().then_some(own)
}

/// Names what stands about, where the name fits inside.
fn fixed(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout) {
    for (_, body) in scene.bodies().filter(|(_, body)| matches!(body.role, Role::Obstacle | Role::Stop)) {
        let size = size_of(&body.label, NOTE_PT, Weight::Regular);
        let Some(own) = box_of(panel, scene, layout, body) else { continue };
        let shown = Rect { min: own.min.max(layout.content.min), max: own.max.min(layout.content.max) };
        let room = shown.size();
        let turned = room.x < size.x + 2.0;
        let (wide, high) = if turned { (room.y, room.x) } else { (room.x, room.y) };
        // Of several pieces the box may be mostly air.
        if body.solids.len() > 1 || wide < size.x + 2.0 || high < size.y {
            continue;
        }
        let at = place(panel, shown.middle());
        let label = Label::new(body.label.as_str(), at, NOTE_PT).toned(Tone::FaintInk).on_plate();
        panel.add(if turned { label.turned(std::f64::consts::FRAC_PI_2) } else { label });
    }
}

fn number_of(mass: f64) -> String {
    number(mass, if mass < 1.0 { 3 } else { 2 })
}

/// Lights up the two bodies nearest each other where the riders are, with their gap.
fn nearest(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout, placer: &mut Placer, crowd: &mut Placer) {
    let band = &scene.results.interference.band.points;
    let after = band.partition_point(|point| point.travel < scene.travel);
    let beside = [after.checked_sub(1), Some(after)].into_iter().flatten();
    let pairs = beside.filter_map(|i| band.get(i)?.pair);
    let found = pairs
        .filter_map(|pair| Some((pair, scene.separation_at(pair, scene.travel)?)))
        .min_by(|a, b| a.1.gap.total_cmp(&b.1.gap));
    let Some((pair, separation)) = found else { return };
    if separation.gap > NEAR {
        return;
    }
    let asked = scene.pair_result(pair).map_or(scene.fixture.limits.gap, |result| result.asked);
    let (tone, _, word) = gap_tones(separation.gap, asked);
    for id in [pair.0, pair.1] {
        outline(panel, scene, layout, id, tone);
    }
    let tip = layout.view.flat(0.5 * (separation.on_a + separation.on_b));
    let text = format!("{word} {} mm", number(separation.gap.abs(), 2));
    let size = size_of(&text, GAP_PT, Weight::SemiBold);
    let at = panel.pt(tip);
    // Beside the riders where there is room, at growing distance.
    let candidates: Vec<Rect> = [34.0, 55.0, 80.0, 110.0, 150.0, 200.0]
        .into_iter()
        .flat_map(|far| {
            [20.0, 160.0, -20.0, -160.0, 60.0, 120.0, -60.0, -120.0, 90.0, -90.0].map(|turn: f64| {
                let away = DVec2::from_angle(turn.to_radians());
                Rect::about(at + DVec2::new(away.x * (far + 0.5 * size.x), -away.y * far), size)
            })
        })
        .collect();
    let found = crowd.place_freely(&candidates).or_else(|| placer.place(&candidates));
    let Some(rect) = found else { return };
    placer.block(rect);
    crowd.block(rect);
    let near_end = at.clamp(rect.min, rect.max);
    let elbow = panel.world_from_pt(near_end).unwrap_or(tip);
    let part = Pick::Gap.part();
    panel.add(Polyline::new(vec![elbow, tip], Pen::new(tone, 0.8)).ends(End::Plain, End::Dot)).part(part);
    let label = Label::new(text.clone(), place(panel, rect.middle()), GAP_PT).bold().toned(tone).on_plate();
    panel.add(label).part(part).named(text);
}

/// Retraces a body.
fn outline(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout, id: BodyId, tone: Tone) {
    let Some(body) = scene.body(id) else { return };
    let mut sketch = Sketch::new(layout.scale);
    crate::views::figure::draw_body(&mut sketch, scene, &layout.view, id, body, scene.travel);
    for path in sketch.outlines() {
        panel.add(crate::drawing::Shape::new(path).stroked(Pen::new(tone, 2.0)));
    }
}

fn names(panel: &mut Panel, scene: &Scene<'_>, boxes: &[Option<Rect>], placers: [&mut Placer; 2]) {
    let [clear, crowd] = placers;
    for (number, (rider, own)) in scene.fixture.riders.iter().zip(boxes).enumerate() {
        let Some(own) = own else { continue };
        let size = size_of(&rider.name, NAME_PT, Weight::SemiBold);
        let candidates = around(own, size, 3.0);
        let found = clear.place_freely(&candidates).or_else(|| crowd.place_freely(&candidates));
        if let Some(rect) = found.or_else(|| crowd.place(&candidates)) {
            clear.block(rect);
            crowd.block(rect);
            let at = place(panel, rect.middle());
            let label = Label::new(rider.name.as_str(), at, NAME_PT).bold().toned(rider_tones(number).1);
            panel.add(label.on_plate());
        }
    }
}

/// Where a hand takes hold of the lead rider.
fn grip(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout) {
    for (number, rider) in scene.fixture.riders.iter().enumerate() {
        let Some(grip) = &rider.grip else { continue };
        let home = DVec3::X * scene.home(Owner::Rider(number), scene.travel);
        let at = layout.view.flat(grip.at + home);
        panel
            .add(Mark::new(Glyph::Circle, at, 7.0, rider_tones(number).1).hollow(Tone::Paper))
            .part(Pick::Grip(number.min(255) as u8).part())
            .named(format!("grip: {}", grip.name));
    }
}

/// Which way is down, and that the rail stands still.
fn down(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout) {
    let gravity = layout.view.flat(scene.fixture.rail.stand.down());
    let corner = match layout.lie {
        Lie::Upright => DVec2::new(layout.rail_frame.max.x - 30.0, layout.rail_frame.max.y - 26.0),
        Lie::Lying => DVec2::new(14.0, layout.rail_frame.max.y - 18.0),
    };
    if let Some(direction) = gravity.try_normalize() {
        // World y is up, paper's is down.
        let run = DVec2::new(direction.x, -direction.y) * 18.0;
        let from = panel.world_from_pt(corner - 0.5 * run).unwrap_or_default();
        let line = Polyline::in_pt(from, vec![DVec2::ZERO, run], Pen::new(Tone::FaintInk, 1.0));
        panel.add(line.ends(End::Plain, End::Arrow)).named("direction of gravity");
        let side = run.perp().normalize_or_zero() * 8.0;
        let at = place(panel, corner + side);
        panel.add(Label::new("g", at, NOTE_PT).toned(Tone::FaintInk));
    }
    let foot = panel.pt(layout.view.flat(DVec3::ZERO));
    let (at, turn) = match layout.lie {
        Lie::Upright => (DVec2::new(foot.x, layout.content.max.y), std::f64::consts::FRAC_PI_2),
        Lie::Lying => (DVec2::new(layout.content.min.x, foot.y), 0.0),
    };
    let mark = Mark::new(Glyph::Ground, place(panel, at), 16.0, Tone::Outline).turned(turn);
    panel.add(mark).named("held fast");
}
