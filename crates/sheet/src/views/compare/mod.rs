//! Trials side by side: the tightest gap of each under a lens, key figures with their differences, clearance and effort
//! over the stroke in one plot each.

mod differences;
mod figures;

use glam::DVec2;
use glidewright_motion::{Fixture, Results};

use super::bench::strip;
use super::scene::Scene;
use super::words::{place, shortened, wrapped};
use super::{StripAxis, StripKind, View, ViewState, gap};
use crate::drawing::{Drawing, Label, Panel, Polyline, Rect};
use crate::look::{Dash, Pen, Tone, Weight};
use crate::strip::{Orientation, STRIP_MARGIN, Series, StripData, StripLayout, strip_panel};

/// Trials side by side.
pub(super) const VIEW: View = View {
    name: "compare",
    title: "Compare",
    about: "Trials side by side: the tightest gap of each, key figures and what differs.",
    lacks,
    still: |_| false,
    draw,
};

/// Most trials side by side.
const MOST: usize = 8;
/// Least width of a column in which the surroundings of the gap are shown too (pt), and of any column.
const ROOMY: f64 = 250.0;
const NARROWEST: f64 = 96.0;
const TITLE_PT: f64 = 11.0;
const NOTE_PT: f64 = 8.5;
const BETWEEN: f64 = 12.0;

fn lacks(fixture: &Fixture, results: &Results) -> Option<&'static str> {
    (super::bench::VIEW.lacks)(fixture, results)
}

fn draw(scene: &Scene<'_>) -> Drawing {
    let title = format!("{}: trials compared", scene.fixture.name);
    if scene.state.others.is_empty() {
        return super::notice(&title, "Choose a trial to compare with.", scene.size());
    }
    let mut drawing = Drawing::new(title, scene.size());
    drawing.panels = panels(scene, Rect::between(DVec2::ZERO, scene.size()));
    drawing
}

/// What each trial's pictures are drawn from: nothing selected, since bodies have other numbers elsewhere.
fn state_of(scene: &Scene<'_>, name: &str) -> ViewState {
    ViewState {
        selected: None,
        hovered: None,
        pair: super::PairChoice::Tightest,
        trial: Some(name.to_owned()),
        others: Vec::new(),
        ghosts: false,
        axis: StripAxis::Travel,
        ..scene.state.clone()
    }
}

fn panels(scene: &Scene<'_>, frame: Rect) -> Vec<Panel> {
    let own = scene.state.trial.clone().unwrap_or_else(|| "as drawn".to_owned());
    let inner = frame.grown(-10.0);
    let room = ((inner.size().x + BETWEEN) / (NARROWEST + BETWEEN)) as usize;
    let others = scene.state.others.iter().take(room.clamp(2, MOST) - 1);
    let all: Vec<(String, &Fixture, &Results)> = std::iter::once((own, scene.fixture, scene.results))
        .chain(others.map(|other| (other.name.clone(), &*other.fixture, &*other.results)))
        .collect();
    let states: Vec<ViewState> = all.iter().map(|(name, ..)| state_of(scene, name)).collect();
    let scenes: Vec<Scene<'_>> = all
        .iter()
        .zip(&states)
        .map(|((_, fixture, results), state)| Scene::new(fixture, results, state))
        .collect();
    let mut words = Panel::centred("words", frame, DVec2::ZERO, 1.0);
    let head = 1.7 * TITLE_PT;
    let column = (inner.size().x - BETWEEN * (scenes.len() - 1) as f64) / scenes.len() as f64;
    let most = 0.5 * (inner.size().y - head);
    let is_roomy = column >= ROOMY;
    let split = inner.min.y + head + most.min(if is_roomy { 0.5 * column + 60.0 } else { column + 50.0 });
    let mut made: Vec<Panel> = Vec::new();
    for (number, (scene, (name, ..))) in scenes.iter().zip(&all).enumerate() {
        let x = inner.min.x + number as f64 * (column + BETWEEN);
        let field = Rect::between(DVec2::new(x, inner.min.y + head), DVec2::new(x + column, split - 6.0));
        made.extend(gap::panels_in(scene, field, is_roomy));
        let text = shortened(name, TITLE_PT, Weight::SemiBold, column);
        let at = place(&words, DVec2::new(field.min.x, inner.min.y));
        words.add(Label::new(text, at, TITLE_PT).bold().anchored(0.0, 1.0));
        let from = place(&words, DVec2::new(field.min.x, inner.min.y + head - 4.0));
        let line = vec![from.shift_pt, from.shift_pt + DVec2::new(column, 0.0)];
        let pen = Pen::new(if number == 0 { Tone::Outline } else { Tone::Axis }, 0.9);
        words.add(Polyline::in_pt(from.world, line, pen));
    }
    let left_out = scene.state.others.len() + 1 - scenes.len();
    if left_out > 0 {
        let text = format!("and {left_out} more");
        let at = place(&words, DVec2::new(inner.max.x, frame.min.y + 1.0));
        words.add(Label::new(text, at, NOTE_PT).toned(Tone::FaintInk).anchored(1.0, 1.0));
    }
    let middle = inner.min.x + 0.54 * inner.size().x;
    let left = Rect::between(DVec2::new(inner.min.x, split + 6.0), DVec2::new(middle - BETWEEN, inner.max.y));
    let right = Rect::between(DVec2::new(middle + 4.0, split + 6.0), inner.max);
    let end = figures::draw(&mut words, &left, &scenes, &all);
    changes(&mut words, &Rect { min: DVec2::new(left.min.x, end + 6.0), ..left }, &scenes, &all);
    made.extend(curves(&scenes, &all, right));
    made.push(words);
    made
}

