//! Words and marks over the picture in space: who is who, what fouls, which way is down.

use glam::{DVec2, DVec3};
use glidewright_motion::{BodyId, Owner, touches};

use super::lump::Lump;
use super::{lens, names as all_names};
use crate::drawing::{End, Glyph, Label, Mark, Panel, Path, Polyline, Rect, Shape};
use crate::look::{Pen, Tone, Weight};
use crate::page::Placer;
use crate::views::Pick;
use crate::views::figure::hull_points;
use crate::views::projection::Projector;
use crate::views::scene::{Scene, gap_tones, rider_tones};
use crate::views::words::{place, size_of};

const NAME_PT: f64 = 9.5;
const NOTE_PT: f64 = 8.0;
const GAP_PT: f64 = 11.0;
/// Beyond this gap (mm) two bodies are not pointed out as near.
const NEAR: f64 = 5.0;
/// Bodies smaller than this on paper (pt) are not retraced.
const SHOWS: f64 = 24.0;
/// Lumps of a body that are retraced one by one; more are as one.
const MOST_TRACED: usize = 4;
/// Radius of the ring round a place that fouls (pt).
const RING: f64 = 8.0;
/// Two places nearer each other than this (pt) are marked once.
const TOGETHER: f64 = 7.0;

pub(super) fn add(panel: &mut Panel, scene: &Scene<'_>, view: &Projector, lumps: &[Lump], taken: &[Rect]) {
    let mut placer = Placer::new(panel.frame.grown(-4.0));
    for rect in taken {
        placer.block(*rect);
    }
    let boxes = rider_boxes(panel, scene, lumps);
    for rect in boxes.iter().flatten() {
        placer.block(*rect);
    }
    for rect in along_the_rail(panel, scene, view) {
        placer.block(rect);
    }
    down(panel, scene, view, &mut placer);
    nearest(panel, scene, view, lumps, &mut placer);
    names(panel, scene, view, &boxes, &mut placer);
}

/// The same for a picture that is sent, with a lens where the place is hidden and everything named; `content` is what is
/// painted (pt).
pub(super) fn explain(
    panel: &mut Panel,
    scene: &Scene<'_>,
    view: &Projector,
    (lumps, order): (&[Lump], &[usize]),
    content: &Rect,
    [taken, ground]: [&[Rect]; 2],
) -> Option<Panel> {
    let mut placer = Placer::new(panel.frame.grown(-4.0));
    for rect in taken {
        placer.block(*rect);
    }
    gravity_beside(panel, scene, view, content, &mut placer);
    // Words cover no more than the rail: what stands large about would leave no room at all.
    let mut free = placer.clone();
    for lump in lumps {
        free.block(on_paper(panel, lump).grown(-1.0));
    }
    let spot = nearest(panel, scene, view, lumps, &mut free);
    // The lens stands on bare paper, and no line crosses words.
    let mut bare = free.clone();
    ground.iter().for_each(|rect| bare.block(*rect));
    let lens = spot.and_then(|spot| {
        let words: Vec<Rect> = taken.iter().copied().chain(spot.words).collect();
        lens::panel(panel, view, (lumps, order), &spot, &words, &mut bare)
    });
    if let Some(lens) = &lens {
        free.block(lens.frame.grown(3.0));
    }
    let words: Vec<Rect> = spot.and_then(|spot| spot.words).into_iter().collect();
    all_names::add(panel, scene, (lumps, order), content, &words, &mut free);
    lens
}

/// Which way is down, at the foot of what is painted.
fn gravity_beside(
    panel: &mut Panel,
    scene: &Scene<'_>,
    view: &Projector,
    content: &Rect,
    placer: &mut Placer,
) {
    let corner = DVec2::new((content.min.x - 22.0).max(panel.frame.min.x + 16.0), content.max.y - 16.0);
    down_at(panel, scene, view, corner, placer);
}

/// The place of two that foul or come nearest.
#[derive(Clone, Copy)]
pub(super) struct Spot {
    pub(super) pair: (BodyId, BodyId),
    /// On paper (mm).
    pub(super) at: DVec2,
    pub(super) tone: Tone,
    /// Where its words stand (pt).
    pub(super) words: Option<Rect>,
}

impl Spot {
    /// Whether a lump belongs to one of the two.
    pub(super) fn is_of(&self, lump: &Lump) -> bool {
        body_of(lump).is_some_and(|id| id == self.pair.0 || id == self.pair.1)
    }
}

/// The bodies a lump belongs to.
pub(super) fn body_of(lump: &Lump) -> Option<BodyId> {
    match Pick::of(lump.whose.0?)? {
        Pick::Body(id) => Some(id),
        _ => None,
    }
}

fn on_paper(panel: &Panel, lump: &Lump) -> Rect {
    Rect::between(panel.pt(lump.frame.min), panel.pt(lump.frame.max))
}

