//! Everything against travel: wheel loads, resistance, imbalance, effort, drive torque.

use crate::forces::riders_energy;
use crate::loads::{Moving, RiderLoads};
use crate::resistance::RiderResistance;
use crate::statics::{LaidLine, Statics, Station};
use crate::{Assembly, Drive, Fixture, LinePulls, Way, motor_torque};

/// What the fixture asks of hand or motor along the stroke, one entry per station.
///
/// *Up* and *down* stand for growing and falling travel of the lead. Runs of equal length: every curve has
/// one value per station; torque curves are empty without a motor.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct TravelCurves {
    /// Travel of the lead (mm).
    pub travel: Vec<f64>,
    /// Force that balances weights, line and springs without friction (N), positive when the lead must be
    /// pushed towards growing travel.
    pub imbalance: Vec<f64>,
    /// Potential energy over that at the first station (N·mm): what the imbalance is the slope of.
    pub energy: Vec<f64>,
    /// Running resistance of everything, felt at the lead, towards growing travel (N).
    pub running_up: Vec<f64>,
    /// The same towards falling travel (N).
    pub running_down: Vec<f64>,
    /// Resistance to breaking away from rest towards growing travel (N).
    pub breakaway_up: Vec<f64>,
    /// The same towards falling travel (N).
    pub breakaway_down: Vec<f64>,
    /// Push that moves the lead steadily towards growing travel (N); negative: it must be held back; infinite: a rider
    /// jams, see [`TravelCurves::jams`].
    pub effort_up: Vec<f64>,
    /// Push that moves the lead steadily towards falling travel (N); negative: it must be held back.
    pub effort_down: Vec<f64>,
    /// Torque at the driven pulley towards growing travel at steady speed (N·mm), with a motor.
    pub torque_up: Vec<f64>,
    /// Torque at the driven pulley towards falling travel at steady speed (N·mm), with a motor.
    pub torque_down: Vec<f64>,
    /// Loads of each rider's wheels at each station, at rest: `[rider][station]`.
    pub loads: Vec<Vec<RiderLoads>>,
    /// Loads of each rider's wheels while it is driven.
    pub moving: Vec<Moving>,
    /// Resistance of each rider while the lead moves towards growing travel: `[rider][station]`.
    pub resistance_up: Vec<Vec<RiderResistance>>,
    /// The same towards falling travel.
    pub resistance_down: Vec<Vec<RiderResistance>>,
    /// What the line's pulleys and posts take towards growing travel (N, felt at the lead).
    pub line_loss_up: Vec<f64>,
    /// The same towards falling travel.
    pub line_loss_down: Vec<f64>,
    /// Pulls in the line at rest; without a line no spans.
    pub line_pulls: Vec<LinePulls>,
    /// Pulls in the line as it is driven towards growing travel: at steady speed by hand, with its acceleration by a
    /// motor.
    pub line_pulls_up: Vec<LinePulls>,
    /// The same towards falling travel.
    pub line_pulls_down: Vec<LinePulls>,
    /// Mass that moves with the lead, as if all were on it, without the motor (kg); at the first station.
    pub effective_mass: f64,
}

impl TravelCurves {
    /// Works out all curves at the given stations (travel, mm).
    pub fn new(fixture: &Fixture, assembly: &Assembly, stations: &[f64]) -> Self {
        let mut statics = Statics::new(fixture, assembly);
        let mut curves = Self::with_room(fixture.riders.len(), stations);
        let mut base = None;
        // Where nothing that acts changes along the stroke, one station tells of all.
        let first = stations.first().filter(|_| statics.is_steady());
        let of_all = first.map(|travel| statics.at(*travel, None));
        for &travel in stations {
            let line = statics.line_at(travel);
            let station = of_all.clone().unwrap_or_else(|| statics.at(travel, line.as_ref()));
            if curves.imbalance.is_empty() {
                curves.effective_mass = station.effective_mass;
            }
            let energy = riders_energy(fixture, assembly, travel)
                + line.as_ref().map_or(0.0, |line| line.model.energy());
            curves.energy.push(energy - *base.get_or_insert(energy));
            curves.add(fixture, line.as_ref(), station);
        }
        curves
    }

    /// No curves yet, and room for a point at each station.
    fn with_room(riders: usize, stations: &[f64]) -> Self {
        fn each<T>(riders: usize, count: usize) -> Vec<Vec<T>> {
            (0..riders).map(|_| Vec::with_capacity(count)).collect()
        }
        let count = stations.len();
        let curve = || Vec::with_capacity(count);
        let pulls = || Vec::with_capacity(count);
        Self {
            travel: stations.to_vec(),
            imbalance: curve(),
            energy: curve(),
            running_up: curve(),
            running_down: curve(),
            breakaway_up: curve(),
            breakaway_down: curve(),
            effort_up: curve(),
            effort_down: curve(),
            torque_up: Vec::new(),
            torque_down: Vec::new(),
            loads: each(riders, count),
            moving: (0..riders)
                .map(|_| Moving { up: Vec::with_capacity(count), down: Vec::with_capacity(count) })
                .collect(),
            resistance_up: each(riders, count),
            resistance_down: each(riders, count),
            line_loss_up: curve(),
            line_loss_down: curve(),
            line_pulls: pulls(),
            line_pulls_up: pulls(),
            line_pulls_down: pulls(),
            effective_mass: 0.0,
        }
    }

