//! In which order a rider's screws can be tightened: what stands in the way of key and spanner, and of which.

use std::f64::consts::TAU;

use glam::DVec3;
use glidewright_geometry::{Solid, separation};

use crate::{
    Assembly, Body, BodyId, Fixture, HeadForm, Owner, PieceKind, PlacedStack, Rider, Role, Screw, Stack,
    StackEnd, interpolated,
};

/// A hexagon key for a socket of unknown size: radius and straight length in thread diameters (about ISO 2936, from
/// memory: for M5 a key of 4 mm, 4.6 over its corners, with an arm of 29).
const KEY: (f64, f64) = (0.5, 5.5);

/// Short arms of hexagon keys by their width across flats (mm; ISO 2936, from memory).
const ARMS: [(f64, f64); 10] = [
    (0.9, 10.0),
    (1.3, 12.0),
    (1.5, 14.0),
    (2.0, 18.0),
    (2.5, 20.0),
    (3.0, 23.0),
    (4.0, 29.0),
    (5.0, 33.0),
    (6.0, 38.0),
    (8.0, 44.0),
];

/// What of a key stands out of its screw: radius over its corners and straight length (mm).
fn key(screw: &Screw) -> (f64, f64) {
    screw
        .key
        .and_then(|key| {
            let arm = interpolated(&ARMS, key.flats)?;
            Some((key.flats / 3f64.sqrt(), (arm - key.depth).max(0.0)))
        })
        .unwrap_or((KEY.0 * screw.diameter, KEY.1 * screw.diameter))
}

/// A socket spanner over a hexagon: radius and length in widths across flats (about ISO 2725, from memory).
const SOCKET: (f64, f64) = (0.75, 2.5);

/// The head of an open spanner: width, thickness and how much of it with its handle must be clear, in widths across
/// flats (about ISO 3318, from memory).
const SPANNER: (f64, f64, f64) = (2.2, 0.5, 4.0);

/// Ways round a hexagon in which a spanner is tried.
const WAYS: u32 = 16;

/// A stack whose screw no tool takes off among what cannot be taken off: not all of them can be tightened in any order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Blocked {
    /// Its number in the rider's placed stacks.
    pub stack: usize,
    /// The end no tool reaches.
    pub end: ScrewEnd,
    /// What the tool that goes on straight meets there.
    pub by: BodyId,
}

/// How a rider's stacks can be tightened, off the rail and before anything is put on the rider: loads, shoes, pulleys.
///
/// Found backwards: of all that is together each screw that a tool reaches can be taken off, which leaves more room for
/// the next. Of what nothing frees not all can be tightened, in whatever order: taking off more never stands in the way.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct AssemblyOrder {
    /// Numbers of the rider's placed stacks, the first to be tightened first.
    pub steps: Vec<usize>,
    /// Those of them that must be tightened before the last ones stand, in the same order.
    pub early: Vec<usize>,
    /// Stacks that cannot be tightened at all.
    pub blocked: Vec<Blocked>,
}

/// The order of every rider. Own method; checked by trying all orders of small riders.
pub fn assembly_orders(fixture: &Fixture, assembly: &Assembly) -> Vec<AssemblyOrder> {
    (0..fixture.riders.len()).map(|number| order(fixture, assembly, number)).collect()
}

fn order(fixture: &Fixture, assembly: &Assembly, number: usize) -> AssemblyOrder {
    let (Some(rider), Some(placed)) = (fixture.riders.get(number), assembly.riders.get(number)) else {
        return AssemblyOrder::default();
    };
    let own = bare(assembly, number);
    let present = |left: &[usize]| -> Vec<(BodyId, &Body)> {
        let stands = |body: &Body| body.stack.is_none_or(|stack| left.contains(&stack));
        own.iter().copied().filter(|(_, body)| stands(body)).collect()
    };
    let backwards = taken_off(placed.stacks.len(), |left| {
        let present = present(left);
        let free = |stack: &usize| {
            let at = placed.stacks.get(*stack);
            at.is_some_and(|at| hindrance(rider, at, *stack, &present).is_none())
        };
        left.iter().copied().filter(free).collect()
    });
    let present = present(&backwards.left);
    let blocked = backwards.left.iter().filter_map(|stack| {
        let (end, by) = hindrance(rider, placed.stacks.get(*stack)?, *stack, &present)?;
        Some(Blocked { stack: *stack, end, by })
    });
    AssemblyOrder { blocked: blocked.collect(), steps: backwards.steps, early: backwards.early }
}

