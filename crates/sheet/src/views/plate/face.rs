//! The plate's face with its dimensions, and beside it the plate edge-on, as it lies on the print bed.

use glam::DVec2;
use glidewright_geometry::Edge;
use glidewright_motion::{BodyId, Owner, Role};

use super::Shown;
use crate::drawing::{
    CentreCross, Dimension, DimensionKind, Item, Label, Panel, Path, Polyline, Rect, Shape,
};
use crate::look::{Dash, Fill, Hatch, LengthUnit, Pen, Tone};
use crate::views::Pick;
use crate::views::scene::{Scene, rider_tones};
use crate::views::words::place;

/// Room for dimensions: left, above, right, below (pt).
const ROOM: [f64; 4] = [30.0, 34.0, 58.0, 52.0];
/// What the edge-on view takes besides the thickness (pt).
const EDGE_ON: f64 = 62.0;
/// Between two rows of dimensions, and from the plate to the first (pt).
const ROWS: [f64; 2] = [16.0, 36.0];
/// Shortest length that is dimensioned in a chain (pt).
const SHORTEST: f64 = 17.0;
/// Most lengths in a chain.
const MOST: usize = 7;
/// Sizes nearer each other than this (mm) are one.
const SAME: f64 = 5e-3;
const NOTE_PT: f64 = 8.0;