    fn add(&mut self, fixture: &Fixture, line: Option<&LaidLine<'_>>, station: Station) {
        self.imbalance.push(station.imbalance);
        for (all, loads) in self.loads.iter_mut().zip(station.rest) {
            all.push(loads);
        }
        self.line_pulls.push(station.pulls);
        let [up, down] = station.ways;
        self.effort_up.push(up.effort);
        self.effort_down.push(down.effort);
        if let Drive::Motor(motor) = &fixture.drive
            && let Some(radius) = line.and_then(|line| line.model.drive_radius())
        {
            self.torque_up.push(motor_torque(up.effort * radius, motor.efficiency));
            self.torque_down.push(motor_torque(down.effort * radius, motor.efficiency));
        }
        self.running_up.push(up.running);
        self.running_down.push(down.running);
        self.breakaway_up.push(up.breakaway);
        self.breakaway_down.push(down.breakaway);
        self.line_loss_up.push(up.line_loss);
        self.line_loss_down.push(down.line_loss);
        for (all, one) in self.resistance_up.iter_mut().zip(up.resistance) {
            all.push(one);
        }
        for (all, one) in self.resistance_down.iter_mut().zip(down.resistance) {
            all.push(one);
        }
        for (moving, (up, down)) in self.moving.iter_mut().zip(up.driven.1.into_iter().zip(down.driven.1)) {
            moving.up.push(up);
            moving.down.push(down);
        }
        self.line_pulls_up.push(up.driven.0);
        self.line_pulls_down.push(down.driven.0);
    }

    /// What is left of the breakaway resistance at station `index` after it holds the imbalance (N);
    /// negative where it drifts. `None` beside the stations.
    pub fn hold_margin(&self, index: usize) -> Option<f64> {
        let imbalance = *self.imbalance.get(index)?;
        // What must be pushed up drifts down, and breaking away downwards is what holds it.
        let holding = if imbalance > 0.0 { &self.breakaway_down } else { &self.breakaway_up };
        Some(holding.get(index)? - imbalance.abs())
    }

    /// Whether it stays where it is left at station `index`.
    pub fn holds(&self, index: usize) -> bool {
        self.hold_margin(index).is_some_and(|margin| margin >= 0.0)
    }

    /// Which way it drifts when it is let go at station `index`; `None` where it holds.
    pub fn drifts(&self, index: usize) -> Option<Way> {
        let imbalance = *self.imbalance.get(index)?;
        (!self.holds(index)).then_some(if imbalance > 0.0 { Way::Falling } else { Way::Growing })
    }

    /// The stations at which rider number `rider` jams as the lead is moved a way: friction grows with every push faster
    /// than the push, and efforts and torques are infinite.
    pub fn jams(&self, rider: usize, way: Way) -> impl Iterator<Item = usize> + '_ {
        let list = match way {
            Way::Growing => self.resistance_up.get(rider),
            Way::Falling => self.resistance_down.get(rider),
        };
        list.into_iter()
            .flatten()
            .enumerate()
            .filter(|(_, resists)| resists.jams())
            .map(|(station, _)| station)
    }

    /// Whether any rider jams anywhere.
    pub fn jams_somewhere(&self) -> bool {
        (0..self.loads.len()).any(|rider| Way::BOTH.iter().any(|way| self.jams(rider, *way).next().is_some()))
    }

    /// Stretches of travel over which it drifts, and which way; their ends straight between stations.
    pub fn drift_stretches(&self) -> Vec<(f64, f64, Way)> {
        let mut stretches: Vec<(f64, f64, Way)> = Vec::new();
        for index in 0..self.travel.len() {
            let Some(way) = self.drifts(index) else { continue };
            let at = self.travel[index];
            let from = index.checked_sub(1).map_or(at, |before| self.crossing(before, index));
            let to = if index + 1 < self.travel.len() { self.crossing(index, index + 1) } else { at };
            match stretches.last_mut() {
                Some(last) if last.2 == way && last.1 >= from => last.1 = to,
                _ => stretches.push((from, to, way)),
            }
        }
        stretches
    }

    /// Where between two stations holding ends; the outer one where both drift.
    fn crossing(&self, a: usize, b: usize) -> f64 {
        let (Some(from), Some(to)) = (self.hold_margin(a), self.hold_margin(b)) else { return f64::NAN };
        let (at_a, at_b) = (self.travel[a], self.travel[b]);
        if (from < 0.0) == (to < 0.0) {
            return 0.5 * (at_a + at_b);
        }
        at_a + (at_b - at_a) * from / (from - to)
    }

    /// Greatest value of a curve and the travel where it is reached.
    pub fn greatest(&self, curve: &[f64]) -> Option<(f64, f64)> {
        curve
            .iter()
            .zip(&self.travel)
            .filter(|(value, _)| !value.is_nan())
            .max_by(|a, b| a.0.total_cmp(b.0))
            .map(|(value, travel)| (*value, *travel))
    }

    /// The value of a curve at a travel, straight between stations.
    pub(crate) fn at(&self, curve: &[f64], travel: f64) -> f64 {
        let after = self.travel.partition_point(|at| *at <= travel);
        let before = after.saturating_sub(1);
        let after = after.min(curve.len().saturating_sub(1));
        match (self.travel.get(before), self.travel.get(after), curve.get(before), curve.get(after)) {
            (Some(a), Some(b), Some(from), Some(to)) if b > a => {
                from + (to - from) * ((travel - a) / (b - a)).clamp(0.0, 1.0)
            }
            (_, _, Some(from), _) => *from,
            _ => f64::NAN,
        }
    }
}
