//! What could fall if a belt or cord fails.

use super::Known;
use crate::forces::fall;
use crate::phrase::{grams, length, phrase};
use crate::{Finding, LineKind, STANDARD_GRAVITY, Severity};

/// Falls of less energy than this are not worth a word (J; own choice: a 100 g part over 100 mm).
const NEGLIGIBLE: f64 = 0.1;

/// Least gap against crushing a finger (mm), ISO 13854 as printed by an accident insurer.
pub(super) const FINGER: f64 = 25.0;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (number, rider) in known.fixture.riders.iter().enumerate() {
        let Some((height, mass)) = fall(known.fixture, known.assembly, number) else { continue };
        let (energy, speed) = falling(mass, height);
        if !(energy > NEGLIGIBLE) {
            continue;
        }
        findings.push(Finding {
            code: "hazard.falling",
            severity: Severity::Note,
            title: format!("{} {} falls with up to {energy:.1} J", if_it_fails(known), rider.name).into(),
            reason: phrase![
                phrase![grams(mass, 0), " over "],
                length(height, 0),
                format!(
                    " of stroke arrive with {speed:.1} m/s. Give it a second retention, guard the fall and the places where fingers can be caught (ISO 13854: "
                ),
                length(FINGER, 0),
                " for a finger), keep hands clear while nothing holds it. Local codes and licensed practice come first."
            ],
            paths: vec![rider.path.clone()],
            value: Some(energy),
            unit: "J",
            ..Finding::blank()
        });
    }
    findings
}

/// What has to happen first, in words.
fn if_it_fails(known: &Known<'_>) -> &'static str {
    match known.fixture.line.as_ref().map(|line| line.kind) {
        Some(LineKind::Cord) => "If its cord fails,",
        Some(_) => "If its belt fails,",
        None => "Let go of,",
    }
}

/// Energy (J) and speed (m/s) after a free fall of `mass` (kg) through `height` (mm): mgh and √(2gh).
pub fn falling(mass: f64, height: f64) -> (f64, f64) {
    let metres = height * 1e-3;
    (mass * STANDARD_GRAVITY * metres, (2.0 * STANDARD_GRAVITY * metres).sqrt())
}

#[cfg(test)]
mod tests {
    /// mgh and √(2gh) with 1.5 kg over 0.3 m: 4.4145 J and 2.4261 m/s at g = 9.81; here at standard g.
    #[test]
    fn falling_body() {
        let (energy, speed) = super::falling(1.5, 300.0);
        assert!((energy * 9.81 / 9.806_65 - 4.4145).abs() < 1e-4);
        assert!((speed * (9.81f64 / 9.806_65).sqrt() - 2.4261).abs() < 1e-4);
    }
}
