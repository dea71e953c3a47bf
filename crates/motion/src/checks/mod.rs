//! The checks. Each is one function from what is known to findings; adding a check is one file here and
//! one line in [`CHECKS`], or in [`SLOW_CHECKS`] where it takes long.

mod abutment;
mod access;
mod assumptions;
mod beam;
mod bearing_fit;
mod bearing_load;
mod belt_bend;
mod bending;
mod binding;
mod calibration;
mod clamping;
mod clearance;
mod climbs;
mod creep;
mod drive;
mod eccentric;
mod effort;
mod end_stop;
mod engagement;
mod falling;
mod heat;
mod heat_gaps;
mod hold;
mod holes;
mod joint;
mod line;
mod one_title;
mod pinch;
mod places;
mod play;
mod preload;
mod pressure;
mod pulls_out;
mod rail_bends;
mod seat_depth;
mod seats;
mod shoulder;
mod sliding;
mod speed;
mod standoff;
mod threads;
mod tips_over;
mod torque;
mod twins;
mod validity;
mod wheel_loads;
mod wobble;

pub use seats::LEAST_HELD;

use glidewright_geometry::Bounds;

use crate::loads::RiderLoads;
use crate::{
    Assembly, AssemblyOrder, Binding, Calibration, Detail, DriveFigures, Finding, Fixture, HoldBand,
    Interference, LineFigures, NamedCoefficient, PlacedStack, ReachCurves, Rider, RiderResults, Stack,
    TravelCurves, Way,
};

/// What a check may look at.
pub(crate) struct Known<'a> {
    pub(crate) fixture: &'a Fixture,
    pub(crate) assembly: &'a Assembly,
    pub(crate) interference: &'a Interference,
    pub(crate) curves: &'a TravelCurves,
    pub(crate) riders: &'a [RiderResults],
    pub(crate) hold_bands: &'a [HoldBand],
    pub(crate) reach: &'a [ReachCurves],
    pub(crate) line: Option<&'a LineFigures>,
    pub(crate) drive: Option<&'a DriveFigures>,
    pub(crate) binding: &'a [Binding],
    pub(crate) coefficients: &'a [NamedCoefficient],
    pub(crate) calibration: Option<&'a Calibration>,
    pub(crate) orders: &'a [AssemblyOrder],
    /// The box around each body in its owner's frame; `None` for a body without sound solids.
    pub(crate) boxes: &'a [Option<Bounds>],
}

/// The loads of a rider: at rest, or as it is driven a way.
#[derive(Clone, Copy)]
struct Case<'a> {
    /// How it is moved; `None` at rest.
    way: Option<Way>,
    /// At each station.
    loads: &'a [RiderLoads],
}

impl Case<'_> {
    /// The loads of the stations at which the rider is held, each with its travel (mm).
    fn held<'t>(&self, travel: &'t [f64]) -> impl Iterator<Item = (&RiderLoads, &'t f64)> {
        self.loads.iter().zip(travel).filter(|(loads, _)| loads.is_held())
    }

    /// "under its load", "while it is driven up".
    fn words(&self, known: &Known<'_>) -> String {
        match self.way {
            None => "under its load".to_owned(),
            Some(way) => format!("while it is driven {}", known.fixture.rail.stand.way(way)),
        }
    }
}

/// A stack of a rider, as drawn and at its place.
#[derive(Clone, Copy)]
struct StackHere<'a> {
    rider: &'a Rider,
    placed: &'a PlacedStack,
    name: &'a str,
    path: &'a str,
    stack: &'a Stack,
}

impl<'a> Known<'a> {
    /// Every stack of every rider.
    fn stacks(&self) -> impl Iterator<Item = StackHere<'a>> {
        let riders = self.fixture.riders.iter().zip(&self.assembly.riders);
        riders.flat_map(|(rider, known)| {
            known.stacks.iter().filter_map(move |placed| {
                let (name, path, stack) = rider.stack(placed.of)?;
                Some(StackHere { rider, placed, name, path, stack })
            })
        })
    }

    /// The loads a rider is checked under: at rest, and as it is driven either way, by hand at steady speed, by a motor
    /// with its acceleration.
    fn cases(&self, rider: usize) -> impl Iterator<Item = Case<'a>> {
        let rest = self.curves.loads.get(rider).map(|loads| Case { way: None, loads });
        let moving = self.curves.moving.get(rider).into_iter().flat_map(|moving| {
            [(Way::Growing, &moving.up), (Way::Falling, &moving.down)]
                .map(|(way, loads)| Case { way: Some(way), loads })
        });
        rest.into_iter().chain(moving)
    }
}

/// Every check there is.
const CHECKS: &[fn(&Known<'_>) -> Vec<Finding>] = &[
    places::check,
    validity::check,
    seats::check,
    seat_depth::check,
    clearance::check,
    standoff::check,
    engagement::check,
    threads::check,
    clamping::check,
    pulls_out::check,
    holes::check,
    bearing_fit::check,
    bearing_load::check,
    abutment::check,
    eccentric::check,
    wheel_loads::check,
    play::check,
    joint::check,
    bending::check,
    pressure::check,
    binding::check,
    shoulder::check,
    sliding::check,
    hold::check,
    creep::check,
    effort::check,
    drive::check,
    speed::check,
    line::check,
    belt_bend::check,
    end_stop::check,
    falling::check,
    pinch::check,
    calibration::check,
    assumptions::check,
    heat::check,
    heat_gaps::check,
    tips_over::check,
    torque::check,
];

/// Checks that take their time: left out while a hand is followed.
const SLOW_CHECKS: &[fn(&Known<'_>) -> Vec<Finding>] =
    &[preload::check, climbs::check, rail_bends::check, wobble::check, access::check];

/// All findings, worst first; among equals in the order of the checks.
pub(crate) fn run(known: &Known<'_>, detail: Detail) -> Vec<Finding> {
    let slow = match detail {
        Detail::Whole => SLOW_CHECKS,
        Detail::Quick => &[],
    };
    let mut findings: Vec<_> = CHECKS.iter().chain(slow).flat_map(|check| check(known)).collect();
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    let riders: Vec<&str> = known.fixture.riders.iter().map(|rider| rider.name.as_str()).collect();
    twins::folded(findings, &riders)
}