/// What each rider takes on paper (pt).
fn rider_boxes(panel: &Panel, scene: &Scene<'_>, lumps: &[Lump]) -> Vec<Option<Rect>> {
    let mut boxes: Vec<Option<Rect>> = vec![None; scene.fixture.riders.len()];
    for lump in lumps {
        let Some(body) = body_of(lump).and_then(|id| scene.body(id)) else { continue };
        if let Owner::Rider(number) = body.owner
            && let Some(all) = boxes.get_mut(number)
        {
            let own = on_paper(panel, lump);
            *all = Some(all.map_or(own, |seen: Rect| seen.union(&own)));
        }
    }
    boxes
}

fn names(
    panel: &mut Panel,
    scene: &Scene<'_>,
    view: &Projector,
    boxes: &[Option<Rect>],
    placer: &mut Placer,
) {
    for (number, rider) in scene.fixture.riders.iter().enumerate() {
        let Some(own) = boxes.get(number).copied().flatten() else { continue };
        let size = size_of(&rider.name, NAME_PT, Weight::SemiBold);
        // On the side on which it stands beside the rail.
        let rail = panel.pt(view.flat(DVec3::X * scene.home(Owner::Rider(number), scene.travel)));
        let to_left = if own.middle().x < rail.x { -1.0 } else { 1.0 };
        let half = 0.5 * size;
        let side = |sign: f64, gap: f64| {
            if sign > 0.0 { own.max.x + half.x + gap } else { own.min.x - half.x - gap }
        };
        let corner = |sign: f64| if sign > 0.0 { own.max.x - half.x } else { own.min.x + half.x };
        let (above, below) = (own.min.y - half.y - 4.0, own.max.y + half.y + 4.0);
        let mut candidates = Vec::new();
        for gap in [6.0, 24.0, 48.0] {
            for sign in [to_left, -to_left] {
                let heights = [own.middle().y, own.min.y + half.y, own.max.y - half.y];
                candidates.extend(heights.map(|y| DVec2::new(side(sign, gap), y)));
                let lift = gap - 6.0;
                candidates.extend([below + lift, above - lift].map(|y| DVec2::new(corner(sign), y)));
            }
        }
        let candidates: Vec<Rect> = candidates.into_iter().map(|middle| Rect::about(middle, size)).collect();
        let Some(rect) = placer.place_freely(&candidates).or_else(|| placer.place(&candidates)) else {
            continue;
        };
        let tone = rider_tones(number).1;
        let near = own.middle().clamp(rect.min, rect.max);
        let far = near.clamp(own.min, own.max);
        if near.distance(far) > 12.0 {
            let line = [near, far].map(|p| panel.world_from_pt(p).unwrap_or_default()).to_vec();
            panel.add(Polyline::new(line, Pen::new(tone, 0.5)));
        }
        let at = place(panel, rect.middle());
        panel.add(Label::new(rider.name.as_str(), at, NAME_PT).bold().toned(tone).on_plate());
    }
}

/// Small boxes along the rail (pt), which words keep clear of.
fn along_the_rail(panel: &Panel, scene: &Scene<'_>, view: &Projector) -> Vec<Rect> {
    const BOXES: u32 = 28;
    let rail = &scene.fixture.rail;
    let section = rail.bounds();
    let half = (0.5 * section.size().length() * panel.scale()).clamp(2.0, 200.0);
    (0..=BOXES)
        .map(|i| {
            let x = rail.length * f64::from(i) / f64::from(BOXES);
            Rect::about(panel.pt(view.flat(DVec3::X * x)), DVec2::splat(1.6 * half))
        })
        .filter(Rect::is_finite)
        .collect()
}

