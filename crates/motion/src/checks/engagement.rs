//! Does the thread engage, and does the screw's length fit?

mod tapped;

use super::one_title::add;
use super::{Known, StackHere};
use crate::phrase::{length, phrase};
use crate::{Finding, Phrase, PieceKind, Remedy, Severity, SoldLength, Stack, StackEnd, Thread};

/// Screws of the lengths met here come in steps of this much (mm; ISO 888 between 20 and 70 mm), where it is not known
/// which are sold.
const LENGTH_STEP: f64 = 5.0;

/// Lengths that differ by less are the same (mm).
const SAME: f64 = 1e-3;

/// The length to take instead: the shortest that is sold, reaches as far as is required, and whose thread begins before
/// what it must clamp ends. `None` where it is not known what is sold, or nothing does.
fn sold_length(stack: &Stack, thread: Thread) -> Option<f64> {
    let last = stack.pieces.last().map_or(0.0, |piece| piece.thickness.nominal);
    let reaches = thread.grip + thread.asked;
    // A shoulder's length is chosen by what it carries, not by the thread.
    if stack.screw.shoulder.is_some() {
        return None;
    }
    let fits = |sold: &&SoldLength| sold.length >= reaches - SAME && sold.shank <= thread.grip - last + TIGHT;
    stack.screw.sold.iter().find(fits).map(|sold| sold.length)
}

/// A remedy that names the length to take; none where it is the one there is.
fn take(stack: &Stack, length_to_take: f64) -> Option<Remedy> {
    let less = stack.screw.length.nominal - length_to_take;
    (less.abs() > SAME).then(|| Remedy {
        text: phrase![
            "the same screw ",
            length(length_to_take - stack.screw.beyond, 0),
            " long, which is sold and reaches"
        ],
        path: Some(stack.screw.path.clone()),
        by: (less > 0.0).then_some(less),
    })
}

/// Whether a screw stands out so far that a shorter one holds as well.
fn is_too_long(stack: &Stack, thread: Thread) -> bool {
    if stack.screw.shoulder.is_some() {
        return false;
    }
    if stack.screw.sold.is_empty() {
        return thread.projection >= thread.asked + LENGTH_STEP;
    }
    thread.projection > thread.asked
        && sold_length(stack, thread).is_some_and(|sold| sold < stack.screw.length.nominal - SAME)
}

fn too_long(findings: &mut Vec<Finding>, rider: &str, stack: &Stack, thread: Thread, path: &str) {
    let title = phrase![
        format!("{rider}: {} stands ", stack.screw.name),
        length(thread.projection, 1),
        " beyond its nut"
    ];
    let sold = sold_length(stack, thread);
    let less = sold.map_or(LENGTH_STEP, |sold| stack.screw.length.nominal - sold);
    add(
        findings,
        Finding {
            code: "screw.long",
            severity: Severity::Note,
            title,
            reason: phrase![
                "One pitch (",
                length(thread.asked, 2),
                ") is enough for full engagement; a screw a length shorter (by ",
                length(less, 0),
                ") still holds, and its end is out of the way."
            ],
            paths: vec![path.to_owned()],
            value: Some(thread.projection),
            limit: Some(thread.asked + less),
            unit: "mm",
            remedies: sold.and_then(|sold| take(stack, sold)).into_iter().collect(),
            ..Finding::blank()
        },
    );
}

/// A nut or tapped plate this much short of the thread's beginning still tightens: what seats give (mm).
const TIGHT: f64 = 0.05;

/// A nut or tapped plate that meets the plain shank before it clamps.
fn on_shank(rider: &str, stack: &Stack, thread: Thread, path: &str) -> Option<Finding> {
    let (last, screw) = (stack.pieces.last()?, &stack.screw);
    if screw.shoulder.is_some() {
        // A shoulder bottoms on purpose.
        return None;
    }
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
    if let Some(sold) = sold_length(stack, thread) {
        remedies.extend(take(stack, sold));
    } else if screw.sold.is_empty() && thread.projection - thread.asked >= missing {
        remedies.push(Remedy {
            text: phrase!["a screw shorter by ", length(missing, 2), ": its thread begins that much earlier"],
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
        text: phrase![length(missing, 2), format!(" more between head and {between}, washers say")],
        path: None,
        by: None,
    });
    Some(Finding {
        code: "screw.shank",
        severity: Severity::Fails,
        title: phrase![
            format!("{rider}: {what} {} meets the plain shank ", screw.name),
            length(missing, 2),
            " before it clamps"
        ],
        reason: phrase![
            length(clamped, 2),
            format!(" are to be clamped between head and {between}, but the thread begins "),
            length(screw.shank, 2),
            " from where the screw's length counts (length ",
            length(screw.length.nominal, 2),
            " less thread ",
            length(screw.length.nominal - screw.shank, 2),
            format!("): {runs} no further and clamps nothing.")
        ],
        paths: vec![path.to_owned(), stack_path],
        value: Some(clamped),
        limit: Some(screw.shank),
        unit: "mm",
        remedies,
        ..Finding::blank()
    })
}

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    for StackHere { rider, placed, name, path, stack } in known.stacks() {
        let thread = placed.thread;
        if let Some(found) = on_shank(&rider.name, stack, thread, path) {
            add(&mut findings, found);
        }
        if let StackEnd::Tapped { .. } = stack.end {
            let found = tapped::check(&rider.name, stack, thread, path);
            found.into_iter().for_each(|finding| add(&mut findings, finding));
            continue;
        }
        let Some(nut) = stack.pieces.iter().rfind(|piece| matches!(piece.kind, PieceKind::Nut { .. })) else {
            continue;
        };
        if is_too_long(stack, thread) {
            too_long(&mut findings, &rider.name, stack, thread, path);
        }
        if thread.projection >= thread.asked - 1e-9 {
            continue;
        }
        let engaged = (nut.thickness.nominal + thread.projection.min(0.0)).max(0.0);
        let severity = if engaged <= 0.0 { Severity::Fails } else { Severity::Marginal };
        let title = if engaged <= 0.0 {
            Phrase::from(format!("{}: {} does not reach its nut", rider.name, stack.screw.name))
        } else if thread.projection < 0.0 {
            phrase![
                format!("{}: {} ends ", rider.name, stack.screw.name),
                length(-thread.projection, 2),
                " inside its nut"
            ]
        } else {
            phrase![
                format!("{}: {} stands only ", rider.name, stack.screw.name),
                length(thread.projection, 2),
                " beyond its nut"
            ]
        };
        let found = Finding {
            code: "screw.engagement",
            severity,
            title,
            reason: phrase![
                length(thread.grip, 2),
                " are clamped between head and nut's far face, the screw is ",
                length(stack.screw.length.nominal, 2),
                format!(" long ({name}). At least one pitch ("),
                length(thread.asked, 2),
                ") should stand beyond the nut (common practice), so that a lock nut's insert grips: ",
                length(thread.asked - thread.projection, 2),
                " are missing."
            ],
            paths: vec![path.to_owned()],
            value: Some(thread.projection),
            limit: Some(thread.asked),
            unit: "mm",
            remedies: sold_length(stack, thread).and_then(|sold| take(stack, sold)).into_iter().collect(),
            ..Finding::blank()
        };
        add(&mut findings, found);
    }
    findings
}
