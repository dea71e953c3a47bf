//! The plate's face with its dimensions, and beside it the plate edge-on, as it lies on the print bed.

use glam::DVec2;
use glidewright_geometry::Edge;
use glidewright_motion::{BodyId, Owner, Role};

use super::Shown;
use super::holes::{Hole, Size};
use crate::drawing::{
    CentreCross, Dimension, DimensionKind, End, Item, Label, Panel, Path, Polyline, Rect, Shape,
};
use crate::look::{Dash, Fill, Hatch, Pen, ReaderUnits, Tone, Weight};
use crate::page::Placer;
use crate::views::Pick;
use crate::views::scene::{Scene, rider_tones};
use crate::views::words::{place, size_of};

/// Room for dimensions: left, above, right, below (pt).
const ROOM: [f64; 4] = [30.0, 34.0, 42.0, 34.0];
/// What the edge-on view takes besides the thickness (pt).
const EDGE_ON: f64 = 62.0;
/// From the plate to its dimensions (pt), and the length of the datum's arrows.
const ROW: f64 = 20.0;
const DATUM: f64 = 24.0;
/// Sizes nearer each other than this (mm) are one.
const SAME: f64 = 5e-3;
const NOTE_PT: f64 = 8.0;
const LETTER_PT: f64 = 9.0;

