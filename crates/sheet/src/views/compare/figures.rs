//! Key figures of several trials in one table, with the difference to the first.

use glam::DVec2;
use glidewright_motion::{Fixture, PairResult, Results, Severity};

use crate::drawing::{Glyph, Label, Mark, Panel, Polyline, Rect};
use crate::look::{Pen, Tone, Weight, number};
use crate::views::ExtraFigure;
use crate::views::scene::{Scene, gap_tones, outcome_tone};
use crate::views::words::{broken, place, shortened, width_of};

const TEXT_PT: f64 = 8.5;
const NOTE_PT: f64 = 8.0;
const LINE: f64 = 1.6;
/// Share of the width that the names take.
const NAMES: f64 = 0.3;

/// What colours a figure.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    /// Nothing: no one figure says that all is well.
    Plain,
    /// What becomes of the two that come nearest.
    Drawn,
    /// A gap: less than none, less than required, enough.
    Gap,
}

/// A figure: its name, unit, decimals, what colours it, and how to get it.
type Figure = (&'static str, &'static str, usize, Kind, fn(&Scene<'_>) -> Option<f64>);

const FIGURES: &[Figure] = &[
    ("tightest gap as drawn", "mm", 2, Kind::Drawn, |s| gap(s, |pair| pair.gap)),
    ("… under load", "mm", 2, Kind::Gap, |s| gap(s, |pair| pair.loaded.gap)),
    ("… at its worst", "mm", 2, Kind::Gap, |s| gap(s, PairResult::left)),
    ("greatest effort", "N", 2, Kind::Plain, |s| {
        let curves = &s.results.curves;
        largest(curves.effort_up.iter().chain(&curves.effort_down))
    }),
    ("running resistance", "N", 2, Kind::Plain, |s| greatest(&s.results.curves.running_up)),
    ("greatest imbalance", "N", 2, Kind::Plain, |s| largest(s.results.curves.imbalance.iter())),
    ("stays where left", "%", 0, Kind::Plain, held),
    ("greatest wheel load", "N", 1, Kind::Plain, |s| wheels(s, |wheel| wheel.normal)),
    ("greatest pressure", "MPa", 1, Kind::Plain, |s| wheels(s, |wheel| wheel.pressure)),
    ("drive torque", "N·mm", 0, Kind::Plain, |s| greatest(&s.results.curves.torque_up)),
    ("riders weigh", "g", 0, Kind::Plain, |s| {
        Some(1e3 * s.results.assembly.riders.iter().map(|rider| rider.mass.total()).sum::<f64>())
    }),
];

/// The least gap of a kind (mm) among what passes, end stops apart.
fn gap(scene: &Scene<'_>, of: fn(&PairResult) -> f64) -> Option<f64> {
    scene.results.interference.least(of)
}

/// The largest value either way; none where it has no bound, as the effort where a rider jams.
fn largest<'v>(values: impl Iterator<Item = &'v f64>) -> Option<f64> {
    values.map(|v| v.abs()).filter(|v| !v.is_nan()).reduce(f64::max).filter(|v| v.is_finite())
}

fn greatest(values: &[f64]) -> Option<f64> {
    values.iter().copied().filter(|v| !v.is_nan()).reduce(f64::max).filter(|v| v.is_finite())
}

fn held(scene: &Scene<'_>) -> Option<f64> {
    let curves = &scene.results.curves;
    let count = curves.travel.len();
    let holds = (0..count).filter(|i| curves.holds(*i)).count();
    (count > 0).then(|| 100.0 * holds as f64 / count as f64)
}

fn wheels(scene: &Scene<'_>, of: fn(&glidewright_motion::loads::WheelLoad) -> f64) -> Option<f64> {
    let all = scene.results.curves.loads.iter().flatten().flat_map(|loads| &loads.wheels);
    all.map(of).filter(|v| v.is_finite()).reduce(f64::max)
}

/// How a table of so many trials is divided (pt).
struct Columns {
    left: f64,
    right: f64,
    names: f64,
    column: f64,
}

impl Columns {
    fn of(frame: &Rect, count: usize) -> Self {
        let size = frame.size().x;
        // Few trials leave the names more room.
        let names = (NAMES * size).clamp(110.0_f64.min(0.5 * size), 190.0);
        Self { left: frame.min.x, right: frame.max.x, names, column: (size - names) / count.max(1) as f64 }
    }

    /// Where the figures of a trial end.
    fn end(&self, number: usize) -> f64 {
        self.left + self.names + (number as f64 + 1.0) * self.column
    }

    /// The trials' names in lines.
    fn heads(&self, all: &[(String, &Fixture, &Results)]) -> Vec<Vec<String>> {
        all.iter().map(|(name, ..)| broken(name, TEXT_PT, Weight::SemiBold, self.column - 8.0)).collect()
    }
}

/// Height of a head of so many lines (pt).
fn head_height(lines: usize) -> f64 {
    LINE * TEXT_PT + (lines.max(1) - 1) as f64 * 1.2 * TEXT_PT
}

/// A row of the table.
pub(super) struct Row {
    pub(super) name: String,
    /// The unit it is written in, and decimals.
    pub(super) unit: String,
    pub(super) decimals: usize,
    kind: Kind,
    /// Of each trial, in that unit.
    pub(super) values: Vec<Option<f64>>,
}

impl Row {
    /// Whether it says the same of all.
    fn is_alike(&self) -> bool {
        let said = |value: &Option<f64>| value.map(|value| number(value, self.decimals));
        let mut all = self.values.iter().map(said);
        let first = all.next().flatten();
        first.is_some() && all.all(|other| other == first)
    }

    /// "riders weigh 2038 g"
    fn words(&self) -> String {
        let value = self.values.first().copied().flatten().map(|value| number(value, self.decimals));
        format!("{} {} {}", self.name, value.unwrap_or_default(), self.unit).trim_end().to_owned()
    }
}

/// The figures some trial has, the engine's first.
pub(super) fn all_rows(scenes: &[Scene<'_>]) -> Vec<Row> {
    let units = scenes.first().map(Scene::unit).unwrap_or_default();
    let own = FIGURES.iter().map(|(name, unit, decimals, kind, of)| {
        let shown = units.of_symbol(unit);
        let in_unit = |value: f64| shown.map_or(value, |own| value / own.size);
        Row {
            name: (*name).to_owned(),
            unit: shown.map_or(*unit, |own| own.symbol).to_owned(),
            decimals: shown.map_or(*decimals, |own| own.decimals(*decimals)),
            kind: *kind,
            values: scenes.iter().map(|scene| of(scene).map(in_unit)).collect(),
        }
    });
    let mut all: Vec<Row> = own.collect();
    let mut known: Vec<&ExtraFigure> = Vec::new();
    for extra in scenes.iter().flat_map(|scene| scene.state.extras.iter()) {
        if !known.iter().any(|other| other.name == extra.name) {
            known.push(extra);
        }
    }
    for extra in known {
        let shown = units.of_symbol(&extra.unit);
        let of = |scene: &Scene<'_>| {
            let own = scene.state.extras.iter().find(|other| other.name == extra.name)?;
            Some(shown.map_or(own.value, |unit| own.value / unit.size))
        };
        all.push(Row {
            name: extra.name.clone(),
            unit: shown.map_or(extra.unit.as_str(), |unit| unit.symbol).to_owned(),
            decimals: shown.map_or(extra.decimals, |unit| unit.decimals(extra.decimals)),
            kind: Kind::Plain,
            values: scenes.iter().map(of).collect(),
        });
    }
    all.retain(|row| row.values.iter().any(Option::is_some));
    all
}

/// The figures in which trials differ, and in words what is alike in all of them.
fn rows(scenes: &[Scene<'_>]) -> (Vec<Row>, Vec<String>) {
    let all = all_rows(scenes);
    let (alike, differing): (Vec<Row>, Vec<Row>) =
        all.into_iter().partition(|row| scenes.len() > 1 && row.is_alike());
    (differing, alike.iter().map(Row::words).collect())
}

/// What is alike, in lines of a width (pt).
fn alike_lines(alike: &[String], width: f64) -> Vec<String> {
    if alike.is_empty() {
        return Vec::new();
    }
    broken(&format!("Alike in all: {}.", alike.join("; ")), NOTE_PT, Weight::Regular, width)
}

/// What the table takes in a width (pt).
pub(super) fn height(width: f64, scenes: &[Scene<'_>], all: &[(String, &Fixture, &Results)]) -> f64 {
    let columns = Columns::of(&Rect::at(0.0, 0.0, width, 1.0), scenes.len());
    let lines = columns.heads(all).iter().map(Vec::len).max().unwrap_or(1);
    let (rows, alike) = rows(scenes);
    let alike = alike_lines(&alike, width).len() as f64 * 1.3 * NOTE_PT;
    head_height(lines) + (rows.len() as f64 + 1.0) * LINE * TEXT_PT + alike
}

/// Writes the table into a frame (pt) as far as there is room; returns where it ends (pt).
pub(super) fn draw(
    panel: &mut Panel,
    frame: &Rect,
    scenes: &[Scene<'_>],
    all: &[(String, &Fixture, &Results)],
) -> f64 {
    let step = LINE * TEXT_PT;
    let columns = Columns::of(frame, scenes.len());
    let rule = |panel: &mut Panel, y: f64| {
        let at = place(panel, DVec2::new(columns.left, y));
        let line = vec![at.shift_pt, at.shift_pt + DVec2::new(columns.right - columns.left, 0.0)];
        panel.add(Polyline::in_pt(at.world, line, Pen::new(Tone::Grid, 0.6)));
    };
    let base = 0.42 * TEXT_PT;
    let heads = columns.heads(all);
    let lines = heads.iter().map(Vec::len).max().unwrap_or(1);
    let mut y = frame.min.y + head_height(lines);
    for (number_of, head) in heads.iter().enumerate() {
        for (row, text) in head.iter().enumerate() {
            let at = place(
                panel,
                DVec2::new(columns.end(number_of), y - base - 1.2 * TEXT_PT * (head.len() - 1 - row) as f64),
            );
            panel.add(Label::new(text.as_str(), at, TEXT_PT).bold().anchored(1.0, 0.0));
        }
    }
    rule(panel, y);
    y = verdicts(panel, &columns, scenes, y);
    rule(panel, y);
    let (rows, alike) = rows(scenes);
    for Row { name, unit, decimals, kind: better, values } in &rows {
        if y + step > frame.max.y + 0.1 {
            break;
        }
        let decimals = *decimals;
        y += step;
        let at = place(panel, DVec2::new(columns.left, y - base));
        let name = if unit.is_empty() { name.clone() } else { format!("{name}, {unit}") };
        let label = shortened(&name, TEXT_PT, Weight::Regular, columns.names);
        panel.add(Label::new(label, at, TEXT_PT).toned(Tone::FaintInk).anchored(0.0, 0.0));
        let first = values.first().copied().flatten();
        for ((number_of, value), scene) in values.iter().enumerate().zip(scenes) {
            let at = place(panel, DVec2::new(columns.end(number_of), y - base));
            let Some(value) = *value else {
                panel.add(Label::new("–", at, TEXT_PT).toned(Tone::FaintInk).anchored(1.0, 0.0));
                continue;
            };
            let text = number(value, decimals);
            let used = width_of(&text, TEXT_PT, Weight::SemiBold);
            // Colours are those of outcomes; what merely grew or fell has a sign.
            let tightest = scene.results.interference.tightest();
            let tone = match (*better, tightest) {
                (Kind::Drawn, Some(pair)) => outcome_tone(&pair.outcome),
                (Kind::Gap, Some(pair)) => {
                    let size = scene.unit().of_symbol("mm").map_or(1.0, |own| own.size);
                    gap_tones(value * size, pair.asked).0
                }
                _ => Tone::Ink,
            };
            let least = 0.5 * 0.1_f64.powi(decimals as i32);
            let change = first.map(|first| value - first).filter(|c| number_of > 0 && c.abs() >= least);
            // What is as with the first stands back.
            let is_same = number_of > 0 && change.is_none() && first.is_some();
            let label = Label::new(text, at, TEXT_PT).anchored(1.0, 0.0);
            let tone = if is_same && tone == Tone::Ink { Tone::FaintInk } else { tone };
            panel.add(if is_same { label.toned(tone) } else { label.bold().toned(tone) });
            if let Some(change) = change {
                let sign = if change > 0.0 { "+" } else { "" };
                let text = format!("{sign}{}", number(change, decimals));
                if width_of(&text, TEXT_PT, Weight::Regular) + used + 10.0 < columns.column {
                    let at = place(panel, DVec2::new(columns.end(number_of) - used - 5.0, y - base));
                    panel.add(Label::new(text, at, TEXT_PT).toned(Tone::FaintInk).anchored(1.0, 0.0));
                }
            }
        }
        rule(panel, y);
    }
    for line in alike_lines(&alike, frame.size().x) {
        if y + 1.3 * NOTE_PT > frame.max.y + 0.1 {
            break;
        }
        y += 1.3 * NOTE_PT;
        let at = place(panel, DVec2::new(columns.left, y));
        panel.add(Label::new(line, at, NOTE_PT).toned(Tone::FaintInk).anchored(0.0, 0.0));
    }
    y
}

/// How many findings there are, the worst marked.
fn verdicts(panel: &mut Panel, columns: &Columns, scenes: &[Scene<'_>], y: f64) -> f64 {
    let y = y + LINE * TEXT_PT;
    let base = 0.42 * TEXT_PT;
    let column = columns.column;
    let at = place(panel, DVec2::new(columns.left, y - base));
    panel.add(Label::new("findings", at, TEXT_PT).toned(Tone::FaintInk).anchored(0.0, 0.0));
    for (number_of, scene) in scenes.iter().enumerate() {
        let count = |severity: Severity| {
            scene.results.findings.iter().filter(|finding| finding.severity == severity).count()
        };
        let (fails, marginal) = (count(Severity::Fails), count(Severity::Marginal));
        let fail = if fails == 1 { "1 fails".to_owned() } else { format!("{fails} fail") };
        let (words, tone, glyph) = if fails > 0 {
            let both = if marginal > 0 { format!("{fail}, {marginal} marginal") } else { fail.clone() };
            ([both, fail], Tone::Clash, Glyph::Overlapping)
        } else if marginal > 0 {
            ([format!("{marginal} marginal"), marginal.to_string()], Tone::Marginal, Glyph::Touching)
        } else {
            (["all in order", "in order"].map(str::to_owned), Tone::Clear, Glyph::Apart)
        };
        // The mark says it too where words have no room.
        let fits = |text: &String| width_of(text, TEXT_PT, Weight::SemiBold) + 18.0 < column;
        let text = words.into_iter().find(fits).unwrap_or_default();
        let at = place(panel, DVec2::new(columns.end(number_of), y - base));
        let used = width_of(&text, TEXT_PT, Weight::SemiBold);
        panel.add(Label::new(text, at, TEXT_PT).bold().toned(tone).anchored(1.0, 0.0));
        let at = place(panel, DVec2::new(columns.end(number_of) - used - 8.0, y - base - 0.35 * TEXT_PT));
        panel.add(Mark::new(glyph, at, 7.0, tone));
    }
    y
}