/// What is found by taking off, turned round.
struct Backwards {
    steps: Vec<usize>,
    early: Vec<usize>,
    /// What cannot be taken off.
    left: Vec<usize>,
}

/// Takes off of so many things what is free, of those that are left, as long as something is.
fn taken_off(count: usize, free_of: impl Fn(&[usize]) -> Vec<usize>) -> Backwards {
    let mut left: Vec<usize> = (0..count).collect();
    let (mut off, mut first): (Vec<usize>, Option<Vec<usize>>) = (Vec::new(), None);
    loop {
        let free = free_of(&left);
        if free.is_empty() {
            break;
        }
        left.retain(|one| !free.contains(one));
        off.extend(free.iter().rev());
        first.get_or_insert(free);
    }
    off.reverse();
    let first = first.unwrap_or_default();
    let early = off.iter().copied().filter(|one| !first.contains(one)).collect();
    Backwards { steps: off, early, left }
}

/// What belongs to a rider when its plates and stacks are together and nothing else is on it yet.
pub(crate) fn bare(assembly: &Assembly, rider: usize) -> Vec<(BodyId, &Body)> {
    // Ribs are one with their plate.
    assembly
        .numbered()
        .filter(|(_, body)| body.owner == Owner::Rider(rider))
        .filter(|(_, body)| body.plate.is_some() || !is_put_on_last(body.role))
        .collect()
}

/// The first end of a stack that no tool reaches among what stands there, and what the straight tool meets.
fn hindrance(
    rider: &Rider,
    placed: &PlacedStack,
    number: usize,
    present: &[(BodyId, &Body)],
) -> Option<(ScrewEnd, BodyId)> {
    let (_, _, stack) = rider.stack(placed.of)?;
    let beside: Vec<(BodyId, &Body)> =
        present.iter().copied().filter(|(_, body)| body.stack != Some(number)).collect();
    ScrewEnd::BOTH.into_iter().find_map(|end| {
        let tools = tools(rider, stack, placed, end);
        // What the tool put on straight meets is told, if no other goes on either.
        let (by, _) = in_the_way(tools.first()?, &beside)?;
        let goes_on = tools.iter().skip(1).any(|tool| in_the_way(tool, &beside).is_none());
        (!goes_on).then_some((end, by))
    })
}

/// Whether something is put on a rider when its plates and stacks are together.
const fn is_put_on_last(role: Role) -> bool {
    matches!(role, Role::Load | Role::Shoe | Role::Pulley | Role::Span)
}

/// What a tool is put on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ScrewEnd {
    /// Its head.
    Head,
    /// The nut at its other end.
    Nut,
}

impl ScrewEnd {
    /// Both, the head first.
    pub const BOTH: [Self; 2] = [Self::Head, Self::Nut];

    /// In a word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Head => "head",
            Self::Nut => "nut",
        }
    }
}

/// The tools that serve an end of a stack, each at its place: the straight one first.
pub(crate) fn tools(rider: &Rider, stack: &Stack, placed: &PlacedStack, end: ScrewEnd) -> Vec<Solid> {
    let screw = &stack.screw;
    let outward = rider.facing.outward();
    let (flats, levels, away) = match end {
        ScrewEnd::Head => {
            let away = -placed.points;
            if screw.head_form != HeadForm::Hexagon {
                let from = placed.point(rider.facing, placed.head_level);
                let (radius, arm) = key(screw);
                return vec![Solid::cylinder_between(from, from + outward * (away * arm), radius)];
            }
            (screw.head_size, [placed.seat_level, placed.head_level], away)
        }
        ScrewEnd::Nut => {
            let (Some(piece), Some(at)) = (stack.pieces.last(), placed.pieces.last()) else {
                return Vec::new();
            };
            if stack.end != StackEnd::Nut || !matches!(piece.kind, PieceKind::Nut { .. }) {
                return Vec::new();
            }
            (piece.outer, [at.head_side, at.tip_side], placed.points)
        }
    };
    let from = placed.point(rider.facing, levels[0]);
    let straight =
        Solid::cylinder_between(from, from + outward * (away * SOCKET.1 * flats), SOCKET.0 * flats);
    let mut tools = vec![straight];
    let (width, thick, reach) = SPANNER;
    let height = (levels[1] - levels[0]).abs();
    let middle = placed.point(rider.facing, 0.5 * (levels[0] + levels[1]));
    let half = DVec3::new(0.5 * reach * flats, 0.5 * width * flats, 0.5 * (thick * flats).min(height));
    for way in 0..WAYS {
        let turn = TAU * f64::from(way) / f64::from(WAYS);
        let lateral = rider.facing.lateral();
        let along = DVec3::X * turn.cos() + lateral * turn.sin();
        let across = outward.cross(along);
        let axes = glam::DMat3::from_cols(along, across, outward);
        let pose = glidewright_geometry::Pose { turn: axes, shift: middle + along * half.x };
        tools.push(Solid { shape: glidewright_geometry::Shape::Cuboid { half }, pose });
    }
    tools
}

