//! Do the pulleys suit their belt: how tight it bends, what their axles bear, how it is tensioned?

use std::f64::consts::PI;

use super::Known;
use super::beam::round_bar;
use crate::phrase::{self, length, phrase};
use crate::{Finding, Line, LineKind, LineNode, Pulley, PulleyKind, Remedy, Severity, Turn};

/// Fewest teeth a toothed belt of a pitch should bend round, where its part says nothing of it (common practice for belts of 2, 3 and 5 mm pitch; from
/// memory, makers differ).
const FEWEST_TEETH: [(f64, f64); 3] = [(2.0, 12.0), (3.0, 16.0), (5.0, 18.0)];

/// A toothed belt bent the other way round, on its back, wants a rim this much larger (common practice, from memory).
const BACK: f64 = 1.3;

/// Least diameter of a pulley in thicknesses of a strap, in diameters of a cord (common practice, from memory).
const STRAP: f64 = 20.0;
const CORD: f64 = 8.0;

/// Tensile stress that the bending of a steel axle of unknown class may bring (MPa): a third of what class 8.8 yields
/// at (640 MPa, ISO 898-1, read), as the load turns about the axle's threads (own assumption).
const AXLE: f64 = 213.0;

/// From a pulley's side to what holds its axle (mm; own assumption).
const BESIDE: f64 = 2.0;

/// Force with which a span is pressed to see its pretension: a fiftieth of that (own choice; a thumb's worth).
const PRESSED: f64 = 50.0;

/// A span is taut enough where the drive's force leaves it this share of its pretension (own assumption).
const TAUT: f64 = 0.2;

/// Rounding (mm).
const HAIR: f64 = 1e-6;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let Some(line) = known.fixture.line.as_ref() else { return Vec::new() };
    let mut findings = Vec::new();
    findings.extend(tight(line));
    findings.extend(axle(known, line));
    findings.extend(pretension(known, line));
    findings
}

fn pulleys(line: &Line) -> impl Iterator<Item = (usize, &Pulley)> {
    line.nodes.iter().enumerate().filter_map(|(number, node)| match node {
        LineNode::Pulley(pulley) => Some((number, pulley)),
        LineNode::Anchor { .. } => None,
    })
}

/// The least diameter on which a line may bend (mm, of its pitch line), and by which rule.
fn least_diameter(line: &Line, pulley: &Pulley, on_back: bool) -> (f64, String) {
    match line.kind {
        LineKind::Toothed { pitch } => {
            let teeth = line.least_teeth.or_else(|| crate::interpolated(&FEWEST_TEETH, pitch)).unwrap_or(0.0);
            let least = teeth * pitch / PI;
            if on_back {
                (BACK * least, format!("{BACK} times what {teeth:.0} teeth have, as it lies on its back"))
            } else {
                (least, format!("{teeth:.0} teeth"))
            }
        }
        LineKind::Flat => (STRAP * line.thickness, format!("{STRAP:.0} times its thickness")),
        LineKind::Cord if pulley.kind == PulleyKind::Post => (0.0, String::new()),
        LineKind::Cord => (CORD * line.thickness, format!("{CORD:.0} times its thickness")),
    }
}

/// The tightest bend.
fn tight(line: &Line) -> Option<Finding> {
    // Teeth lie on the pulleys with teeth; a plain rim on the other side meets the belt's back.
    let toothed = pulleys(line).find(|(_, pulley)| pulley.teeth > 0).map(|(_, pulley)| pulley.turn);
    let is_back = |pulley: &Pulley| {
        matches!(line.kind, LineKind::Toothed { .. })
            && pulley.teeth == 0
            && toothed.is_some_and(|turn: Turn| turn != pulley.turn)
    };
    let (pulley, least, rule, on_back) = pulleys(line)
        .map(|(_, pulley)| {
            let on_back = is_back(pulley);
            let (least, rule) = least_diameter(line, pulley, on_back);
            (pulley, least, rule, on_back)
        })
        .filter(|(pulley, least, ..)| 2.0 * pulley.radius < least - HAIR)
        .max_by(|a, b| (a.1 / a.0.radius).total_cmp(&(b.1 / b.0.radius)))?;
    let has = 2.0 * pulley.radius;
    Some(Finding {
        code: "belt.bend",
        severity: Severity::Marginal,
        title: phrase![
            format!("{} bends too tightly round {}: ", line.name, pulley.name),
            length(has, 1),
            " across"
        ],
        reason: phrase![
            "Bent so tightly its cords tire and crack",
            if on_back { ", the sooner as it is bent the other way round there" } else { "" },
            ", it runs stiffly and lies badly on the rim. Required: ",
            length(least, 1),
            format!(" across its pitch line, {rule} (common practice, from memory; makers differ).")
        ],
        paths: vec![pulley.path.clone()],
        value: Some(has),
        limit: Some(least),
        unit: "mm",
        remedies: vec![Remedy { text: "a larger pulley".into(), path: Some(pulley.path.clone()), by: None }],
        ..Finding::blank()
    })
}

/// Bending stress (MPa) of an axle of a diameter (mm) that stands out by `arm` (mm) under a force (N) there:
/// 32 F a/(π d³).
fn bending(force: f64, arm: f64, diameter: f64) -> f64 {
    round_bar(force * arm, diameter)
}

