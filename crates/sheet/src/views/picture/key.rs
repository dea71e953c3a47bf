//! Hatches, dashes and marks that need a word, and which of them a drawing holds.
//!
//! What is meant is read from the items themselves, which the views share with the window; a strip names its own curves.

use crate::drawing::{Drawing, Glyph, Item, ItemKind, Panel};
use crate::look::{Dash, Fill, Hatch, Pen, Tone};
use crate::page::{InkKind, Page};
use crate::strip::CURVE;
use crate::views::StripKind;
use crate::views::pick::RAIL_PANEL;

/// What stands before the words.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Swatch {
    /// A small area with its outline.
    Area(Fill, Option<Hatch>, Pen),
    /// A stretch of a line.
    Line(Pen),
    /// A symbol, hollow or full.
    Mark(Glyph, Tone, bool),
    /// An arrow down.
    Down,
    /// The cursor's bead on its line.
    Cursor,
    /// A ticked ring.
    Ring,
    /// Two bars with ends, the inner one thick.
    Whiskers,
}

/// One line of the key.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Entry {
    pub(super) swatch: Swatch,
    pub(super) words: String,
}

/// A sign, and how to tell it.
struct Sign {
    swatch: Swatch,
    words: &'static str,
    is: fn(&Panel, &Item) -> bool,
}

fn hatch(item: &Item) -> Option<&Hatch> {
    if let ItemKind::Shape(shape) = &item.kind { shape.hatch.as_ref() } else { None }
}

fn fill(item: &Item) -> Option<&Fill> {
    if let ItemKind::Shape(shape) = &item.kind { shape.fill.as_ref() } else { None }
}

fn pen(item: &Item) -> Option<&Pen> {
    match &item.kind {
        ItemKind::Shape(shape) => shape.stroke.as_ref(),
        ItemKind::Polyline(line) => Some(&line.pen),
        _ => None,
    }
}

fn is_mark(item: &Item, glyph: Glyph) -> bool {
    matches!(&item.kind, ItemKind::Mark(mark) if mark.glyph == glyph)
}

fn named(item: &Item, start: &str) -> bool {
    item.name.as_deref().is_some_and(|name| name.starts_with(start))
}

fn is_line(item: &Item, dash: Dash, tones: &[Tone]) -> bool {
    pen(item).is_some_and(|pen| pen.dash == dash && tones.contains(&pen.tone))
}

fn is_strip(panel: &Panel) -> bool {
    StripKind::ALL.into_iter().any(|kind| kind.title() == panel.name)
}

fn fouls(item: &Item) -> bool {
    hatch(item).is_some_and(|hatch| hatch.tone == Tone::Clash)
}

fn is_limit(item: &Item) -> bool {
    is_line(item, Dash::Dashed, &[Tone::Marginal])
}

/// The band of tolerances, or of what friction holds, in a strip.
fn is_band(panel: &Panel, item: &Item, strip: StripKind) -> bool {
    let band = fill(item).is_some_and(|fill| fill.tone == Tone::Clear && fill.opacity < 0.2);
    band && panel.name == strip.title()
}

fn is_filled(item: &Item, tone: Tone) -> bool {
    fill(item).is_some_and(|fill| fill.tone == tone && fill.opacity > 0.0)
}

/// Whether a panel shows bodies in space, where what is fixed has no hatching.
fn is_space(panel: &Panel) -> bool {
    panel.name == crate::views::space::PANEL || panel.name == crate::views::space::LENS_PANEL
}

/// A line of the key's own width.
const fn line(tone: Tone, dash: Dash) -> Swatch {
    Swatch::Line(Pen::new(tone, 0.9).dashed(dash))
}

const fn area(fill: Fill, hatch: Option<Hatch>, tone: Tone) -> Swatch {
    Swatch::Area(fill, hatch, Pen::new(tone, 0.6))
}

const fn hatched(tone: Tone, spacing_pt: f64) -> Hatch {
    Hatch { width_pt: 0.5, ..Hatch::section(tone).spaced(spacing_pt) }
}

