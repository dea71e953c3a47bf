//! Which bodies are checked against which, and how near each pair comes.

use glam::DVec3;
use glidewright_geometry::{Passing, Separation, Solid, closest_over, faces_along, separation, touching};

use super::face_chain::gap_chain;
use super::outcome::{Outcome, Passage};
use crate::{Assembly, Body, BodyId, Chain, Coupling, Fixture, Owner, Role, rider_x};

/// How two bodies are related.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kinship {
    /// On two riders.
    RiderAndRider,
    /// A rider and something fixed.
    RiderAndFixed,
    /// A rider and the rail it runs along.
    RiderAndRail,
    /// Both on one rider.
    OneRider,
}

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
    /// Stretches of travel where the gap is zero or less (mm).
    pub touching: Vec<(f64, f64)>,
    /// Stretches of travel where the gap is less than asked for (mm).
    pub below_asked: Vec<(f64, f64)>,
    /// How they stand to each other seen along the first body's stack axis.
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

/// A pair of bodies that move past each other, prepared for evaluation at a travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Mover {
    pub(super) bodies: (BodyId, BodyId),
    pub(super) span: RelativeTravel,
}

/// Relative travel u = x_B − x_A of two bodies against the lead's travel s: u = `at_zero` + `slope`·s, and
/// for bodies of riders that move on their own anywhere within `slack` of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct RelativeTravel {
    pub(super) at_zero: f64,
    pub(super) slope: f64,
    pub(super) slack: (f64, f64),
}

impl RelativeTravel {
    fn of(fixture: &Fixture, a: Owner, b: Owner) -> Self {
        let place = |owner: Owner| -> (f64, f64, (f64, f64)) {
            match owner {
                Owner::Ground => (0.0, 0.0, (0.0, 0.0)),
                Owner::Rider(number) => match fixture.riders.get(number).map(|r| (r.at_zero, r.coupling)) {
                    Some((at_zero, Coupling::Lead)) => (at_zero, 1.0, (0.0, 0.0)),
                    Some((at_zero, Coupling::Linked { ratio })) => (at_zero, ratio, (0.0, 0.0)),
                    Some((at_zero, Coupling::Free { from, to, .. })) => (at_zero, 0.0, (from, to)),
                    None => (f64::NAN, 0.0, (0.0, 0.0)),
                },
            }
        };
        let (xa, ra, slack_a) = place(a);
        let (xb, rb, slack_b) = place(b);
        Self { at_zero: xb - xa, slope: rb - ra, slack: (slack_b.0 - slack_a.1, slack_b.1 - slack_a.0) }
    }

    /// Least and greatest relative travel at one travel of the lead.
    pub(super) fn at(&self, travel: f64) -> (f64, f64) {
        let middle = self.at_zero + self.slope * travel;
        (middle + self.slack.0, middle + self.slack.1)
    }

    /// Least and greatest relative travel over a stroke.
    fn over(&self, from: f64, to: f64) -> (f64, f64) {
        let (a, b) = (self.at(from), self.at(to));
        (a.0.min(b.0), a.1.max(b.1))
    }

    /// Whether the two never move to each other.
    fn is_steady(&self) -> bool {
        self.slope == 0.0 && self.slack.0 == self.slack.1
    }

    /// The travel of the lead at which the relative travel can be `u`, within the stroke.
    fn travel(&self, u: f64, from: f64, to: f64) -> f64 {
        if self.slope == 0.0 {
            return from;
        }
        let middle = 0.5 * (self.slack.0 + self.slack.1);
        ((u - self.at_zero - middle) / self.slope).clamp(from, to)
    }

    /// The stretch of the lead's travel in which the relative travel can lie between `u0` and `u1`.
    fn stretch(&self, u0: f64, u1: f64, from: f64, to: f64) -> (f64, f64) {
        if self.slope == 0.0 {
            return (from, to);
        }
        let ends = [u0 - self.slack.1, u1 - self.slack.0].map(|u| (u - self.at_zero) / self.slope);
        (ends[0].min(ends[1]).clamp(from, to), ends[0].max(ends[1]).clamp(from, to))
    }
}

/// Contact within this of nothing is not called fouling (mm): it is the rounding of places of some
/// hundred millimetres, summed over a stack.
const ROUNDING: f64 = 1e-9;

/// Between a rider's own pieces this gap is enough, however much is asked between things that pass: a
/// wheel beside its shim must turn free, no more (mm; common practice, no source).
const RUNNING_CLEARANCE: f64 = 0.3;

