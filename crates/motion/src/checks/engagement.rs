//! Does the thread engage, and does the screw's length fit?

use super::Known;
use crate::{Finding, PieceKind, Severity};

/// Screws of the lengths met here come in steps of this much (mm; ISO 888 between 20 and 70 mm).
const LENGTH_STEP: f64 = 5.0;

fn too_long(
    known: &Known<'_>,
    findings: &mut Vec<Finding>,
    rider: &str,
    stack: &crate::Stack,
    thread: crate::Thread,
    path: &str,
) {
    let title =
        format!("{rider}: {} stands {} beyond its nut", stack.screw.name, known.length(thread.projection, 1));
    if let Some(same) = findings.iter_mut().find(|finding| finding.title == title) {
        same.paths.push(path.to_owned());
        return;
    }
    findings.push(Finding {
        code: "screw.long",
        severity: Severity::Note,
        title,
        reason: format!(
            "One pitch ({}) is enough for full engagement; a screw a length shorter (by {}) still holds, and its end is out of the way.",
            known.length(thread.asked, 2),
            known.length(LENGTH_STEP, 0)
        ),
        paths: vec![path.to_owned()],
        value: Some(thread.projection),
        limit: Some(thread.asked + LENGTH_STEP),
        unit: "mm",
        ..Finding::blank()
    });
}

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    for (rider, placed) in known.fixture.riders.iter().zip(&known.assembly.riders) {
        for stack_placed in &placed.stacks {
            let Some((name, path, stack)) = rider.stack(stack_placed.of) else { continue };
            let Some(nut) = stack.pieces.iter().find(|piece| matches!(piece.kind, PieceKind::Nut { .. }))
            else {
                continue;
            };
            let thread = stack_placed.thread;
            if thread.projection >= thread.asked + LENGTH_STEP {
                too_long(known, &mut findings, &rider.name, stack, thread, path);
            }
            if thread.projection >= thread.asked - 1e-9 {
                continue;
            }
            let engaged = (nut.thickness.nominal + thread.projection.min(0.0)).max(0.0);
            let severity = if engaged <= 0.0 { Severity::Fails } else { Severity::Marginal };
            let title = if engaged <= 0.0 {
                format!("{}: {} does not reach its nut", rider.name, stack.screw.name)
            } else if thread.projection < 0.0 {
                format!(
                    "{}: {} ends {} inside its nut",
                    rider.name,
                    stack.screw.name,
                    known.length(-thread.projection, 2)
                )
            } else {
                format!(
                    "{}: {} stands only {} beyond its nut",
                    rider.name,
                    stack.screw.name,
                    known.length(thread.projection, 2)
                )
            };
            if let Some(same) = findings.iter_mut().find(|finding| finding.title == title) {
                same.paths.push(path.to_owned());
                continue;
            }
            findings.push(Finding {
                code: "screw.engagement",
                severity,
                title,
                reason: format!(
                    "{} are clamped between head and nut's far face, the screw is {} long ({name}). At least one pitch ({}) should stand beyond the nut (common practice), so that a lock nut's insert grips: {} are missing.",
                    known.length(thread.grip, 2),
                    known.length(stack.screw.length.nominal, 2),
                    known.length(thread.asked, 2),
                    known.length(thread.asked - thread.projection, 2)
                ),
                paths: vec![path.to_owned()],
                value: Some(thread.projection),
                limit: Some(thread.asked),
                unit: "mm",
                ..Finding::blank()
            });
        }
    }
    findings
}
