//! How near each pair of bodies comes, and what becomes of it.

use std::collections::HashMap;

use glam::DVec3;
use glidewright_geometry::{Least, NearBodies, Passing, Pose, Separation, Solid, faces_along};

use super::face_chain::gap_chain;
use super::kinship::Kinship;
use super::outcome::{Outcome, Passage};
use super::scan::{Scan, Watch};
use crate::{Assembly, Body, BodyId, Chain, Fixture, Owner, Term, Toleranced, rider_x};

/// How near two bodies come over the stroke.
#[derive(Clone, Debug, PartialEq)]
pub struct PairResult {
    /// The bodies.
    pub bodies: (BodyId, BodyId),
    /// How they are related.
    pub kinship: Kinship,
    /// Least gap over the stroke (mm), negative for overlap.
    pub gap: f64,
    /// The same with every rider at its nominal place (mm): the difference is what tilt and sag under load take.
    /// `None` if they are not within [`super::Interference::REACH`] then.
    pub level_gap: Option<f64>,
    /// Travel of the lead at which it is least (mm).
    pub at_travel: f64,
    /// Where: points and direction at that travel, in the rail frame.
    pub separation: Separation,
    /// Stretches of travel where the gap is zero or less (mm); empty for a pair that is steady.
    pub touching: Vec<(f64, f64)>,
    /// Stretches of travel where the gap is less than asked for (mm); empty for a pair that is steady.
    pub below_asked: Vec<(f64, f64)>,
    /// How they stand to each other seen along the first body's stack axis (the second's if the
    /// first has none).
    pub passage: Passage,
    /// The sizes that make the gap, where it lies along a stack's axis.
    pub chain: Option<Chain>,
    /// The least gap asked for between these two (mm).
    pub asked: f64,
    /// What becomes of them.
    pub outcome: Outcome,
    /// One of them is an end stop, which is meant to be met.
    pub meets_stop: bool,
}

/// Contact within this of nothing is not called fouling (mm): it is the rounding of places of some
/// hundred millimetres, summed over a stack.
const ROUNDING: f64 = 1e-9;

/// Between a rider's own pieces this gap is enough, however much is asked between things that pass: a
/// wheel beside its shim must turn free, no more (mm; common practice, no source).
const RUNNING_CLEARANCE: f64 = 0.3;

/// All pairs within reach: those that pass each other, and those that are steady; each by growing gap. `level` is
/// the scene with every rider at its nominal place; it may be `scan` itself.
pub(super) fn all(
    fixture: &Fixture,
    assembly: &Assembly,
    scan: &Scan,
    level: &Scan,
) -> (Vec<PairResult>, Vec<PairResult>) {
    let (mut passing, mut steady) = (Vec::new(), Vec::new());
    for ((watch, found), (_, found_level)) in scan.found().zip(level.found()) {
        let list = match watch.kinship {
            Kinship::OneRider | Kinship::RiderAndRail => &mut steady,
            Kinship::RiderAndRider | Kinship::RiderAndFixed => &mut passing,
        };
        let at_level: HashMap<(u32, u32), &NearBodies> =
            found_level.near.iter().map(|near| ((near.body_a, near.body_b), near)).collect();
        let context = Context { fixture, assembly, scan, level, watch, shifts: scan.shifts(watch) };
        list.extend(found.near.iter().filter_map(|near| {
            let level = at_level.get(&(near.body_a, near.body_b)).copied();
            context.pair(near, level)
        }));
    }
    let by_gap = |a: &PairResult, b: &PairResult| a.gap.total_cmp(&b.gap);
    passing.sort_by(by_gap);
    steady.sort_by(by_gap);
    (passing, steady)
}

/// What all pairs of one channel share.
struct Context<'a> {
    fixture: &'a Fixture,
    assembly: &'a Assembly,
    scan: &'a Scan,
    level: &'a Scan,
    watch: Watch,
    /// The second group's shifts against the first that the stroke brings (mm).
    shifts: Option<(f64, f64)>,
}

