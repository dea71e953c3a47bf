//! How near each pair of bodies comes, and what becomes of it.

use std::collections::HashMap;

use glam::DVec3;
use glidewright_geometry::{NearBodies, Passing, Separation, SolidId, closest_over, faces_along};

use super::depth::{Chosen, DeepPair};
use super::face_chain::gap_chain;
use super::kinship::Kinship;
use super::outcome::{Outcome, Passage, falls_short, overlaps, touches};
use super::scan::{Scan, Watch};
use super::sensitivity::Shares;
use super::{Checked, Interference, Stance};
use crate::assembly::Side;
use crate::{Assembly, Body, BodyId, Chain, Detail, Fixture, Owner, Tolerance, rider_x};

/// How near two bodies come over the stroke.
#[derive(Clone, Debug, PartialEq)]
pub struct PairResult {
    /// The bodies.
    pub bodies: (BodyId, BodyId),
    /// How they are related.
    pub kinship: Kinship,
    /// Least gap over the stroke (mm), negative for overlap.
    pub gap: f64,
    /// Travel of the lead at which it is least (mm).
    pub at_travel: f64,
    /// Where: points and direction at that travel, in the rail frame.
    pub separation: Separation,
    /// Of an overlap as drawn, how near its depth is proved.
    pub depth: Option<DepthBounds>,
    /// The same with both standing as their load makes them stand.
    pub loaded: LoadedGap,
    /// How much of the gap the riders' play can take beyond that (mm).
    pub play: f64,
    /// What the tolerances of sizes can take of it, and whose they are.
    pub tolerance: Tolerance,
    /// Stretches of travel where the gap is zero or less (mm); empty for a pair that is steady.
    pub touching: Vec<(f64, f64)>,
    /// Stretches of travel where the gap is less than asked for (mm); empty for a pair that is steady.
    pub below_asked: Vec<(f64, f64)>,
    /// How they stand to each other seen along the axes of their stacks.
    pub passage: Passage,
    /// The sizes that make the gap, where it lies along a stack's axis.
    pub chain: Option<Chain>,
    /// The least gap asked for between these two (mm).
    pub asked: f64,
    /// What becomes of them.
    pub outcome: Outcome,
    /// One of them is an end stop, which is meant to be met.
    pub meets_stop: bool,
    /// They may touch, and overlap by this as drawn (mm): two parts fastened to one rider, or a wheel or shoe on the
    /// rail, as deep as it is pressed. Such pairs are listed where they overlap by more.
    pub allowed: Option<f64>,
}

/// What is proved of how deep two bodies overlap: the least translation, in any direction, that parts the whole bodies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DepthBounds {
    /// No shorter translation parts them at the travel that is told (mm).
    pub at_least: f64,
    /// At no travel of the stroke does it take a longer one (mm).
    pub at_most: f64,
}

/// How near two bodies come with their riders standing as their load makes them stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadedGap {
    /// Least gap over the stroke (mm), negative for overlap.
    pub gap: f64,
    /// Travel of the lead at which it is least (mm).
    pub at_travel: f64,
    /// Where: points and direction at that travel, in the rail frame.
    pub separation: Separation,
}

impl PairResult {
    /// How much of the gap tilt and sag under load take (mm); negative when they widen it.
    pub fn tilt(&self) -> f64 {
        self.gap - self.loaded.gap
    }

    /// What is left of the gap when tilt, play and the worst case of the tolerances have taken their part (mm).
    pub fn left(&self) -> f64 {
        self.loaded.gap - self.play - self.tolerance.worst
    }
}

/// Between a rider's own pieces this gap is enough, however much is asked between things that pass: a
/// wheel beside its shim must turn free, no more (mm; common practice, no source).
const RUNNING_CLEARANCE: f64 = 0.3;

/// The gap asked for between a rider's own pieces (mm).
pub(super) fn running_clearance(fixture: &Fixture) -> f64 {
    fixture.limits.gap.min(RUNNING_CLEARANCE)
}

