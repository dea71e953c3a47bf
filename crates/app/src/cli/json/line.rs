//! The belt or cord.

use glidewright_motion::{Fixture, LineKind, LinePulls, Results};
use serde_json::{Value, json};

use super::{node_name, rider_name};

/// Lengths, teeth, wraps, pulls; null without a line.
pub(super) fn line(fixture: &Fixture, results: &Results) -> Value {
    let (Some(figures), Some(line)) = (&results.line, &fixture.line) else { return Value::Null };
    let curves = &results.curves;
    let pulls = |set: &[LinePulls], span: usize| {
        set.iter()
            .map(|pulls| pulls.spans.get(span).map(|ends| 0.5 * (ends[0] + ends[1])))
            .collect::<Vec<_>>()
    };
    let losses = |set: &[LinePulls], node: usize| {
        let of_node =
            |pulls: &LinePulls| pulls.losses.iter().find(|loss| loss.node == node).map(|loss| loss.total());
        set.iter().map(of_node).collect::<Vec<_>>()
    };
    json!({
        "name": line.name,
        "pitch_mm": match line.kind { LineKind::Toothed { pitch } => Some(pitch), _ => None },
        "length_mm": figures.length,
        "cut_length_mm": figures.cut_length,
        "in_clamps_mm": figures.tails,
        "mass_kg": figures.mass,
        "length_change_mm": figures.length_change,
        "fitting_ratio": figures.fitting_ratio.map(|(rider, ratio)| json!({
            "rider": rider_name(fixture, rider),
            "ratio": ratio,
        })),
        "whole_teeth": figures.whole_teeth.map(|whole| json!({
            "pitches": whole.pitches,
            "teeth": whole.teeth,
            "length_mm": whole.length,
            "anchor_shift_mm": whole.anchor_shift,
        })),
        "spans": figures.spans.iter().enumerate().map(|(number, span)| json!({
            "from": node_name(fixture, span.nodes.0),
            "to": node_name(fixture, span.nodes.1),
            "least_length_mm": span.length.0,
            "greatest_length_mm": span.length.1,
            "least_pull_n": span.pull.0,
            "greatest_pull_n": span.pull.1,
            "would_push_n": span.push,
            "sag_mm": span.sag,
            "pull_at_rest_n": pulls(&curves.line_pulls, number),
            "pull_up_n": pulls(&curves.line_pulls_up, number),
            "pull_down_n": pulls(&curves.line_pulls_down, number),
        })).collect::<Vec<_>>(),
        "wraps": figures.wraps.iter().map(|wrap| json!({
            "node": node_name(fixture, wrap.node),
            "wrap_rad": wrap.wrap,
            "teeth_in_mesh": wrap.teeth_in_mesh,
            "greatest_resultant_n": wrap.resultant,
            "loss_up_n": losses(&curves.line_pulls_up, wrap.node),
            "loss_down_n": losses(&curves.line_pulls_down, wrap.node),
        })).collect::<Vec<_>>(),
    })
}
