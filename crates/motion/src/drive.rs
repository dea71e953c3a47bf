//! What a motor must give: a trapezoid of speed over time, torque, inertia, and what its curve offers.

use crate::{Drive, Fixture, LineModel, Motor, SpeedProfile, TravelCurves, Way, interpolated, motor_torque};

/// What the drive must give over a whole stroke up and down.
#[derive(Clone, Debug, PartialEq)]
pub struct DriveFigures {
    /// Force at the lead per torque at the driven pulley, as a radius (mm).
    pub radius: f64,
    /// Everything that moves, as a moment of inertia at the driven pulley, without the rotor (kg·mm²).
    pub load_inertia: f64,
    /// The rotor's own (kg·mm²).
    pub rotor_inertia: f64,
    /// The stroke towards growing travel.
    pub up: Move,
    /// The stroke towards falling travel.
    pub down: Move,
    /// Greatest torque in amount, either way (N·mm).
    pub peak_torque: f64,
    /// Root mean square of the torque over one stroke up and one down without pause (N·mm).
    pub rms_torque: f64,
    /// Greatest speed of the driven pulley (rev/min).
    pub peak_speed: f64,
    /// Least of available over needed torque anywhere; `None` without a torque curve. Less than 1: the
    /// motor stalls or loses steps.
    pub least_margin: Option<f64>,
}

/// One stroke from end to end against time. At the ends of its phases a time stands twice, with the values
/// before and after the jump.
#[derive(Clone, Debug, PartialEq)]
pub struct Move {
    /// Which way the lead goes.
    pub towards: Way,
    /// Time (s).
    pub time: Vec<f64>,
    /// Travel of the lead (mm).
    pub travel: Vec<f64>,
    /// Speed of the lead, along the motion (mm/s).
    pub speed: Vec<f64>,
    /// Acceleration of the lead, along the motion (mm/s²).
    pub acceleration: Vec<f64>,
    /// Force of the line on the lead that all of it takes, along the motion (N).
    pub force: Vec<f64>,
    /// Torque at the motor, along the motion (N·mm); negative where it brakes.
    pub torque: Vec<f64>,
    /// Speed of the driven pulley (rev/min).
    pub pulley_speed: Vec<f64>,
    /// Torque the motor can give at that speed (N·mm); empty without a torque curve.
    pub available: Vec<f64>,
    /// Torque to break away at the start (N·mm).
    pub starting_torque: f64,
    /// Root mean square of the torque (N·mm).
    pub rms_torque: f64,
}

impl Move {
    /// How long it takes (s).
    pub fn duration(&self) -> f64 {
        self.time.last().copied().unwrap_or(0.0)
    }

    /// Greatest torque in amount, breaking away included (N·mm).
    pub fn peak_torque(&self) -> f64 {
        self.torque.iter().fold(self.starting_torque.abs(), |peak, torque| peak.max(torque.abs()))
    }
}

/// Points in each of the three phases of a stroke.
const PHASE_POINTS: usize = 81;

/// kg·mm/s² in a newton; kg·mm²/s² in a newton millimetre.
const PER_NEWTON: f64 = 1e-3;

/// One phase of a trapezoid: its length in time, speed at its start, acceleration.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Phase {
    time: f64,
    speed: f64,
    acceleration: f64,
}

/// The phases of a trapezoid of speed over `distance`; a triangle where the distance is too short to reach
/// full speed.
fn phases(profile: &SpeedProfile, distance: f64) -> Option<[Phase; 3]> {
    let SpeedProfile { speed, acceleration } = *profile;
    if !(speed > 0.0 && acceleration > 0.0 && distance > 0.0 && distance.is_finite()) {
        return None;
    }
    let top = speed.min((acceleration * distance).sqrt());
    let ramp = top / acceleration;
    let cruise = (distance - top * ramp) / top;
    Some([
        Phase { time: ramp, speed: 0.0, acceleration },
        Phase { time: cruise.max(0.0), speed: top, acceleration: 0.0 },
        Phase { time: ramp, speed: top, acceleration: -acceleration },
    ])
}

impl DriveFigures {
    /// What the motor must give; `None` without a motor, a driven pulley, a stroke or a usable profile, and where a rider
    /// jams, so that no torque moves it.
    pub fn new(fixture: &Fixture, curves: &TravelCurves) -> Option<Self> {
        let Drive::Motor(motor) = &fixture.drive else { return None };
        if curves.jams_somewhere() {
            return None;
        }
        let radius = LineModel::new(fixture, fixture.stroke.from)?.ok()?.drive_radius()?;
        let phases = phases(&motor.profile, fixture.stroke.length())?;
        let load_inertia = curves.effective_mass * radius * radius;
        let way = |towards| stroke(fixture, motor, curves, radius, &phases, towards);
        let (up, down) = (way(Way::Growing), way(Way::Falling));
        let share = |a: &Move| a.rms_torque.powi(2) * a.duration();
        let time = up.duration() + down.duration();
        let rms_torque = if time > 0.0 { ((share(&up) + share(&down)) / time).sqrt() } else { 0.0 };
        let peak_speed = up.pulley_speed.iter().copied().fold(0.0, f64::max);
        let least_margin = (!motor.torque_by_speed.is_empty()).then(|| {
            let starting = interpolated(&motor.torque_by_speed, 0.0).unwrap_or(0.0);
            [&up, &down]
                .into_iter()
                .flat_map(|a| {
                    let running = a.available.iter().zip(&a.torque).map(|(has, needs)| has / needs.abs());
                    running.chain([starting / a.starting_torque.abs()])
                })
                .filter(|margin| !margin.is_nan())
                .fold(f64::INFINITY, f64::min)
        });
        Some(Self {
            radius,
            load_inertia,
            rotor_inertia: motor.inertia,
            peak_torque: up.peak_torque().max(down.peak_torque()),
            rms_torque,
            peak_speed,
            least_margin,
            up,
            down,
        })
    }

