//! Everything against travel: wheel loads, resistance, imbalance, effort, drive torque.

use crate::forces::{effective_mass, imbalance, ratio, wrench_at_rest};
use crate::loads::{LoadCase, RiderLoads};
use crate::resistance::{WheelResistance, of_wheel};
use crate::{Assembly, Drive, Fixture, LineNode, PathElement, PulleyKind, StackOf, path_at};

/// What the fixture asks of hand or motor along the stroke, one entry per station.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct TravelCurves {
    /// Travel of the lead (mm).
    pub travel: Vec<f64>,
    /// Force that balances weights and belt without friction (N), positive when the lead must be pushed
    /// towards growing travel.
    pub imbalance: Vec<f64>,
    /// Running resistance of everything, felt at the lead (N).
    pub running: Vec<f64>,
    /// Resistance to breaking away from rest (N).
    pub breakaway: Vec<f64>,
    /// Push that moves the lead steadily towards growing travel (N); negative: it must be held back.
    pub effort_up: Vec<f64>,
    /// Push that moves the lead steadily towards falling travel (N); negative: it must be held back.
    pub effort_down: Vec<f64>,
    /// Torque at the driven pulley towards growing travel at steady speed (N·mm), with a motor.
    pub torque_up: Vec<f64>,
    /// Torque at the driven pulley towards falling travel at steady speed (N·mm), with a motor.
    pub torque_down: Vec<f64>,
    /// Loads of each rider's wheels at each station: `[rider][station]`.
    pub loads: Vec<Vec<RiderLoads>>,
    /// Resistance of each rider's wheels at each station: `[rider][station][wheel]`.
    pub resistance: Vec<Vec<Vec<WheelResistance>>>,
    /// What the line's pulleys take (N, felt at the lead).
    pub line_loss: Vec<f64>,
    /// Mass that moves with the lead, as if all were on it (kg).
    pub effective_mass: f64,
}

impl TravelCurves {
    /// Works out all curves at the given stations (travel, mm).
    pub fn new(fixture: &Fixture, assembly: &Assembly, stations: &[f64]) -> Self {
        let mut curves = Self {
            travel: stations.to_vec(),
            loads: vec![Vec::with_capacity(stations.len()); fixture.riders.len()],
            resistance: vec![Vec::with_capacity(stations.len()); fixture.riders.len()],
            effective_mass: effective_mass(fixture, assembly),
            ..Self::default()
        };
        let cases: Vec<_> =
            (0..fixture.riders.len()).map(|rider| LoadCase::new(fixture, assembly, rider)).collect();
        for &travel in stations {
            curves.station(fixture, assembly, &cases, travel);
        }
        curves
    }

    fn station(&mut self, fixture: &Fixture, assembly: &Assembly, cases: &[LoadCase], travel: f64) {
        let mut running = 0.0;
        for (rider, case) in cases.iter().enumerate() {
            let wrench = wrench_at_rest(fixture, assembly, rider, travel);
            let before = self.loads.get(rider).and_then(|stations| stations.last());
            let loads = case.loads(&wrench, before);
            let resistance = wheel_resistances(fixture, assembly, rider, &loads);
            let own: f64 = resistance.iter().map(WheelResistance::total).sum();
            running += own * ratio(fixture, rider).abs();
            self.loads[rider].push(loads);
            self.resistance[rider].push(resistance);
        }
        let line_loss = line_loss(fixture, assembly, travel);
        running += line_loss;
        let breakaway = running * fixture.resistance.start_factor.value;
        let imbalance = imbalance(fixture, assembly, travel);
        self.line_loss.push(line_loss);
        self.imbalance.push(imbalance);
        self.running.push(running);
        self.breakaway.push(breakaway);
        self.effort_up.push(running + imbalance);
        self.effort_down.push(running - imbalance);
        if let (Drive::Motor(motor), Some(radius)) = (&fixture.drive, drive_radius(fixture)) {
            // Friction of the gearing helps neither way: what drives costs more, what brakes costs less.
            let torque = |force: f64| {
                let plain = force * radius;
                if force >= 0.0 { plain / motor.efficiency } else { plain * motor.efficiency }
            };
            self.torque_up.push(torque(running + imbalance));
            self.torque_down.push(torque(running - imbalance));
        }
    }

