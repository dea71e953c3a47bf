//! Drawing a strip with the items every panel is made of.

use glam::{DAffine2, DMat2, DVec2};

use super::data::{Interval, Limit, Marker, Orientation, STRIP_MARGIN, Series, StripData, StripLayout};
use super::ticks::{Ticks, nice_ticks};
use crate::drawing::{Glyph, Label, Mark, Panel, Path, Place, Polyline, Rect, Shape};
use crate::look::{CAP_HEIGHT, Dash, Face, Fill, Hatch, LengthUnit, Pen, Tone, Weight, number, text_width};
use crate::page::Placer;

const TITLE_PT: f64 = 9.0;
const LEGEND_PT: f64 = 8.0;
const NUMBER_PT: f64 = 8.0;
const READING_PT: f64 = 8.5;
/// Width of a curve (pt).
pub(crate) const CURVE: f64 = 1.3;
/// Room for one tick's number along a lying axis and along a standing one (pt).
const TICK_ROOM: (f64, f64) = (26.0, 20.0);

/// Draws a strip. The panel's world is travel (mm) and value, in that order, whichever way it stands;
/// its frame is the plot.
pub fn strip_panel(data: &StripData, layout: &StripLayout) -> Panel {
    let values = value_range(data);
    let panel = Panel::new(data.title.clone(), layout.plot, mapping(layout, values));
    let mut strip = Strip { panel, data, layout, values };
    strip.draw();
    strip.panel
}

/// The range of values shown: what is asked for, or what curves, bands and limits span, with some air.
fn value_range(data: &StripData) -> (f64, f64) {
    if let Some((low, high)) = data.range
        && low.is_finite()
        && high.is_finite()
        && (high - low).is_finite()
        && high > low
    {
        return (low, high);
    }
    let series = data.series.iter().flat_map(|s| {
        s.points.iter().map(|p| p.y).chain(s.low.iter().copied()).chain(s.high.iter().copied())
    });
    let ghosts = data.ghosts.iter().flat_map(|(_, points)| points.iter().map(|p| p.y));
    let all = series
        .chain(ghosts)
        .chain(data.limits.iter().map(|l| l.value))
        .filter(|v| v.is_finite() && v.abs() < 1e150);
    let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| (lo.min(v), hi.max(v)));
    if low > high {
        return (0.0, 1.0);
    }
    let air = 0.06 * (high - low);
    let air =
        if air > 1e-9 * high.abs().max(low.abs()) && air > 0.0 { air } else { 0.5 * high.abs().max(1.0) };
    (low - air, high + air)
}

fn mapping(layout: &StripLayout, values: (f64, f64)) -> DAffine2 {
    let (plot, size) = (layout.plot, layout.plot.size());
    let (from, to) = layout.travel;
    let spread = |room: f64, low: f64, high: f64| {
        let scale = room / (high - low);
        if scale.is_finite() && scale > 0.0 { scale } else { 1.0 }
    };
    let (along, up) = match layout.orientation {
        Orientation::Upright => (size.y, size.x),
        Orientation::Lying => (size.x, size.y),
    };
    let (travel, value) = (spread(along, from, to), spread(up, values.0, values.1));
    let (matrix2, corner) = match layout.orientation {
        Orientation::Upright => (
            DMat2::from_cols(DVec2::new(0.0, -travel), DVec2::new(value, 0.0)),
            DVec2::new(plot.min.x, plot.max.y),
        ),
        Orientation::Lying => (
            DMat2::from_cols(DVec2::new(travel, 0.0), DVec2::new(0.0, -value)),
            DVec2::new(plot.min.x, plot.max.y),
        ),
    };
    DAffine2 { matrix2, translation: corner - matrix2 * DVec2::new(from, values.0) }
}

/// Where a line across the plot meets a curve.
struct Reading {
    /// Where (pt).
    at: DVec2,
    tone: Tone,
    value: f64,
    /// Whether it is always read by itself.
    apart: bool,
}

/// Readings nearer each other than this are read as one (pt).
const TOGETHER: f64 = 9.0;

