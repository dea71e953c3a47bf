//! The gap enlarged: both bodies cut, what they share, the gap's size, what is required, the tolerances.

use glam::{DVec2, Vec2Swizzles};

use super::cut::{common, outline};
use super::near::{Near, Side};
use crate::drawing::{Dimension, DimensionKind, End, Label, Panel, Path, Polyline, Rect, Shape};
use crate::look::{Dash, Fill, Hatch, Pen, Tone, Weight};
use crate::page::Placer;
use crate::units::PT_PER_MM;
use crate::views::Pick;
use crate::views::scene::{Scene, body_tone, rider_tones};
use crate::views::words::{place, shortened, size_of};

/// Scales of the lens, the one that is tried first in front.
const SCALES: [f64; 8] = [10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.01];
/// Of the lens the gap and what is required take this much at most.
const SHARE: f64 = 0.55;
const NAME_PT: f64 = 8.5;
const NOTE_PT: f64 = 8.0;

/// Where the lens stands and what it shows.
pub(super) struct Glass {
    frame: Rect,
    middle: DVec2,
    ratio: f64,
    /// Sizes of type.
    name_pt: f64,
    note_pt: f64,
}

impl Glass {
    pub(super) fn new(near: &Near<'_>, frame: &Rect, type_scale: f64) -> Self {
        let result = near.result;
        let gaps = [0.0, near.gap, result.asked, result.left()].into_iter().filter(|gap| gap.is_finite());
        let (low, high) = gaps.fold((0.0, 0.0), |(low, high): (f64, f64), gap| (low.min(gap), high.max(gap)));
        let room = SHARE * frame.size().min_element() / PT_PER_MM;
        let fits = |ratio: &f64| (high - low) * ratio <= room;
        let ratio = SCALES.into_iter().find(fits).unwrap_or(0.01);
        let [name_pt, note_pt] = [NAME_PT, NOTE_PT].map(|size| size * type_scale);
        Self { frame: *frame, middle: near.at_gap(0.5 * (low + high)), ratio, name_pt, note_pt }
    }

    /// Width and height of what it shows (mm).
    pub(super) fn field(&self) -> DVec2 {
        self.frame.size() / (self.ratio * PT_PER_MM)
    }

    /// The middle of what it shows, on paper (mm).
    pub(super) const fn middle(&self) -> DVec2 {
        self.middle
    }

    pub(super) fn panel(&self, scene: &Scene<'_>, near: &Near<'_>) -> Panel {
        let mut panel = Panel::centred(super::LENS_PANEL, self.frame, self.middle, self.ratio * PT_PER_MM);
        for (number, side) in near.sides.iter().enumerate() {
            body(&mut panel, side, number == 1);
        }
        for shared in common(&near.sides[0].cut, &near.sides[1].cut) {
            let path = Path::polyline(&shared, true);
            let hatch = Hatch::section(Tone::Clash).spaced(3.0);
            let shape = Shape::new(path).filled(Fill::faded(Tone::ClashFill, 0.8)).hatched(hatch);
            panel.add(shape).part(Pick::Gap.part()).named("what both take");
        }
        let mut placer = Placer::new(self.frame.grown(-3.0));
        let ratio = if self.ratio >= 1.0 {
            format!("{:.0} : 1", self.ratio)
        } else {
            format!("1 : {:.0}", 1.0 / self.ratio)
        };
        let size = size_of(&ratio, self.note_pt, Weight::Regular);
        let corner = Rect::about(self.frame.max - DVec2::splat(3.0) - 0.5 * size, size);
        placer.block(corner);
        self.figure(&mut panel, scene, near, &mut placer);
        self.required(&mut panel, scene, near, &mut placer);
        self.tolerance(&mut panel, near);
        for (number, side) in near.sides.iter().enumerate() {
            self.name(&mut panel, scene, near, side, number == 1, &mut placer);
        }
        let edge = Rect::between(DVec2::ZERO, self.frame.size());
        let at = panel.world_from_pt(self.frame.min).unwrap_or_default();
        panel.add(Shape::in_pt(at, Path::rect(edge)).stroked(Pen::new(Tone::Cursor, 1.0)));
        let at = place(&panel, corner.middle());
        panel.add(Label::new(ratio, at, self.note_pt).toned(Tone::Cursor).on_plate());
        panel
    }

