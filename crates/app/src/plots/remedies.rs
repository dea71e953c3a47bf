//! What a search found, as a scatter: what it takes against the gap it leaves.

use glidewright_choice::{Found, Row};
use glidewright_sheet::{
    DVec2, Dash, Glyph, PlotAxis, PlotCurve, PlotData, PlotDots, PlotRule, ReaderUnits, Tone,
};

use crate::state::Across;

/// Forms and colours of dots by the kind of wheel.
const LOOKS: [(Glyph, Tone); 5] = [
    (Glyph::Circle, Tone::RiderALine),
    (Glyph::Square, Tone::RiderBLine),
    (Glyph::Diamond, Tone::RiderCLine),
    (Glyph::Plus, Tone::Ink),
    (Glyph::Cross, Tone::FaintInk),
];

/// Where a row stands, if it has a gap: what it takes and what it leaves (in the reader's unit).
pub fn place_of(row: &Row, across: Across, units: ReaderUnits) -> Option<DVec2> {
    let gap = units.length.value_of_mm(row.least_gap.filter(|gap| gap.is_finite())?);
    let takes = match across {
        Across::Changed => f64::from(row.changed),
        Across::Cost => row.cost,
    };
    Some(DVec2::new(takes, gap))
}

/// The kind of wheel a row goes by: its own while it has but one and there are forms left to tell it by.
fn kind_of(row: &Row, known: &[PlotDots]) -> String {
    let name = match row.wheels.as_slice() {
        [] => "no wheels".to_owned(),
        [one] => one.clone(),
        _ => "several kinds of wheels".to_owned(),
    };
    let has_room = known.len() + 2 < LOOKS.len() || known.iter().any(|dots| dots.name == name);
    if has_room { name } else { "other wheels".to_owned() }
}

/// Rows as dots, wheels by their form, and joined what nothing else beats in both.
pub fn remedies_plot(title: &str, found: &Found, across: Across, units: ReaderUnits) -> PlotData {
    let mut dots: Vec<PlotDots> = Vec::new();
    let mut all: Vec<DVec2> = Vec::new();
    for (number, row) in found.rows.iter().enumerate() {
        let Some(at) = place_of(row, across, units) else { continue };
        all.push(at);
        let name = kind_of(row, &dots);
        let words = format!("{}: {}", number + 1, row.words.join("; "));
        match dots.iter_mut().find(|known| known.name == name) {
            Some(known) => known.dots.push((at, words)),
            None => {
                let (glyph, tone) = LOOKS[dots.len() % LOOKS.len()];
                dots.push(PlotDots { name, tone, glyph, dots: vec![(at, words)] });
            }
        }
    }
    if let Some(at) = place_of(&found.now, across, units) {
        let now = vec![(at, "as it is".to_owned())];
        dots.push(PlotDots {
            name: "as it is".to_owned(),
            tone: Tone::Clash,
            glyph: Glyph::Cross,
            dots: now,
        });
    }
    let axis = match across {
        Across::Changed => PlotAxis::new("things changed", ""),
        Across::Cost => PlotAxis::new("parts to buy cost", found.currency.as_str()),
    };
    PlotData {
        title: title.to_owned(),
        across: PlotAxis { holds: Some((0.0, 1.0)), ..axis },
        up: PlotAxis::new("least gap", units.length.symbol()),
        curves: vec![PlotCurve {
            name: "nothing leaves more for less".to_owned(),
            tone: Tone::Axis,
            dash: Dash::Solid,
            points: front(all),
        }],
        dots,
        rules: vec![PlotRule {
            name: "touching".to_owned(),
            tone: Tone::Clash,
            dash: Dash::Dashed,
            upright: false,
            at: 0.0,
        }],
        ..PlotData::default()
    }
}

/// Of some points those that none beats in both: none as far left leaves as much. From left to right.
fn front(mut all: Vec<DVec2>) -> Vec<DVec2> {
    all.sort_by(|a, b| a.x.total_cmp(&b.x).then(b.y.total_cmp(&a.y)));
    let mut best = f64::NEG_INFINITY;
    all.retain(|at| {
        let is_better = at.y > best;
        best = best.max(at.y);
        is_better
    });
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_front_is_what_nothing_beats() {
        let points = [(2.0, 0.5), (1.0, 0.2), (1.0, 0.4), (3.0, 0.5), (4.0, 0.9), (5.0, 0.1)];
        let found = front(points.map(|(x, y)| DVec2::new(x, y)).to_vec());
        assert_eq!(found, [(1.0, 0.4), (2.0, 0.5), (4.0, 0.9)].map(|(x, y)| DVec2::new(x, y)));
        assert!(front(Vec::new()).is_empty());
    }
}