pub(super) fn all(fixture: &Fixture, assembly: &Assembly) -> (Vec<PairResult>, Vec<PairResult>, Vec<Mover>) {
    let (mut passing, mut steady, mut movers) = (Vec::new(), Vec::new(), Vec::new());
    let bodies = &assembly.bodies;
    for (i, a) in bodies.iter().enumerate() {
        for (j, b) in bodies.iter().enumerate().skip(i + 1) {
            let Some(kinship) = kinship(fixture, assembly, a, b) else { continue };
            let ids = (BodyId(i as u32), BodyId(j as u32));
            let span = RelativeTravel::of(fixture, a.owner, b.owner);
            if !span.is_steady() && kinship != Kinship::RiderAndRail && !is_stop_pair(a, b) {
                movers.push(Mover { bodies: ids, span });
            }
            let Some(result) = pair(fixture, assembly, ids, a, b, kinship, span) else { continue };
            match kinship {
                Kinship::OneRider | Kinship::RiderAndRail => steady.push(result),
                Kinship::RiderAndRider | Kinship::RiderAndFixed => passing.push(result),
            }
        }
    }
    let by_gap = |a: &PairResult, b: &PairResult| a.gap.total_cmp(&b.gap);
    passing.sort_by(by_gap);
    steady.sort_by(by_gap);
    (passing, steady, movers)
}

fn is_stop_pair(a: &Body, b: &Body) -> bool {
    a.role == Role::Stop || b.role == Role::Stop
}

/// Whether two bodies are checked against each other, and as what.
fn kinship(fixture: &Fixture, assembly: &Assembly, a: &Body, b: &Body) -> Option<Kinship> {
    match (a.owner, b.owner) {
        (Owner::Ground, Owner::Ground) => None,
        (Owner::Rider(m), Owner::Rider(n)) if m == n => one_rider(fixture, assembly, m, a, b),
        (Owner::Rider(_), Owner::Rider(_)) => Some(Kinship::RiderAndRider),
        _ => {
            let (fixed, moving) = if a.owner == Owner::Ground { (a, b) } else { (b, a) };
            match (fixed.role, moving.role) {
                // A wheel rolls on the rail and a shoe slides on it: their seat says how they touch.
                (Role::Rail, Role::Tyre | Role::Shoe) => None,
                (Role::Rail, Role::Span) => None,
                (Role::Rail, _) => Some(Kinship::RiderAndRail),
                // A line runs onto its own pulleys, and beyond them in its longest state.
                (_, Role::Span) => None,
                _ => Some(Kinship::RiderAndFixed),
            }
        }
    }
}

/// Two bodies of one rider: neighbours that are not clamped to each other.
fn one_rider(fixture: &Fixture, assembly: &Assembly, rider: usize, a: &Body, b: &Body) -> Option<Kinship> {
    let same_stack = a.stack.is_some() && a.stack == b.stack;
    if same_stack {
        // Only the turning tyre must keep free of what is threaded beside it.
        let tyre_and_other = (a.role == Role::Tyre) != (b.role == Role::Tyre);
        return (tyre_and_other && a.piece != b.piece).then_some(Kinship::OneRider);
    }
    let holds_plate = |hardware: &Body, plate: &Body| -> bool {
        let placed = assembly.riders.get(rider).and_then(|r| r.stacks.get(hardware.stack?));
        let Some((_, _, stack)) = placed.and_then(|p| fixture.riders.get(rider)?.stack(p.of)) else {
            return false;
        };
        stack.pieces.iter().any(|piece| piece.path == plate.path || names_plate(fixture, rider, piece, plate))
    };
    match (a.role, b.role) {
        (Role::Plate, Role::Tyre) | (Role::Tyre, Role::Plate) => Some(Kinship::OneRider),
        (Role::Plate, role) if role.is_hardware() => (!holds_plate(b, a)).then_some(Kinship::OneRider),
        (role, Role::Plate) if role.is_hardware() => (!holds_plate(a, b)).then_some(Kinship::OneRider),
        (x, y) if x.is_hardware() && y.is_hardware() => Some(Kinship::OneRider),
        // Loads, shoes, pulleys and belt clamps are fastened to their rider: where they touch it is meant.
        _ => None,
    }
}

fn names_plate(fixture: &Fixture, rider: usize, piece: &crate::Piece, plate: &Body) -> bool {
    let crate::PieceKind::Plate(number) = piece.kind else { return false };
    fixture.riders.get(rider).and_then(|r| r.plates.get(number)).is_some_and(|p| p.path == plate.path)
}

