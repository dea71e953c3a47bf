//! Is there an end stop where a rider runs to, and does it bear being run against?

use super::Known;
use crate::phrase::{self, kilograms, length, phrase};
use crate::{Coupling, Drive, Finding, Obstacle, Phrase, Remedy, Severity};

/// Speed at which a hand runs a rider against its stop (mm/s; own assumption).
const BY_HAND: f64 = 300.0;

/// How far a stop gives where nothing is said (mm; own assumption: plates, screws and tyres together).
const BARE: f64 = 1.0;

/// A blow of this many times the weight of what is stopped throws what stands on it (own assumption).
const HARD: f64 = 20.0;

/// Blows below this need no buffer, however little is stopped (N; own assumption).
const SLIGHT: f64 = 50.0;

/// Energy of a mass (kg) at a speed (mm/s), in J: m v²/2.
fn energy(mass: f64, speed: f64) -> f64 {
    0.5 * mass * (1e-3 * speed).powi(2)
}

/// Greatest force (N) on a stop that takes an energy (J) and gives so far (mm) as a spring does: 2E/x; `held` pushes on
/// all the while (N).
fn force(energy: f64, give: f64, held: f64) -> f64 {
    2.0 * energy / (1e-3 * give) + held
}

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let fixture = known.fixture;
    let leads = fixture.riders.iter().any(|rider| rider.coupling == Coupling::Lead);
    if !leads || !(fixture.stroke.length() > 0.0) {
        return Vec::new();
    }
    let stops: Vec<&Obstacle> = fixture.obstacles.iter().filter(|obstacle| obstacle.is_stop).collect();
    let found = if stops.is_empty() { Some(missing(known)) } else { blow(known, &stops) };
    found.into_iter().collect()
}

/// A fixture without any stop.
fn missing(known: &Known<'_>) -> Finding {
    let by_motor = matches!(known.fixture.drive, Drive::Motor(_));
    Finding {
        code: "stop.missing",
        severity: Severity::Note,
        title: "Nothing stops it at the ends of its stroke".into(),
        reason: if by_motor {
            "No obstacle is marked as an end stop: a motor that loses its place, or a switch that fails, runs the rider off the rail or into what stands there. A stop that bears the motor's stalled pull at either end holds it."
        } else {
            "No obstacle is marked as an end stop: pushed too far, or let go of, the rider runs off the rail or into what stands there."
        }
        .into(),
        paths: vec![known.fixture.paths.stroke.clone()],
        remedies: vec![Remedy {
            text: "an end stop at either end of the stroke".into(),
            path: Some(known.fixture.paths.stroke.clone()),
            by: None,
        }],
        ..Finding::blank()
    }
}

/// The blow when it runs against a stop.
fn blow(known: &Known<'_>, stops: &[&Obstacle]) -> Option<Finding> {
    let mass = known.curves.effective_mass;
    let (mass, speed, held, how) = match &known.fixture.drive {
        Drive::Motor(motor) => {
            let stalled = motor.torque_by_speed.iter().map(|point| point.1).fold(0.0, f64::max);
            let radius = known.drive.map_or(f64::INFINITY, |drive| drive.radius);
            let rotor = known.drive.map_or(0.0, |drive| drive.rotor_inertia / (drive.radius * drive.radius));
            // The rotor stops with it.
            (mass + rotor, motor.profile.speed, stalled / radius, "its motor runs it")
        }
        Drive::Hand => (mass, BY_HAND, 0.0, "a hand runs it (assumed)"),
    };
    told(known, stops, &Blow { mass, speed, held, how })
}

/// What runs against a stop.
struct Blow<'a> {
    /// kg
    mass: f64,
    /// mm/s
    speed: f64,
    /// What pushes on all the while (N).
    held: f64,
    how: &'a str,
}

fn told(known: &Known<'_>, stops: &[&Obstacle], blow: &Blow<'_>) -> Option<Finding> {
    let Blow { mass, speed, held, how } = *blow;
    let stiffest = stops.iter().min_by(|a, b| a.give.unwrap_or(BARE).total_cmp(&b.give.unwrap_or(BARE)))?;
    let give = stiffest.give.unwrap_or(BARE);
    let energy = energy(mass, speed);
    let force = force(energy, give, held);
    let most = (HARD * mass * crate::STANDARD_GRAVITY).max(SLIGHT);
    (force.is_finite() && force > most).then(|| {
        let needs = 2e3 * energy / (most - held).max(0.1 * most);
        Finding {
            code: "stop.hard",
            severity: if stiffest.give.is_some() || matches!(known.fixture.drive, Drive::Motor(_)) {
                Severity::Marginal
            } else {
                Severity::Note
            },
            title: phrase![format!("Run against {}, it stops with ", stiffest.name), phrase::force(force, 0)],
            reason: phrase![
                phrase![kilograms(mass, 2), format!(" at {:.2} m/s, as {how}, bring {energy:.2} J (m v²/2); a stop that gives ", 1e-3 * speed)],
                length(give, 1),
                if stiffest.give.is_some() { "" } else { " (assumed: it has no buffer)" },
                phrase![" takes them with 2E/x", if held > 0.0 { phrase![", and the stalled motor's ", phrase::force(held, 0), " on top"] } else { Phrase::default() }, ". That is more than ", phrase::force(most, 0), format!(", {HARD:.0} times its weight: it throws what stands on it and loosens what holds the stop.")]
            ],
            paths: vec![stiffest.path.clone()],
            value: Some(force),
            limit: Some(most),
            unit: "N",
            remedies: vec![Remedy {
                text: phrase!["a buffer that gives ", length(needs, 1)],
                path: Some(stiffest.path.clone()),
                by: None,
            }],
            ..Finding::blank()
        }
    })
}

#[cfg(test)]
mod tests {
    use super::{energy, force};

    /// The energy of a fall through a height is that at its end: 1.5 kg over 0.3 m, 4.4145 J at 2.4261 m/s with g = 9.81
    /// (college physics, computed). A spring that gives 10 mm takes it with 882.9 N.
    #[test]
    fn energy_and_force_of_a_blow() {
        let e = energy(1.5, 2426.1);
        assert!((e - 4.4145).abs() < 5e-4, "{e}");
        assert!((force(4.4145, 10.0, 0.0) - 882.9).abs() < 1e-9);
        assert!((force(4.4145, 10.0, 17.1) - 900.0).abs() < 1e-9);
    }
}