/// An idler whose axle bends.
fn axle(known: &Known<'_>, line: &Line) -> Option<Finding> {
    let figures = known.line?;
    let (pulley, force, stress) = pulleys(line)
        .filter(|(_, pulley)| pulley.kind == PulleyKind::Idler && pulley.bore > 0.0)
        .filter_map(|(number, pulley)| {
            let force = figures.wraps.iter().find(|wrap| wrap.node == number)?.resultant;
            Some((pulley, force, bending(force, 0.5 * pulley.width + BESIDE, pulley.bore)))
        })
        .max_by(|a, b| a.2.total_cmp(&b.2))?;
    (stress > AXLE).then(|| Finding {
        code: "belt.axle",
        severity: if stress > 3.0 * AXLE { Severity::Fails } else { Severity::Marginal },
        title: format!("The axle of {} is bent with {stress:.0} MPa", pulley.name).into(),
        reason: phrase![
            phrase!["The line pulls it with up to ", phrase::force(force, 0), ". Held on one side only, an axle of "],
            length(pulley.bore, 1),
            " is bent over ",
            length(0.5 * pulley.width + BESIDE, 1),
            format!(
                " (half its width and {BESIDE} mm, assumed) with 32 F a/(π d³). Required: at most {AXLE:.0} MPa, a third of what a screw of class 8.8 yields at."
            )
        ],
        paths: vec![pulley.path.clone()],
        value: Some(stress),
        limit: Some(AXLE),
        unit: "MPa",
        remedies: vec![Remedy {
            text: "a thicker axle, or one held on both sides".into(),
            path: Some(pulley.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    })
}

/// Tone of a span (Hz): √(T/m)/(2 l), pull T in N, mass m in kg per metre, length l in mm.
fn tone(pull: f64, mass: f64, length: f64) -> f64 {
    (pull / mass).sqrt() / (2e-3 * length)
}

/// How a loop is tensioned: the pull, how far a span then gives and how it sounds.
fn pretension(known: &Known<'_>, line: &Line) -> Option<Finding> {
    let (figures, drive) = (known.line?, known.drive?);
    if !pulleys(line).any(|(_, pulley)| pulley.kind == PulleyKind::Driven) {
        return None;
    }
    let force = drive.up.force.iter().chain(&drive.down.force).fold(0.0_f64, |most, f| most.max(f.abs()));
    // The slack side gives up half of what the drive pulls.
    let wants = 0.5 * force / (1.0 - TAUT);
    let span = figures.spans.iter().max_by(|a, b| a.length.1.total_cmp(&b.length.1))?;
    let (has, long) = (line.pretension.value, span.length.1);
    if !(wants > 0.0 && wants.is_finite() && has > 0.0 && line.mass_per_metre > 0.0 && long > 0.0) {
        return None;
    }
    let low = has < wants;
    let pull = has.max(wants);
    let press = pull / PRESSED;
    Some(Finding {
        code: "belt.pretension",
        severity: if low { Severity::Marginal } else { Severity::Note },
        title: if low {
            phrase![
                format!("{} is tensioned with ", line.name),
                phrase::force(has, 1),
                " and wants ",
                phrase::force(wants, 1)
            ]
        } else {
            phrase![
                format!("{}: ", line.name),
                phrase::force(wants, 1),
                " of pretension are enough, it has ",
                phrase::force(has, 1)
            ]
        },
        reason: phrase![
            phrase![
                "The drive pulls with up to ",
                phrase::force(force, 1),
                format!(
                    "; half of that comes off the slack side, which should keep {:.0} % of its pretension. At ",
                    100.0 * TAUT
                ),
                phrase::force(pull, 1),
                " its longest span of "
            ],
            length(long, 0),
            format!(" gives "),
            length(press * long / (4.0 * pull), 1),
            phrase![
                " when its middle is pressed with ",
                phrase::force(press, 1),
                format!(
                    " (F l/4T), and sounds at {:.0} Hz when it is plucked (√(T/m)/2l).",
                    tone(pull, line.mass_per_metre, long)
                )
            ]
        ],
        paths: vec![line.pretension.path.clone()],
        value: Some(has),
        limit: Some(wants),
        unit: "N",
        remedies: if low {
            vec![Remedy {
                text: phrase!["a pretension of ", phrase::force(wants, 0)],
                path: Some(line.pretension.path.clone()),
                by: None,
            }]
        } else {
            Vec::new()
        },
        ..Finding::blank()
    })
}

#[cfg(test)]
mod tests {
    use super::{bending, tone};

    /// 25 N, 8.5 g/m, free length 0.4 m: 67.7908 Hz (string, √(T/m)/2l; computed).
    #[test]
    fn tone_of_a_span() {
        assert!((tone(25.0, 0.0085, 400.0) - 67.7908).abs() < 1e-3);
    }

    /// M/W of a round bar, W = π d³/32: 100 N at 10 mm on 5 mm is 1000/12.2718 = 81.487 MPa (textbook formula, computed
    /// by the section modulus).
    #[test]
    fn bending_of_an_axle() {
        let modulus = std::f64::consts::PI * 125.0 / 32.0;
        assert!((modulus - 12.2718).abs() < 1e-4);
        assert!((bending(100.0, 10.0, 5.0) - 1000.0 / modulus).abs() < 1e-9);
    }
}