/// By growing gap as drawn; among gaps alike, as of nuts that all pass at one distance, by what load, play and
/// tolerances leave; among those alike, as of twins left and right, in the order of the bodies.
pub(super) fn sort(pairs: &mut [PairResult]) {
    /// Gaps that differ by less are alike (mm).
    const ALIKE: f64 = 1e-6;
    let coarse = |gap: f64| (gap / ALIKE).round();
    pairs.sort_by(|a, b| {
        let gaps = coarse(a.gap).total_cmp(&coarse(b.gap));
        gaps.then(coarse(a.left()).total_cmp(&coarse(b.left()))).then(a.bodies.cmp(&b.bodies))
    });
}

/// All pairs within reach: those that pass each other, and those that are steady.
pub(super) fn all(
    fixture: &Fixture,
    assembly: &Assembly,
    (scan, detail): (&Scan, Detail),
    (deep, facing): (&mut Vec<DeepPair>, &mut Facings),
) -> (Vec<PairResult>, Vec<PairResult>, usize) {
    let Listed { count, farthest, left_out } = Listed::of(scan);
    let (mut passing, mut steady) = (Vec::with_capacity(count), Vec::new());
    let chosen = Chosen::of(scan, assembly, detail);
    for (watch, found) in scan.found() {
        let list = if watch.kinship.is_steady() { &mut steady } else { &mut passing };
        for near in &found.near {
            if !watch.kinship.is_steady() && near.least.gap > farthest {
                continue;
            }
            let allowed = allowed(fixture, assembly, scan, near);
            if allowed.is_some_and(|allowed| near.least.gap >= -allowed) {
                continue;
            }
            let overlap = DeepPair::find(scan, assembly, watch, near, &chosen);
            list.extend(pair(fixture, assembly, scan, watch, (near, overlap.as_ref()), allowed, facing));
            // What stays in its place has no part in the band.
            if watch.passes() {
                deep.extend(overlap);
            }
        }
    }
    (passing, steady, left_out)
}

/// Which of the passing pairs are listed.
struct Listed {
    /// About how many.
    count: usize,
    /// The gap up to which they are (mm).
    farthest: f64,
    /// How many lie beyond.
    left_out: usize,
}

impl Listed {
    fn of(scan: &Scan) -> Self {
        let passing = scan.found().filter(|(watch, _)| !watch.kinship.is_steady());
        let mut gaps: Vec<f64> =
            passing.flat_map(|(_, found)| found.near.iter().map(|near| near.least.gap)).collect();
        let most = Interference::MOST_PAIRS;
        if gaps.len() <= most {
            return Self { count: gaps.len(), farthest: f64::INFINITY, left_out: 0 };
        }
        let farthest = *gaps.select_nth_unstable_by(most - 1, f64::total_cmp).1;
        Self { count: most, farthest, left_out: gaps.iter().filter(|gap| **gap > farthest).count() }
    }
}

/// How deep two bodies may stand in each other as drawn, if they may touch (mm).
fn allowed(fixture: &Fixture, assembly: &Assembly, scan: &Scan, near: &NearBodies) -> Option<f64> {
    let a = assembly.bodies.get(near.body_a as usize)?;
    let b = assembly.bodies.get(near.body_b as usize)?;
    scan.meeting(near.body_a, near.body_b)?.allowed(fixture, assembly, a, b)
}