fn pair(
    fixture: &Fixture,
    assembly: &Assembly,
    ids: (BodyId, BodyId),
    a: &Body,
    b: &Body,
    kinship: Kinship,
    span: RelativeTravel,
) -> Option<PairResult> {
    let (from, to) = (fixture.stroke.from, fixture.stroke.to);
    let (u0, u1) = if span.is_steady() { (span.at(from).0, span.at(from).0) } else { span.over(from, to) };
    let asked = match kinship {
        Kinship::OneRider => fixture.limits.gap.min(RUNNING_CLEARANCE),
        _ => fixture.limits.gap,
    };
    let mut best: Option<(f64, Separation)> = None;
    let mut touching_u: Vec<(f64, f64)> = Vec::new();
    let mut below_u: Vec<(f64, f64)> = Vec::new();
    let mut room = f64::INFINITY;
    let axis = stack_axis(fixture, a).or_else(|| stack_axis(fixture, b));
    let both_stacked = a.role.is_hardware() && b.role.is_hardware();
    for solid_a in &a.solids {
        for solid_b in &b.solids {
            let closest = if u1 > u0 {
                let found = closest_over(solid_a, solid_b, DVec3::X, u0, u1);
                (found.u, found.separation)
            } else {
                (u0, separation(solid_a, &solid_b.shifted(DVec3::X * u0)))
            };
            if let (true, Some(axis)) = (both_stacked, axis) {
                room = room.min(match faces_along(solid_a, solid_b, axis, DVec3::X, u0, u1) {
                    Passing::Never { room, .. } => room,
                    _ => f64::NEG_INFINITY,
                });
            }
            if closest.1.gap <= 0.0 && u1 > u0 {
                touching_u.extend(touching(solid_a, solid_b, DVec3::X, u0, u1, 0.0));
            }
            if closest.1.gap < asked && u1 > u0 {
                below_u.extend(touching(solid_a, solid_b, DVec3::X, u0, u1, asked));
            }
            if best.as_ref().is_none_or(|(_, seen)| closest.1.gap < seen.gap) {
                best = Some(closest);
            }
        }
    }
    let (u, separation) = best?;
    if separation.gap.is_nan() {
        return None;
    }
    let passage = if room.is_finite() && room > 0.0 { Passage::Beside { room } } else { Passage::Facing };
    if separation.gap > super::Interference::REACH && passage == Passage::Facing {
        return None;
    }
    let at_travel = span.travel(u, from, to);
    let to_travel = |stretches: Vec<(f64, f64)>| {
        merged(stretches.into_iter().map(|(low, high)| span.stretch(low, high, from, to)).collect())
    };
    let chain = gap_chain(fixture, assembly, a, b, &separation);
    let meets_stop = is_stop_pair(a, b);
    let outcome = judge(&separation, passage, chain.as_ref(), asked, meets_stop);
    // Back to the rail frame: A's frame stands at A's own x.
    let home = match a.owner {
        Owner::Ground => 0.0,
        Owner::Rider(number) => rider_x(fixture, number, at_travel),
    };
    let separation = Separation {
        on_a: separation.on_a + DVec3::X * home,
        on_b: separation.on_b + DVec3::X * home,
        ..separation
    };
    Some(PairResult {
        bodies: ids,
        kinship,
        gap: separation.gap,
        at_travel,
        separation,
        touching: if span.is_steady() { Vec::new() } else { to_travel(touching_u) },
        below_asked: if span.is_steady() { Vec::new() } else { to_travel(below_u) },
        passage,
        chain,
        asked,
        outcome,
        meets_stop,
    })
}

fn judge(
    separation: &Separation,
    passage: Passage,
    chain: Option<&Chain>,
    asked: f64,
    is_stop: bool,
) -> Outcome {
    let gap = separation.gap;
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

/// Joins stretches that overlap or meet.
fn merged(mut stretches: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    stretches.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut joined: Vec<(f64, f64)> = Vec::with_capacity(stretches.len());
    for (from, to) in stretches {
        match joined.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => joined.push((from, to)),
        }
    }
    joined
}

/// The gap of two solids of a moving pair at one travel.
pub(super) fn gap_at(a: &Solid, b: &Solid, span: &RelativeTravel, travel: f64) -> f64 {
    let (u0, u1) = span.at(travel);
    if u1 > u0 {
        closest_over(a, b, DVec3::X, u0, u1).separation.gap
    } else {
        separation(a, &b.shifted(DVec3::X * u0)).gap
    }
}
