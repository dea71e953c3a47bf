//! Is the belt or cord as the fixture needs it: length, teeth, pull, sag?

use super::Known;
use crate::line::FULL_MESH;
use crate::phrase::{force, length, phrase, size};
use crate::{Finding, LineFigures, LineKind, LineNode, Phrase, PulleyKind, Severity, teeth_factor};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let Some(figures) = known.line else { return Vec::new() };
    let mut findings = Vec::new();
    findings.extend(length_change(known, figures));
    findings.extend(slack(known, figures));
    findings.extend(teeth(known, figures));
    findings.extend(pull(known, figures));
    findings.extend(sag(known, figures));
    findings.extend(whole_teeth(known, figures));
    findings
}

fn node_name(known: &Known<'_>, number: usize) -> String {
    match known.fixture.line.as_ref().and_then(|line| line.nodes.get(number)) {
        Some(LineNode::Anchor { name, .. }) => name.clone(),
        Some(LineNode::Pulley(pulley)) => pulley.name.clone(),
        None => format!("place {}", number + 1),
    }
}

fn node_path(known: &Known<'_>, number: usize) -> String {
    match known.fixture.line.as_ref().and_then(|line| line.nodes.get(number)) {
        Some(LineNode::Anchor { path, .. }) => path.clone(),
        Some(LineNode::Pulley(pulley)) => pulley.path.clone(),
        None => line_path(known),
    }
}

fn line_name<'a>(known: &Known<'a>) -> &'a str {
    known.fixture.line.as_ref().map_or("line", |line| line.name.as_str())
}

fn line_path(known: &Known<'_>) -> String {
    known.fixture.line.as_ref().map_or_else(String::new, |line| line.path.clone())
}

/// A path that needs this much more or less line over the stroke is taken up by the clamps' and the belt's
/// own give (mm; own choice).
const TAKEN_UP: f64 = 0.05;

/// Do the riders' ratios fit the path?
fn length_change(known: &Known<'_>, figures: &LineFigures) -> Option<Finding> {
    (figures.length_change > TAKEN_UP).then(|| {
        let cure = figures.fitting_ratio.and_then(|(rider, ratio)| {
            let rider = known.fixture.riders.get(rider)?;
            Some((rider, ratio))
        });
        let reason = match cure {
            Some((rider, ratio)) => format!(
                "A belt does not stretch that far. As it runs, {} moves by {ratio:.3} times the lead's travel.",
                rider.name
            ),
            None => "A belt does not stretch that far. Spans that lean change length as riders pass, and linked ratios must follow from the path.".to_owned(),
        };
        Finding {
            code: "belt.length_changes",
            severity: Severity::Fails,
            title: phrase![
                format!("The path of {} changes length by ", line_name(known)),
                length(figures.length_change, 2),
                " over the stroke"
            ],
            reason: reason.into(),
            paths: std::iter::once(line_path(known))
                .chain(cure.map(|(rider, _)| rider.path.clone()))
                .collect(),
            value: Some(figures.length_change),
            limit: Some(TAKEN_UP),
            unit: "mm",
            ..Finding::blank()
        }
    })
}

/// Where the pull hangs on a pretension that nobody gave, that is said.
fn pretension_words(known: &Known<'_>) -> Phrase {
    let line = known.fixture.line.as_ref().filter(|line| {
        // Elsewhere weights pull it taut.
        line.nodes.iter().any(|node| matches!(node, LineNode::Pulley(p) if p.kind == PulleyKind::Driven))
    });
    let assumed = line.map(|line| &line.pretension).filter(|pretension| pretension.is_assumed());
    assumed.map_or_else(Phrase::default, |pretension| {
        phrase![
            " This rests on an assumed pretension of ",
            force(pretension.value, 0),
            ": press on a span and measure how far it deflects at what force, and write it down."
        ]
    })
}

/// Would a span have to push?
fn slack(known: &Known<'_>, figures: &LineFigures) -> Option<Finding> {
    let span = figures.spans.iter().max_by(|a, b| a.push.total_cmp(&b.push))?;
    (span.push > 0.0).then(|| {
        let (a, b) = (node_name(known, span.nodes.0), node_name(known, span.nodes.1));
        Finding {
            code: "belt.slack",
            severity: Severity::Marginal,
            title: format!("{} goes slack between {a} and {b}", line_name(known)).into(),
            reason: phrase!["It would have to push with ", force(span.push, 2), " there, which a line cannot: it pulls nothing, and what hangs on it is not moved or held by it. More pretension, or weight on that side, keeps it taut; a toothed belt that goes slack jumps teeth.", pretension_words(known)],
            paths: vec![line_path(known)],
            value: Some(-span.push),
            limit: Some(0.0),
            unit: "N",
            ..Finding::blank()
        }
    })
}

/// Enough teeth in mesh where a toothed belt is driven?
fn teeth(known: &Known<'_>, figures: &LineFigures) -> Vec<Finding> {
    figures
        .wraps
        .iter()
        .filter(|wrap| is_driven(known, wrap.node))
        .filter_map(|wrap| Some((wrap, wrap.teeth_in_mesh?)))
        .filter(|(_, teeth)| *teeth < FULL_MESH)
        .map(|(wrap, teeth)| Finding {
            code: "belt.teeth_in_mesh",
            severity: Severity::Marginal,
            title: format!("Only {teeth:.1} teeth are in mesh on {}", node_name(known, wrap.node)).into(),
            reason: format!(
                "Below {FULL_MESH:.0} teeth a belt bears less than its full pull: here {:.0} % of it (teeth-in-mesh factor of ISO 5295, from memory). More wrap or a larger pulley helps.",
                100.0 * teeth_factor(teeth)
            ).into(),
            paths: vec![node_path(known, wrap.node)],
            value: Some(teeth),
            limit: Some(FULL_MESH),
            unit: "teeth",
            ..Finding::blank()
        })
        .collect()
}