impl Context<'_> {
    fn pair(&self, near: &NearBodies, level: Option<&NearBodies>) -> Option<PairResult> {
        let Self { fixture, assembly, scan, watch, .. } = *self;
        let bodies = (BodyId(near.body_a), BodyId(near.body_b));
        let a = assembly.bodies.get(near.body_a as usize)?;
        let b = assembly.bodies.get(near.body_b as usize)?;
        let least = &near.least;
        let at_travel = 0.5 * (least.span.0 + least.span.1);
        // A's frame stands at A's own x; the scene's groups start from the rail's origin.
        let home = match a.owner {
            Owner::Ground => 0.0,
            Owner::Rider(number) => rider_x(fixture, number, at_travel),
        };
        let separation = scan.separation(least.a, least.b, least.shift);
        let is_steady = matches!(watch.kinship, Kinship::OneRider | Kinship::RiderAndRail);
        let asked = match watch.kinship {
            Kinship::OneRider => fixture.limits.gap.min(RUNNING_CLEARANCE),
            _ => fixture.limits.gap,
        };
        let passage = self.passage(a, b, least.gap);
        let chain = level.and_then(|level| self.chain(a, b, level, least.gap));
        let outcome = judge(least.gap, passage, chain.as_ref(), asked, watch.stops);
        Some(PairResult {
            bodies,
            kinship: watch.kinship,
            gap: least.gap,
            level_gap: level.map(|level| level.least.gap),
            at_travel,
            separation: Separation {
                on_a: separation.on_a + DVec3::X * home,
                on_b: separation.on_b + DVec3::X * home,
                ..separation
            },
            touching: if is_steady { Vec::new() } else { near.touching.clone() },
            below_asked: if is_steady { Vec::new() } else { near.below.clone() },
            passage,
            chain,
            asked,
            outcome,
            meets_stop: watch.stops,
        })
    }

    /// The sizes behind the gap at the riders' nominal places, and what their tilt takes from it.
    fn chain(&self, a: &Body, b: &Body, level: &NearBodies, gap: f64) -> Option<Chain> {
        let Least { a: solid_a, b: solid_b, shift, gap: level_gap, .. } = level.least;
        let separation = self.level.separation(solid_a, solid_b, shift);
        let mut chain = gap_chain(self.fixture, self.assembly, a, b, &separation)?;
        let taken = level_gap - gap;
        if taken.abs() > ROUNDING {
            chain.terms.push(Term {
                label: "tilt under load".into(),
                path: String::new(),
                size: Toleranced::exact(taken.abs()),
                sensitivity: -taken.signum(),
            });
        }
        Some(chain)
    }

    /// Whether two pieces of hardware ever face each other on the stroke, seen along the axis of a stack.
    fn passage(&self, a: &Body, b: &Body, gap: f64) -> Passage {
        let axis = stack_axis(self.fixture, a)
            .map(|axis| (axis, a.owner))
            .or_else(|| stack_axis(self.fixture, b).map(|axis| (axis, b.owner)));
        let (Some((axis, owner)), Some((from, to)), true) =
            (axis, self.shifts, a.role.is_hardware() && b.role.is_hardware() && gap > 0.0)
        else {
            return Passage::Facing;
        };
        let Some(room) = room_along(&a.solids, &b.solids, axis, from, to) else { return Passage::Facing };
        let poses = [a.owner, b.owner].map(|owner| self.scan.pose(owner));
        if poses == [Pose::IDENTITY; 2] {
            return Passage::Beside { room };
        }
        // They pass beside each other when level: how much of the room is left when the riders lean?
        let placed =
            |body: &Body, pose: &Pose| body.solids.iter().map(|s| s.placed(pose)).collect::<Vec<_>>();
        let axis = self.scan.pose(owner).direction(axis);
        let [solids_a, solids_b] = [placed(a, &poses[0]), placed(b, &poses[1])];
        room_along(&solids_a, &solids_b, axis, from, to)
            .map_or(Passage::Facing, |room| Passage::Beside { room })
    }
}

/// The least sideways room between two bodies seen along an axis, the second shifted along the rail by anything
/// between two (mm); `None` if they face each other somewhere.
fn room_along(a: &[Solid], b: &[Solid], axis: DVec3, from: f64, to: f64) -> Option<f64> {
    let mut room = f64::INFINITY;
    for solid_a in a {
        for solid_b in b {
            match faces_along(solid_a, solid_b, axis, DVec3::X, from, to) {
                Passing::Never { room: own, .. } => room = room.min(own),
                Passing::Faces { .. } | Passing::Invalid => return None,
            }
        }
    }
    room.is_finite().then_some(room)
}

fn judge(gap: f64, passage: Passage, chain: Option<&Chain>, asked: f64, is_stop: bool) -> Outcome {
    if gap <= -ROUNDING || (gap <= 0.0 && !is_stop) {
        return Outcome::Fouls { depth: -gap };
    }
    if is_stop {
        return Outcome::ClearByGap;
    }
    let spread = chain.map_or(0.0, Chain::worst_case);
    if gap < asked || gap - spread <= 0.0 {
        return Outcome::Marginal;
    }
    match passage {
        Passage::Beside { room } => Outcome::ClearByPassing { room },
        Passage::Facing => Outcome::ClearByGap,
    }
}

fn stack_axis(fixture: &Fixture, body: &Body) -> Option<DVec3> {
    body.stack?;
    let Owner::Rider(number) = body.owner else { return None };
    fixture.riders.get(number).map(|rider| rider.facing.outward())
}
