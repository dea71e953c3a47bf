//! How each rider stands under its load.

use glam::DVec3;

use crate::loads::{Contact, LoadCase, Motion, Play, PlayLimits, RiderLoads, WheelLoad, loose_words};
use crate::{Assembly, Fixture, TravelCurves};

/// How one rider stands under its load along the stroke.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct RiderResults {
    /// Its motion off the nominal place at each station: where it comes to rest under its load.
    pub poses: Vec<Motion>,
    /// Angle of its turn at each station (rad).
    pub tilt: Vec<f64>,
    /// The station where it tilts most.
    pub worst_station: usize,
    /// How far each of its named points moves under load.
    pub points: Vec<PointSag>,
    /// How far it can rattle between its contacts.
    pub play: Play,
    /// Limits of that; `None` when some motion has none.
    pub play_limits: Option<PlayLimits>,
    /// Its wheels' press on the rail: without load, and the least that is left under load.
    pub preload: Vec<WheelPreload>,
    /// Its contacts with the rail, in the order of `Equilibrium::forces`: [`Contact::patch`] says how each looks
    /// under a force.
    pub contacts: Vec<Contact>,
    /// What it is free to do, if it is not held.
    pub unrestrained: Option<Unrestrained>,
}

/// How far a named point of a rider moves.
#[derive(Clone, Debug, PartialEq)]
pub struct PointSag {
    /// What it is called.
    pub name: String,
    /// Where the document defines it, as a path.
    pub path: String,
    /// Its nominal place in the rider frame (mm).
    pub at: DVec3,
    /// How far it moves under load at each station (mm, rail frame).
    pub moved: Vec<DVec3>,
    /// The furthest it moves down, in the direction of gravity, over the stroke (mm).
    pub sag: f64,
    /// How much further it can rattle along x, y and z, both ways together (mm); `None` when without limit.
    pub play: Option<DVec3>,
}

impl PointSag {
    /// The furthest it moves from its nominal place over the stroke (mm).
    pub fn furthest(&self) -> f64 {
        self.moved.iter().map(|m| m.length()).filter(|m| m.is_finite()).fold(0.0, f64::max)
    }
}

/// How hard a wheel is pressed on the rail before and under load.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct WheelPreload {
    /// Sum of its normal forces without any load on the rider (N).
    pub unloaded: f64,
    /// The least of that sum over the stroke, under load (N): what is left of the preload.
    pub least: f64,
    /// The least normal force on any one of its flanks over the stroke (N); 0 when one lifts off.
    pub least_flank: f64,
    /// The station where `least` is reached.
    pub station: usize,
}

/// A rider that is not held.
#[derive(Clone, Debug, PartialEq)]
pub struct Unrestrained {
    /// The free motion (largest part scaled to 1).
    pub motion: Motion,
    /// The same in words that follow "it is free to", e.g. "turn about the upper left axle".
    pub words: String,
    /// The station where it was found.
    pub station: usize,
    /// Whether the load drives it, so that it will move.
    pub driven: bool,
}

impl RiderResults {
    /// How rider number `number` stands, from its loads in `curves`.
    pub fn new(fixture: &Fixture, assembly: &Assembly, number: usize, curves: &TravelCurves) -> Self {
        let (Some(rider), Some(loads)) = (fixture.riders.get(number), curves.loads.get(number)) else {
            return Self::default();
        };
        let mut case = LoadCase::new(fixture, assembly, number);
        let poses: Vec<Motion> = loads.iter().map(|l| l.equilibrium.motion).collect();
        let tilt: Vec<f64> = poses.iter().map(|pose| pose.turn.length()).collect();
        let worst_station = (0..tilt.len()).max_by(|a, b| tilt[*a].total_cmp(&tilt[*b])).unwrap_or_default();
        let mut play = case.play();
        let down = fixture.rail.stand.down();
        let points = rider
            .points
            .iter()
            .map(|point| {
                let moved: Vec<DVec3> = poses.iter().map(|pose| pose.of_point(point.at)).collect();
                let known = poses.iter().zip(&moved).filter(|(pose, _)| pose.is_small());
                let sag = known.map(|(_, moved)| moved.dot(down)).fold(0.0, f64::max);
                let mut width = |axis: DVec3| play.range(point.at, axis).map(|range| range.width());
                let spread = width(DVec3::X)
                    .zip(width(DVec3::Y))
                    .zip(width(DVec3::Z))
                    .map(|((x, y), z)| DVec3::new(x, y, z));
                PointSag {
                    name: point.name.clone(),
                    path: point.path.clone(),
                    at: point.at,
                    moved,
                    sag,
                    play: spread,
                }
            })
            .collect();
        let free = case.loads(&crate::loads::Wrench::default());
        let preload = (0..rider.wheels.len()).map(|wheel| preload(&free, loads, wheel)).collect();
        let unrestrained = loads.iter().enumerate().find_map(|(station, loads)| {
            let motion = **loads.equilibrium.free.as_ref()?;
            let driven = !loads.is_held();
            Some(Unrestrained { motion, words: loose_words(fixture, rider, &motion), station, driven })
        });
        Self {
            tilt,
            worst_station,
            points,
            play_limits: play.limits(),
            play,
            preload,
            contacts: case.contacts().to_vec(),
            unrestrained,
            poses,
        }
    }

    /// The pose in which the rider is checked against what it passes: that of the station where it tilts most;
    /// nothing for a rider whose rest is not known, or lies beyond small motions.
    pub fn reference(&self) -> Motion {
        self.poses.get(self.worst_station).copied().filter(Motion::is_small).unwrap_or_default()
    }

    /// The pose at a station.
    pub fn pose(&self, station: usize) -> Motion {
        self.poses.get(station).copied().filter(Motion::is_small).unwrap_or_default()
    }
}

fn preload(free: &RiderLoads, loads: &[RiderLoads], wheel: usize) -> WheelPreload {
    let of = |loads: &RiderLoads, pick: fn(&WheelLoad) -> f64| loads.wheels.get(wheel).map_or(f64::NAN, pick);
    let sum = |loads: &RiderLoads| of(loads, |load| load.normal);
    let least = loads.iter().map(sum).enumerate().min_by(|a, b| a.1.total_cmp(&b.1));
    let least_flank = loads.iter().map(|loads| of(loads, |load| load.least)).fold(f64::INFINITY, f64::min);
    let (station, least) = least.unwrap_or((0, f64::NAN));
    WheelPreload { unloaded: sum(free), least, least_flank, station }
}
