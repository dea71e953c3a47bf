//! The holes of a plate: where each stands from one datum, how large it is, what it is for and how true it must be.
//!
//! Letters leave out I and O, which read as figures.

use glam::DVec2;
use glidewright_motion::{PieceKind, Stack, StackEnd, StackOf, plain};

use super::{Shown, circle};
use crate::drawing::{Label, Panel, Polyline, Rect};
use crate::look::{Pen, ReaderUnits, Tone, Weight};
use crate::views::scene::Scene;
use crate::views::words::{broken, place, shortened, width_of};

/// A stack farther from a hole than an eccentric turns it (mm) is another's.
const ASIDE: f64 = 4.0;
/// How much wider than its screw a clearance hole may be, as a share of the screw.
const CLEARANCE: f64 = 0.26;

/// How large a hole is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Size {
    /// A round one's radius (mm).
    Round(f64),
    /// Width and height of the box round any other (mm).
    Other(DVec2),
}

/// One hole.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Hole {
    pub(super) letter: String,
    /// Its middle, on paper's directions (mm).
    pub(super) middle: DVec2,
    pub(super) size: Size,
    /// What it is for, and how deep it goes where it does not go through.
    pub(super) kind: String,
    /// Its tolerance class, or that none is asked for.
    pub(super) tolerance: &'static str,
}

impl Hole {
    /// From its middle to its edge at most (mm).
    pub(super) fn reach(&self) -> f64 {
        match self.size {
            Size::Round(radius) => radius,
            Size::Other(size) => 0.5 * size.max_element(),
        }
    }
}

/// The letter of a number: A to Z without I and O, then AA, AB …
fn letter(mut number: usize) -> String {
    const LETTERS: &[u8] = b"ABCDEFGHJKLMNPQRSTUVWXYZ";
    let mut letters = Vec::new();
    loop {
        letters.push(LETTERS[number % LETTERS.len()]);
        match (number / LETTERS.len()).checked_sub(1) {
            Some(rest) => number = rest,
            None => break,
        }
    }
    letters.iter().rev().map(|letter| char::from(*letter)).collect()
}

/// All holes of the plate shown, from the lower left on.
pub(super) fn of(scene: &Scene<'_>, shown: &Shown<'_>) -> Vec<Hole> {
    let flat = |p: DVec2| shown.to_paper.transform_point2(p);
    let mut holes = Vec::new();
    for outline in &shown.plate.holes {
        let (middle, size) = match circle(outline) {
            Some((centre, radius)) => (centre, Size::Round(radius)),
            None => {
                let bounds = outline.bounds();
                let size = shown.to_paper.transform_vector2(bounds.size()).abs();
                (bounds.centre(), Size::Other(size))
            }
        };
        let (kind, tolerance) = purpose(scene, shown, middle, size, None);
        holes.push(Hole { letter: String::new(), middle: flat(middle), size, kind, tolerance });
    }
    for slab in &shown.plate.features {
        let Some((_, radius)) = shown.blind_hole(slab) else { continue };
        let Some((centre, _)) = circle(&slab.region.outer) else { continue };
        let size = Size::Round(radius);
        let (kind, tolerance) = purpose(scene, shown, centre, size, Some(slab.to - slab.from));
        holes.push(Hole { letter: String::new(), middle: flat(centre), size, kind, tolerance });
    }
    holes.retain(|hole| hole.middle.is_finite() && hole.reach().is_finite());
    // Row by row from the datum; holes within a hundredth of a millimetre of a level share it.
    let level = |y: f64| (100.0 * y).round();
    holes.sort_by(|a, b| {
        level(a.middle.y).total_cmp(&level(b.middle.y)).then(a.middle.x.total_cmp(&b.middle.x))
    });
    for (number, hole) in holes.iter_mut().enumerate() {
        hole.letter = letter(number);
    }
    holes
}

/// What a hole is for, by the stack that stands in it.
fn purpose(
    scene: &Scene<'_>,
    shown: &Shown<'_>,
    middle: DVec2,
    size: Size,
    depth: Option<f64>,
) -> (String, &'static str) {
    let deep = |kind: String| match depth {
        Some(depth) => format!("{kind}, {} deep", length(shown.unit, depth)),
        None => kind,
    };
    let Size::Round(radius) = size else { return (deep("cut-out".to_owned()), NONE) };
    let placed = scene.results.assembly.riders.get(shown.owner);
    let stacks = placed.into_iter().flat_map(|placed| &placed.stacks).filter_map(|placed| {
        let stack: &Stack = match placed.of {
            StackOf::Wheel(number) => &shown.rider.wheels.get(number)?.stack,
            StackOf::Bolt(number) => &shown.rider.bolts.get(number)?.stack,
        };
        stack.plates().any(|(_, plate)| plate == shown.number).then_some((placed.at.distance(middle), stack))
    });
    let nearest = stacks.min_by(|a, b| a.0.total_cmp(&b.0)).filter(|(off, _)| *off < ASIDE);
    let Some((_, stack)) = nearest else { return (deep("hole".to_owned()), NONE) };
    let screw = &stack.screw;
    let thread = format!("M{}", plain(screw.diameter));
    let last = stack.pieces.len().saturating_sub(1);
    let ends_here = stack.plates().any(|(place, plate)| plate == shown.number && place == last);
    if matches!(stack.end, StackEnd::Tapped { .. }) && ends_here {
        if stack.insert.is_some() {
            return (deep(format!("insert {thread}")), NONE);
        }
        return (deep(format!("thread {thread} × {}", plain(screw.pitch))), THREAD);
    }
    let turns = stack.pieces.iter().any(|piece| matches!(piece.kind, PieceKind::Eccentric { .. }));
    if turns && 2.0 * radius > (1.0 + CLEARANCE) * screw.diameter {
        return (deep(format!("eccentric of {thread}")), NONE);
    }
    (deep(format!("for {thread}")), CLEAR)
}

