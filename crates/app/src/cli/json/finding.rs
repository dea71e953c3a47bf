//! Findings, bodies and chains of sizes.

use glidewright_motion::{Assembly, Body, BodyId, Chain, Finding, Owner, Severity};
use serde_json::{Value, json};

/// Word for a severity.
pub const fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Fails => "fails",
        Severity::Marginal => "marginal",
        Severity::Note => "note",
    }
}

/// One finding.
pub fn finding(assembly: &Assembly, finding: &Finding) -> Value {
    let bodies: Vec<_> = finding.bodies.iter().filter_map(|id| body_at(assembly, *id)).map(body).collect();
    json!({
        "code": finding.code,
        "severity": severity_word(finding.severity),
        "title": finding.title.to_string(),
        "reason": finding.reason.to_string(),
        "bodies": bodies,
        "paths": finding.paths,
        "value": finding.value,
        "limit": finding.limit,
        "unit": finding.unit,
        "at_travel_mm": finding.at_travel,
        "travel_stretches_mm": finding.stretches,
        "chain": finding.chain.as_ref().map(chain),
        "remedies": finding.remedies.iter().map(|remedy| json!({
            "text": remedy.text.to_string(),
            "path": remedy.path,
            "by_mm": remedy.by,
        })).collect::<Vec<_>>(),
    })
}

pub(super) fn body_at(assembly: &Assembly, id: BodyId) -> Option<&Body> {
    assembly.body(id)
}

pub(super) fn body(body: &Body) -> Value {
    json!({
        "label": body.label,
        "path": body.path,
        "role": body.role.word(),
        "rider_number": match body.owner { Owner::Ground => None, Owner::Rider(number) => Some(number) },
    })
}

pub(super) fn chain(chain: &Chain) -> Value {
    json!({
        "sentence": chain.sentence().to_string(),
        "nominal_mm": chain.nominal(),
        "worst_case_half_width_mm": chain.worst_case(),
        "root_sum_square_half_width_mm": chain.root_sum_square(),
        "terms": chain.terms.iter().map(|term| json!({
            "label": term.label,
            "path": term.path,
            "size_mm": term.size.nominal,
            "half_width_mm": term.size.half_width(),
            "sensitivity": term.sensitivity,
        })).collect::<Vec<_>>(),
    })
}