    /// Load inertia over the rotor's; `None` when the rotor has none.
    pub fn inertia_ratio(&self) -> Option<f64> {
        (self.rotor_inertia > 0.0).then(|| self.load_inertia / self.rotor_inertia)
    }
}

/// One stroke: τ = (F_run + U·sgn v + m_eff·a)·r/η + J·a/r.
fn stroke(
    fixture: &Fixture,
    motor: &Motor,
    curves: &TravelCurves,
    radius: f64,
    phases: &[Phase; 3],
    towards: Way,
) -> Move {
    let (running, breakaway) = match towards {
        Way::Growing => (&curves.running_up, &curves.breakaway_up),
        Way::Falling => (&curves.running_down, &curves.breakaway_down),
    };
    let start = match towards {
        Way::Growing => fixture.stroke.from,
        Way::Falling => fixture.stroke.to,
    };
    let sign = towards.sign();
    let inertia = |acceleration: f64| curves.effective_mass * acceleration * PER_NEWTON;
    let rotor = |acceleration: f64| motor.inertia * acceleration / radius * PER_NEWTON;
    let torque_for =
        |force: f64, acceleration: f64| motor_torque(force * radius, motor.efficiency) + rotor(acceleration);
    let mut made = Move {
        towards,
        time: Vec::new(),
        travel: Vec::new(),
        speed: Vec::new(),
        acceleration: Vec::new(),
        force: Vec::new(),
        torque: Vec::new(),
        pulley_speed: Vec::new(),
        available: Vec::new(),
        starting_torque: 0.0,
        rms_torque: 0.0,
    };
    let first = phases.first().map_or(0.0, |phase| phase.acceleration);
    let starting = curves.at(breakaway, start) + sign * curves.at(&curves.imbalance, start) + inertia(first);
    made.starting_torque = torque_for(starting, first);
    let (mut began, mut gone, mut squares) = (0.0, 0.0, 0.0);
    for phase in phases {
        let mut before: Option<f64> = None;
        for point in 0..PHASE_POINTS {
            let share = point as f64 / (PHASE_POINTS - 1) as f64;
            let t = phase.time * share;
            let speed = phase.speed + phase.acceleration * t;
            let distance = gone + (phase.speed + 0.5 * phase.acceleration * t) * t;
            let travel = start + sign * distance;
            let force = curves.at(running, travel)
                + sign * curves.at(&curves.imbalance, travel)
                + inertia(phase.acceleration);
            let torque = torque_for(force, phase.acceleration);
            let revolutions = speed.max(0.0) / (std::f64::consts::TAU * radius) * 60.0;
            made.time.push(began + t);
            made.travel.push(travel);
            made.speed.push(speed);
            made.acceleration.push(phase.acceleration);
            made.force.push(force);
            made.torque.push(torque);
            made.pulley_speed.push(revolutions);
            made.available.extend(interpolated(&motor.torque_by_speed, revolutions));
            if let Some(before) = before {
                // The square of what runs straight from one point to the next.
                squares += (before * before + before * torque + torque * torque) / 3.0 * phase.time
                    / (PHASE_POINTS - 1) as f64;
            }
            before = Some(torque);
        }
        gone += (phase.speed + 0.5 * phase.acceleration * phase.time) * phase.time;
        began += phase.time;
    }
    made.rms_torque = if began > 0.0 { (squares / began).sqrt() } else { 0.0 };
    made
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_trapezoid_covers_its_distance() {
        for (speed, acceleration, distance) in [(200.0, 1000.0, 400.0), (500.0, 1000.0, 100.0)] {
            let phases = phases(&SpeedProfile { speed, acceleration }, distance).unwrap();
            let covered: f64 =
                phases.iter().map(|p| (p.speed + 0.5 * p.acceleration * p.time) * p.time).sum();
            assert!((covered - distance).abs() < 1e-9, "{covered} {distance}");
        }
        // Too short for full speed: a triangle of height √(a·d).
        let short = phases(&SpeedProfile { speed: 500.0, acceleration: 1000.0 }, 100.0).unwrap();
        assert_eq!(short[1].time, 0.0);
        assert!((short[1].speed - 100_000f64.sqrt()).abs() < 1e-9);
        assert!(phases(&SpeedProfile { speed: 0.0, acceleration: 1.0 }, 1.0).is_none());
        assert!(phases(&SpeedProfile { speed: f64::NAN, acceleration: 1.0 }, 1.0).is_none());
    }
}
