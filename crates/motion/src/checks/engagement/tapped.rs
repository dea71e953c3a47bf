//! Does a screw hold in a plate that is tapped?

use crate::phrase::{length, phrase};
use crate::{Finding, Phrase, Remedy, Severity, Stack, Thread};

/// Lengths that differ by less are the same (mm).
const SAME: f64 = 1e-6;
/// An end this far out of a tapped plate is flush (mm; common practice, no source).
const FLUSH: f64 = 0.1;

/// The engagement, an end that meets the bottom of its thread, and one that stands out.
pub(super) fn check(rider: &str, stack: &Stack, thread: Thread, path: &str) -> Vec<Finding> {
    let Some(plate) = stack.pieces.last() else { return Vec::new() };
    let screw = &stack.screw;
    let finding = |code, severity, title, reason| Finding {
        code,
        severity,
        title,
        reason,
        paths: vec![path.to_owned(), screw.path.clone()],
        unit: "mm",
        ..Finding::blank()
    };
    let mut findings = Vec::new();
    if thread.bottoms > SAME {
        let by = length(thread.bottoms, 2);
        let title =
            format!("{rider}: {} meets the bottom of its thread in {}", screw.name, plate.name).into();
        let reason = phrase![
            format!("The thread in {} is ", plate.name),
            length(stack.tapped_depth(), 2),
            " deep and the screw would go in by ",
            length(stack.tapped_depth() + thread.bottoms, 2),
            ", so it comes to a stand ",
            &by,
            " before it clamps anything."
        ];
        let remedy = |text: Phrase, path: Option<&str>, by: Option<f64>| Remedy {
            text,
            path: path.map(str::to_owned),
            by,
        };
        findings.push(Finding {
            value: Some(thread.bottoms),
            limit: Some(0.0),
            remedies: vec![
                remedy(phrase!["a screw shorter by ", &by], Some(&screw.path), Some(thread.bottoms)),
                remedy(phrase![&by, " more between head and tapped plate, washers say"], None, None),
                remedy(phrase!["a thread deeper by ", &by], None, None),
            ],
            ..finding("screw.bottoms", Severity::Fails, title, reason)
        });
    }
    if thread.engaged < thread.least - SAME {
        let engaged = length(thread.engaged, 2);
        let severity = if thread.engaged <= 0.0 { Severity::Fails } else { Severity::Marginal };
        let title = if thread.engaged <= 0.0 {
            format!("{rider}: {} does not reach its thread in {}", screw.name, plate.name).into()
        } else {
            phrase![
                format!("{rider}: {} holds in {} by only ", screw.name, plate.name),
                &engaged,
                " of thread"
            ]
        };
        let diameters = thread.least / screw.diameter;
        let cure = if stack.tapped_depth() < thread.least - SAME {
            "The thread there is too short for that: a thicker plate, a deeper thread, a thinner screw or a nut holds."
        } else {
            "A longer screw holds."
        };
        let reason = phrase![
            format!("A thread of {} should hold over at least {diameters:.0} × its diameter, ", plate.name),
            length(thread.least, 2),
            " (1 in metal, 2 in plastic; common practice); here it is ",
            engaged,
            format!(". {cure}")
        ];
        findings.push(Finding {
            value: Some(thread.engaged),
            limit: Some(thread.least),
            ..finding("screw.tapped", severity, title, reason)
        });
    }
    if thread.projection > FLUSH {
        let title = phrase![
            format!("{rider}: {} stands ", screw.name),
            length(thread.projection, 2),
            format!(" out of {}", plate.name)
        ];
        let reason = "The screw goes through the tapped plate and beyond; its end is compared with what passes, and a screw shorter by that much holds as well.".into();
        findings.push(Finding {
            value: Some(thread.projection),
            limit: Some(FLUSH),
            ..finding("screw.through", Severity::Note, title, reason)
        });
    }
    findings
}