    /// Whether it stays where it is left at station `index`: the imbalance is no more than the breakaway
    /// resistance.
    pub fn holds(&self, index: usize) -> bool {
        match (self.imbalance.get(index), self.breakaway.get(index)) {
            (Some(imbalance), Some(breakaway)) => imbalance.abs() <= *breakaway,
            _ => false,
        }
    }

    /// Greatest value of a curve and the travel where it is reached.
    pub fn greatest(&self, curve: &[f64]) -> Option<(f64, f64)> {
        curve
            .iter()
            .zip(&self.travel)
            .filter(|(value, _)| value.is_finite())
            .max_by(|a, b| a.0.total_cmp(b.0))
            .map(|(value, travel)| (*value, *travel))
    }
}

fn wheel_resistances(
    fixture: &Fixture,
    assembly: &Assembly,
    rider: usize,
    loads: &RiderLoads,
) -> Vec<WheelResistance> {
    let mut all = vec![WheelResistance::default(); loads.wheels.len()];
    let Some(placed) = assembly.riders.get(rider) else { return all };
    for stack in &placed.stacks {
        let StackOf::Wheel(number) = stack.of else { continue };
        let mount = fixture.riders.get(rider).and_then(|r| r.wheels.get(number));
        let wheel = mount.and_then(crate::loads::wheel_of);
        if let (Some(wheel), Some(seating), Some(load), Some(slot)) =
            (wheel, stack.seating, loads.wheels.get(number), all.get_mut(number))
        {
            *slot = of_wheel(wheel, &seating, load, &fixture.resistance);
        }
    }
    all
}

/// Radius of the line on the pulley the drive turns (mm).
pub fn drive_radius(fixture: &Fixture) -> Option<f64> {
    fixture.line.as_ref()?.nodes.iter().find_map(|node| match node {
        LineNode::Pulley(pulley) if matches!(pulley.kind, PulleyKind::Driven { .. }) => Some(pulley.radius),
        _ => None,
    })
}

/// What the line's pulleys and posts take, felt at the lead (N): bearings on the resultant 2T sin(θ/2),
/// no-load torque, bending of the line as a share of its pull, sliding round fixed posts (the belt
/// equation T₂ = T₁·e^{μθ}).
fn line_loss(fixture: &Fixture, assembly: &Assembly, travel: f64) -> f64 {
    let Some(line) = &fixture.line else { return 0.0 };
    let Ok(path) = path_at(fixture, line, travel) else { return 0.0 };
    let pull = line_pull(fixture, assembly);
    let coefficients = &fixture.resistance;
    path.elements
        .iter()
        .filter_map(|element| {
            let PathElement::Wrap { sweep, node, .. } = element else { return None };
            let Some(LineNode::Pulley(pulley)) = line.nodes.get(*node) else { return None };
            let wrap = sweep.abs();
            Some(match pulley.kind {
                PulleyKind::Post => pull * ((line.post_friction.value * wrap).exp() - 1.0),
                PulleyKind::Idler | PulleyKind::Driven { .. } if pulley.radius > 0.0 => {
                    let on_bearing = 2.0 * pull * (0.5 * wrap).sin().abs();
                    let torque = crate::resistance::bearing_torque(
                        coefficients.bearing.value,
                        on_bearing,
                        pulley.bore,
                    ) + f64::from(pulley.bearings) * coefficients.no_load_torque.value;
                    torque / pulley.radius + line.bending_loss.value * pull
                }
                PulleyKind::Idler | PulleyKind::Driven { .. } => 0.0,
            })
        })
        .sum()
}

/// The pull in the line at rest (N): what the riders hung on it weigh along the rail.
pub fn line_pull(fixture: &Fixture, assembly: &Assembly) -> f64 {
    let Some(line) = &fixture.line else { return 0.0 };
    let hung = |rider: usize| crate::forces::weight_along(fixture, assembly, rider).abs();
    let least = line
        .nodes
        .iter()
        .filter_map(|node| match node {
            LineNode::Anchor { rider: Some(rider), .. } => Some(hung(*rider)),
            _ => None,
        })
        .fold(f64::INFINITY, f64::min);
    if least.is_finite() { least } else { 0.0 }
}
