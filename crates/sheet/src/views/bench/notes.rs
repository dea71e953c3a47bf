//! Words and marks on the rail: who is who, where the masses are, which two come nearest, which way is down.

use glam::{DVec2, DVec3};
use glidewright_motion::{Body, BodyId, Measure, Owner, Role};

use super::layout::Layout;
use crate::drawing::{End, Glyph, Label, Mark, Panel, Polyline, Rect};
use crate::look::{Pen, ReaderUnits, Tone, Weight, number};
use crate::page::Placer;
use crate::views::Pick;
use crate::views::figure::Sketch;
use crate::views::projection::Lie;
use crate::views::scene::{Scene, gap_tones, rider_tones};
use crate::views::words::{place, size_of};

const NAME_PT: f64 = 9.0;
const NOTE_PT: f64 = 8.0;
const GAP_PT: f64 = 10.0;
/// Beyond this gap (mm) two bodies are not pointed out as near.
const NEAR: f64 = 5.0;

pub(super) fn add(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout) {
    // Off the dimensions' gutter and off the ruler.
    let (content, paper) = (layout.content, layout.rail_frame);
    let frame = match layout.lie {
        Lie::Upright => {
            Rect::between(DVec2::new(content.min.x, 4.0), DVec2::new(layout.ruler - 3.0, paper.max.y - 4.0))
        }
        Lie::Lying => Rect::between(
            DVec2::new(4.0, content.min.y - 2.0),
            DVec2::new(paper.max.x - 4.0, layout.ruler - 3.0),
        ),
    };
    let mut room = Room::new(panel, scene, layout, frame);
    masses(panel, scene, layout, &mut room);
    nearest(panel, scene, layout, &mut room);
    names(panel, scene, layout, &mut room);
    ends(panel, scene, layout, &mut room);
    fixed(panel, scene, layout, &mut room);
    grip(panel, scene, layout);
    if !layout.zoomed {
        down(panel, scene, layout);
    }
}

/// Where there is room for words, by what they must keep clear of besides each other.
struct Room {
    /// What each body takes on paper (pt), in the assembly's order.
    bodies: Vec<Option<Rect>>,
    /// What each rider takes on paper (pt).
    riders: Vec<Option<Rect>>,
    /// Clear of other words alone.
    words: Placer,
    /// And of every body of a rider.
    beside_bodies: Placer,
    /// And of whole riders.
    beside_riders: Placer,
    /// And of what stands still.
    free: Placer,
}

impl Room {
    fn new(panel: &Panel, scene: &Scene<'_>, layout: &Layout, frame: Rect) -> Self {
        let mut words = Placer::new(frame);
        // The cursor's line stays free of words.
        let along = layout.along(scene, scene.travel);
        words.block(Rect::between(layout.point(along - 1.5, 0.0), layout.point(along + 1.5, 1e4)));
        let mut room = Self {
            bodies: Vec::new(),
            riders: vec![None; scene.fixture.riders.len()],
            beside_bodies: words.clone(),
            beside_riders: words.clone(),
            free: words.clone(),
            words,
        };
        for (id, body) in scene.bodies() {
            let own = box_of(panel, scene, layout, id, body).filter(|_| body.role != Role::Span);
            room.bodies.push(own);
            let Some(own) = own else { continue };
            match body.owner {
                Owner::Ground => room.free.block(own),
                Owner::Rider(number) => {
                    room.beside_bodies.block(own);
                    if let Some(all) = room.riders.get_mut(number) {
                        *all = Some(all.map_or(own, |seen| seen.union(&own)));
                    }
                }
            }
        }
        // The rail and the line are not written over.
        let (low, high) = super::rail_panel::rail_across(scene, &layout.view);
        let corner =
            |x: f64, across: f64| panel.pt(layout.view.flat(DVec3::X * x + layout.view.across() * across));
        let rail = Rect::between(corner(0.0, low), corner(scene.fixture.rail.length, high));
        let spans = scene.bodies().filter(|(_, body)| body.role == Role::Span);
        let spans: Vec<Rect> =
            spans.filter_map(|(id, body)| box_of(panel, scene, layout, id, body)).collect();
        for rect in spans.into_iter().chain([rail]).filter(Rect::is_finite) {
            for placer in [&mut room.beside_bodies, &mut room.beside_riders, &mut room.free] {
                placer.block(rect);
            }
        }
        for rider in room.riders.iter().flatten() {
            room.beside_riders.block(*rider);
            room.free.block(*rider);
        }
        room
    }

    /// Takes a place for a word or mark.
    fn take(&mut self, rect: Rect) {
        for placer in [&mut self.words, &mut self.beside_bodies, &mut self.beside_riders, &mut self.free] {
            placer.block(rect);
        }
    }
}

