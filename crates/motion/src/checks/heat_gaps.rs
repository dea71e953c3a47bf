//! Do warmth and cold take the gap of riders that pass face to face?

use super::Known;
use crate::phrase::{length, phrase};
use crate::{
    BodyId, Chain, Finding, Outcome, PairResult, Passage, Remedy, Severity, Term, WORKSHOP, falls_short,
    number, overlaps,
};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let Some((coldest, warmest)) = known.fixture.limits.temperature else { return Vec::new() };
    let pairs = known.interference.pairs();
    // What is short as it is drawn is told as such.
    let sound = pairs.filter(|pair| {
        pair.passage == Passage::Facing && matches!(pair.outcome, Outcome::ClearByGap) && !pair.meets_stop
    });
    let short = sound.filter_map(|pair| {
        let growth = growth(pair.chain.as_ref()?, |term| expansion(known, term));
        [coldest, warmest]
            .map(|temperature| (pair, growth * (temperature - WORKSHOP), temperature))
            .into_iter()
            .filter(|(pair, change, _)| falls_short(pair.gap + change, pair.asked))
            .min_by(|a, b| a.1.total_cmp(&b.1))
    });
    let worst = short.min_by(|a, b| (a.0.gap + a.1 - a.0.asked).total_cmp(&(b.0.gap + b.1 - b.0.asked)));
    worst
        .and_then(|(pair, change, temperature)| finding(known, pair, change, temperature))
        .into_iter()
        .collect()
}

/// What a gap gains for each kelvin (mm/K): Σ s α l over its chain of sizes.
fn growth(chain: &Chain, expansion: impl Fn(&Term) -> f64) -> f64 {
    chain.terms.iter().map(|term| term.sensitivity * term.size.nominal * expansion(term)).sum()
}

/// Expansion of what a size of a chain is made of (1/K); 0 where that is not known.
fn expansion(known: &Known<'_>, term: &Term) -> f64 {
    let rail = &known.fixture.rail;
    if term.path == rail.path {
        return rail.material.expansion.unwrap_or(0.0);
    }
    let pieces = known.stacks().flat_map(|here| &here.stack.pieces);
    pieces.into_iter().find(|piece| piece.path == term.path).map_or(0.0, |piece| piece.expansion)
}

fn finding(known: &Known<'_>, pair: &PairResult, change: f64, temperature: f64) -> Option<Finding> {
    let body = |id: BodyId| known.assembly.body(id);
    let (a, b) = (body(pair.bodies.0)?, body(pair.bodies.1)?);
    let left = pair.gap + change;
    let at = format!(" at {} °C", number(temperature, 0));
    Some(Finding {
        code: "heat.gap",
        severity: Severity::Marginal,
        title: if overlaps(left) {
            phrase![format!("{} and {} overlap by ", a.label, b.label), length(-left, 2), at]
        } else {
            phrase![length(left, 2), format!(" is left between {} and {}", a.label, b.label), at]
        },
        reason: phrase![
            "The sizes between them grow and shrink by different amounts (Σ α l ΔT, from 20 °C at which it is put together): the gap of ",
            length(pair.gap, 3),
            " as drawn changes by ",
            length(change, 3),
            ". Required: ",
            length(pair.asked, 2),
            "."
        ],
        paths: vec![a.path.clone(), b.path.clone(), known.fixture.paths.limits.clone()],
        value: Some(left),
        limit: Some(pair.asked),
        unit: "mm",
        at_travel: Some(pair.at_travel),
        remedies: vec![Remedy {
            text: phrase![length(pair.asked - left, 2), " more between them"],
            path: Some(a.path.clone()),
            by: Some(pair.asked - left),
        }],
        ..Finding::blank()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Toleranced;

    /// By hand: 60 mm of aluminium (23.4e-6) between, a plate of 6 in PETG (60e-6) and 40 of steel (12e-6) out of it come
    /// to 1404 − 360 − 480 = 564e-6 mm for each kelvin.
    #[test]
    fn a_chain_grows() {
        let term = |label: &str, nominal: f64, sensitivity: f64| Term {
            label: label.into(),
            path: label.into(),
            size: Toleranced::exact(nominal),
            sensitivity,
        };
        let chain = Chain {
            terms: vec![term("rail", 60.0, 1.0), term("plate", 6.0, -1.0), term("stack", 40.0, -1.0)],
        };
        let per_kelvin = growth(&chain, |term| match term.label.as_str() {
            "rail" => 23.4e-6,
            "plate" => 60e-6,
            _ => 12e-6,
        });
        assert!((per_kelvin - 564e-6).abs() < 1e-15, "{per_kelvin}");
    }
}
