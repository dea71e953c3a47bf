//! Trials side by side: a picture of each, key figures with their differences, clearance and effort
//! over the stroke in one plot each.

mod differences;
mod figures;
mod pictures;

use std::sync::Arc;

use glam::DVec2;
use glidewright_motion::{Fixture, Results};

use super::bench::strip;
use super::scene::{Scene, outcome_tone};
use super::words::{broken, place, width_of};
use super::{StripAxis, StripKind, View, ViewState, gap};
use crate::drawing::{Drawing, Glyph, Label, Mark, Panel, Polyline, Rect};
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
    let other = scene.state.others.iter().find(|other| other.name == name);
    ViewState {
        extras: other.map_or_else(|| Arc::clone(&scene.state.extras), |other| Arc::clone(&other.extras)),
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

/// A comparison in numbers and words.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// What the trials are called, the one shown first.
    pub names: Vec<String>,
    /// The figures.
    pub figures: Vec<ComparedFigure>,
    /// What each trial after the first has that the first has not, in words.
    pub differences: Vec<Vec<String>>,
}

/// A figure of every trial.
#[derive(Clone, Debug, PartialEq)]
pub struct ComparedFigure {
    /// What it is.
    pub name: String,
    /// The unit it is written in; empty for none.
    pub unit: String,
    /// Decimals it is told with.
    pub decimals: usize,
    /// Of each trial, in that unit; none where it has none.
    pub values: Vec<Option<f64>>,
}

/// The fixture beside the others of the state, in numbers and words: what the view shows.
pub fn comparison(fixture: &Fixture, results: &Results, state: &ViewState) -> Comparison {
    let scene = Scene::new(fixture, results, state);
    let all = trials(&scene);
    let states: Vec<ViewState> = all.iter().map(|(name, ..)| state_of(&scene, name)).collect();
    let scenes = scenes(&all, &states);
    let figures = figures::all_rows(&scenes).into_iter();
    let figures = figures.map(|row| ComparedFigure {
        name: row.name,
        unit: row.unit,
        decimals: row.decimals,
        values: row.values,
    });
    let first = scenes.first();
    let others = scenes.iter().skip(1);
    Comparison {
        names: all.iter().map(|(name, ..)| name.clone()).collect(),
        figures: figures.collect(),
        differences: others
            .map(|scene| first.map_or_else(Vec::new, |first| differences::between(first, scene)))
            .collect(),
    }
}

/// The trials that are compared, the one shown first.
fn trials<'a>(scene: &'a Scene<'_>) -> Vec<(String, &'a Fixture, &'a Results)> {
    let own = scene.state.trial.clone().unwrap_or_else(|| "as drawn".to_owned());
    let others = scene.state.others.iter().take(MOST - 1);
    std::iter::once((own, scene.fixture, scene.results))
        .chain(others.map(|other| (other.name.clone(), &*other.fixture, &*other.results)))
        .collect()
}

/// What stands where.
struct Plan {
    /// Lenses in a row, their rows, and the size of a cell without its words (pt).
    per_row: usize,
    rows: usize,
    lens: f64,
    /// Lines of words over the lenses of each row: of names and of who it is between.
    words: Vec<(usize, usize)>,
    column: f64,
    /// Whether table and curves stand side by side.
    is_parted: bool,
}

/// Least width of a lens (pt), and its greatest share of the whole height.
const NARROWEST: f64 = 118.0;
const LENSES: f64 = 0.46;
/// Greatest and least height of a lens (pt).
const LARGEST: f64 = 300.0;
const SMALLEST: f64 = 64.0;
/// Least height of curves (pt).
const CURVES: f64 = 112.0;
/// From this many trials on the table takes the whole width.
const MANY: usize = 6;

