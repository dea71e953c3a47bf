//! Everything against the reach of a load that slides on its rider.

use crate::balance::rough_hold_bands;
use crate::statics::{Statics, Station};
use crate::stations::stations;
use crate::{Assembly, Fixture, HoldBand, TravelCurves};

/// What a fixture does as one of its loads slides out, the worst over the stroke at every reach.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct ReachCurves {
    /// Number of the rider that carries the load.
    pub rider: usize,
    /// Number of the load on it.
    pub load: usize,
    /// Reach now (mm).
    pub now: f64,
    /// The stations (mm).
    pub reach: Vec<f64>,
    /// Travels looked at for every reach (mm): both ends of the stroke and where it holds least.
    pub travels: Vec<f64>,
    /// Greatest effort towards growing travel (N).
    pub effort_up: Vec<f64>,
    /// Greatest effort towards falling travel (N).
    pub effort_down: Vec<f64>,
    /// Greatest imbalance in amount, with its sign (N).
    pub imbalance: Vec<f64>,
    /// Least of what is left of the breakaway resistance after it holds the imbalance (N); negative: it
    /// drifts somewhere.
    pub hold_margin: Vec<f64>,
    /// Least sum of normal forces on each wheel of the rider (N): `[wheel][station]`.
    pub wheel_loads: Vec<Vec<f64>>,
    /// Greatest contact pressure on each wheel of the rider (MPa): `[wheel][station]`.
    pub wheel_pressures: Vec<Vec<f64>>,
    /// Greatest tilt of the rider (rad).
    pub tilt: Vec<f64>,
    /// Masses with which it stays where it is left at every travel and every reach, the resistance taken
    /// as it is now; empty on a level rail.
    pub hold_bands: Vec<HoldBand>,
}

impl ReachCurves {
    /// Whether it stays where it is left at station `index`.
    pub fn holds(&self, index: usize) -> bool {
        self.hold_margin.get(index).is_some_and(|margin| *margin >= 0.0)
    }

    /// The curves of every load that slides, at `count` reaches each.
    pub fn all(fixture: &Fixture, assembly: &Assembly, curves: &TravelCurves, count: usize) -> Vec<Self> {
        let mut all = Vec::new();
        for (rider, known) in fixture.riders.iter().enumerate() {
            for (load, sliding) in known.loads.iter().enumerate() {
                if sliding.reach.is_some_and(|reach| reach.to > reach.from) {
                    all.extend(Self::new(fixture, assembly, curves, (rider, load), count));
                }
            }
        }
        all
    }

    fn new(
        fixture: &Fixture,
        assembly: &Assembly,
        curves: &TravelCurves,
        (rider, load): (usize, usize),
        count: usize,
    ) -> Option<Self> {
        let slide = fixture.riders.get(rider)?.loads.get(load)?.reach?;
        let stations = stations(slide.from, slide.to, count);
        let least = (0..curves.travel.len())
            .filter_map(|index| Some((curves.hold_margin(index)?, *curves.travel.get(index)?)))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let mut travels = vec![fixture.stroke.from, fixture.stroke.to];
        travels.extend(least.map(|(_, travel)| travel));
        travels.sort_by(f64::total_cmp);
        travels.dedup();
        let wheels = fixture.riders.get(rider)?.wheels.len();
        let mut made = Self {
            rider,
            load,
            now: slide.at,
            travels: travels.clone(),
            wheel_loads: vec![Vec::with_capacity(stations.len()); wheels],
            wheel_pressures: vec![Vec::with_capacity(stations.len()); wheels],
            ..Self::default()
        };
        let mut statics = Statics::new(fixture, assembly);
        let lines: Vec<_> = travels.iter().map(|travel| statics.line_at(*travel)).collect();
        // Where nothing that acts changes along the stroke, one travel tells of all.
        let looked_at = if statics.is_steady() { 1 } else { travels.len() };
        for &reach in &stations {
            statics.slide(rider, load, reach);
            let mut worst = Worst::new(wheels);
            for (&travel, line) in travels.iter().zip(&lines).take(looked_at) {
                worst.see(rider, travel, &statics.steady_at(travel, line.as_ref()));
            }
            made.add(fixture, assembly, worst);
        }
        made.reach = stations;
        Some(made)
    }

    fn add(&mut self, fixture: &Fixture, assembly: &Assembly, worst: Worst) {
        let Worst { up, down, imbalance, tilt, loads, pressures, seen } = worst;
        self.effort_up.push(up);
        self.effort_down.push(down);
        self.imbalance.push(imbalance);
        self.tilt.push(tilt);
        let margins = (0..seen.travel.len()).filter_map(|index| seen.hold_margin(index));
        self.hold_margin.push(margins.fold(f64::INFINITY, f64::min));
        for (all, one) in self.wheel_loads.iter_mut().zip(loads) {
            all.push(one);
        }
        for (all, one) in self.wheel_pressures.iter_mut().zip(pressures) {
            all.push(one);
        }
        let bands = rough_hold_bands(fixture, assembly, &seen);
        if self.hold_bands.is_empty() {
            self.hold_bands = bands;
        } else {
            for (kept, band) in self.hold_bands.iter_mut().zip(&bands) {
                *kept = kept.and(band);
            }
        }
    }
}

/// The worst of the travels looked at with a load at one reach.
struct Worst {
    up: f64,
    down: f64,
    imbalance: f64,
    tilt: f64,
    loads: Vec<f64>,
    pressures: Vec<f64>,
    /// Imbalance and breakaway at each travel.
    seen: TravelCurves,
}

impl Worst {
    fn new(wheels: usize) -> Self {
        Self {
            up: f64::NEG_INFINITY,
            down: f64::NEG_INFINITY,
            imbalance: 0.0,
            tilt: 0.0,
            loads: vec![f64::INFINITY; wheels],
            pressures: vec![0.0; wheels],
            seen: TravelCurves::default(),
        }
    }

    /// Looks at one travel more.
    fn see(&mut self, rider: usize, travel: f64, station: &Station) {
        let [up, down] = &station.ways;
        self.up = self.up.max(up.effort);
        self.down = self.down.max(down.effort);
        if station.imbalance.abs() > self.imbalance.abs() {
            self.imbalance = station.imbalance;
        }
        if let Some(rest) = station.rest.get(rider) {
            self.tilt = self.tilt.max(rest.equilibrium.motion.turn.length());
            for ((load, pressure), wheel) in self.loads.iter_mut().zip(&mut self.pressures).zip(&rest.wheels)
            {
                *load = load.min(wheel.normal);
                *pressure = pressure.max(wheel.pressure);
            }
        }
        self.seen.travel.push(travel);
        self.seen.imbalance.push(station.imbalance);
        self.seen.breakaway_up.push(up.breakaway);
        self.seen.breakaway_down.push(down.breakaway);
    }
}
