//! What is said of findings and outcomes in a few words.

use glidewright_motion::{Finding, Interference};
use glidewright_sheet::{ReaderUnits, number};

use crate::state::Outcome;
use crate::widgets::Mark;

/// Value and limit, and where.
pub fn figures(finding: &Finding, units: ReaderUnits) -> String {
    let figure = |value: f64| match (finding.unit, units.of_symbol(finding.unit)) {
        ("mm", _) => units.text(value, 2),
        (_, Some(unit)) => format!("{} {}", number(value / unit.size, unit.decimals(1)), unit.symbol),
        (symbol, None) => format!("{} {symbol}", number(value, 1)),
    };
    let value = match (finding.value, finding.limit) {
        (Some(value), Some(limit)) => {
            // A gap is required; all else has a limit.
            let word = if finding.code.starts_with("gap.") { "required" } else { "limit" };
            format!("{} ({word} {})", figure(value), figure(limit))
        }
        (Some(value), None) => figure(value),
        _ => String::new(),
    };
    match finding.at_travel {
        Some(travel) => format!("{value} at {}", units.text(travel, 1)),
        None => value,
    }
}

/// What something comes to, in a few words.
pub fn outcome_words(outcome: &Outcome, unit: ReaderUnits) -> String {
    if outcome.is_broken {
        return "cannot be made".to_owned();
    }
    let fails = match outcome.fails {
        0 => String::new(),
        1 => ", 1 fails".to_owned(),
        many => format!(", {many} fail"),
    };
    match outcome.tightest {
        Some((gap, _, pair)) => format!("{}, {}{fails}", unit.text(gap, 2), pair.word()),
        None => format!("{}{fails}", nothing_near(unit)),
    }
}

/// In words: no two that pass come within reach of each other.
pub fn nothing_near(unit: ReaderUnits) -> String {
    format!("nothing within {}", unit.text(Interference::REACH, 0))
}

/// How it looks, in a sign.
pub const fn mark_of(outcome: &Outcome) -> Mark {
    if outcome.is_broken || outcome.fails > 0 {
        Mark::Fails
    } else if outcome.marginal > 0 {
        Mark::Marginal
    } else {
        Mark::Clear
    }
}
