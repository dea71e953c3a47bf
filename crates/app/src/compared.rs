//! What trials are compared by besides the engine's figures: what they cost, how they look, how many of their builds foul.

use glidewright_choice::{Bill, Share};
use glidewright_motion::{Fixture, Looks, Results};
use glidewright_project::Document;
use glidewright_sheet::views::ExtraFigure;

fn extra(name: impl Into<String>, unit: &str, decimals: usize, value: f64) -> ExtraFigure {
    ExtraFigure { name: name.into(), unit: unit.to_owned(), decimals, value }
}

/// What a fixture made of this document, with a trial's changes in it, is to be bought for, and how it looks.
pub fn extras(document: &Document, fixture: &Fixture, results: &Results) -> Vec<ExtraFigure> {
    let bill = Bill::of(document, fixture, results);
    let looks = Looks::of(fixture, &results.assembly);
    let farthest = |seen: &glidewright_motion::Seen| seen.farthest.map_or(0.0, |(far, _)| far);
    let count = |count: usize| count as f64;
    let priced = if bill.has_guide() { "parts cost, guide prices" } else { "parts cost" };
    vec![
        extra(priced, &bill.currency, 2, bill.total()),
        extra("parts without a price", "", 0, count(bill.unpriced())),
        extra("parts to buy", "pieces", 0, f64::from(bill.pieces())),
        extra("stands out beside the rail", "mm", 1, farthest(&looks.front)),
        extra("stands out before the rail", "mm", 1, farthest(&looks.side)),
        extra("area past the rail, front", "cm²", 1, 0.01 * looks.front.area),
        extra("area past the rail, side", "cm²", 1, 0.01 * looks.side.area),
        extra("kinds of wheels seen", "", 0, count(looks.wheel_kinds().len())),
        extra("kinds of heads seen", "", 0, count(looks.head_kinds().len())),
        extra("screw ends seen, front", "", 0, count(looks.front.ends.len())),
    ]
}

/// The share of builds that foul, as a figure.
pub fn share_figure(share: &Share) -> ExtraFigure {
    extra("builds that foul", "%", 1, 100.0 * share.share)
}
