//! Can the motor do what is asked of it?

use super::Known;
use crate::phrase::{length, phrase};
use crate::{Drive, DriveFigures, Finding, Motor, Move, Severity, interpolated};

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
        title: format!(
            "{} gets too warm: {:.1} N·mm root mean square, {continuous:.1} allowed for long",
            motor.name, drive.rms_torque
        ).into(),
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
    let figures = format!(
        "A stroke takes {:.2} s. Peak torque {:.1} N·mm, root mean square {:.1} N·mm over a stroke up and down.{ratio}",
        drive.up.duration(),
        drive.peak_torque,
        drive.rms_torque
    );
    let place = [&drive.up, &drive.down]
        .into_iter()
        .filter_map(|stroke| Some((tightest(stroke, curve)?, stroke.towards)))
        .min_by(|a, b| (a.0.has / a.0.needs).total_cmp(&(b.0.has / b.0.needs)));
    let Some((place, towards)) = place else {
        return Finding {
            code: "drive.torque",
            title: format!("The drive takes up to {:.1} N·mm", drive.peak_torque).into(),
            reason: format!("{figures} No torque curve is given to hold it against.").into(),
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
            format!("{name} is too weak: {:.1} N·mm needed, {:.1} there", place.needs, place.has)
        }
        Severity::Marginal => format!("{name} has only {margin:.2} times the torque it needs"),
        Severity::Note => format!("{name} has {margin:.1} times the torque it needs"),
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
        title: title.into(),
        reason: phrase![
            "Tightest at travel ",
            length(place.travel, 1),
            format!(
                ", {way}, at {:.0} rev/min: {:.1} N·mm needed{doing}, {:.1} N·mm available. {figures}{advice}",
                place.speed, place.needs, place.has
            )
        ],
        paths: vec![known.fixture.paths.drive.clone()],
        value: Some(place.needs),
        limit: Some(place.has),
        unit: "N·mm",
        at_travel: Some(place.travel),
        ..Finding::blank()
    }
}