/// The number of a size with no more decimals than it needs, two at most.
pub(super) fn plain(unit: LengthUnit, mm: f64) -> String {
    let text = unit.bare(mm, 2);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// The face on paper's directions (mm).
fn face_of(shown: &Shown<'_>) -> Rect {
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

pub(super) fn panel(scene: &Scene<'_>, shown: &Shown<'_>, frame: Rect) -> Panel {
    let face = face_of(shown);
    let thick = shown.plate.thickness.nominal;
    let room = frame.size() - DVec2::new(ROOM[0] + ROOM[2] + EDGE_ON, ROOM[1] + ROOM[3]);
    let scale = (room / (face.size() + DVec2::new(thick, 0.0))).min_element();
    let scale = if scale.is_finite() && scale > 0.0 { scale } else { 1.0 };
    let used = DVec2::new(scale * (face.size().x + thick) + EDGE_ON, scale * face.size().y);
    let spare = (room + DVec2::new(EDGE_ON, 0.0) - used).max(DVec2::ZERO);
    let corner = frame.min + DVec2::new(ROOM[0], ROOM[1]) + 0.5 * spare;
    let middle = corner + 0.5 * scale * face.size();
    let mut panel = Panel::centred("plate", frame, face.middle(), scale);
    panel.pt_from_world.translation += middle - frame.middle();
    let body = body_of(scene, shown);
    front(&mut panel, shown, body);
    features(&mut panel, shown);
    holes(&mut panel, shown);
    outline_sizes(&mut panel, shown, &face);
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
fn features(panel: &mut Panel, shown: &Shown<'_>) {
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
        let depth = plain(shown.unit, slab.to - slab.from);
        if let Some((centre, radius)) = shown.blind_hole(slab) {
            panel.add(CentreCross { centre, radius });
            let text = format!("{} Ø{}, {depth} {kind}", slab.name, plain(shown.unit, 2.0 * radius));
            hole_size(panel, (centre, radius), 0, text);
            continue;
        }
        let middle = shown.to_paper.transform_point2(slab.region.bounds().centre());
        let at = place(panel, panel.pt(middle));
        let text = format!("{} {depth} {kind}", slab.name);
        panel.add(Label::new(text, at, NOTE_PT).toned(Tone::FaintInk));
    }
}

fn holes(panel: &mut Panel, shown: &Shown<'_>) {
    let holes = shown.round_holes();
    for (centre, radius) in &holes {
        panel.add(CentreCross { centre: *centre, radius: *radius });
    }
    // One size once, with how many there are.
    let mut sizes: Vec<(f64, Vec<DVec2>)> = Vec::new();
    for (centre, radius) in &holes {
        match sizes.iter_mut().find(|(size, _)| (size - radius).abs() < SAME) {
            Some((_, centres)) => centres.push(*centre),
            None => sizes.push((*radius, vec![*centre])),
        }
    }
    for (number, (radius, centres)) in sizes.iter().enumerate() {
        // At the upper right one, away from the middle.
        let Some(centre) = centres.iter().max_by(|a, b| (a.x + 1.01 * a.y).total_cmp(&(b.x + 1.01 * b.y)))
        else {
            continue;
        };
        let count = if centres.len() > 1 { format!("{} × ", centres.len()) } else { String::new() };
        let text = format!("{count}Ø{}", plain(shown.unit, 2.0 * radius));
        hole_size(panel, (*centre, *radius), number, text);
    }
    if let Some((from, to, wall)) = shown.thinnest_wall()
        && wall > 0.0
    {
        let kind = DimensionKind::Aligned { from, to, offset_pt: 0.0 };
        panel
            .add(Dimension::new(kind, format!("wall {}", plain(shown.unit, wall))))
            .named("the thinnest wall");
    }
}

/// Names a round hole at its upper left, the farther off the more have been named there.
fn hole_size(panel: &mut Panel, (centre, radius): (DVec2, f64), number: usize, text: String) {
    let tip = centre + DVec2::from_angle(2.2) * radius;
    let elbow_pt = DVec2::new(-12.0 - 4.0 * number as f64, -14.0 - 12.0 * number as f64);
    panel.add(Dimension::new(DimensionKind::Leader { tip, elbow_pt, dot: false }, text));
}

/// Distinct values in rising order.
fn distinct(mut values: Vec<f64>) -> Vec<f64> {
    values.retain(|v| v.is_finite());
    values.sort_by(f64::total_cmp);
    values.dedup_by(|a, b| (*a - *b).abs() < SAME);
    values
}

fn outline_sizes(panel: &mut Panel, shown: &Shown<'_>, face: &Rect) {
    let mut holes = shown.round_holes();
    holes.extend(shown.plate.features.iter().filter_map(|slab| shown.blind_hole(slab)));
    let scale = panel.scale();
    let chain = |low: f64, high: f64, at: &dyn Fn(DVec2) -> f64| -> Vec<f64> {
        let stops = distinct(holes.iter().map(|(c, _)| at(*c)).chain([low, high]).collect());
        let readable = stops.windows(2).all(|pair| (pair[1] - pair[0]) * scale >= SHORTEST);
        if stops.len() > 2 && stops.len() <= MOST && readable { stops } else { Vec::new() }
    };
    let along = chain(face.min.x, face.max.x, &|p| p.x);
    let up = chain(face.min.y, face.max.y, &|p| p.y);
    for pair in along.windows(2) {
        let [from, to] = [pair[0], pair[1]].map(|x| DVec2::new(x, face.min.y));
        let kind = DimensionKind::Horizontal { from, to, offset_pt: ROWS[0] };
        panel.add(Dimension::new(kind, plain(shown.unit, to.x - from.x)));
    }
    for pair in up.windows(2) {
        let [from, to] = [pair[0], pair[1]].map(|y| DVec2::new(face.max.x, y));
        let kind = DimensionKind::Vertical { from, to, offset_pt: ROWS[0] };
        panel.add(Dimension::new(kind, plain(shown.unit, to.y - from.y)));
    }
    // The whole beyond its parts.
    let row = |chained: bool| if chained { ROWS[1] } else { ROWS[0] };
    let kind = DimensionKind::Horizontal {
        from: face.min,
        to: DVec2::new(face.max.x, face.min.y),
        offset_pt: row(!along.is_empty()),
    };
    panel.add(Dimension::new(kind, plain(shown.unit, face.size().x)));
    let kind = DimensionKind::Vertical {
        from: DVec2::new(face.max.x, face.min.y),
        to: face.max,
        offset_pt: row(!up.is_empty()),
    };
    panel.add(Dimension::new(kind, plain(shown.unit, face.size().y)));
    radii(panel, shown);
}

/// Radii of rounded corners, each size once.
fn radii(panel: &mut Panel, shown: &Shown<'_>) {
    let mut sizes: Vec<(f64, Vec<(DVec2, f64)>)> = Vec::new();
    for edge in &shown.plate.outline.edges {
        let Edge::Arc { centre, radius, start, sweep } = *edge else { continue };
        if !(sweep > 0.2 && sweep < 2.5) {
            continue;
        }
        let to = shown.to_paper.transform_vector2(DVec2::from_angle(start + 0.5 * sweep));
        let at = (shown.to_paper.transform_point2(centre), to.to_angle());
        match sizes.iter_mut().find(|(size, _)| (size - radius).abs() < SAME) {
            Some((_, all)) => all.push(at),
            None => sizes.push((radius, vec![at])),
        }
    }
    for (radius, all) in sizes.iter().take(3) {
        // At the upper left corner, clear of the other dimensions.
        let Some((centre, angle)) = all.iter().min_by(|a, b| (a.0.x - a.0.y).total_cmp(&(b.0.x - b.0.y)))
        else {
            continue;
        };
        let count = if all.len() > 1 { format!("{} × ", all.len()) } else { String::new() };
        let kind = DimensionKind::Radius { centre: *centre, radius: *radius, angle: *angle };
        panel.add(Dimension::new(kind, format!("{count}R{}", plain(shown.unit, *radius))));
    }
}

/// The plate from its edge, with the print bed under one face.
fn edge_on(panel: &mut Panel, shown: &Shown<'_>, body: Option<BodyId>, face: &Rect, scale: f64) {
    let thick = shown.plate.thickness.nominal;
    // Past the dimensions of the height.
    let left = face.max.x + (ROWS[1] + 26.0) / scale;
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