fn pair(
    fixture: &Fixture,
    assembly: &Assembly,
    scan: &Scan,
    watch: Watch,
    (near, deep): (&NearBodies, Option<&DeepPair>),
    allowed: Option<f64>,
    facing: &mut Facings,
) -> Option<PairResult> {
    let bodies = (BodyId(near.body_a), BodyId(near.body_b));
    let a = assembly.bodies.get(near.body_a as usize)?;
    let b = assembly.bodies.get(near.body_b as usize)?;
    let least = &near.least;
    let at_travel = deep.map_or(0.5 * (least.span.0 + least.span.1), |deep| deep.at_travel);
    let shift = deep.map_or(least.shift, |deep| deep.shift);
    // A's frame stands at A's own x; the scene's groups start from the rail's origin.
    let home = match a.owner {
        Owner::Ground => 0.0,
        Owner::Rider(number) => rider_x(fixture, number, at_travel),
    };
    let separation =
        deep.map_or_else(|| scan.separation(least.a, least.b, least.shift), |deep| deep.depth.separation());
    let gap = deep.map_or(least.gap, |deep| -deep.depth.depth);
    let is_steady = watch.kinship.is_steady();
    let asked = match watch.kinship {
        _ if allowed.is_some() => 0.0,
        Kinship::OneRider => running_clearance(fixture),
        _ => fixture.limits.gap,
    };
    let passage = passage(fixture, a, b, gap, scan.shifts(watch));
    let mut chain = gap_chain(fixture, assembly, a, b, &separation);
    let mut shares = Shares::default();
    let side = |id, body, point, towards| Side { id, body, point, towards, travel: at_travel };
    // Drawn apart whole bodies touch in one place or several, each with its share in how far.
    let sides: Vec<Side<'_>> = match deep {
        Some(deep) => deep.sides(assembly).collect(),
        None if separation.is_valid() => {
            let on_b = separation.on_b - DVec3::X * shift;
            vec![
                side(bodies.0, a, separation.on_a, separation.normal),
                side(bodies.1, b, on_b, -separation.normal),
            ]
        }
        None => Vec::new(),
    };
    facing.insert(bodies, sides.iter().map(|side| (side.body.owner, side.point, side.towards)).collect());
    shares.find(fixture, assembly, sides);
    if let Some(chain) = &mut chain {
        chain.terms.extend(shares.moving_terms(assembly));
    }
    let depth = overlaps(gap).then(|| match deep {
        Some(deep) => DepthBounds { at_least: deep.depth.at_least, at_most: deep.at_most },
        None => DepthBounds { at_least: -gap, at_most: -least.lower },
    });
    let placed = Separation {
        on_a: separation.on_a + DVec3::X * home,
        on_b: separation.on_b + DVec3::X * home,
        ..separation
    };
    let mut result = PairResult {
        bodies,
        kinship: watch.kinship,
        gap,
        at_travel,
        separation: placed,
        depth,
        loaded: LoadedGap { gap, at_travel, separation: placed },
        play: 0.0,
        tolerance: shares.tolerance(fixture, assembly),
        touching: if is_steady { Vec::new() } else { near.touching.clone() },
        below_asked: if is_steady { Vec::new() } else { near.below.clone() },
        passage,
        chain,
        asked,
        outcome: Outcome::ClearByGap,
        meets_stop: watch.stops,
        allowed,
    };
    result.outcome = judge(&result);
    Some(result)
}

/// Of pairs of bodies as drawn, where they face each other: each point in its owner's frame, towards the other by its
/// share in the gap.
pub(super) type Facings = HashMap<(BodyId, BodyId), Vec<(Owner, DVec3, DVec3)>>;

