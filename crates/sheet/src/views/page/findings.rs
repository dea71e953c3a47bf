//! The findings, worst first, as far as there is room.

use glam::DVec2;
use glidewright_motion::{Finding, Severity};

use crate::drawing::{Glyph, Label, Mark, Panel, Rect};
use crate::look::{LengthUnit, Tone, Weight};
use crate::views::words::{place, wrapped};

const TITLE_PT: f64 = 9.0;
const TEXT_PT: f64 = 8.5;
const WHY_PT: f64 = 8.0;
const INDENT: f64 = 13.0;

pub(super) fn draw(panel: &mut Panel, frame: &Rect, findings: &[Finding], unit: LengthUnit) {
    let mut y = frame.min.y + 1.4 * TITLE_PT;
    let at = place(panel, DVec2::new(frame.min.x, y - 2.0));
    panel.add(Label::new("Findings", at, TITLE_PT).bold().anchored(0.0, 0.0));
    if findings.is_empty() {
        let at = place(panel, DVec2::new(frame.min.x, y + 1.3 * TEXT_PT));
        panel.add(Label::new("Nothing to report.", at, TEXT_PT).toned(Tone::FaintInk).anchored(0.0, 0.0));
    }
    let width = frame.size().x - INDENT;
    for (number, finding) in findings.iter().enumerate() {
        let (tone, glyph, word) = look(finding.severity);
        let titles =
            wrapped(&format!("{word}: {}", unit.phrase(&finding.title)), TEXT_PT, Weight::SemiBold, width, 2);
        // The reason only for what is not in order.
        let most = if finding.severity == Severity::Note { 0 } else { 2 };
        let whys = if most == 0 {
            Vec::new()
        } else {
            wrapped(&unit.phrase(&finding.reason), WHY_PT, Weight::Regular, width, most)
        };
        let rows = |lines: usize, size: f64| lines as f64 * 1.3 * size;
        let needed = rows(titles.len(), TEXT_PT) + rows(whys.len(), WHY_PT) + 3.0;
        let left = findings.len() - number;
        let reserve = if left > 1 { 1.3 * WHY_PT } else { 0.0 };
        if y + needed + reserve > frame.max.y {
            let at = place(panel, DVec2::new(frame.min.x + INDENT, y + 1.3 * WHY_PT));
            let text = format!("and {left} more");
            panel.add(Label::new(text, at, WHY_PT).toned(Tone::FaintInk).anchored(0.0, 0.0));
            return;
        }
        let mark = place(panel, DVec2::new(frame.min.x + 4.5, y + 0.85 * TEXT_PT));
        let size = if glyph == Glyph::Circle { 4.0 } else { 7.5 };
        panel.add(Mark::new(glyph, mark, size, tone)).named(word);
        let mut write = |lines: &[String], size: f64, tone: Tone, bold: bool| {
            for line in lines {
                y += 1.3 * size;
                let at = place(panel, DVec2::new(frame.min.x + INDENT, y));
                let label = Label::new(line.as_str(), at, size).toned(tone).anchored(0.0, 0.0);
                panel.add(if bold { label.bold() } else { label });
            }
        };
        write(&titles, TEXT_PT, Tone::Ink, true);
        write(&whys, WHY_PT, Tone::FaintInk, false);
        y += 3.0;
    }
}

const fn look(severity: Severity) -> (Tone, Glyph, &'static str) {
    match severity {
        Severity::Fails => (Tone::Clash, Glyph::Overlapping, "fails"),
        Severity::Marginal => (Tone::Marginal, Glyph::Touching, "marginal"),
        Severity::Note => (Tone::FaintInk, Glyph::Circle, "note"),
    }
}
