//! The share of builds that foul, as a finding.

use glidewright_motion::{Finding, Severity, number, touches};

use super::{Outcome, Varied};
use crate::words::{grouped, percent};

/// From this share on builds that foul are more than a note: what lies beyond three standard deviations of a normal spread on
/// one side (common practice, no source).
pub const LEAST_TOLD: f64 = 0.00135;

impl Outcome {
    /// What there is to say of builds that foul where the fixture as drawn does not; nothing where none of them does, or where it
    /// fouls as drawn, which is said already. `sizes` are those that vary, in the order contributors count them.
    pub fn finding(&self, sizes: &[Varied]) -> Option<Finding> {
        if self.fouls.count == 0 || touches(self.drawn) {
            return None;
        }
        let is_much = self.fouls.share >= LEAST_TOLD;
        let mut reason = format!(
            "Of {} builds with every size drawn anew within its limits {} foul: {} to {} with 95 % confidence. Sizes as drawn \
             leave {} mm.",
            grouped(self.samples),
            grouped(self.fouls.count),
            percent(self.fouls.low),
            percent(self.fouls.high),
            number(self.drawn, 2)
        );
        let pair = self.pairs.first();
        if let Some(pair) = pair {
            let [a, b] = &pair.labels;
            reason.push_str(&format!(" The least gap is most often between {a} and {b}."));
        }
        let first = self.contributors.iter().find(|contributor| contributor.tells());
        let first = first.and_then(|known| Some((known, sizes.get(known.size)?)));
        if let Some((contributor, size)) = first {
            reason.push_str(&format!(" Most of its spread comes from {}", size.label));
            match contributor.halved {
                Some(halved) if halved.fouls.count < halved.fouled => {
                    reason
                        .push_str(&format!("; with half of it {} would foul.", percent(halved.fouls.share)));
                }
                _ => reason.push('.'),
            }
        }
        Some(Finding {
            code: "builds.foul",
            severity: if is_much { Severity::Marginal } else { Severity::Note },
            title: format!("{} of builds foul as their sizes come out", percent(self.fouls.share)).into(),
            reason: reason.into(),
            bodies: pair.map_or_else(Vec::new, |pair| vec![pair.bodies.0, pair.bodies.1]),
            paths: first.map_or_else(Vec::new, |(_, size)| vec![size.path.clone()]),
            value: Some(100.0 * self.fouls.share),
            limit: Some(0.0),
            unit: "%",
            at_travel: None,
            stretches: Vec::new(),
            chain: None,
            remedies: Vec::new(),
        })
    }
}