/// Marks what fouls where the riders are, or the two that are nearest each other.
fn nearest(
    panel: &mut Panel,
    scene: &Scene<'_>,
    view: &Projector,
    lumps: &[Lump],
    placer: &mut Placer,
) -> Option<Spot> {
    let passing = &scene.results.interference.passing;
    let touching = |stretches: &[(f64, f64)]| {
        stretches.iter().any(|(from, to)| scene.travel >= *from && scene.travel <= *to)
    };
    let fouling = passing.iter().filter(|pair| !pair.meets_stop && touching(&pair.touching));
    let mut found: Vec<_> = fouling
        .filter_map(|pair| Some((pair.bodies, scene.separation_at(pair.bodies, scene.travel)?)))
        .collect();
    if found.is_empty() {
        let band = &scene.results.interference.band.points;
        let after = band.partition_point(|point| point.travel < scene.travel);
        let beside = [after.checked_sub(1), Some(after)].into_iter().flatten();
        let pairs = beside.filter_map(|i| band.get(i)?.pair);
        let least = pairs
            .filter_map(|pair| Some((pair, scene.separation_at(pair, scene.travel)?)))
            .min_by(|a, b| a.1.gap.total_cmp(&b.1.gap));
        found.extend(least.filter(|(_, separation)| separation.gap < NEAR));
    }
    found.sort_by(|a, b| a.1.gap.total_cmp(&b.1.gap));
    let (pair, worst) = found.first().copied()?;
    let asked = scene.pair_result(pair).map_or(scene.fixture.limits.gap, |result| result.asked);
    let (tone, _, word) = gap_tones(worst.gap, asked);
    // Their outlines show through what stands before them, where they are large enough to be told apart.
    let mut traced: Vec<BodyId> = found.iter().flat_map(|(pair, _)| [pair.0, pair.1]).collect();
    traced.sort_by_key(|id| id.0);
    traced.dedup();
    for id in traced {
        let shows = |lump: &&Lump| lump.frame.size().max_element() * panel.scale() > SHOWS;
        let mut hulls: Vec<Vec<DVec2>> = lumps
            .iter()
            .filter(|lump| body_of(lump) == Some(id))
            .filter(shows)
            .map(|lump| lump.hull.clone())
            .collect();
        // What is made of many, as a wheel of its rings, would drown in its outlines.
        if hulls.len() > MOST_TRACED {
            hulls = vec![hull_points(hulls.concat())];
        }
        for hull in hulls {
            panel.add(Shape::new(Path::polyline(&hull, true)).stroked(Pen::new(tone, 1.3)));
        }
    }
    let mut places: Vec<DVec2> = Vec::new();
    for (_, separation) in &found {
        let at = view.flat(0.5 * (separation.on_a + separation.on_b));
        if places.iter().any(|other| panel.pt(*other).distance(panel.pt(at)) < TOGETHER) {
            continue;
        }
        if touches(separation.gap) {
            // A ring round the spot, ticked at its four corners, so that what is inside stays seen.
            let mut ring = Path::circle(DVec2::ZERO, RING);
            for turn in [0.25, 0.75, 1.25, 1.75] {
                let way = DVec2::from_angle(turn * std::f64::consts::PI);
                ring.append(&Path::line(way * (RING - 3.0), way * (RING + 4.0)));
            }
            panel
                .add(Shape::in_pt(at, ring).stroked(Pen::new(tone, 1.7)))
                .part(Pick::Gap.part())
                .named("fouls here");
        } else {
            panel.add(Mark::new(Glyph::Diamond, at, 7.0, tone)).part(Pick::Gap.part());
        }
        places.push(at);
    }
    let mut text = format!("{word} {}", scene.text(worst.gap.abs(), 2));
    if places.len() > 1 {
        text.push_str(&format!(", {} places", places.len()));
    }
    let size = size_of(&text, GAP_PT, Weight::SemiBold);
    let spot = places.first().map(|at| Spot { pair, at: *at, tone, words: None })?;
    let tip = panel.pt(spot.at);
    placer.block(Rect::about(tip, DVec2::splat(2.0 * RING)));
    let candidates: Vec<Rect> = [46.0, 70.0, 100.0, 140.0, 190.0, 250.0]
        .into_iter()
        .flat_map(|far| {
            [150.0, 30.0, 170.0, 10.0, 120.0, 60.0, -150.0, -30.0, 90.0, -90.0].map(|turn: f64| {
                let away = DVec2::from_angle(turn.to_radians());
                Rect::about(tip + DVec2::new(away.x * (far + 0.5 * size.x), -away.y * far), size)
            })
        })
        .collect();
    let Some(rect) = placer.place_freely(&candidates).or_else(|| placer.place(&candidates)) else {
        return Some(spot);
    };
    let end = tip.clamp(rect.min, rect.max);
    let from = tip + (end - tip).normalize_or_zero() * RING;
    let line = [end, from].map(|p| panel.world_from_pt(p).unwrap_or_default()).to_vec();
    panel.add(Polyline::new(line, Pen::new(tone, 0.8))).part(Pick::Gap.part());
    let label = Label::new(text.clone(), place(panel, rect.middle()), GAP_PT).bold().toned(tone).on_plate();
    panel.add(label).part(Pick::Gap.part()).named(text);
    Some(Spot { words: Some(rect), ..spot })
}

/// Which way is down, in the corner.
fn down(panel: &mut Panel, scene: &Scene<'_>, view: &Projector, placer: &mut Placer) {
    let corner = DVec2::new(panel.frame.min.x + 16.0, panel.frame.max.y - 24.0);
    down_at(panel, scene, view, corner, placer);
}

fn down_at(panel: &mut Panel, scene: &Scene<'_>, view: &Projector, corner: DVec2, placer: &mut Placer) {
    let gravity = view.flat(scene.fixture.rail.stand.down());
    let length = gravity.length();
    placer.block(Rect::about(corner, DVec2::new(28.0, 30.0)));
    if length > 0.05 {
        let run = DVec2::new(gravity.x, -gravity.y) * 20.0;
        let at = place(panel, corner - 0.5 * run);
        let line = vec![at.shift_pt, at.shift_pt + run];
        let line = Polyline::in_pt(at.world, line, Pen::new(Tone::FaintInk, 1.0));
        panel.add(line.ends(End::Plain, End::Arrow)).named("direction of gravity");
    }
    let at = place(panel, corner + DVec2::new(9.0, 0.0));
    panel.add(Label::new("g", at, NOTE_PT).toned(Tone::FaintInk));
}

/// How a direction of the rail frame runs on paper (pt), y down.
pub(super) fn run_pt(panel: &Panel, view: &Projector, direction: DVec3) -> DVec2 {
    panel.pt_from_world.transform_vector2(view.flat(direction))
}
