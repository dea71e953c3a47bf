//! The findings with their reasons in full, worst first, flowing from column to column.

use glam::DVec2;
use glidewright_motion::{Finding, Severity};

use crate::drawing::{Glyph, Label, Mark, Panel, Rect};
use crate::look::{ReaderUnits, Tone, Weight};
use crate::views::words::{broken, place};

const TITLE_PT: f64 = 9.0;
const TEXT_PT: f64 = 8.5;
const WHY_PT: f64 = 8.0;
const INDENT: f64 = 13.0;
/// Height of a line, in type sizes, and free below a finding (pt).
const LINE: f64 = 1.3;
const BELOW: f64 = 3.0;

/// Room above the first finding, with the heading (pt).
const HEAD: f64 = 1.4 * TITLE_PT;

/// A line of a finding.
struct Row {
    text: String,
    size_pt: f64,
    tone: Tone,
    bold: bool,
    /// Opens the finding: its mark stands before it.
    mark: Option<(Tone, Glyph, &'static str)>,
    /// Closes it: a little room follows.
    last: bool,
}

impl Row {
    fn height(&self) -> f64 {
        LINE * self.size_pt + if self.last { BELOW } else { 0.0 }
    }
}

/// The findings as lines of a width (pt). The reason stands with what is not in order.
fn rows(findings: &[Finding], unit: ReaderUnits, width: f64) -> Vec<Row> {
    let width = (width - INDENT).max(40.0);
    let mut rows = Vec::new();
    for finding in findings {
        let look = look(finding.severity);
        let title = format!("{}: {}", look.2, unit.phrase(&finding.title));
        for (number, text) in broken(&title, TEXT_PT, Weight::SemiBold, width).into_iter().enumerate() {
            let mark = (number == 0).then_some(look);
            rows.push(Row { text, size_pt: TEXT_PT, tone: Tone::Ink, bold: true, mark, last: false });
        }
        if finding.severity != Severity::Note {
            for text in broken(&unit.phrase(&finding.reason), WHY_PT, Weight::Regular, width) {
                let tone = Tone::FaintInk;
                rows.push(Row { text, size_pt: WHY_PT, tone, bold: false, mark: None, last: false });
            }
        }
        if let Some(last) = rows.last_mut() {
            last.last = true;
        }
    }
    rows
}

/// What is left to be told of some findings: from the finding of this number on, and in it from this line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Rest {
    finding: usize,
}

impl Rest {
    /// Everything.
    pub(super) const ALL: Self = Self { finding: 0 };
}

/// Writes findings into a frame (pt) from where `rest` says; returns what has no room. A finding is not parted unless it
/// alone is higher than the frame.
pub(super) fn draw(
    panel: &mut Panel,
    frame: &Rect,
    findings: &[Finding],
    unit: ReaderUnits,
    rest: Rest,
) -> Option<Rest> {
    let mut y = frame.min.y;
    heading(panel, frame, rest.finding > 0);
    y += HEAD;
    let left = findings.get(rest.finding..).unwrap_or_default();
    if findings.is_empty() {
        let at = place(panel, DVec2::new(frame.min.x, y + LINE * TEXT_PT));
        panel.add(Label::new("Nothing to report.", at, TEXT_PT).toned(Tone::FaintInk).anchored(0.0, 0.0));
    }
    for (number, finding) in left.iter().enumerate() {
        let rows = rows(std::slice::from_ref(finding), unit, frame.size().x);
        let height: f64 = rows.iter().map(Row::height).sum();
        if y + height - BELOW > frame.max.y + 0.1 {
            return Some(Rest { finding: rest.finding + number });
        }
        write(panel, frame.min.x, &mut y, &rows);
    }
    None
}

fn heading(panel: &mut Panel, frame: &Rect, again: bool) {
    let words = if again { "Findings, continued" } else { "Findings" };
    let at = place(panel, DVec2::new(frame.min.x, frame.min.y + HEAD - 2.0));
    panel.add(Label::new(words, at, TITLE_PT).bold().anchored(0.0, 0.0));
}

