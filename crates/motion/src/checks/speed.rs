//! Do wheels and bearings bear the speed they are driven at?

use std::f64::consts::TAU;

use super::Known;
use crate::loads::wheel_of;
use crate::{Drive, Finding, Remedy, Severity, rider_ratio};

/// Running speed that small plastic tyres bear for long (mm/s; common practice, no source).
const TYRE: f64 = 2000.0;

/// Mean diameter times speed that grease in a small ball bearing bears (mm/min; common practice, from memory: 300 000).
const GREASE: f64 = 300_000.0;

/// Turns per minute of a wheel that rolls on a radius (mm) at a speed (mm/s).
fn turns(speed: f64, radius: f64) -> f64 {
    60.0 * speed / (TAU * radius)
}

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let Drive::Motor(motor) = &known.fixture.drive else { return Vec::new() };
    let mut findings = Vec::new();
    for (number, rider) in known.fixture.riders.iter().enumerate() {
        let speed = motor.profile.speed * rider_ratio(known.fixture, number).abs();
        let mut fast: Option<Finding> = None;
        for mount in &rider.wheels {
            let Some(wheel) = wheel_of(mount) else { continue };
            let rpm = turns(speed, wheel.outer_radius.nominal);
            let greased = rpm * 0.5 * (wheel.bearing.bore + wheel.bearing.outer);
            let bears = wheel.bearing.speed.filter(|speed| *speed > 0.0);
            let too_fast = bears.map_or(greased > GREASE, |bears| rpm > bears);
            let plastic = !wheel.tyre.is_metal() && wheel.tyre.youngs > 0.0 && speed > TYRE;
            if !(plastic || too_fast) {
                continue;
            }
            let (what, value, limit, unit) = if plastic {
                (
                    format!(
                        "A plastic tyre warms as it is flexed and softens; small ones bear about {:.1} m/s for long (common practice, no source).",
                        1e-3 * TYRE
                    ),
                    speed,
                    TYRE,
                    "mm/s",
                )
            } else if let Some(bears) = bears {
                let what = format!(
                    "Its bearings {} turn at {rpm:.0} rev/min; their speed limit is {bears:.0}.",
                    wheel.bearing.name
                );
                (what, rpm, bears, "rev/min")
            } else {
                (
                    format!(
                        "Its bearings {} turn at {rpm:.0} rev/min, {greased:.0} mm/min of mean diameter times speed; their grease bears about {GREASE:.0} (from memory).",
                        wheel.bearing.name
                    ),
                    greased,
                    GREASE,
                    "mm/min",
                )
            };
            match &mut fast {
                Some(known) => known.paths.push(mount.path.clone()),
                None => {
                    fast = Some(Finding {
                        code: "wheel.speed",
                        severity: Severity::Marginal,
                        title: format!("{} runs at {:.2} m/s on {}", rider.name, 1e-3 * speed, wheel.name)
                            .into(),
                        reason: what.into(),
                        paths: vec![mount.path.clone()],
                        value: Some(value),
                        limit: Some(limit),
                        unit,
                        remedies: vec![Remedy {
                            text: "larger wheels, or a lower speed".into(),
                            path: Some(known.fixture.paths.drive.clone()),
                            by: None,
                        }],
                        ..Finding::blank()
                    });
                }
            }
        }
        findings.extend(fast);
    }
    findings
}

#[cfg(test)]
mod tests {
    /// A wheel of 24 mm that rolls its own circumference, 75.398 mm, in a second turns 60 times a minute (geometry).
    #[test]
    fn turns_of_a_wheel() {
        assert!((super::turns(75.398_224, 12.0) - 60.0).abs() < 1e-5);
    }
}
