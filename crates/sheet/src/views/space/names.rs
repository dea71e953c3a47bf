//! Riders, loads and what stands about, each named beside the picture with a line to it.

use glam::DVec2;
use glidewright_motion::{BodyId, Owner, Role};

use super::lump::Lump;
use super::notes::body_of;
use crate::drawing::{End, Label, Panel, Polyline, Rect};
use crate::look::{Pen, Tone, Weight};
use crate::page::Placer;
use crate::views::scene::{Scene, rider_tones};
use crate::views::words::{place, shortened, size_of};

const NAME_PT: f64 = 9.5;
const NOTE_PT: f64 = 8.5;
/// Most things named: what is left has its place in the tables.
const MOST: usize = 16;
/// Longest name (pt).
const LONGEST: f64 = 150.0;
/// Shares of the way from a lump's middle to its corners at which it is looked for where it is seen.
const LOOKS: [f64; 4] = [0.0, 0.45, 0.7, 0.9];

/// Something to name.
struct Named {
    words: String,
    tone: Tone,
    weight: Weight,
    /// Where its line points (pt).
    at: DVec2,
}

/// A point of a body that nothing is painted over, on paper (mm).
fn seen(lumps: &[Lump], order: &[usize], own: impl Fn(&Lump) -> bool) -> Option<DVec2> {
    let mut best: Option<(f64, DVec2)> = None;
    for (place, lump) in
        order.iter().enumerate().filter_map(|(place, number)| Some((place, lumps.get(*number)?)))
    {
        let size = lump.frame.size();
        if !own(lump) || best.is_some_and(|(area, _)| area >= size.x * size.y) {
            continue;
        }
        let middle = lump.hull.iter().sum::<DVec2>() / lump.hull.len().max(1) as f64;
        let mut points =
            LOOKS.iter().flat_map(|share| lump.hull.iter().map(|corner| middle.lerp(*corner, *share)));
        let later = || order.iter().skip(place + 1).filter_map(|number| lumps.get(*number));
        if let Some(found) = points.find(|p| !later().any(|other| super::inside(&other.hull, *p))) {
            best = Some((size.x * size.y, found));
        }
    }
    best.map(|(_, found)| found)
}

/// What is there to be named, the riders first, then the largest.
fn all(panel: &Panel, scene: &Scene<'_>, lumps: &[Lump], order: &[usize]) -> Vec<Named> {
    let mut found = Vec::new();
    let body = |lump: &Lump| body_of(lump).and_then(|id| Some((id, scene.body(id)?)));
    for (number, rider) in scene.fixture.riders.iter().enumerate() {
        let own = |lump: &Lump| {
            body(lump).is_some_and(|(_, body)| body.owner == Owner::Rider(number) && body.role != Role::Load)
        };
        if let Some(at) = seen(lumps, order, own) {
            let (tone, weight) = (rider_tones(number).1, Weight::SemiBold);
            found.push(Named { words: rider.name.clone(), tone, weight, at: panel.pt(at) });
        }
    }
    let mut rest: Vec<(f64, BodyId)> = Vec::new();
    for (id, body) in scene.bodies() {
        if matches!(body.role, Role::Load | Role::Obstacle | Role::Stop) {
            let own = lumps.iter().filter(|lump| body_of(lump) == Some(id)).map(|lump| lump.frame);
            if let Some(frame) = own.reduce(|a, b| a.union(&b)) {
                rest.push((frame.size().x * frame.size().y, id));
            }
        }
    }
    rest.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.0.cmp(&b.1.0)));
    for (_, id) in rest {
        if found.len() >= MOST {
            break;
        }
        let Some(body) = scene.body(id) else { continue };
        let Some(at) = seen(lumps, order, |lump| body_of(lump) == Some(id)) else { continue };
        // Whose load it is, its colour tells.
        let words = body.own_label().to_owned();
        let tone = match body.owner {
            Owner::Rider(number) => rider_tones(number).1,
            Owner::Ground => Tone::Ink,
        };
        found.push(Named { words, tone, weight: Weight::Regular, at: panel.pt(at) });
    }
    found
}

/// Writes the names where they cover nothing; `content` is what is painted, `words` what is written already (pt).
pub(super) fn add(
    panel: &mut Panel,
    scene: &Scene<'_>,
    (lumps, order): (&[Lump], &[usize]),
    content: &Rect,
    words: &[Rect],
    placer: &mut Placer,
) {
    let all = all(panel, scene, lumps, order);
    let mut written: Vec<Rect> = words.to_vec();
    // Names stand clear of the places other lines point to.
    for named in &all {
        placer.block(Rect::about(named.at, DVec2::splat(5.0)));
    }
    for named in all {
        let size_pt = if named.weight == Weight::SemiBold { NAME_PT } else { NOTE_PT };
        let words = shortened(&named.words, size_pt, named.weight, LONGEST);
        let size = size_of(&words, size_pt, named.weight);
        let half = 0.5 * size;
        // Beside the whole at its own height, nearest side first; else round about, farther and farther.
        let left = named.at.x - content.min.x < content.max.x - named.at.x;
        let sides = if left { [-1.0, 1.0] } else { [1.0, -1.0] };
        let mut places = Vec::new();
        for far in [12.0, 24.0, 40.0, 60.0, 85.0, 115.0, 150.0, 190.0, 240.0] {
            for side in sides {
                for lift in [0.0, -0.5, 0.5, -1.0, 1.0] {
                    let way = DVec2::new(side, lift).normalize_or_zero() * far;
                    places.push(Rect::about(named.at + way + DVec2::new(side * half.x, 0.0), size));
                }
            }
            for lift in [-1.0, 1.0] {
                places.push(Rect::about(named.at + DVec2::new(0.0, lift * (far + half.y)), size));
            }
        }
        // Rather a line that crosses no other name.
        let crosses = |rect: &Rect| {
            let near = named.at.clamp(rect.min, rect.max);
            written.iter().any(|other| super::crosses(near, named.at, other))
        };
        let (bad, good): (Vec<Rect>, Vec<Rect>) = places.into_iter().partition(crosses);
        let Some(rect) = placer.place_freely(&good).or_else(|| placer.place_freely(&bad)) else { continue };
        written.push(rect);
        let near = named.at.clamp(rect.min, rect.max);
        let line = [near, named.at].map(|p| panel.world_from_pt(p).unwrap_or_default()).to_vec();
        panel.add(Polyline::new(line, Pen::new(named.tone, 0.6)).ends(End::Plain, End::Dot));
        let at = place(panel, rect.middle());
        let label = Label { weight: named.weight, ..Label::new(words, at, size_pt) };
        panel.add(label.toned(named.tone).on_plate()).named("name");
    }
}