/// A tool may be in something by this much (mm): its sizes are round figures.
const ROUGH: f64 = 0.5;

/// The first of some bodies that a tool would meet.
pub(crate) fn in_the_way<'a>(tool: &Solid, bodies: &[(BodyId, &'a Body)]) -> Option<(BodyId, &'a Body)> {
    let around = tool.bounds();
    bodies.iter().copied().find(|(_, body)| {
        body.solids.iter().any(|solid| {
            let own = solid.bounds();
            let apart = own.low.cmpgt(around.high).any() || around.low.cmpgt(own.high).any();
            !apart && separation(tool, solid).gap < -ROUGH
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Keys of 2.5, 3, 4, 5 and 6 mm serve M3 to M8 and are as wide over their corners as 2/√3 of that, with arms of 20,
    /// 23, 29, 33 and 38 mm (ISO 2936, from memory); nuts M3 to M8 are 6.01, 7.66, 8.79, 11.05 and 14.38 over theirs (ISO
    /// 4032, read): a socket goes round all of them.
    #[test]
    fn tools_are_as_large_as_they_must_be() {
        for (thread, key, arm) in
            [(3.0, 2.5, 20.0), (4.0, 3.0, 23.0), (5.0, 4.0, 29.0), (6.0, 5.0, 33.0), (8.0, 6.0, 38.0)]
        {
            assert!(2.0 * KEY.0 * thread > key * 2.0 / 3f64.sqrt(), "M{thread}");
            assert!((KEY.1 * thread - arm).abs() < 0.2 * arm, "M{thread}");
        }
        for (flats, corners) in [(5.5, 6.01), (7.0, 7.66), (8.0, 8.79), (10.0, 11.05), (13.0, 14.38)] {
            assert!(2.0 * SOCKET.0 * flats > 1.2 * corners && 2.0 * SOCKET.0 * flats < 1.6 * corners);
        }
    }

    /// Every order of so many things.
    fn permutations(count: usize) -> Vec<Vec<usize>> {
        (0..count).fold(vec![Vec::new()], |all, _| {
            let longer = |order: &Vec<usize>| {
                let rest: Vec<usize> = (0..count).filter(|next| !order.contains(next)).collect();
                rest.into_iter().map(|next| [order.clone(), vec![next]].concat()).collect::<Vec<_>>()
            };
            all.iter().flat_map(longer).collect()
        })
    }

    /// Things that stand in each other's way at random: an order is found exactly where trying all of them finds one, and it
    /// is one of those.
    #[test]
    fn an_order_is_found_where_there_is_one() {
        let mut random: u64 = 1;
        let mut next = || {
            random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            random >> 33
        };
        let (mut found, mut none, mut turns) = (0, 0, 0);
        for _ in 0..400 {
            let count = 2 + (next() % 4) as usize;
            let often = 2 + next() % 5;
            let blocks: Vec<Vec<bool>> = (0..count)
                .map(|one| (0..count).map(|other| one != other && next() % often == 0).collect())
                .collect();
            let is_free = |one: usize, present: &[usize]| !present.iter().any(|other| blocks[one][*other]);
            let backwards =
                taken_off(count, |left| left.iter().copied().filter(|one| is_free(*one, left)).collect());
            let works =
                |order: &[usize]| order.iter().enumerate().all(|(at, one)| is_free(*one, &order[..at]));
            if backwards.left.is_empty() {
                assert!(works(&backwards.steps), "{blocks:?}: {:?}", backwards.steps);
                let all: Vec<usize> = (0..count).collect();
                let held = |one: &usize| !is_free(*one, &all);
                assert!(backwards.early.iter().all(held), "{blocks:?}: {:?}", backwards.early);
                found += 1;
                turns += usize::from(!backwards.early.is_empty());
            } else {
                assert!(!permutations(count).iter().any(|order| works(order)), "{blocks:?}");
                none += 1;
            }
        }
        assert!(found > 50 && none > 50 && turns > 20, "{found} {none} {turns}");
    }
}