/// Marks the centre of every load, with name and mass: inside its body if they fit, else beside the riders.
fn masses(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout, room: &mut Room) {
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
                "{}: {}",
                load.name,
                mass_of(scene.unit(), load.mass)
            ));
            let at = panel.pt(centre);
            let mark = Rect::about(at, DVec2::splat(10.0));
            room.take(mark);
            let body = scene.bodies().find(|(_, body)| {
                body.role == Role::Load && body.owner == Owner::Rider(number) && body.path == load.path
            });
            let body = body.and_then(|(id, _)| room.bodies.get(id.0 as usize).copied().flatten());
            let mass = mass_of(scene.unit(), load.mass);
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
                room.words.place_freely(&fitting).map(|rect| (rect, text))
            });
            let found = found.or_else(|| {
                let about = body.unwrap_or(mark);
                // Beside it clear of all else: with its name, else by its mass alone. Where there is no room for that,
                // pointing at it tells.
                let (rect, text) = [sized.first()?, sized.last()?].into_iter().find_map(|(size, text)| {
                    let places = farther(&about, *size, 4);
                    let rect =
                        room.free.place_freely(&places).or_else(|| room.beside_riders.place_freely(&places));
                    rect.map(|rect| (rect, text))
                })?;
                leader(panel, rect, at, &about, rider_tones(number).1);
                Some((rect, text))
            });
            if let Some((rect, text)) = found {
                room.take(rect);
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

/// The same at so many of the growing distances.
fn farther(about: &Rect, size: DVec2, distances: usize) -> Vec<Rect> {
    FAR.into_iter().take(distances).flat_map(|gap| around(about, size, gap)).collect()
}

/// Distances at which room is sought for a word (pt); beyond the first a leader says what it belongs to.
const FAR: [f64; 6] = [4.0, 14.0, 28.0, 48.0, 75.0, 110.0];

/// A line from a word to what it names, where it does not stand at it.
fn leader(panel: &mut Panel, word: Rect, to: DVec2, about: &Rect, tone: Tone) {
    if word.grown(FAR[0] + 2.0).overlaps(about) {
        return;
    }
    let from = to.clamp(word.min, word.max);
    if let (Some(from), Some(to)) = (panel.world_from_pt(from), panel.world_from_pt(to)) {
        let pen = Pen::new(tone, 0.5);
        panel.add(Polyline::new(vec![from, to], pen).ends(End::Plain, End::Dot));
    }
}

/// A body's box on paper (pt).
fn box_of(panel: &Panel, scene: &Scene<'_>, layout: &Layout, id: BodyId, body: &Body) -> Option<Rect> {
    let bounds = scene.bounds(id)?;
    let home = DVec3::X * scene.home(body.owner, scene.travel);
    let corner = |p: DVec3| panel.pt(layout.view.flat(p + home));
    let own = Rect::between(corner(bounds.low), corner(bounds.high));
    own.is_finite().then_some(own)
}

/// Says at which travel the lead stands at the ends of its stroke, beside its outlines there.
fn ends(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout, room: &mut Room) {
    if layout.zoomed {
        return;
    }
    let lead = scene.lead().unwrap_or(0);
    let stroke = scene.fixture.stroke;
    for travel in [stroke.from, stroke.to] {
        let shift = scene.home(Owner::Rider(lead), travel) - scene.home(Owner::Rider(lead), scene.travel);
        let moved = shift.abs() * layout.scale;
        let bodies = scene.bodies().filter(|(_, body)| {
            body.owner == Owner::Rider(lead) && matches!(body.role, Role::Plate | Role::Load)
        });
        let boxes = bodies.filter_map(|(id, body)| box_of(panel, scene, layout, id, body));
        let Some(now) = boxes.reduce(|a, b| a.union(&b)) else { continue };
        let step = panel.pt(layout.view.flat(DVec3::X * shift)) - panel.pt(layout.view.flat(DVec3::ZERO));
        let there = now.shifted(step);
        // Where it stands there now, the cursor says so.
        if moved < 20.0 || !there.is_finite() {
            continue;
        }
        let text = format!("travel {}", scene.bare(travel, 0));
        let size = size_of(&text, NOTE_PT, Weight::Regular);
        room.free.block(there);
        if let Some(rect) = room.free.place_freely(&farther(&there, size, 2)) {
            room.take(rect);
            let at = place(panel, rect.middle());
            panel.add(Label::new(text, at, NOTE_PT).toned(Tone::FaintInk)).named("an end of the stroke");
        }
    }
}

/// Names what stands about: inside where the name fits clear of all else, else beside it with a leader.
fn fixed(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout, room: &mut Room) {
    let mut named: Vec<&str> = Vec::new();
    for (id, body) in scene.bodies().filter(|(_, body)| matches!(body.role, Role::Obstacle | Role::Stop)) {
        if named.contains(&body.label.as_str()) {
            continue;
        }
        let Some(own) = room.bodies.get(id.0 as usize).copied().flatten() else { continue };
        let shown = own.common(&layout.content);
        if shown.size().min_element() <= 0.0 {
            continue;
        }
        let size = size_of(&body.label, NOTE_PT, Weight::Regular);
        // Of several pieces the box may be mostly air.
        let solid = body.solids.len() <= 1;
        let inside: Vec<Rect> = [0.5, 0.25, 0.75, 0.12, 0.88]
            .into_iter()
            .flat_map(|share| {
                let at = if shown.size().y > shown.size().x {
                    DVec2::new(shown.middle().x, shown.min.y + share * shown.size().y)
                } else {
                    DVec2::new(shown.min.x + share * shown.size().x, shown.middle().y)
                };
                [Rect::about(at, size), Rect::about(at, DVec2::new(size.y, size.x))]
            })
            .filter(|rect| solid && shown.holds(rect))
            .collect();
        let mut found = room.beside_riders.place_freely(&inside);
        if found.is_none() && !layout.zoomed {
            found = room.free.place_freely(&farther(&shown, size, FAR.len()));
            if let Some(rect) = found {
                let to = rect.middle().clamp(shown.min, shown.max);
                leader(panel, rect, to, &shown, Tone::FaintInk);
            }
        }
        let Some(rect) = found else { continue };
        room.take(rect);
        named.push(&body.label);
        let at = place(panel, rect.middle());
        let label = Label::new(body.label.as_str(), at, NOTE_PT).toned(Tone::FaintInk).on_plate();
        let turned = rect.size().y > rect.size().x && size.x > size.y;
        panel.add(if turned { label.turned(std::f64::consts::FRAC_PI_2) } else { label });
    }
}

/// A mass (kg) in words.
fn mass_of(units: ReaderUnits, mass: f64) -> String {
    units.measured(Measure::Kilogram, mass, if mass < 1.0 { 3 } else { 2 })
}

/// Lights up the two bodies nearest each other where the riders are, with their gap.
fn nearest(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout, room: &mut Room) {
    let band = &scene.results.interference.band.points;
    let after = band.partition_point(|point| point.travel < scene.travel);
    let beside = [after.checked_sub(1), Some(after)].into_iter().flatten();
    let pairs = beside.clone().filter_map(|i| band.get(i)?.pair);
    let mut found = pairs
        .filter_map(|pair| Some((pair, scene.separation_at(pair, scene.travel)?)))
        .min_by(|a, b| a.1.gap.total_cmp(&b.1.gap));
    // The band says whose gap is least under load; as drawn it may be another's.
    for result in scene.results.interference.passing.iter().filter(|result| !result.meets_stop) {
        if found.as_ref().is_some_and(|(_, nearest)| result.gap >= nearest.gap) {
            // The rest come no nearer anywhere.
            break;
        }
        if let Some(here) = scene.separation_at(result.bodies, scene.travel)
            && found.as_ref().is_none_or(|(_, nearest)| here.gap < nearest.gap)
        {
            found = Some((result.bodies, here));
        }
    }
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
    // Where load makes it another, it is said which this one is.
    let loaded = beside.filter_map(|i| band.get(i)).map(|point| scene.bare(point.loaded, 2));
    let differs = loaded.into_iter().any(|loaded| loaded != scene.bare(separation.gap, 2));
    let which = if differs { " as drawn" } else { "" };
    let short = format!("{word} {}", scene.text(separation.gap.abs(), 2));
    let at = panel.pt(tip);
    // Beside the riders where there is room, at growing distance.
    let candidates = |text: &str| {
        let size = size_of(text, GAP_PT, Weight::SemiBold);
        let rects = [34.0, 55.0, 80.0, 110.0, 150.0, 200.0].into_iter().flat_map(move |far| {
            [20.0, 160.0, -20.0, -160.0, 60.0, 120.0, -60.0, -120.0, 90.0, -90.0].map(move |turn: f64| {
                let away = DVec2::from_angle(turn.to_radians());
                Rect::about(at + DVec2::new(away.x * (far + 0.5 * size.x), -away.y * far), size)
            })
        });
        rects.collect::<Vec<Rect>>()
    };
    let whole = format!("{short}{which}");
    let free = |room: &mut Room, text: &str| room.beside_riders.place_freely(&candidates(text));
    let (text, found) = match free(room, &whole) {
        Some(rect) => (whole, Some(rect)),
        None => {
            let rect = free(room, &short).or_else(|| room.words.place(&candidates(&short)));
            (short, rect)
        }
    };
    let Some(rect) = found else { return };
    room.take(rect);
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

fn names(panel: &mut Panel, scene: &Scene<'_>, layout: &Layout, room: &mut Room) {
    for (number, rider) in scene.fixture.riders.iter().enumerate() {
        let Some(own) = room.riders.get(number).copied().flatten() else { continue };
        let size = size_of(&rider.name, NAME_PT, Weight::SemiBold);
        let candidates = farther(&own, size, FAR.len());
        let found =
            room.free.place_freely(&candidates).or_else(|| room.beside_riders.place_freely(&candidates));
        let found = found.or_else(|| {
            // Close up it fills the frame: then at an end of its plate, over it if need be.
            let ends = layout.zoomed.then(|| beside_plate(panel, scene, layout, number, size))?;
            room.beside_bodies.place_freely(&ends).or_else(|| room.words.place_freely(&ends))
        });
        if let Some(rect) = found.or_else(|| room.words.place(&candidates)) {
            room.take(rect);
            let at = place(panel, rect.middle());
            let label = Label::new(rider.name.as_str(), at, NAME_PT).bold().toned(rider_tones(number).1);
            panel.add(label.on_plate());
        }
    }
}

/// Places for a name at both ends of what is seen of a rider's plates.
fn beside_plate(panel: &Panel, scene: &Scene<'_>, layout: &Layout, number: usize, size: DVec2) -> Vec<Rect> {
    let shown = layout.content.grown(-3.0);
    let plates =
        scene.bodies().filter(|(_, body)| body.role == Role::Plate && body.owner == Owner::Rider(number));
    plates
        .filter_map(|(id, body)| box_of(panel, scene, layout, id, body))
        .flat_map(|own| {
            let half = 0.5 * size;
            let low = (own.min - half - 3.0).max(shown.min + half);
            let high = (own.max + half + 3.0).min(shown.max - half);
            let ends = match layout.lie {
                Lie::Upright => [low.y, high.y].map(|y| [DVec2::new(low.x, y), DVec2::new(high.x, y)]),
                Lie::Lying => [low.x, high.x].map(|x| [DVec2::new(x, low.y), DVec2::new(x, high.y)]),
            };
            ends.into_iter().flatten().map(move |middle| Rect::about(middle, size))
        })
        .collect()
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
    let mut side = DVec2::new(-9.0, 0.0);
    if gravity.length() > 0.5 {
        // World y is up, paper's is down.
        let run = DVec2::new(gravity.x, -gravity.y).normalize_or_zero() * 18.0;
        let from = panel.world_from_pt(corner - 0.5 * run).unwrap_or_default();
        let line = Polyline::in_pt(from, vec![DVec2::ZERO, run], Pen::new(Tone::FaintInk, 1.0));
        panel.add(line.ends(End::Plain, End::Arrow)).named("direction of gravity");
        side = run.perp().normalize_or_zero() * 8.0;
    } else {
        // Into the paper or out of it: the arrow's tail feathers, or its point.
        let away = layout.view.depth(scene.fixture.rail.stand.down()) < 0.0;
        let at = place(panel, corner);
        panel.add(Mark::new(Glyph::Circle, at, 10.0, Tone::FaintInk).hollow(Tone::Paper));
        let (glyph, size) = if away { (Glyph::Cross, 6.0) } else { (Glyph::Circle, 3.0) };
        let name = if away { "gravity, away from you" } else { "gravity, towards you" };
        panel.add(Mark::new(glyph, at, size, Tone::FaintInk)).named(name);
    }
    let at = place(panel, corner + side);
    panel.add(Label::new("g", at, NOTE_PT).toned(Tone::FaintInk));
    // How steep an inclined rail stands.
    let slope = -scene.fixture.rail.stand.down().x;
    let incline = slope.clamp(-1.0, 1.0).asin().to_degrees();
    if layout.lie == Lie::Lying && incline.abs() > 0.05 {
        let text =
            format!("rail inclined {}°", number(incline, if incline.fract().abs() < 0.05 { 0 } else { 1 }));
        let at = place(panel, corner + DVec2::new(16.0, 0.0));
        panel
            .add(Label::new(text, at, NOTE_PT).toned(Tone::FaintInk).anchored(0.0, 0.5))
            .named("incline of the rail");
    }
    let foot = panel.pt(layout.view.flat(DVec3::ZERO));
    let (at, turn) = match layout.lie {
        Lie::Upright => (DVec2::new(foot.x, layout.content.max.y), std::f64::consts::FRAC_PI_2),
        Lie::Lying => (DVec2::new(layout.content.min.x, foot.y), 0.0),
    };
    let mark = Mark::new(Glyph::Ground, place(panel, at), 16.0, Tone::Outline).turned(turn);
    panel.add(mark).named("held fast");
}