/// Looks at pairs again with their riders as their load makes them stand; which solids of bodies that pass meet only so.
/// What is out of reach in the scene of the loaded riders, and everything without one, is told to first order.
pub(super) fn load(
    fixture: &Fixture,
    assembly: &Assembly,
    tilted: Option<&Scan>,
    stance: &mut Stance,
    stations: &[f64],
    pairs: &mut [PairResult],
    facing: &Facings,
) -> Vec<(SolidId, SolidId)> {
    let mut met = Vec::new();
    let mut seen = vec![false; pairs.len()];
    let places: HashMap<(BodyId, BodyId), usize> =
        pairs.iter().enumerate().map(|(place, pair)| (pair.bodies, place)).collect();
    let found =
        tilted.into_iter().flat_map(|scan| scan.found().map(move |(watch, found)| (scan, watch, found)));
    for (scan, watch, found) in found.filter(|(_, watch, _)| !watch.is_level()) {
        for near in &found.near {
            let bodies = (BodyId(near.body_a), BodyId(near.body_b));
            let Some(&place) = places.get(&bodies) else { continue };
            let Some(pair) = pairs.get_mut(place) else { continue };
            seen[place] = true;
            let (Some(a), Some(b)) =
                (assembly.bodies.get(near.body_a as usize), assembly.bodies.get(near.body_b as usize))
            else {
                continue;
            };
            let least = &near.least;
            let steady = watch.kinship == Kinship::RiderAndRail;
            let there = if least.gap > 0.0 {
                Some((least.gap, least.shift, least.span, scan.separation(least.a, least.b, least.shift)))
            } else if overlaps(pair.gap) {
                None
            } else {
                if watch.passes() {
                    met.push((least.a, least.b));
                }
                meeting(scan, a, b, watch)
            };
            // Bodies that overlap as drawn shift with their riders, to first order.
            let Some((gap, shift, span, separation)) = there else {
                shift(pair, stance, stations, facing);
                continue;
            };
            let at_travel = if steady { pair.at_travel } else { 0.5 * (span.0 + span.1) };
            if !separation.is_valid() {
                continue;
            }
            let home = match a.owner {
                Owner::Ground => 0.0,
                Owner::Rider(number) => rider_x(fixture, number, at_travel),
            };
            let station = nearest(stations, at_travel);
            let (on_a, on_b, normal) =
                (separation.on_a, separation.on_b - DVec3::X * shift, separation.normal);
            let change = stance.change(Checked::Tilted, a.owner, station, on_a, normal)
                + stance.change(Checked::Tilted, b.owner, station, on_b, -normal);
            pair.loaded = LoadedGap {
                gap: gap - change,
                at_travel,
                separation: Separation {
                    on_a: on_a + DVec3::X * home,
                    on_b: separation.on_b + DVec3::X * home,
                    ..separation
                },
            };
            pair.play = stance.rattle(a.owner, station, on_a, normal)
                + stance.rattle(b.owner, station, on_b, -normal);
            pair.outcome = judge(pair);
        }
    }
    for (pair, _) in pairs.iter_mut().zip(seen).filter(|(pair, seen)| !seen && is_loaded(pair)) {
        shift(pair, stance, stations, facing);
    }
    met
}

/// Whether the gap lies between bodies that stand differently under load, and is looked at so.
fn is_loaded(pair: &PairResult) -> bool {
    let level = matches!(pair.kinship, Kinship::OneRider | Kinship::LineAndFixed | Kinship::MovingLine);
    !level && pair.allowed.is_none()
}

/// Shifts a pair's bodies with their riders, to first order, from where they face each other as drawn.
fn shift(pair: &mut PairResult, stance: &mut Stance, stations: &[f64], facing: &Facings) {
    let sides = facing.get(&pair.bodies).map_or(&[][..], Vec::as_slice);
    let (change, play) = stance.shifts(sides, nearest(stations, pair.at_travel));
    let gap = pair.gap - change;
    // Bodies that overlap as drawn are drawn apart at most.
    let gap = if overlaps(pair.gap) { gap.min(0.0) } else { gap };
    let separation = Separation { gap, lower: gap, ..pair.separation };
    pair.loaded = LoadedGap { gap, at_travel: pair.at_travel, separation };
    pair.play = play;
    pair.outcome = judge(pair);
}

/// Where bodies that are clear as drawn overlap deepest with their riders tilted: gap, shift, travels and what there is to
/// say of it. `None` for bodies of many pieces.
fn meeting(scan: &Scan, a: &Body, b: &Body, watch: Watch) -> Option<(f64, f64, (f64, f64), Separation)> {
    /// More pairs of pieces than this shift with their riders.
    const MOST: usize = 64;
    if a.solids.len() * b.solids.len() > MOST {
        return None;
    }
    let (from, to) = scan.shifts(watch)?;
    let [in_a, in_b] = [a, b].map(|body| {
        let pose = scan.pose(body);
        body.solids.iter().map(|solid| solid.placed(&pose)).collect::<Vec<_>>()
    });
    let pairs = in_a.iter().flat_map(|p| in_b.iter().map(move |q| closest_over(p, q, DVec3::X, from, to)));
    let least = pairs
        .filter(|found| found.separation.is_valid())
        .min_by(|p, q| p.separation.gap.total_cmp(&q.separation.gap))?;
    let span = scan.travels(watch, least.u)?;
    Some((least.separation.gap, least.u, span, least.separation))
}