impl Plan {
    /// In a frame of a size (pt): table, words and curves first, and what is left is the lenses'.
    fn new(scenes: &[Scene<'_>], all: &[(String, &Fixture, &Results)], inner: DVec2) -> Self {
        let count = scenes.len().max(1);
        let most = (((inner.x + BETWEEN) / (NARROWEST + BETWEEN)) as usize).max(1);
        let rows = count.div_ceil(most.min(count));
        let per_row = count.div_ceil(rows);
        let column = (inner.x - BETWEEN * (per_row - 1) as f64) / per_row as f64;
        let lines = |text: &str, size: f64| broken(text, size, Weight::SemiBold, column).len().max(1);
        let words: Vec<(usize, usize)> = all
            .chunks(per_row)
            .zip(scenes.chunks(per_row))
            .map(|(all, scenes)| {
                let names = all.iter().map(|(name, ..)| lines(name, TITLE_PT)).max().unwrap_or(1);
                let pairs = scenes.iter().map(|scene| lines(&between(scene), NOTE_PT)).max().unwrap_or(1);
                (names, pairs)
            })
            .collect();
        let is_parted = inner.x > 1.05 * inner.y && count < MANY && inner.x > 620.0;
        let below = below_height(scenes, all, inner.x, is_parted);
        let told: f64 = words.iter().map(|words| Self::over(*words)).sum();
        let room = |height: f64| (height - told) / rows as f64 - BETWEEN;
        let lens = room(inner.y - below).min(room(LENSES * inner.y)).clamp(SMALLEST, LARGEST).min(column);
        Self { per_row, rows, lens, words, column, is_parted }
    }

    /// Height of the words over a row of lenses (pt).
    fn over((names, pairs): (usize, usize)) -> f64 {
        1.3 * TITLE_PT * names as f64 + 5.0 + 1.35 * NOTE_PT * (pairs as f64 + 1.0) + 4.0
    }

    /// Height of all lenses with their words (pt).
    fn height(&self) -> f64 {
        let told: f64 = self.words.iter().map(|words| Self::over(*words)).sum();
        told + (self.lens + BETWEEN) * self.rows as f64
    }
}

/// Between whom the tightest gap is.
fn between(scene: &Scene<'_>) -> String {
    gap::names(scene).map_or_else(|| "–".to_owned(), |[a, b]| format!("{a}  ·  {b}"))
}

/// What table, words, legend and curves take below the lenses at least, in a width (pt).
fn below_height(
    scenes: &[Scene<'_>],
    all: &[(String, &Fixture, &Results)],
    width: f64,
    is_parted: bool,
) -> f64 {
    let [left, right] =
        if is_parted { [PARTED * width - BETWEEN, (1.0 - PARTED) * width - 4.0] } else { [width; 2] };
    let lines = |told: &String| broken(told, NOTE_PT, Weight::Regular, left).len() as f64;
    let words: f64 = changes(scenes, all).iter().map(|told| 1.3 * NOTE_PT * lines(told) + 2.0).sum();
    let table = figures::height(left, scenes, all) + 8.0 + words;
    let curves = legend_height(all, right) + CURVES * if is_parted { 2.1 } else { 1.1 };
    if is_parted { table.max(curves) } else { table + BETWEEN + curves }
}

/// The height in which everything has its place, in a width (pt): lenses as large as suits it, or the least.
pub(super) fn height(scene: &Scene<'_>, width: f64, roomy: bool) -> f64 {
    let all = trials(scene);
    let states: Vec<ViewState> = all.iter().map(|(name, ..)| state_of(scene, name)).collect();
    let scenes = scenes(&all, &states);
    // Of a frame without end the lenses take what they like, of a flat one the least.
    let usual = if roomy { 0.7 * width } else { 1.0 };
    let inner = width - 2.0 * EDGE;
    let mut plan = Plan::new(&scenes, &all, DVec2::new(inner, usual));
    if roomy {
        plan.lens = plan.lens.max(plan.column.min(0.2 * width));
    }
    plan.height() + below_height(&scenes, &all, inner, plan.is_parted && roomy) + 2.0 * EDGE
}

fn scenes<'a>(all: &[(String, &'a Fixture, &'a Results)], states: &'a [ViewState]) -> Vec<Scene<'a>> {
    all.iter().zip(states).map(|((_, fixture, results), state)| Scene::new(fixture, results, state)).collect()
}