/// Kinds of line of the curves to compare with.
const fn ghost_dash(number: usize) -> Dash {
    match number % 3 {
        0 => Dash::Solid,
        1 => Dash::Dashed,
        _ => Dash::Dotted,
    }
}

struct Strip<'a> {
    panel: Panel,
    data: &'a StripData,
    layout: &'a StripLayout,
    values: (f64, f64),
}

impl Strip<'_> {
    fn upright(&self) -> bool {
        self.layout.orientation == Orientation::Upright
    }

    fn draw(&mut self) {
        let size = self.layout.plot.size();
        let (from, to) = self.layout.travel;
        let (lying, standing) = (size.x / TICK_ROOM.0, size.y / TICK_ROOM.1);
        let (travel_room, value_room) = if self.upright() { (standing, lying) } else { (lying, standing) };
        let count = |room: f64| if room.is_finite() { (room as usize).clamp(2, 12) } else { 2 };
        let travel = length_ticks(self.data.along, from, to, count(travel_room));
        let values = nice_ticks(self.values.0, self.values.1, count(value_room));
        self.grid(&travel, &values);
        for interval in &self.data.intervals {
            self.interval(interval);
        }
        for series in &self.data.series {
            self.band(series);
        }
        for limit in &self.data.limits {
            self.limit_line(limit);
        }
        for (number, (name, points)) in self.data.ghosts.iter().enumerate() {
            let pen = Pen::new(Tone::Axis, 0.9).dashed(ghost_dash(number));
            self.panel.add(Polyline::new(points.clone(), pen)).named(name.as_str());
        }
        for series in &self.data.series {
            self.curve(series);
        }
        self.frame();
        self.numbers(&travel, &values);
        self.titles();
        self.notes();
    }

    /// World points of a line across the plot at a travel.
    fn across(&self, travel: f64) -> Vec<DVec2> {
        vec![DVec2::new(travel, self.values.0), DVec2::new(travel, self.values.1)]
    }

    /// World points of a line along the plot at a value.
    fn along(&self, value: f64) -> Vec<DVec2> {
        vec![DVec2::new(self.layout.travel.0, value), DVec2::new(self.layout.travel.1, value)]
    }

    fn grid(&mut self, travel: &Ticks, values: &Ticks) {
        let pen = Pen::narrow(Tone::Grid);
        for t in &travel.values {
            let line = self.across(*t);
            self.panel.add(Polyline::new(line, pen));
        }
        for v in &values.values {
            let zero = *v == 0.0;
            let line = self.along(*v);
            self.panel.add(Polyline::new(line, if zero { Pen::new(Tone::Axis, 0.7) } else { pen }));
        }
    }

    fn interval(&mut self, interval: &Interval) {
        let world =
            Rect::between(DVec2::new(interval.from, self.values.0), DVec2::new(interval.to, self.values.1));
        let path = Path::rect(world);
        let mut shape = Shape::new(path).filled(Fill::faded(interval.tone, 0.16));
        if interval.hatched {
            shape = shape.hatched(Hatch { width_pt: 0.4, ..Hatch::section(interval.tone).spaced(4.5) });
        }
        let item = self.panel.add(shape);
        item.named(interval.name.as_str());
        item.part = interval.part;
        // The ends, so that even a stretch thinner than a hatch line shows.
        for t in [interval.from, interval.to] {
            let line = self.across(t);
            self.panel.add(Polyline::new(line, Pen::new(interval.tone, 0.7))).part = interval.part;
        }
    }

    fn band(&mut self, series: &Series) {
        let edges: Vec<(DVec2, f64, f64)> = series
            .points
            .iter()
            .zip(&series.low)
            .zip(&series.high)
            .map(|((p, low), high)| (*p, *low, *high))
            .collect();
        for run in edges.split(|(p, low, high)| !(p.x.is_finite() && low.is_finite() && high.is_finite())) {
            if run.len() < 2 {
                continue;
            }
            let there = run.iter().map(|(p, low, _)| DVec2::new(p.x, *low));
            let back = run.iter().rev().map(|(p, _, high)| DVec2::new(p.x, *high));
            let outline: Vec<DVec2> = there.clone().chain(back.clone()).collect();
            let opacity = if series.stacked { 0.34 } else { 0.18 };
            let shape = Shape::new(Path::polyline(&outline, true)).filled(Fill::faded(series.tone, opacity));
            let item = self.panel.add(shape);
            if series.stacked {
                item.named(series.name.as_str());
                item.part = series.part;
                continue;
            }
            for edge in [there.collect::<Vec<_>>(), back.collect()] {
                self.panel.add(Polyline::new(edge, Pen::new(series.tone, 0.4).faded(0.6)));
            }
        }
    }

    fn limit_line(&mut self, limit: &Limit) {
        let line = self.along(limit.value);
        let pen = Pen::new(limit.tone, 0.9).dashed(Dash::Dashed);
        self.panel.add(Polyline::new(line, pen)).named(limit.name.as_str());
    }

    fn curve(&mut self, series: &Series) {
        let pen = Pen::new(series.tone, CURVE).dashed(series.dash);
        let mut points = series.points.clone();
        if self.data.broken {
            points.iter_mut().for_each(|point| point.y = point.y.min(self.values.1));
        }
        let item = self.panel.add(Polyline::new(points, pen));
        item.named(series.name.as_str());
        item.part = series.part;
    }

    fn frame(&mut self) {
        let plot = self.layout.plot;
        let pen = Pen::new(Tone::Axis, 0.6);
        let corner = self.panel.world_from_pt(plot.min).unwrap_or_default();
        // The head of a lying strip stands within its frame.
        let head = if self.upright() { 0.0 } else { self.layout.orientation.head() - 2.0 };
        let outline = Path::rect(Rect::between(DVec2::new(0.0, -head), plot.size()));
        self.panel.add(Shape::in_pt(corner, outline).stroked(pen)).overflowing();
        if self.data.broken {
            // Two strokes aslant through the axis of values, near its upper end.
            let at = if self.upright() {
                plot.max - DVec2::new(7.0, 0.0)
            } else {
                plot.min + DVec2::new(0.0, 7.0)
            };
            let along = if self.upright() { DVec2::X } else { DVec2::Y };
            for side in [-1.5, 1.5] {
                let middle = at - plot.min + along * side;
                let stroke = [DVec2::new(-2.5, 2.5), DVec2::new(2.5, -2.5)].map(|end| middle + end);
                self.panel
                    .add(Polyline::in_pt(corner, stroke.to_vec(), Pen::new(Tone::Axis, 0.9)))
                    .overflowing();
            }
        }
    }

    /// The world point at a shift from a point of the paper, as a place.
    fn at_pt(&self, pt: DVec2) -> Place {
        // Anchored to the plot's corner, which is on paper whatever the values are.
        let corner = self.panel.world_from_pt(self.layout.plot.min).unwrap_or_default();
        Place { world: corner, shift_pt: pt - self.layout.plot.min }
    }

    fn numbers(&mut self, travel: &Ticks, values: &Ticks) {
        let plot = self.layout.plot;
        let upright = self.upright();
        let mut axes = vec![(values, !upright)];
        if self.layout.travel_numbers {
            axes.push((travel, upright));
        }
        for (ticks, standing) in axes {
            for v in &ticks.values {
                let is_travel = std::ptr::eq(ticks, travel);
                let world = if is_travel {
                    DVec2::new(*v, self.values.0)
                } else {
                    DVec2::new(self.layout.travel.0, *v)
                };
                let at = self.panel.pt(world);
                let (tick, label_at, along, up) = if standing {
                    (DVec2::new(-3.0, 0.0), DVec2::new(plot.min.x - 5.0, at.y), 1.0, 0.5)
                } else {
                    (DVec2::new(0.0, 3.0), DVec2::new(at.x, plot.max.y + 5.0), 0.5, 1.0)
                };
                let pen = Pen::new(Tone::Axis, 0.6);
                self.panel.add(Polyline::in_pt(world, vec![DVec2::ZERO, tick], pen)).overflowing();
                // The bench's cursor line runs on through the numbers of a standing axis.
                let struck = |cursor: f64| self.panel.pt(DVec2::new(cursor, world.y)).distance(at) < 5.0;
                if is_travel && standing && self.data.cursor.is_some_and(struck) {
                    continue;
                }
                let place = self.at_pt(label_at);
                let written = if is_travel { self.data.along.value_of_mm(*v) } else { *v };
                let label = Label::new(number(written, ticks.decimals), place, NUMBER_PT).anchored(along, up);
                self.panel.add(label.toned(Tone::FaintInk)).overflowing();
            }
        }
    }

    /// Title and unit above the plot; the legend below them or, over a lying strip, behind them.
    fn titles(&mut self) {
        let plot = self.layout.plot;
        let room = plot.size().x + STRIP_MARGIN.right;
        let upright = self.upright();
        let (title_x, title_y) = if upright {
            (plot.min.x, plot.min.y - self.layout.orientation.head() + 4.0 + CAP_HEIGHT * TITLE_PT)
        } else {
            (plot.min.x + 4.0, plot.min.y - 4.0)
        };
        let place = self.at_pt(DVec2::new(title_x, title_y));
        let title = Label::new(self.data.title.as_str(), place, TITLE_PT).bold().anchored(0.0, 0.0);
        let title_width = text_width(&title.text, TITLE_PT, Face::Condensed, Weight::SemiBold);
        self.panel.add(title).overflowing();
        if !self.data.unit.is_empty() {
            let place = self.at_pt(DVec2::new(title_x + title_width + 4.0, title_y));
            let unit = Label::new(self.data.unit.as_str(), place, TITLE_PT).toned(Tone::FaintInk);
            self.panel.add(unit.anchored(0.0, 0.0)).overflowing();
        }
        let unit_width = text_width(&self.data.unit, TITLE_PT, Face::Condensed, Weight::Regular);
        let behind = (title_x + title_width + unit_width + 16.0, title_y - 0.5 * CAP_HEIGHT * LEGEND_PT);
        if upright {
            // The line below the title, then what is left of the title's own line.
            self.legend(&[(plot.min.x, plot.min.y - 8.0), behind], plot.min.x + room);
        } else {
            self.legend(&[behind], plot.max.x - 4.0);
        }
    }

    /// Samples and names of the curves from the rows' starts (pt) to `end`.
    fn legend(&mut self, rows: &[(f64, f64)], end: f64) {
        const SAMPLE: f64 = 13.0;
        const GAP: f64 = 4.0;
        let corner = self.layout.plot.min;
        let series = self.data.series.iter().filter(|s| !s.name.is_empty());
        let curves = series.map(|s| (s.name.as_str(), Pen::new(s.tone, CURVE).dashed(s.dash), s.stacked));
        let ghosts = self.data.ghosts.iter().enumerate().map(|(number, (name, _))| {
            (name.as_str(), Pen::new(Tone::Axis, 0.9).dashed(ghost_dash(number)), false)
        });
        let all: Vec<_> = curves.chain(ghosts).collect();
        let anchor = self.panel.world_from_pt(corner).unwrap_or_default();
        let mut rows = rows.iter().copied();
        let Some((mut x, mut middle)) = rows.next() else { return };
        for (name, pen, filled) in all {
            let width = text_width(name, LEGEND_PT, Face::Condensed, Weight::Regular);
            if end - x - SAMPLE - GAP < width.min(46.0) {
                match rows.next() {
                    Some(row) => (x, middle) = row,
                    None => break,
                }
            }
            let left = end - x - SAMPLE - GAP;
            // A name of which only a letter or two would show is left out.
            if left < width.min(24.0) {
                break;
            }
            let from = DVec2::new(x, middle) - corner;
            if filled {
                let patch = Rect::about(from + DVec2::new(0.5 * SAMPLE, 0.0), DVec2::new(SAMPLE, 6.0));
                let shape = Shape::in_pt(anchor, Path::rect(patch)).filled(Fill::faded(pen.tone, 0.34));
                self.panel.add(shape).overflowing();
            }
            let lift = DVec2::new(0.0, if filled { -3.0 } else { 0.0 });
            let line = vec![from + lift, from + lift + DVec2::new(SAMPLE, 0.0)];
            self.panel.add(Polyline::in_pt(anchor, line, pen)).overflowing();
            let place = self.at_pt(DVec2::new(x + SAMPLE + GAP, middle));
            let name = shortened(name, left);
            self.panel.add(Label::new(name, place, LEGEND_PT).anchored(0.0, 0.5)).overflowing();
            x += SAMPLE + GAP + width + 7.0;
        }
    }

    /// Words and marks in the plot that keep out of each other's way: limits, markers, the cursor's readings.
    fn notes(&mut self) {
        let mut placer = Placer::new(self.layout.plot.grown(-2.0));
        // The cursor first: its readings matter most and should stay by their points.
        let readings = self.line_at(self.data.cursor, Pen::new(Tone::Cursor, 1.0), "cursor");
        self.readings(&readings, &mut placer, Weight::SemiBold);
        let probe = self.data.probe.filter(|probe| Some(*probe) != self.data.cursor);
        let pen = Pen::new(Tone::FaintInk, 0.7).dashed(Dash::Dotted);
        let probed = self.line_at(probe, pen, "pointer");
        self.readings(&probed, &mut placer, Weight::Regular);
        for marker in &self.data.markers {
            self.marker(marker, &mut placer);
        }
        for limit in &self.data.limits {
            self.limit_name(limit, &mut placer);
        }
    }

    /// The boxes (pt) in order of how little of the curves they would cover.
    fn clearest(&self, mut boxes: [Rect; 4]) -> [Rect; 4] {
        boxes.sort_by_cached_key(|b| {
            let points = self.data.series.iter().flat_map(|s| &s.points);
            points.filter(|p| b.contains(self.panel.pt(**p))).count()
        });
        boxes
    }

    /// Values beside their points; several that lie together are read as one span.
    fn readings(&mut self, readings: &[Reading], placer: &mut Placer, weight: Weight) {
        let mut groups: Vec<Vec<&Reading>> = Vec::new();
        for reading in readings {
            let near = |group: &&mut Vec<&Reading>| {
                group.iter().all(|other| other.at.distance(reading.at) < TOGETHER && !other.apart)
            };
            match groups.iter_mut().find(near) {
                Some(group) if !reading.apart => group.push(reading),
                _ => groups.push(vec![reading]),
            }
        }
        for group in &groups {
            let values = || group.iter().map(|reading| reading.value);
            let (low, high) =
                values().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
            let [low, high] = [low, high].map(|value| number(value, self.data.decimals));
            let (text, tone) = match group[..] {
                [only] => {
                    (format!("{low} {}", self.data.unit), if only.apart { Tone::Ink } else { only.tone })
                }
                _ if low == high => (format!("{low} {}", self.data.unit), Tone::Ink),
                _ => (format!("{low} to {high} {}", self.data.unit), Tone::Ink),
            };
            let at = group.iter().map(|reading| reading.at).sum::<DVec2>() / group.len() as f64;
            let size = note_size(&text, READING_PT, weight);
            // Where there is no room the point alone shows it.
            let Some(rect) = placer.place_apart(&self.clearest(beside(at, size, 5.0))) else { continue };
            let place = self.at_pt(rect.middle());
            let label = Label { weight, ..Label::new(text, place, READING_PT).toned(tone).on_plate() };
            self.panel.add(label).overflowing();
        }
        for reading in readings {
            let place = self.at_pt(reading.at);
            self.panel.add(Mark::new(Glyph::Circle, place, 5.0, reading.tone).hollow(Tone::Paper));
        }
    }

    /// A line across the plot at a travel, and where it meets the curves.
    fn line_at(&mut self, travel: Option<f64>, pen: Pen, name: &str) -> Vec<Reading> {
        let (from, to) = self.layout.travel;
        let Some(travel) = travel.filter(|c| *c >= from.min(to) && *c <= from.max(to)) else {
            return Vec::new();
        };
        let line = self.across(travel);
        self.panel.add(Polyline::new(line, pen)).named(name);
        self.data
            .series
            .iter()
            .filter_map(|s| {
                let (height, value) = (s.value_at(travel)?, s.reading_at(travel)?);
                // A band is read in its middle.
                let height = if s.stacked { height - 0.5 * value } else { height };
                let at = self.panel.pt(DVec2::new(travel, height));
                // A point beyond the shown values is read at the edge.
                let at = at.clamp(self.layout.plot.min, self.layout.plot.max);
                Some(Reading { at, tone: s.tone, value, apart: s.stacked })
            })
            .collect()
    }

    fn marker(&mut self, marker: &Marker, placer: &mut Placer) {
        let at = self.panel.pt(marker.at);
        if !self.layout.plot.contains(at) {
            return;
        }
        placer.block(Rect::about(at, DVec2::splat(8.0)));
        let item = self.panel.add(Mark::new(marker.glyph, marker.at, 7.0, marker.tone));
        item.part = marker.part;
        item.named(marker.text.as_str());
        if marker.text.is_empty() {
            return;
        }
        let size = note_size(&marker.text, READING_PT, Weight::Regular);
        if let Some(rect) = placer.place_apart(&self.clearest(beside(at, size, 6.0))) {
            let place = self.at_pt(rect.middle());
            let label = Label::new(marker.text.as_str(), place, READING_PT).toned(marker.tone).on_plate();
            self.panel.add(label).part = marker.part;
        }
    }

    fn limit_name(&mut self, limit: &Limit, placer: &mut Placer) {
        let plot = self.layout.plot;
        let at = self.panel.pt(DVec2::new(self.layout.travel.1, limit.value));
        if limit.name.is_empty() || !plot.grown(0.5).contains(at) {
            return;
        }
        let size = note_size(&limit.name, LEGEND_PT, Weight::Regular);
        let (upright, half) = (self.upright(), 0.5 * size);
        let candidates: Vec<Rect> = if upright {
            // The line stands: words beside its upper end, right or left of it.
            [1.0, -1.0]
                .map(|side| {
                    Rect::about(DVec2::new(at.x + side * (half.x + 2.0), plot.min.y + half.y + 3.0), size)
                })
                .to_vec()
        } else {
            [-1.0, 1.0]
                .map(|side| {
                    Rect::about(DVec2::new(plot.max.x - half.x - 3.0, at.y + side * (half.y + 1.5)), size)
                })
                .to_vec()
        };
        if let Some(rect) = placer.place_apart(&candidates) {
            let place = self.at_pt(rect.middle());
            self.panel.add(Label::new(limit.name.as_str(), place, LEGEND_PT).toned(limit.tone).on_plate());
        }
    }
}

