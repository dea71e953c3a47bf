//! Does a shoulder screw's shoulder end where what it carries ends?

use super::one_title::add;
use super::{Known, StackHere};
use crate::phrase::{length, phrase};
use crate::{Finding, Remedy, Severity, Stack};

/// What sits on a shoulder may have this much play along it (mm; common practice, no source).
const EASY: f64 = 0.3;

/// A shoulder this much short still counts as ending with what it carries (mm).
const TIGHT: f64 = 0.05;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for StackHere { rider, stack, path, .. } in known.stacks() {
        if let Some(finding) = play(&rider.name, stack, path) {
            add(&mut findings, finding);
        }
    }
    findings
}

fn play(rider: &str, stack: &Stack, path: &str) -> Option<Finding> {
    let screw = &stack.screw;
    screw.shoulder?;
    let carried: f64 =
        stack.pieces.iter().take(stack.on_shoulder()).map(|piece| piece.thickness.nominal).sum();
    let play = screw.shank - carried;
    let (title, reason, severity) = if play > EASY {
        (
            phrase![
                format!("{rider}: what sits on the shoulder of {} has ", screw.name),
                length(play, 2),
                " of play"
            ],
            phrase![
                "Its shoulder is ",
                length(screw.shank, 2),
                " long and carries ",
                length(carried, 2),
                "; it bottoms on what comes behind, and the wheel shifts along it by the rest. Up to ",
                length(EASY, 1),
                " is usual (common practice, no source)."
            ],
            Severity::Marginal,
        )
    } else if play < -TIGHT {
        (
            phrase![
                format!("{rider}: the shoulder of {} ends ", screw.name),
                length(-play, 2),
                " inside what it carries"
            ],
            phrase![
                "Its shoulder is ",
                length(screw.shank, 2),
                " long and carries ",
                length(carried, 2),
                ": the last of it stands over the thinner thread, and the screw clamps it by its head instead of by the shoulder."
            ],
            Severity::Marginal,
        )
    } else {
        return None;
    };
    Some(Finding {
        code: "screw.shoulder",
        severity,
        title,
        reason,
        paths: vec![path.to_owned(), screw.path.clone()],
        value: Some(play),
        limit: Some(EASY),
        unit: "mm",
        remedies: vec![Remedy {
            text: "shim rings that fill it, or a shoulder of another length".into(),
            path: Some(screw.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    })
}