/// Room round everything (pt), and the share of the width that the table takes beside the curves.
const EDGE: f64 = 10.0;
const PARTED: f64 = 0.54;

fn panels(scene: &Scene<'_>, frame: Rect) -> Vec<Panel> {
    let inner = frame.grown(-EDGE);
    let all = trials(scene);
    let states: Vec<ViewState> = all.iter().map(|(name, ..)| state_of(scene, name)).collect();
    let scenes = scenes(&all, &states);
    let plan = Plan::new(&scenes, &all, inner.size());
    let mut words = Panel::centred("words", frame, DVec2::ZERO, 1.0);
    let pictures = pictures::Pictures::of(&scenes);
    let mut made = lenses(&mut words, (&scenes, &pictures), &all, &plan, inner.min);
    let left_out = scene.state.others.len() + 1 - scenes.len();
    if left_out > 0 {
        let text = format!("and {left_out} more");
        let at = place(&words, DVec2::new(inner.max.x, frame.min.y + 1.0));
        words.add(Label::new(text, at, NOTE_PT).toned(Tone::FaintInk).anchored(1.0, 1.0));
    }
    let top = inner.min.y + plan.height();
    let below = Rect { min: DVec2::new(inner.min.x, top), max: inner.max };
    let told = changes(&scenes, &all);
    let (left, right) = if plan.is_parted {
        let middle = inner.min.x + PARTED * inner.size().x;
        (
            Rect { max: DVec2::new(middle - BETWEEN, below.max.y), ..below },
            Rect { min: DVec2::new(middle + 4.0, below.min.y), ..below },
        )
    } else {
        // The curves keep their least height; what is left is the table's and the words'.
        let floor = (below.max.y - CURVES - legend_height(&all, below.size().x) - BETWEEN).max(below.min.y);
        (Rect { max: DVec2::new(below.max.x, floor), ..below }, below)
    };
    let end = figures::draw(&mut words, &left, &scenes, &all);
    let end = write_changes(&mut words, &Rect { min: DVec2::new(left.min.x, end + 6.0), ..left }, &told);
    let right =
        if plan.is_parted { right } else { Rect { min: DVec2::new(right.min.x, end + BETWEEN), ..right } };
    if right.size().y > 60.0 {
        let used = legend(&mut words, &all, &right);
        let plots = Rect { min: DVec2::new(right.min.x, right.min.y + used), ..right };
        made.extend(curves(&scenes, plots, plan.is_parted));
    }
    made.push(words);
    made
}

