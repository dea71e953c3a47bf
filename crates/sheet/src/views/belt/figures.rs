//! The figures of a line.

use glidewright_motion::{LineKind, LineNode, PathElement};

use super::Shown;
use crate::look::{Tone, number};
use crate::views::scene::Scene;
use crate::views::table::Row;

/// Teeth in mesh that a toothed belt should have at its drive at least (common practice, no source).
const MESH: f64 = 6.0;

/// A path that changes by less than this over the stroke (mm) keeps its length.
const LENGTH_CHANGE: f64 = 0.05;

pub(super) fn rows(scene: &Scene<'_>, shown: &Shown<'_>) -> Vec<Row> {
    let line = shown.line;
    let mm = |value: f64| scene.text(value, 1);
    let name = |number: usize| match line.nodes.get(number) {
        Some(LineNode::Anchor { name, .. }) => name.as_str(),
        Some(LineNode::Pulley(pulley)) => pulley.name.as_str(),
        None => "?",
    };
    let kind = match line.kind {
        LineKind::Toothed { pitch } => format!("toothed, {} pitch", mm(pitch)),
        LineKind::Flat => "flat".to_owned(),
        LineKind::Cord => "cord".to_owned(),
    };
    let mut rows = vec![
        Row::new("kind", format!("{kind}, {} wide", scene.text(line.width, 0))),
        Row::new("at travel", mm(scene.travel)),
    ];
    for element in &shown.path.elements {
        match *element {
            PathElement::Span { from, to, nodes } => {
                rows.push(Row::new(format!("{} to {}", name(nodes.0), name(nodes.1)), mm(from.distance(to))));
            }
            PathElement::Wrap { radius, sweep, node, .. } => {
                let length = radius * sweep.abs();
                let text = format!("{}°, {}", number(sweep.abs().to_degrees(), 1), mm(length));
                rows.push(Row::new(format!("round {}", name(node)), text));
                let Some(LineNode::Pulley(pulley)) = line.nodes.get(node) else { continue };
                if let (1.., LineKind::Toothed { .. }) = (pulley.teeth, line.kind) {
                    let teeth = pulley.teeth;
                    let mesh = f64::from(teeth) * sweep.abs() / std::f64::consts::TAU;
                    let row = Row::new("  teeth in mesh", format!("{} of {teeth}", number(mesh, 1)));
                    rows.push(if mesh < MESH { row.toned(Tone::Marginal) } else { row });
                }
            }
        }
    }
    let length = shown.path.length();
    rows.push(Row::new("between its clamps", mm(length)));
    if let LineKind::Toothed { pitch } = line.kind
        && pitch > 0.0
    {
        rows.push(Row::new("  in teeth", number(length / pitch, 2)));
    }
    if let Some(figures) = &scene.results.line {
        rows.push(Row::new("in the clamps", mm(figures.tails)));
        rows.push(Row::new("to cut", mm(figures.cut_length)));
        if figures.length_change.abs() > LENGTH_CHANGE {
            let row = Row::new("its path changes by", mm(figures.length_change));
            rows.push(row.toned(Tone::Marginal));
        }
    }
    rows.push(Row::new("weighs", scene.unit().mass(1e-3 * length * line.mass_per_metre, 0)));
    rows
}