/// The number of a size with no more decimals than it needs, two at most.
pub(super) fn plain(unit: ReaderUnits, mm: f64) -> String {
    let text = unit.bare(mm, 2);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// The face on paper's directions (mm).
pub(super) fn face_of(shown: &Shown<'_>) -> Rect {
    let bounds = shown.plate.outline.bounds();
    let flat = |p: DVec2| shown.to_paper.transform_point2(p);
    Rect::between(flat(bounds.low), flat(bounds.high))
}

/// The width the plate takes with its dimensions where it fills a height (pt).
pub(super) fn width_at(shown: &Shown<'_>, height: f64) -> f64 {
    let face = face_of(shown).size();
    let scale = (height - ROOM[1] - ROOM[3]).max(0.0) / face.y.max(1e-6);
    scale * (face.x + shown.plate.thickness.nominal) + ROOM[0] + ROOM[2] + EDGE_ON
}

pub(super) fn panel(scene: &Scene<'_>, shown: &Shown<'_>, holes: &[Hole], frame: Rect) -> Panel {
    let face = face_of(shown);
    let thick = shown.plate.thickness.nominal;
    let room = frame.size() - DVec2::new(ROOM[0] + ROOM[2] + EDGE_ON, ROOM[1] + ROOM[3]);
    let scale = (room / (face.size() + DVec2::new(thick, 0.0))).min_element();
    let scale = if scale.is_finite() && scale > 0.0 { scale } else { 1.0 };
    let used = DVec2::new(scale * (face.size().x + thick) + EDGE_ON, scale * face.size().y);
    let spare = (room + DVec2::new(EDGE_ON, 0.0) - used).max(DVec2::ZERO);
    let corner = frame.min + DVec2::new(ROOM[0], ROOM[1]) + 0.5 * spare;
    let middle = corner + 0.5 * scale * face.size();
    let mut panel = Panel::centred(super::PANEL, frame, face.middle(), scale);
    panel.pt_from_world.translation += middle - frame.middle();
    let body = body_of(scene, shown);
    front(&mut panel, shown, body);
    outline_sizes(&mut panel, shown, &face);
    let mut placer = Placer::new(frame.grown(-1.0));
    radii_room(&panel, shown).into_iter().for_each(|rect| placer.block(rect));
    letters(&mut panel, shown, &face, holes, &mut placer);
    features(&mut panel, shown, &mut placer);
    edge_on(&mut panel, shown, body, &face, scale);
    panel
}

fn body_of(scene: &Scene<'_>, shown: &Shown<'_>) -> Option<BodyId> {
    let is_it = |body: &glidewright_motion::Body| {
        body.role == Role::Plate && body.owner == Owner::Rider(shown.owner) && body.path == shown.plate.path
    };
    scene.bodies().find(|(_, body)| is_it(body)).map(|(id, _)| id)
}

fn tagged(item: &mut Item, shown: &Shown<'_>, body: Option<BodyId>) {
    item.part = body.map(|id| Pick::Body(id).part());
    item.named(shown.plate.name.as_str());
}

fn front(panel: &mut Panel, shown: &Shown<'_>, body: Option<BodyId>) {
    let path =
        Path::outline_with_holes(&shown.plate.outline, &shown.plate.holes).transformed(&shown.to_paper);
    let fill = Fill::faded(rider_tones(shown.owner).0, 0.55);
    let item = panel.add(Shape::new(path).filled(fill).stroked(Pen::new(Tone::Outline, 1.3)));
    tagged(item, shown, body);
}

/// What is raised on the plate and cut into it: lines, dashed where the plate hides them; the face seen is the outer one.
fn features(panel: &mut Panel, shown: &Shown<'_>, placer: &mut Placer) {
    let thickness = shown.plate.thickness.nominal;
    for slab in &shown.plate.features {
        let (kind, is_seen) = if slab.is_cut {
            ("deep", slab.to >= thickness - SAME)
        } else {
            ("high", slab.from >= thickness - SAME)
        };
        let pen = if is_seen {
            Pen::new(Tone::Outline, 0.9)
        } else {
            Pen::new(Tone::FaintInk, 0.7).dashed(Dash::Dashed)
        };
        let path =
            Path::outline_with_holes(&slab.region.outer, &slab.region.holes).transformed(&shown.to_paper);
        panel.add(Shape::new(path).stroked(pen)).named(slab.name.as_str());
        // A round one has its letter.
        if shown.blind_hole(slab).is_some() {
            continue;
        }
        let depth = plain(shown.unit, slab.to - slab.from);
        let middle = shown.to_paper.transform_point2(slab.region.bounds().centre());
        let text = format!("{} {depth} {kind}", slab.name);
        let size = size_of(&text, NOTE_PT, Weight::Regular);
        let middle = panel.pt(middle);
        let places: Vec<Rect> = [0.0, 1.0, -1.0, 2.0, -2.0, 3.0, -3.0]
            .map(|row| Rect::about(middle + DVec2::new(0.0, row * 1.1 * size.y), size))
            .to_vec();
        let Some(rect) = placer.place_apart(&places) else { continue };
        let at = place(panel, rect.middle());
        panel.add(Label::new(text, at, NOTE_PT).toned(Tone::FaintInk).on_plate());
    }
}

/// Centre lines and letters of the holes, the thinnest wall, and the datum from which their places count.
fn letters(panel: &mut Panel, shown: &Shown<'_>, face: &Rect, holes: &[Hole], placer: &mut Placer) {
    let on_paper = |panel: &Panel, hole: &Hole| {
        let reach = hole.reach() * panel.scale();
        Rect::about(panel.pt(hole.middle), DVec2::splat(2.0 * reach))
    };
    for hole in holes {
        if let Size::Round(radius) = hole.size {
            panel.add(CentreCross { centre: hole.middle, radius });
        }
        if let Size::Round(_) = hole.size {
            placer.block(on_paper(panel, hole).grown(1.0));
        }
    }
    thinnest_wall(panel, shown, placer);
    for hole in holes {
        let own = on_paper(panel, hole);
        let size = size_of(&hole.letter, LETTER_PT, Weight::SemiBold);
        let reach = 0.5 * (own.size() + size) + 1.5;
        let aside = [
            (0.75, -0.75),
            (0.75, 0.75),
            (-0.75, -0.75),
            (-0.75, 0.75),
            (1.0, 0.0),
            (-1.0, 0.0),
            (0.0, 1.0),
            (0.0, -1.0),
        ];
        let near = aside.iter().map(|(x, y)| own.middle() + DVec2::new(*x, *y) * reach);
        let far = aside.iter().map(|(x, y)| own.middle() + DVec2::new(*x, *y) * (reach + 9.0));
        // A cut-out that is large enough holds its letter.
        let inside =
            (matches!(hole.size, Size::Other(_)) && own.size().cmpgt(1.8 * size).all()).then(|| own.middle());
        let places: Vec<Rect> =
            inside.into_iter().chain(near).chain(far).map(|middle| Rect::about(middle, size)).collect();
        let Some(rect) = placer.place_apart(&places) else { continue };
        let at = place(panel, rect.middle());
        panel.add(Label::new(hole.letter.as_str(), at, LETTER_PT).bold().on_plate()).named("hole");
    }
    if !holes.is_empty() {
        datum(panel, face.min);
    }
}

/// The thinnest wall: a dimension where its words have room between the arrows, else a note with a line to it.
fn thinnest_wall(panel: &mut Panel, shown: &Shown<'_>, placer: &mut Placer) {
    let Some((from, to, wall)) = shown.thinnest_wall().filter(|(.., wall)| *wall > 0.0) else { return };
    let text = format!("wall {}", plain(shown.unit, wall));
    let ends = [panel.pt(from), panel.pt(to)];
    let size = size_of(&text, NOTE_PT, Weight::Regular);
    let along = (ends[1] - ends[0]).normalize_or_zero().abs();
    if ends[0].distance(ends[1]) > size.x + 6.0 {
        let thick = 2.0 * size.y;
        let room = along * ends[0].distance(ends[1]) + DVec2::new(along.y, along.x) * thick;
        placer.block(Rect::about(0.5 * (ends[0] + ends[1]), room));
        let kind = DimensionKind::Aligned { from, to, offset_pt: 0.0 };
        panel.add(Dimension::new(kind, text)).named("the thinnest wall");
        return;
    }
    let pen = Pen::new(Tone::Dimension, 0.9);
    panel.add(Polyline::new(vec![from, to], pen).ends(End::Bar, End::Bar)).named("the thinnest wall");
    let (middle, tip) = (0.5 * (ends[0] + ends[1]), 0.5 * (from + to));
    placer.block(Rect::about(middle, DVec2::splat(6.0)));
    let elbows = [16.0, 26.0, 38.0, 54.0].into_iter().flat_map(|far: f64| {
        [35.0, 145.0, -35.0, -145.0, 75.0, 105.0, -75.0, -105.0]
            .map(|turn: f64| DVec2::new(turn.to_radians().cos(), -turn.to_radians().sin()) * far)
    });
    // The words stand above a shelf that runs on from the elbow.
    let words = |elbow: DVec2| {
        let side = if elbow.x < 0.0 { -1.0 } else { 1.0 };
        Rect::about(middle + elbow + DVec2::new(side * (0.5 * size.x + 2.0), -0.5 * size.y), size)
    };
    let elbows: Vec<DVec2> = elbows.collect();
    let places: Vec<Rect> = elbows.iter().map(|elbow| words(*elbow)).collect();
    let Some(rect) = placer.place_freely(&places) else { return };
    let Some(elbow_pt) = elbows.into_iter().find(|elbow| words(*elbow) == rect) else { return };
    panel.add(Dimension::new(DimensionKind::Leader { tip, elbow_pt, dot: true }, text));
}

/// Where x and y count from, with their ways.
fn datum(panel: &mut Panel, at: DVec2) {
    let pen = Pen::new(Tone::Cursor, 1.2);
    for (way, letter, beside) in
        [(DVec2::X, "x", DVec2::new(0.0, 7.0)), (DVec2::NEG_Y, "y", DVec2::new(-7.0, 0.0))]
    {
        let line = vec![way * 3.0, way * DATUM];
        panel.add(Polyline::in_pt(at, line, pen).ends(End::Plain, End::Arrow)).named("datum");
        let mut label = Label::new(letter, at, NOTE_PT).toned(Tone::Cursor);
        label.at = label.at.shifted((way * (DATUM - 4.0) + beside).x, (way * (DATUM - 4.0) + beside).y);
        panel.add(label);
    }
    let ring = Path::circle(DVec2::ZERO, 3.0);
    panel.add(Shape::in_pt(at, ring).filled(Tone::Paper).stroked(pen)).named("datum");
}

/// The sizes of the whole, and its corners.
fn outline_sizes(panel: &mut Panel, shown: &Shown<'_>, face: &Rect) {
    let kind =
        DimensionKind::Horizontal { from: face.min, to: DVec2::new(face.max.x, face.min.y), offset_pt: ROW };
    panel.add(Dimension::new(kind, plain(shown.unit, face.size().x)));
    let kind =
        DimensionKind::Vertical { from: DVec2::new(face.max.x, face.min.y), to: face.max, offset_pt: ROW };
    panel.add(Dimension::new(kind, plain(shown.unit, face.size().y)));
    radii(panel, shown);
}

/// The radii of rounded corners, each size once with how many there are: its arc's centre, and the way to the arc's middle
/// on paper, of the one at the upper left, clear of the dimensions.
fn corners(shown: &Shown<'_>) -> Vec<(f64, usize, DVec2, f64)> {
    let mut sizes: Vec<(f64, Vec<(DVec2, f64)>)> = Vec::new();
    let middle = shown.to_paper.transform_point2(shown.plate.outline.bounds().centre()).y;
    for edge in &shown.plate.outline.edges {
        let Edge::Arc { centre, radius, start, sweep } = *edge else { continue };
        if !(sweep > 0.2 && sweep < 2.5) {
            continue;
        }
        let towards = |share: f64| shown.to_paper.transform_vector2(DVec2::from_angle(start + share * sweep));
        // On the right the plate's height stands at half of it: a leader there goes away from that.
        let to = match towards(0.5) {
            right if right.x > 0.8 * right.length() => [0.15, 0.85].map(towards),
            other => [other; 2],
        };
        let up = shown.to_paper.transform_point2(centre).y > middle;
        let to = if (to[0].y > to[1].y) == up { to[0] } else { to[1] };
        let at = (shown.to_paper.transform_point2(centre), to.to_angle());
        match sizes.iter_mut().find(|(size, _)| (size - radius).abs() < SAME) {
            Some((_, all)) => all.push(at),
            None => sizes.push((radius, vec![at])),
        }
    }
    let at_upper_left = |all: &Vec<(DVec2, f64)>| {
        all.iter().min_by(|a, b| (a.0.x - a.0.y).total_cmp(&(b.0.x - b.0.y))).copied()
    };
    let told = sizes.iter().take(3).filter_map(|(radius, all)| {
        let (centre, angle) = at_upper_left(all)?;
        Some((*radius, all.len(), centre, angle))
    });
    told.collect()
}

fn radius_words(shown: &Shown<'_>, radius: f64, count: usize) -> String {
    let count = if count > 1 { format!("{count} × ") } else { String::new() };
    format!("{count}R{}", plain(shown.unit, radius))
}

fn radii(panel: &mut Panel, shown: &Shown<'_>) {
    for (radius, count, centre, angle) in corners(shown) {
        let kind = DimensionKind::Radius { centre, radius, angle };
        panel.add(Dimension::new(kind, radius_words(shown, radius, count)));
    }
}

/// Where the words of the radii are (pt): from the arc inwards or, where they have no room, outwards.
fn radii_room(panel: &Panel, shown: &Shown<'_>) -> Vec<Rect> {
    let room = |(radius, count, centre, angle): (f64, usize, DVec2, f64)| {
        let size = size_of(&radius_words(shown, radius, count), NOTE_PT, Weight::Regular);
        let tip = panel.pt(centre + radius * DVec2::from_angle(angle));
        Rect::between(panel.pt(centre), tip).union(&Rect::about(tip, DVec2::splat(8.0))).grown(0.6 * size.y)
    };
    corners(shown).into_iter().map(room).collect()
}

/// The plate from its edge, with the print bed under one face.
fn edge_on(panel: &mut Panel, shown: &Shown<'_>, body: Option<BodyId>, face: &Rect, scale: f64) {
    let thick = shown.plate.thickness.nominal;
    // Past the dimensions of the height.
    let left = face.max.x + (ROW + 26.0) / scale;
    let slab = Rect::between(DVec2::new(left, face.min.y), DVec2::new(left + thick, face.max.y));
    // The bed lies against the outer face, to the right.
    let bed =
        Rect::between(DVec2::new(slab.max.x, slab.min.y), DVec2::new(slab.max.x + 7.0 / scale, slab.max.y));
    let hatch = Hatch { width_pt: 0.4, ..Hatch::section(Tone::Axis).spaced(4.0) };
    panel.add(Shape::new(Path::rect(bed)).hatched(hatch)).named("print bed");
    let line =
        vec![DVec2::new(bed.min.x, bed.min.y - 6.0 / scale), DVec2::new(bed.min.x, bed.max.y + 6.0 / scale)];
    panel.add(Polyline::new(line, Pen::new(Tone::Outline, 1.0)));
    let fill = Fill::faded(rider_tones(shown.owner).0, 0.55);
    let item = panel.add(Shape::new(Path::rect(slab)).filled(fill).stroked(Pen::new(Tone::Outline, 1.3)));
    tagged(item, shown, body);
    let hidden = Pen::new(Tone::FaintInk, 0.5).dashed(Dash::Dashed);
    // The inner face lies to the left.
    for slab in &shown.plate.features {
        let bounds = slab.region.bounds();
        let rows = [bounds.low, bounds.high].map(|p| shown.to_paper.transform_point2(p).y);
        let bar = Rect::between(DVec2::new(left + slab.from, rows[0]), DVec2::new(left + slab.to, rows[1]));
        let shape = Shape::new(Path::rect(bar));
        let item = if slab.is_cut {
            panel.add(shape.stroked(hidden))
        } else {
            panel.add(shape.filled(fill).stroked(Pen::new(Tone::Outline, 0.9)))
        };
        item.named(slab.name.as_str());
    }
    let mut rows: Vec<f64> = Vec::new();
    for (centre, radius) in shown.round_holes() {
        if rows.iter().any(|y| (y - centre.y).abs() < SAME) {
            continue;
        }
        rows.push(centre.y);
        for y in [centre.y - radius, centre.y + radius] {
            panel.add(Polyline::new(vec![DVec2::new(slab.min.x, y), DVec2::new(slab.max.x, y)], hidden));
        }
        let past = 4.0 / scale;
        let axis = vec![DVec2::new(slab.min.x - past, centre.y), DVec2::new(slab.max.x + past, centre.y)];
        panel.add(Polyline::new(axis, Pen::narrow(Tone::Outline).dashed(Dash::Centre)));
    }
    let half = shown.plate.thickness.half_width();
    let spread = if half > 0.0 { format!(" ±{}", plain(shown.unit, half)) } else { String::new() };
    let top = [slab.min.x, slab.max.x].map(|x| DVec2::new(x, slab.max.y));
    let kind = DimensionKind::Horizontal { from: top[0], to: top[1], offset_pt: -14.0 };
    panel.add(Dimension::new(kind, format!("{}{spread}", plain(shown.unit, thick))));
    let at = panel.pt(bed.middle()) + DVec2::new(13.0, 0.0);
    let at = place(panel, at);
    let label = Label::new("print bed: either face", at, NOTE_PT).toned(Tone::FaintInk);
    panel.add(label.turned(std::f64::consts::FRAC_PI_2)).named("either face may lie on the print bed");
}