/// The station nearest a travel, of evenly spaced ones.
pub(super) fn nearest(stations: &[f64], travel: f64) -> usize {
    let (Some(first), Some(last)) = (stations.first(), stations.last()) else { return 0 };
    let share = (travel - first) / (last - first);
    let count = stations.len() - 1;
    // Casts saturate, and NaN becomes 0.
    ((share * count as f64).round().max(0.0) as usize).min(count)
}

/// Whether two pieces of hardware ever face each other, seen along the axis of either's stack, over all shifts of the
/// second that the stroke brings (mm). Each piece may grow along its own axis without end: parallel axes leave the view
/// along them, axes that cross only the direction square to both.
fn passage(fixture: &Fixture, a: &Body, b: &Body, gap: f64, shifts: Option<(f64, f64)>) -> Passage {
    let (Some(axis_a), Some(axis_b), Some(shifts), true) = (
        stack_axis(fixture, a),
        stack_axis(fixture, b),
        shifts,
        a.role.is_hardware() && b.role.is_hardware() && gap > 0.0,
    ) else {
        return Passage::Facing;
    };
    let room = match axis_a.cross(axis_b).try_normalize() {
        None => room_across(a, b, axis_a, shifts),
        Some(square) => room_along(a, b, square, shifts),
    };
    room.filter(|room| !touches(*room)).map_or(Passage::Facing, |room| Passage::Beside { room })
}

/// The least distance of two bodies seen along an axis (mm), if they never overlap there.
fn room_across(a: &Body, b: &Body, axis: DVec3, (from, to): (f64, f64)) -> Option<f64> {
    let mut room = f64::INFINITY;
    for solid_a in &a.solids {
        for solid_b in &b.solids {
            match faces_along(solid_a, solid_b, axis, DVec3::X, from, to) {
                Passing::Never { room: own, .. } => room = room.min(own),
                Passing::Faces { .. } | Passing::Invalid => return None,
            }
        }
    }
    room.is_finite().then_some(room)
}

/// The least distance of two bodies along a unit direction (mm), if they never overlap along it.
fn room_along(a: &Body, b: &Body, direction: DVec3, (from, to): (f64, f64)) -> Option<f64> {
    let range = |body: &Body| {
        body.solids.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), solid| {
            let bounds = solid.bounds();
            let (middle, half) = (0.5 * (bounds.low + bounds.high), 0.5 * (bounds.high - bounds.low));
            let (middle, half) = (middle.dot(direction), half.dot(direction.abs()));
            (low.min(middle - half), high.max(middle + half))
        })
    };
    let ((low_a, high_a), (low_b, high_b)) = (range(a), range(b));
    let moves = [from, to].map(|shift| shift * direction.x);
    let (first, last) = (moves[0].min(moves[1]), moves[0].max(moves[1]));
    let room = (low_b + first - high_a).max(low_a - (high_b + last));
    (room.is_finite() && room >= 0.0).then_some(room)
}

pub(super) fn judge(pair: &PairResult) -> Outcome {
    // Sizes add up to the gap as drawn, so nothing of it is nothing; under load only an overlap is one. A stop is met: a
    // rider that leans meets it a little sooner, and no more.
    if overlaps(pair.gap) || (touches(pair.gap) && !pair.meets_stop) {
        return Outcome::Fouls { depth: (-pair.gap).max(0.0) };
    }
    if pair.meets_stop {
        return Outcome::ClearByGap;
    }
    if overlaps(pair.loaded.gap) {
        return Outcome::Fouls { depth: -pair.loaded.gap };
    }
    let gap = pair.gap.min(pair.loaded.gap);
    if falls_short(gap, pair.asked) || touches(pair.left()) {
        return Outcome::Marginal;
    }
    match pair.passage {
        Passage::Beside { room } => Outcome::ClearByPassing { room },
        Passage::Facing => Outcome::ClearByGap,
    }
}

fn stack_axis(fixture: &Fixture, body: &Body) -> Option<DVec3> {
    body.stack?;
    let Owner::Rider(number) = body.owner else { return None };
    fixture.riders.get(number).map(|rider| rider.facing.outward())
}
