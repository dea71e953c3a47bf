//! Which of the numbers behind it all nobody has measured?

use super::Known;
use crate::phrase::{needed, phrase};
use crate::{Finding, Measure, Phrase, Severity, plain};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let assumed: Vec<_> = known.coefficients.iter().filter(|named| named.is_assumed()).collect();
    if assumed.is_empty() {
        return Vec::new();
    }
    let list = assumed.iter().map(|named| {
        let value = named.coefficient.value;
        let figure = match Measure::of_symbol(named.unit) {
            Some(measure) => needed(measure, measure.value(value)),
            None if named.unit.is_empty() => plain(value).into(),
            None => format!("{} {}", plain(value), named.unit).into(),
        };
        phrase![format!("{} ", named.name), figure]
    });
    let list = Phrase::join(list, "; ");
    vec![Finding {
        code: "coefficients.assumed",
        severity: Severity::Note,
        title: format!(
            "{} coefficient{} of resistance {} assumed",
            assumed.len(),
            if assumed.len() == 1 { "" } else { "s" },
            if assumed.len() == 1 { "is" } else { "are" }
        )
        .into(),
        reason: phrase![
            "No source gives them for these materials: ",
            list,
            ". Effort, hold band and torque are as good as they are. Pull the rider steadily with a spring scale, with two or three payloads and both ways, and write the pulls down: they are fitted to them."
        ],
        paths: assumed.iter().map(|named| named.coefficient.path.clone()).collect(),
        value: Some(assumed.len() as f64),
        ..Finding::blank()
    }]
}