const SIGNS: &[Sign] = &[
    Sign {
        swatch: area(Fill::faded(Tone::ClashFill, 0.8), Some(hatched(Tone::Clash, 3.0)), Tone::Clash),
        words: "here two foul each other",
        is: |panel, item| panel.name != crate::views::gap::LENS_PANEL && fouls(item),
    },
    Sign {
        swatch: area(Fill::faded(Tone::ClashFill, 0.8), Some(hatched(Tone::Clash, 3.0)), Tone::Clash),
        words: "overlap: what both take up",
        is: |panel, item| panel.name == crate::views::gap::LENS_PANEL && fouls(item),
    },
    Sign {
        swatch: Swatch::Ring,
        words: "place where two foul each other",
        is: |panel, item| panel.name == crate::views::space::PANEL && named(item, "fouls here"),
    },
    Sign {
        swatch: area(Fill::faded(Tone::Marginal, 0.16), None, Tone::Marginal),
        words: "gap less than required",
        is: |_, item| named(item, "less than required from"),
    },
    Sign {
        swatch: area(Fill::faded(Tone::Marginal, 0.16), Some(hatched(Tone::Marginal, 4.5)), Tone::Marginal),
        words: "does not stay where it is left",
        is: |_, item| named(item, "drifts from"),
    },
    Sign {
        swatch: line(Tone::Marginal, Dash::Dashed),
        words: "required gap",
        is: |panel, item| is_limit(item) && (!is_strip(panel) || panel.name == StripKind::Clearance.title()),
    },
    Sign {
        swatch: line(Tone::Marginal, Dash::Dashed),
        words: "limit",
        is: |panel, item| is_limit(item) && is_strip(panel) && panel.name != StripKind::Clearance.title(),
    },
    Sign {
        swatch: area(Fill::faded(Tone::Clear, 0.18), None, Tone::Clear),
        words: "gap with its tolerances",
        is: |panel, item| is_band(panel, item, StripKind::Clearance),
    },
    Sign {
        swatch: area(Fill::faded(Tone::Clear, 0.18), None, Tone::Clear),
        words: "imbalance that friction holds",
        is: |panel, item| is_band(panel, item, StripKind::Effort),
    },
    Sign {
        swatch: Swatch::Whiskers,
        words: "tolerances of the gap: RSS thick, worst case thin",
        is: |_, item| named(item, "tolerances"),
    },
    Sign {
        swatch: Swatch::Mark(Glyph::Diamond, Tone::Ink, true),
        words: "tightest place of the stroke",
        is: |_, item| named(item, "the tightest spot"),
    },
    Sign {
        swatch: Swatch::Mark(Glyph::Diamond, Tone::Ink, false),
        words: "nearest place",
        is: |panel, item| panel.name == crate::views::space::PANEL && is_mark(item, Glyph::Diamond),
    },
    Sign { swatch: Swatch::Cursor, words: "travel shown", is: |_, item| named(item, "travel cursor") },
    Sign {
        swatch: Swatch::Line(Pen::new(Tone::FaintInk, 0.7).dashed(Dash::Phantom)),
        words: "riders at the ends of travel",
        is: |panel, item| panel.name == RAIL_PANEL && pen(item).is_some_and(|pen| pen.dash == Dash::Phantom),
    },
    Sign {
        swatch: line(Tone::Axis, Dash::Phantom),
        words: "what stands before or behind",
        is: |panel, item| {
            panel.name != RAIL_PANEL && !is_strip(panel) && is_line(item, Dash::Phantom, &[Tone::Axis])
        },
    },
    Sign {
        swatch: Swatch::Line(Pen::new(Tone::FaintInk, 0.7).dashed(Dash::Phantom)),
        words: "plates of the riders",
        is: |panel, item| {
            panel.name == crate::views::belt::PANEL && pen(item).is_some_and(|pen| pen.dash == Dash::Phantom)
        },
    },
    Sign {
        swatch: line(Tone::Outline, Dash::Centre),
        words: "centre line",
        is: |panel, item| {
            let crossed = matches!(item.kind, ItemKind::CentreCross(_));
            crossed || !is_strip(panel) && is_line(item, Dash::Centre, &[Tone::Outline])
        },
    },
    Sign {
        swatch: Swatch::Mark(Glyph::Circle, Tone::Dimension, true),
        words: "where the belt leaves its pulley",
        is: |_, item| named(item, "tangent point"),
    },
    Sign {
        swatch: Swatch::Mark(Glyph::Circle, Tone::Cursor, true),
        words: "datum: x and y of the holes count from here",
        is: |_, item| named(item, "datum"),
    },
    Sign {
        swatch: line(Tone::FaintInk, Dash::Dashed),
        words: "hidden edge",
        is: |panel, item| !is_strip(panel) && is_line(item, Dash::Dashed, &[Tone::FaintInk]),
    },
    Sign {
        swatch: area(Fill::faded(Tone::Rail, 0.7), Some(hatched(Tone::Outline, 4.0)), Tone::Outline),
        words: "cut through",
        is: |panel, item| {
            let cut = [Tone::Outline, Tone::Bearing, Tone::Tyre, Tone::RiderALine, Tone::RiderBLine];
            let is_cut = |hatch: &Hatch| cut.contains(&hatch.tone) || hatch.tone == Tone::RiderCLine;
            !is_strip(panel) && hatch(item).is_some_and(is_cut)
        },
    },
    Sign {
        swatch: area(
            Fill::faded(Tone::Obstacle, 0.6),
            Some(Hatch { width_pt: 0.35, ..Hatch::section(Tone::Axis).spaced(4.0).leaning_back() }),
            Tone::Outline,
        ),
        words: "stands fixed",
        is: |panel, item| is_filled(item, Tone::Obstacle) && !is_space(panel),
    },
    Sign {
        swatch: area(Fill::flat(Tone::Obstacle), None, Tone::Outline),
        words: "stands fixed",
        is: |panel, item| is_filled(item, Tone::Obstacle) && is_space(panel),
    },
    Sign {
        swatch: area(Fill::flat(Tone::Load), None, Tone::Outline),
        words: "load",
        is: |_, item| is_filled(item, Tone::Load),
    },
    Sign {
        swatch: Swatch::Line(Pen::new(Tone::Belt, 2.0)),
        words: "belt or cord",
        is: |panel, item| {
            !is_strip(panel)
                && (is_filled(item, Tone::Belt)
                    || pen(item).is_some_and(|pen| pen.tone == Tone::Belt && pen.width_pt > 1.0))
        },
    },
    Sign {
        swatch: Swatch::Mark(Glyph::MassCentre, Tone::Ink, true),
        words: "centre of mass",
        is: |_, item| is_mark(item, Glyph::MassCentre),
    },
    Sign {
        swatch: Swatch::Mark(Glyph::Circle, Tone::FaintInk, true),
        words: "grip: where a hand moves it",
        is: |_, item| named(item, "grip: "),
    },
    Sign {
        swatch: Swatch::Mark(Glyph::Ground, Tone::Outline, false),
        words: "held fast",
        is: |_, item| is_mark(item, Glyph::Ground),
    },
    Sign { swatch: Swatch::Down, words: "g: down", is: |_, item| named(item, "direction of gravity") },
    Sign {
        swatch: Swatch::Mark(Glyph::Cross, Tone::FaintInk, false),
        words: "g: down, away from the reader",
        is: |_, item| named(item, "gravity, away"),
    },
    Sign {
        swatch: Swatch::Mark(Glyph::Circle, Tone::FaintInk, false),
        words: "g: down, towards the reader",
        is: |_, item| named(item, "gravity, towards"),
    },
    Sign {
        swatch: Swatch::Line(Pen::new(Tone::Clear, 3.0)),
        words: "contact of wheel and track",
        is: |panel, item| panel.name == crate::views::seat::PANEL && named(item, "contact"),
    },
    Sign {
        swatch: area(Fill::faded(Tone::Tyre, 0.22).shaded(-1.0), None, Tone::Grid),
        words: "shadow on what is below",
        is: |_, item| named(item, "shadow"),
    },
];

