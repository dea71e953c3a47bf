//! Can the motor do what is asked of it?

use super::Known;
use crate::phrase::{figure, length, moment, phrase};
use crate::{Drive, DriveFigures, Finding, Measure, Motor, Move, Severity, interpolated};

/// A motor should be able to give this much more torque than is needed: steppers lose steps before they
/// stall (common practice, no source).
const RESERVE: f64 = 1.3;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let (Some(drive), Drive::Motor(motor)) = (known.drive, &known.fixture.drive) else { return Vec::new() };
    let mut findings = Vec::new();
    if let Some((fastest, _)) = motor.torque_by_speed.last()
        && drive.peak_speed > *fastest
    {
        findings.push(Finding {
            code: "drive.speed",
            severity: Severity::Fails,
            title: format!("{} would have to turn at {:.0} rev/min", motor.name, drive.peak_speed).into(),
            reason: format!(
                "Its torque curve ends at {fastest:.0} rev/min. A lower speed, or a larger driven pulley, helps."
            ).into(),
            paths: vec![known.fixture.paths.drive.clone()],
            value: Some(drive.peak_speed),
            limit: Some(*fastest),
            unit: "rev/min",
            ..Finding::blank()
        });
    }
    findings.push(torque(known, drive, &motor.name, &motor.torque_by_speed));
    findings.extend(warmth(known, drive, motor));
    findings
}

/// Does it stay cool? A motor's heat goes with the square of its torque.
fn warmth(known: &Known<'_>, drive: &DriveFigures, motor: &Motor) -> Option<Finding> {
    let continuous = motor.continuous?;
    (drive.rms_torque > continuous).then(|| Finding {
        code: "drive.warm",
        severity: Severity::Marginal,
        title: phrase![format!("{} gets too warm: ", motor.name), moment(drive.rms_torque, 1), " root mean square, ", figure(Measure::NewtonMillimetre, continuous, 1), " allowed for long"],
        reason: format!(
            "Its heat goes with the square of its torque; this is the mean over a stroke up and one down of {:.2} s without a rest. A rest between strokes, less acceleration or less mass helps: with a rest of {:.2} s after every two strokes it stays within.",
            drive.up.duration() + drive.down.duration(),
            (drive.up.duration() + drive.down.duration()) * ((drive.rms_torque / continuous).powi(2) - 1.0)
        ).into(),
        paths: vec![known.fixture.paths.drive.clone()],
        value: Some(drive.rms_torque),
        limit: Some(continuous),
        unit: "N·mm",
        ..Finding::blank()
    })
}

/// The place where available over needed torque is least.
struct Tightest {
    needs: f64,
    has: f64,
    speed: f64,
    travel: f64,
    starting: bool,
}

fn tightest(stroke: &Move, curve: &[(f64, f64)]) -> Option<Tightest> {
    let running = stroke.available.iter().zip(&stroke.torque).zip(&stroke.pulley_speed).zip(&stroke.travel);
    let running = running.map(|(((has, needs), speed), travel)| Tightest {
        needs: needs.abs(),
        has: *has,
        speed: *speed,
        travel: *travel,
        starting: false,
    });
    let starting = Tightest {
        needs: stroke.starting_torque.abs(),
        has: interpolated(curve, 0.0)?,
        speed: 0.0,
        travel: *stroke.travel.first()?,
        starting: true,
    };
    running
        .chain([starting])
        .filter(|place| place.needs > 0.0)
        .min_by(|a, b| (a.has / a.needs).total_cmp(&(b.has / b.needs)))
}

fn torque(known: &Known<'_>, drive: &DriveFigures, name: &str, curve: &[(f64, f64)]) -> Finding {
    let ratio = drive.inertia_ratio().map_or_else(String::new, |ratio| {
        format!(" What moves counts {ratio:.1} times the rotor's inertia at the motor.")
    });
    let figures = phrase![
        format!("A stroke takes {:.2} s. Peak torque ", drive.up.duration()),
        moment(drive.peak_torque, 1),
        ", root mean square ",
        moment(drive.rms_torque, 1),
        format!(" over a stroke up and down.{ratio}")
    ];
    let place = [&drive.up, &drive.down]
        .into_iter()
        .filter_map(|stroke| Some((tightest(stroke, curve)?, stroke.towards)))
        .min_by(|a, b| (a.0.has / a.0.needs).total_cmp(&(b.0.has / b.0.needs)));
    let Some((place, towards)) = place else {
        return Finding {
            code: "drive.torque",
            title: phrase!["The drive takes up to ", moment(drive.peak_torque, 1)],
            reason: phrase![figures, " No torque curve is given to hold it against."],
            paths: vec![known.fixture.paths.drive.clone()],
            value: Some(drive.peak_torque),
            unit: "N·mm",
            ..Finding::blank()
        };
    };
    let margin = place.has / place.needs;
    let way = known.fixture.rail.stand.way(towards);
    let doing = if place.starting { "to break away" } else { "" };
    let severity = if margin < 1.0 {
        Severity::Fails
    } else if margin < RESERVE {
        Severity::Marginal
    } else {
        Severity::Note
    };
    let title = match severity {
        Severity::Fails => {
            phrase![
                format!("{name} is too weak: "),
                moment(place.needs, 1),
                " needed, ",
                figure(Measure::NewtonMillimetre, place.has, 1),
                " there"
            ]
        }
        Severity::Marginal => format!("{name} has only {margin:.2} times the torque it needs").into(),
        Severity::Note => format!("{name} has {margin:.1} times the torque it needs").into(),
    };
    let advice = if severity == Severity::Note {
        ""
    } else {
        " Less acceleration, less speed, less mass or a smaller driven pulley needs less; steppers lose steps before they stall, so some reserve is usual (common practice, no source)."
    };
    let doing = if doing.is_empty() { String::new() } else { format!(" {doing}") };
    Finding {
        code: "drive.torque",
        severity,
        title,
        reason: phrase![
            "Tightest at travel ",
            length(place.travel, 1),
            phrase![
                format!(", {way}, at {:.0} rev/min: ", place.speed),
                moment(place.needs, 1),
                format!(" needed{doing}, "),
                moment(place.has, 1),
                " available. ",
                figures,
                advice
            ]
        ],
        paths: vec![known.fixture.paths.drive.clone()],
        value: Some(place.needs),
        limit: Some(place.has),
        unit: "N·mm",
        at_travel: Some(place.travel),
        ..Finding::blank()
    }
}
