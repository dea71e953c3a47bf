//! Key figures of several trials in one table, with the difference to the first.

use glam::DVec2;
use glidewright_motion::{Fixture, PairResult, Results, Severity};

use crate::drawing::{Glyph, Label, Mark, Panel, Polyline, Rect};
use crate::look::{Pen, Tone, Weight, number};
use crate::views::scene::{Scene, gap_tones};
use crate::views::words::{place, shortened, width_of};

const TEXT_PT: f64 = 8.5;
const LINE: f64 = 1.6;
/// Share of the width that the names take.
const NAMES: f64 = 0.3;

/// Which way a figure is better.
#[derive(Clone, Copy, PartialEq)]
enum Better {
    More,
    Less,
    /// Neither way.
    Plain,
    /// A gap: what counts is whether it is required, not whether it grew.
    Gap,
}

/// A figure: its name, unit, decimals, which way is better, and how to get it.
type Figure = (&'static str, &'static str, usize, Better, fn(&Scene<'_>) -> Option<f64>);

const FIGURES: &[Figure] = &[
    ("tightest gap as drawn", "mm", 2, Better::Gap, |s| gap(s, |pair| pair.gap)),
    ("… under load", "mm", 2, Better::Gap, |s| gap(s, |pair| pair.loaded.gap)),
    ("… at its worst", "mm", 2, Better::Gap, |s| gap(s, PairResult::left)),
    ("greatest effort", "N", 2, Better::Less, |s| {
        let curves = &s.results.curves;
        largest(curves.effort_up.iter().chain(&curves.effort_down))
    }),
    ("running resistance", "N", 2, Better::Less, |s| greatest(&s.results.curves.running_up)),
    ("greatest imbalance", "N", 2, Better::Less, |s| largest(s.results.curves.imbalance.iter())),
    ("stays where left", "%", 0, Better::More, held),
    ("greatest wheel load", "N", 1, Better::Less, |s| wheels(s, |wheel| wheel.normal)),
    ("greatest pressure", "MPa", 1, Better::Less, |s| wheels(s, |wheel| wheel.pressure)),
    ("drive torque", "N·mm", 0, Better::Less, |s| greatest(&s.results.curves.torque_up)),
    ("riders weigh", "g", 0, Better::Plain, |s| {
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

/// Writes the table into a frame (pt) as far as there is room; returns where it ends (pt).
pub(super) fn draw(
    panel: &mut Panel,
    frame: &Rect,
    scenes: &[Scene<'_>],
    all: &[(String, &Fixture, &Results)],
) -> f64 {
    let step = LINE * TEXT_PT;
    let names = NAMES * frame.size().x;
    let column = (frame.size().x - names) / scenes.len().max(1) as f64;
    let right = |number: usize| frame.min.x + names + (number as f64 + 1.0) * column;
    let mut y = frame.min.y + step;
    let rule = |panel: &mut Panel, y: f64| {
        let at = place(panel, DVec2::new(frame.min.x, y));
        let line = vec![at.shift_pt, at.shift_pt + DVec2::new(frame.size().x, 0.0)];
        panel.add(Polyline::in_pt(at.world, line, Pen::new(Tone::Grid, 0.6)));
    };
    let base = 0.42 * TEXT_PT;
    for (number_of, (name, ..)) in all.iter().enumerate() {
        let text = shortened(name, TEXT_PT, Weight::SemiBold, column - 8.0);
        let at = place(panel, DVec2::new(right(number_of), y - base));
        panel.add(Label::new(text, at, TEXT_PT).bold().anchored(1.0, 0.0));
    }
    rule(panel, y);
    y = verdicts(panel, frame, scenes, y, &right);
    rule(panel, y);
    for (name, unit, decimals, better, of) in FIGURES {
        let lengths = scenes.first().map(Scene::unit).filter(|_| *unit == "mm");
        let (unit, decimals) = lengths.map_or((*unit, *decimals), |u| (u.symbol(), u.decimals(*decimals)));
        let in_unit = |value: f64| lengths.map_or(value, |unit| unit.value_of_mm(value));
        let values: Vec<Option<f64>> = scenes.iter().map(|scene| of(scene).map(in_unit)).collect();
        if y + step > frame.max.y || values.iter().all(Option::is_none) {
            continue;
        }
        y += step;
        let at = place(panel, DVec2::new(frame.min.x, y - base));
        let label = shortened(&format!("{name}, {unit}"), TEXT_PT, Weight::Regular, names);
        panel.add(Label::new(label, at, TEXT_PT).toned(Tone::FaintInk).anchored(0.0, 0.0));
        let first = values.first().copied().flatten();
        for (number_of, value) in values.iter().enumerate() {
            let at = place(panel, DVec2::new(right(number_of), y - base));
            let Some(value) = *value else {
                panel.add(Label::new("–", at, TEXT_PT).toned(Tone::FaintInk).anchored(1.0, 0.0));
                continue;
            };
            let text = number(value, decimals);
            let least = 0.5 * 0.1_f64.powi(decimals as i32);
            let change = first.map(|first| value - first).filter(|c| number_of > 0 && c.abs() >= least);
            let used = width_of(&text, TEXT_PT, Weight::SemiBold);
            let asked = scenes.get(number_of).and_then(|scene| scene.results.interference.tightest());
            let tone = match (change, better) {
                (_, Better::Gap) => {
                    let asked = asked.map_or(0.0, |pair| pair.asked);
                    gap_tones(of(&scenes[number_of]).unwrap_or(value), asked).0
                }
                (Some(change), Better::More) if change > 0.0 => Tone::Clear,
                (Some(change), Better::Less) if change < 0.0 => Tone::Clear,
                (Some(_), Better::More | Better::Less) => Tone::Marginal,
                _ => Tone::Ink,
            };
            panel.add(Label::new(text, at, TEXT_PT).bold().toned(tone).anchored(1.0, 0.0));
            if let Some(change) = change {
                let sign = if change > 0.0 { "+" } else { "" };
                let text = format!("{sign}{}", number(change, decimals));
                if width_of(&text, TEXT_PT, Weight::Regular) + used + 8.0 < column {
                    let at = place(panel, DVec2::new(right(number_of) - used - 5.0, y - base));
                    panel.add(Label::new(text, at, TEXT_PT).toned(Tone::FaintInk).anchored(1.0, 0.0));
                }
            }
        }
        rule(panel, y);
    }
    y
}

/// How many findings there are, the worst marked.
fn verdicts(
    panel: &mut Panel,
    frame: &Rect,
    scenes: &[Scene<'_>],
    y: f64,
    right: &dyn Fn(usize) -> f64,
) -> f64 {
    let y = y + LINE * TEXT_PT;
    let base = 0.42 * TEXT_PT;
    let column = (1.0 - NAMES) * frame.size().x / scenes.len().max(1) as f64;
    let at = place(panel, DVec2::new(frame.min.x, y - base));
    panel.add(Label::new("findings", at, TEXT_PT).toned(Tone::FaintInk).anchored(0.0, 0.0));
    for (number_of, scene) in scenes.iter().enumerate() {
        let count = |severity: Severity| {
            scene.results.findings.iter().filter(|finding| finding.severity == severity).count()
        };
        let (fails, marginal) = (count(Severity::Fails), count(Severity::Marginal));
        let fail = if fails == 1 { "1 fails".to_owned() } else { format!("{fails} fail") };
        let (words, tone, glyph) = if fails > 0 {
            ([format!("{fail}, {marginal} marginal"), fail], Tone::Clash, Glyph::Overlapping)
        } else if marginal > 0 {
            ([format!("{marginal} marginal"), marginal.to_string()], Tone::Marginal, Glyph::Touching)
        } else {
            (["all in order", "in order"].map(str::to_owned), Tone::Clear, Glyph::Apart)
        };
        // The mark says it too where words have no room.
        let fits = |text: &String| width_of(text, TEXT_PT, Weight::SemiBold) + 18.0 < column;
        let text = words.into_iter().find(fits).unwrap_or_default();
        let at = place(panel, DVec2::new(right(number_of), y - base));
        let used = width_of(&text, TEXT_PT, Weight::SemiBold);
        panel.add(Label::new(text, at, TEXT_PT).bold().toned(tone).anchored(1.0, 0.0));
        let at = place(panel, DVec2::new(right(number_of) - used - 8.0, y - base - 0.35 * TEXT_PT));
        panel.add(Mark::new(glyph, at, 7.0, tone));
    }
    y
}