/// The entries of a drawing whose page is given: of what is seen on it.
pub(super) fn entries(drawing: &Drawing, page: &Page) -> Vec<Entry> {
    let mut found = vec![false; SIGNS.len()];
    let mut last = None;
    for ink in &page.inks {
        let Some(place) = ink.item else { continue };
        if last == Some((ink.panel, place)) || ink.seen().is_none() {
            continue;
        }
        last = Some((ink.panel, place));
        let Some(panel) = drawing.panels.get(ink.panel) else { continue };
        let Some(item) = panel.items.get(place) else { continue };
        for (found, sign) in found.iter_mut().zip(SIGNS) {
            *found |= (sign.is)(panel, item);
        }
    }
    let mut entries: Vec<Entry> = Vec::new();
    for (_, sign) in found.iter().zip(SIGNS).filter(|(found, _)| **found) {
        if !entries.iter().any(|entry| entry.words == sign.words) {
            entries.push(Entry { swatch: sign.swatch, words: sign.words.to_owned() });
        }
    }
    for (number, panel) in drawing.panels.iter().enumerate().filter(|(_, panel)| is_strip(panel)) {
        entries.extend(unnamed_curves(number, panel, page));
    }
    entries
}

/// Curves of a strip that its own legend had no room to name.
fn unnamed_curves(number: usize, panel: &Panel, page: &Page) -> Vec<Entry> {
    let mut seen = vec![false; panel.items.len()];
    let mut written: Vec<&str> = Vec::new();
    for ink in page.inks.iter().filter(|ink| ink.panel == number && ink.seen().is_some()) {
        if let Some(seen) = ink.item.and_then(|place| seen.get_mut(place)) {
            *seen = true;
        }
        if let InkKind::Text(text) = &ink.kind {
            written.push(text.text.as_str());
        }
    }
    let mut entries: Vec<Entry> = Vec::new();
    for (item, _) in panel.items.iter().zip(&seen).filter(|(_, seen)| **seen) {
        let (ItemKind::Polyline(line), Some(name)) = (&item.kind, item.name.as_deref()) else { continue };
        // Limits, cursor and pointer are told in the plot.
        let is_curve = line.pen.width_pt >= CURVE && !matches!(name, "cursor" | "pointer");
        if !is_curve || name.is_empty() || written.contains(&name) {
            continue;
        }
        let words = format!("{}: {name}", panel.name.to_lowercase());
        if !entries.iter().any(|entry| entry.words == words) {
            entries.push(Entry { swatch: Swatch::Line(line.pen), words });
        }
    }
    entries
}