/// Ticks of a range of lengths (mm) at round numbers of a unit.
fn length_ticks(unit: LengthUnit, from: f64, to: f64, most: usize) -> Ticks {
    let ticks = nice_ticks(unit.value_of_mm(from), unit.value_of_mm(to), most);
    let values = ticks.values.iter().map(|value| unit.to_mm(*value)).collect();
    Ticks { values, step: unit.to_mm(ticks.step), decimals: ticks.decimals }
}

/// The box of a note on its plate (pt).
fn note_size(text: &str, size_pt: f64, weight: Weight) -> DVec2 {
    DVec2::new(text_width(text, size_pt, Face::Condensed, weight) + 0.5 * size_pt, 1.2 * size_pt)
}

/// Boxes beside a point, the best first: to the right above, left above, right below, left below.
fn beside(at: DVec2, size: DVec2, gap: f64) -> [Rect; 4] {
    let half = 0.5 * size;
    [(1.0, -1.0), (-1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
        .map(|(x, y)| Rect::about(at + DVec2::new(x * (half.x + gap), y * (half.y + 0.6 * gap)), size))
}

/// The text cut, with an ellipsis, to a width (pt) at the legend's size.
fn shortened(text: &str, width: f64) -> String {
    let wide = |t: &str| text_width(t, LEGEND_PT, Face::Condensed, Weight::Regular) > width;
    if !wide(text) {
        return text.to_owned();
    }
    let mut short: String = text.to_owned();
    while short.pop().is_some() {
        let with_dots = format!("{}…", short.trim_end());
        if !wide(&with_dots) {
            return with_dots;
        }
    }
    String::new()
}