    /// The gap's size beside its nearest points.
    fn figure(&self, panel: &mut Panel, scene: &Scene<'_>, near: &Near<'_>, placer: &mut Placer) {
        let [from, to] = near.sides.each_ref().map(|side| side.at);
        if near.gap.abs() * panel.scale() <= 0.3 {
            return;
        }
        let text = scene.bare(near.gap, 2);
        let size_pt = self.name_pt + 1.0;
        let size = size_of(&text, size_pt, Weight::Regular);
        let walk = panel.pt_from_world.transform_vector2(to - from);
        let right = walk.perp().normalize_or_zero();
        let middle = |offset_pt: f64| panel.pt(0.5 * (from + to)) + right * offset_pt;
        // Between the arrows, or beyond them where it has no room there.
        let reach = if walk.length() > size.x + 14.0 {
            walk.normalize_or_zero() * 0.5 * size.x
        } else {
            0.5 * walk + walk.normalize_or_zero() * (size.x + 14.0)
        };
        let inside = self.frame.grown(-3.0);
        let is_inside = |middle: DVec2| inside.contains(middle - reach) && inside.contains(middle + reach);
        // On one side of the nearest points, else on the other; the table below has it too.
        let offsets = [0.2, -0.2, 0.08].map(|share| share * self.frame.size().x);
        let Some(offset_pt) = offsets.into_iter().find(|offset| is_inside(middle(*offset))) else { return };
        let mut figure =
            Dimension::new(DimensionKind::Aligned { from, to, offset_pt }, text).toned(near.tone);
        figure.size_pt = size_pt;
        // The text stands beside the arrows where it has no room between them.
        let at = middle(offset_pt);
        let long = walk.length() + 2.0 * (size.x + 14.0);
        let along = walk.normalize_or_zero().abs();
        let around = along * long + along.yx() * 1.6 * size.y;
        placer.block(Rect::about(at, around));
        panel.add(figure).named("the gap");
    }

    /// A line as far from the first face as the second has to stand.
    fn required(&self, panel: &mut Panel, scene: &Scene<'_>, near: &Near<'_>, placer: &mut Placer) {
        let asked = near.result.asked;
        if !(asked > 0.0) {
            return;
        }
        let (at, along) = (near.at_gap(asked), near.beside() * 0.5 * self.field().max_element());
        let pen = Pen::new(Tone::Marginal, 0.9).dashed(Dash::Dashed);
        panel.add(Polyline::new(vec![at - along, at + along], pen)).named("what is required");
        let text = format!("required {}", scene.bare(asked, 2));
        let runs_up = near.towards.x.abs() > near.towards.y.abs();
        let turn = if runs_up { std::f64::consts::FRAC_PI_2 } else { 0.0 };
        let size = size_of(&text, self.note_pt, Weight::Regular);
        let (wide, aside) = if runs_up {
            (size.yx(), DVec2::new(0.5 * size.y, 0.0))
        } else {
            (size, DVec2::new(0.0, 0.5 * size.y))
        };
        // Beside the line, towards one of its ends, wholly within the frame.
        let inside = self.frame.grown(-3.5);
        let (low, high) = (inside.min + 0.5 * wide, (inside.max - 0.5 * wide).max(inside.min + 0.5 * wide));
        let wishes = [(-0.7, -1.0), (0.7, -1.0), (-0.7, 1.0), (0.7, 1.0), (0.0, -1.0), (0.0, 1.0)];
        let wishes = wishes.map(|(share, side)| {
            Rect::about((panel.pt(at + along * share) + aside * side).clamp(low, high), wide)
        });
        if let Some(rect) = placer.place_freely(&wishes) {
            let at = place(panel, rect.middle());
            panel.add(Label::new(text, at, self.note_pt).toned(Tone::Marginal).turned(turn).on_plate());
        }
    }