/// The lenses with what is said over them.
fn lenses(
    words: &mut Panel,
    (scenes, pictures): (&[Scene<'_>], &pictures::Pictures),
    all: &[(String, &Fixture, &Results)],
    plan: &Plan,
    from: DVec2,
) -> Vec<Panel> {
    let mut made = Vec::new();
    let mut top = from.y;
    let rows = scenes.chunks(plan.per_row).zip(all.chunks(plan.per_row)).zip(&plan.words);
    for (row, ((scenes, all), lines)) in rows.enumerate() {
        for (number, (scene, (name, ..))) in scenes.iter().zip(all).enumerate() {
            let x = from.x + number as f64 * (plan.column + BETWEEN);
            let mut y = top;
            let mut write = |words: &mut Panel, text: String, size: f64, tone: Tone, step: f64| {
                let at = place(words, DVec2::new(x, y));
                words.add(Label::new(text, at, size).bold().toned(tone).anchored(0.0, 1.0));
                y += step;
            };
            for line in broken(name, TITLE_PT, Weight::SemiBold, plan.column) {
                write(words, line, TITLE_PT, Tone::Ink, 1.3 * TITLE_PT);
            }
            y = top + 1.3 * TITLE_PT * lines.0 as f64;
            let at = place(words, DVec2::new(x, y));
            let line = vec![at.shift_pt, at.shift_pt + DVec2::new(plan.column, 0.0)];
            let pen = Pen::new(if row + number == 0 { Tone::Outline } else { Tone::Axis }, 0.9);
            words.add(Polyline::in_pt(at.world, line, pen));
            y += 5.0;
            let step = 1.35 * NOTE_PT;
            let (text, tone, glyph) = outcome(scene);
            let at = place(words, DVec2::new(x + 4.5, y + 0.35 * NOTE_PT));
            words.add(Mark::new(glyph, at, 7.0, tone));
            let at = place(words, DVec2::new(x + 12.0, y));
            words.add(Label::new(text, at, NOTE_PT).bold().toned(tone).anchored(0.0, 1.0));
            y += step;
            for line in broken(&between(scene), NOTE_PT, Weight::SemiBold, plan.column) {
                let at = place(words, DVec2::new(x, y));
                words.add(Label::new(line, at, NOTE_PT).toned(Tone::FaintInk).anchored(0.0, 1.0));
                y += step;
            }
            let wide = if pictures.are_wide() { plan.column } else { plan.column.min(1.6 * plan.lens) };
            let frame = Rect::at(x, top + Plan::over(*lines), wide, plan.lens);
            made.extend(pictures.panels(scene, frame));
        }
        top += Plan::over(*lines) + plan.lens + BETWEEN;
    }
    made
}

/// What becomes of the two that come nearest, in a few words.
fn outcome(scene: &Scene<'_>) -> (String, Tone, Glyph) {
    let Some(pair) = scene.results.interference.tightest() else {
        let words = format!("nothing within {}", scene.text(glidewright_motion::Interference::REACH, 0));
        return (words, Tone::Clear, Glyph::Apart);
    };
    let tone = outcome_tone(&pair.outcome);
    let glyph = match tone {
        Tone::Clash => Glyph::Overlapping,
        Tone::Marginal => Glyph::Touching,
        _ => Glyph::Apart,
    };
    let gap = if tone == Tone::Clash { (-pair.gap).max(0.0) } else { pair.gap };
    (format!("{} {}", pair.outcome.word(), scene.text(gap, 2)), tone, glyph)
}

/// What every trial after the first has that the first has not, in words.
fn changes(scenes: &[Scene<'_>], all: &[(String, &Fixture, &Results)]) -> Vec<String> {
    let Some(first) = scenes.first() else { return Vec::new() };
    let others = scenes.iter().zip(all).skip(1);
    others
        .map(|(scene, (name, ..))| {
            let told = differences::between(first, scene);
            let told = if told.is_empty() { "no other part or size".to_owned() } else { told.join("; ") };
            format!("{name}: {told}.")
        })
        .collect()
}

/// Writes what was changed as far as there is room; returns where it ends (pt).
fn write_changes(panel: &mut Panel, frame: &Rect, told: &[String]) -> f64 {
    let mut y = frame.min.y;
    for text in told {
        for line in broken(text, NOTE_PT, Weight::Regular, frame.size().x) {
            if y + 1.3 * NOTE_PT > frame.max.y + 0.1 {
                return y;
            }
            y += 1.3 * NOTE_PT;
            let at = place(panel, DVec2::new(frame.min.x, y));
            panel.add(Label::new(line, at, NOTE_PT).toned(Tone::FaintInk).anchored(0.0, 0.0));
        }
        y += 2.0;
    }
    y
}

/// A sample of a curve's line, and what its name takes (pt).
const SAMPLE: f64 = 44.0;

/// Where each name of the legend stands in a width (pt), and the height of all.
fn legend_places(all: &[(String, &Fixture, &Results)], width: f64) -> (Vec<(DVec2, Vec<String>)>, f64) {
    let step = 1.45 * NOTE_PT;
    let mut pen = DVec2::ZERO;
    let mut tall = step;
    let mut places = Vec::new();
    for (name, ..) in all {
        let lines = broken(name, NOTE_PT, Weight::Regular, (width - SAMPLE - 6.0).max(30.0));
        let wide = lines.iter().map(|line| width_of(line, NOTE_PT, Weight::Regular)).fold(0.0, f64::max);
        let wide = SAMPLE + 5.0 + wide + 14.0;
        if pen.x > 0.0 && pen.x + wide - 14.0 > width {
            pen = DVec2::new(0.0, pen.y + tall);
            tall = step;
        }
        tall = tall.max(step * lines.len() as f64);
        places.push((pen, lines));
        pen.x += wide;
    }
    (places, pen.y + tall + 4.0)
}

fn legend_height(all: &[(String, &Fixture, &Results)], width: f64) -> f64 {
    legend_places(all, width).1
}

/// Whose curve is which, once for both plots, with whole names; returns the height it takes (pt).
fn legend(panel: &mut Panel, all: &[(String, &Fixture, &Results)], frame: &Rect) -> f64 {
    let (places, height) = legend_places(all, frame.size().x);
    for (number, (at, lines)) in places.into_iter().enumerate() {
        let (tone, dash) = LOOKS[number % MOST];
        let at = frame.min + at;
        let middle = at.y + 0.5 * 1.45 * NOTE_PT;
        let start = place(panel, DVec2::new(at.x, middle));
        let line = vec![start.shift_pt, start.shift_pt + DVec2::new(SAMPLE, 0.0)];
        panel.add(Polyline::in_pt(start.world, line, Pen::new(tone, 1.3).dashed(dash)));
        for (row, text) in lines.into_iter().enumerate() {
            let at = DVec2::new(at.x + SAMPLE + 5.0, middle + 1.45 * NOTE_PT * row as f64);
            let at = place(panel, at);
            panel.add(Label::new(text, at, NOTE_PT).anchored(0.0, 0.5)).named("legend");
        }
    }
    height
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
fn together(scenes: &[Scene<'_>], kind: StripKind) -> StripData {
    let mut data = StripData { title: kind.title().to_owned(), ..StripData::default() };
    for (number, scene) in scenes.iter().enumerate() {
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
            // The legend above both plots says whose it is.
            name: String::new(),
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

/// Clearance and effort of all in one plot each, one over the other or side by side.
fn curves(scenes: &[Scene<'_>], frame: Rect, stacked: bool) -> Vec<Panel> {
    let Some(scene) = scenes.first() else { return Vec::new() };
    let (from, to) = (scene.fixture.stroke.from, scene.fixture.stroke.to);
    let (from, to) = (from.min(to), from.max(to));
    let span = if to - from > 1e-6 { (from, to) } else { (from - 5.0, to + 5.0) };
    let kinds = [StripKind::Clearance, StripKind::Effort];
    let (across, down) = match (stacked, frame.size().y > 2.0 * CURVES) {
        (true, true) => (1, 2),
        (true, false) => (1, 1),
        (false, _) => (2, 1),
    };
    let room = (frame.size() - DVec2::new(BETWEEN * f64::from(across - 1), 0.0))
        / DVec2::new(f64::from(across), f64::from(down));
    kinds
        .into_iter()
        .zip(0..across * down)
        .map(|(kind, number)| {
            let (column, row) = (number % across, number / across);
            let corner =
                frame.min + DVec2::new(f64::from(column) * (room.x + BETWEEN), f64::from(row) * room.y);
            let plot = Rect::between(
                corner + DVec2::new(STRIP_MARGIN.left, Orientation::Lying.head()),
                corner + room - DVec2::new(STRIP_MARGIN.right, STRIP_MARGIN.below + 2.0),
            );
            let travel_numbers = row + 1 == down;
            let layout = StripLayout { plot, orientation: Orientation::Lying, travel: span, travel_numbers };
            let mut panel = strip_panel(&together(scenes, kind), &layout);
            panel.name = kind.title().to_owned();
            panel
        })
        .collect()
}