/// Tolerance classes: of a clearance hole of the medium series (ISO 273, from memory), of a thread (ISO 965-1).
const CLEAR: &str = "H13";
const THREAD: &str = "6H";
const NONE: &str = "–";

fn length(unit: ReaderUnits, mm: f64) -> String {
    super::face::plain(unit, mm)
}

/// Type of the table (pt) and the height of its lines in type sizes.
const TEXT_PT: f64 = 8.5;
const LINE: f64 = 1.5;

/// The lines below the table.
fn notes(holes: &[Hole]) -> Vec<&'static str> {
    let has = |class: &str| holes.iter().any(|hole| hole.tolerance == class);
    let mut notes = vec!["x from the left edge, y from the lower edge of the whole plate"];
    if has(CLEAR) {
        notes.push("H13 for holes of the medium series of ISO 273");
    }
    if has(THREAD) {
        notes.push("6H for threads, ISO 965-1; Ø is that of the tap drill");
    }
    if has(NONE) {
        notes.push("–: no tolerance asked for");
    }
    notes
}

/// Height of the table in a width (pt).
pub(super) fn height(holes: &[Hole], width: f64) -> f64 {
    if holes.is_empty() {
        return 0.0;
    }
    let notes: usize =
        notes(holes).iter().map(|note| broken(note, TEXT_PT - 0.5, Weight::Regular, width).len()).sum();
    (holes.len() as f64 + 1.0) * LINE * TEXT_PT + 1.35 * TEXT_PT * notes as f64 + 14.0
}

/// Writes the table into a frame (pt); returns where it ends (pt).
pub(super) fn table(panel: &mut Panel, frame: &Rect, shown: &Shown<'_>, face: &Rect, holes: &[Hole]) -> f64 {
    if holes.is_empty() {
        return frame.min.y;
    }
    let step = LINE * TEXT_PT;
    let bare = |mm: f64| length(shown.unit, mm);
    let rows: Vec<[String; 6]> = holes
        .iter()
        .map(|hole| {
            let at = hole.middle - face.min;
            let size = match hole.size {
                Size::Round(radius) => format!("Ø{}", bare(2.0 * radius)),
                Size::Other(size) => format!("{} × {}", bare(size.x), bare(size.y)),
            };
            [hole.letter.clone(), bare(at.x), bare(at.y), size, hole.kind.clone(), hole.tolerance.to_owned()]
        })
        .collect();
    let symbol = shown.unit.symbol();
    let heads = ["", "x", "y", symbol, "hole", "tolerance"];
    let widths: Vec<f64> = (0..heads.len())
        .map(|column| {
            let cells = rows.iter().filter_map(|row| row.get(column)).map(String::as_str);
            let widest = cells.chain([heads[column]]).map(|text| width_of(text, TEXT_PT, Weight::SemiBold));
            widest.fold(0.0, f64::max)
        })
        .collect();
    // What is left between the columns; a kind too long for it is cut, which the letter still finds in the drawing.
    let spare = frame.size().x - widths.iter().sum::<f64>();
    let apart = (spare / (heads.len() - 1) as f64).clamp(6.0, 36.0);
    let over = (widths.iter().sum::<f64>() + apart * (heads.len() - 1) as f64 - frame.size().x).max(0.0);
    let mut y = frame.min.y;
    let write = |panel: &mut Panel, y: f64, cells: [&str; 6], is_head: bool| {
        let mut x = frame.min.x;
        for (column, text) in cells.into_iter().enumerate() {
            let width = widths[column] - if column == 4 { over } else { 0.0 };
            let weight = if column == 0 || is_head { Weight::SemiBold } else { Weight::Regular };
            let text = shortened(text, TEXT_PT, weight, width + 0.1);
            // Figures end under each other; words begin so.
            let (at, along) = if (1..=3).contains(&column) { (x + width, 1.0) } else { (x, 0.0) };
            let at = place(panel, DVec2::new(at, y - 0.42 * TEXT_PT));
            let tone = if is_head { Tone::FaintInk } else { Tone::Ink };
            let label = Label { weight, ..Label::new(text, at, TEXT_PT) };
            panel.add(label.toned(tone).anchored(along, 0.0)).named("hole table");
            x += width + apart;
        }
        let at = place(panel, DVec2::new(frame.min.x, y));
        let line = vec![at.shift_pt, at.shift_pt + DVec2::new(frame.size().x, 0.0)];
        panel.add(Polyline::in_pt(at.world, line, Pen::new(Tone::Grid, 0.6)));
    };
    y += step;
    write(panel, y, heads, true);
    for row in &rows {
        y += step;
        write(panel, y, row.each_ref().map(String::as_str), false);
    }
    y += 3.0;
    for note in notes(holes) {
        for line in broken(note, TEXT_PT - 0.5, Weight::Regular, frame.size().x) {
            y += 1.35 * TEXT_PT;
            let at = place(panel, DVec2::new(frame.min.x, y - 0.3 * TEXT_PT));
            panel.add(Label::new(line, at, TEXT_PT - 0.5).toned(Tone::FaintInk).anchored(0.0, 0.0));
        }
    }
    y + 8.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_past_z_without_i_and_o() {
        let all: Vec<String> = (0..30).map(letter).collect();
        assert_eq!(all[..9].concat(), "ABCDEFGHJ");
        assert_eq!(all[23..27], ["Z", "AA", "AB", "AC"]);
        assert!(all.iter().all(|letter| !letter.contains(['I', 'O'])));
    }
}