fn is_driven(known: &Known<'_>, node: usize) -> bool {
    matches!(
        known.fixture.line.as_ref().and_then(|line| line.nodes.get(node)),
        Some(LineNode::Pulley(pulley)) if pulley.kind == PulleyKind::Driven
    )
}

/// Does the line bear its pull?
fn pull(known: &Known<'_>, figures: &LineFigures) -> Option<Finding> {
    let line = known.fixture.line.as_ref()?;
    let rated = line.working_pull?;
    let driven = figures.wraps.iter().find(|wrap| is_driven(known, wrap.node));
    let factor = driven.and_then(|wrap| wrap.teeth_in_mesh).map_or(1.0, teeth_factor);
    let span = figures.spans.iter().map(|span| span.pull.1).fold(0.0, f64::max);
    let driving = known.drive.map_or(0.0, |drive| {
        let forces = drive.up.force.iter().chain(&drive.down.force);
        forces.fold(0.0_f64, |most, force| most.max(force.abs()))
    });
    let (needs, bears) = if driving / factor > span { (driving, rated * factor) } else { (span, rated) };
    (needs > bears).then(|| Finding {
        code: "belt.pull",
        severity: Severity::Fails,
        title: phrase![
            format!("{} must bear ", line.name),
            force(needs, 1),
            " and is rated for ",
            force(bears, 1)
        ],
        reason: phrase![
            "It is rated for ",
            force(rated, 1),
            format!(
                "{}. A wider belt, or less load and acceleration, helps.",
                if factor < 1.0 {
                    format!(", of which {:.0} % remain with so few teeth in mesh", 100.0 * factor)
                } else {
                    String::new()
                }
            )
        ],
        paths: vec![line.part_path.clone()],
        value: Some(needs),
        limit: Some(bears),
        unit: "N",
        ..Finding::blank()
    })
}

/// Share of the asked gap that a span's sag may take before straight spans are too rough a picture (own
/// choice).
const SAG_SHARE: f64 = 0.5;

/// May its sag be ignored? Spans are drawn and checked straight.
fn sag(known: &Known<'_>, figures: &LineFigures) -> Option<Finding> {
    let span = figures.spans.iter().max_by(|a, b| a.sag.total_cmp(&b.sag))?;
    let limit = SAG_SHARE * known.fixture.limits.gap;
    (span.sag > limit).then(|| {
        let (a, b) = (node_name(known, span.nodes.0), node_name(known, span.nodes.1));
        let title = if span.sag.is_finite() {
            phrase![
                format!("{} sags by up to ", line_name(known)),
                length(span.sag, 2),
                format!(" between {a} and {b}")
            ]
        } else {
            format!("{} hangs loose between {a} and {b}", line_name(known)).into()
        };
        Finding {
            code: "belt.sag",
            severity: Severity::Marginal,
            title,
            reason: phrase![
                "Its span of up to ",
                length(span.length.1, 0),
                " is drawn and checked straight; that is true enough up to ",
                length(limit, 2),
                ", half the required gap. More pull in it reduces it in proportion.",
                pretension_words(known)
            ],
            paths: vec![line_path(known)],
            value: span.sag.is_finite().then_some(span.sag),
            limit: Some(limit),
            unit: "mm",
            ..Finding::blank()
        }
    })
}

/// Whole teeth between the clamps.
fn whole_teeth(known: &Known<'_>, figures: &LineFigures) -> Option<Finding> {
    let whole = figures.whole_teeth?;
    let line = known.fixture.line.as_ref()?;
    let LineKind::Toothed { pitch } = line.kind else { return None };
    let last = line.nodes.len().saturating_sub(1);
    let way = if whole.anchor_shift >= 0.0 { "away from" } else { "towards" };
    /// A shift of less than this is no shift (mm).
    const NONE: f64 = 0.005;
    let shift = if whole.anchor_shift.abs() < NONE {
        Phrase::from("The clamps stand right for it.")
    } else {
        phrase![
            "With toothed clamps that asks one of them to stand ",
            length(whole.anchor_shift.abs(), 2),
            format!(" along the belt {way} the other, or a tensioner to take it up.")
        ]
    };
    Some(Finding {
        code: "belt.whole_teeth",
        severity: Severity::Note,
        title: phrase![
            format!("{}: {:.0} teeth between its clamps; cut ", line.name, whole.teeth),
            length(figures.cut_length, 0)
        ],
        reason: phrase![
            length(figures.length, 2),
            format!(" between the clamps are {:.2} pitches of ", whole.pitches),
            size(pitch),
            ". ",
            shift,
            " ",
            length(figures.tails, 0),
            " of the cut length lie in the clamps."
        ],
        paths: vec![node_path(known, 0), node_path(known, last)],
        value: Some(whole.anchor_shift),
        unit: "mm",
        ..Finding::blank()
    })
}
