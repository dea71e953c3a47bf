//! What a fixture comes to, in the words of the window's header.

use glidewright_motion::{Interference, Outcome, Results, Severity};

use crate::drawing::Glyph;
use crate::look::{ReaderUnits, Tone};
use crate::views::scene::outcome_tone;

/// What a fixture comes to in a few words, with a mark, so that nothing hangs on colour.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// The tightest gap and what becomes of it: "fouls 0.50 mm · at travel 359.5 mm".
    pub words: String,
    /// Its colour.
    pub tone: Tone,
    /// The mark of the worst there is, and its colour.
    pub glyph: Glyph,
    /// The mark's colour.
    pub mark: Tone,
    /// What else is not in order, with its colour: "2 fail".
    pub besides: Option<(String, Tone)>,
}

impl Verdict {
    /// Of results, with lengths in a unit.
    pub fn of(results: &Results, unit: ReaderUnits) -> Self {
        let tightest = results.interference.tightest();
        let (words, tone) = match tightest {
            Some(pair) => {
                let gap = if matches!(pair.outcome, Outcome::Fouls { .. }) {
                    (-pair.gap).max(0.0)
                } else {
                    pair.gap
                };
                let words = format!(
                    "{} {} · at travel {}",
                    pair.outcome.word(),
                    unit.text(gap, 2),
                    unit.text(pair.at_travel, 1)
                );
                (words, outcome_tone(&pair.outcome))
            }
            None => (format!("nothing within {}", unit.text(Interference::REACH, 0)), Tone::Clear),
        };
        // A gap that fouls, or is marginal, is one of the findings of its severity.
        let count = |severity: Severity, told: bool| {
            let all = results.findings.iter().filter(|finding| finding.severity == severity).count();
            all.saturating_sub(usize::from(told))
        };
        let fails = count(Severity::Fails, tone == Tone::Clash);
        let marginal = count(Severity::Marginal, tone == Tone::Marginal);
        let besides = match (fails, marginal) {
            (0, 0) => None,
            (0, more) => Some((format!("{more} {}marginal", again(tone == Tone::Marginal)), Tone::Marginal)),
            (1, _) => Some((format!("1 {}fails", again(tone == Tone::Clash)), Tone::Clash)),
            (more, _) => Some((format!("{more} {}fail", again(tone == Tone::Clash)), Tone::Clash)),
        };
        let worst =
            besides.as_ref().map_or(tone, |(_, other)| if tone == Tone::Clash { tone } else { *other });
        let glyph = match worst {
            Tone::Clash => Glyph::Overlapping,
            Tone::Marginal => Glyph::Touching,
            _ => Glyph::Apart,
        };
        Self { words, tone, glyph, mark: worst, besides }
    }
}

const fn again(told: bool) -> &'static str {
    if told { "more " } else { "" }
}
