//! From items in world units to inks in points.

use glam::{DAffine2, DVec2};

use super::clip::cut_fill;
use super::hatch::hatch_lines;
use super::out::{BEYOND_PT, CUT_PT, Out, Tag};
use super::{Page, TextInk, dimension, glyph};
use crate::drawing::{Drawing, End, ItemKind, Label, Mark, Part, Path, Place, Polyline, Rect, Shape, Units};
use crate::look::{CAP_HEIGHT, Dash, Fill, Pen, Tone};

/// Distance of baselines, in type sizes.
const LEADING: f64 = 1.25;

/// How much of its tone covers what is chosen.
const TINT: f64 = 0.3;
/// Most length of the ticks at the corners of what is chosen (pt).
const TICK: f64 = 7.0;

pub fn lower(drawing: &Drawing, emphasis: &[(Part, Tone)]) -> Page {
    let mut page =
        Page { size_pt: drawing.size_pt, title: drawing.title.clone(), inks: Vec::new(), skipped: 0 };
    let sheet = Rect::between(DVec2::ZERO, drawing.size_pt);
    for (number, panel) in drawing.panels.iter().enumerate() {
        let mut out = Out { page: &mut page, panel, sheet, tag: Tag::default() };
        for (place, item) in panel.items.iter().enumerate() {
            out.take_tag(number, Some(place), item);
            out.item(&item.kind);
        }
        for item in &panel.items {
            let tone = item.part.and_then(|part| emphasis.iter().rev().find(|(p, _)| *p == part));
            if let Some((_, tone)) = tone {
                out.take_tag(number, None, item);
                out.emphasise(&item.kind, *tone);
            }
        }
        for (part, tone) in emphasis.iter().filter(|(_, tone)| *tone == Tone::Selection) {
            out.corner_ticks(number, *part, *tone);
        }
    }
    page
}