    /// How far the second face may stand off under load: worst case thin, RSS thick.
    fn tolerance(&self, panel: &mut Panel, near: &Near<'_>) {
        let tolerance = &near.result.tolerance;
        let loaded = near.result.loaded.gap;
        if !(tolerance.worst * panel.scale() > 1.0 && loaded.is_finite()) {
            return;
        }
        let aside = near.beside() * (-0.14 * self.frame.size().x / panel.scale());
        let bar = |panel: &mut Panel, half: f64, pen: Pen, end: End, name: &str| {
            let ends = [loaded - half, loaded + half].map(|gap| near.at_gap(gap) + aside);
            panel.add(Polyline::new(ends.to_vec(), pen).ends(end, end)).named(name);
        };
        let worst = Pen::new(Tone::Ink, 0.9);
        bar(panel, tolerance.worst, worst, End::Bar, "tolerances at worst");
        bar(panel, tolerance.rss, Pen::new(Tone::Ink, 3.0), End::Plain, "tolerances, RSS");
    }

    /// What one of the two is, on its own side of the gap.
    fn name(
        &self,
        panel: &mut Panel,
        scene: &Scene<'_>,
        near: &Near<'_>,
        side: &Side<'_>,
        second: bool,
        placer: &mut Placer,
    ) {
        let towards = panel.pt_from_world.transform_vector2(near.towards).normalize_or_zero();
        let out = if second { towards } else { -towards };
        let width = self.frame.size().x - 12.0;
        let cut = |text: &str| shortened(text, self.name_pt, Weight::SemiBold, width);
        let mut lines = Vec::new();
        if let Some((number, rider)) = side.rider(scene) {
            lines.push((cut(rider), rider_tones(number).1));
        }
        lines.push((cut(side.piece()), Tone::Ink));
        let widest = lines.iter().map(|(text, _)| size_of(text, self.name_pt, Weight::SemiBold).x);
        let step = 1.3 * self.name_pt;
        let size = DVec2::new(widest.fold(0.0, f64::max), step * lines.len() as f64);
        // To the frame's edge on that side; else nearer the middle, else to one side of it.
        let room = (0.5 * (self.frame.size() - size) - DVec2::splat(4.0)).max(DVec2::ZERO);
        let across = out.perp();
        let shares = [
            (1.0, 0.0),
            (1.0, 0.5),
            (1.0, -0.5),
            (0.6, 0.0),
            (1.0, 0.9),
            (1.0, -0.9),
            (0.6, 0.9),
            (0.6, -0.9),
        ];
        let wishes = shares.map(|(outwards, aside)| {
            let at = self.frame.middle()
                + (out * outwards + across * aside).clamp(DVec2::NEG_ONE, DVec2::ONE) * room;
            Rect::about(at, size)
        });
        let Some(rect) = placer.place_freely(&wishes) else { return };
        for (row, (text, tone)) in lines.into_iter().enumerate() {
            let at = DVec2::new(rect.middle().x, rect.min.y + (row as f64 + 0.5) * step);
            let at = place(panel, at);
            panel.add(Label::new(text, at, self.name_pt).bold().toned(tone).on_plate());
        }
    }
}

/// One of the two, cut.
fn body(panel: &mut Panel, side: &Side<'_>, second: bool) {
    let tone = body_tone(side.body);
    for polygon in &side.cut {
        panel.add(Shape::new(Path::polyline(polygon, true)).filled(tone));
    }
    let mut whole = Path::new();
    for polygon in &side.cut {
        whole.append(&Path::polyline(polygon, true));
    }
    let hatch = Hatch::section(Tone::Outline).spaced(6.0);
    let hatch = if second { hatch.leaning_back() } else { hatch };
    let item = panel.add(Shape::new(whole).hatched(Hatch { width_pt: 0.35, ..hatch }));
    item.part(Pick::Body(side.id).part()).named(side.body.label.as_str());
    for [from, to] in outline(&side.cut) {
        panel.add(Polyline::new(vec![from, to], Pen::wide(Tone::Outline)));
    }
}
