//! Does the thread engage, and does the screw's length fit?

mod tapped;

use super::Known;
use crate::{Finding, PieceKind, Remedy, Severity, Stack, StackEnd, Thread};

/// Screws of the lengths met here come in steps of this much (mm; ISO 888 between 20 and 70 mm).
const LENGTH_STEP: f64 = 5.0;

fn too_long(
    known: &Known<'_>,
    findings: &mut Vec<Finding>,
    rider: &str,
    stack: &Stack,
    thread: Thread,
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

/// A nut or tapped plate this much short of the thread's beginning still tightens: what seats give (mm).
const TIGHT: f64 = 0.05;

/// A nut or tapped plate that meets the plain shank before it clamps.
fn on_shank(known: &Known<'_>, rider: &str, stack: &Stack, thread: Thread, path: &str) -> Option<Finding> {
    let (last, screw) = (stack.pieces.last()?, &stack.screw);
    let (what, between, runs) = match (stack.end, &last.kind) {
        (StackEnd::Nut, PieceKind::Nut { .. }) => ("the nut on", "nut", "the nut runs"),
        (StackEnd::Tapped { .. }, _) => ("the tapped plate on", "tapped plate", "the screw goes"),
        _ => return None,
    };
    let clamped = thread.grip - last.thickness.nominal;
    let missing = screw.shank - clamped;
    if missing <= TIGHT {
        return None;
    }
    let stack_path = screw.path.clone();
    let mut remedies = Vec::new();
    if thread.projection - thread.asked >= missing {
        remedies.push(Remedy {
            text: format!(
                "a screw shorter by {}: its thread begins that much earlier",
                known.length(missing, 2)
            ),
            path: Some(stack_path.clone()),
            by: Some(missing),
        });
    }
    remedies.push(Remedy {
        text: "a screw threaded to the head".into(),
        path: Some(stack_path.clone()),
        by: None,
    });
    remedies.push(Remedy {
        text: format!("{} more between head and {between}, washers say", known.length(missing, 2)),
        path: None,
        by: None,
    });
    Some(Finding {
        code: "screw.shank",
        severity: Severity::Fails,
        title: format!(
            "{rider}: {what} {} meets the plain shank {} before it clamps",
            screw.name,
            known.length(missing, 2)
        ),
        reason: format!(
            "{} are to be clamped between head and {between}, but the thread begins {} from where the screw's length counts (length {} less thread {}): {runs} no further and clamps nothing.",
            known.length(clamped, 2),
            known.length(screw.shank, 2),
            known.length(screw.length.nominal, 2),
            known.length(screw.length.nominal - screw.shank, 2)
        ),
        paths: vec![path.to_owned(), stack_path],
        value: Some(clamped),
        limit: Some(screw.shank),
        unit: "mm",
        remedies,
        ..Finding::blank()
    })
}

/// The same title once, with the paths of all it is true of.
fn add(findings: &mut Vec<Finding>, found: Finding) {
    match findings.iter_mut().find(|known| known.title == found.title) {
        Some(same) => {
            let fresh: Vec<String> =
                found.paths.into_iter().filter(|path| !same.paths.contains(path)).collect();
            same.paths.extend(fresh);
        }
        None => findings.push(found),
    }
}

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    for (rider, placed) in known.fixture.riders.iter().zip(&known.assembly.riders) {
        for stack_placed in &placed.stacks {
            let Some((name, path, stack)) = rider.stack(stack_placed.of) else { continue };
            let thread = stack_placed.thread;
            if let Some(found) = on_shank(known, &rider.name, stack, thread, path) {
                add(&mut findings, found);
            }
            if let StackEnd::Tapped { .. } = stack.end {
                let found = tapped::check(known, &rider.name, stack, thread, path);
                found.into_iter().for_each(|finding| add(&mut findings, finding));
                continue;
            }
            let Some(nut) = stack.pieces.iter().find(|piece| matches!(piece.kind, PieceKind::Nut { .. }))
            else {
                continue;
            };
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