/// What was changed, in words, as far as there is room.
fn changes(panel: &mut Panel, frame: &Rect, scenes: &[Scene<'_>], all: &[(String, &Fixture, &Results)]) {
    let mut y = frame.min.y;
    let Some(first) = scenes.first() else { return };
    for (scene, (name, ..)) in scenes.iter().zip(all).skip(1) {
        let told = differences::between(first, scene);
        let told = if told.is_empty() { "the same parts".to_owned() } else { told.join("; ") };
        for line in wrapped(&format!("{name}: {told}."), NOTE_PT, Weight::Regular, frame.size().x, 4) {
            if y + 1.3 * NOTE_PT > frame.max.y {
                return;
            }
            y += 1.3 * NOTE_PT;
            let at = place(panel, DVec2::new(frame.min.x, y));
            panel.add(Label::new(line, at, NOTE_PT).toned(Tone::FaintInk).anchored(0.0, 0.0));
        }
        y += 2.0;
    }
}

/// Colours and kinds of line of the trials' curves.
const LOOKS: [(Tone, Dash); MOST] = [
    (Tone::Ink, Dash::Solid),
    (Tone::RiderALine, Dash::Dashed),
    (Tone::RiderBLine, Dash::Centre),
    (Tone::RiderCLine, Dash::Phantom),
    (Tone::FaintInk, Dash::Dotted),
    (Tone::RiderALine, Dash::Solid),
    (Tone::RiderBLine, Dash::Dashed),
    (Tone::RiderCLine, Dash::Solid),
];

/// A strip with the main curve of every trial.
fn together(scenes: &[Scene<'_>], all: &[(String, &Fixture, &Results)], kind: StripKind) -> StripData {
    let mut data = StripData { title: kind.title().to_owned(), ..StripData::default() };
    for (number, (scene, (name, ..))) in scenes.iter().zip(all).enumerate() {
        let own = strip(scene, kind);
        if number == 0 {
            (data.unit, data.decimals, data.limits) = (own.unit.clone(), own.decimals, own.limits.clone());
            (data.cursor, data.along) = (own.cursor, own.along);
        }
        data.broken |= own.broken;
        data.range = match (data.range, own.range) {
            (Some(a), Some(b)) => Some((a.0.min(b.0), a.1.max(b.1))),
            (a, b) => a.or(b),
        };
        let (tone, dash) = LOOKS[number % MOST];
        data.series.extend(own.series.into_iter().next().map(|main| Series {
            name: name.clone(),
            tone,
            dash,
            low: Vec::new(),
            high: Vec::new(),
            part: None,
            ..main
        }));
    }
    data
}

/// Clearance and effort of all in one plot each.
fn curves(scenes: &[Scene<'_>], all: &[(String, &Fixture, &Results)], frame: Rect) -> Vec<Panel> {
    let Some(scene) = scenes.first() else { return Vec::new() };
    let (from, to) = (scene.fixture.stroke.from, scene.fixture.stroke.to);
    let (from, to) = (from.min(to), from.max(to));
    let span = if to - from > 1e-6 { (from, to) } else { (from - 5.0, to + 5.0) };
    let kinds = [StripKind::Clearance, StripKind::Effort];
    let count = if frame.size().y > 230.0 { 2 } else { 1 };
    let room = frame.size().y / f64::from(count);
    (0..count)
        .zip(kinds)
        .map(|(number, kind)| {
            let top = frame.min.y + f64::from(number) * room;
            let last = number + 1 == count;
            let plot = Rect::between(
                DVec2::new(frame.min.x + STRIP_MARGIN.left, top + Orientation::Lying.head()),
                DVec2::new(frame.max.x - STRIP_MARGIN.right, top + room - STRIP_MARGIN.below - 2.0),
            );
            let layout =
                StripLayout { plot, orientation: Orientation::Lying, travel: span, travel_numbers: last };
            let mut panel = strip_panel(&together(scenes, all, kind), &layout);
            panel.name = kind.title().to_owned();
            panel
        })
        .collect()
}
