//! Does a rider jam when it is pushed beside its guides?

use super::Known;
use crate::{Finding, Severity, Way};

/// A push that grows by half over its plain value (ratio 1/3) is worth a word: own choice, a third of the
/// way to jamming leaves room for friction twice what was assumed.
const NEAR: f64 = 1.0 / 3.0;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for binding in known.binding.iter().filter(|binding| binding.ratio >= NEAR) {
        let Some(rider) = known.fixture.riders.get(binding.rider) else { continue };
        let way = match binding.towards {
            Way::Growing => "growing",
            Way::Falling => "falling",
        };
        let jams = binding.ratio >= 1.0;
        let title = if jams {
            format!("{} jams: no push moves it towards {way} travel", rider.name)
        } else {
            format!("{} is near jamming: a push grows {:.1}-fold", rider.name, binding.growth())
        };
        findings.push(Finding {
            code: if jams { "binding.jams" } else { "binding.near" },
            severity: if jams { Severity::Fails } else { Severity::Marginal },
            title,
            reason: format!(
                "Pushed {} beside the middle of its friction it cants on guides {} long, and {:.2} N of every newton come back as friction (2μe/L; at 1 it jams). Friction may grow {:.1}-fold before it does. Longer guides, a push nearer to the rail or less friction cure it.",
                known.length(binding.offset, 1),
                known.length(binding.length, 1),
                binding.ratio,
                binding.margin()
            ),
            paths: vec![rider.path.clone()],
            value: Some(binding.ratio),
            limit: Some(if jams { 1.0 } else { NEAR }),
            ..Finding::blank()
        });
    }
    findings
}
