//! What a picture is of, in one line over it, and whatever else is said beside it.

use glam::DVec2;

use super::Verdict;
use crate::drawing::{Label, Mark, Panel, Polyline};
use crate::look::{Pen, Tone, Weight};
use crate::views::words::{broken, width_of};

/// Type sizes of the line, the first that fits counts (pt).
const SIZES: [f64; 5] = [13.0, 12.0, 11.0, 10.0, 9.0];
const SMALL_PT: f64 = 8.5;
/// Between the parts of the line, in type sizes.
const APART: f64 = 0.9;
/// Least room between the line and what stands at its right end (pt).
const BETWEEN: f64 = 24.0;
/// Room below the last line, with the rule (pt).
const BELOW: f64 = 9.0;

/// The words of a title.
pub(super) struct Title {
    /// The fixture.
    pub(super) name: String,
    /// The trial, or how many are compared.
    pub(super) trial: String,
    pub(super) verdict: Verdict,
    /// The view, and at which travel it is drawn.
    pub(super) view: String,
    /// A line of the maker's own.
    pub(super) note: String,
}

/// A stretch of text in one colour and weight.
struct Run<'a> {
    text: &'a str,
    tone: Tone,
    weight: Weight,
    marked: bool,
}

/// Lines of runs, with the size of their type.
struct Lines<'a> {
    size: f64,
    rows: Vec<Vec<Run<'a>>>,
}

impl Title {
    fn runs(&self) -> Vec<Run<'_>> {
        let run = |text, tone, weight, marked| Run { text, tone, weight, marked };
        let verdict = &self.verdict;
        let mut runs = vec![
            run(self.name.as_str(), Tone::Ink, Weight::SemiBold, false),
            run(self.trial.as_str(), Tone::Ink, Weight::Regular, false),
            run(verdict.words.as_str(), verdict.tone, Weight::SemiBold, true),
        ];
        if let Some((text, tone)) = &verdict.besides {
            runs.push(run(text.as_str(), *tone, Weight::SemiBold, false));
        }
        runs.retain(|run| !run.text.trim().is_empty());
        runs
    }

    /// Width of the whole in one line at its largest (pt).
    pub(super) fn width(&self) -> f64 {
        width(&self.runs(), SIZES[0])
    }

    fn lines(&self, room: f64) -> Lines<'_> {
        let runs = self.runs();
        if let Some(size) = SIZES.into_iter().find(|size| width(&runs, *size) <= room) {
            return Lines { size, rows: vec![runs] };
        }
        // So long a name takes lines of its own.
        let size = SIZES[SIZES.len() - 1];
        let mut rows: Vec<Vec<Run<'_>>> = Vec::new();
        for run in runs {
            let fits =
                |row: &Vec<Run<'_>>| width(row, size) + APART * size + width_of_run(&run, size) <= room;
            match rows.last_mut().filter(|row| fits(row)) {
                Some(row) => row.push(run),
                None => rows.push(vec![run]),
            }
        }
        Lines { size, rows }
    }

    /// Writes it from a point (pt) in a width; returns the height it takes with the rule below.
    pub(super) fn draw(&self, panel: &mut Panel, from: DVec2, room: f64) -> f64 {
        let lines = self.lines(room);
        let size = lines.size;
        let mut y = from.y;
        let mut used = 0.0;
        for row in &lines.rows {
            y += 1.25 * size;
            used =
                write_row(panel, row, DVec2::new(from.x, y - 0.3 * size), size, room, &self.verdict, &mut y);
        }
        let beside = width_of(&self.view, SMALL_PT, Weight::Regular);
        if used + BETWEEN + beside <= room {
            let at = DVec2::new(from.x + room, y - 0.3 * size);
            panel.add(Label::new(self.view.as_str(), at, SMALL_PT).toned(Tone::FaintInk).anchored(1.0, 0.0));
        } else {
            write_small(panel, &self.view, Tone::FaintInk, from.x, room, &mut y);
        }
        write_small(panel, &self.note, Tone::Ink, from.x, room, &mut y);
        let rule = vec![DVec2::new(from.x, y + 3.0), DVec2::new(from.x + room, y + 3.0)];
        panel.add(Polyline::new(rule, Pen::new(Tone::Outline, 0.8)));
        y + BELOW - from.y
    }
}

fn write_small(panel: &mut Panel, text: &str, tone: Tone, x: f64, room: f64, y: &mut f64) {
    for line in broken(text, SMALL_PT, Weight::Regular, room) {
        *y += 1.35 * SMALL_PT;
        let at = DVec2::new(x, *y - 0.3 * SMALL_PT);
        panel.add(Label::new(line, at, SMALL_PT).toned(tone).anchored(0.0, 0.0));
    }
}

/// Writes a row of runs from a point on its baseline; returns what it takes. A run too long for a line goes on below.
fn write_row(
    panel: &mut Panel,
    row: &[Run<'_>],
    from: DVec2,
    size: f64,
    room: f64,
    verdict: &Verdict,
    y: &mut f64,
) -> f64 {
    let mut at = from;
    for (number, run) in row.iter().enumerate() {
        if number > 0 {
            let dot = DVec2::new(at.x + 0.5 * APART * size, at.y);
            panel.add(Label::new("·", dot, size).toned(Tone::FaintInk).anchored(0.5, 0.0));
            at.x += APART * size;
        }
        if run.marked {
            let middle = DVec2::new(at.x + 0.5 * size, at.y - 0.35 * size);
            panel.add(Mark::new(verdict.glyph, middle, 0.75 * size, verdict.mark));
            at.x += mark_room(size);
        }
        let left = (from.x + room - at.x).max(size);
        for (line, text) in broken(run.text, size, run.weight, left).into_iter().enumerate() {
            if line > 0 {
                *y += 1.25 * size;
                at = DVec2::new(from.x, at.y + 1.25 * size);
            }
            let wide = width_of(&text, size, run.weight);
            let label = Label { weight: run.weight, ..Label::new(text, at, size) };
            panel.add(label.toned(run.tone).anchored(0.0, 0.0));
            at.x += wide;
        }
    }
    at.x - from.x
}

fn mark_room(size: f64) -> f64 {
    1.25 * size
}

fn width_of_run(run: &Run<'_>, size: f64) -> f64 {
    width_of(run.text, size, run.weight) + if run.marked { mark_room(size) } else { 0.0 }
}

fn width(runs: &[Run<'_>], size: f64) -> f64 {
    let between = APART * size * runs.len().saturating_sub(1) as f64;
    runs.iter().map(|run| width_of_run(run, size)).sum::<f64>() + between
}
