//! Which of the numbers behind it all nobody has measured?

use super::Known;
use crate::{Finding, Severity, plain};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let assumed: Vec<_> = known.coefficients.iter().filter(|named| named.is_assumed()).collect();
    if assumed.is_empty() {
        return Vec::new();
    }
    let list = assumed
        .iter()
        .map(|named| {
            let unit = if named.unit.is_empty() { String::new() } else { format!(" {}", named.unit) };
            format!("{} {}{unit}", named.name, plain(named.coefficient.value))
        })
        .collect::<Vec<_>>()
        .join("; ");
    vec![Finding {
        code: "coefficients.assumed",
        severity: Severity::Note,
        title: format!(
            "{} coefficient{} of resistance {} assumed",
            assumed.len(),
            if assumed.len() == 1 { "" } else { "s" },
            if assumed.len() == 1 { "is" } else { "are" }
        ).into(),
        reason: format!(
            "No source gives them for these materials: {list}. Effort, hold band and torque are as good as they are. Pull the rider steadily with a spring scale, with two or three payloads and both ways, and write the pulls down: they are fitted to them."
        ).into(),
        paths: assumed.iter().map(|named| named.coefficient.path.clone()).collect(),
        value: Some(assumed.len() as f64),
        ..Finding::blank()
    }]
}