fn write(panel: &mut Panel, x: f64, y: &mut f64, rows: &[Row]) {
    for row in rows {
        if let Some((tone, glyph, word)) = row.mark {
            let mark = place(panel, DVec2::new(x + 4.5, *y + 0.85 * TEXT_PT));
            let size = if glyph == Glyph::Circle { 4.0 } else { 7.5 };
            panel.add(Mark::new(glyph, mark, size, tone)).named(word);
        }
        let at = place(panel, DVec2::new(x + INDENT, *y + LINE * row.size_pt));
        let label = Label::new(row.text.as_str(), at, row.size_pt).toned(row.tone).anchored(0.0, 0.0);
        panel.add(if row.bold { label.bold() } else { label });
        *y += row.height();
    }
}

/// Says how many findings are left, on the last line of a frame.
pub(super) fn more(panel: &mut Panel, frame: &Rect, findings: &[Finding], rest: Rest) {
    let left = findings.len().saturating_sub(rest.finding);
    let at = place(panel, DVec2::new(frame.min.x + INDENT, frame.max.y));
    panel.add(Label::new(format!("and {left} more"), at, WHY_PT).toned(Tone::FaintInk).anchored(0.0, 0.0));
}

/// Height of a line that says how many are left (pt).
pub(super) const MORE: f64 = LINE * WHY_PT;

/// Writes what is left into columns of a width from a point on (pt), as low as evenly filled columns allow and no lower than
/// `deepest`; returns where they end, and what has no room even so.
pub(super) fn columns(
    panel: &mut Panel,
    frame: &Rect,
    count: usize,
    findings: &[Finding],
    unit: ReaderUnits,
    rest: Rest,
) -> (f64, Option<Rest>) {
    let count = count.max(1);
    let gap = 18.0;
    let width = (frame.size().x - gap * (count - 1) as f64) / count as f64;
    let heights: Vec<f64> = findings
        .get(rest.finding..)
        .unwrap_or_default()
        .iter()
        .map(|finding| rows(std::slice::from_ref(finding), unit, width).iter().map(Row::height).sum())
        .collect();
    let tallest = heights.iter().copied().fold(0.0, f64::max);
    // The least depth at which everything fits the columns: deeper by a line at a time.
    let deepest = frame.size().y - HEAD;
    let fits = |depth: f64| {
        let (mut column, mut used) = (1, 0.0);
        for height in &heights {
            if used > 0.0 && used + height > depth {
                column += 1;
                used = 0.0;
            }
            used += height;
        }
        column <= count
    };
    let mut depth = tallest.max(heights.iter().sum::<f64>() / count as f64).min(deepest.max(tallest));
    while depth < deepest && !fits(depth) {
        depth += LINE * WHY_PT;
    }
    // A finding higher than a whole page is written beyond its end rather than cut.
    let depth = depth.min(deepest.max(tallest));
    heading(panel, frame, true);
    let top = frame.min.y + HEAD;
    let (mut column, mut y, mut end) = (0, top, top);
    for (number, (finding, height)) in findings.iter().skip(rest.finding).zip(&heights).enumerate() {
        if y > top && y + height > top + depth + 0.1 {
            (column, y) = (column + 1, top);
            if column == count {
                return (end, Some(Rest { finding: rest.finding + number }));
            }
        }
        let x = frame.min.x + column as f64 * (width + gap);
        write(panel, x, &mut y, &rows(std::slice::from_ref(finding), unit, width));
        end = end.max(y);
    }
    (end, None)
}

const fn look(severity: Severity) -> (Tone, Glyph, &'static str) {
    match severity {
        Severity::Fails => (Tone::Clash, Glyph::Overlapping, "fails"),
        Severity::Marginal => (Tone::Marginal, Glyph::Touching, "marginal"),
        Severity::Note => (Tone::FaintInk, Glyph::Circle, "note"),
    }
}
