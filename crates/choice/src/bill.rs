//! What has to be bought for a fixture, and what it costs.

use std::collections::BTreeMap;

use glidewright_motion::{Fixture, PieceKind, Results};
use glidewright_project::document::{Document, Node};
use glidewright_project::{Cost, price_at};

/// The bought parts of a fixture: what is on its screws, the rail, belt or cord and its pulleys. Plates, loads and what stands
/// about are made or there already.
#[derive(Clone, Debug, PartialEq)]
pub struct Bill {
    /// What to buy, by name.
    pub lines: Vec<BillLine>,
    /// The currency of the costs.
    pub currency: String,
}

/// Pieces of one part.
#[derive(Clone, Debug, PartialEq)]
pub struct BillLine {
    /// The part.
    pub part: String,
    /// What its length is, where it is sold by lengths (mm).
    pub length: Option<f64>,
    /// How many pieces.
    pub pieces: u32,
    /// What one costs, or a metre of what is sold by the metre; none where no price is known.
    pub each: Option<Cost>,
    /// Whether it is sold by the metre.
    pub by_metre: bool,
}

impl BillLine {
    /// What all of them cost.
    pub fn cost(&self) -> Option<f64> {
        let metres = if self.by_metre { 1e-3 * self.length? } else { 1.0 };
        Some(self.each?.amount * metres * f64::from(self.pieces))
    }
}

/// A part and its length (µm), for counting.
type Key = (String, Option<i64>, bool);

impl Bill {
    /// The bill of a fixture that is made of this document, with a trial's changes in it.
    pub fn of(document: &Document, fixture: &Fixture, results: &Results) -> Self {
        let mut counts: BTreeMap<Key, u32> = BTreeMap::new();
        let mut add = |part: &str, length: Option<f64>, by_metre: bool| {
            if part.is_empty() {
                return;
            }
            let length = length.filter(|length| length.is_finite() && *length > 0.0);
            let key = (part.to_owned(), length.map(|mm| (mm * 1e3).round() as i64), by_metre);
            *counts.entry(key).or_default() += 1;
        };
        for rider in &fixture.riders {
            let wheels = rider.wheels.iter().map(|mount| &mount.stack);
            for stack in wheels.chain(rider.bolts.iter().map(|bolt| &bolt.stack)) {
                let screw = stack.screw.name.split(" × ").next().unwrap_or_default();
                add(screw, Some(stack.screw.length.nominal), false);
                for piece in &stack.pieces {
                    match piece.kind {
                        PieceKind::Plate(_) => {}
                        PieceKind::Spacer => add(&piece.name, Some(piece.thickness.nominal), false),
                        _ => add(&piece.name, None, false),
                    }
                }
            }
        }
        add(&document.rail.section, Some(fixture.rail.length), true);
        if let Some(line) = &document.line {
            add(&line.part, results.line.as_ref().map(|line| line.cut_length), true);
            for roller in line.nodes.iter().filter_map(Node::roller) {
                add(&roller.part, None, false);
            }
        }
        let line = |((part, length, by_metre), pieces): (Key, u32)| {
            let length = length.map(|micro| micro as f64 * 1e-3);
            let each = price_at(document, &part, length.unwrap_or(0.0));
            BillLine { part, length, pieces, each, by_metre }
        };
        Self { lines: counts.into_iter().map(line).collect(), currency: document.currency().to_owned() }
    }

    /// What everything costs of which a price is known.
    pub fn total(&self) -> f64 {
        self.lines.iter().filter_map(BillLine::cost).sum()
    }

    /// How many pieces there are in all.
    pub fn pieces(&self) -> u32 {
        self.lines.iter().map(|line| line.pieces).sum()
    }

    /// How many lines have no price.
    pub fn unpriced(&self) -> usize {
        self.lines.iter().filter(|line| line.each.is_none()).count()
    }

    /// Whether some price is but the tables' guide.
    pub fn has_guide(&self) -> bool {
        self.lines.iter().filter_map(|line| line.each).any(|cost| cost.is_guide)
    }
}