impl Out<'_> {
    fn place(&self, place: &Place) -> DVec2 {
        self.panel.pt(place.world) + place.shift_pt
    }

    fn pt_from_units(&self, units: Units) -> DAffine2 {
        match units {
            Units::World => self.panel.pt_from_world,
            Units::PtAt(at) => DAffine2::from_translation(self.panel.pt(at)),
        }
    }

    fn item(&mut self, kind: &ItemKind) {
        match kind {
            ItemKind::Shape(shape) => self.shape(shape),
            ItemKind::Polyline(line) => self.polyline(line),
            ItemKind::Label(label) => self.label(label),
            ItemKind::Mark(mark) => self.mark(mark),
            ItemKind::Dimension(d) => dimension::lower(self, d),
            ItemKind::CentreCross(c) => dimension::centre_cross(self, c),
        }
    }

    fn shape(&mut self, shape: &Shape) {
        let pt = self.pt_from_units(shape.units);
        let path = shape.path.transformed(&pt);
        if let Some(mut fill) = shape.fill {
            fill.round = fill.round.map(|(a, b)| (pt.transform_point2(a), pt.transform_point2(b)));
            self.fill(path.clone(), fill);
        }
        if let Some(hatch) = shape.hatch
            && let Some(bounds) = self.seen(&path, 0.0)
        {
            let near = self.visible().grown(BEYOND_PT).holds(&bounds);
            let path = if near { path.clone() } else { cut_fill(&path, &self.visible().grown(CUT_PT)) };
            let lines = hatch_lines(&path, &hatch, &self.visible());
            self.stroke(lines, Pen::new(hatch.tone, hatch.width_pt));
        }
        if let Some(pen) = shape.stroke {
            self.stroke(path, pen);
        }
    }

    fn polyline(&mut self, line: &Polyline) {
        let pt = self.pt_from_units(line.units);
        let mut points: Vec<DVec2> = line.points.iter().map(|p| pt.transform_point2(*p)).collect();
        let (tip, head) = (glyph::arrow_length(line.pen.width_pt), &line.pen);
        let last = points.len().saturating_sub(1);
        for (end, at, before) in [(line.start, 0, 1), (line.end, last, last.wrapping_sub(1))] {
            let (Some(&p), Some(&q)) = (points.get(at), points.get(before)) else { continue };
            let Some(outward) = (p - q).try_normalize() else { continue };
            match end {
                End::Plain => {}
                End::Arrow => {
                    self.fill(glyph::arrow(p, outward, tip), Fill::faded(head.tone, head.opacity));
                    // The line ends inside the head, or its butt end would blunt the tip.
                    points[at] = p - outward * (0.7 * tip).min(p.distance(q));
                }
                End::Dot => {
                    let dot = Path::circle(p, 1.2 + head.width_pt);
                    self.fill(dot, Fill::faded(head.tone, head.opacity));
                }
                End::Bar => {
                    let half = outward.perp() * (2.0 + 2.0 * head.width_pt);
                    self.stroke(Path::line(p - half, p + half), Pen { dash: Dash::Solid, ..*head });
                }
            }
        }
        let mut path = Path::new();
        let mut broken = true;
        for p in points {
            if !p.is_finite() {
                broken = true;
            } else if broken {
                path.move_to(p);
                broken = false;
            } else {
                path.line_to(p);
            }
        }
        self.stroke(path, line.pen);
    }

    fn label(&mut self, label: &Label) {
        let lines: Vec<&str> = label.text.split('\n').collect();
        let lead = LEADING * label.size_pt;
        let height = CAP_HEIGHT * label.size_pt + lead * (lines.len() - 1) as f64;
        let anchor = self.place(&label.at);
        // "Up" of the text as the reader sees it, y down.
        let up = DVec2::new(-label.turn.sin(), -label.turn.cos());
        let inks: Vec<TextInk> = lines
            .iter()
            .rev()
            .enumerate()
            .map(|(above_last, text)| TextInk {
                text: (*text).to_owned(),
                at: anchor + up * (above_last as f64 * lead - label.up * height),
                along: label.along,
                size_pt: label.size_pt,
                face: label.face,
                weight: label.weight,
                tone: label.tone,
                turn: label.turn,
            })
            .collect();
        if let Some(tone) = label.plate {
            for ink in inks.iter().filter(|i| !i.text.trim().is_empty()) {
                self.plate(ink, tone, 0.22 * label.size_pt);
            }
        }
        for ink in inks {
            self.text(ink);
        }
    }

    fn mark(&mut self, mark: &Mark) {
        let at = self.place(&mark.at);
        glyph::lower(self, mark, at);
    }

    /// What the pointer is over gets an outline in ink with a halo; what is chosen a tint, and ticks at the corners of
    /// the box round it.
    fn emphasise(&mut self, kind: &ItemKind, tone: Tone) {
        let chosen = tone == Tone::Selection;
        match kind {
            ItemKind::Shape(shape) => {
                let path = shape.path.transformed(&self.pt_from_units(shape.units));
                if chosen {
                    if shape.fill.is_some() {
                        self.fill(path.clone(), Fill::faded(tone, TINT));
                    }
                    self.stroke(path, Pen::new(tone, 1.2));
                } else {
                    self.stroke(path.clone(), Pen::new(Tone::Paper, 5.0).faded(0.85));
                    self.stroke(path, Pen::new(tone, 1.7));
                }
            }
            ItemKind::Polyline(line) => {
                let traced = |pen: Pen| Polyline { pen, start: End::Plain, end: End::Plain, ..line.clone() };
                let width = line.pen.width_pt;
                if chosen {
                    self.polyline(&traced(Pen::new(tone, width + 2.5).faded(0.45)));
                } else {
                    self.polyline(&traced(Pen::new(Tone::Paper, width + 4.0).faded(0.85)));
                    self.polyline(&traced(Pen::new(tone, width + 0.6)));
                }
            }
            ItemKind::Label(_) | ItemKind::Mark(_) | ItemKind::Dimension(_) | ItemKind::CentreCross(_) => {}
        }
    }

    /// Ticks at the corners of the box round all shapes of a part.
    fn corner_ticks(&mut self, number: usize, part: Part, tone: Tone) {
        let mut first = None;
        let panel = self.panel;
        let bounds = panel.items.iter().filter(|item| item.part == Some(part)).filter_map(|item| {
            let ItemKind::Shape(shape) = &item.kind else { return None };
            first.get_or_insert(item);
            shape.path.transformed(&self.pt_from_units(shape.units)).bounds().filter(Rect::is_finite)
        });
        let Some(rect) = bounds.reduce(|a, b| a.union(&b)) else { return };
        let Some(item) = first else { return };
        self.take_tag(number, None, item);
        let rect = rect.grown(3.0);
        let reach = (0.25 * rect.size()).min(DVec2::splat(TICK)).max(DVec2::splat(2.0));
        for corner in rect.corners() {
            let inwards = (rect.middle() - corner).signum() * reach;
            let ends = [corner + DVec2::new(inwards.x, 0.0), corner, corner + DVec2::new(0.0, inwards.y)];
            self.stroke(Path::polyline(&ends, false), Pen::new(tone, 1.5));
        }
    }
}
